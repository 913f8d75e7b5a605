"""What an engine is to those who use it, and watching one: a tracer is handed in, engines know nothing of what it does.

A tracer sees the events as an engine comes by them, in the engine's own order; the record in its one agreed
order is the Derivation. What a tracer raises ends the derivation and reaches the caller.
"""

from collections.abc import Collection, Iterable
from typing import Any, Protocol

from ..frozen import frozen
from ..knowledge.model import Value
from .derivation import Derivation, Facts, Pairs


class Tracer:
    """Does nothing; inherit and override what is of interest."""

    def started(self, engine: str, stage: str, facts: Facts, answered: Collection[str]) -> None:
        """``engine`` begins to derive from ``facts``."""

    def fired(self, engine: str, kind: str, id: str, concluded: Pairs, reason: str) -> None:
        """A rule or calculation fired; ``concluded`` are pairs (fact, value) at that moment."""

    def finished(self, engine: str, derivation: Derivation) -> None:
        """``engine`` is done."""


class Evaluator(Protocol):
    """Forward chaining behind one call.

    ``derive`` takes canonical values (see ``knowledge.model``) and the names of the facts somebody answered.
    It raises EngineError for facts it cannot accept and ConflictError where two firings disagree.
    """

    name: str

    def derive(self, facts: Facts, answered: Collection[str] = frozenset(), tracer: Tracer | None = None) -> Derivation:
        """Everything that follows from ``facts``."""
        ...


@frozen
class Event:
    """One call of a tracer: its name and arguments."""

    name: str
    arguments: tuple[Any, ...]


class Recorder(Tracer):
    """Keeps every event, in order, under ``events``."""

    def __init__(self) -> None:
        self.events: list[Event] = []

    def started(self, engine: str, stage: str, facts: Facts, answered: Collection[str]) -> None:
        """Kept with copies of what may change."""
        self.events.append(Event("started", (engine, stage, dict(facts), frozenset(answered))))

    def fired(self, engine: str, kind: str, id: str, concluded: Pairs, reason: str) -> None:
        """Kept."""
        self.events.append(Event("fired", (engine, kind, id, concluded, reason)))

    def finished(self, engine: str, derivation: Derivation) -> None:
        """Kept."""
        self.events.append(Event("finished", (engine, derivation)))


def replay(events: Iterable[Event], tracer: Tracer) -> None:
    """Call ``tracer`` as it would have been called when ``events`` were recorded."""
    for event in events:
        getattr(tracer, event.name)(*event.arguments)


def text(events: Iterable[Event]) -> str:
    """Recorded events as plain lines, one for each.

    >>> recorder = Recorder()
    >>> recorder.fired("plain", "rule", "gentle-street", (("use_factor", 1.25),), "")
    >>> print(text(recorder.events))
    plain: rule gentle-street: use_factor = 1.25
    """
    return "\n".join(_line(event) for event in events)


def _line(event: Event) -> str:
    engine, *rest = event.arguments
    if event.name == "started":
        stage, facts, answered = rest
        return f"{engine}: stage {stage} with {len(facts)} facts, {len(answered)} of them answered"
    if event.name == "finished":
        return f"{engine}: {len(rest[0].firings)} firings, {len(rest[0].facts)} facts"
    kind, id, concluded, reason = rest
    outcome = ", ".join(f"{name} = {_shown(value)}" for name, value in concluded)
    return f"{engine}: {kind} {id}: {outcome or reason or 'fires'}"


def _shown(value: Value) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.9g}"
    return ", ".join(value) if isinstance(value, tuple) else str(value)
