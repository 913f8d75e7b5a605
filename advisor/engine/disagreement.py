"""Which error to show when an engine has found that two firings disagree.

An engine stops at the first disagreement it meets, and which one that is depends on the order it works in.
Whether there is one does not: without a disagreement every order reaches the same facts. So the engines only
detect, and the words come from here: the stage is run again slowly, in rounds in which everything fires that
the facts of the round before allow, up to the first round that holds a disagreement. Its first fact by name
is the one reported, with everything that concluded it.
"""

from collections.abc import Collection
from typing import Any

from ..errors import ConflictError, EngineError
from ..knowledge.model import Condition, FactRef, Question, Rule
from ..knowledge.sentences import joined
from .derivation import Facts
from .rulebase import RuleBase, copied_by, members

_ORDERED = {
    "above": lambda value, limit: value > limit,
    "at_least": lambda value, limit: value >= limit,
    "below": lambda value, limit: value < limit,
    "at_most": lambda value, limit: value <= limit,
}


def holds(condition: Condition, facts: Facts, given: Facts, answered: Collection[str]) -> bool:
    """Does ``condition`` hold of ``facts``, ``given`` of them before the stage? Written to be read, not fast."""
    name, test = condition.fact, condition.test
    limit: Any = condition.limit
    if test == "absent":
        return given.get(name, ()) == ()
    if test == "not_answered":
        return given.get(name, ()) == () or name not in answered
    if name not in facts or facts[name] == () == given.get(name):
        return False  # a list that was given without members is not known either; one that a rule concluded is
    value: Any = facts[name]
    if test == "known":
        return True
    if test == "answered":
        return name in answered
    if test == "is":
        return value == limit
    if test == "is_not":
        return value != limit
    if test == "in":
        return value in limit
    if test == "not_in":
        return value not in limit
    if test == "has":
        return limit in value
    if test == "between":
        low, high = (_limit(part, facts) for part in limit)
        return low is not None and high is not None and low <= value <= high
    limit = _limit(limit, facts)
    return limit is not None and _ORDERED[test](value, limit)


def all_hold(item: Rule | Question, facts: Facts, given: Facts, answered: Collection[str]) -> bool:
    """Do all conditions of a rule or question hold, and where it has an ``any``, all of one branch?"""

    def every(conditions):
        return all(holds(condition, facts, given, answered) for condition in conditions)

    return every(item.all) and (not item.any or any(every(branch) for branch in item.any))


def conflict(base: RuleBase, given: Facts, answered: Collection[str]) -> ConflictError | EngineError:
    """The ConflictError of a case in which an engine found a disagreement; EngineError if there is none."""
    facts: dict[str, Any] = dict(given)
    waiting: list[tuple[Any, bool]] = [
        *((rule, False) for rule in base.rules),
        *((calculation, True) for calculation in base.calculations),
    ]
    concluded: dict[str, list[Any]] = {name: [("given", None, value)] for name, value in given.items()}
    copies: set[tuple[str, str]] = set()
    while True:
        ready = [pair for pair in waiting if _ready(*pair, facts, given, answered)]
        if not ready:
            return EngineError(
                "an engine reported that rules disagree, but no two of them do.",
                remedy="This is a fault of the program; keep the case and report it.",
            )
        waiting = [pair for pair in waiting if pair not in ready]
        gained: dict[str, list[Any]] = {}
        for item, calculated in ready:
            for name, value in _concluded(item, calculated, facts):
                gained.setdefault(name, []).append((item.id, item, value))
            if not calculated:
                copies.update((part.value.name, part.fact) for part in item.conclude if isinstance(part.value, FactRef))
        for name in sorted(gained):
            concluded.setdefault(name, []).extend(gained[name])
            values = [value for _, _, value in concluded[name]]
            fact = base.facts[name]
            if fact.kind == "list":
                facts[name] = tuple(
                    sorted({*facts.get(name, ()), *(member for value in values for member in members(value))})
                )
            elif len(values) > 1 and (fact.agreement != "same_value" or any(value != values[0] for value in values)):
                return _error(name, concluded[name])
            else:
                facts[name] = values[0]
        _spread(base, facts, copies)


def _spread(base, facts, copies):
    """Carry what list facts have gained into the lists copied from them."""
    growing = True
    while growing:
        growing = False
        for source, target in copies:
            if base.facts[target].kind == "list" and not set(facts[source]) <= set(facts[target]):
                facts[target] = tuple(sorted({*facts[target], *facts[source]}))
                growing = True


def _error(name, concluded):
    concluded = sorted(concluded, key=lambda entry: entry[0])
    items = [item for _, item, _ in concluded if item is not None]
    ids = [f"{_kind(item)} {item.id}" for item in items]
    also = "" if len(items) == len(concluded) else f", and {name} was given"
    values = [value for _, _, value in concluded]
    if all(value == values[0] for value in values):
        why, remedy = (
            f"the same value {values[0]!r}, but only one may conclude it",
            ("Make their conditions exclude each other, or declare agreement: same_value."),
        )
    else:
        shown = ", ".join(sorted({repr(value) for value in values}))
        why, remedy = f"different values ({shown})", "Make their conditions exclude each other."
    position = items[0].calculation.position if _kind(items[0]) == "calculation" else items[0].position
    return ConflictError(
        f"{joined(ids)} conclude {name}{also}: {why}.", where=position, value=tuple(values), remedy=remedy
    )


def _kind(item):
    return "calculation" if hasattr(item, "calculation") else "rule"


def _limit(limit, facts):
    return facts.get(limit.name) if isinstance(limit, FactRef) else limit


def _ready(item, calculated, facts, given, answered):
    if calculated:
        return all(name in facts for name in item.reads)
    return all_hold(item, facts, given, answered) and all(name in facts for name in copied_by(item))


def _concluded(item, calculated, facts):
    if calculated:
        value, _ = item(facts)
        return [] if value is None else [(item.gives, value)]
    return [
        (part.fact, facts[part.value.name] if isinstance(part.value, FactRef) else part.value) for part in item.conclude
    ]
