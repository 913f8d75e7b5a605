"""The words by which cases are found again, at hand for a search over a million of them.

They are no part of the sealed history: whatever stands here can be made anew of the entries (`make_anew`), and a search
looks at the entries themselves before it shows a case. Words of what is people's stand apart from the others and go
when the person is erased; a search without people never reads them.

The latest cases keep their words beside their number (``found_lately``); as soon as a block of them is complete it is
turned round: word -> which cases of the block (``found_by``), so that a search reads a few rows for thousands of cases.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from . import entries, likeness, statements
from .entries import Entry

if TYPE_CHECKING:
    from .store import Connection, Store

#: Cases of one block.
BLOCK = 2048
#: Blocks in which words are looked up at once, the newest first; twice as many each time.
FEW_BLOCKS = 16
#: Parts that stand apart and are shown only where people are asked for.
PERSONAL = ("name", "phone", "text", "reason", "who")
#: Digits of the end of a number that are compared, whatever stands before them.
END = likeness.COMPARED_DIGITS
LONGEST = 40
_DIGEST = re.compile("[0-9a-f]{40,}")
_WORD = re.compile(r"[^\W_]+")
#: Parts of a body that nobody searches for.
_ASIDE = ("program", "taken_over", "signature")


class Words:
    """The words of one case: those ``open`` to whoever searches, and those of ``people``."""

    __slots__ = ("open", "people")

    def __init__(self, open_texts: Iterable[str], people_texts: Iterable[str]) -> None:
        self.open = cut(open_texts)
        self.people = cut(people_texts) - self.open


def cut(texts: Iterable[str]) -> set[str]:
    """The words of texts, as they are compared."""
    return {word[:LONGEST] for word in _WORD.findall("\n".join(texts).casefold())}


def texts(history: Sequence[Entry]) -> tuple[list[str], list[str]]:
    """(texts that anybody may search, texts that are people's) of the entries of a case.

    Who wrote, the name of a case and the words of a signature are people's where they look like the caller.
    """
    callers = [
        {part: entry.kept[part] for part in ("name", "phone") if part in entry.kept}
        for entry in history
        if entry.kind == "person"
    ]
    open_texts: list[str] = []
    people: list[str] = []
    for entry in history:
        body = {name: part for name, part in entry.body.items() if name not in _ASIDE}
        written = [str(entry.by)]
        if isinstance(body.get("case"), dict):
            body["case"] = dict(body["case"])
            written.append(str(body["case"].pop("id", "")))
        if isinstance(body.get("text"), str):
            written.append(body.pop("text"))
        reasons = [text for part, text in entry.kept.items() if part == "reason"]
        for text in written + reasons:
            formed = text in reasons and likeness.form(text)
            (people if formed or likeness.why(text, callers) else open_texts).append(text)
        open_texts += _told(body)
        for part, text in entry.kept.items():
            if part in PERSONAL and part != "reason" and not (part == "text" and entry.kind in entries.SIGNATURES):
                people.append(str(text))
                if part == "phone":
                    digits = likeness.digits(str(text))
                    people += [digits, digits[-END:]]
    return open_texts, people


def _told(body):
    """What of an entry's body a person would search for: texts and numbers, and the names of the answers."""
    texts_there: list[str] = []
    _gather(body, texts_there)
    return texts_there


def _gather(part, texts_there):
    if type(part) is dict:
        for key, value in part.items():
            if type(value) is dict and "from" in value:
                texts_there.append(key)
            _gather(value, texts_there)
    elif type(part) is list:
        for value in part:
            _gather(value, texts_there)
    elif type(part) is str:
        if not _DIGEST.fullmatch(part):  # nobody looks for one, and some digits stand in many of them
            texts_there.append(part)
    elif part is not None:
        texts_there.append(f"{part:g}" if type(part) is float else str(part))


# --- kept as entries are written


def add(connection: "Connection", before: int) -> None:
    """Keep the words of the entries after number ``before``, within the transaction that wrote them."""
    by_case: dict[int, list[Entry]] = {}
    for row in connection.execute(statements.ENTRIES_AFTER, (before,)):
        entry = entries.of_row(row)
        by_case.setdefault(entry.case, []).append(entry)
    turned = _turned(connection)
    newest = 0
    for case, added in by_case.items():
        if case <= turned:
            _add_to_turned(connection, case, added)
            continue
        known = connection.execute(statements.FOUND_LATELY, (case,)).fetchone() is not None
        new = not known and _begins(connection, added[0])
        if known or new:  # else it is of before, and was not read yet
            words = Words(*texts(added)) if new else _of_case(connection, case)
            _keep_lately(connection, case, words, anew=new)
            newest = max(newest, case if new else 0)
    if newest > turned + 2 * BLOCK:
        turn(connection, turned)


def _add_to_turned(connection, case, added):
    if any(entry.kind == "person" for entry in added):
        # Who it is decides what else of the case is people's.
        words = _of_case(connection, case)
        _take_from(connection, case, 0, words.people)
    else:
        rows = connection.execute(statements.ENTRIES_OF_KIND, (case, "person"))
        words = Words(*texts([*(entries.of_row(row) for row in rows), *added]))
    _mark(connection, case, words)


def erase(connection: "Connection", case: int, parts: Sequence[tuple[int, str | None]]) -> None:
    """Erase parts that stand apart for entries of a case, and their words, within the transaction that says so.

    ``parts``: pairs (entry, part), or (entry, None) for all of it.
    """
    gone: list[str] = []
    for number, part in parts:
        for held, _, _, text in connection.execute(statements.APART_OF_ENTRY, (number,)).fetchall():
            if isinstance(text, str) and part in (held, None):
                gone += [text, likeness.digits(text), likeness.digits(text)[-END:]]
        if part is None:
            connection.execute(statements.ERASE_ALL_APART, (number,))
        else:
            connection.execute(statements.ERASE_APART, (number, part))
    words = _of_case(connection, case)
    if case > _turned(connection):
        if connection.execute(statements.FOUND_LATELY, (case,)).fetchone() is not None:
            _keep_lately(connection, case, words, anew=False)
        return
    for people, left in ((0, words.open), (1, words.people)):
        _take_from(connection, case, people, cut(gone) - left)
    _mark(connection, case, words)


def _begins(connection, entry):
    first = connection.execute(statements.FIRST_OF_CASE, (entry.case,)).fetchone()
    return first is not None and first[0] == entry.number


def _of_case(connection, case):
    rows = connection.execute(statements.ENTRIES_OF_CASE, (case,))
    return Words(*texts([entries.of_row(row) for row in rows]))


def _turned(connection):
    """The number up to which cases stand turned round."""
    return connection.execute(statements.TURNED).fetchone()[0]


def _keep_lately(connection, case, words, *, anew):
    values = (_joined(words.open), _joined(words.people), case)
    connection.execute(statements.ADD_LATELY if anew else statements.SET_LATELY, values)


def _joined(words):
    """Words one after the other, each behind a line end, so that a line end and a beginning find it."""
    return "".join(f"\n{word}" for word in sorted(words))


def _mark(connection, case, words):
    block, bit = divmod(case - 1, BLOCK)
    for people, of_set in ((0, words.open), (1, words.people)):
        for word in sorted(of_set):
            row = connection.execute(statements.FOUND_BY, (people, word, block)).fetchone()
            held = unpacked(row[0]) if row else set()
            if bit not in held:
                sql = statements.SET_FOUND_BY if row else statements.ADD_FOUND_BY
                connection.execute(sql, (packed({*held, bit}), people, word, block))


def _take_from(connection, case, people, words):
    block, bit = divmod(case - 1, BLOCK)
    for word in sorted(words):
        row = connection.execute(statements.FOUND_BY, (people, word, block)).fetchone()
        held = unpacked(row[0]) if row else set()
        if bit in held:
            held.discard(bit)
            if held:
                connection.execute(statements.SET_FOUND_BY, (packed(held), people, word, block))
            else:
                connection.execute(statements.DROP_FOUND_BY, (people, word, block))


def packed(bits: Iterable[int]) -> bytes:
    """Places within a block as bytes: two for each of a few, one bit for each of the block where there are many."""
    places = sorted(bits)
    if 2 * len(places) < BLOCK // 8:
        return b"".join(place.to_bytes(2, "big") for place in places)
    whole = 0
    for place in places:
        whole |= 1 << place
    return whole.to_bytes(BLOCK // 8, "big")


def unpacked(body: bytes) -> set[int]:
    """The places of `packed`."""
    return set(places_of(as_bits(body)))


def as_bits(body: bytes) -> int:
    """The places of `packed` as the bits of one number."""
    if len(body) == BLOCK // 8:
        return int.from_bytes(body, "big")
    whole = 0
    for start in range(0, len(body) - 1, 2):
        whole |= 1 << (int.from_bytes(body[start : start + 2], "big") % BLOCK)
    return whole


def places_of(bits: int) -> Iterator[int]:
    """The places of the bits of a number, the highest first."""
    while bits:
        place = bits.bit_length() - 1
        yield place
        bits ^= 1 << place


def turn(connection: "Connection", turned: int) -> None:
    """Turn round the block that begins after case ``turned``: its words at hand, or those read out of the entries."""
    upto = turned + BLOCK
    words: dict[tuple[int, str], list[int]] = {}
    lately = {row[0]: row[1:] for row in connection.execute(statements.LATELY_BETWEEN, (turned, upto))}
    for (case,) in connection.execute(statements.CASES_BETWEEN, (turned, upto)).fetchall():
        if case in lately:
            sides = [side.split() for side in lately[case]]
        else:
            of_case = _of_case(connection, case)
            sides = [of_case.open, of_case.people]
        for people, of_set in enumerate(sides):
            for word in of_set:
                words.setdefault((people, word), []).append(case - 1 - turned)
    block = turned // BLOCK
    for (people, word), places in sorted(words.items()):
        connection.execute(statements.ADD_FOUND_BY, (packed(places), people, word, block))
    connection.execute(statements.DROP_LATELY, (upto,))
    connection.execute(statements.SET_TURNED, (upto,))


# --- filled where cases are older than this


def unread(store: "Store") -> int:
    """How many cases of before are not found by their words yet."""
    (turned,) = store.row(statements.TURNED)
    (cases,) = store.row(statements.COUNT_CASES_AFTER, (turned,))
    (lately,) = store.row(statements.COUNT_LATELY)
    return max(cases - lately, 0)


def fill(store: "Store", progress: Any = None) -> None:
    """Keep the words of all cases that have none yet, a block to a transaction; can be stopped, and goes on there."""
    while left := unread(store):
        if progress is not None:
            progress(left)
        store.transact(_fill_some)


def _fill_some(connection):
    turned = _turned(connection)
    (last,) = connection.execute(statements.LAST_CASE).fetchone()
    if (last or 0) >= turned + 2 * BLOCK:
        turn(connection, turned)
        return
    for (case,) in connection.execute(statements.CASES_WITHOUT_WORDS, (turned, BLOCK)).fetchall():
        _keep_lately(connection, case, _of_case(connection, case), anew=True)


def make_anew(store: "Store", progress: Any = None) -> None:
    """Forget all words and read them out of the entries again."""

    def empty(connection: "Connection") -> None:
        for sql in statements.FORGET_WORDS:
            connection.execute(sql)

    store.transact(empty)
    fill(store, progress)


# --- looked up


def beginnings_of(word: str, *, whole: bool = False) -> list[set[str]]:
    """What a word that somebody looks for must begin with, part by part; each part one of several.

    A part that must be met whole ends with a line end: all but the last, and where it is ``whole`` that too. Of a
    number as people dial it the end counts.
    """
    parts = [part[:LONGEST] for part in _WORD.findall(word.casefold())]
    digits = likeness.digits(word)
    if len(digits) >= END and not likeness.letters(word):
        return [{f"{digits[-END:]}\n", parts[-1]}]
    return [{f"{part}\n"} for part in parts[:-1]] + [{f"{part}\n" if whole else part} for part in parts[-1:]]


def candidates(store: "Store", wanted: Sequence[set[str]], *, people: bool, before: int | None = None) -> Iterator[int]:
    """Numbers of cases in which each of ``wanted`` (as `beginnings_of` gives them) is met, the newest first.

    ``before``: only cases below that number. Cases not read yet are among them: whoever asks looks at the entries.
    """
    top = statements.MOST if before is None else before
    (turned,) = store.row(statements.TURNED)
    for number, lately in _latest(store, turned, top):
        held = "" if lately is None else f"{lately[0]}{lately[1] if people else ''}\n"
        if lately is None or all(any(f"\n{beginning}" in held for beginning in some) for some in wanted):
            yield number
    for block, bits in _in_blocks(store, wanted, people, min(turned // BLOCK, (top - 2) // BLOCK + 1)):
        for bit in places_of(bits):
            number = block * BLOCK + bit + 1
            if number < top:
                yield number


def _in_blocks(store, wanted, people, upto):
    """(block, bits of the cases in which each of ``wanted`` is met) below the block ``upto``, the newest first.

    A few blocks at a time, the rarest word first: most pages are full before much is read, and where a word is not in
    these blocks the others need not be looked up.
    """
    if len(wanted) > 1:
        rows_of = [
            sum(store.row(statements.COUNT_FOUND, values)[0] for values in _ranges(some, people)) for some in wanted
        ]
        if 0 in rows_of:
            return
        wanted = [some for _, some in sorted(zip(rows_of, wanted, strict=True), key=lambda pair: pair[0])]
    together = FEW_BLOCKS
    while upto > 0:
        first = max(0, upto - together)
        blocks = _blocks(store, wanted[0], people, first, upto)
        for some in wanted[1:]:
            if not blocks:
                break
            of_some = _blocks(store, some, people, min(blocks), max(blocks) + 1)
            both = {block: blocks[block] & of_some[block] for block in blocks.keys() & of_some.keys()}
            blocks = {block: bits for block, bits in both.items() if bits}
        yield from sorted(blocks.items(), reverse=True)
        upto, together = first, 2 * together


def _latest(store, turned, top):
    """(number, words or None) of the cases that are not turned round, the newest first."""
    while True:
        rows = list(store.rows(statements.LATEST_WORDS, (turned, top, BLOCK)))
        for number, *lately in rows:
            yield number, None if lately[0] is None else lately
        if len(rows) < BLOCK:
            return
        top = rows[-1][0]


def _ranges(some, people):
    """Where the words with one of the beginnings stand: (kind, first word, word behind the last)."""
    for beginning in some:
        behind = "\x01" if beginning.endswith("\n") else "\U0010ffff"
        for kind in (0, 1) if people else (0,):
            yield kind, beginning.rstrip(), beginning.rstrip() + behind


def _blocks(store, some, people, first, upto):
    """Block -> bits of the cases that have a word with one of the beginnings, of the blocks from one up to another."""
    blocks: dict[int, int] = {}
    for values in _ranges(some, people):
        for block, body in store.rows(statements.FOUND_FROM, (*values, first, upto)):
            blocks[block] = blocks.get(block, 0) | as_bits(body)
    return blocks
