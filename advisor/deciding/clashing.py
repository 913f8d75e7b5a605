"""What the decision record says of answers that cannot all be true, and the firings it rests on."""

from typing import TYPE_CHECKING, Any

from ..knowledge.model import FactRef
from ..knowledge.wording import PLACEHOLDER
from .consistency import HARDER, contradiction_of

if TYPE_CHECKING:
    from ..engine.derivation import Firing
    from .decide import Decision


def contradictions(decision: "Decision") -> list[dict[str, Any]]:
    """Answers that cannot all be true: between which facts, how each side reads, and what is done about it."""
    clashes = decision.known.clashes
    if clashes is None or clashes.derivation is None:
        return []
    fill, facts = decision.wording.fill, clashes.derivation.facts
    return [
        {
            "id": clash.id,
            "rule": clash.rule.id,
            "title": clash.rule.title,
            "facts": list(clash.facts),
            "readings": [fill(text, facts) for text in clash.contradiction.readings],
            "undersizes": clash.contradiction.undersizes,
            "harder": [{"fact": name, "value": value} for name, value in sorted(clash.harder.items())],
            "decided_by": HARDER if clash.insisted else None,
            "ask": clash.contradiction.settle,
            "because": fill(clash.rule.because, facts),
        }
        for clash in clashes.clashes
    ]


def behind_contradictions(decision: "Decision") -> "tuple[Firing, ...]":
    """The firings of stage consistency that a contradiction rests on, as a small Derivation's firings."""
    clashes = decision.known.clashes
    if clashes is None or clashes.derivation is None or not clashes.clashes:
        return ()
    firings = clashes.derivation.firings
    givers = {name: firing for firing in firings if firing.kind == "calculation" for name, _ in firing.concluded}
    wanted, waiting = set(), [clash.rule.id for clash in clashes.clashes]
    by_id = {firing.id: firing for firing in firings}
    while waiting:
        name = waiting.pop()
        if name not in wanted:
            wanted.add(name)
            reads = {read for read, _ in by_id[name].facts}
            if name in decision.rules:
                contradiction = contradiction_of(decision.rules[name])
                reads |= {taken.value.name for taken in contradiction.harder if isinstance(taken.value, FactRef)}
                reads |= {read for text in contradiction.readings for read in PLACEHOLDER.findall(text)}
            waiting += [givers[read].id for read in reads if read in givers]
    return tuple(firing for firing in firings if firing.id in wanted)
