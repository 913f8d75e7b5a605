"""Circles in a graph of facts."""

from collections.abc import Iterable, Mapping

#: Node -> the nodes it leads to.
Links = Mapping[str, Iterable[str]]


def cycles(links: Links) -> list[list[str]]:
    """One shortest cycle of each group of nodes that reach each other, as a list of nodes.

    ``links``: node -> mapping (or set) of the nodes it leads to. Order of result: by node name.

    >>> cycles({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}, "e": {"e"}})
    [['a', 'b', 'c'], ['e']]
    """
    circles: list[list[str]] = []
    done: set[str] = set()
    for start in sorted(links):
        if start in done:
            continue
        cycle = _shortest(links, start)
        if cycle:
            circles.append(cycle)
            done |= {node for node in _reached(links, start) if start in _reached(links, node)}
    return circles


def _reached(links: Links, start: str) -> set[str]:
    """Every node that can be reached from start by one step or more."""
    seen: set[str] = set()
    open_ = [start]
    while open_:
        for node in links.get(open_.pop(), ()):
            if node not in seen:
                seen.add(node)
                open_.append(node)
    return seen


def _shortest(links: Links, start: str) -> list[str] | None:
    """The shortest way from start back to start, by breadth; None where there is none."""
    came_from: dict[str, str] = {}
    row = [start]
    while row:
        following = []
        for node in row:
            for target in sorted(links.get(node, ())):
                if target == start:
                    way = [node]
                    while way[-1] != start:
                        way.append(came_from[way[-1]])
                    return way[::-1]
                if target not in came_from:
                    came_from[target] = node
                    following.append(target)
        row = following
    return None
