"""The book of rules: every rule of a Knowledge as a document, by stage and topic, tables as tables.

Made from the typed rules alone. Rules that share title, reason and basis stand together; where they ask the same facts,
each once, and only conclude the same facts, they are rows of one table.
"""

from itertools import groupby
from typing import Any

from ...knowledge.model import Knowledge, Rule
from ..screens.rulebook import STAGES, RuleWords
from .blocks import Document, Paragraph, Quoted, bullets, paragraph, section, table

FORMATS = ("md", "html")


def rule_book(knowledge: Knowledge, system: str = "si") -> Document:
    """The `Document` of every rule, in a system of units."""
    words = RuleWords(knowledge, system)
    ordered = sorted(knowledge.rules, key=lambda rule: (rule.stage, rule.topic))
    sections = [
        section(f"{stage}-{topic}", (_said(topic.replace("_", " ")), f" ({STAGES[stage]})"), _topic(list(rules), words))
        for (stage, topic), rules in groupby(ordered, key=lambda rule: (rule.stage, rule.topic))
    ]
    head = paragraph(
        "What the advisor goes by, in the order of its stages and topics. Rules state conditions and what follows; "
        "sums are done by calculations, which the rules' facts name. Every rule of the file stands here: ",
        _said(str(len(knowledge.rules))),
        ".",
    )
    foot = paragraph("Rules of digest ", _said(knowledge.sha256), ".")
    return Document("lead", ("Rules",), (head,), tuple(sections), (foot,))


def book_as(document: Document, form: str) -> str:
    """The `Document` as text of one of `FORMATS`; html needs the extra sheets."""
    if form == "html":
        from .html import html

        return html(document)
    from .markdown import markdown

    return markdown(document)


def _said(text):
    return Quoted(text, "rules")


def _topic(rules, words):
    blocks = []
    for _, group in groupby(rules, key=lambda rule: (rule.title, rule.because, rule.basis)):
        blocks += _group(list(group), words)
    return blocks


def _group(rules: list[Rule], words):
    """The blocks of rules that share title, reason and basis."""
    first = rules[0]
    blocks = [Paragraph((_said(first.title),), "lead")]
    if len(rules) > 1 and _is_table(rules):
        blocks.append(_table(rules, words))
    else:
        for rule in rules:
            blocks += _rule(rule, words)
    blocks.append(paragraph("Because: ", _said(words.text(first.because))))
    blocks.append(paragraph("Basis: ", _said(words.basis(first))))
    kept_by = dict.fromkeys(words.kept_by(rule) for rule in rules if words.kept_by(rule))
    return blocks + [paragraph(_said(text), kind="note") for text in kept_by]


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


def _table(rules, words):
    columns = ["rule", *(_said(words.label(condition.fact)) for condition in rules[0].all)]
    columns += [("then ", _said(words.label(conclusion.fact))) for conclusion in rules[0].conclude]
    rows = [
        [
            _said(rule.id),
            *(_said(words.test(condition.fact, condition.test, condition.limit)) for condition in rule.all),
            *(_said(words.value(conclusion.fact, conclusion.value)) for conclusion in rule.conclude),
        ]
        for rule in rules
    ]
    return table(_said(rules[0].title), columns, rows)


def _rule(rule, words):
    blocks: list[Any] = [paragraph("Rule ", _said(rule.id), ", when:" if rule.all or rule.any else ", always:")]
    conditions = [_said(words.condition(condition)) for condition in rule.all]
    if rule.any:
        conditions.append(("any: ", _said("; or ".join(map(words.branch, rule.any)))))
    if conditions:
        blocks.append(bullets(conditions))
    return [*blocks, paragraph("Then:"), bullets([_said(text) for text in words.effects(rule)])]
