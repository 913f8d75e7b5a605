"""A sheet from one case: for the customer to keep, for the fitter to work from, for the lead to file.

Plain text needs nothing more; HTML and PDF need the extra sheets. The file holds everything: it can be sent as it is.

example:
  advisor sheet scenarios/cases/mild-street-tune.yaml --for customer --format html --out customer.html
  advisor sheet caller.yaml --for fitter --format pdf --paper letter --out fitter.pdf
  advisor sheet caller.yaml --for lead
"""

import sys
from argparse import ArgumentParser, Namespace

from ..errors import InputError
from ..knowledge import disk
from . import opening


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("case", metavar="CASE", help="case file, or - for standard input")
    parser.add_argument(
        "--for",
        dest="audience",
        choices=("customer", "fitter", "lead"),
        default="customer",
        help="who reads it (default customer)",
    )
    parser.add_argument(
        "--format", choices=("text", "html", "pdf"), default="text", help="plain text (default), one HTML file, or PDF"
    )
    parser.add_argument("--paper", choices=("a4", "letter"), help="paper to print on (default: the shop's)")
    parser.add_argument("--out", metavar="FILE", help="write to this file instead of standard output")
    opening.add_replace(parser)
    parser.add_argument("--case-id", metavar="ID", help="fill in the readings kept with this case of the casebook")
    parser.add_argument("--casebook", metavar="FILE", help="the casebook's file, where it is not the usual one")
    opening.add_output(parser, json=False)
    opening.add_sources(parser)


def run(arguments: Namespace) -> int:
    """The exit code of the decision: 0 recommended, 3 needs more answers, 4 no kit fits."""
    from ..deciding.advise import advise
    from ..reporting.sheets.sheet import sheet

    if arguments.format == "pdf" and not arguments.out and sys.stdout.isatty():
        raise InputError("a PDF is nothing to show on a terminal.", remedy="Name a file with --out.")
    if arguments.out:
        disk.may_write(arguments.out, inputs=[arguments.case, *opening.read_from(arguments)], replace=arguments.replace)
    decider = opening.open_decider(arguments)
    record = advise(decider, opening.read_case(arguments.case, decider.knowledge))
    wording = decider.shop.wording(decider.knowledge, arguments.units)
    finished = sheet(
        record,
        wording,
        arguments.audience,
        arguments.format,
        paper=arguments.paper,
        width=opening.width(),
        worked=_worked(arguments, decider.knowledge.workshop),
        about=decider.shop.about,
    )
    _put(finished if isinstance(finished, bytes) else finished.encode(), arguments.out, arguments.replace)
    return opening.EXIT[record.outcome]


def _worked(arguments, limits):
    """Worksheets worked from the readings kept with a case; the last of each kind."""
    if not arguments.case_id:
        return ()
    from ..reporting.worksheets.forms import work

    with opening.book_of(arguments, write=False) as book:
        kept = book.worksheets(book.number_of(arguments.case_id))
    worked_sheets = []
    for name, entry in sorted(kept.items()):
        try:
            worked_sheets.append(work(name, entry.body["readings"], limits))
        except InputError as error:
            # Kept by an older program, or taken over: the sheet says what it can, and this is for whoever prints it.
            opening.complain(f"the worksheet {name} of entry {entry.number} is left out: {error}")
    return tuple(worked_sheets)


def _put(data, out, replace):
    if not out:
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
        return
    disk.deliver(out, data, replace=replace)
