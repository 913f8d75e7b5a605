"""What a sheet is made of: sections of blocks, whose texts know where every number in them comes from.

A piece of text is a plain str (words of the sheet itself, in which no digit may stand), a `Number` or a `Quoted`
(words of a rule, a record or a person, taken over as they are), a `Blank` to be filled in by hand. Renderers turn
the same blocks into plain text, HTML and PDF.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from ...knowledge import signs


@dataclass(frozen=True, slots=True)
class Number:
    """A value as shown, with the canonical ``value`` and ``unit`` and the ``source`` it was taken from."""

    text: str
    value: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class Quoted:
    """Words taken over from ``source``: a rule, a label, a title, an answer. Data, whoever wrote them."""

    text: str
    source: str


@dataclass(frozen=True, slots=True)
class Blank:
    """A place to write; ``what`` names it for those who cannot see the line; ``unit`` stands behind it."""

    what: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Linked(Quoted):
    """Words that lead to another place in the document: ``to`` is the `Anchored` name, or the id of a section."""

    to: str = ""


@dataclass(frozen=True, slots=True)
class Anchored(Quoted):
    """Words that `Linked` ones lead to by ``name``."""

    name: str = ""


#: What a text is made of: its pieces, and anything of pieces that is flattened to them.
Piece: TypeAlias = str | Number | Quoted | Blank
Pieces: TypeAlias = tuple[Piece, ...]
Parts: TypeAlias = Piece | Sequence["Parts"]


def pieces(*parts: Parts) -> Pieces:
    """Flatten parts (pieces, or tuples and lists of them) into a tuple of pieces.

    Raises ValueError where the sheet's own words hold a digit: a number without a source.
    """
    flat: list[Piece] = []
    for part in parts:
        if isinstance(part, tuple | list):
            flat.extend(pieces(*part))
            continue
        if isinstance(part, str) and any(char.isdigit() for char in part):
            raise ValueError(f"a number without a source stands in {part!r}")
        if part != "":
            flat.append(part)  # type: ignore[arg-type]
    return tuple(flat)


def clean(text: str) -> str:
    """Text without characters that command a terminal, a printer or the direction of reading."""
    return "".join(
        " " if char.isspace() else char if char.isprintable() and not signs.first_odd(char) else "\ufffd"
        for char in text
    )


def plain(parts: Parts, blank: str = "________") -> str:
    """Pieces as plain text; blanks as a line to write on."""
    texts = []
    for part in pieces(parts):
        if isinstance(part, str):
            texts.append(part)
        elif isinstance(part, Blank):
            texts.append(f"{blank} {part.unit}".rstrip())
        else:
            texts.append(clean(part.text))
    return "".join(texts)


@dataclass(frozen=True)
class Paragraph:
    """One paragraph; ``kind`` is "", lead, note or warning."""

    text: Pieces
    kind: str = ""


@dataclass(frozen=True)
class Bullets:
    """A list; ``kind`` is plain, ordered or checks (with a box to tick)."""

    items: tuple[Pieces, ...]
    kind: str = "plain"


@dataclass(frozen=True)
class Table:
    """A table with a caption, headed columns and rows of cells; the first cell of a row heads it."""

    caption: Pieces
    columns: tuple[Pieces, ...]
    rows: tuple[tuple[Pieces, ...], ...]


@dataclass(frozen=True)
class Drawing:
    """A drawing: ``svg`` markup made here, its title, what it shows in words (``alt``), a caption, its ``labels``."""

    name: str
    svg: str
    title: str
    alt: Pieces
    caption: Pieces = ()
    labels: tuple[Pieces, ...] = ()


@dataclass(frozen=True)
class Tree:
    """Nested reasons: each node is (pieces, children)."""

    nodes: tuple[tuple[Pieces, tuple], ...]


@dataclass(frozen=True)
class Fold:
    """Blocks behind their ``title``, opened by whoever wants them; ``printed``: they stand open on paper."""

    title: Pieces
    blocks: "tuple[Block, ...]"
    printed: bool = True


Block: TypeAlias = Paragraph | Bullets | Table | Drawing | Tree | Fold


@dataclass(frozen=True)
class Section:
    """A heading and what stands under it."""

    id: str
    title: Pieces
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Document:
    """A whole sheet; ``head`` stands under its title, ``foot`` at the end."""

    audience: str
    title: Pieces
    head: tuple[Block, ...]
    sections: tuple[Section, ...]
    foot: tuple[Block, ...] = ()


def paragraph(*parts: Parts, kind: str = "") -> Paragraph:
    """A `Paragraph` of the parts."""
    return Paragraph(pieces(*parts), kind)


def bullets(items: Iterable[Parts], kind: str = "plain") -> Bullets:
    """`Bullets` of items, each a piece or a tuple of pieces."""
    return Bullets(tuple(pieces(item) for item in items), kind)


def table(caption: Parts, columns: Iterable[Parts], rows: Iterable[Iterable[Parts]]) -> Table:
    """A `Table`; caption, columns and cells are pieces or tuples of them."""
    return Table(
        pieces(caption),
        tuple(pieces(column) for column in columns),
        tuple(tuple(pieces(cell) for cell in row) for row in rows),
    )


def fold(title: Parts, *blocks: Block | list[Any] | None, printed: bool = True) -> Fold | None:
    """A `Fold` of blocks (None left out, lists taken apart), or None where there are none."""
    held = section("", title, *blocks)
    return Fold(held.title, held.blocks, printed) if held.blocks else None


def section(name: str, title: Parts, *blocks: Block | list[Any] | None) -> Section:
    """A `Section`; blocks that are None are left out, lists are taken apart."""
    flat: list[Block] = []
    for block in blocks:
        several: list[Block | None] = block if isinstance(block, list) else [block]
        flat.extend(phrase for phrase in several if phrase is not None)
    return Section(name, pieces(title), tuple(flat))


def walk(document: Document, on_paper: bool = False) -> Iterator[tuple[str, Piece]]:
    """Every piece of a document with the section it stands in, in reading order; ``on_paper``: only what is printed."""

    def inside(block):
        if isinstance(block, Paragraph):
            yield from block.text
        elif isinstance(block, Bullets):
            for item in block.items:
                yield from item
        elif isinstance(block, Table):
            yield from block.caption
            for row in (block.columns, *block.rows):
                for cell in row:
                    yield from cell
        elif isinstance(block, Drawing):
            yield from block.alt + block.caption
            for label in block.labels:
                yield from label
        elif isinstance(block, Tree):
            yield from _nodes(block.nodes)
        elif isinstance(block, Fold) and (block.printed or not on_paper):
            yield from block.title
            for held in block.blocks:
                yield from inside(held)

    def _nodes(nodes):
        for text, children in nodes:
            yield from text
            yield from _nodes(children)

    for part in document.title:
        yield "", part
    for block in (*document.head, *document.foot):
        for part in inside(block):
            yield "", part
    for section in document.sections:
        for part in section.title:
            yield section.id, part
        for block in section.blocks:
            for part in inside(block):
                yield section.id, part
