"""The derivation as a drawing: every value a box, an arrow from each value to what was made of it, as SVG.

Layers come from networkx (the extra ``graph``); within a layer boxes are sorted by where their neighbours stand. The
drawing is written here, so that the same derivation gives the same bytes.
"""

import textwrap
from typing import Any
from xml.etree import ElementTree

from ..errors import InputError
from ..knowledge.wording import Wording

COLUMNS, LINE, PAD, ACROSS, BETWEEN, SWEEPS = 30, 14, 8, 240, 90, 6
#: Fill of a box by the kind of its node; the kind is also said in words in the box's title.
FILLS = {
    "requirement": "#ffe9c7",
    "figure": "#e3eefc",
    "fact": "#eaf6e4",
    "rule": "#f5e8f7",
    "kit": "#f0f0f0",
    "facing": "#f0f0f0",
    "table": "#f0f0f0",
    "price": "#e3eefc",
}
KINDS = {"kit": "the seller's figure", "facing": "property of the facing", "table": "table"}


def drawing(nodes: dict[str, dict[str, Any]], wording: Wording, title: str) -> str:
    """The nodes of a `tracing.trace` as SVG text. InputError where the layout library is not installed."""
    try:
        import networkx
    except ImportError:
        raise InputError(
            "the drawing needs a library that is not installed.",
            remedy="Install the extra: pip install 'least-clutch[graph]'.",
        ) from None
    texts = {key: _text(node) for key, node in nodes.items()}
    height = PAD * 2 + LINE * max((len(lines) for lines in texts.values()), default=1)
    places = _places(networkx, nodes, height)
    return _svg(nodes, texts, places, height, title)


def _text(node):
    head = node["label"] if node["kind"] == "rule" else f"{node['label']}: {node['text']}"
    return textwrap.wrap(head[:1].upper() + head[1:], COLUMNS, break_on_hyphens=False, max_lines=5, placeholder=" ...")


def _places(networkx, nodes, height):
    """Node id -> (left, top) of its box: layers run from left to right, given values first."""
    graph = networkx.DiGraph()
    graph.add_nodes_from(nodes)
    graph.add_edges_from((other, key) for key, node in nodes.items() for other in node["from"])
    last = sum(1 for _ in networkx.topological_generations(graph)) - 1
    # Every value stands just before its first use, so that no line is longer than it must be.
    layers: dict[str, int] = {}
    for key in reversed(list(networkx.topological_sort(graph))):
        layers[key] = min((layers[other] - 1 for other in graph.successors(key)), default=last)
    rows: dict[int, list[str]] = {}
    for key, layer in layers.items():
        rows.setdefault(layer, []).append(key)
    rows = {layer: sorted(keys, key=list(nodes).index) for layer, keys in sorted(rows.items())}
    _untangle(graph, rows)
    tallest = max((len(keys) for keys in rows.values()), default=0)
    return {
        key: (PAD + layer * (ACROSS + BETWEEN), PAD + 30 + (place * 2 + tallest - len(keys)) * (height + PAD) // 2)
        for layer, keys in rows.items()
        for place, key in enumerate(keys)
    }


def _untangle(graph, rows):
    """Sort each layer by the mean place of its neighbours, there and back a few times: fewer lines cross."""
    for sweep in range(SWEEPS):
        place = {key: number for keys in rows.values() for number, key in enumerate(keys)}
        for layer in sorted(rows, reverse=bool(sweep % 2)):
            near = graph.successors if sweep % 2 else graph.predecessors
            means = {}
            for key in rows[layer]:
                others = [place[other] for other in near(key)]
                means[key] = sum(others) / len(others) if others else place[key]
            rows[layer].sort(key=lambda key: (means[key], place[key]))
            place.update((key, number) for number, key in enumerate(rows[layer]))


def _svg(nodes, texts, places, height, title):
    wide = max((left for left, _ in places.values()), default=0) + ACROSS + PAD
    high = max((top for _, top in places.values()), default=0) + height + PAD
    root = ElementTree.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {wide} {high}",
            "width": str(wide),
            "height": str(high),
            "font-family": "sans-serif",
            "font-size": "11",
            "role": "img",
        },
    )
    ElementTree.SubElement(root, "title").text = title
    head = ElementTree.SubElement(root, "text", {"x": str(PAD), "y": "22", "font-size": "15", "font-weight": "bold"})
    head.text = title
    for key, node in nodes.items():
        for other in node["from"]:
            _arrow(root, places[other], places[key], height)
    for key, node in nodes.items():
        _box(root, node, texts[key], places[key], height)
    ElementTree.indent(root, " ")
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ElementTree.tostring(root, encoding="unicode") + "\n"


def _arrow(root, start, end, height):
    x, y = start[0] + ACROSS, start[1] + height // 2
    to_x, to_y = end[0], end[1] + height // 2
    bend = BETWEEN // 2
    ElementTree.SubElement(
        root,
        "path",
        {
            "d": f"M{x},{y} C{x + bend},{y} {to_x - bend},{to_y} {to_x},{to_y}",
            "fill": "none",
            "stroke": "#777",
            "stroke-width": "1",
        },
    )
    ElementTree.SubElement(root, "path", {"d": f"M{to_x},{to_y} l-6,-3 l0,6 z", "fill": "#777"})


def _box(root, node, lines, place, height):
    group = ElementTree.SubElement(root, "g")
    ElementTree.SubElement(group, "title").text = _told(node)
    ElementTree.SubElement(
        group,
        "rect",
        {
            "x": str(place[0]),
            "y": str(place[1]),
            "width": str(ACROSS),
            "height": str(height),
            "rx": "4",
            "fill": FILLS.get(node["kind"], "#fff"),
            "stroke": "#555",
        },
    )
    for number, line in enumerate(lines):
        text = ElementTree.SubElement(
            group, "text", {"x": str(place[0] + PAD), "y": str(place[1] + PAD + 10 + number * LINE)}
        )
        text.text = line


def _told(node):
    """What is shown when the pointer rests on a box: kind, value, arithmetic, reason and basis."""
    why = node["why"] or {}
    texts = [
        f"{KINDS.get(node['kind'], node['kind'])}: {node['label']}",
        node["text"] if node["kind"] != "rule" else f"rule {node['value']}",
    ]
    if node["origin"]:
        texts.append(node["origin"].replace("_", " "))
    texts += why.get("lines", [])
    texts += [why[part] for part in ("because", "basis") if why.get(part)]
    return "\n".join(texts)
