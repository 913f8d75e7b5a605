"""durable-rules under stress, each kind in a process of its own: ``python -m tests.engine.stress KIND [COUNT]``.

Prints a line beginning with ``ok`` when everything held.
"""

import gc
import itertools
import json
import os
import re
import sys
import threading
import time

from advisor.engine.durable import compile_durable
from advisor.engine.plain import compile_plain
from advisor.engine.tracing import Tracer
from advisor.errors import ConflictError, EngineError
from advisor.knowledge.model import FactRef
from advisor.mechanics import friction

from .agreement import outcome
from .build import calculation, fact, knowledge, rule, when
from .generate import NUMBERS, TEXTS, Generator

NUMBER = r"-?\d+(?:\.\d+(?:e[+-]\d+)?)?"
FACT = re.compile(rf'\{{"id":"\d+","g\d+":0,(?:"z":0,)?"a\d+":{NUMBER}\}}')


class Spy:
    """Stands before the C module and keeps every text on its way in."""

    def __init__(self, real):
        self.real, self.texts = real, {}

    def __getattr__(self, name):
        function = getattr(self.real, name)

        def call(*arguments):
            self.texts.setdefault(name, []).extend(text for text in arguments if isinstance(text, str))
            return function(*arguments)

        return call


def hurtful(count=60):
    """Nothing known to hurt the C library reaches it: neither values nor forms of rules and facts."""
    import durable_rules_engine

    spy = sys.modules["durable_rules_engine"] = Spy(durable_rules_engine)
    for seed in range(count):
        generator = Generator(seed)
        evaluator = compile_durable(generator.knowledge, generator.stage)
        for _ in range(5):
            outcome(evaluator.derive, *generator.case())
    made = knowledge(
        [fact("a"), fact("b"), fact("note", "text")],
        [
            rule("limit", [when("a", "above", 1.0)]),
            rule("two", [when("a", "below", 5.0), when("note", "in", TEXTS[:9])]),
        ],
    )
    evaluator = compile_durable(made, "case")
    for number, text in itertools.zip_longest(NUMBERS, TEXTS, fillvalue="x"):
        evaluator.derive({"a": number if isinstance(number, float) else 1.0, "note": text})
    before = sum(map(len, spy.texts.values()))
    refused = [
        float("nan"),
        float("inf"),
        float("-inf"),
        None,
        True,
        5,
        2**60,
        "5",
        b"5",
        [],
        {},
        (),
        1j,
        "nul\0",
        "\ud800",
    ]
    refused += ["x" * 30_000, "x" * 65_536, "ü" * 40_000]
    for value, name in itertools.product(refused, ("a", "note")):
        if name == "note" and value == "5":
            continue
        try:
            evaluator.derive({"b": 1.0, name: value})
        except EngineError:
            continue
        raise AssertionError(f"{name} = {value!r} was let through")
    assert sum(map(len, spy.texts.values())) == before, "a refused value reached the library"
    checked = 0
    for text in spy.texts["assert_facts"]:
        if text != '[{"id":"warm","warm":1}]':
            for one in text[1:-1].replace("},{", "}\n{").split("\n"):
                assert FACT.fullmatch(one), one
                checked += 1
    assert "retract_facts" not in spy.texts, "taking facts back is not safe"
    rules = sum(_check_rules(text) for text in spy.texts["create_ruleset"] if text.startswith("{"))
    assert checked > 1000 and rules > 500 and "assert_event" not in spy.texts
    return f"{checked} facts and {rules} rules in safe forms, {2 * len(refused) - 1} values refused"


def _check_rules(text):
    """Every limit and every form of `patterns`, from the text that went in; the number of rules."""
    parsed = json.loads(text)
    assert parsed.pop("0") == {"all": [{"p0": {"$and": [{"warm": 1}]}}]}
    assert [int(number) for number in parsed] == sorted(int(number) for number in parsed) and len(parsed) <= 1500
    groups, columns, first = {}, {}, {}
    for body in parsed.values():
        assert list(body) == ["all"] and 1 <= len(body["all"]) <= 10
        seen = {}
        for place, pattern in enumerate(body["all"]):
            ((alias, condition),) = pattern.items()
            assert alias == f"p{place}" and list(condition) == ["$and"]
            (group, *parts) = condition["$and"]
            ((group, zero),) = group.items()
            assert re.fullmatch(r"g\d+", group) and zero == 0
            joins = [part for part in parts if _refers(part)]
            tests = parts[len(joins) :]
            assert parts[: len(joins)] == joins, "comparisons stand first"
            if joins:
                assert list(joins[-1]) == ["z"] and set(joins[-1]["z"].values()) == {"z"}, (
                    "one always true stands last of them"
                )
                assert len(joins) <= 9
            members = [part for part in tests if "$or" in part]
            assert len(members) <= 1 and (not members or tests[-1] is members[0]), "nothing follows a membership test"
            names = set()
            for part in tests:
                for one in part.get("$or", [part]):
                    ((op, rest),) = one.items()
                    names.add(next(iter(rest)) if op.startswith("$") else op)
                values = [json.dumps(one) for one in part.get("$or", [])]
                assert len(values) == len(set(values)) <= 200
            for join in joins[:-1]:
                ((op, rest),) = join.items()
                ((name, target),) = rest.items()
                ((earlier, other),) = target.items()
                assert op in ("$lt", "$lte", "$gt", "$gte") and seen[earlier] == other
                names.add(name)
            (name,) = names
            assert name not in seen.values(), "one pattern for a fact"
            seen[alias] = name
            assert columns.setdefault(name, group) == group
            (unshared, shared) = groups.setdefault(group, ([], set()))
            for part in (*joins, *tests):
                if part in joins or "$or" in part or joins:
                    unshared.extend(part.get("$or", [part]))
                else:
                    shared.add(json.dumps(part))
            first[name] = first.get(name, 0) + 1
    assert all(len(unshared) + len(shared) <= 260 for unshared, shared in groups.values()), "tests under one group"
    assert all(uses <= 100 for uses in first.values()) and len(groups) <= 400
    return len(parsed)


def _refers(part):
    ((op, rest),) = part.items()
    inner = rest if op == "z" else next(iter(rest.values())) if isinstance(rest, dict) else None
    return isinstance(inner, dict)


def memory(count=3000):
    """The process stays as large as it was, and every case comes out as from the plain chainer."""
    generator = Generator(7, size=60, stage="case")
    durable, plain = compile_durable(generator.knowledge, "case"), compile_plain(generator.knowledge, "case")
    cases = [generator.case() for _ in range(500)]
    expected = [str(outcome(plain.derive, *case)) for case in cases]
    conflicts = sum(isinstance(outcome(plain.derive, *case), ConflictError) for case in cases)
    warm = max(count // 5, 1000)
    start = 0
    for number in range(count + warm):
        if number == warm:
            gc.collect()
            start = _resident()
        found = outcome(durable.derive, *cases[number % 500])
        assert number % 50 or str(found) == expected[number % 500]
    gc.collect()
    grown = _resident() - start
    assert grown < 1500, f"grew by {grown} kB"
    return f"{count} cases in one process ({conflicts} of 500 in conflict), grew by {grown} kB"


def _resident():
    """kB of memory in use, as the kernel counts it."""
    with open("/proc/self/status") as status:
        return next(int(line.split()[1]) for line in status if line.startswith("VmRSS"))


def threads(count=6):
    """An evaluator for each thread works; one shared by all refuses, and never answers wrongly."""
    generator = Generator(7, size=60, stage="case")
    cases = [generator.case() for _ in range(200)]
    plain = compile_plain(generator.knowledge, "case")
    expected = [str(outcome(plain.derive, *case)) for case in cases]
    wrong, refused, right = [], [], []

    def work(evaluator):
        for case, text in zip(cases, expected):
            try:
                found = str(outcome(evaluator.derive, *case, Yielding()))
            except EngineError as error:
                assert "cannot begin another" in str(error)
                refused.append(1)
                continue
            (right if found == text else wrong).append(found)

    for shared in (None, compile_durable(generator.knowledge, "case")):
        workers = [
            threading.Thread(target=work, args=(shared or compile_durable(generator.knowledge, "case"),))
            for _ in range(count)
        ]
        for worker in workers:
            worker.start()
        for worker in workers:
            worker.join()
        if shared is None:
            assert len(right) == 200 * count and not refused and not wrong
    assert not wrong and refused and len(right) > 200 * count
    return f"{count} threads, {len(right)} right, {len(refused)} refused, 0 wrong"


class Yielding(Tracer):
    """Lets other threads in while a derivation is under way."""

    def started(self, *arguments):
        time.sleep(0)


def fork(count=4):
    """Children forked after compiling, and children of theirs, derive what the parent does."""
    generator = Generator(7, size=60, stage="case")
    durable = compile_durable(generator.knowledge, "case")
    cases = [generator.case() for _ in range(60)]
    expected = [str(outcome(durable.derive, *case)) for case in cases]

    def check():
        return [str(outcome(durable.derive, *case)) for case in cases] == expected

    children = []
    for _ in range(count):
        child = os.fork()
        if child == 0:
            right = check()
            grandchild = os.fork()
            if grandchild == 0:
                os._exit(0 if check() else 1)
            os._exit(0 if right and os.waitpid(grandchild, 0)[1] == 0 else 1)
        children.append(child)
        assert check()
    assert [os.waitpid(child, 0)[1] for child in children] == [0] * count
    assert check()
    return f"{count} children and as many grandchildren derive what the parent does"


class Raising(Tracer):
    """Raises ``error`` at the ``when``-th event."""

    def __init__(self, error, when):
        self.error, self.left = error, when

    def _count(self, *arguments):
        self.left -= 1
        if self.left == 0:
            raise self.error

    started = fired = finished = _count


def callbacks(count=40):
    """What a tracer or a calculation raises reaches the caller, and the next case is derived as if nothing was."""
    facts = [fact("a"), *(fact(f"d_{number}", source="derived") for number in range(8)), fact("out", source="derived")]
    rules = [rule("r-0", [when("a", "known")], conclude=[("d_0", 1.0)])]
    rules += [rule(f"r-{n}", [when(f"d_{n - 1}", "known")], conclude=[(f"d_{n}", 1.0)]) for n in range(1, 8)]
    explosive = {"on": False}

    def moody(*, x):
        if explosive["on"]:
            raise RuntimeError("the shop is on fire")
        return x

    moody.__module__ = friction.__name__
    friction.moody = moody
    made = knowledge(facts, rules, [calculation("c", "out", "friction.moody", {"x": FactRef("a")})])
    durable = compile_durable(made, "case")
    expected, seen = compile_plain(made, "case").derive({"a": 1.0}), 0
    for place, error in itertools.product(
        range(1, 12), (ValueError("mine"), KeyboardInterrupt(), MemoryError(), EngineError("mine"))
    ):
        try:
            durable.derive({"a": 1.0}, frozenset(), Raising(error, place))
        except BaseException as caught:
            assert caught is error
            seen += 1
        assert durable.derive({"a": 1.0}) == expected
    assert seen == 44
    for number in range(count):
        explosive["on"] = True
        try:
            durable.derive({"a": 2.0 + number})
        except EngineError as error:
            assert "the shop is on fire" in str(error)
        else:
            raise AssertionError("the calculation's error was lost")
        explosive["on"] = False
        assert durable.derive({"a": 1.0}) == expected

    class Inside(Tracer):
        def fired(self, *arguments):
            durable.derive({"a": 1.0})

    try:
        durable.derive({"a": 1.0}, frozenset(), Inside())
    except EngineError as error:
        assert "cannot begin another inside it" in str(error)
    else:
        raise AssertionError("deriving inside a derivation was not refused")
    assert durable.derive({"a": 1.0}) == expected
    return f"{seen} raising tracers, {count} raising calculations, then as before"


def evaluators(count=300):
    """Many evaluators made and let go: what the C library holds is given back."""
    generator = Generator(7, size=60, stage="case")
    facts, said = generator.case()
    start = 0
    for number in range(count):
        evaluator = compile_durable(generator.knowledge, "case")
        outcome(evaluator.derive, facts, said)
        if number % 2:
            evaluator.close()
        del evaluator
        if number == count // 3:
            gc.collect()
            start = _resident()
    gc.collect()
    grown = (_resident() - start) / (count - count // 3)
    assert grown < 40, f"each evaluator leaves {grown:.0f} kB"
    return f"{count} evaluators, {grown:.1f} kB left by each"


KINDS = {one.__name__: one for one in (hurtful, memory, threads, fork, callbacks, evaluators)}

if __name__ == "__main__":
    kind, *rest = sys.argv[1:]
    print("ok", KINDS[kind](*map(int, rest)))
