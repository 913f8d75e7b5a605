"""A sheet as one HTML file that needs nothing else: style and pictures inside, no script, no link to anywhere."""

from collections.abc import Callable
from functools import lru_cache
from typing import Any

import jinja2
from markupsafe import Markup

from ...knowledge import signs
from ...knowledge.sentences import tied
from ..pictures import heat, kits, reasons, release, section, torque
from .blocks import (
    Anchored,
    Blank,
    Bullets,
    Document,
    Drawing,
    Fold,
    Linked,
    Number,
    Paragraph,
    Quoted,
    Table,
    Tree,
    clean,
    plain,
)
from .page import Page

#: A word longer than this is broken rather than given all the width.
LONGEST = 16


def pictures() -> dict[str, Callable[[Page], Any]]:
    """Name -> function of a Page that draws a `Drawing` (the section: with its tables)."""
    return {
        "torque": torque.torque,
        "bar": torque.bar,
        "chain": torque.chain,
        "doubt": torque.doubt,
        "kits": kits.plane,
        "release": release.release,
        "pedal": release.pedal,
        "heat": heat.heat,
        "section": section.section_drawing,
        "reasons": reasons.reasons_graphs,
    }


@lru_cache(maxsize=1)
def _environment():
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader(__package__, ""),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.tests |= {
        "number": lambda block: isinstance(block, Number),
        "linked": lambda block: isinstance(block, Linked),
        "anchored": lambda block: isinstance(block, Anchored),
        "said": lambda block: isinstance(block, Quoted),
        "blank": lambda block: isinstance(block, Blank),
        "paragraph": lambda block: isinstance(block, Paragraph),
        "bullets": lambda block: isinstance(block, Bullets),
        "table": lambda block: isinstance(block, Table),
        "figure": lambda block: isinstance(block, Drawing),
        "tree": lambda block: isinstance(block, Tree),
        "fold": lambda block: isinstance(block, Fold),
    }
    # The drawings are markup made here, every word in them escaped where it was put in.
    environment.filters |= {
        "plain": plain,
        "drawn": lambda figure: Markup(signs.shown(figure.svg)),
        "longest": _longest,
        "shares": _shares,
        "clean": lambda text: tied(clean(text)),
    }
    return environment


def _longest(text):
    """Letters in the longest word of a text."""
    return max(map(len, text.split()), default=0)


def _shares(table):
    """Widths of a table's columns in per cent, from what stands in them.

    A printer that need not read every cell twice to find the widths lays a long table out in half the time.
    """
    weights = []
    for place, head in enumerate(table.columns):
        texts = [plain(row[place]) for row in table.rows]
        word = max(_longest(plain(head)), *(min(_longest(text), LONGEST) for text in texts))
        # By the root of squares, so that a few long cells do not stretch their rows down the page.
        usual = (sum(len(text) ** 2 for text in texts) / len(texts)) ** 0.5
        weights.append(word + 3.0 * usual**0.5)
    return [round(100 * weight / sum(weights), 1) for weight in weights]


def html(document: Document, paper: str = "a4") -> str:
    """The document as HTML; ``paper`` a4 or letter for whoever prints it."""
    return _environment().get_template("sheet.html").render(document=document, paper=paper)
