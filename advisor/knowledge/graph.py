"""Circles in a graph of facts."""


def cycles(links):
    """One shortest cycle of each group of nodes that reach each other, as a list of nodes.

    ``links``: node -> mapping (or set) of the nodes it leads to. Order of result: by node name.

    >>> cycles({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}, "e": {"e"}})
    [['a', 'b', 'c'], ['e']]
    """
    found, done = [], set()
    for start in sorted(links):
        if start in done:
            continue
        cycle = _shortest(links, start)
        if cycle:
            found.append(cycle)
            done |= {node for node in _reached(links, start) if start in _reached(links, node)}
    return found


def _reached(links, start):
    """Every node that can be reached from start by one step or more."""
    seen, open_ = set(), [start]
    while open_:
        for node in links.get(open_.pop(), ()):
            if node not in seen:
                seen.add(node)
                open_.append(node)
    return seen


def _shortest(links, start):
    """The shortest way from start back to start, by breadth; None where there is none."""
    came_from, row = {}, [start]
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
