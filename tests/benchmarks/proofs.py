"""Proofs over the rules of today and over 16 times as many: ``python -m tests.benchmarks proofs [--smoke]``.

The larger base is today's 16 times over, each copy under names of its own. CPU time of one process; what counts is how
much more the larger base takes. Least changes are asked of what a rule hangs on alone; smallest callers of all at once.
"""

import time
from dataclasses import replace

from advisor.knowledge.model import FactRef
from advisor.proving import shelf
from advisor.proving.admissible import range_of
from advisor.proving.callers import Caller, CallerRuns
from advisor.proving.problem import Problem
from advisor.proving.questions import QUESTIONS
from advisor.proving.settled import Settler

from ..rules.shop import knowledge

TIMES = 16


def multiplied(times):
    """Today's knowledge that many times over."""
    known = knowledge()
    if times == 1:
        return known
    copies = range(times)
    facts = {}
    # A clutch on file has its fields in every copy; what is asked of kits stays as it is.
    fields = {
        _name(name, number): field if not number else replace(field, always=False)
        for number in copies
        for name, field in known.kit_fields.items()
    }
    for number in copies:
        for name, fact in known.facts.items():
            other = replace(
                fact,
                name=_name(name, number),
                needs_one_of=tuple(_name(way, number) for way in fact.needs_one_of),
                never_for=tuple((_name(over, number), values) for over, values in fact.never_for),
            )
            if fact.source == "platform" or fact.platform:
                low, high = range_of(fact)
                other = replace(other, platform=_name(fact.platform, number), low=low, high=high)
            if fact.source == "factory_kit":
                other = replace(other, field=_name(fact.field, number))
            facts[other.name] = other
    return replace(
        known,
        facts=facts,
        kit_fields=fields,
        estimates=tuple(
            replace(each, field=_name(each.field, number)) for number in copies for each in known.estimates
        ),
        rules=tuple(_rule(rule, number) for number in copies for rule in known.rules),
        calculations=tuple(_calculation(each, number) for number in copies for each in known.calculations),
    )


def _name(name, number):
    return f"{name}_x{number}" if number else name


def _limit(limit, number):
    if isinstance(limit, FactRef):
        return FactRef(_name(limit.name, number))
    return tuple(_limit(part, number) for part in limit) if isinstance(limit, tuple) else limit


def _rule(rule, number):
    def condition(each):
        return replace(each, fact=_name(each.fact, number), limit=_limit(each.limit, number))

    return replace(
        rule,
        id=_name(rule.id, number),
        all=tuple(map(condition, rule.all)),
        any=tuple(tuple(map(condition, branch)) for branch in rule.any),
        conclude=tuple(
            replace(each, fact=_name(each.fact, number), value=_limit(each.value, number)) for each in rule.conclude
        ),
        require=tuple(
            replace(each, id=_name(each.id, number), rule=_name(rule.id, number), limit=_limit(each.limit, number))
            for each in rule.require
        ),
        contradiction=None,
    )


def _calculation(each, number):
    inputs = tuple(
        (keyword, replace(given, name=_name(given.name, number)) if given.source == "fact" else given)
        for keyword, given in each.inputs
    )
    return replace(each, id=_name(each.id, number), gives=_name(each.gives, number), inputs=inputs)


def _timed(work):
    start = time.process_time()
    came = work()
    return came, time.process_time() - start


def _without_arithmetic(known):
    """(what, how many questions, seconds) of everything that python-sat answers."""
    problem, seconds = _timed(lambda: Problem(known, before_solving=shelf.prepare))
    _, more = _timed(lambda: problem.solver)
    yield "written as statements", len(problem.regions.clauses), seconds + more
    _, seconds = _timed(lambda: problem.runs)
    yield "engines made ready", len(known.rules), seconds
    for name, question in {**QUESTIONS, "quarrels": shelf.quarrels}.items():
        before = problem.solver.asked
        findings, seconds = _timed(lambda question=question: list(question(problem)))
        assert not findings, findings[0].what
        yield name, problem.solver.asked - before, seconds
    settler = Settler(known)
    runs = CallerRuns(known)
    known_facts = runs.known(Caller({"main_use": "daily", "engine_torque": 300.0}))
    found, seconds = _timed(lambda: settler.settled(known_facts))
    yield "settled, one step", found.asked, seconds


def _with_arithmetic(known, rules):
    """The same of what z3 answers, for a few rules."""
    from advisor.proving.searching import CallerSearch
    from advisor.proving.silence import least_change
    from advisor.proving.smallest import witnesses

    caller = Caller({"main_use": "daily", "engine_torque": 300.0})
    found, seconds = _timed(lambda: [least_change(CallerSearch(known, only=[rule]), caller, rule) for rule in rules])
    yield "least changes", len(found), seconds
    search, seconds = _timed(lambda: CallerSearch(known))
    yield "written for z3", len(search.exact.axioms), seconds
    found, seconds = _timed(lambda: list(witnesses(search, [search.by_id[rule] for rule in rules], (), {})))
    yield "smallest callers, all rules at once", len(found), seconds


def tables(smoke=False):
    """Title -> rows: what, questions and CPU seconds on today's base and on the larger one, and their ratio."""
    times = 2 if smoke else TIMES
    rules = ["above-red-line", "thrust-load-known"] if smoke else [
        rule.id for rule in knowledge().rules if rule.stage == "case"
    ][5::40]  # fmt: skip
    rows = {}
    for factor in (1, times):
        known = multiplied(factor)
        for what, count, seconds in (*_without_arithmetic(known), *_with_arithmetic(known, rules)):
            row = rows.setdefault(what, {"what": what})
            row[f"count x{factor}"], row[f"CPU s x{factor}"] = count, round(seconds, 3)
    for row in rows.values():
        row["ratio"] = round(row[f"CPU s x{times}"] / max(row["CPU s x1"], 1e-3), 1)
    return {f"proofs over today's rules and {times} times as many": list(rows.values())}
