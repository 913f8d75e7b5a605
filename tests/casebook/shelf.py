"""A frozen copy of the shipped rules and scenarios, what they decide, and random cases.

The copy is made once for each test process, so that rules edited while tests run change nothing under them.
"""

import atexit
import functools
import json
import random
import shutil
import tempfile
from pathlib import Path

from advisor.casebook import book as books
from advisor.casebook import records
from advisor.casebook.files import Files
from advisor.deciding.decide import decider_of
from advisor.knowledge import load
from advisor.knowledge.model import Answer, Case
from advisor.knowledge.sources import Sources, read

ROOT = Path(__file__).resolve().parents[2]


@functools.cache
def folder():
    """The frozen copy: rules/ and scenarios/ in one folder."""
    made = Path(tempfile.mkdtemp(prefix="casebook-tests-"))
    atexit.register(shutil.rmtree, made, ignore_errors=True)
    for name in ("rules", "scenarios"):
        shutil.copytree(ROOT / name, made / name)
    return made


def sources(rules=None, kits=None):
    """Sources of the copy, rules or kits elsewhere."""
    root = folder()
    return Sources(
        Path(rules or root / "rules"), Path(kits or root / "scenarios/kits"), root / "scenarios/platforms", root / "scenarios/parts"
    )


@functools.cache
def files():
    """The raw Files of the copy."""
    return Files.of(sources())


@functools.cache
def decider():
    """The Decider of the copy, on both engines."""
    return decider_of(read(sources(), cache=False))


@functools.cache
def cases():
    """The shipped cases by id."""
    found = (load.case(path, decider().knowledge) for path in sorted((folder() / "scenarios/cases").glob("*.yaml")))
    return {case.id: case for case in found}


@functools.cache
def made(name):
    """The record of a shipped case, as JSON text (so that no test changes another's)."""
    return json.dumps(books.decide(decider(), cases()[name]))


def record(name):
    """The decision record of a shipped case."""
    return json.loads(made(name))


def random_cases(count, seed):
    """Random cases over the platforms on file: most of what is needed answered, values from anywhere in range."""
    pick, knowledge = random.Random(seed), decider().knowledge
    asked = [fact for fact in knowledge.facts.values() if fact.source == "asked"]
    usual = {
        "engine_torque": lambda: round(pick.uniform(150, 700)), "main_use": lambda: pick.choice(knowledge.facts["main_use"].choices),
        "sanctioned_racing": lambda: pick.random() < 0.2,
    }
    for number in range(count):
        share = pick.choice((0.1, 0.3, 0.6))
        answers, unknown = {}, []
        for fact in asked:
            if fact.name in usual and pick.random() < 0.9:
                answers[fact.name] = Answer(_float(usual[fact.name]()), pick.choice(("measured", "stated")))
            elif pick.random() < share and not fact.platform:
                answers[fact.name] = Answer(_value(pick, fact), "stated")
            elif pick.random() < 0.1:
                unknown.append(fact.name)
        platform = pick.choice(decider().shop.platforms).id
        yield Case(f"random-{seed}-{number}", platform, answers, tuple(sorted(unknown)))


def _value(pick, fact):
    if fact.choices:
        if fact.kind == "list":
            return tuple(sorted(pick.sample(fact.choices, pick.randint(0, len(fact.choices)))))
        return pick.choice(fact.choices)
    if fact.kind == "flag":
        return pick.random() < 0.5
    if fact.kind == "text":
        return "23 x 26 mm"
    return float(f"{pick.uniform(fact.low, fact.high):.4g}") if pick.random() < 0.9 else float(fact.low)


def _float(value):
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def save(book, case_id, **who):
    """Save a shipped case with its record; (case number, decision Entry)."""
    begun = book.begin(cases()[case_id], files(), **who)
    return begun.case, book.decided(begun, record(case_id), books.currency_of(decider(), record(case_id)))


def decided_again(case):
    """The bytes a replay must give."""
    return records.decided_bytes(books.decide(decider(), case))
