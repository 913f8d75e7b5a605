"""What the rules call published was read in print; what nobody found again is called judgement or common practice.

SOURCES lists each book, standard, paper or public page a published basis may name, and how it was read. A maker's or
a publisher's paper is named by its kind only, and the basis says that the name is withheld.
"""

import functools

import pytest

from tests.shipped import quick_yaml

from .shop import RULES, knowledge

SOURCES = {
    "Neale (ed.), The Tribology Handbook, table": "scanned pages of tables 7.4, 7.5 and 8.10",
    "Bhandari, Design of Machine Elements, ": "worked examples of chapters 10 to 12 with their answers",
    "Wilcock and Booser, Bearing Design and Application, 1957": "thrust table as an engineering page reprints it",
    "Mechanical Engineer's Data Handbook": "page 15",
    "Manual Drive Trains and Axles, 2010": "page 131 and the triage table",
    "US Army TM 5-3820-256-24-4": "text of the manual",
    "US Army manual, ": "text of the same manual and of TM 5-3895-383-24",
    "US Army TM 9-2320-361-24-1": "clutch table of the manual",
    "US Navy training manual": "clutch pages of two training manuals",
    "Applied Sciences 9 (2019) 4287": "article on judder at take-up",
    "Myklebust and Eriksson (2012)": "abstract",
    "29 CFR 1910.1001 Appendix F": "text of the regulation",
    "titles of the SFI ": "titles and dates of the specifications, committee minutes of 2008",
    "course reports on Wang, Automobile Design": "excerpts of the reports, not the book",
    "university course page on the torsion damper": "text of the page",
    "ICAO Standard Atmosphere, Doc 7488": "constants as two public reference pages list them",
    "Proc. IMechE, Automobile Division, 1949": "abstract",
    "Engineering ToolBox, rolling resistance": "table of the page",
    "mean effective pressures in an engineering encyclopaedia": "table of the page",
    "table of spring materials": "chart of greatest temperatures for ASTM A 229, A 231 and A 401 wire",
}
WITHHELD = ("maker withheld", "makers withheld", "publisher withheld", "association withheld")
SAFETY_TOPICS = ("thrust", "racing", "flywheel")


def bases_in(node, where):
    """(where, basis) for every basis below a node of a rule file, as written."""
    if isinstance(node, dict):
        where = f"{where}/{node['id']}" if "id" in node else where
        for key, below in node.items():
            if key == "basis":
                yield where, below if isinstance(below, dict) else {"kind": "", "source": below}
            else:
                yield from bases_in(below, f"{where}/{key}" if isinstance(below, dict) else where)
    elif isinstance(node, list):
        for below in node:
            yield from bases_in(below, where)


@functools.cache
def written_bases():
    """(where, basis) for every basis of the shipped rule files."""
    files = [path for path in sorted(RULES.rglob("*.yaml")) if not path.name.endswith(".tests.yaml")]
    return [
        pair
        for path in files
        for pair in bases_in(quick_yaml(path.read_text(encoding="utf-8")), str(path.relative_to(RULES)))
    ]


def unnamed(basis):
    """True where a published basis names neither a source that was read nor says whose name is withheld."""
    named = any(source in basis.get("source", "") for source in SOURCES)
    return not named and basis.get("caution") not in WITHHELD


def remembered(basis):
    """True where a basis rests on somebody's memory."""
    return "memory" in f"{basis.get('source', '')} {basis.get('caution', '')}".lower()


def test_every_published_basis_names_what_was_read():
    published = [(where, basis) for where, basis in written_bases() if basis["kind"] == "published"]
    print(f"\n{len(published)} published of {len(written_bases())} bases")
    assert len(published) >= 50, "the walk over the rule files misses bases"
    assert [(where, basis) for where, basis in published if unnamed(basis)] == []


def test_no_basis_rests_on_memory():
    assert [(where, basis) for where, basis in written_bases() if remembered(basis)] == []


def test_every_listed_source_is_used():
    sources = [basis.get("source", "") for _, basis in written_bases() if basis["kind"] == "published"]
    assert [name for name in SOURCES if not any(name in source for source in sources)] == []


def safety_musts():
    """(rule, requirement) for every must that guards life or crankshaft."""
    for rule in knowledge().rules:
        for need in rule.require:
            if need.safety or (need.level == "must" and rule.topic in SAFETY_TOPICS):
                yield rule, need


def test_no_safety_must_rests_on_memory_or_on_lore_alone():
    guarded = list(safety_musts())
    assert len(guarded) >= 7, "the safety musts are gone"
    for rule, need in guarded:
        assert rule.basis.kind in ("published", "computed", "judgement"), (rule.id, need.id)
        assert rule.basis.source and "memory" not in rule.basis.source + rule.basis.caution, rule.id


@pytest.mark.parametrize(
    "basis",
    [
        {"kind": "published", "source": "textbooks"},
        {"kind": "published", "source": "disc-spring practice", "caution": "the limit is judgement"},
        {"kind": "published"},
    ],
)
def test_a_nameless_source_would_be_seen(basis):
    assert unnamed(basis)


@pytest.mark.parametrize("key", ["source", "caution"])
def test_a_remembered_source_would_be_seen(key):
    assert remembered({"kind": "published", key: "a handbook, From memory"})
