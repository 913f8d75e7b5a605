"""The lists at the end of the book of rules: questions, facts and what gives and reads them, sums, facings, limits."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from ...knowledge.model import Knowledge
from ..screens.rulebook import RuleWords
from .blocks import Anchored, Block, Linked, Paragraph, Quoted, Section, paragraph, section, table
from .rule_links import RuleLinks, read_of_calculation

if TYPE_CHECKING:
    from .rule_book import VersionListed

SOURCES = {
    "asked": "asked of the caller",
    "platform": "from the car's record",
    "factory_kit": "from the record of its factory clutch",
    "derived": "concluded or worked out",
    "kit": "from the kit's record",
    "figure": "worked out for a kit",
}
UNKNOWN = {"stop": "nothing is decided", "leave": "it is left open"}


def sections(knowledge: Knowledge, words: RuleWords, links: RuleLinks) -> list[Section]:
    """The `Section`s of the lists."""
    return [
        section("questions", "Questions", _questions(knowledge, words)),
        section("facts", "Facts, and what gives and reads them", list(_facts(knowledge, words, links))),
        section("sums", "Sums", _sums(knowledge, words)),
        section("facings", "Facings", list(_facings(knowledge, words))),
        section("ladder", "Tables over kits, and limits in the workshop", list(_tables(knowledge, words))),
    ]


def versions(listed: "Sequence[VersionListed]") -> list[Block]:
    """Every version, the last one first."""
    blocks: list[Block] = []
    for written in reversed(listed):
        who = f" by {written.who}" if written.who else ""
        head = f"Version {written.number}, {written.when}{who}: {written.why}"
        blocks.append(Paragraph((_said(head),), "lead"))
        blocks += [paragraph(_said(change)) for change in written.changes]
    return blocks


def _said(text):
    return Quoted(text, "rules")


def _fact(name, words):
    return Linked(words.label(name), "rules", f"fact-{name}")


def _givers(listed):
    parts: list[Any] = []
    for kind, name in listed:
        parts += [", "] if parts else []
        parts.append(Linked(name, "rules", f"{kind}-{name}"))
    return parts or [""]


def _questions(knowledge, words):
    rows = [
        [
            _fact(name, words),
            _said(question.plain),
            _said("; ".join(f"{choice.replace('_', ' ')}: {text}" for choice, text in question.options)),
            _said(_unknown(knowledge.facts[name], words)),
        ]
        for name, question in sorted(knowledge.questions.items(), key=lambda entry: (entry[1].topic, entry[0]))
    ]
    return table("Questions", ["fact", "as it is asked", "its answers", "where nobody answers"], rows)


def _unknown(fact, words):
    unknown = fact.if_unknown
    if unknown is None:
        return ""
    if unknown.do in UNKNOWN:
        return UNKNOWN[unknown.do]
    how = "taken at its worst" if unknown.do == "worst" else "assumed"
    return f"{how}: {words.value(fact.name, unknown.value)}"


def _facts(knowledge, words, links) -> Iterator[Block]:
    for source, title in SOURCES.items():
        rows = []
        for name, fact in sorted(knowledge.facts.items(), key=lambda entry: entry[1].label):
            read_by, given_by = links.read_by.get(name, ()), links.given_by.get(name, ())
            if fact.source != source or not (read_by or given_by or source == "asked"):
                continue
            said = Anchored(fact.label, "rules", f"fact-{name}")
            rows.append([said, _said(_range(fact, words)), _givers(given_by), _givers(read_by)])
        if rows:
            yield table(title, ["fact", "may be", "given by", "read by"], rows)


def _range(fact, words):
    if fact.choices:
        return words.value(fact.name, tuple(fact.choices))
    if fact.low is not None and fact.high is not None:
        return f"{words.value(fact.name, fact.low)} to {words.value(fact.name, fact.high)}"
    return {"flag": "yes or no", "number": fact.unit if fact.unit != "1" else "a number"}.get(fact.kind, "a text")


def _sums(knowledge, words):
    rows = []
    for each in (*knowledge.calculations, *knowledge.figure_calculations):
        reads: list[Any] = []
        for name in read_of_calculation(each):
            reads += [", "] if reads else []
            reads.append(_fact(name, words))
        named = Anchored(each.id, "rules", f"calculation-{each.id}")
        source = each.basis.source or each.basis.kind.replace("_", " ")
        rows.append([named, _said(each.title), reads or [""], _fact(each.gives, words), _said(source)])
    return table("Sums", ["sum", "what it is", "from", "gives", "basis"], rows)


def _facings(knowledge, words) -> Iterator[Block]:
    for facing in knowledge.facings.values():
        rows = [
            [
                _said(name.replace("_", " ")),
                _said(words.wording.number(value, facing.units.get(name, "1"), 4)),
                _said(facing.bases[name].source if name in facing.bases else ""),
            ]
            for name, value in facing.numbers.items()
        ]
        yield table(_said(facing.label), ["of the facing", "is", "basis"], rows)


def _tables(knowledge, words) -> Iterator[Block]:
    for name, each in knowledge.order.tables.items():
        rows = [
            [
                _said(
                    "; ".join(f"{words.label(field)} {words.value(field, values)}" for field, values in conditions)
                    or row_id
                ),
                _said(words.wording.number(value, each.unit, 4)),
            ]
            for row_id, conditions, value in each.rows
        ]
        yield table(_said(name.replace("_", " ")), ["kits", "is"], rows)
    rows = [
        [
            _said(name.replace("_", " ")),
            _said(f"{words.wording.number(limit.low, limit.unit)} to {words.wording.number(limit.high, limit.unit)}"),
            _said(limit.why),
        ]
        for name, limit in knowledge.workshop.items()
    ]
    yield table("Limits in the workshop", ["limit", "from and to", "basis"], rows)
