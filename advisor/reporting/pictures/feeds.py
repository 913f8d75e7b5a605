"""What feeds what, as a drawing: boxes in rows, each below all that feeds it; lines that another way shows left out."""

import textwrap
from collections.abc import Mapping, Sequence

from markupsafe import Markup

from ..sheets.blocks import Drawing, Pieces, pieces
from .section import shape

BOX, GAP, TALL, ROW, LINE = 128, 10, 40, 76, 12
#: Boxes side by side; more stand in another row, so that letters stay readable on paper.
ACROSS = 5
LETTERS = 20


def feeds_drawing(
    name: str,
    title: str,
    labels: Mapping[str, str],
    fed_by: Mapping[str, Sequence[str]],
    outside: frozenset[str],
    alt: Pieces,
) -> Drawing:
    """The `Drawing`: key -> label of each box, key -> keys that feed it; those ``outside`` have a broken frame."""
    lines = _needed(labels, fed_by)
    rows = _rows(labels, fed_by)
    width = min(ACROSS, max(map(len, rows))) * (BOX + GAP) + GAP
    at: dict[str, tuple[float, float]] = {}
    for level, row in enumerate(rows):
        step = width / len(row)
        for place, key in enumerate(_ordered(row, fed_by, at)):
            at[key] = step * (place + 0.5), 8 + level * ROW
    shapes = [_line(at[giver], at[key]) for giver, key in lines]
    for key in sorted(labels):
        shapes += _box(labels[key], *at[key], broken=key in outside)
    height = len(rows) * ROW - (ROW - TALL) + 16
    svg = (
        f'<svg viewBox="0 0 {width:.0f} {height}" width="{width:.0f}" height="{height}"><g>{"".join(shapes)}</g></svg>'
    )
    caption = pieces(
        "Each box is fed by those that a line comes down from; broken frames are other topics. "
        "What also comes by way of a box between is not drawn again."
    )
    return Drawing(name, svg, title, alt, caption)


def _reach(labels, fed_by):
    """key -> every key that feeds it, near or far."""
    far: dict[str, set[str]] = {}
    for key in labels:
        waiting, seen = [each for each in fed_by.get(key, ()) if each in labels], set()
        while waiting:
            giver = waiting.pop()
            if giver not in seen:
                seen.add(giver)
                waiting += [each for each in fed_by.get(giver, ()) if each in labels]
        far[key] = seen
    return far


def _needed(labels, fed_by):
    """Pairs (giver, key) that no way through another box shows, sorted."""
    far = _reach(labels, fed_by)
    pairs = {(giver, key) for key in labels for giver in fed_by.get(key, ()) if giver in labels and giver != key}
    return sorted(
        (giver, key)
        for giver, key in pairs
        if not any(
            giver in far[between] and between not in far[giver] and key not in far[between]
            for between in fed_by[key]
            if between in labels and between not in (giver, key)
        )
    )


def _rows(labels, fed_by):
    """Keys by row: each below what feeds it; those that feed each other side by side."""
    far = _reach(labels, fed_by)
    depth: dict[str, int] = {}

    def of(key):
        if key not in depth:
            above = [giver for giver in far[key] if key not in far[giver] and giver != key]
            depth[key] = 1 + max((of(giver) for giver in above), default=-1)
        return depth[key]

    by_depth: dict[int, list[str]] = {}
    for key in sorted(labels):
        by_depth.setdefault(of(key), []).append(key)
    rows = []
    for level in sorted(by_depth):
        keys = by_depth[level]
        rows += [keys[start : start + ACROSS] for start in range(0, len(keys), ACROSS)]
    return rows


def _ordered(row, fed_by, at):
    """A row's keys by the middle of what feeds them."""

    def middle(key):
        above = [at[giver][0] for giver in fed_by.get(key, ()) if giver in at]
        return (sum(above) / len(above) if above else 0.0, key)

    return sorted(row, key=middle)


def _line(giver, key):
    if giver[1] == key[1]:  # side by side: they feed each other
        left, right = sorted((giver, key))
        ends = {"a": left[0] + BOX / 2, "b": left[1] + TALL / 2, "c": right[0] - BOX / 2, "d": right[1] + TALL / 2}
    else:
        upper, lower = sorted((giver, key), key=lambda point: point[1])
        ends = {"a": upper[0], "b": upper[1] + TALL, "c": lower[0], "d": lower[1]}
    return shape('<line x1="{a}" y1="{b}" x2="{c}" y2="{d}" stroke="#595959"/>', **ends)


def _box(label: str, x: float, y: float, *, broken: bool) -> list[Markup]:
    dashes = ' stroke-dasharray="5 3"' if broken else ""
    frame = '<rect x="{x}" y="{y}" width="{w}" height="{h}" fill="#fff" stroke="#000"' + dashes + "/>"
    out = [shape(frame, x=x - BOX / 2, y=y, w=BOX, h=TALL)]
    lines = textwrap.wrap(label, LETTERS)
    lines = lines if len(lines) <= 3 else [*lines[:2], lines[2][: LETTERS - 4] + " ..."]
    top = y + TALL / 2 + 4 - LINE * (len(lines) - 1) / 2
    for place, text in enumerate(lines):
        words = '<text x="{x}" y="{y}" text-anchor="middle" font-size="10">{t}</text>'
        out.append(shape(words, x=x, y=top + place * LINE, t=text))
    return out
