"""The engine of the recorded decision: forward chaining by durable-rules, behind our one interface.

The library decides which rules fire; this adapter writes facts for it, applies what fired rules conclude and
keeps the record. What the library cannot be trusted with never reaches it: see `patterns` and `session`.
"""

import itertools
import locale
import threading
from collections.abc import Collection
from typing import Any, NamedTuple

from ..errors import EngineError
from ..knowledge.model import FactRef, Knowledge
from .derivation import Derivation, Facts, Firing, derivation
from .disagreement import conflict
from .durable_program import DurableProgram, program_of
from .patterns import Key, number_text
from .rulebase import Beforehand, RuleBase, beforehand, members, rule_base
from .session import Session
from .tracing import Tracer
from .translate import ALWAYS, codes


class _Clash(Exception):
    """Two firings disagree; which ones is settled by `conflict`."""


def compile_durable(knowledge: Knowledge, stage: str) -> "DurableEvaluator":
    """durable-rules over the rules of ``stage``; EngineError where it is not installed."""
    try:
        import durable_rules_engine  # noqa: F401
    except ImportError as error:
        raise EngineError(
            f"durable-rules cannot be loaded: {error}.",
            remedy="The plain chainer decides alone; install durable-rules for the second derivation.",
        ) from error
    return DurableEvaluator(rule_base(knowledge, stage))


class DurableEvaluator:
    """Forward chaining over a RuleBase on durable-rules.

    One evaluator derives one case at a time and refuses anything else: give each thread its own. A forked
    child may go on using it.
    """

    name = "durable-rules"

    def __init__(self, base: RuleBase, program: DurableProgram | None = None) -> None:
        """``program``: what the rules of the base are told as, where that is known already."""
        self.base = base
        self.program = program or program_of(base)
        self._busy = threading.Lock()
        self._codes = codes(base)
        self._items: list[tuple[str, str, Any]] = [("rule", rule.id, rule) for rule in base.rules]
        self._items += [("calculation", calculation.id, calculation) for calculation in base.calculations]
        # Of most rules nothing is asked in most cases: what is read, concluded and asserted is written when it is.
        self._about: dict[int, Beforehand] = {}
        self._written: dict[Key, list[_Written]] = {}
        self._order = sorted(range(len(self._items)), key=lambda place: base.rank[self._items[place][:2]])
        self._sessions = [Session(rules) for rules in self.program.sessions]
        columns = self.program.columns
        self._told = frozenset(key[1] for key in columns if key[0] in ("value", "list", "member"))
        self._conditional = [(key, key[1]) for key in columns if key[0] in _GIVEN_ONLY]

    def __reduce__(self) -> "tuple[type[DurableEvaluator], tuple[RuleBase]]":
        """Another process compiles the same rules again; what the C library holds cannot be sent."""
        return DurableEvaluator, (self.base,)

    def about(self, place: int) -> Beforehand:
        """What is known beforehand of the rule or calculation at a place."""
        if place not in self._about:
            self._about[place] = beforehand(self.base, self._items[place][2])
        return self._about[place]

    def written(self, key: Key) -> "list[_Written]":
        """How a key is asserted in each session; nothing where no rule asks for it."""
        if key not in self._written:
            self._written[key] = [
                _Written(session, self._texts(key, columns)) for session, columns in self.program.columns.get(key, ())
            ]
        return self._written[key]

    def _texts(self, key, columns):
        """Facts by value or, for numbers, with a place for one; objects for the few values of a choice or flag."""
        if key[0] != "value":
            return {None: [column.fact(1) for column in columns]}
        if key[1] not in self._codes:
            return [column.fact("%s") for column in columns]
        values = self._codes[key[1]]
        texts: dict[Any, list[str]] = {
            value: [column.fact(code) for column in columns] for value, code in values.items()
        }
        texts[None] = [column.fact(len(values)) for column in columns]
        return texts

    def derive(self, facts: Facts, answered: Collection[str] = frozenset(), tracer: Tracer | None = None) -> Derivation:
        """Everything that follows from ``facts``; see `tracing.Evaluator`."""
        if not self._busy.acquire(blocking=False):
            raise EngineError(
                "durable-rules is already deriving a case and cannot begin another inside it or beside it.",
                remedy="Wait until the first is done, or compile an evaluator for each thread.",
            )
        try:
            self.base.refuse_bad_facts(facts)
            facts, answered = self.base.held(facts, answered)
            if locale.localeconv()["decimal_point"] != ".":
                raise EngineError(
                    "durable-rules misreads numbers where the decimal point is not a point.",
                    remedy="Set LC_NUMERIC to C before deciding a case.",
                )
            if tracer is not None:
                tracer.started(self.name, self.base.stage, facts, answered)
            try:
                run = _Run(self, facts, answered, tracer)
            except _Clash:
                raise conflict(self.base, facts, answered) from None
            finally:
                for session in self._sessions:
                    session.drop()
            outcome = derivation(run.facts, run.firings())
            if tracer is not None:
                tracer.finished(self.name, outcome)
            return outcome
        finally:
            self._busy.release()

    def close(self) -> None:
        """Free what the C library holds; the evaluator cannot be used again."""
        for session in self._sessions:
            session.close()


class _Written(NamedTuple):
    """How a key is asserted in one session: facts, see `DurableEvaluator._texts`."""

    session: int
    texts: Any


#: Tests of what is given, asserted as facts of their own: (has it a value, did somebody answer it) -> holds it.
_GIVEN_ONLY = {
    "absent": lambda has, said: not has,
    "answered": lambda has, said: said,
    "not_answered": lambda has, said: not said,
}


class _Run:
    """One derivation under way."""

    def __init__(self, evaluator, facts, answered, tracer):
        self.evaluator, self.tracer, self.facts = evaluator, tracer, dict(facts)
        self.kinds = evaluator.base.facts
        self.batches: list[list[str]] = [[] for _ in evaluator._sessions]
        self.held, self.results, self.asserted, self.followers = {}, {}, set(), []
        self._put(ALWAYS)
        for key, name in evaluator._conditional:
            has = name in facts
            if _GIVEN_ONLY[key[0]](has, has and name in answered):
                self._put(key)
        for name, value in facts.items():
            if name in evaluator._told:
                self._tell(name, value)
        while any(self.batches):
            for session, batch in zip(evaluator._sessions, self.batches):
                if batch:
                    batch_told = batch[:]
                    batch.clear()
                    for number in session.fire(batch_told):
                        self._act(*evaluator.program.actions[number - 1])

    def _put(self, key, value=None):
        for session, texts in self.evaluator.written(key):
            batch = self.batches[session]
            if texts.__class__ is list:
                text = number_text(value)
                batch.extend([fact_text % text for fact_text in texts])
            else:
                batch.extend(texts[value] if value in texts else texts[None])

    def _tell(self, name, value):
        """Put a fact of the model before the engine: of a list, the members it does not hold yet."""
        if self.kinds[name].kind != "list":
            self._put(("value", name), value)
            return
        for key in (("list", name), *(("member", name, member) for member in value)):
            if key not in self.asserted:
                self.asserted.add(key)
                self._put(key)

    def _act(self, place, branch, key):
        """An engine rule fired: part of a wide rule, or one branch of a rule, or a calculation's inputs."""
        if key is not None:
            if key not in self.asserted:
                self.asserted.add(key)
                self._put(key)
            return
        held = self.held.get(place)
        if held is not None:
            held.add(branch)
            return
        self.held[place] = {branch}
        kind, name, item = self.evaluator._items[place]
        reason = ""
        if kind == "calculation":
            value, reason = self.results[place] = item(self.facts)
            concluded = [] if value is None else [(item.gives, value)]
        elif (always := self.evaluator.about(place).constant) is not None:
            concluded = always
        else:
            concluded = [(part.fact, self._literal(part)) for part in item.conclude]
            self.followers += [(part.value.name, part.fact) for part in item.conclude if self._follows(part)]
        if self.tracer is not None:
            self.tracer.fired(self.evaluator.name, kind, name, tuple(concluded), reason)
        for fact, value in concluded:
            self._conclude(fact, value)

    def _follows(self, part):
        return isinstance(part.value, FactRef) and self.kinds[part.fact].kind == "list"

    def _literal(self, part):
        if isinstance(part.value, FactRef):
            return self.facts[part.value.name]
        return tuple(sorted(set(members(part.value)))) if self.kinds[part.fact].kind == "list" else part.value

    def _conclude(self, name, value):
        present = self.facts.get(name)
        if self.kinds[name].kind == "list":
            if present is not None and set(value) <= set(present):
                return
            self.facts[name] = tuple(sorted({*(present or ()), *value}))
            self._tell(name, value)
            for source, target in self.followers:
                if source == name:
                    self._conclude(target, self.facts[name])
        elif present is None:
            self.facts[name] = value
            self._put(("value", name), value)
        elif self.kinds[name].agreement != "same_value" or present != value:
            raise _Clash

    def firings(self):
        """The record, made when everything is known: branches and members may come after a rule fired."""
        record = []
        for place in self.evaluator._order:
            if place not in self.held:
                continue
            kind, name, item = self.evaluator._items[place]
            (reads, of_branch, concluded), reason = self.evaluator.about(place), ""
            held: tuple[int, ...] = ()
            if of_branch:
                held = tuple(sorted(self.held[place]))
                reads = sorted({*reads, *itertools.chain.from_iterable(of_branch[branch] for branch in held)})
            if kind == "calculation":
                value, reason = self.results[place]
                concluded = () if value is None else ((item.gives, value),)
            elif concluded is None:
                concluded = tuple(sorted((part.fact, self._literal(part)) for part in item.conclude))
            record.append(
                Firing(
                    kind,
                    name,
                    held,
                    tuple([(read_name, self.facts[read_name]) for read_name in reads]),
                    concluded,
                    reason,
                )
            )
        return record
