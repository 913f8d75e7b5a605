"""A sheet as plain text."""

from ...knowledge.sentences import wrap
from .blocks import Bullets, Document, Drawing, Fold, Paragraph, Table, Tree, plain

#: A first column is not wrapped to less than this.
NARROW = 16
MARKS = {"plain": "- ", "checks": "[ ] "}


def text(document: Document, width: int = 80) -> str:
    """The document, at most ``width`` columns wide."""
    lines = [wrap(plain(document.title), width), "=" * min(width, len(plain(document.title)))]
    for block in document.head:
        lines += _block(block, width)
    for section in document.sections:
        title = plain(section.title)
        lines += ["", wrap(title, width), "-" * min(width, len(title))]
        for block in section.blocks:
            lines += _block(block, width)
    lines.append("")
    for block in document.foot:
        lines += _block(block, width)
    return "\n".join(lines) + "\n"


def _block(block, width):
    if isinstance(block, Paragraph):
        mark = "! " if block.kind == "warning" else ""
        return [wrap(mark + plain(block.text), width)]
    if isinstance(block, Bullets):
        return [
            wrap(
                plain(item),
                width,
                f"{place}. " if block.kind == "ordered" else MARKS[block.kind],
                "    " if block.kind == "checks" else "  ",
            )
            for place, item in enumerate(block.items, 1)
        ]
    if isinstance(block, Table):
        return _table(block, width)
    if isinstance(block, Tree):
        return _tree(block.nodes, width, 0)
    if isinstance(block, Fold):
        return [
            "",
            wrap(plain(block.title) + ":", width),
            *(line for held in block.blocks for line in _block(held, width)),
        ]
    return [wrap(f"{block.title}: {plain(block.alt)}", width)] if isinstance(block, Drawing) else []


def _table(block, width):
    """Side by side where it fits, the first column wrapped where that is enough; else each row as a small list."""
    rows = [[plain(cell, "_______") for cell in row] for row in (block.columns, *block.rows)]
    widths = [max(len(row[place]) for row in rows) for place in range(len(rows[0]))]
    lines = ["", wrap(plain(block.caption), width)]
    widths[0] = min(widths[0], max(width - sum(widths[1:]) - 2 * len(widths), min(widths[0], NARROW)))
    if sum(widths) + 2 * len(widths) <= width:
        for place, row in enumerate(rows):
            *above, first = wrap(row[0], widths[0], "", "  ").split("\n")
            lines += above
            lines.append("  ".join(cell.ljust(wide) for cell, wide in zip((first, *row[1:]), widths)).rstrip())
            if place == 0:
                lines.append("  ".join("-" * wide for wide in widths))
        return lines
    for row in rows[1:]:
        lines.append(wrap(row[0], width, "  ", "    "))
        lines += [
            wrap(f"{head}: {cell}", width, "    ", "      ")
            for head, cell in zip(rows[0][1:], row[1:])
            if cell not in ("-", "")
        ]
    return lines


def _tree(nodes, width, depth):
    lines = []
    for said, children in nodes:
        indent = "  " * min(depth, 12)
        lines.append(wrap(plain(said), width, indent + "- ", indent + "  "))
        lines += _tree(children, width, depth + 1)
    return lines
