"""What the pick's reasons stand on: the facts behind each limit, back to what was answered or is on file."""

from .blocks import Tree, pieces


def roots(page):
    """(requirement, limit facts) of every reason of the pick, each fact once."""
    seen, found = set(), []
    for one in page.made["pick"]["because"]:
        requirement = page.requirements[one["requirement"]]
        names = [name for name in requirement["limit_facts"] if name not in seen]
        seen.update(names)
        if names:
            found.append((requirement, names))
    return found


def reasons_tree(page):
    """The reasons as a nested list; a fact that stands in it already is named again without its own reasons."""
    nodes, seen = [], set()
    for requirement, names in roots(page):
        place = next(at for at, one in enumerate(page.made["requirements"]) if one["id"] == requirement["id"])
        head = pieces(
            page.label(requirement["measure"]),
            ": ",
            page.needed(requirement, requirement["limit"], f"record/requirements/{place}/limit"),
        )
        nodes.append((head, tuple(_node(page, page.traces.support(name, seen)) for name in names)))
    return Tree(tuple(nodes))


def _node(page, support):
    name, firing, children = support
    text = [page.label(name), ": ", page.fact(name)]
    fact = page.facts[name]
    if firing:
        text += [" (", page.name(firing["rule"], "firings", firing["id"] - 1, "rule"), ")"]
    elif not fact["producer"]:
        text += [f" ({fact['origin'].replace('_', ' ')})"]
    else:
        text += [" (as above)"]
    return pieces(text), tuple(_node(page, child) for child in children)
