"""The blocks of a sheet inside a page: the same texts, laid out for a screen of any width, without a script."""

import jinja2

from ..knowledge.sentences import tied
from ..reporting.sheets.blocks import (
    Blank,
    Bullets,
    Document,
    Fold,
    Number,
    Paragraph,
    Quoted,
    Section,
    Table,
    Tree,
    clean,
    plain,
)


def add_blocks(environment: jinja2.Environment) -> None:
    """What ``blocks.html`` asks of a block."""
    environment.tests |= {
        "number_block": lambda block: isinstance(block, Number),
        "said_block": lambda block: isinstance(block, Quoted),
        "blank_block": lambda block: isinstance(block, Blank),
        "paragraph_block": lambda block: isinstance(block, Paragraph),
        "bullets_block": lambda block: isinstance(block, Bullets),
        "table_block": lambda block: isinstance(block, Table),
        "tree_block": lambda block: isinstance(block, Tree),
        "fold_block": lambda block: isinstance(block, Fold),
    }
    environment.filters |= {"plain": plain, "clean": lambda text: tied(clean(text)), "noted": noted}


def noted(number: Number, notes: list[Number]) -> str:
    """The anchor under which a number's source stands at the end of the page; each number of a source once."""
    if number not in notes:
        notes.append(number)
    return f"number-{notes.index(number) + 1}"


def section_of(document: Document, name: str) -> Section | None:
    """The section of that id, or None."""
    return next((section for section in document.sections if section.id == name), None)
