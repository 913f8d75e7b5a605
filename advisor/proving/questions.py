"""The questions asked about a rule base, one function each: every one yields `Finding`s, none where all is well.

Each costs a few milliseconds. What a solver says cannot happen is a proof; what it says may happen is only told with a
caller who, run through both engines, does it.
"""

import itertools
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from ..errors import AdvisorError
from ..knowledge.model import Condition, Figure, KitField, Knowledge, Requirement, Rule
from ..knowledge.sentences import joined
from .admissible import range_of
from .callers import CallerRuns, Shows, conflict_on
from .findings import OPEN, PROVED, SHOWN, Finding, choice_in_words, conditions_in_words
from .problem import Problem
from .regions import Overlap

NOT_SETTLED = "It was neither proved that no caller can, nor was one found who does"


def dead(problem: Problem) -> Iterator[Finding]:
    """Rules that no caller fires, and branches of an any that no caller meets."""
    regions, known = problem.regions, problem.knowledge
    base = (problem.doors.decided, problem.doors.as_declared) if problem.stage == "case" else ()
    for rule in problem.rules:
        if not problem.may(*base, regions.fires[rule.id]):
            never = _never_together(problem, rule, base)
            yield Finding(
                "dead rule",
                PROVED,
                (rule.id,),
                f"{rule.id} can never fire: no caller can ever meet these conditions together: "
                f"{conditions_in_words(never, known)}.",
                "Mend the conditions, or take the rule out.",
                position=rule.position,
            )
            continue
        common = [regions.holds(condition) for condition in rule.all]
        for branch in rule.any:
            if not problem.may(*base, *common, regions.branch(branch)):
                yield Finding(
                    "dead branch",
                    PROVED,
                    (rule.id,),
                    f"a branch of the any of {rule.id} decides nothing: no caller can ever meet it beside the rule's "
                    f"other conditions: {conditions_in_words(branch, known)}.",
                    "Mend the branch, or take it out.",
                    position=rule.position,
                )


def _never_together(problem: Problem, rule: Rule, base: tuple[int, ...]) -> list[Condition]:
    """A smallest set of a rule's conditions that no caller meets together; its any counts as one."""
    parts: list[tuple[list[Condition], int]] = [
        ([condition], problem.regions.holds(condition)) for condition in rule.all
    ]
    if rule.any:
        listed = [condition for branch in rule.any for condition in branch]
        any_holds = problem.regions.one_of([problem.regions.branch(branch) for branch in rule.any])
        parts.append((listed, any_holds))
    for part in list(parts):
        fewer = [other for other in parts if other is not part]
        if fewer and not problem.may(*base, *[literal for _, literal in fewer]):
            parts = fewer
    return [condition for listed, _ in parts for condition in listed]


def overlaps(problem: Problem) -> Iterator[Finding]:
    """Two rules that conclude different things of one fact for one caller, which stops the decision.

    Told once for a pair of rules, however many facts they share.
    """
    pairs: dict[tuple[str, str], list[Overlap]] = defaultdict(list)
    for overlap in problem.regions.overlaps:
        if problem.may(overlap.both):
            pairs[overlap.first, overlap.second].append(overlap)
    for (first, second), shared in pairs.items():
        facts = [overlap.fact for overlap in shared]
        caller, sure = None, OPEN
        here = dict.fromkeys(overlap.both for overlap in shared)
        for both in here if problem.stage == "case" and _before_a_kit(problem, first) else ():
            # Engines name one fact of a conflict, the first; a caller who shows any of them shows the quarrel.
            caller, sure = problem.shown([both, problem.doors.as_declared], conflict_on(*facts))
            if sure == SHOWN:
                break
        if sure == PROVED:
            # Only where the span of an advice takes another value than the declared one.
            sure = OPEN
        rules = joined((first, second))
        named = joined([f"{fact} ({problem.knowledge.facts[fact].label})" for fact in facts])
        what = f"{rules} can both conclude {named} for one caller, which stops the decision."
        if sure == OPEN:
            what = f"can {rules} both conclude {named} for one caller? {NOT_SETTLED}."
        yield Finding(
            "overlap",
            sure,
            (*facts, first, second),
            what,
            "Let the conditions of one exclude the other's.",
            caller,
            problem.by_id[second].position if second in problem.by_id else None,
        )


def _before_a_kit(problem: Problem, producer: str) -> bool:
    return producer not in problem.by_id or problem.by_id[producer].stage != "setup"


def gaps(problem: Problem) -> Iterator[Finding]:
    """Facts and measures declared ``always: yes`` that some caller who gets a decision is left without."""
    known, regions = problem.knowledge, problem.regions
    for name, fact in known.facts.items():
        if not fact.always or fact.source != "derived":
            continue
        if name not in regions.producers:
            continue
        caller, sure = problem.shown([*problem.usual, -regions.has(name)], _lacks(problem.runs, name))
        if sure != PROVED:
            yield _gap("fact nobody concludes", sure, name, f"no rule concludes {name} ({fact.label})", caller, fact)
    posted = problem.musts()
    measures: list[Figure | KitField] = [*known.figures.values(), *known.kit_fields.values()]
    for measure in measures:
        if not measure.always:
            continue
        rules = [rule.id for rule, _ in posted.get(measure.name, ())]
        silent = [-regions.fires[rule] for rule in rules]
        caller, sure = problem.shown([*problem.usual, *silent], _silent(problem.runs, rules))
        if sure != PROVED:
            what = f"no must limits {measure.name} ({measure.label})"
            yield _gap("measure without a must", sure, measure.name, what, caller, measure)


def _gap(kind, sure, name, what, caller, declared):
    sentence = f"{what} for this caller, though it is declared always: yes."
    if sure == OPEN:
        sentence = f"is there a caller for whom {what}? {NOT_SETTLED}."
    remedy = "Write a rule or row for such callers, or take always out of the vocabulary."
    return Finding(kind, sure, (name,), sentence, remedy, caller, declared.position)


def _lacks(runs: CallerRuns, name: str) -> Shows:
    return lambda caller, came: (
        not isinstance(came, AdvisorError) and name not in came.facts and not runs.undecided(caller, came)
    )


def _silent(runs: CallerRuns, rules: Iterable[str]) -> Shows:
    posting = set(rules)
    return lambda caller, came: (
        not isinstance(came, AdvisorError) and not posting & came.fired() and not runs.undecided(caller, came)
    )


def subsumed(problem: Problem) -> Iterator[Finding]:
    """Rules that say nothing which another does not say whenever they do."""
    by_effect: dict[Any, list[Rule]] = defaultdict(list)
    for rule in problem.rules:
        for effect in _effects(rule):
            by_effect[effect].append(rule)
    pairs = {
        (rule.id, other.id)
        for rules in by_effect.values()
        for rule, other in itertools.permutations(rules, 2)
        if _says_no_more(rule, other)
    }
    for name, other_name in sorted(pairs):
        if not problem.may(problem.regions.fires[name], -problem.regions.fires[other_name]):
            rule = problem.by_id[name]
            yield Finding(
                "subsumed",
                PROVED,
                (name, other_name),
                f"{name} says nothing that {other_name} does not already say: whenever it fires, so does {other_name}.",
                "Take it out, or mend its conditions.",
                position=rule.position,
            )


def _effects(rule: Rule) -> set:
    return {("concludes", each.fact) for each in rule.conclude} | {
        ("requires", each.source, each.measure, each.compare) for each in rule.require
    }


def _says_no_more(rule: Rule, other: Rule) -> bool:
    if rule.cautions or rule.items or rule.contradiction or rule.stage != other.stage:
        return False
    concluded = {(each.fact, each.value) for each in other.conclude}
    return all((each.fact, each.value) in concluded for each in rule.conclude) and all(
        any(_as_hard(theirs, ours) for theirs in other.require) for ours in rule.require
    )


def _as_hard(theirs: Requirement, ours: Requirement) -> bool:
    """Is one requirement at least as hard as another on the same measure?"""
    same = ("source", "measure", "compare", "of_kits")
    if any(getattr(theirs, name) != getattr(ours, name) for name in same):
        return False
    if ours.level == "must" and theirs.level != "must":
        return False
    if ours.level == "should" and theirs.level == "should" and ours.concern != theirs.concern:
        return False
    if theirs.limit == ours.limit:
        return True
    if not (isinstance(theirs.limit, float) and isinstance(ours.limit, float)):
        return False
    return {
        "at_most": theirs.limit <= ours.limit,
        "below": theirs.limit <= ours.limit,
        "at_least": theirs.limit >= ours.limit,
        "above": theirs.limit >= ours.limit,
    }.get(ours.compare, False)


def idle(problem: Problem) -> Iterator[Finding]:
    """Conditions that the rule's other conditions already imply; a remark on request, for a reader may want them."""
    for rule in problem.rules:
        parts = [(condition, problem.regions.holds(condition)) for condition in rule.all]
        fires = len(parts) > 1 and problem.may(problem.regions.fires[rule.id])
        for condition, literal in parts if fires else ():
            others = [other for _, other in parts if other is not literal]
            if not problem.may(*others, -literal):
                yield Finding(
                    "idle condition",
                    PROVED,
                    (rule.id, condition.fact),
                    f"a condition of {rule.id} decides nothing, for its others imply it: "
                    f"{conditions_in_words([condition], problem.knowledge)}.",
                    position=condition.position or rule.position,
                )


def uncovered(problem: Problem) -> Iterator[Finding]:
    """Choices for which the rules over a choice never conclude a fact that they conclude for the others."""
    regions, facts = problem.regions, problem.regions.facts
    for name in sorted(problem.concluded & regions.producers.keys()):
        if facts[name].kind == "list" or facts[name].source != "derived":
            continue
        columns = []
        for rule in problem.rules:
            if any(conclusion.fact == name for conclusion in rule.conclude):
                columns.append({
                    each.fact
                    for each in rule.all
                    if facts[each.fact].kind in ("choice", "flag") and each.test in ("is", "in")
                })  # fmt: skip
        for over in sorted(set.intersection(*columns) if columns else ()):
            values = facts[over].choices or (True, False)
            here = [(value, [regions.has(over), regions.value(over, value)]) for value in values]
            meant = dict(facts[name].never_for).get(over, ())
            never = [
                value
                for value, at in here
                if value not in meant and not problem.may(*at, regions.has(name)) and problem.may(*at)
            ]
            if never and 2 * len(never) < len(values):
                choices = joined([choice_in_words(facts[over], value) for value in never])
                yield Finding(
                    "uncovered choice",
                    PROVED,
                    (name, over, *map(str, never)),
                    f"{name} ({facts[name].label}) is concluded by {facts[over].label}, but never for {choices}.",
                    "Add the row that is missing, or say never_for in the vocabulary where none is meant.",
                    position=facts[name].position,
                )


def no_range(problem: Problem) -> Iterator[Finding]:
    """Numbers that people or records give without a sane range, so that a slip of the pen is believed."""
    for name, fact in problem.knowledge.facts.items():
        if fact.kind != "number" or fact.choices or fact.source not in ("asked", "platform", "kit"):
            continue
        if None in range_of(fact) and not _made(problem.knowledge, fact):
            yield Finding(
                "no sane range",
                PROVED,
                (name,),
                f"{name} ({fact.label}) has no sane range, so any slip of the pen is believed.",
                "Give it a range in the vocabulary.",
                position=fact.position,
            )


def _made(knowledge: Knowledge, fact: Any) -> bool:
    """Is a kit field worked out for every kit, and typed by nobody?"""
    field = knowledge.kit_fields.get(fact.field)
    return fact.source == "kit" and field is not None and field.position is None


Question = Callable[[Problem], Iterator[Finding]]
#: Asked of stages case and set-up, by name; those that `IN_CONSISTENCY` names of stage consistency too.
QUESTIONS: dict[str, Question] = {
    "dead": dead,
    "overlaps": overlaps,
    "gaps": gaps,
    "subsumed": subsumed,
    "uncovered": uncovered,
    "no_range": no_range,
}
IN_CONSISTENCY: dict[str, Question] = {"dead": dead, "overlaps": overlaps}
ON_REQUEST: dict[str, Question] = {"idle": idle}
