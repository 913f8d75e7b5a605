"""Why a question is asked: what its answer separates among the callers drawn, and the rules concerned."""

from typing import TYPE_CHECKING, Any

from ..deciding.verdicts import UNKNOWN
from ..knowledge.sentences import joined, wrap
from ..knowledge.wording import PLACEHOLDER
from . import next_question
from .how_it_stands import MOST_NAMED, in_hundred
from .names import CAR
from .prompts import Teller

if TYPE_CHECKING:
    from .next_question import Outlook

#: Rules named in full.
MOST_RULES = 4

#: Said of the one of two callers who is told nothing more.
WITHOUT = "without that"


def why(teller: Teller, name: str | None, view: "Outlook", width: int) -> str:
    """The text for a fact (or the car, or None) in an Outlook."""
    if name is None or view.known is None:
        reason = "The car decides which kits can be fitted at all." if name == CAR else "Nothing is asked now."
        return wrap(reason, width)
    candidate = next((candidate for candidate in view.candidates if candidate.fact == name), None)
    lines = []
    if name == view.question and view.reason == next_question.NEEDED:
        lines.append(wrap("No kit can be named without it, or without another answer that tells the same.", width))
    elif name == view.question and view.reason == next_question.SAFETY:
        lines.append(wrap("It is asked whatever it changes, because somebody's safety hangs on it.", width))
    if candidate is None or candidate.witness is None:
        if not lines and name == view.question and view.reason == next_question.SETTLES:
            reason = "A few callers in 100 who said the same would be sold another kit because of this answer."
            lines.append(wrap(reason, width))
        if not lines:
            lines.append(wrap("As far as can be seen no answer to it changes the advice any more.", width))
        return "\n".join(lines + _rules(_reading(teller, name), width))
    reason = f"This answer alone changes the advice for {in_hundred(candidate.effect)} in 100 callers who said the same"
    reason += f", and the kit for {in_hundred(candidate.pick_effect)}." if candidate.pick_effect else "."
    lines.append(wrap(reason, width))
    before, after = candidate.witness.before, candidate.witness.after
    for row, other in ((before, after), (after, before)):
        drawn = view.callers.value(name, row, teller.knowledge)
        answer = "not known" if drawn is None else teller.value(name, drawn)
        lines.append(wrap(f"{answer}: {_outcome_beside(teller, view.callers, row, other)}", width, "  ", "    "))
    kits = separated(name, view)
    if len(kits) > 1:
        lines.append(wrap(f"It separates {joined((kit or 'no kit' for kit in kits), most=MOST_NAMED)}.", width))
    return "\n".join(lines + _rules(_concerned(teller, name, view, candidate.witness) or _reading(teller, name), width))


def separated(name: str, view: "Outlook") -> list[str]:
    """Ids of the kits between which an answer decided among the callers drawn, most often first ("" for no kit)."""
    counts: dict[str, Any] = {}
    outcomes = view.callers.outcomes
    for rows in view.callers.pairs[name]:
        picks = [outcomes[row].pick or "" for row in rows]
        if picks[0] != picks[1]:
            for pick in picks:
                counts[pick] = counts.get(pick, 0) + 1
    return sorted(counts, key=lambda count: (-counts[count], count))


def _outcome_beside(teller, callers, row, other):
    """What one of two callers is told and the other is not."""
    outcome, beside = callers.outcomes[row], callers.outcomes[other]
    if outcome[:2] != beside[:2]:
        return teller.outcome(outcome)
    facts = callers.batched.derived.facts(row)
    item_texts = []
    for rule in teller.knowledge.rules:
        for held, items in (
            (outcome.required - beside.required, rule.items),
            (outcome.cautions - beside.cautions, rule.cautions),
        ):
            item_texts += [_filled(item.text, rule, facts, teller) for item in items if item.id in held]
    return "with it: " + " ".join(dict.fromkeys(item_texts)) if item_texts else WITHOUT


def _filled(text, rule, facts, teller):
    """The text with its values; where it tells something of the kit, which is not worked out here, the rule's title."""
    if all(name in facts for name in PLACEHOLDER.findall(text)):
        return teller.wording.fill(text, facts)
    return f"{rule.title}."


def _concerned(teller, name, view, witness):
    """Rules that hold, or whose requirement is met, for one of two callers only; those that read the answer first."""
    both = view.in_full(witness.before, witness.after)
    rules = []
    for rule in teller.knowledge.rules:
        if rule.stage == "case":
            before, after = both.derived.fired(rule.id)
            if before != after:
                rules.append(rule)
    for checked in both.checks:
        before, after = checked.status
        # A price is there only for what passes: what is not known for one of them says nothing about its rule.
        if ((before != after) & (before != UNKNOWN) & (after != UNKNOWN)).any():
            rule = teller.rules[checked.requirement.rule]
            if rule not in rules:
                rules.append(rule)
    return sorted(rules, key=lambda rule: not _reads(rule, name))


def _reads(rule, name):
    return any(condition.fact == name for condition in rule.conditions)


def _reading(teller, name):
    return [rule for rule in teller.knowledge.rules if _reads(rule, name)]


def _rules(rules, width):
    rule_texts = [f"{rule.title} ({rule.id})" for rule in rules]
    return [wrap(f"Rules: {joined(rule_texts, most=MOST_RULES)}.", width, "", "  ")] if rule_texts else []


def in_plain_words(teller: Teller, name: str | None, view: "Outlook") -> list[str]:
    """Why a question is asked, in sentences for who answers it: what hangs on the answer, and no rule or count."""
    if name is None or view.known is None:
        return [why(teller, name, view, 10_000)]
    candidate = next((candidate for candidate in view.candidates if candidate.fact == name), None)
    sentences = []
    if name in view.known.missing or (name == view.question and view.reason == next_question.NEEDED):
        sentences.append("No kit can be named without it, or without another answer that tells the same.")
    elif teller.knowledge.facts[name].safety:
        sentences.append("It is asked whatever it changes, because somebody's safety hangs on it.")
    if candidate is not None and candidate.witness is not None:
        sentences += _difference(teller, name, view, candidate.witness)
    return sentences or ["As far as can be seen no answer to it changes the advice any more."]


def _difference(teller, name, view, witness):
    """What the answer decided between two callers who said the same; other answers are drawn, so no promise."""
    pairs = ((witness.before, witness.after), (witness.after, witness.before))
    picks = [view.callers.outcomes[row].pick for row, _ in pairs]
    if picks[0] != picks[1]:
        kits = [teller.wording.title(pick) for pick in picks if pick is not None]
        return [
            f"It can decide between {joined(kits, 'and')}."
            if len(kits) > 1
            else f"It can decide whether {kits[0]} does."
        ]
    sentences = []
    for row, other in pairs:
        beside = _outcome_beside(teller, view.callers, row, other)
        if beside == WITHOUT:
            continue
        drawn = view.callers.value(name, row, teller.knowledge)
        answer = "not known" if drawn is None else teller.value(name, drawn)
        sentences.append(f"If it is {answer}, {beside}".rstrip(".") + ".")
    return sentences
