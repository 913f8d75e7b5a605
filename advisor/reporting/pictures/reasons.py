"""The derivation graph: facts in layers, what was answered on top, each fact below what it was worked out from."""

import textwrap

from markupsafe import Markup

from ..sheets.blocks import Drawing, Pieces, pieces, plain
from ..sheets.page import Page
from ..sheets.reasons import reasons
from .section import shape

BOX, GAP, LAYER, LINE = 136, 12, 84, 12
TALL = 50


def reasons_graphs(page: Page) -> list[Drawing]:
    """A `Drawing` for every limit behind the pick's reasons."""
    return [_graph(page, number, reason.posted, reason.limit_facts) for number, reason in enumerate(reasons(page))]


def _layers(edges):
    """Facts by layer: inputs in layer nought, each other fact one below the lowest it reads."""
    depth = {}

    def of(name):
        if name not in depth:
            depth[name] = 1 + max((of(read) for read in edges[name]), default=-1)
        return depth[name]

    for name in edges:
        of(name)
    # An input stands just above the first fact that reads it, so that lines stay short.
    for name in edges:
        if not edges[name]:
            depth[name] = min((depth[user] for user, read in edges.items() if name in read), default=1) - 1
    layers: dict[int, list[str]] = {}
    for name in sorted(edges):
        layers.setdefault(depth[name], []).append(name)
    return [layers[level] for level in sorted(layers)]


def _placed(edges, layers):
    """fact -> x: sorted in each layer by the middle of its readers below, from the bottom up."""
    widest = max(len(layer) for layer in layers)
    width = widest * (BOX + GAP) + GAP
    x: dict[str, float] = {}
    for layer in reversed(layers):

        def middle(name):
            users = [x[user] for user, read in edges.items() if name in read and user in x]
            return (sum(users) / len(users) if users else width / 2, name)

        ordered = sorted(layer, key=middle)
        step = width / len(ordered)
        for place, name in enumerate(ordered):
            x[name] = step * (place + 0.5)
    return x, width


def _graph(page: Page, number, posted, names):
    edges = page.provenance.facts_behind(names)
    layers = _layers(edges)
    x, width = _placed(edges, layers)
    y = {name: 10 + level * LAYER for level, layer in enumerate(layers) for name in layer}
    shapes: list[Markup] = []
    labels: list[Pieces] = []
    for name, read in sorted(edges.items()):
        for other in read:
            shapes.append(
                shape(
                    '<line x1="{a}" y1="{b}" x2="{c}" y2="{d}" stroke="#595959"/>',
                    a=x[other],
                    b=y[other] + TALL,
                    c=x[name],
                    d=y[name],
                )
            )
    for name in sorted(edges):
        shapes += _box(page, name, x[name], y[name], bool(edges[name]), labels)
    height = len(layers) * LAYER
    svg = (
        f'<svg viewBox="0 0 {width:.0f} {height}" width="{width:.0f}" height="{height}"><g>{"".join(shapes)}</g></svg>'
    )
    limits = [piece for name in names for piece in (page.label(name), " ", page.fact(name), ". ")]
    alt = pieces("Graph of the facts behind the limit: ", limits, "The nested list below says the same in words.")
    caption = pieces(
        "Double frames were answered, are on file or assumed; plain frames were worked out or concluded from "
        "what leads into them."
    )
    return Drawing(
        f"reasons-{_letter(number)}",
        svg,
        "What the limit stands on: " + page.wording.label(posted.measure),
        alt,
        caption,
        tuple(labels),
    )


def _letter(number):
    return "abcdefghijklmnopqrstuvwxyz"[number]


def _box(page: Page, name, x, y, derived, labels):
    out = [
        shape(
            '<rect x="{x}" y="{y}" width="{w}" height="{h}" fill="#fff" stroke="#000"/>',
            x=x - BOX / 2,
            y=y,
            w=BOX,
            h=TALL,
        )
    ]
    if not derived:
        out.append(
            shape(
                '<rect x="{x}" y="{y}" width="{w}" height="{h}" fill="none" stroke="#000"/>',
                x=x - BOX / 2 + 2.5,
                y=y + 2.5,
                w=BOX - 5,
                h=TALL - 5,
            )
        )
    label, value = page.label(name), page.fact(name)
    labels += [pieces(label), pieces(value)]
    lines = textwrap.wrap(plain([label]), 24)
    if len(lines) > 2:
        lines = [lines[0], lines[1][:22] + " ..."]
    for place, line in enumerate(lines):
        out.append(
            shape(
                '<text x="{x}" y="{y}" text-anchor="middle" font-size="10">{t}</text>',
                x=x,
                y=y + 15 + place * LINE,
                t=line,
            )
        )
    text = textwrap.shorten(plain([value]), 24, placeholder=" ...")
    out.append(
        shape(
            '<text x="{x}" y="{y}" text-anchor="middle" font-size="10" font-weight="bold">{t}</text>',
            x=x,
            y=y + TALL - 8,
            t=text,
        )
    )
    return out
