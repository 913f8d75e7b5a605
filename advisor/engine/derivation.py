"""The record of a derivation: which rules and calculations fired, on which facts, and what followed.

An evaluator collects its firings in whatever order it came by them; `derivation` puts them into the one
order everybody sees. That order depends on the firings alone.
"""

from collections.abc import Iterable, Mapping

from ..frozen import frozen
from ..knowledge.model import Value

#: Facts by name, and pairs of a name and what a firing concludes of it.
Facts = Mapping[str, Value]
Pairs = tuple[tuple[str, Value], ...]


@frozen
class Firing:
    """One rule or calculation having fired.

    ``kind`` is rule or calculation. ``branches``: indices of the branches of ``any`` that held, in file
    order; empty where the rule has no ``any``. ``facts``: pairs (name, value) of the facts read, sorted by
    name: those of every condition under ``all`` and in the branches that held (limits included), copied
    facts, and a calculation's inputs. A fact found absent has no value and is not listed. ``concluded``:
    pairs (fact, value) sorted by name; of a list fact, what this firing put into it. ``reason``: why a
    calculation gave nothing (``concluded`` is then empty).
    """

    kind: str
    id: str
    branches: tuple[int, ...]
    facts: Pairs
    concluded: Pairs
    reason: str = ""


@frozen
class Derivation:
    """Everything that follows from one set of facts.

    ``facts``: the inputs and everything derived, by name. ``firings``: sorted by depth, then id, then kind.
    ``depths``: the depth of each firing, in the same order; 1 for a firing that reads inputs only, else one
    more than the deepest firing behind any fact it lists.
    """

    facts: Facts
    firings: tuple[Firing, ...]
    depths: tuple[int, ...]

    def fired(self) -> set[str]:
        """The ids of the rules that fired, as a set."""
        return {firing.id for firing in self.firings if firing.kind == "rule"}

    def held_branches(self) -> dict[str, tuple[int, ...]]:
        """Id of every rule that fired -> the branches of its ``any`` that held."""
        return {firing.id: firing.branches for firing in self.firings if firing.kind == "rule"}


def derivation(facts: Facts, firings: Iterable[Firing]) -> Derivation:
    """The Derivation of ``facts`` and of ``firings`` in an order in which producers stand before readers.

    In such an order one pass settles every depth, however long the chain.
    """
    deepest: dict[str, int] = {}
    placed = []
    for firing in firings:
        depth = 1
        for name, _ in firing.facts:
            behind = deepest.get(name, 0)
            if behind >= depth:
                depth = behind + 1
        for name, _ in firing.concluded:
            if depth > deepest.get(name, 0):
                deepest[name] = depth
        placed.append((depth, firing.id, firing.kind, firing))
    # No two firings share id and kind, so firings themselves are never compared.
    placed.sort()
    facts = {name: facts[name] for name in sorted(facts)}
    return Derivation(facts, tuple([item[3] for item in placed]), tuple([item[0] for item in placed]))
