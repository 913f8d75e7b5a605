"""Watching a derivation: a tracer is handed in, the engines know nothing of what it does.

A tracer sees the events as an engine comes by them, in the engine's own order; the record in its one agreed
order is the Derivation. What a tracer raises ends the derivation and reaches the caller.
"""

from dataclasses import dataclass

from ..knowledge.model import Value


class Tracer:
    """Does nothing; inherit and override what is of interest."""

    def started(self, engine, stage, facts, answered):
        """``engine`` begins to derive from ``facts``."""

    def fired(self, engine, kind, id, concluded, reason):
        """A rule or calculation fired; ``concluded`` are pairs (fact, value) at that moment."""

    def finished(self, engine, derivation):
        """``engine`` is done."""


@dataclass(frozen=True, slots=True)
class Event:
    """One call of a tracer: its name and arguments."""

    name: str
    arguments: tuple


class Recorder(Tracer):
    """Keeps every event, in order, under ``events``."""

    def __init__(self):
        self.events = []

    def started(self, engine, stage, facts, answered):
        self.events.append(Event("started", (engine, stage, dict(facts), frozenset(answered))))

    def fired(self, engine, kind, id, concluded, reason):
        self.events.append(Event("fired", (engine, kind, id, concluded, reason)))

    def finished(self, engine, derivation):
        self.events.append(Event("finished", (engine, derivation)))


def replay(events, tracer):
    """Call ``tracer`` as it would have been called when ``events`` were recorded."""
    for event in events:
        getattr(tracer, event.name)(*event.arguments)


def text(events):
    """Recorded events as plain lines, one for each.

    >>> recorder = Recorder()
    >>> recorder.fired("plain", "rule", "gentle-street", (("use_factor", 1.25),), "")
    >>> print(text(recorder.events))
    plain: rule gentle-street: use_factor = 1.25
    """
    return "\n".join(_line(event) for event in events)


def _line(event):
    engine, *rest = event.arguments
    if event.name == "started":
        stage, facts, answered = rest
        return f"{engine}: stage {stage} with {len(facts)} facts, {len(answered)} of them answered"
    if event.name == "finished":
        return f"{engine}: {len(rest[0].firings)} firings, {len(rest[0].facts)} facts"
    kind, id, concluded, reason = rest
    outcome = ", ".join(f"{name} = {_shown(value)}" for name, value in concluded)
    return f"{engine}: {kind} {id}: {outcome or reason or 'fires'}"


def _shown(value: Value):
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.9g}"
    return ", ".join(value) if isinstance(value, tuple) else value
