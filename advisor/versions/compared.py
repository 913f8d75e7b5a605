"""What differs between two sets of rules, in words: rules, tables, facts, questions, limits, wording of reasons.

Each entry is laid out as what it says, part by part; what differs of it is told as "from" and "to".
"""

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..casebook.rule_changes import KIND_OF_STAGE
from ..knowledge.model import Basis, Condition, Knowledge, Rule
from ..knowledge.sentences import wrap
from ..knowledge.wording import PLACEHOLDER
from ..reporting.screens.rulebook import RuleWords
from .reach import SafetyReach

#: Parts that say who looks after an entry, not what it says, and those told under words of their own.
ASIDE = ("position", "hash", "name", "id", "speech", "stage", "function")
PLAIN = {
    "if_unknown": "where nobody answers",
    "plausible": "what it may turn out to be",
    "low": "least",
    "high": "most",
    "shown_as": "shown as",
    "needs_one_of": "needs one of",
    "because": "reason",
    "plain": "the question",
    "short": "the question in short",
    "of_kits": "for kits with",
}


@dataclass(frozen=True, slots=True)
class PartChanged:
    """One part of an entry: ``what`` it is, and what it said ``before`` and says ``after``; None where it did not."""

    what: str
    before: str | None
    after: str | None

    @property
    def sentence(self) -> str:
        """ "pedal force floor: 150 N becomes 140 N" """
        if self.before is None:
            return f"{self.what}: new, {self.after}"
        if self.after is None:
            return f"{self.what}: gone, it was {self.before}"
        return f"{self.what}: {self.before} becomes {self.after}"


@dataclass(frozen=True, slots=True)
class EntryChanged:
    """An entry of the rules that is not the same: ``kind`` and ``id``; ``how``: added, removed or edited.

    ``title`` in plain words; ``place_of``: the shipped rule that a house rule stands in the place of, or empty;
    ``safety``: it bears on a safety measure, on either side.
    """

    kind: str
    id: str
    title: str
    how: str
    parts: tuple[PartChanged, ...]
    safety: bool
    place_of: str = ""

    @property
    def name(self) -> str:
        """Kind and id."""
        return f"{self.kind} {self.id}"

    @property
    def head(self) -> str:
        """ "rule pedal-light (How heavy a pedal may be), in the place of pedal-light-shipped" """
        place = f", in the place of the shipped {self.place_of}" if self.place_of else ""
        title = f" ({self.title})" if self.title and self.title != self.id else ""
        how = {"added": "new ", "removed": "gone: ", "edited": ""}[self.how]
        return f"{how}{self.kind} {self.id}{title}{place}" + ("; bears on safety" if self.safety else "")

    def data(self) -> dict[str, Any]:
        """As JSON data."""
        return dataclasses.asdict(self)


def compared(old: Knowledge, new: Knowledge, system: str = "si") -> list[EntryChanged]:
    """Every `EntryChanged` from one `Knowledge` to another, by kind and id; numbers in a system of units."""
    sides = (_laid_out(old, system), _laid_out(new, system))
    reaches = (SafetyReach(old), SafetyReach(new))
    # A house rule in the place of a shipped one is the same entry, said otherwise.
    old_rules, new_rules = ({rule.id for rule in knowledge.rules} for knowledge in (old, new))
    place_of = {by: of for by, of in new.replaced.items() if by not in old_rules and of in old_rules}
    back = {of: by for by, of in old.replaced.items() if by not in new_rules and of in new_rules}
    told_with_another = {*place_of.values(), *back.values()}
    changes = []
    for kind in sides[0]:
        before, after = sides[0][kind], sides[1][kind]
        for name in sorted({*before, *after}):
            if name in told_with_another and name not in after:
                continue
            other = name if name in before else place_of.get(name) or back.get(name, name)
            entry = _entry(kind, name, before.get(other), after.get(name), place_of.get(name, ""))
            if entry is not None:
                bears = any(reach.touches(kind, entry_name) for reach, entry_name in zip(reaches, (other, name)))
                changes.append(dataclasses.replace(entry, safety=bears))
    return changes


def _entry(kind, name, before, after, place_of):
    if before == after:
        return None
    title = (after or before)[0]
    parts = []
    old, new = (side[1] if side else {} for side in (before, after))
    for what in dict.fromkeys((*old, *new)):
        if old.get(what) != new.get(what):
            parts.append(PartChanged(what, old.get(what), new.get(what)))
    how = "added" if before is None else "removed" if after is None else "edited"
    if how == "edited" and not parts:
        return None
    return EntryChanged(kind, name, title, how, tuple(parts), False, place_of)


# --- what an entry says, part by part


def _laid_out(knowledge, system) -> dict[str, dict[str, tuple[str, dict[str, str]]]]:
    """Kind -> id -> (title, {part: what it says})."""
    words = RuleWords(knowledge, system)
    kinds: dict[str, dict[str, Any]] = {kind: {} for kind in KIND_OF_STAGE.values()}
    for rule in knowledge.rules:
        kinds[KIND_OF_STAGE[rule.stage]][rule.id] = (rule.title, _rule(rule, words))
    kinds["calculation"] = {each.id: (each.title, _calculation(each, words)) for each in knowledge.calculations}
    kinds["figure"] = {each.gives: (each.title, _calculation(each, words)) for each in knowledge.figure_calculations}
    not_written = ("kit", "figure")
    kinds["fact"] = {
        name: (fact.label, _fields(fact, words, name))
        for name, fact in knowledge.facts.items()
        if fact.source not in not_written
    }
    fields = {**knowledge.kit_fields, **knowledge.figures}
    kinds["kit field"] = {name: (word.label, _fields(word, words, name)) for name, word in fields.items()}
    kinds["question"] = {
        name: (words.label(name), _fields(question, words, name)) for name, question in knowledge.questions.items()
    }
    kinds["facing"] = {name: (facing.label, _facing(facing, words)) for name, facing in knowledge.facings.items()}
    kinds["table"] = {
        name: (name.replace("_", " "), _table(table, words)) for name, table in knowledge.order.tables.items()
    }
    kinds["step"] = {
        name: (words.label(name), _fields(step, words, name)) for name, step in knowledge.order.steps.items()
    }
    kinds["concerns"] = {"order": ("what comes first", {"in order": ", ".join(knowledge.order.concerns)})}
    kinds["limit"] = {
        name: (name.replace("_", " "), _fields(limit, words, name)) for name, limit in knowledge.workshop.items()
    }
    kinds["estimate"] = {
        each.id: (words.label(each.field), _fields(each, words, each.field)) for each in knowledge.estimates
    }
    return kinds


def _rule(rule: Rule, words: RuleWords) -> dict[str, str]:
    parts: dict[str, str] = {}

    def put(what, text):
        name, count = what, 2
        while name in parts:
            name, count = f"{what} ({count})", count + 1
        parts[name] = text

    for condition in rule.all:
        put(f"when {words.label(condition.fact)}", words.test(condition.fact, condition.test, condition.limit))
    if rule.any:
        put("when any", "; or ".join(map(words.branch, rule.any)))
    for conclusion in rule.conclude:
        put(words.label(conclusion.fact), words.value(conclusion.fact, conclusion.value))
    for required in rule.require:
        kits = "; ".join(f"{words.label(name)} {words.value(name, values)}" for name, values in required.of_kits)
        level = "must, for safety" if required.safety else required.level
        level += f", {required.concern}" if required.concern else ""
        limit = words.test(required.measure, required.compare, required.limit)
        put(words.label(required.measure), f"{limit} ({level})" + (f", for kits with {kits}" if kits else ""))
    for caution in rule.cautions:
        put("caution" + (" for safety" if caution.safety else ""), f'"{words.text(caution.text)}"')
    for item in rule.items:
        put(f"{(item.part or item.kind).replace('_', ' ')} ({item.level})", f'"{words.text(item.text)}"')
    if rule.contradiction:
        for reading in rule.contradiction.readings:
            put("reading", f'"{words.text(reading)}"')
        put("asked again", words.label(rule.contradiction.settle))
        put("could undersize", "yes" if rule.contradiction.undersizes else "no")
    parts |= {"title": f'"{rule.title}"', "reason": f'"{words.text(rule.because)}"', "basis": words.basis(rule)}
    if words.kept_by(rule):
        parts["kept by"] = words.kept_by(rule)
    return parts


def _calculation(calculation, words):
    parts = {"what is worked out": calculation.function.replace(".", ", ").replace("_", " ")}
    for keyword, given in calculation.inputs:
        parts[f"with {keyword.replace('_', ' ')}"] = _input(given, words)
    return parts | {"reason": f'"{calculation.because}"', "basis": _basis(calculation.basis)}


def _input(given, words):
    if given.first_of:
        return "the first known of " + ", ".join(_input(each, words) for each in given.first_of)
    if given.source in ("value", "choice"):
        return words.wording.number(given.value, given.unit) if given.source == "value" else str(given.value)
    if given.source == "facing":
        return f"the facing's {given.name.replace('_', ' ')}"
    return (
        words.label(given.name) if given.source in ("fact", "figure") else f"{given.source} {words.label(given.name)}"
    )


def _facing(facing, words):
    parts = {
        name.replace("_", " "): words.wording.number(value, facing.units.get(name, "1"), 4)
        for name, value in facing.numbers.items()
    }
    if facing.curve:
        parts["by temperature"] = ", ".join(f"{at:g} degC {factor:g}" for at, factor in facing.curve)
    return parts | {f"basis of {name.replace('_', ' ')}": _basis(basis) for name, basis in facing.bases.items()}


def _table(table, words):
    rows = {
        "; ".join(f"{words.label(name)} {words.value(name, values)}" for name, values in conditions) or row_id: (
            words.wording.number(value, table.unit, 4)
        )
        for row_id, conditions, value in table.rows
    }
    return rows | {"reason": f'"{table.because}"', "basis": _basis(table.basis)}


def _basis(basis: Basis) -> str:
    return "; ".join(part for part in (basis.kind.replace("_", " "), basis.source, basis.caution) if part)


def _fields(entry, words, name) -> dict[str, str]:
    """The parts of any other entry, each in words."""
    parts = {}
    for part in dataclasses.fields(entry):
        value = getattr(entry, part.name)
        default = part.default if part.default is not dataclasses.MISSING else None
        if part.name in ASIDE or value in (None, "", ()) or (value == default and not isinstance(value, bool)):
            continue
        parts[PLAIN.get(part.name, part.name.replace("_", " "))] = _said(value, words, name)
    return parts


def _said(value: Any, words: RuleWords, name: str) -> str:
    """Any value in words; numbers as the word ``name`` is written."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        try:
            return words.value(name, value)
        except (KeyError, TypeError, ValueError, AttributeError):
            return f"{value:g}"
    if isinstance(value, str):
        return PLACEHOLDER.sub(lambda match: f"[{words.label(match[1])}]", value)
    if isinstance(value, Basis):
        return _basis(value)
    if isinstance(value, Mapping):
        return ", ".join(f"{key}: {_said(part, words, name)}" for key, part in value.items())
    if isinstance(value, (tuple, list, frozenset)):
        return "; ".join(_said(part, words, name) for part in value)
    if dataclasses.is_dataclass(value):
        if isinstance(value, Condition):
            return words.condition(value)
        said = _fields(value, words, name)
        return ", ".join(f"{what}: {text}" for what, text in said.items()) or getattr(value, "name", "")
    return str(value)


# --- to be read


def lines(changes: list[EntryChanged], width: int = 80, *, longest: int | None = None) -> list[str]:
    """The changes as text, what bears on safety first; ``longest``: entries shown before the rest is only counted."""
    ordered = sorted(changes, key=lambda change: (not change.safety, change.kind, change.id))
    shown = ordered if longest is None else ordered[:longest]
    text = []
    for change in shown:
        text.append(wrap(change.head, width, "", "  "))
        if change.how == "removed":
            continue
        parts = [part for part in change.parts if change.how == "edited" or part.after is not None]
        for part in parts:
            said = part.sentence if change.how == "edited" else f"{part.what}: {part.after}"
            text.append(wrap(said, width, "    ", "      "))
    if len(ordered) > len(shown):
        text.append(f"and {len(ordered) - len(shown)} more.")
    return text


def sentences(changes: list[EntryChanged]) -> list[str]:
    """The changes in one sentence a part, as they are kept with a version."""
    listed = []
    for change in changes:
        edited = (
            [f"{change.head}: {part.sentence}" for part in change.parts] if change.how == "edited" else [change.head]
        )
        listed += [sentence[:1_000] for sentence in edited]
    return listed
