"""The book of rules: every rule of a Knowledge as a document, by stage and topic, tables as tables; what feeds what;
questions, facts and sums; who wrote what, and when.

Made from the typed rules alone. Rules that share title, reason and basis stand together; where they ask the same facts,
each once, and only conclude the same facts, they are rows of one table. Every fact leads to the rules that give and
read it, every rule to the facts it reads and gives.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from ...knowledge.model import Knowledge, Rule
from ..screens.rulebook import STAGES, RuleWords
from . import rule_book_lists
from .blocks import Anchored, Block, Document, Linked, Paragraph, Quoted, bullets, paragraph, pieces, section, table
from .rule_links import RuleLinks, read_of_rule

FORMATS = ("md", "html", "pdf")
#: Rules named beside a group before the rest is left to the list of facts.
NAMED = 8


@dataclass(frozen=True, slots=True)
class VersionListed:
    """A version of a shop's rules, as the book tells it: when it was adopted, by whom, why, and what it changed."""

    number: int
    when: str
    who: str
    why: str
    changes: tuple[str, ...] = ()


def rule_book(
    knowledge: Knowledge,
    system: str = "si",
    *,
    of: str = "",
    versions: Sequence[VersionListed] = (),
    since: Mapping[str, int] | None = None,
    pictures: bool = False,
) -> Document:
    """The `Document` of every rule, in a system of units.

    ``of``: the shop and its rules; ``versions`` of a shop's own rules, the first one first; ``since``: house rule ->
    the version that wrote it so; ``pictures``: with drawings of what feeds what.
    """
    maker = _Maker(knowledge, system, {written.number: written for written in versions}, since or {}, pictures)
    ordered = sorted(knowledge.rules, key=lambda rule: (rule.stage, rule.topic))
    topics = [(key, list(rules)) for key, rules in groupby(ordered, key=lambda rule: (rule.stage, rule.topic))]
    sections = [
        section("topics", "Topics", maker.contents(topics), maker.overview(topics)),
        *(section(anchor(*key), maker.heading(*key), maker.topic(key, rules)) for key, rules in topics),
        *rule_book_lists.sections(knowledge, maker.words, maker.links),
        *([section("versions", "Who wrote what, and when", rule_book_lists.versions(versions))] if versions else []),
    ]
    head = paragraph(
        *([_said(of), " "] if of else []),
        "What the advisor goes by, in the order of its stages and topics. Rules state conditions and what follows; "
        "sums are done by calculations, which the rules' facts name. Every rule of the file stands here: ",
        _said(str(len(knowledge.rules))),
        ".",
    )
    foot = paragraph("Rules of digest ", _said(knowledge.sha256), ".")
    return Document("lead book", ("Rules",), (head,), tuple(sections), (foot,))


def book_as(document: Document, form: str, paper: str = "a4") -> str | bytes:
    """The `Document` as one of `FORMATS`; html and pdf need the extra sheets."""
    if form == "md":
        from .markdown import markdown

        return markdown(document)
    from .sheet import finished

    return finished(document, form, paper=paper)


def anchor(stage: str, topic: str) -> str:
    """The id of a topic's section."""
    return f"{stage}-{topic}"


def _said(text):
    return Quoted(text, "rules")


class _Maker:
    """Makes the blocks of the rules of one `Knowledge`."""

    def __init__(self, knowledge, system, versions, since, pictures):
        self.knowledge, self.versions, self.since, self.pictures = knowledge, versions, since, pictures
        self.words = RuleWords(knowledge, system)
        self.links = RuleLinks(knowledge)
        self.rules = {rule.id: rule for rule in knowledge.rules}

    # --- topics

    def heading(self, stage: str, topic: str) -> Any:
        """A topic's heading."""
        return _said(topic.replace("_", " ")), f" ({STAGES[stage]})"

    def contents(self, topics) -> Block:
        """Every topic with a link, and how many rules it has."""
        return bullets(
            [
                (
                    Linked(topic.replace("_", " "), "rules", anchor(stage, topic)),
                    f" ({STAGES[stage]}), rules: ",
                    _said(str(len(rules))),
                )
                for (stage, topic), rules in topics
            ]
        )

    def overview(self, topics) -> list[Block]:
        """Which topics feed which, as a drawing."""
        if not self.pictures:
            return []
        from ..pictures.feeds import feeds_drawing

        joined = {key for key, feeders in self.links.topics.items() if feeders}
        joined |= {feeder for feeders in self.links.topics.values() for feeder in feeders}
        labels = {
            anchor(*key): f"{key[1].replace('_', ' ')}" + (" (set-up)" if key[0] == "setup" else "") for key in joined
        }
        fed_by = {anchor(*key): [anchor(*feeder) for feeder in self.links.topics[key]] for key in joined}
        alone = [_said(topic.replace("_", " ")) for (stage, topic), _ in topics if (stage, topic) not in joined]
        alt = pieces(
            "Each topic names in its own part what feeds it and what it feeds. Neither fed nor feeding: ",
            _listed(alone),
            ".",
        )
        return [feeds_drawing("feeds-topics", "Which topics feed which", labels, fed_by, frozenset(), alt)]

    def topic(self, key, rules: list[Rule]) -> list[Block]:
        """The blocks of one topic: what feeds it and what it feeds, then its rules."""
        blocks: list[Any] = [*self._fed(key)]
        groups = [list(group) for _, group in groupby(rules, key=lambda rule: (rule.title, rule.because, rule.basis))]
        if self.pictures and len(groups) > 2:
            blocks += self._drawing(key, groups)
        for group in groups:
            blocks += self._group(group)
        return blocks

    def _fed(self, key):
        feeders = self.links.topics[key]
        fed = [other for other, their in sorted(self.links.topics.items()) if key in their]
        for text, others in (("Fed by: ", sorted(feeders)), ("Feeds: ", fed)):
            if others:
                linked = [Linked(f"{other[1].replace('_', ' ')}", "rules", anchor(*other)) for other in others]
                yield paragraph(text, _listed(linked), ".", kind="note")

    def _drawing(self, key, groups):
        from ..pictures.feeds import feeds_drawing

        of_rule = {rule.id: f"group-{place}" for place, group in enumerate(groups) for rule in group}
        labels = {f"group-{place}": group[0].title for place, group in enumerate(groups)}
        fed_by: dict[str, list[str]] = {name: [] for name in labels}
        outside = set()
        for rule in (rule for group in groups for rule in group):
            for giver in self._givers(rule):
                other = self.rules[giver]
                source = of_rule.get(giver)
                if source is None:
                    source = anchor(other.stage, other.topic)
                    labels[source] = other.topic.replace("_", " ")
                    outside.add(source)
                fed_by[of_rule[rule.id]].append(source)
        if not any(fed_by.values()):
            return []
        title = f"What feeds what in {key[1].replace('_', ' ')}"
        return [feeds_drawing(f"feeds-{anchor(*key)}", title, labels, fed_by, frozenset(outside), pieces())]

    def _givers(self, rule):
        """Ids of the rules that feed one, calculations between them gone through."""
        inputs = {each.id: each for each in (*self.knowledge.calculations, *self.knowledge.figure_calculations)}
        from .rule_links import read_of_calculation

        waiting, seen, givers = list(read_of_rule(rule)), set(), []
        while waiting:
            name = waiting.pop()
            if name in seen:
                continue
            seen.add(name)
            for kind, giver in self.links.given_by.get(name, ()):
                if kind == "calculation":
                    waiting += read_of_calculation(inputs[giver])
                elif giver != rule.id:
                    givers.append(giver)
        return sorted(set(givers))

    # --- rules

    def _group(self, rules: list[Rule]) -> list[Block]:
        """The blocks of rules that share title, reason and basis."""
        first, words = rules[0], self.words
        blocks: list[Any] = [Paragraph((_said(first.title),), "lead")]
        if len(rules) > 1 and _is_table(rules):
            blocks.append(self._table(rules))
        else:
            for rule in rules:
                blocks += self._rule(rule)
        blocks.append(paragraph("Because: ", _said(words.text(first.because))))
        blocks.append(paragraph("Basis: ", _said(words.basis(first))))
        kept_by = dict.fromkeys(words.kept_by(rule) for rule in rules if words.kept_by(rule))
        blocks += [paragraph(_said(text), kind="note") for text in kept_by]
        return [*blocks, *self._read_by(rules), *self._written_by(rules)]

    def _read_by(self, rules):
        """Which rules and calculations read what these conclude."""
        given = dict.fromkeys(conclusion.fact for rule in rules for conclusion in rule.conclude)
        readers = [reader for name in given for reader in self.links.read_by.get(name, ())]
        readers = [reader for reader in dict.fromkeys(readers) if reader[1] not in {rule.id for rule in rules}]
        if readers:
            shown = [Linked(name, "rules", f"{kind}-{name}") for kind, name in readers[:NAMED]]
            more = ["; the others stand with the facts"] if len(readers) > NAMED else []
            yield paragraph("Read by: ", _listed(shown), *more, ".", kind="note")

    def _written_by(self, rules):
        """Who wrote the rules of the house among them, and when."""
        for rule in rules:
            number = self.since.get(rule.id)
            version = self.versions.get(number) if number else None  # version 0 is what nobody wrote here
            place = self.knowledge.replaced.get(rule.id)
            parts: list[Any] = []
            if place:
                parts += ["In the place of the shipped ", _said(place), ". "]
            if version is not None:
                parts += ["So since ", Linked(f"version {version.number}", "rules", "versions"), ", "]
                parts += [_said(f"{version.when} by {version.who}: {version.why.rstrip('.')}"), "."]
            if parts:
                yield paragraph(_said(rule.id), ": ", *parts, kind="note")

    def _table(self, rules):
        columns: list[Any] = ["rule", *(self._fact(condition.fact) for condition in rules[0].all)]
        columns += [("then ", self._fact(conclusion.fact)) for conclusion in rules[0].conclude]
        words = self.words
        rows = [
            [
                Anchored(rule.id, "rules", f"rule-{rule.id}"),
                *(_said(words.test(condition.fact, condition.test, condition.limit)) for condition in rule.all),
                *(_said(words.value(conclusion.fact, conclusion.value)) for conclusion in rule.conclude),
            ]
            for rule in rules
        ]
        return table(_said(rules[0].title), columns, rows)

    def _fact(self, name):
        return Linked(self.words.label(name), "rules", f"fact-{name}")

    def _rule(self, rule):
        words = self.words
        named = Anchored(rule.id, "rules", f"rule-{rule.id}")
        blocks: list[Any] = [paragraph("Rule ", named, ", when:" if rule.all or rule.any else ", always:")]
        conditions: list[Any] = [
            (self._fact(each.fact), ": ", _said(words.test(each.fact, each.test, each.limit))) for each in rule.all
        ]
        if rule.any:
            conditions.append(("any: ", _said("; or ".join(map(words.branch, rule.any)))))
        if conditions:
            blocks.append(bullets(conditions))
        given = [(self._fact(each.fact), " is ", _said(words.value(each.fact, each.value))) for each in rule.conclude]
        effects = [_said(text) for text in words.effects(rule)[len(rule.conclude) :]]
        return [*blocks, paragraph("Then:"), bullets([*given, *effects])]


def _listed(linked):
    return [part for place, each in enumerate(linked) for part in ((", ", each) if place else (each,))]


def _is_table(rules):
    """Do all ask the same facts, each once, and only conclude the same facts?"""
    asked = [tuple(condition.fact for condition in rule.all) for rule in rules]
    concluded = [tuple(conclusion.fact for conclusion in rule.conclude) for rule in rules]
    return (
        len({*asked}) == len({*concluded}) == 1
        and len({*asked[0]}) == len(asked[0])
        and bool(concluded[0])
        and not any(rule.any or rule.require or rule.cautions or rule.items for rule in rules)
    )
