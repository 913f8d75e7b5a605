"""The sub-commands of ``advisor case`` that look a casebook over, and that anchor it elsewhere."""

import sys
from argparse import Namespace

from ..casebook import statements
from ..casebook.book import Casebook
from ..deciding.outcomes import IN_WORDS
from ..errors import InputError
from ..knowledge import disk
from ..knowledge.sentences import count
from . import opening
from .progress import Progress

#: What each measure shows and what it does not, for the help and the page of a check.
MEASURES = (
    "The chain of digests shows an entry that was changed, removed or put in, unless all digests after it were",
    "reckoned anew. The seals show that too, unless whoever did it could read the key. The key lies outside the",
    "casebook; whoever works as the user who owns it can read it. This machine's note of what it wrote last shows a",
    "casebook that was swapped, cut short or put back to an older copy, unless the note was changed as well. What was",
    "added to it under a key met for the first time may be another counter's or made up; comparing the key tells. An",
    "anchor kept elsewhere shows any change to what stood before it, keys or no keys; what came after it, it does not",
    "show. A lead's signature shows that his key signed this decision with this record. Nobody without the key and its",
    "passphrase can make one; whoever can rewrite the casebook can still leave one out. Nothing here shows an entry",
    "that was untrue when it was written, or a clock that was wrong.",
)


def run_check(arguments: Namespace) -> int:
    """Look the file over."""
    from ..casebook import anchors, seals
    from ..casebook.check import check
    from ..casebook.store import default_path

    wanted = [anchor for anchor_text in arguments.anchor for anchor in anchors.read(anchor_text)]
    place = opening.casebook_of(arguments) or default_path()
    if arguments.words:
        return _words_anew(place)
    with Casebook(place, write=arguments.accept is not None) as book:
        before = _accepted(book.store, arguments.accept) if arguments.accept is not None else []
        faults, entries, digest = check(book.store, _progress())
        faults += anchors.faults(book.store, wanted)
        remarks = [] if faults else [*seals.look(book.store).remarks, *book.store.remarks()]
    for fault in faults:
        opening.complain(f"{place}: {fault}.")
    if faults:
        sys.stderr.write(
            "advisor: take the last backup, or export what is still sound; do not go on with this file. If you put it"
            " there yourself: advisor case check --accept\n"
        )
        return 2
    for wrong in before:
        opening.say(f"Accepted: {wrong}.")
    opening.say(f"{count(entries, 'entry', 'entries')}, all sound. Last digest {digest}")
    for remark in remarks:
        opening.say(remark)
    key = seals.key_here()
    if key is not None:
        opening.say(f"This machine seals with the key {key.id}.")
    if wanted:
        held = f"{len(wanted)} anchors" if len(wanted) > 1 else "the anchor"
        opening.say(f"It agrees with {held}, up to entry {max(anchor.entry for anchor in wanted)}.")
    else:
        opening.say(
            "Keep an anchor elsewhere: a history rewritten as a whole shows only by it. See: advisor case anchor."
        )
    return 0


def _words_anew(place):
    """Read the words by which cases are found out of the entries again."""
    from ..casebook import words

    with Casebook(place) as book:
        progress, (total,) = Progress("cases"), book.store.row(statements.COUNT_CASES_AFTER, (0,))
        words.make_anew(book.store, lambda left: progress(total - left, total, 0.0))
    opening.say(f"The words of {count(total, 'case')} were read out again.")
    return 0


def _progress():
    """How far a check has come, where somebody looks at a terminal and it takes long enough to be told."""
    progress = Progress("entries")
    return (lambda done, of: progress(done, of, 0.0)) if progress.terminal else None


def _accepted(store, key):
    """What is taken as it stands from now on, in words: one key, or the whole casebook where none is named."""
    from ..casebook import seals

    looked = seals.look(store)
    if key:
        return [f"the key {seals.accept_key(store, key)} as another counter's"]
    seals.accept(store)
    return [
        *(wrong for _, wrong in looked.faults),
        *(f"the key {unmet} as another counter's" for unmet in looked.unmet),
    ]


def run_anchor(arguments: Namespace) -> int:
    """The anchor, printed, on the day's sheet or added to a file; nothing is anchored that is not sound."""
    from ..casebook import anchors
    from ..casebook.check import check

    with opening.book_of(arguments, write=False) as book:
        if arguments.to:
            disk.may_write(arguments.to, inputs=book.store.files, replace=True, option="--to")
        faults, _, _ = check(book.store)
        if faults:
            raise InputError(f"the casebook is not sound: {faults[0]}.", remedy="See: advisor case check.")
        anchor = anchors.anchor_of(book.store)
        lines = _day(book, anchor) if arguments.day else [anchor.line()]
    if arguments.to:
        anchors.keep(arguments.to, anchor)
    opening.say("\n".join(lines))
    return 0


def _day(book, anchor):
    """The day's sheet: cases begun today in one line each, and the anchor; nobody's name is on it."""
    today = anchor.at[:10]
    cases = list(book.overview(since=today))
    lines = [f"The day's sheet, {today} (UTC)", f"{count(len(cases), 'case')} begun"]
    for case in cases:
        decision = case["decision"]
        decided = "undecided" if decision is None else decision.body["pick"] or IN_WORDS[decision.body["outcome"]]
        signed = f"; {case['signed'].split(' by ')[0]}" if case["signed"] else ""
        lines.append(f"{book.called(case['number']):>5}  {case['begun'][11:16]}  {decided}{signed}")
    casebook, digest = anchor.casebook, anchor.digest
    return [
        *lines,
        "",
        "Anchor. File this sheet away from the machine; hold the casebook against it with",
        "advisor case check --anchor 'LINE', the line written without breaks:",
        f"casebook {casebook}",
        f"entry {anchor.entry}",
        f"digest {digest}",
        f"at {anchor.at}",
    ]
