"""Sentences and tables laid out for a terminal of 40 to 80 columns."""

import textwrap
from collections.abc import Sequence

from ..knowledge.sentences import wrap

#: A first column narrower than this is not wrapped but given lines of its own.
NARROW = 16


def paragraph(sentences: Sequence[str], width: int, indent: str = "") -> str:
    """Sentences as one wrapped paragraph; empty text for none."""
    return wrap(" ".join(sentences), width, indent, indent) if sentences else ""


def block(title: str, entries: Sequence[str], width: int, indent: str = "  ") -> list[str]:
    """A heading, and entries under it with a hanging indent: a list of lines; [] where there are no entries."""
    if not entries:
        return []
    return ["", *title_lines(title, width), *(wrap(entry, width, indent, indent + "  ") for entry in entries)]


def title_lines(title: str, width: int) -> list[str]:
    """A heading as lines."""
    return textwrap.wrap(title, width, subsequent_indent="  ", break_on_hyphens=False)


def table(headers: Sequence[str], rows: Sequence[Sequence[str]], width: int, indent: str = "  ") -> list[str]:
    """Rows of texts as aligned columns, the first wrapped to fit ``width``: a list of lines.

    Where the first column would be too narrow to read, one entry stands below the other.
    """
    if not rows:
        return []
    sizes = [max(len(row[place]) for row in (headers, *rows)) for place in range(len(headers))]
    natural = sizes[0]
    sizes[0] = min(natural, width - len(indent) - sum(sizes[1:]) - 2 * (len(sizes) - 1))
    if sizes[0] < min(NARROW, natural):
        return _stacked(headers, rows, width, indent)
    lines = [(indent + "  ".join(header.ljust(size) for header, size in zip(headers, sizes))).rstrip()]
    for row in rows:
        first = textwrap.wrap(row[0], sizes[0], subsequent_indent="  ", break_on_hyphens=False) or [""]
        lines += [indent + part for part in first[:-1]]
        lines.append(
            (indent + "  ".join(_cell(text, size) for text, size in zip((first[-1], *row[1:]), sizes))).rstrip()
        )
    return lines


def _stacked(headers, rows, width: int, indent):
    lines = []
    for row in rows:
        lines.append(wrap(row[0], width, indent, indent + "  "))
        lines += [
            wrap(f"{header}: {text}", width, indent + "  ", indent + "    ")
            for header, text in zip(headers[1:], row[1:])
            if text
        ]
    return lines


def _cell(text, size):
    return text.rjust(size) if text[:1].isdigit() or (text[:1] in "+-" and text[1:2].isdigit()) else text.ljust(size)
