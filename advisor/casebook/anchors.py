"""Anchors: the last digest of a casebook, kept where whoever can rewrite the casebook cannot reach.

An anchor is one line. It can be printed on the day's sheet, kept in a second file, sent to another machine; later the
casebook is held against it. Every entry up to it is then as it was when the line was written, keys or no keys.
"""

import re
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import InputError, Position
from ..knowledge import disk
from . import counters, entries, statements

if TYPE_CHECKING:
    from .store import Store

_LINE = re.compile(r"casebook ([0-9a-f]{32}) entry (\d{1,18}) digest ([0-9a-f]{64})(?: at (\S{20}))?")
_LARGEST = 4_000_000


@dataclass(frozen=True, slots=True)
class Anchor:
    """The ``digest`` of an ``entry`` of a casebook, as written down at a time (UTC, or empty)."""

    casebook: str
    entry: int
    digest: str
    at: str = ""

    def line(self) -> str:
        """The anchor as one line of text."""
        return f"casebook {self.casebook} entry {self.entry} digest {self.digest} at {self.at}"


def anchor_of(store: "Store") -> Anchor:
    """The anchor of a casebook as it stands; InputError where nothing is in it yet."""
    casebook, count, digest = store.row(statements.HEAD)
    if not count:
        raise InputError("there is nothing in the casebook yet to anchor.", remedy="Keep a case first.")
    return Anchor(casebook, count, digest, entries.now())


def read(raw: str) -> list[Anchor]:
    """The anchors in a file, or in the text itself; InputError where there is none. Blanks and breaks do not matter."""
    text, where = raw, None
    if not _LINE.search(_folded(raw)):
        try:
            body = disk.read(raw, _LARGEST)
        except (OSError, ValueError) as error:
            raise InputError(
                f"there is no anchor in {raw[:60]!r}, and no file of that name can be read.",
                value=raw,
                remedy="Give the line that 'advisor case anchor' wrote, or the file it stands in.",
            ) from error
        text, where = body.decode("utf-8", "replace"), Position(raw)
    anchors = [Anchor(name, int(entry), digest, at or "") for name, entry, digest, at in _LINE.findall(_folded(text))]
    if not anchors:
        raise InputError(
            "no anchor is in it.", where=where, remedy="Name the file that 'advisor case anchor' wrote to."
        )
    return anchors


def _folded(text):
    return " ".join(text.split())


def faults(store: "Store", anchors: list[Anchor]) -> list[str]:
    """What of a casebook is not as the anchors say, in words."""
    casebook = store.row(statements.HEAD)[0]
    names = {counter.casebook: counter.name for counter in counters.every(store)}
    faults_found = []
    for anchor in anchors:
        row = store.row(statements.DIGEST_OF_ENTRY, (anchor.entry,))
        # A counter's own casebook, of which this one holds what was handed over.
        counter = names.get(anchor.casebook)
        if counter:
            row = store.row(statements.DIGEST_OF_LINK, (anchor.casebook, anchor.entry))
        when = f" written down {anchor.at}" if anchor.at else ""
        if anchor.casebook != casebook and not counter:
            faults_found.append(
                f"the anchor{when} is of another casebook ({anchor.casebook[:12]}, not {casebook[:12]})"
            )
        elif row is None and counter:
            faults_found.append(f"entry {anchor.entry} of {counter} was not handed over, which the anchor{when} names")
        elif row is None:
            faults_found.append(f"entry {anchor.entry} is gone, which the anchor{when} names")
        elif row[0] != anchor.digest:
            of = f" of {counter}" if counter else ""
            faults_found.append(
                f"the history{of} up to entry {anchor.entry} is not the one the anchor{when} was taken of"
            )
    return faults_found


def keep(path: str | Path, anchor: Anchor) -> None:
    """Add an anchor to a file of anchors, made where there is none."""
    try:
        before = disk.read(path, _LARGEST)
    except FileNotFoundError:
        before = b""
    except OSError as error:
        raise InputError(
            f"the file of anchors cannot be read: {error.strerror or error}.",
            where=Position(str(path)),
            remedy="Name another with --to.",
        ) from None
    if before and not _LINE.search(_folded(before.decode("utf-8", "replace"))):
        raise InputError("this file holds something else.", where=Position(str(path)), remedy="Name another with --to.")
    if before and not before.endswith(b"\n"):
        before += b"\n"
    disk.deliver(path, before + anchor.line().encode() + b"\n", replace=True, option="--to")
