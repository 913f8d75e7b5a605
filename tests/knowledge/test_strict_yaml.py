"""YAML means what it says, and nothing else."""

import importlib.util
import random
import sys
from decimal import Decimal

import pytest
import yaml
from hypothesis import given, settings, strategies as st

from advisor.errors import AdvisorError, InputError, KnowledgeError, Position, StoreError
from advisor.knowledge import strict_yaml


def plain(text, **options):
    return strict_yaml.loads(text, **options).plain()


@pytest.fixture(params=["as installed", "without the C parser"])
def reader(request, monkeypatch):
    """The reader of YAML, and the same where the library was built without its C parser."""
    if request.param == "as installed":
        return strict_yaml
    monkeypatch.delattr(yaml, "CSafeLoader", raising=False)
    spec = importlib.util.spec_from_file_location("advisor.knowledge.strict_yaml", strict_yaml.__file__)
    module = importlib.util.module_from_spec(spec)
    monkeypatch.setitem(
        sys.modules, "advisor.knowledge.strict_yaml", module
    )  # its dataclasses look themselves up there
    spec.loader.exec_module(module)
    return module


def test_words_stay_words_and_numbers_keep_their_digits():
    text = "a: yes\nb: Off\nc: 0.10\nd: 1e3\ne: true\nf: 1.0e+3\ng: -5\nh: '010'\ni: 430,5 Nm\nj: [on, no]\nk: 2.0 l\n"
    assert plain(text) == {
        "a": "yes",
        "b": "Off",
        "c": Decimal("0.10"),
        "d": "1e3",
        "e": "true",
        "f": "1.0e+3",
        "g": -5,
        "h": "010",
        "i": "430,5 Nm",
        "j": ["on", "no"],
        "k": "2.0 l",
    }
    assert strict_yaml.number(plain("0.1")) == 0.1


def test_places_of_keys_and_values(reader):
    root = reader.loads("über: 1\nb:\n  - {c: zwölf, d: [x, y]}\n", "f.yaml")
    assert root.at(("über",)).key == Position("f.yaml", 1, 1)
    assert root.at(("über",)).position == Position("f.yaml", 1, 7)
    assert root.at(("b", 0, "c")).position == Position("f.yaml", 3, 9)
    assert root.at(("b", 0, "d")).key == Position("f.yaml", 3, 16)
    assert root.at(("b", 0, "d", 1)).position == Position("f.yaml", 3, 23)
    assert root.at(("b", 7, "none")).position == Position("f.yaml", 3, 3)


@pytest.mark.parametrize(
    "text",
    [
        "a: 010",
        "a: 0o10",
        "a: -017",
        "a: 0x1F",
        "a: 0b11",
        "a: 22:22",
        "a: 12:30:45",
        "a: 2024-01-02",
        "a: .inf",
        "a: -.INF",
        "a: .nan",
        "a: 1_000",
        "a: .5",
        "a: 5.",
        "a: ~",
        "a: null",
        "a:",
        "010: a",
        "2024-01-02: a",
        "a: 123456789012345678901",
    ],
)
def test_what_yaml_would_turn_into_something_else_is_refused(text, reader):
    with pytest.raises(InputError) as caught:
        reader.loads(text)
    assert caught.value.where.line == 1 and caught.value.remedy


@pytest.mark.parametrize("text", ["010", "0x1F", "22:22", "2024-01-02", ".inf", "1_000", "~", ""])
def test_in_quotes_they_are_text(text):
    assert plain(f"a: '{text}'") == {"a": text}


def test_empty_values_only_where_they_are_allowed():
    assert plain("expect: {pick: , next: null, more: [~]}", nulls=("expect",)) == {
        "expect": {"pick": None, "next": None, "more": [None]}
    }
    assert plain("expect:", nulls=("expect",)) == {"expect": None}
    with pytest.raises(InputError, match="a value is missing"):
        plain("expect: {a: 1}\nother: ", nulls=("expect",))


def test_depth_and_size_are_limited_without_recursion():
    deepest = "[" * 32 + "]" * 32
    assert plain(deepest)
    for text in ("[" * 33 + "]" * 33, "[" * 100_000, "{a: " * 5000, "- " * 5000, "? " * 5000):
        with pytest.raises(KnowledgeError) as caught:
            plain(text, error=KnowledgeError)
        assert caught.value.where.line == 1
    big = "a: " + "x" * strict_yaml.KNOWLEDGE_LIMIT
    with pytest.raises(InputError, match="larger than 512 kB"):
        plain(big)
    assert plain(big, limit=strict_yaml.RECORDS_LIMIT)["a"].startswith("xxx")


def test_files_that_cannot_be_read(tmp_path):
    with pytest.raises(StoreError, match="is not there"):
        strict_yaml.load(tmp_path / "none.yaml")
    with pytest.raises(StoreError, match="cannot be read"):
        strict_yaml.load(tmp_path)


def test_a_duplicate_key_names_both_places():
    with pytest.raises(InputError) as caught:
        plain("a:\n  b: 1\n  c: 2\n  b: 3\n", name="f.yaml")
    assert str(caught.value).startswith("f.yaml:4:3: the key 'b' stands here a second time (first in line 2).")


def test_utf8_error_and_tab_have_line_and_column():
    for data, place in (
        (b"a: 1\nb: \xff", Position("f", 2, 4)),
        ("a: 1\nb: é\tc".encode(), Position("f", 2, 5)),
        (b"a: b\x00", Position("f", 1, 5)),
    ):
        with pytest.raises(InputError) as caught:
            plain(data, name="f")
        assert caught.value.where == place


PIECES = [
    "a",
    "b",
    ": ",
    "- ",
    "\n",
    "  ",
    "[",
    "]",
    "{",
    "}",
    ",",
    "&x ",
    "*x",
    "!!str ",
    "'",
    '"',
    "|",
    ">",
    "#",
    "?",
    "0",
    "1",
    "010",
    "1:2",
    ".5",
    "yes",
    "~",
    "\t",
    "\\",
    "%",
    "@",
    "---",
    "...",
    "<<",
    "é",
    "\u2028",
    "\x07",
    "\ufeff",
    "\x85",
    "\\ud800",
]


def survives(data):
    """Either a tree or an AdvisorError that names the file; nothing else."""
    try:
        root = strict_yaml.loads(data, "f.yaml")
    except AdvisorError as error:
        assert error.where.file == "f.yaml" and error.what
        return
    assert root.position.line >= 1


@settings(max_examples=300, deadline=None, derandomize=True)
@given(
    st.one_of(
        st.text(max_size=200), st.binary(max_size=200), st.lists(st.sampled_from(PIECES), max_size=40).map("".join)
    )
)
def test_no_input_raises_anything_else(data):
    survives(data)


def fuzz(examples=20_000, seed=1):
    """The long count: random strings of YAML pieces, with both parsers."""
    chance = random.Random(seed)
    for _ in range(examples):
        survives("".join(chance.choices(PIECES, k=chance.randint(1, 60))))
    return examples


class Quoting(yaml.SafeDumper):
    """PyYAML's writer with texts in double quotes and without aliases."""

    def ignore_aliases(self, data):
        return True


Quoting.add_representer(str, lambda dumper, text: dumper.represent_scalar("tag:yaml.org,2002:str", text, style='"'))


@settings(max_examples=150, deadline=None, derandomize=True)
@given(
    st.recursive(
        st.one_of(st.integers(-(10**6), 10**6), st.text(alphabet="abcxyz éß'\"{}[]:#&*!|>%@`-?,", max_size=12)),
        lambda inner: st.one_of(
            st.lists(inner, max_size=4),
            st.dictionaries(st.text(alphabet="abcdef", min_size=1, max_size=4), inner, max_size=4),
        ),
        max_leaves=12,
    ),
    st.booleans(),
)
def test_what_a_yaml_library_writes_is_read_back(value, flow):
    """PyYAML's writer is the outside reference for the layout; every kind of bracket, quote and indent comes by."""
    assert plain(yaml.dump(value, Dumper=Quoting, allow_unicode=True, default_flow_style=flow)) == value
