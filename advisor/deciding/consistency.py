"""Answers that cannot all be true: found before stage case by rules of their own.

The rules read answers and the car's record, nothing that was only assumed. What they find stands in the record. One
that could leave the clutch too small stops the decision until an answer settles it, or until the case insists: then its
harder reading is taken. The others are remarks.
"""

import dataclasses
import itertools
from collections.abc import Callable, Collection, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from ..errors import InputError
from ..frozen import frozen
from ..knowledge.case_model import Case
from ..knowledge.model import CONTRADICTION, Contradiction, FactRef, Knowledge, Rule, Value
from ..knowledge.near import did_you_mean

if TYPE_CHECKING:
    from ..engine.bulk import BulkEvaluator
    from ..engine.derivation import Derivation
    from .answers import Known
    from .completions import Completions

STAGE = "consistency"
#: Where the value of a fact comes from when the case insists on a contradiction.
HARDER = "harder_reading"
#: Ranges in one case whose ends are tried against each other; where there are more, their middles are taken.
MOST_RANGES = 6


@frozen
class Clash:
    """One contradiction: its id, the Rule that found it, and the ``facts`` it is between (those given, sorted).

    ``harder``: fact -> value it takes in the harder reading; ``insisted``: has the case said that this shall decide?
    """

    id: str
    rule: Rule
    facts: tuple[str, ...]
    harder: Mapping[str, Value]
    insisted: bool

    @property
    def contradiction(self) -> Contradiction:
        """What its rule says of it."""
        return contradiction_of(self.rule)

    @property
    def stops(self) -> bool:
        """Is nothing decided while it stands?"""
        return self.contradiction.undersizes and not self.insisted


@frozen
class Clashes:
    """The contradictions of a case, by id, and the Derivation they come from."""

    clashes: tuple[Clash, ...] = ()
    derivation: "Derivation | None" = None

    @property
    def asks(self) -> tuple[str, ...]:
        """Facts whose questions settle what stops, each once."""
        return tuple(dict.fromkeys(clash.contradiction.settle for clash in self.clashes if clash.stops))


def contradiction_of(rule: Rule) -> Contradiction:
    """What a rule of stage consistency says of the contradiction it finds."""
    assert rule.contradiction is not None, f"{rule.id} finds no contradiction"
    return rule.contradiction


def id_of(rule: Rule) -> str:
    """The contradiction that a Rule of stage consistency concludes."""
    value = rule.conclude[0].value
    return value[0] if isinstance(value, tuple) else value


def said(known: "Known") -> dict[str, Value]:
    """Facts that somebody answered or that stand on record: what contradictions may be between."""
    return {name: value for name, value in known.facts.items() if known.origins[name] != "assumed"}


def check_insist(case: Case, knowledge: Knowledge) -> None:
    """InputError where the case insists on something that is no contradiction."""
    ids = knowledge.facts[CONTRADICTION].choices if CONTRADICTION in knowledge.facts else ()
    for name in case.insist:
        if name not in ids:
            raise InputError(
                f"insist names {name!r}, which is no contradiction.",
                value=name,
                remedy=did_you_mean(name, ids, "Name one that the advice on this case shows."),
            )


def find(
    known: "Known", insist: Collection[str], rules: Mapping[str, Rule], derive: "Callable[..., Derivation]"
) -> "Clashes":
    """The `Clashes` among what is `said`. ``rules``: by id; ``derive(stage, facts, answered)`` gives a Derivation."""
    facts = said(known)
    derived = derive(STAGE, facts, known.answered)
    clashes: dict[str, Any] = {}
    givers = {
        name: firing for firing in derived.firings for name, _ in firing.concluded if firing.kind == "calculation"
    }
    for firing in derived.firings:
        rule = rules.get(firing.id) if firing.kind == "rule" else None
        if rule is None:
            continue
        name = id_of(rule)
        # Two rules of one contradiction say the same of different callers; the first by id speaks.
        clashes.setdefault(name, _clash(name, rule, firing, givers, derived.facts, facts, insist))
    for ends in ranges_ends(known) if clashes else ():
        still = {id_of(rules[name]) for name in derive(STAGE, facts | ends, known.answered).fired() if name in rules}
        clashes = {name: clash for name, clash in clashes.items() if name in still}
    return Clashes(tuple(clashes[name] for name in sorted(clashes)), derived)


def ranges_ends(known: "Known") -> list[dict[str, Value]]:
    """Every mix of the ends of what was answered as a range, each fact -> value; none where nothing was.

    A range contradicts another answer only where all of it does, and the rules ask ratios, which are most at an end.
    """
    vague = sorted(known.vague) if len(known.vague) <= MOST_RANGES else []
    ends = itertools.product(*((known.vague[name].low, known.vague[name].high) for name in vague))
    return [dict(zip(vague, values)) for values in ends] if vague else []


def _clash(name, rule, firing, givers, derived, facts, insist):
    between, waiting = set(), [read for read, _ in firing.facts]
    while waiting:
        read = waiting.pop()
        if read in facts:
            between.add(read)
        elif read in givers:
            waiting += [fact_name for fact_name, _ in givers[read].facts]
    harder = {}
    for taken in rule.contradiction.harder:
        value = derived.get(taken.value.name) if isinstance(taken.value, FactRef) else taken.value
        if value is not None:
            harder[taken.fact] = value
    return Clash(name, rule, tuple(sorted(between)), harder, name in insist and bool(harder))


def readings(known: "Known", knowledge: Knowledge) -> "tuple[Known, ...]":
    """The `Known`s a case comes to: one, or two where contradictions stop it, as said and by their harder readings.

    What stops it is not missing in either; what is missing for other reasons still is.
    """
    clashes = known.clashes
    if clashes is None or not clashes.asks:
        return (known,)
    missing = tuple(name for name in known.missing if name not in known.facts)
    insisted = tuple(
        dataclasses.replace(clash, insisted=clash.insisted or bool(clash.harder)) for clash in clashes.clashes
    )
    as_said = dataclasses.replace(known, missing=missing)
    harder = settled(as_said, dataclasses.replace(clashes, clashes=insisted), knowledge)
    return as_said, dataclasses.replace(harder, missing=missing)


def settled(known: "Known", clashes: "Clashes", knowledge: Knowledge) -> "Known":
    """`Known` with the harder readings that are insisted on, and with what stops among ``missing``."""
    facts, origins, answered = dict(known.facts), dict(known.origins), set(known.answered)
    for clash in clashes.clashes:
        if clash.insisted:
            for name, value in clash.harder.items():
                facts[name], origins[name] = _within(knowledge.facts[name], value), HARDER
                answered.add(name)
    assumed = tuple(assumption for assumption in known.assumptions if origins[assumption.fact] != HARDER)
    asks = tuple(name for name in clashes.asks if name not in known.missing)
    return dataclasses.replace(
        known,
        facts=facts,
        origins=origins,
        answered=frozenset(answered),
        assumptions=assumed,
        missing=(*asks, *known.missing),
        open=tuple(name for name in known.open if origins.get(name) != HARDER),
        vague={name: ends for name, ends in known.vague.items() if origins[name] != HARDER},
        clashes=clashes,
    )


def _within(fact, value):
    """A number kept inside its sane range: the harder end of what anybody could answer."""
    if isinstance(value, float) and fact.low is not None:
        return min(max(value, fact.low), fact.high)
    return value


class BulkClashes:
    """The same for many cases at once: which of them a contradiction stops."""

    def __init__(self, knowledge: Knowledge, evaluator: "BulkEvaluator") -> None:
        self.evaluator = evaluator
        self.rules = [rule for rule in knowledge.rules if rule.stage == STAGE]

    def stopping(self, given: Mapping[str, Any], answered: Mapping[str, np.ndarray], rows: int) -> np.ndarray:
        """Boolean (contradictions that stop, rows): which of them there is in which case.

        ``given`` holds what is answered or on record only (see ``engine.fact_columns``).
        """
        rules = [rule for rule in self.rules if contradiction_of(rule).undersizes]
        by_id = {name: [rule for rule in rules if id_of(rule) == name] for name in map(id_of, rules)}
        derived = self._derive(given, answered, rows)
        return np.array([self._any(derived, same, rows) for same in by_id.values()], dtype=bool).reshape(-1, rows)

    def contradictory(self, completions: "Completions", clashes: "Clashes | None") -> np.ndarray:
        """Boolean (rows,): `Completions` that contradict themselves otherwise than the case (``clashes``) does."""
        standing = {clash.id for clash in clashes.clashes} if clashes is not None else set()
        rules = [rule for rule in self.rules if id_of(rule) not in standing]
        given = {
            name: (values, completions.drawn[name][1] if name in completions.drawn else known)
            for name, (values, known) in completions.given.items()
        }
        rows = len(completions.missing)
        return self._any(self._derive(given, completions.answered, rows), rules, rows)

    def _derive(self, given, answered, rows):
        facts = self.evaluator.base.facts
        return self.evaluator.derive(
            {name: column for name, column in given.items() if name in facts},
            {name: mask for name, mask in answered.items() if name in facts},
            rows,
        )

    @staticmethod
    def _any(derived, rules, rows):
        any_fired = np.zeros(rows, dtype=bool)
        for rule in rules:
            any_fired |= derived.fired(rule.id)
        return any_fired
