"""What the pick's reasons stand on: the facts behind each limit, back to what was answered or is on file."""

from dataclasses import dataclass

from ...deciding.recorded_rules import PostedRequirement
from .blocks import Tree, pieces
from .page import Page


@dataclass(frozen=True, slots=True)
class Reason:
    """A posted requirement and those of the facts behind its limit that no reason before it named."""

    posted: PostedRequirement
    limit_facts: tuple[str, ...]


def reasons(page: Page) -> list[Reason]:
    """A `Reason` for every requirement of the pick's reasons that has a limit from facts, each fact once."""
    seen: set[str] = set()
    reasons_found = []
    for check in page.advised.because:
        posted = page.record.requirements[check.requirement]
        names = [name for name in posted.limit_facts if name not in seen]
        seen.update(names)
        if names:
            reasons_found.append(Reason(posted, tuple(names)))
    return reasons_found


def reasons_tree(page: Page) -> Tree:
    """The reasons as a nested list; a fact that stands in it already is named again without its own reasons."""
    nodes = []
    seen: set[str] = set()
    for reason in reasons(page):
        roots = tuple(_node(page, page.provenance.roots(name, seen)) for name in reason.limit_facts)
        nodes.append((pieces(page.demand(reason.posted)), roots))
    return Tree(tuple(nodes))


def _node(page: Page, root):
    fact, firing = root.fact, root.firing
    text = [page.label(fact.name), ": ", page.fact(fact.name)]
    if firing:
        text += [" (", page.name(firing.rule, "firings", firing.id - 1, "rule"), ")"]
    elif not fact.producer:
        text += [f" ({fact.origin.replace('_', ' ')})"]
    else:
        text += [" (as above)"]
    return pieces(text), tuple(_node(page, child) for child in root.read)
