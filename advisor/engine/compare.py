"""Every decision derived twice, by two engines that share nothing but the rules, and compared.

A difference is an error that names what differs and carries the case; it is never settled by choosing one.
Where durable-rules cannot be had the plain chainer decides alone, and the outcome says so.
"""

import importlib.util
import threading
from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING, Any

from ..errors import ConflictError, DisagreementError
from ..frozen import frozen
from ..knowledge.model import Knowledge
from .derivation import Derivation, Facts
from .plain import PlainEvaluator
from .prepared import Prepared
from .rulebase import rule_base
from .tracing import Evaluator, Tracer

if TYPE_CHECKING:
    from ..knowledge.complaint_model import ComplaintKnowledge

#: What one engine makes of a case.
Outcome = Derivation | ConflictError

#: Compiled engines kept for each thread, one for each stage: a program works with two or three rule sets at a time.
_KEPT = 9
_cache = threading.local()


@frozen
class Agreed:
    """A derivation and who made it; ``engines_agreed`` is False where only one engine could be had."""

    derivation: Derivation
    engines: tuple[str, ...]
    engines_agreed: bool


def available_engines() -> tuple[str, ...]:
    """Names of the engines that can be used here, the deciding one first."""
    if importlib.util.find_spec("durable_rules_engine") is None:
        return ("plain",)
    try:
        import durable_rules_engine  # noqa: F401
    except ImportError:  # built, but not for this Python
        return ("plain",)
    return ("durable-rules", "plain")


class TwoEngines:
    """The engines of one stage, compiled once. ``isolated`` runs durable-rules in a process of its own."""

    def __init__(
        self,
        knowledge: "Knowledge | ComplaintKnowledge",
        stage: str,
        *,
        isolated: bool = False,
        prepared: Prepared | None = None,
    ) -> None:
        """``prepared``: as an earlier one of the same rules and stage had it."""
        self.stage = stage
        self.base = base = rule_base(knowledge, stage, None if prepared is None else prepared.order)
        self.evaluators: list[Evaluator] = [PlainEvaluator(base)]
        self.prepared = Prepared(tuple(base.rank))
        if "durable-rules" in available_engines():
            from .durable import DurableEvaluator

            durable = DurableEvaluator(base, None if prepared is None else prepared.program)
            evaluator: Evaluator = durable
            if isolated:
                from .isolated import IsolatedEvaluator

                evaluator = IsolatedEvaluator(durable)
            self.evaluators.insert(0, evaluator)
            self.prepared = Prepared(tuple(base.rank), durable.program)

    def derive(self, facts: Facts, answered: Collection[str] = frozenset(), tracer: Tracer | None = None) -> Agreed:
        """The Agreed derivation of ``facts``; DisagreementError where the engines differ.

        ConflictError where rules disagree, and EngineError where an engine stops, as from one engine.
        """
        outcomes = [_outcome(evaluator, facts, answered, tracer) for evaluator in self.evaluators]
        names = tuple(evaluator.name for evaluator in self.evaluators)
        if len(outcomes) > 1:
            differences = compare(names, outcomes)
            if differences:
                raise DisagreementError(
                    f"{' and '.join(names)} derive different things from one case: {'; '.join(differences)}.",
                    value={"stage": self.stage, "facts": dict(facts), "answered": sorted(answered)},
                    remedy="No decision is given. Keep the case as it is and report it to whoever keeps the program.",
                )
        if isinstance(outcomes[0], ConflictError):
            raise outcomes[0]
        return Agreed(outcomes[0], names, len(outcomes) > 1)


def engines_of(knowledge: Knowledge, stage: str, prepared: Prepared | None = None) -> TwoEngines:
    """The `TwoEngines` of a stage of some knowledge, compiled once for this thread: the last few are kept."""
    kept = _cache.__dict__.setdefault("engines", {})
    key = (id(knowledge), stage, available_engines())
    if key in kept:
        kept[key] = kept.pop(key)
    else:
        while len(kept) >= _KEPT:
            kept.pop(next(iter(kept)))
        # The knowledge is kept beside, so that its identity is not given to another while the entry lives.
        kept[key] = (knowledge, TwoEngines(knowledge, stage, prepared=prepared))
    engines: TwoEngines = kept[key][1]
    return engines


def derive_twice(
    knowledge: Knowledge,
    stage: str,
    facts: Facts,
    answered: Collection[str] = frozenset(),
    tracer: Tracer | None = None,
) -> Agreed:
    """`TwoEngines.derive`, with the compiled engines kept for the next call with the same knowledge."""
    return engines_of(knowledge, stage).derive(facts, answered, tracer)


def _outcome(evaluator: Evaluator, facts: Facts, answered: Collection[str], tracer: Tracer | None) -> Outcome:
    try:
        return evaluator.derive(facts, answered, tracer)
    except ConflictError as error:
        return error


def compare(names: Sequence[str], outcomes: Sequence[Outcome]) -> list[str]:
    """What differs between two outcomes (a Derivation or a ConflictError each), in words; [] if nothing."""
    first, second = outcomes
    conflicts = [name for name, outcome in zip(names, outcomes) if isinstance(outcome, ConflictError)]
    if len(conflicts) == 2:
        return [] if str(first) == str(second) else [f"{names[0]} says {first}", f"{names[1]} says {second}"]
    if isinstance(first, ConflictError) or isinstance(second, ConflictError):
        error: Any = first if isinstance(first, ConflictError) else second
        return [f"only {conflicts[0]} finds that {error.what.rstrip('.')}"]
    if first == second:
        return []
    differences = []
    by_id = [
        {(firing.kind, firing.id): (firing, depth) for firing, depth in zip(derivation.firings, derivation.depths)}
        for derivation in (first, second)
    ]
    for key in sorted({*by_id[0], *by_id[1]}):
        present = [key in derivation for derivation in by_id]
        if not all(present):
            differences.append(f"{key[0]} {key[1]} fires only in {names[present.index(True)]}")
        elif by_id[0][key] != by_id[1][key]:
            differences.append(f"{key[0]} {key[1]} fires on or concludes different things")
    for name in sorted({*first.facts, *second.facts}):
        values = [derivation.facts.get(name) for derivation in (first, second)]
        if values[0] != values[1]:
            held = (
                f"{value!r} in {engine}" if value is not None else f"unknown in {engine}"
                for value, engine in zip(values, names)
            )
            differences.append(f"the fact {name} is {' and '.join(held)}")
    return differences or ["the same firings stand in another order"]
