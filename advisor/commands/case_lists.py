"""The sub-commands of ``advisor case`` that give many cases: a page of them, those found by their words, a table."""

import contextlib
import io
import itertools
import json
import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Callable

from ..casebook import counters, entries, histories, words
from ..casebook.book import LONGEST_NUMBER
from ..deciding.outcomes import IN_WORDS
from ..errors import InputError, StoreError
from ..knowledge import disk, signs
from . import case_sales, case_sign, opening
from .progress import Progress

#: Cases of a list where nobody says how many.
PAGE = 50


def add(action: Callable[..., ArgumentParser]) -> None:
    """The sub-commands; ``action`` adds one, as in `commands.case`."""
    listing = action("list", "cases in one line each, the newest first", run_list)
    _add_page(listing)
    listing.add_argument("--since", metavar="DATE", help="only cases begun on or after this day, as 2026-01-31")
    listing.add_argument("--to-sign", action="store_true", help="the lead's desk: what waits for a signature, and why")
    listing.add_argument("--people", action="store_true", help="with the caller's name and phone")
    search = action("search", "cases in which all the words occur", run_search)
    search.add_argument(
        "words", nargs="+", metavar="WORD", help="a word from its beginning on, or a number as it is dialled"
    )
    _add_page(search)
    search.add_argument("--people", action="store_true", help="look in names and phone numbers too, and show them")
    export = action("export", "as a table or as JSON data", run_export, output=False)
    export.add_argument("ids", nargs="*", metavar="ID", help="only these cases")
    export.add_argument(
        "--as",
        dest="form",
        choices=("csv", "json"),
        default="csv",
        help="table (default), or JSON data, one case a line",
    )
    export.add_argument("--to", metavar="FILE", help="write here instead of to the screen")
    opening.add_replace(export)
    export.add_argument("--since", metavar="DATE", help="only cases begun on or after this day")
    export.add_argument("--after", metavar="ID", help="only cases numbered above this one")
    export.add_argument("--count", type=int, metavar="CASES", help="no more than so many, by number")
    export.add_argument("--people", action="store_true", help="with names and phone numbers")
    export.add_argument("--notes", action="store_true", help="with the text of notes")


def _add_page(subparser: ArgumentParser) -> None:
    subparser.add_argument("--count", type=int, default=PAGE, metavar="CASES", help=f"how many; default is {PAGE}")
    subparser.add_argument("--before", metavar="ID", help="only older ones: cases numbered below this one")
    subparser.add_argument("--all", action="store_true", help="every one, however many")


def day(text: str | None) -> str | None:
    """A date from a person, as the start of that day in UTC; None for None."""
    return None if text is None else entries.day_said(text)


def run_list(arguments: Namespace) -> int:
    """A page of cases in one line each."""
    with opening.book_of(arguments, write=False) as book:
        if arguments.to_sign:
            case_sign.run_desk(book, arguments, day(arguments.since))
            return _say_passed_over(book)
        since = day(arguments.since)
        numbers = histories.newest_first(book.store, _number(book, arguments.before, "--before"), since)
        return _lines(book, book.overview(since=since, numbers=numbers), arguments)


def run_search(arguments: Namespace) -> int:
    """A page of the cases found, in one line each."""
    _read_words(arguments)
    with opening.book_of(arguments, write=False) as book:
        before = _number(book, arguments.before, "--before")
        numbers = book.search_newest(arguments.words, people=arguments.people, before=before)
        return _lines(book, book.overview(numbers=numbers), arguments)


def _number(book, text, option):
    """The number of a case that a page begins behind, whether or not it is there; None where it is left out."""
    if text is None:
        return None
    if text.isascii() and text.isdigit() and len(text) <= LONGEST_NUMBER:
        return int(text)
    number = counters.number_of(book.store, text, book.counter)
    if number is None:
        raise InputError(
            f"{option} {text!r} is no number of a case.", value=text, remedy="Give it as the list shows it."
        )
    return number


def _some(count):
    """How many cases are asked for; InputError where that is no number of cases."""
    if count is not None and count < 1:
        raise InputError(f"--count {count} is no number of cases.", value=count, remedy="Give 1 or more.")
    return count


def _read_words(arguments):
    """See to it that cases of before are found by their words; where they cannot be written down they are read now."""
    with opening.book_of(arguments, write=False) as book:
        if not words.unread(book.store):
            return
    with contextlib.suppress(StoreError), opening.book_of(arguments, write=True) as book:
        total = words.unread(book.store)
        progress = Progress("cases read for their words, once")
        words.fill(book.store, lambda left: progress(total - left, total, 0.0))


def _lines(book, cases, arguments):
    from ..casebook.exporting import row
    from ..knowledge.wording import money_text

    most, last = _some(arguments.count), None
    count, numbers = 0, opening.shop_of(arguments).numbers
    for case in cases:
        if count >= most and not arguments.all:
            more = f"Older ones: --before {book.called(last)}; every one: --all."
            sys.stderr.write(f"{more}\n") if arguments.json else opening.say(more)
            break
        last = case["number"]
        try:
            flat = row(book, case, people=arguments.people)
        except StoreError as fault:
            book.passed_over[case["number"]] = fault.what.rstrip(".")
            continue
        count += 1
        if arguments.json:
            opening.say_json(json.dumps(flat, sort_keys=True, ensure_ascii=False))
            continue
        decided = flat["pick"] or IN_WORDS.get(flat["outcome"], flat["outcome"])
        if flat["outcome_with_readings"]:
            read = flat["pick_with_readings"] or IN_WORDS[flat["outcome_with_readings"]]
            decided += f" (with the readings {read})" if read != decided else ""
        price = ""
        if flat["total_price"] is not None:
            price = f", {money_text(flat['total_price'], flat['currency'], numbers)}"
        caller = "".join(f"; {flat[name]}" for name in ("name", "phone") if flat.get(name))
        sold = f"; {case_sales.in_short(flat)}" if flat["sold"] else ""
        signed = f"; {flat['signed']}" if flat["signed"] else ""
        begun = flat["begun_utc"][:16].replace("T", " ")
        called = f"{book.called(case['number']):>5}"
        opening.say(f"{called}  {begun}  {flat['case']}: {decided}{price}{sold}{signed}{caller}")
    if not count and not arguments.json and not book.passed_over:
        opening.say("No case.")
    return _say_passed_over(book)


def run_export(arguments: Namespace) -> int:
    """Write the cases; how many goes to standard error."""
    from ..casebook import exporting

    with opening.book_of(arguments, write=False) as book:
        since = day(arguments.since)
        numbers = iter([book.number_of(id) for id in arguments.ids])
        if not arguments.ids:
            numbers = histories.oldest_first(book.store, _number(book, arguments.after, "--after") or 0, since)
        cases = itertools.islice(book.overview(since=since, numbers=numbers), _some(arguments.count))
        asked = {"people": arguments.people, "notes": arguments.notes}
        with _out(arguments, book.store.files) as file:
            if arguments.form == "csv":
                mark = opening.shop_of(arguments).decimal_mark
                count = exporting.write_csv(book, cases, file, decimal_mark=mark, **asked)
            else:
                count = 0
                for case in cases:
                    try:
                        exported = exporting.data(book, case, **asked)
                    except StoreError as fault:
                        book.passed_over[case["number"]] = fault.what.rstrip(".")
                        continue
                    file.write(signs.escaped(json.dumps(exported, sort_keys=True, ensure_ascii=False)) + "\n")
                    count += 1
        sys.stderr.write("one case.\n" if count == 1 else f"{count} cases.\n")
        return _say_passed_over(book)


@contextlib.contextmanager
def _out(arguments, inputs):
    """Where an export goes, as text; never one of the files that are read."""
    if not arguments.to:
        yield sys.stdout
        return
    disk.may_write(arguments.to, inputs=inputs, replace=arguments.replace, option="--to")
    private = arguments.people or arguments.notes
    with disk.delivering(arguments.to, replace=arguments.replace, private=private, option="--to") as file:
        # Newlines as written: a table for a spreadsheet brings its own line ends.
        text = io.TextIOWrapper(file, encoding="utf-8", errors="replace", newline="")
        yield text
        text.flush()
        text.detach()


def _say_passed_over(book):
    """A line for each case that cannot be read; the exit code."""
    for number, wrong in sorted(book.passed_over.items()):
        opening.complain(
            f"case {book.called(number)} cannot be read: {wrong}. See: advisor case check, advisor case salvage."
        )
    return 2 if book.passed_over else 0
