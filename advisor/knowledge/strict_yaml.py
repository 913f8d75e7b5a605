"""YAML as this project reads it: text, whole numbers, decimals, lists and mappings; nothing clever.

Everything YAML would quietly turn into something else is refused with its place: duplicate keys, anchors
and aliases, merge keys, tags, octal, hexadecimal and base-60 numbers, dates, infinities, several documents.
An unquoted yes, no, on, off, true or false is that text. Decimals are kept as `decimal.Decimal`.
"""

import math
import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

import yaml

from ..errors import AdvisorError, InputError, Position, StoreError
from . import disk, signs
from .yaml_faults import DEEPEST, FAULTS, NULLS, TRAPS

KNOWLEDGE_LIMIT, RECORDS_LIMIT = disk.RULES, disk.RECORDS

# The C parser is about ten times as fast and gives the same events and marks.
_Parser = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

#: Events that begin a value or a key, or are one.
_OF_A_NODE = frozenset((yaml.ScalarEvent, yaml.MappingStartEvent, yaml.SequenceStartEvent))
#: What a number begins with, and what only looks like one.
_NUMBERS = "+-.0123456789"

_INTEGER = re.compile(r"[-+]?(?:0|[1-9][0-9]*)")
_DECIMAL = re.compile(r"[-+]?(?:0|[1-9][0-9]*)\.[0-9]+")


@dataclass(slots=True)
class Node:
    """A value with its place; ``key`` is the place of the key (or list dash's value) it stands under.

    ``value``: dict of text to Node, list of Node, str, int, Decimal, or None where an empty value is allowed.
    """

    value: Any
    position: Position
    key: Position

    def __contains__(self, name: object) -> bool:
        return isinstance(self.value, dict) and name in self.value

    def __getitem__(self, name: str) -> "Node":
        return self.value[name]

    def __iter__(self) -> Iterator["Node"]:
        """Members of a list, or the one node itself: many keys take one or a list."""
        return iter(self.value if isinstance(self.value, list) else (self,))

    def get(self, name: str, default: Any = None) -> Any:
        """The plain value under ``name``."""
        return self.value[name].plain() if name in self else default

    def items(self) -> Iterable[tuple[str, "Node"]]:
        """Pairs (key, Node) of a mapping in file order; none for anything else."""
        return self.value.items() if isinstance(self.value, dict) else ()

    def many(self, name: str) -> tuple["Node", ...]:
        """Nodes under ``name``: a list's members, a single value as one, nothing where it is absent."""
        return tuple(self.value[name]) if name in self else ()

    def plain(self) -> Any:
        """The value without places: dict, list, str, int, Decimal, None."""
        if isinstance(self.value, dict):
            return {name: node.plain() for name, node in self.value.items()}
        if isinstance(self.value, list):
            return [node.plain() for node in self.value]
        return self.value

    def at(self, path: Iterable[str | int]) -> "Node":
        """The node at a path of keys and indices, or the nearest one above it."""
        node = self
        for step in path:
            if (isinstance(step, str) and step in node) or (
                isinstance(step, int) and isinstance(node.value, list) and step < len(node.value)
            ):
                node = node.value[step]
            else:
                break
        return node


def load(
    path: str | Path,
    *,
    error: type[AdvisorError] = InputError,
    limit: int = KNOWLEDGE_LIMIT,
    nulls: Collection[str] = (),
    name: str | None = None,
) -> Node:
    """Read a file as one tree of nodes.

    ``error`` is the class of error to raise, ``limit`` the largest size in bytes, ``nulls`` top-level keys
    under which an empty value is allowed, ``name`` how the file is called in messages.
    """
    name = name or str(path)
    return loads(bytes_of(path, limit, name), name, error=error, limit=limit, nulls=nulls)


def bytes_of(path: str | Path, limit: int = KNOWLEDGE_LIMIT, name: str | None = None) -> bytes:
    """What a file holds, ``limit`` bytes and a little at most; StoreError where it cannot be read."""
    try:
        return disk.read(path, limit)
    except OSError as fault:
        reason = "is not there" if isinstance(fault, FileNotFoundError) else f"cannot be read ({fault.strerror})"
        where = Position(name or str(path))
        raise StoreError(f"the file {reason}.", where=where, remedy="Check the name and the rights.") from None


def loads(
    data: str | bytes,
    name: str = "text",
    *,
    error: type[AdvisorError] = InputError,
    limit: int = KNOWLEDGE_LIMIT,
    nulls: Collection[str] = (),
) -> Node:
    """As `load`, from bytes or text."""
    return _Reader(name, error, nulls).read(data, limit)


class _Reader:
    def __init__(self, name, error, nulls):
        self.name, self.error, self.nulls = name, error, nulls

    def read(self, data, limit):
        text = self.decode(data, limit)
        try:
            return self.build(text)
        except yaml.MarkedYAMLError as fault:
            problem = fault.problem or "the layout cannot be read"
            mark = fault.problem_mark or fault.context_mark
            what, remedy = next(
                ((ours, cure) for theirs, ours, cure in FAULTS if theirs in problem),
                (f"the layout cannot be read ({problem})", "Check indentation, quotes and brackets."),
            )
            place = self.place(mark) if mark else Position(self.name)
            if fault.context_mark and fault.context_mark.line < (mark.line if mark else 0) and "not closed" in what:
                place = self.place(fault.context_mark)
            raise self.error(f"{what}.", where=place, remedy=remedy) from None
        except yaml.reader.ReaderError as fault:
            # The C parser reports byte offsets here, the other one characters; either way no line is given.
            raise self.error(
                "there is a character that YAML does not allow.",
                where=self.line_of_odd_character(text),
                value=str(fault.character),
                remedy="Take it out.",
            ) from None
        except ValueError as fault:  # a lone surrogate half reaches the parser only from text, not from a file
            raise self.error(
                f"the text cannot be read ({type(fault).__name__}).",
                where=Position(self.name),
                remedy="Save it as UTF-8.",
            ) from None

    def decode(self, data, limit):
        if isinstance(data, str):
            data = data.encode("utf-8", "surrogatepass")
        if len(data) > limit:
            raise self.error(
                f"the file is larger than {limit // 1000} kB.",
                where=Position(self.name),
                remedy="Split it into several files.",
            )
        if data.startswith((b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")):
            raise self.error(
                "the file begins with a byte order mark.",
                where=Position(self.name, 1, 1),
                remedy="Save it as UTF-8 without one.",
            )
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError as fault:
            before = data[: fault.start]
            place = Position(self.name, before.count(b"\n") + 1, fault.start - before.rfind(b"\n"))
            raise self.error("the file is not UTF-8 text.", where=place, remedy="Save it as UTF-8.") from None
        for char, what, remedy in (
            ("\t", "there is a tab.", "Use blanks."),
            ("\0", "there is a NUL character.", "Take it out."),
        ):
            offset = text.find(char)
            if offset >= 0:
                place = Position(self.name, text.count("\n", 0, offset) + 1, offset - text.rfind("\n", 0, offset))
                raise self.error(what, where=place, remedy=remedy)
        return text

    def line_of_odd_character(self, text):
        for number, line in enumerate(text.split("\n"), 1):
            for column, char in enumerate(line, 1):
                if char != "\r" and (
                    ord(char) < 32
                    or (127 <= ord(char) < 160 and char != "\x85")
                    or 0xD800 <= ord(char) < 0xE000
                    or ord(char) in (0xFFFE, 0xFFFF)
                ):
                    return Position(self.name, number, column)
        return Position(self.name)

    def place(self, mark):
        return Position(self.name, mark.line + 1, mark.column + 1)

    def refuse(self, event, what, remedy, value=None):
        raise self.error(what, where=self.place(event.start_mark), remedy=remedy, value=value)

    def build(self, text):
        parser = _Parser(text)
        try:
            return self.tree(parser)
        finally:
            parser.dispose()

    def tree(self, parser):
        """Build the tree from parser events with a stack of our own, so that no depth exhausts Python's."""
        root, documents = None, 0
        stack: list[list[Any]] = []  # open collections: [Node, pending key or None, its position]
        while True:
            event = parser.get_event()
            kind = type(event)
            if kind in _OF_A_NODE:  # nearly all of them
                node = self.node(event, stack)
                if node is None:
                    continue
                if root is None:
                    root = node
                if kind is not yaml.ScalarEvent:
                    if len(stack) >= DEEPEST:
                        self.refuse(event, f"the nesting is deeper than {DEEPEST}.", "Flatten it.")
                    stack.append([node, None, None])
            elif kind is yaml.MappingEndEvent or kind is yaml.SequenceEndEvent:
                stack.pop()
            elif event is None or kind is yaml.StreamEndEvent:
                break
            elif kind is yaml.DocumentStartEvent:
                documents += 1
                if documents > 1:
                    self.refuse(event, "a second document begins here.", "Keep one document in a file.")
                if event.version or event.tags:
                    self.refuse(event, "a % directive is not allowed.", "Take the line out.")
            elif kind is yaml.AliasEvent:
                self.refuse(
                    event,
                    f"the alias *{event.anchor} is not allowed.",
                    "Write the part out, or put the text in quotes.",
                )
        if root is None:
            raise self.error(
                "the file is empty.", where=Position(self.name, 1, 1), remedy="Write its content, or delete the file."
            )
        return root

    def node(self, event, stack):
        """The node of an event, put into the open collection; None for a mapping's key."""
        if event.anchor is not None:
            self.refuse(
                event, f"the anchor &{event.anchor} is not allowed.", "Take it out and write repeated parts out."
            )
        if event.tag is not None:
            self.refuse(
                event, f"the tag {event.tag.replace('tag:yaml.org,2002:', '!!')} is not allowed.", "Take it out."
            )
        mark = event.start_mark
        place = Position(self.name, mark.line + 1, mark.column + 1)
        top = stack[-1] if stack else [None, None, None]
        above = top[0].value if top[0] else None
        if type(above) is dict and top[1] is None:
            self.key(event, top, place)
            return None
        key = top[2] or place
        kind = type(event)
        if kind is yaml.ScalarEvent:
            node = Node(self.scalar(event, stack), place, key)
        else:
            node = Node({} if kind is yaml.MappingStartEvent else [], place, key)
        if type(above) is dict:
            above[top[1]] = node
            top[1] = top[2] = None
        elif above is not None:
            above.append(node)
        return node

    def key(self, event, top, place):
        if not isinstance(event, yaml.ScalarEvent):
            self.refuse(event, "a key must be plain text.", "Put text that begins with a brace or bracket in quotes.")
        name = event.value
        if event.implicit[0] and name == "<<":
            self.refuse(event, "a merge key << is not allowed.", "Write the keys out.")
        if event.implicit[0]:
            self.check_plain(event)
        self.check_text(event)
        if name == "":
            self.refuse(event, "a key is empty.", "Write the key before the colon.")
        if name in top[0].value:
            first = top[0].value[name].key
            self.refuse(
                event,
                f"the key {name[:60]!r} stands here a second time (first in line {first.line}).",
                "Keep one of the two.",
                name,
            )
        top[1], top[2] = name, place

    def scalar(self, event, stack):
        text = event.value
        if not event.implicit[0]:  # in quotes, or a block of text
            self.check_text(event)
            return text
        if text in NULLS:
            if stack and self.top_key(stack) in self.nulls:
                return None
            self.refuse(
                event,
                "a value is missing here." if text == "" else f"{text} stands for no value, which is not allowed here.",
                "Write the value, or take the key out.",
            )
        if text[0] in _NUMBERS:
            self.check_plain(event)
            if _INTEGER.fullmatch(text):
                return int(text)
            if _DECIMAL.fullmatch(text):
                return Decimal(text)
        self.check_text(event)
        return text

    @staticmethod
    def top_key(stack):
        bottom = stack[0]
        if bottom[1] is not None:
            return bottom[1]
        return next(reversed(bottom[0].value), None) if isinstance(bottom[0].value, dict) else None

    def check_plain(self, event):
        text = event.value
        if text[:1] not in _NUMBERS:
            return
        for pattern, what, remedy in TRAPS:
            if pattern.fullmatch(text):
                self.refuse(event, f"{text[:60]} {what}.", remedy, text)
        if len(text) > 20 and (_INTEGER.fullmatch(text) or _DECIMAL.fullmatch(text)):
            self.refuse(
                event, "the number has more than 20 characters.", "Shorten it, or put it in quotes as text.", text[:60]
            )

    def check_text(self, event):
        odd = signs.first_odd(event.value)
        if odd:
            self.refuse(
                event, f"the text holds the control character {odd}, or one that does not show.", "Take it out."
            )


def number(value: object) -> float | None:
    """A plain YAML number as a float (Decimal and int alike); None for anything else.

    >>> number(Decimal("0.1"))
    0.1
    """
    if isinstance(value, (int, Decimal)) and not isinstance(value, bool) and math.isfinite(value):
        return float(value)
    return None
