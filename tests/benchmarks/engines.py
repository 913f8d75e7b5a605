"""Reasoning per case, side by side: our evaluators, the bulk evaluator, CLIPS and (where installed) zen-engine.

``python -m tests.benchmarks.engines [--smoke]``. All do the same rules to the same Derivation, full firing
record included, checked equal before anything is timed. Calculations are left out on all sides: their results
are given as facts. Ratios are medians over rounds in which the engines take turns, in CPU time of one process.
"""

import importlib.util
import statistics
import sys
import time
from dataclasses import replace
from pathlib import Path

from advisor.engine.bulk import BulkEvaluator
from advisor.engine.durable import DurableEvaluator
from advisor.engine.fact_columns import columns
from advisor.engine.plain import PlainEvaluator
from advisor.engine.rulebase import rule_base
from advisor.errors import ConflictError
from advisor.knowledge import load
from advisor.knowledge.model import FactRef

from ..engine.cases import Cases
from .outside import Clips, Zen

RULES = Path(__file__).parents[2] / "rules"


def workload(times, count):
    """(knowledge without calculations, cases): the real case rules ``times`` over, each under names of its own."""
    knowledge = load.knowledge(RULES)
    base = rule_base(knowledge, "case")
    plain, random_cases = PlainEvaluator(base), Cases(base, 77)
    gives = [calculation.gives for calculation in base.calculations]
    cases = []
    while len(cases) < count:
        facts, answered = random_cases.case()
        # zen-engine computes in decimals of limited length; these are numbers it can hold.
        facts = {name: round(value, 9) if value.__class__ is float else value for name, value in facts.items()}
        try:
            derived = plain.derive(facts, answered).facts
        except ConflictError:
            continue
        given = {name: round(derived[name], 9) for name in gives if name in derived}
        cases.append(({**facts, **given}, answered))
    rules = [rule for rule in knowledge.rules if rule.stage == "case"]
    facts = dict(base.facts.items())
    made = replace(
        knowledge,
        calculations=(),
        figures={},
        kit_fields={},
        facts={
            _name(name, n): replace(fact, name=_name(name, n)) for n in range(times) for name, fact in facts.items()
        },
        rules=tuple(_renamed(rule, n) for n in range(times) for rule in rules),
    )
    many = [
        (
            {_name(name, n): value for n in range(times) for name, value in given.items()},
            frozenset(_name(name, n) for n in range(times) for name in answered),
        )
        for given, answered in cases
    ]
    return made, many


def _name(name, number):
    return f"{name}_x{number}" if number else name


def _limit(limit, number):
    if isinstance(limit, FactRef):
        return FactRef(_name(limit.name, number))
    return tuple(_limit(one, number) for one in limit) if isinstance(limit, tuple) else limit


def _renamed(rule, number):
    def condition(one):
        return replace(one, fact=_name(one.fact, number), limit=_limit(one.limit, number))

    return replace(
        rule,
        id=_name(rule.id, number),
        all=tuple(map(condition, rule.all)),
        any=tuple(tuple(map(condition, branch)) for branch in rule.any),
        conclude=tuple(
            replace(one, fact=_name(one.fact, number), value=_limit(one.value, number)) for one in rule.conclude
        ),
    )


def one_at_a_time(times=1, count=100, rounds=7):
    """Rows (engine, rules, median us a case, spread, ratio to CLIPS) for the engines that take a case at a time."""
    knowledge, cases = workload(times, count)
    base = rule_base(knowledge, "case")
    engines = [PlainEvaluator(base), DurableEvaluator(base), Clips(knowledge, "case")]
    if importlib.util.find_spec("zen"):
        engines.append(Zen(knowledge, "case"))
    expected = [engines[0].derive(*case) for case in cases]
    for engine in engines[1:]:
        for case, right in zip(cases, expected):
            found = engine.derive(*case)
            if found != right:
                raise AssertionError(f"{engine.name} does not derive what the plain chainer does")
    taken = {engine.name: [] for engine in engines}
    for _ in range(rounds):
        for engine in engines:
            start = time.process_time()
            for facts, answered in cases:
                engine.derive(facts, answered)
            taken[engine.name].append((time.process_time() - start) / len(cases) * 1e6)
    taken["both of ours"] = [sum(pair) for pair in zip(taken["plain"], taken["durable-rules"])]
    firings = statistics.mean(len(one.firings) for one in expected)
    rows = []
    for name, times_taken in taken.items():
        ratios = {
            f"of {other}": statistics.median(a / b for a, b in zip(times_taken, taken[other]))
            for other in ("clips", "zen-engine")
            if other in taken
        }
        rows.append(
            {
                "engine": name,
                "rules": len(base.rules),
                "facts given": len(cases[0][0]),
                "firings": round(firings, 1),
                "us a case": round(statistics.median(times_taken)),
                "spread": round(max(times_taken) - min(times_taken)),
                **{key: round(value, 2) for key, value in ratios.items()},
            }
        )
    return rows


def at_once(count=10_000, rounds=5, sample=400):
    """Rows for the bulk evaluator on ready columns against the engines, cases a second."""
    knowledge, cases = workload(1, sample)
    base = rule_base(knowledge, "case")
    cases = (cases * (count // sample + 1))[:count]
    bulk, plain, durable = BulkEvaluator(knowledge, "case"), PlainEvaluator(base), DurableEvaluator(base)
    ready, answered = columns(base.facts, cases)
    found = bulk.derive(ready, answered)
    for row in range(sample):
        if found.derivation(row) != plain.derive(*cases[row]):
            raise AssertionError("bulk does not derive what the plain chainer does")
    taken = {"bulk": [], "plain": [], "durable-rules": []}
    for _ in range(rounds):
        start = time.process_time()
        bulk.derive(ready, answered)
        taken["bulk"].append((time.process_time() - start) / count)
        for engine in (plain, durable):
            start = time.process_time()
            for facts, said in cases[:sample]:
                engine.derive(facts, said)
            taken[engine.name].append((time.process_time() - start) / sample)
    return [
        {
            "engine": name,
            "cases": count if name == "bulk" else sample,
            "cases a second": round(1 / statistics.median(times)),
            "bulk is faster by": round(statistics.median(one / fast for one, fast in zip(times, taken["bulk"])), 1),
        }
        for name, times in taken.items()
    ]


def tables(smoke=False):
    """name -> rows; a smoke run only shows that everything still runs."""
    if smoke:
        return {"a case at a time": one_at_a_time(1, 5, 1), "at once": at_once(200, 1, 20)}
    found = {f"a case at a time, {times} x our rules": one_at_a_time(times, 200 // times, 7) for times in (1, 4, 16)}
    return {**found, "at once": at_once()}


def _print(title, rows):
    names = list(dict.fromkeys(name for row in rows for name in row))
    widths = [max(len(name), *(len(str(row.get(name, ""))) for row in rows)) for name in names]
    print(title)
    for row in (dict(zip(names, names)), *rows):
        print("  " + "  ".join(str(row.get(name, "")).rjust(width) for name, width in zip(names, widths)))


if __name__ == "__main__":
    for title, rows in tables("--smoke" in sys.argv).items():
        _print(title, rows)
