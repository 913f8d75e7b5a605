"""Writes rules as YAML that people read: wrapped at 120 columns, tables aligned, comments where they stood."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from ..errors import KnowledgeError
from ..knowledge import strict_yaml
from ..knowledge.strict_yaml import Node

WIDTH = 120
#: A rule of a group stands on one line up to this width, else in several.
ROW_WIDTH = 110

_UNSAFE_START = tuple("-?:,[]{}#&*!|>'\"%@` ")


class RuleEntry(dict):
    """A rule or row in writing, by key, with the line it came from and those of its keys."""

    def __init__(self, parts: Any, line: int | None, lines: Mapping[str, int] | None = None) -> None:
        super().__init__(parts)
        self.line, self.lines = line, lines or {}


@dataclass
class Row:
    """A row of a table: its cells, what it says beside them, and the line it came from."""

    cells: list
    beside: dict = field(default_factory=dict)
    line: int = 0


def write(root: dict, source: str, read: Node) -> str:
    """The text of a file of rules. ``root``: its parts, values or nodes; ``source`` the text they came from, whose
    comments are kept before what they stood before; ``read`` its tree.

    Raises KnowledgeError where what was written does not read back as what was to be written.
    """
    writer = _Writer(source)
    for key, part in root.items():
        if key != "rules":
            writer.comments(read[key].key.line, 0)
            writer.part(key, _plain(part), 0)
    writer.comments(read["rules"].key.line, 0)
    writer.lines.append("rules:")
    for entry in root["rules"]:
        writer.blank()
        writer.comments(entry.line, 2)
        writer.entry(entry, 2)
    writer.comments(len(source) + 1, 2)
    text = "\n".join(writer.lines) + "\n"
    wanted = {key: _plain(part) for key, part in root.items()}
    if strict_yaml.loads(text, "written").plain() != wanted:
        raise KnowledgeError("the rules do not read back as they were.", remedy="Use the program they were kept by.")
    return text


def _plain(part):
    """A part as plain data, whatever it holds."""
    if isinstance(part, Node):
        return part.plain()
    if isinstance(part, Row):
        cells = _plain(part.cells)
        return {"cells": cells, **_plain(part.beside)} if part.beside else cells
    if isinstance(part, dict):
        return {name: _plain(part_of) for name, part_of in part.items()}
    if isinstance(part, list):
        return [_plain(part_of) for part_of in part]
    return part


class _Writer:
    def __init__(self, source):
        self.lines = []
        self.waiting = [
            (number, line.strip()) for number, line in enumerate(source.split("\n"), 1) if line.lstrip()[:1] == "#"
        ]

    def blank(self):
        if self.lines and self.lines[-1] and self.lines[-1] != "rules:":
            self.lines.append("")

    def comments(self, line, indent):
        """The comments that stood before a line of the source."""
        while self.waiting and self.waiting[0][0] < line:
            self.lines.append(" " * indent + self.waiting.pop(0)[1])

    def entry(self, entry, indent):
        """A rule as a member of a list, one key a line."""
        first = True
        for key, part in entry.items():
            self.comments(entry.lines.get(key, 0), indent + 2)
            start = len(self.lines)
            if key == "table":
                self.table(part, indent + 2)
            elif key == "group":
                self.group(part, indent + 2)
            elif key == "when" and len(_plain(part)) > 1:
                self.block(key, _plain(part), indent + 2)
            else:
                self.part(key, _plain(part), indent + 2)
            if first:
                self.lines[start] = " " * indent + "- " + self.lines[start][indent + 2 :]
            first = False

    def group(self, rows, indent):
        self.lines.append(" " * indent + "group:")
        for row in rows:
            self.comments(row.line, indent + 2)
            line = " " * (indent + 2) + "- " + flow(_plain(row))
            if len(line) <= ROW_WIDTH:
                self.lines.append(line)
            else:
                self.entry(row, indent + 2)

    def table(self, table, indent):
        pad = " " * indent
        self.lines.append(pad + "table:")
        for key in ("when", "conclude"):
            self.part(key, table[key], indent + 2)
        self.lines.append(pad + "  rows:")
        texts = [[flow(_plain(cell)) for cell in row.cells] for row in table["rows"].values()]
        wide = max(len(name) for name in table["rows"])
        columns = [max(len(cell) for cell in column) for column in zip(*texts)]
        for (name, row), cells in zip(table["rows"].items(), texts):
            self.comments(row.line, indent + 4)
            aligned = [f"{cell}, ".ljust(size + 2) for cell, size in zip(cells, columns)]
            written = "[" + "".join(aligned).rstrip().removesuffix(",") + "]"
            head = f"{pad}    {name}:"
            if row.beside:
                self.lines.append(head)
                head, key = pad + " " * 6, "cells:"
                self.fitted(f"{head}{key} ", written, cells, indent + 8)
                for part, value in row.beside.items():
                    self.part(part, _plain(value), indent + 6)
            else:
                self.fitted(f"{head} ".ljust(len(pad) + 4 + wide + 2), written, cells, indent + 6)

    def fitted(self, head, written, cells, indent):
        """A row on one line where it fits, else one cell after the other, wrapped."""
        if len(head + written) <= WIDTH:
            self.lines.append(head + written)
            return
        self.lines.append(head.rstrip())
        line = " " * indent + "["
        for place, cell in enumerate(cells):
            piece = cell + (", " if place < len(cells) - 1 else "]")
            if len(line + piece.rstrip()) > WIDTH:
                self.lines.append(line.rstrip())
                line = " " * (indent + 1)
            line += piece
        self.lines.append(line.rstrip())

    def part(self, key, value, indent):
        """A key with its value: on one line where it fits, else below it."""
        head = " " * indent + key + ":"
        if isinstance(value, (dict, list)):
            line = f"{head} {flow(value)}"
            if len(line) <= WIDTH:
                self.lines.append(line)
            else:
                self.block(key, value, indent)
        else:
            self.text(head + " ", value, indent + 2)

    def block(self, key, value, indent):
        self.lines.append(" " * indent + key + ":")
        if isinstance(value, dict):
            for name, part in value.items():
                if name == "any":
                    self.block(name, part, indent + 2)
                else:
                    self.part(name, part, indent + 2)
        else:
            for part in value:
                self.member(part, indent + 2)

    def member(self, value, indent):
        line = " " * indent + "- " + flow(value)
        if len(line) <= WIDTH or not isinstance(value, dict):
            self.text(" " * indent + "- ", value, indent + 2) if isinstance(value, str) else self.lines.append(line)
            return
        start = len(self.lines)
        for name, part in value.items():
            self.part(name, part, indent + 2)
        self.lines[start] = " " * indent + "- " + self.lines[start][indent + 2 :]

    def text(self, head, value, indent):
        """A scalar, wrapped between words; YAML folds the breaks back into blanks."""
        written = scalar(value, within=False)
        if len(head + written) <= WIDTH or "  " in written or "\\" in written:
            self.lines.append(head + written)
            return
        line = head.rstrip(" ") if not head.endswith("- ") else head.rstrip()
        for word in written.split(" "):
            if len(line) + 1 + len(word) > WIDTH and line.strip():
                self.lines.append(line)
                line = " " * indent + word
            else:
                line += " " + word
        self.lines.append(line)


def flow(value: Any) -> str:
    """A value on one line.

    >>> flow({"main_use": ["daily", "towing"], "shift_speed_rpm": {"above": "7000 rpm"}})
    '{main_use: [daily, towing], shift_speed_rpm: {above: 7000 rpm}}'
    """
    if isinstance(value, dict):
        return "{" + ", ".join(f"{name}: {flow(part)}" for name, part in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(flow(part) for part in value) + "]"
    return scalar(value, within=True)


def scalar(value: Any, within: bool) -> str:
    """A number or text as YAML writes it; ``within`` braces or brackets more must be quoted.

    >>> scalar("a: b", within=False), scalar("not known", within=True)
    ('"a: b"', 'not known')
    """
    if isinstance(value, (int, Decimal)):
        return str(value)
    ends = value != value.strip() or value.startswith(_UNSAFE_START) or value.endswith(":")
    unsafe = ends or ": " in value or " #" in value or "\n" in value
    unsafe = unsafe or (within and re.search(r"[,\[\]{}]", value) is not None)
    if not unsafe:
        try:
            unsafe = strict_yaml.loads(value, "text").value != value
        except Exception:  # whatever plain text cannot say stands in quotes
            unsafe = True
    if not unsafe:
        return value
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'
