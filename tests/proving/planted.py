"""Faults planted in the shipped rules, ten kinds of them, and edits that are correct; who finds what.

Every fault is one that a lead could make: nothing a schema or a type would refuse. The kinds: gap, overlap, dead row,
subsumed, quarrelling musts, wrong order, lost limit, unit slip, threshold by one step, deleted row.
"""

import dataclasses
import functools
import random
from typing import NamedTuple

from advisor.engine import rule_test_runs
from advisor.engine.plain import compile_plain
from advisor.errors import AdvisorError, KnowledgeError
from advisor.knowledge import cross_checks, rule_tests
from advisor.knowledge.faults import Faults
from advisor.knowledge.model import Conclusion, Condition, FactRef, Requirement
from advisor.proving.problem import Problem
from advisor.proving.whole_base import prove

from ..rules.mutants import step
from ..rules.shop import RULES, knowledge

ORDERED = ("above", "at_least", "below", "at_most")
#: What a unit that was left out, or another, makes of a number: mm for m, kN for N, lb-ft for N m, rpm for rad/s.
SLIPS = (1000.0, 0.001, 0.7376, 1.3558, 9.5493, 10.0)


class Planted(NamedTuple):
    """One edit: its ``kind``, ``what`` was done, and the ``rules`` that now stand (all of them)."""

    kind: str
    what: str
    rules: tuple
    touched: str


def _without(rule):
    return tuple(other for other in knowledge().rules if other is not rule)


def _instead(rule, **changes):
    changed = dataclasses.replace(rule, **changes)
    return tuple(changed if other is rule else other for other in knowledge().rules)


def _case_rules():
    return [rule for rule in knowledge().rules if rule.stage == "case"]


@functools.cache
def _problem():
    return Problem(knowledge())


@functools.cache
def _one_rule_tables():
    """Rules that conclude a one_rule fact which several conclude."""
    facts, producers = knowledge().facts, {}
    for rule in _case_rules():
        for each in rule.conclude:
            if facts[each.fact].agreement == "one_rule":
                producers.setdefault(each.fact, []).append(rule)
    return [rule for rules in producers.values() if len(rules) > 1 for rule in rules]


def _moved(rule, place, factor):
    condition = rule.all[place]
    limit = round(condition.limit * factor, 6)
    choices = knowledge().facts[condition.fact].choices
    if choices:  # the next choice, and not between two of them
        further = [choice for choice in choices if (choice > condition.limit) == (factor > 1)]
        beyond = [choice for choice in further if choice != condition.limit]
        limit = (min if factor > 1 else max)(beyond, default=condition.limit)
    moved = dataclasses.replace(condition, limit=limit)
    return (*rule.all[:place], moved, *rule.all[place + 1 :])


def _ordered_places(rules):
    """(rule, place) of conditions with a number as their limit."""
    return [
        (rule, place)
        for rule in rules
        for place, condition in enumerate(rule.all)
        if condition.test in ORDERED and isinstance(condition.limit, float) and condition.limit
    ]


def gaps(pick):
    """A limit between rows moved so that some callers fall between them."""
    places = _ordered_places(_one_rule_tables())
    while True:
        rule, place = pick.choice(places)
        up = rule.all[place].test in ("above", "at_least")
        yield Planted("gap", f"{rule.all[place].fact} limit off by a tenth", _instead(
            rule, all=_moved(rule, place, 1.1 if up else 0.9)), rule.id)  # fmt: skip


def overlaps(pick):
    """The same the other way, or a condition that kept two rows apart dropped."""
    places, tables = _ordered_places(_one_rule_tables()), _one_rule_tables()
    while True:
        if pick.random() < 0.5:
            rule, place = pick.choice(places)
            down = rule.all[place].test in ("above", "at_least")
            changed = _instead(rule, all=_moved(rule, place, 0.9 if down else 1.1))
            yield Planted("overlap", f"{rule.all[place].fact} limit off by a tenth", changed, rule.id)
        else:
            rule = pick.choice([rule for rule in tables if rule.all])
            place = pick.randrange(len(rule.all))
            kept = rule.all[:place] + rule.all[place + 1 :]
            yield Planted("overlap", f"{rule.all[place].fact} not asked", _instead(rule, all=kept), rule.id)


def dead_rows(pick):
    """A condition added that another rule answers, whose callers are never this rule's."""
    problem, facts = _problem(), knowledge().facts
    literal = [
        (rule, each)
        for rule in _one_rule_tables()
        for each in rule.conclude
        if not isinstance(each.value, FactRef) and facts[each.fact].kind in ("choice", "flag")
    ]
    literal += [(rule, each) for rule in _one_rule_tables() for each in rule.conclude if isinstance(each.value, float)]
    while True:
        rule = pick.choice([rule for rule in _case_rules() if rule.all])
        other, each = pick.choice(literal)
        giving = [
            name
            for name in (producer.id for producer in problem.regions.producers[each.fact])
            if any(c.fact == each.fact and c.value == each.value for c in problem.by_id[name].conclude)
        ]
        fires = problem.regions.fires
        if any(each.fact == condition.fact for condition in rule.all) or rule.id == other.id:
            continue
        if any(conclusion.fact == each.fact for conclusion in rule.conclude):
            continue
        if any(problem.may(fires[rule.id], fires[name]) for name in giving):
            continue
        if isinstance(each.value, float):
            values = {
                c.value for p in problem.regions.producers[each.fact] if p.id in problem.by_id
                for c in problem.by_id[p.id].conclude if c.fact == each.fact
            }  # fmt: skip
            if any(isinstance(value, FactRef) for value in values) or max(values) != each.value:
                continue
            asked = Condition(each.fact, "at_least", each.value)
        else:
            asked = Condition(each.fact, "is", each.value)
        yield Planted("dead row", f"{each.fact} asked too", _instead(rule, all=(*rule.all, asked)), rule.id)


def subsumed(pick):
    """A rule written a second time for fewer callers, saying nothing new."""
    facts = knowledge().facts
    says = [
        rule
        for rule in _case_rules()
        if rule.require
        or (rule.conclude and all(facts[each.fact].agreement in ("list", "same_value") for each in rule.conclude))
    ]
    asked = [fact for fact in facts.values() if fact.source == "asked" and fact.kind == "choice"]
    while True:
        rule, fact = pick.choice(says), pick.choice(asked)
        if any(condition.fact == fact.name for condition in rule.all):
            continue
        again = dataclasses.replace(
            rule,
            id=f"{rule.id}-again",
            all=(*rule.all, Condition(fact.name, "is", pick.choice(fact.choices))),
            conclude=tuple(each for each in rule.conclude if facts[each.fact].agreement != "one_rule"),
            require=tuple(
                dataclasses.replace(each, id=f"{each.id}-again", rule=f"{rule.id}-again") for each in rule.require
            ),
            cautions=(),
        )
        yield Planted("subsumed", f"once more for {fact.name}", (*knowledge().rules, again), again.id)


def quarrels(pick):
    """A must that asks the opposite of another, for callers who may meet both."""
    fields = knowledge().kit_fields
    musts = [
        (rule, each)
        for rule in _case_rules()
        for each in rule.require
        if each.level == "must" and each.source == "kit" and each.compare in ("is", "in")
        and fields[each.measure].choices and not isinstance(each.limit, FactRef) and not each.of_kits
        and rule.topic != "declined"
    ]  # fmt: skip
    asked = [fact for fact in knowledge().facts.values() if fact.source == "asked" and fact.kind == "choice"]
    while True:
        rule, each = pick.choice(musts)
        allowed = each.limit if isinstance(each.limit, tuple) else (each.limit,)
        others = [choice for choice in fields[each.measure].choices if choice not in allowed]
        fact = pick.choice(asked)
        if not others or any(condition.fact == fact.name for condition in rule.all):
            continue
        opposite = Requirement(
            f"{rule.id}-not", "kit", each.measure, "is", pick.choice(others), each.unit, "must", rule=f"{rule.id}-not"
        )
        added = dataclasses.replace(
            rule,
            id=f"{rule.id}-not",
            all=(Condition(fact.name, "is", pick.choice(fact.choices)),),
            any=(),
            conclude=(),
            require=(opposite,),
            cautions=(),
        )
        yield Planted("quarrelling musts", f"{each.measure} for {fact.name}", (*knowledge().rules, added), added.id)


def wrong_orders(pick):
    """Two rows of a table that must rise have their numbers swapped."""
    facts = knowledge().facts
    tables = {}
    for rule in _case_rules():
        for each in rule.conclude:
            if isinstance(each.value, float) and (facts[each.fact].rises_with or facts[each.fact].falls_with):
                tables.setdefault(each.fact, []).append((rule, each))
    while True:
        name = pick.choice(sorted(tables))
        if len(tables[name]) < 2:
            continue
        (rule, own), (other, theirs) = pick.sample(tables[name], 2)
        if own.value == theirs.value:
            continue
        swapped = {rule.id: theirs.value, other.id: own.value}
        rules = tuple(
            dataclasses.replace(each, conclude=tuple(
                Conclusion(c.fact, swapped[each.id]) if c.fact == name else c for c in each.conclude
            )) if each.id in swapped else each
            for each in knowledge().rules
        )  # fmt: skip
        yield Planted("wrong order", f"{name}: {rule.id} and {other.id} swapped", rules, rule.id)


def lost_limits(pick):
    """A must that is no longer posted."""
    posting = [rule for rule in _case_rules() if any(each.level == "must" for each in rule.require)]
    while True:
        rule = pick.choice(posting)
        place = pick.choice([place for place, each in enumerate(rule.require) if each.level == "must"])
        kept = rule.require[:place] + rule.require[place + 1 :]
        yield Planted("lost limit", rule.require[place].id, _instead(rule, require=kept), rule.id)


def unit_slips(pick):
    """A number written in another unit, in a condition, a conclusion or a limit."""
    units = {name: fact.unit for name, fact in knowledge().facts.items()}
    places = [(rule, "all", place) for rule, place in _ordered_places(_case_rules())]
    for rule in _case_rules():
        places += [(rule, "conclude", n) for n, c in enumerate(rule.conclude) if isinstance(c.value, float) and c.value]
        places += [(rule, "require", n) for n, c in enumerate(rule.require) if isinstance(c.limit, float) and c.limit]
    places = [
        (rule, part, place)
        for rule, part, place in places
        if part == "require" or units[getattr(rule, part)[place].fact] not in ("", "1")
    ]
    while True:
        rule, part, place = pick.choice(places)
        held = getattr(rule, part)
        key = "value" if part == "conclude" else "limit"
        slipped = dataclasses.replace(held[place], **{key: getattr(held[place], key) * pick.choice(SLIPS)})
        changed = _instead(rule, **{part: (*held[:place], slipped, *held[place + 1 :])})
        yield Planted("unit slip", f"{part} {place}", changed, rule.id)


def thresholds(pick):
    """A limit one step up or down."""
    places = _ordered_places(_case_rules())
    while True:
        rule, place = pick.choice(places)
        condition = rule.all[place]
        one_step = step(knowledge().facts[condition.fact], condition.limit)
        moved = dataclasses.replace(condition, limit=round(condition.limit + pick.choice((-1, 1)) * one_step, 9))
        conditions = (*rule.all[:place], moved, *rule.all[place + 1 :])
        yield Planted("threshold by one step", condition.fact, _instead(rule, all=conditions), rule.id)


def deleted_rows(pick):
    """A row of a table that is no longer there."""
    while True:
        rule = pick.choice(_one_rule_tables())
        yield Planted("deleted row", rule.id, _without(rule), rule.id)


KINDS = (
    gaps,
    overlaps,
    dead_rows,
    subsumed,
    quarrels,
    wrong_orders,
    lost_limits,
    unit_slips,
    thresholds,
    deleted_rows,
)


def faults(each, seed=20, kinds=None):
    """So many different faults of every kind, or of some ``kinds``."""
    for make in KINDS if kinds is None else kinds:
        made, seen = make(random.Random(f"{seed} {make.__name__}")), set()
        tries = 0
        while len(seen) < each and tries < 60 * each:
            planted, tries = next(made), tries + 1
            if (planted.touched, planted.what) not in seen or tries > 40 * each:
                seen.add(
                    (planted.touched, planted.what, tries) if tries > 40 * each else (planted.touched, planted.what)
                )
                yield planted


# --- edits that are correct ---------------------------------------------------------------------------------------


def scaled_tables(pick):
    """Every number of a table two per cent more, or less."""
    tables = sorted({c.fact for rule in _one_rule_tables() for c in rule.conclude if isinstance(c.value, float)})
    while True:
        name, factor = pick.choice(tables), pick.choice((0.98, 1.02))
        read = [c for rule in knowledge().rules for c in rule.all if c.fact == name]
        if read or knowledge().facts[name].choices:
            continue
        rules = tuple(
            dataclasses.replace(rule, conclude=tuple(
                Conclusion(c.fact, c.value * factor) if c.fact == name and isinstance(c.value, float) else c
                for c in rule.conclude
            )) for rule in knowledge().rules
        )  # fmt: skip
        yield Planted("table scaled", f"{name} by {factor}", rules, name)


def moved_everywhere(pick):
    """A limit moved by a step wherever it stands, so that rows go on meeting."""
    places = _ordered_places(_one_rule_tables())
    while True:
        rule, place = pick.choice(places)
        name, limit = rule.all[place].fact, rule.all[place].limit
        if knowledge().facts[name].source != "asked":
            continue
        moved = round(limit + pick.choice((-1, 1)) * step(knowledge().facts[name], limit), 9)

        def other(condition, name=name, limit=limit, moved=moved):
            if condition.fact != name or (condition.limit != limit and limit not in _pair(condition.limit)):
                return condition
            if isinstance(condition.limit, tuple):
                ends = tuple(moved if end == limit else end for end in condition.limit)
                return dataclasses.replace(condition, limit=ends)
            return dataclasses.replace(condition, limit=moved)

        rules = tuple(
            dataclasses.replace(
                each,
                all=tuple(map(other, each.all)),
                any=tuple(tuple(map(other, branch)) for branch in each.any),
            )
            for each in knowledge().rules
        )
        yield Planted("limit moved everywhere", f"{name} {limit} to {moved}", rules, rule.id)


def _pair(limit):
    return limit if isinstance(limit, tuple) else ()


def split_rows(pick):
    """A row split in two by an answer that everybody has, both saying the same."""
    always = [
        fact
        for fact in knowledge().facts.values()
        if fact.source == "asked" and fact.kind == "choice" and fact.if_unknown and fact.if_unknown.do == "assume"
    ]
    tables = [rule for rule in _one_rule_tables() if not rule.require and not rule.cautions]
    while True:
        rule, fact = pick.choice(tables), pick.choice(always)
        used = {condition.fact for condition in rule.all} | {c.fact for branch in rule.any for c in branch}
        if fact.name in used or _never_apart(rule, fact):
            continue
        first = Condition(fact.name, "is", fact.choices[0])
        rest = Condition(fact.name, "is_not", fact.choices[0])
        halves = [
            dataclasses.replace(rule, id=f"{rule.id}-{word}", all=(*rule.all, half))
            for word, half in (("here", first), ("there", rest))
        ]
        yield Planted("row split", f"{rule.id} by {fact.name}", (*_without(rule), *halves), rule.id)


def _never_apart(rule, fact):
    """Would one of the halves never fire? Then the edit were not correct."""
    problem = _problem()
    usual = (problem.regions.fires[rule.id], problem.doors.decided, problem.doors.as_declared)
    first = problem.regions.value(fact.name, fact.choices[0])
    return not (problem.may(*usual, first) and problem.may(*usual, -first))


def new_cautions(pick):
    """A caution for some of the callers of another rule."""
    warned = [rule for rule in _case_rules() if rule.cautions and len(rule.all) > 1]
    while True:
        rule = pick.choice(warned)
        caution = dataclasses.replace(rule.cautions[0], id=f"{rule.cautions[0].id}-more", text="Look twice.")
        added = dataclasses.replace(
            rule, id=f"{rule.id}-more", conclude=(), require=(), cautions=(caution,), because="Somebody asked for it."
        )
        yield Planted("caution added", rule.id, (*knowledge().rules, added), added.id)


def in_other_order(pick):
    """The same rules in another order, with other words."""
    while True:
        rules = list(knowledge().rules)
        pick.shuffle(rules)
        yield Planted("order and words", "", tuple(dataclasses.replace(rule, title="Title") for rule in rules), "")


CORRECT = (scaled_tables, moved_everywhere, split_rows, new_cautions, in_other_order)


def correct_edits(each, seed=20):
    """So many correct edits of every sort."""
    for make in CORRECT:
        made = make(random.Random(f"{seed} {make.__name__}"))
        yield from (next(made) for _ in range(each))


# --- who finds it -------------------------------------------------------------------------------------------------


@functools.cache
def _tests():
    by_topic = {}
    for test in rule_tests.read_folder(RULES, knowledge()):
        by_topic.setdefault((test.stage, test.topic), []).append(test)
    return by_topic


def edited(planted):
    """The knowledge with a planted edit in it."""
    return dataclasses.replace(knowledge(), rules=planted.rules)


def found_by_check(known):
    """What reading the rules and holding them together says, as before there were proofs: a fault or a new remark."""
    faults = Faults()
    remarks = cross_checks.check(known, faults)
    return bool(faults.errors) or len(remarks) > len(knowledge().remarks)


def found_by_proofs(known):
    """The findings of all proofs but those with arithmetic, none for the shipped rules or where they do not load."""
    try:
        return prove(known).findings
    except KnowledgeError:
        return ()  # rules that go round in a circle: reading them tells it, and nothing is proved


def found_by_order(planted, known):
    """Findings of the one declared order that was touched."""
    from advisor.proving.in_order import out_of_order

    name = planted.what.partition(":")[0]
    facts = {
        each.name: each if each.name == name else dataclasses.replace(each, rises_with=(), falls_with=())
        for each in known.facts.values()
    }
    figures = {each.name: dataclasses.replace(each, eases_with=()) for each in known.figures.values()}
    return tuple(out_of_order(dataclasses.replace(known, facts=facts, figures=figures)))


def found_by_tests(planted, known):
    """Does a test of the edited rule's topic come out otherwise?"""
    topics = {(rule.stage, rule.topic) for rule in planted.rules if rule.id == planted.touched}
    topics |= {(rule.stage, rule.topic) for rule in knowledge().rules if rule.id == planted.touched}
    try:
        for stage, topic in topics:
            derive = compile_plain(known, stage).derive
            if any(rule_test_runs.differences(test, known, derive) for test in _tests().get((stage, topic), ())):
                return True
    except AdvisorError:
        return True
    return False


def changes_nothing(planted):
    """Is it proved that the edited rule fires for the very callers for whom it did? Then it is no fault.

    Only of an edit of one rule's conditions. What stands before a rule does not hang on it, so with its firing the same
    everything after it is the same too.
    """
    edits = [(old, new) for old, new in zip(knowledge().rules, planted.rules) if old is not new]
    if len(planted.rules) != len(knowledge().rules) or len(edits) != 1:
        return False
    ((old, new),) = edits
    if dataclasses.replace(new, all=old.all, any=old.any) != old:
        return False
    firing = []

    def name_both(problem):
        firing.extend(problem.regions.all_of(problem.regions.parts(rule)) for rule in (old, new))

    problem = Problem(knowledge(), old.stage if old.stage == "consistency" else "case", before_solving=name_both)
    before, after = firing
    return not problem.may(before, -after) and not problem.may(after, -before)


def found_by_cases(known):
    """The first shipped case that comes out otherwise, or an empty text."""
    from advisor.deciding.expectations import differences

    from ..rules.shop import cases, decider, shop

    try:
        changed = decider(known, shop())
    except AdvisorError:
        return ""  # rules that go round in a circle: reading them tells it, and no case can be tried
    for case in cases().values():
        try:
            if differences(changed.decide(case), case.expect):
                return case.id
        except AdvisorError:
            return case.id
    return ""
