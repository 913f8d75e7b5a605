"""A casebook copied row by row from one store into another: the same entries, digests, seals, under the same name."""

from collections.abc import Callable, Iterator, Sequence
from itertools import islice
from typing import Any

from . import statements
from .store import Connection

#: Rows written at a time.
PIECE = 500


def copy(source: Connection, write: Callable[[str, list[Any]], object]) -> None:
    """All rows of an open casebook, given to ``write`` with their statement, piece by piece, in an order that holds."""
    for select, insert in statements.TABLES:
        for piece in _pieces(iter(source.execute(select))):
            write(insert, piece)


def _pieces(rows: Iterator[Sequence[Any]]) -> Iterator[list[Any]]:
    while piece := list(islice(rows, PIECE)):
        yield piece
