"""Writes a quote: what is certain, what depends on what is found, and kits beside the pick; kept under its number.

CASE is a case of the casebook (its number or name), a case file, which is then kept as a case, or the number of a quote
written before, which is written again as it was.

example:
  advisor quote 12 --by "counter 2"
  advisor quote caller.yaml --format pdf --out quote.pdf
  advisor quote 1-17 --format html --out quote.html
"""

import os
import sys
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from ..deciding.outcomes import IN_WORDS
from ..errors import InputError
from ..knowledge import disk
from . import opening

if TYPE_CHECKING:
    from ..casebook.book import Casebook
    from ..casebook.entries import Entry
    from ..knowledge.shop import About


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("case", metavar="CASE", help="case of the casebook, case file, or number of a quote")
    parser.add_argument(
        "--format",
        choices=("text", "html", "pdf", "json"),
        default="text",
        help="plain text (default), one HTML file, PDF, or JSON data",
    )
    parser.add_argument("--out", metavar="FILE", help="write to this file instead of standard output")
    opening.add_replace(parser)
    parser.add_argument("--by", default="", metavar="WHO", help="who writes it")
    parser.add_argument("--casebook", metavar="FILE", help="the casebook's file, where it is not the usual one")
    opening.add_output(parser, json=False)
    opening.add_sources(parser)


def run(arguments: Namespace) -> int:
    """The exit code: 0 quoted, 3 and 4 where there is no kit to quote."""
    from ..casebook.quotes import decision_of, keep_quote, quoted
    from ..explaining.quoting import quoted_kits
    from ..explaining.worded import WordedRecord

    if arguments.format == "pdf" and not arguments.out and sys.stdout.isatty():
        raise InputError("a PDF is nothing to show on a terminal.", remedy="Name a file with --out.")
    if arguments.out:
        disk.may_write(arguments.out, inputs=[arguments.case], replace=arguments.replace)
    number = _kept_from_file(arguments)
    with opening.book_of(arguments) as book:
        quote = quoted(book, arguments.case) if number is None else None
        if number is None:
            number = quote.case if quote else book.number_of(arguments.case)
        decision = decision_of(book, quote) if quote else book.standing(number)[1]
        if decision is None:
            raise InputError(
                f"case {book.called(number)} has no decision to quote.",
                remedy=f"Decide it first: advisor case decide {book.called(number)}.",
            )
        record = book.record(decision)
        if record.pick is None:
            outcome = IN_WORDS[record.outcome]
            called = book.called(number)
            opening.complain(f"case {called} has no kit to quote ({outcome}). See: advisor case show {called}.")
            return opening.EXIT[record.outcome]
        wording, about = _words(book, decision, arguments)
        kits = quoted_kits(WordedRecord(record, wording))
        if quote is None:
            names = [offered.kit for offered in kits]
            terms = {"counter": about.counter, "days": about.quote_days, "by": arguments.by}
            quote = keep_quote(book, number, names, kits[0].lines, **terms)
        called = book.called(number)
    data = _finished(arguments, record, wording, about, quote)
    if arguments.out:
        disk.deliver(arguments.out, data, replace=arguments.replace)
    else:
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
    sys.stderr.write(f"Quote {quote.body['quote']} of case {called}.\n")  # beside the output, which may be data
    return 0


def _kept_from_file(arguments):
    """The number of the case made of a case file; None where CASE is none."""
    if arguments.case != "-" and not os.path.isfile(arguments.case):
        return None
    from .case_answers import keep_case

    return keep_case(arguments, by=arguments.by).number


def _words(book: "Casebook", decision: "Entry", arguments: Namespace):
    """The words of the knowledge a case was decided with, and who the shop is today."""
    from ..casebook.kept_files import content as content_of
    from ..deciding.decide import Shop

    content = content_of(book.files_of(decision))
    return Shop.of(content).wording(content.knowledge, arguments.units), opening.sources_of(arguments).shop


def _finished(arguments, record, wording, about: "About", quote: "Entry") -> bytes:
    if arguments.format == "json":
        import json

        from ..reporting.sheets.quote import quote_data

        text = json.dumps(quote_data(record, wording, about, quote.body, quote.at[:10]), sort_keys=True, indent=2)
        return (text + "\n").encode()
    from ..reporting.sheets.quote import quote_sheet

    paper = about.paper.lower()
    finished = quote_sheet(
        record, wording, about, quote.body, quote.at[:10], arguments.format, paper=paper, width=opening.width()
    )
    return finished if isinstance(finished, bytes) else finished.encode()
