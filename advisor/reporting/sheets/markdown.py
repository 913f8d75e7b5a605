"""A document as Markdown: headings, lists and tables, for whoever reads or prints it elsewhere."""

import re

from .blocks import Bullets, Document, Drawing, Fold, Paragraph, Table, Tree, plain

MARKS = {"plain": "- ", "checks": "- [ ] ", "ordered": "1. "}
#: What would be read as markup inside a text.
MARKUP = re.compile(r"([\\`*_\[\]<>|#])")


def markdown(document: Document) -> str:
    """The document; words taken over from rules or people are escaped, so that none of them is read as markup."""
    lines = [f"# {_text(document.title)}", ""]
    for block in document.head:
        lines += _block(block)
    for section in document.sections:
        lines += [f"## {_text(section.title)}", ""]
        for block in section.blocks:
            lines += _block(block)
    for block in document.foot:
        lines += _block(block)
    return "\n".join(lines).rstrip() + "\n"


def _text(pieces):
    return MARKUP.sub(r"\\\1", " ".join(plain(pieces).split()))


def _block(block):
    if isinstance(block, Paragraph):
        text = _text(block.text)
        return [
            f"### {text}" if block.kind == "lead" else f"**Note well:** {text}" if block.kind == "warning" else text,
            "",
        ]
    if isinstance(block, Bullets):
        return [*(MARKS[block.kind] + _text(item) for item in block.items), ""]
    if isinstance(block, Table):
        rows = [[_text(cell) for cell in row] for row in (block.columns, *block.rows)]
        rows.insert(1, ["---"] * len(block.columns))
        return [*("| " + " | ".join(row) + " |" for row in rows), ""]
    if isinstance(block, Tree):
        return [*_tree(block.nodes, 0), ""]
    if isinstance(block, Fold):
        return [f"### {_text(block.title)}", "", *(line for held in block.blocks for line in _block(held))]
    return [f"{_text(block.title)}: {_text(block.alt)}", ""] if isinstance(block, Drawing) else []


def _tree(nodes, depth):
    lines = []
    for pieces, children in nodes:
        lines += ["  " * depth + "- " + _text(pieces), *_tree(children, depth + 1)]
    return lines
