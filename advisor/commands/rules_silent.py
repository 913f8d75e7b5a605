"""Why a rule did not fire for a case: ``advisor rules silent RULE CASE``.

Which of its conditions failed, which rules would have had to conclude what, and the fewest answers that would have to
change for it to fire. Fewest is proved: no change of fewer answers does it, whatever they are. The change itself is run
through both engines. For whoever audits the rules; a change of answers is nothing to suggest to a customer.

example:
  advisor rules silent thrust-load-handbook scenarios/cases/mild-street-tune.yaml
  advisor rules silent above-red-line scenarios/cases/mild-street-tune.yaml --json
"""

import json
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from ..errors import InputError
from . import opening

if TYPE_CHECKING:
    from ..deciding.decide import Decision
    from ..knowledge.model import Knowledge, Rule
    from ..proving.silence import Failed, LeastChange, Stopped

#: Rules shown that would have had to conclude one thing; a table has more rows than anybody reads.
SHOWN = 3


def add_silent(subparsers: Any) -> ArgumentParser:
    """The action ``silent`` of the command ``rules``."""
    subparser = subparsers.add_parser(
        "silent", help="why a rule did not fire for a case", description=__doc__.split("\n\nexample")[0]
    )
    subparser.add_argument("rule", metavar="RULE", help="the rule's id")
    subparser.add_argument("case", metavar="CASE", help="a case file, or - for standard input")
    opening.add_output(subparser)
    opening.add_sources(subparser)
    subparser.set_defaults(act=run_silent)
    return subparser


def run_silent(arguments: Namespace) -> int:
    """The exit code: 0 whether the rule fires or not."""
    from ..proving.silence import WhySilent

    decider = opening.open_decider(arguments)
    rule = rule_named(arguments.rule, decider.knowledge)
    decision = decider.decide(opening.read_case(arguments.case, decider.knowledge))
    facts, given, fired = _stage(decision, rule)
    if rule.id in fired:
        if arguments.json:
            opening.say_json(json.dumps({"rule": rule.id, "fires": True}, sort_keys=True))
        else:
            opening.say(f"{rule.id} fires for {decision.case.id}: {rule.title}.")
        return 0
    why = WhySilent(decider.knowledge, rule.stage, facts, given, decision.known.answered)
    stopped, change = why.stopped(rule), _least_change(decision, rule)
    if arguments.json:
        opening.say_json(json.dumps(_as_data(stopped, change, decider.knowledge), sort_keys=True, ensure_ascii=False))
    else:
        _say(decision, rule, stopped, why, change, arguments.units)
    return 0


def rule_named(name: str, knowledge: "Knowledge") -> "Rule":
    """The Rule of that id; InputError with the nearest ids where there is none."""
    from ..knowledge.near import nearest_are

    rules = {rule.id: rule for rule in knowledge.rules}
    if name not in rules:
        remedy = nearest_are(name, rules, "See advisor rules list.")
        raise InputError(f"there is no rule {name!r}.", value=name, remedy=remedy)
    return rules[name]


def _stage(decision: "Decision", rule: "Rule") -> tuple[Any, Any, set[str]]:
    """(what was derived, what was given, the rules that fired) in the stage of a rule."""
    from ..deciding.consistency import said

    known = decision.known
    if rule.stage == "consistency":
        derived = known.clashes.derivation if known.clashes is not None else None
        given = said(known)
        return (derived.facts, given, derived.fired()) if derived else (given, given, set())
    if rule.stage == "case":
        return decision.derivation.facts, known.facts, decision.derivation.fired()
    if decision.pick is None:
        raise InputError(
            f"{rule.id} is a rule of set-up, and no kit is picked in this case.",
            value=rule.id,
            remedy="Ask about a case that ends in a recommendation, or about a rule of stage case.",
        )
    derived = decision.setup_derivations[decision.pick]
    concluded = {
        each.fact for other in decision.knowledge.rules if other.stage == rule.stage for each in other.conclude
    }
    given = {name: value for name, value in derived.facts.items() if name not in concluded}
    return derived.facts, given, derived.fired()


def _least_change(decision: "Decision", rule: "Rule") -> "LeastChange | None":
    """The `LeastChange` of a rule of the stages before a kit; None where the solver is missing or a kit decides."""
    from ..proving import exact

    if rule.stage == "setup" or not exact.is_there():
        return None
    from ..proving.callers import caller_of
    from ..proving.searching import CallerSearch
    from ..proving.silence import least_change

    kits = {kit.id: kit for kit in decision.shop.kits}
    caller = caller_of(decision.case, decision.platform, kits)
    return least_change(CallerSearch(decision.knowledge, rule.stage, only=[rule.id]), caller, rule.id)


def _say(decision, rule, stopped, why, change, units):
    from ..knowledge.sentences import wrap
    from ..proving.findings import condition_in_words

    width = opening.width()
    opening.say(wrap(f"{rule.id} stays silent for {decision.case.id}: {rule.title}.", width))
    if rule.stage == "setup":
        opening.say(wrap(f"It is a rule of set-up, looked at with the kit picked: {_kit(decision)}.", width))
    opening.say("\nWhat holds and what does not")
    for condition in rule.all:
        if why.met(condition):
            opening.say(wrap(f"holds: {condition_in_words(condition, decision.knowledge)}", width, "  ", "    "))
    for text, indent in _lines(stopped, decision, 1):
        opening.say(wrap(text, width, "  " * indent, "  " * indent + "  "))
    opening.say("\nThe least that would have to change")
    if change is not None:
        for text in _change_lines(decision, change, units):
            opening.say(wrap(text, width, "  ", "    "))
    elif rule.stage == "setup":
        opening.say(wrap("A rule of set-up hangs on the kit; ask what-would-change for another kit.", width, "  "))
    else:
        opening.say(wrap("It needs a solver: pip install 'least-clutch[proofs]'.", width, "  "))


def _kit(decision):
    return decision.kits.ids[decision.pick]


def _lines(stopped: "Stopped", decision: "Decision", indent: int) -> Iterator[tuple[str, int]]:
    """The failed conditions of a rule, each with who would have had to conclude it, as (text, indent)."""
    wording = decision.wording
    for name in stopped.missing:
        yield f"fails: {wording.label(name)} has no value", indent
    for failed in stopped.failed:
        yield _failed_in_words(failed, decision), indent
        for producer in failed.producers[:SHOWN]:
            yield f"it would have had to come of {producer.id}, where:", indent + 1
            yield from _lines(producer, decision, indent + 2)
        if len(failed.producers) > SHOWN:
            others = [producer.id for producer in failed.producers[SHOWN:]]
            more = wording.labels(others, most=SHOWN)
            yield f"or of {more}", indent + 1


def _failed_in_words(failed: "Failed", decision: "Decision") -> str:
    from ..knowledge.model import FactRef
    from ..knowledge.rules import limits
    from ..proving.findings import condition_in_words

    wording, condition = decision.wording, failed.condition
    text = (
        f"{'fails, one of several' if failed.among else 'fails'}: {condition_in_words(condition, decision.knowledge)}"
    )
    if condition.test in ("answered", "not_answered"):
        return f"{text}; it is {wording.origin(decision.known.origins.get(condition.fact, 'not known'))}"
    if failed.missing:
        return f"{text}; not known: {wording.labels(failed.missing)}"
    values = [f"it is {wording.value(condition.fact, failed.value)}"]
    facts = decision.derivation.facts
    for limit in limits(condition.limit):
        if isinstance(limit, FactRef) and limit.name in facts:
            values.append(f"{wording.label(limit.name)} is {wording.value(limit.name, facts[limit.name])}")
    return f"{text}; {', '.join(values)}"


def _change_lines(decision: "Decision", change: "LeastChange", units: str) -> Iterator[str]:
    from ..proving.findings import PROVED

    if change.changes is None:
        if change.sure == PROVED:
            yield f"With this car no change of up to {change.tried} answers makes it fire: proved."
        else:
            yield (
                f"Not settled: no change of up to {change.tried} answers was found that makes it fire, and it is not "
                "proved that there is none."
            )
        return
    wording = decision.shop.wording(decision.knowledge, units)
    for name, value in change.changes.items():
        before = decision.known.facts.get(name)
        origin = wording.origin(decision.known.origins[name]) if name in decision.known.origins else ""
        was = f" (now {wording.value(name, before)}, {origin})" if before is not None else " (now not known)"
        yield f"{wording.label(name)}: {'not answered' if value is None else wording.value(name, value)}{was}"
    count = len(change.changes)
    if change.least and count > 1:
        yield f"No change of fewer than {count} answers makes it fire: proved."
    elif not change.least:
        yield "Whether fewer would do is not settled."
    yield "Run through both engines, it fires so."


def _as_data(stopped: "Stopped", change: "LeastChange | None", knowledge: "Knowledge") -> dict[str, Any]:
    from ..proving.findings import condition_in_words

    def plain(each: "Stopped") -> dict[str, Any]:
        return {
            "rule": each.id,
            "missing": list(each.missing),
            "failed": [
                {
                    "condition": condition_in_words(failed.condition, knowledge),
                    "fact": failed.condition.fact,
                    "value": failed.value,
                    "missing": list(failed.missing),
                    "one_of_several": failed.among,
                    "concluded_by": [plain(producer) for producer in failed.producers],
                }
                for failed in each.failed
            ],
        }

    least = None
    if change is not None:
        least = {
            "changes": None if change.changes is None else dict(change.changes),
            "sure": change.sure,
            "proved_least": change.least,
            "answers_tried": change.tried,
        }
    return {**plain(stopped), "fires": False, "least_change": least}
