"""Saved cases: keep one, find it again, see it as it was, decide it again, sign it.

  save FILE         decide the case in a file and keep it, with the rules and prices of today
  list              cases in one line each, the newest first
  show ID           what was told, and what has happened since
  audit ID          the lead's page: every answer, rule, figure, source and signature
  why ID            why the kit was picked, by what was kept with the case
  why-not ID KIT    why another kit was not, likewise
  what-if ID FACT=VALUE ...   what another answer would change, likewise
  search WORD ...   cases in which all the words occur
  export            as a table for a spreadsheet, or as JSON data
  note ID TEXT      add a note
  sign ID           a lead signs off the decision, or objects to it
  to-sign ID        what is to be signed, as a file for the lead's own machine
  sold ID --kit KIT what was sold; another kit than the pick with its reason
  fitted ID         when, by whom and at what kilometres it was fitted
  returned ID       that it came back, and why
  reading ID FACT=VALUE ...   what the fitter read off the car; the case is decided again
  replay ID         decide again with the rules of that day, and compare
  decide ID         decide a case that was kept without a decision
  complaint ID      a complaint about what was sold: what must not be driven, the cause, the next check
  outcome ID RESULT what became of it: held, slipped, returned, sold_on, not_known
  due               buyers to ask, after bedding in and after a year, with a sheet for each
  asked ID          that a buyer was asked
  prices KIT        what a kit cost over time
  forget ID         erase the caller, and what looks like the caller
  import PLACE      take over the cases of another casebook
  hand-over         hand this counter's own casebook over to the shop's
  salvage PLACE     take the sound cases out of a damaged or tampered casebook
  backup PLACE      copy the casebook while it is in use
  grant ROLE        let a role of a database server write to the casebook there
  check             look the casebook over for damage and for changed rows
  anchor            the last digest in one line, to be kept elsewhere

An ID is a case's number, or its name where only one case has it. Name and phone of a caller, notes, who wrote and the
name of a case are kept apart and can be erased without touching the decision. Notes, callers, and whatever else looks
like a caller are shown only where --people asks for them.

example:
  advisor case save scenarios/cases/mild-street-tune.yaml --by "counter 2"
  advisor case audit 1
  advisor case reading 1 crank_end_float=0.12mm --by "workshop"
  advisor case sold 1 --kit orrin-240-organic --by "counter 2"
  advisor case sign 1 --by "shop lead"
"""

import contextlib
import io
import itertools
import json
import sys
from argparse import ArgumentParser, Namespace

from ..casebook import counters, entries, histories, words
from ..casebook.book import LONGEST_NUMBER, Casebook
from ..errors import InputError, StoreError
from ..knowledge import disk, signs
from . import (
    case_afterwards,
    case_answers,
    case_check,
    case_counters,
    case_sales,
    case_sign,
    opening,
    what_if,
    why,
    why_not,
)
from .progress import Progress

#: Cases of a list where nobody says how many.
PAGE = 50


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)

    def action(name, line, run, *, write=False, case=False, output=True):
        subparser = actions.add_parser(name, help=line, description=line)
        subparser.add_argument(
            "--casebook",
            metavar="PLACE",
            help="the casebook: a file, or postgresql://USER@HOST/DATABASE; default is the shop's, else the one in your"
            " data folder",
        )
        opening.add_shop(subparser)
        if case:
            subparser.add_argument("id", metavar="ID", help="number or name of the case")
        if output:
            opening.add_output(subparser)
        subparser.set_defaults(act=run, write=write)
        return subparser

    save = action("save", "decide a case and keep it", case_answers.run_save, write=True)
    save.add_argument("case", metavar="CASE", help="case file, or - for standard input")
    save.add_argument("--by", default="", metavar="WHO", help="who took the call")
    save.add_argument("--name", default="", help="the caller's name; kept apart, erasable")
    save.add_argument("--phone", default="", help="the caller's phone number; kept apart, erasable")
    save.add_argument("--note", default="", help="a note to go with it")
    save.add_argument("--corrects", default=None, metavar="ID", help="the case whose answers these correct")
    opening.add_sources(save)
    listing = action("list", "cases in one line each, the newest first", run_list)
    _add_page(listing)
    listing.add_argument("--since", metavar="DATE", help="only cases begun on or after this day, as 2026-01-31")
    listing.add_argument("--to-sign", action="store_true", help="the lead's desk: what waits for a signature, and why")
    listing.add_argument("--people", action="store_true", help="with the caller's name and phone")
    show = action("show", "what was told, and what has happened since", case_answers.run_show, case=True)
    audit = action("audit", "the lead's page", case_answers.run_audit, case=True)
    for page in (show, audit):
        page.add_argument("--as-of", type=int, metavar="ENTRY", help="as the case stood after this entry")
        page.add_argument("--people", action="store_true", help="with the caller's name and phone")
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
    note = action("note", "add a note", run_note, write=True, case=True, output=False)
    note.add_argument("text", metavar="TEXT")
    note.add_argument("--by", default="", metavar="WHO", help="who writes it")
    sign = action(
        "sign", "sign off the decision, or object to it", case_sign.run_sign, write=True, case=True, output=False
    )
    sign.add_argument("--by", default="", metavar="LEAD", help="name of the lead")
    sign.add_argument("--key", metavar="KEY", help="sign here with this key; on a machine of the lead's own only")
    sign.add_argument("--signature", metavar="SIGNED", help="take over what 'advisor lead sign' wrote")
    sign.add_argument("--objection", action="store_true", help="object instead of signing off; needs --text")
    sign.add_argument("--text", default="", help="what there is to say")
    to_sign = action(
        "to-sign", "what is to be signed, for the lead's machine", case_sign.run_to_sign, case=True, output=False
    )
    to_sign.add_argument("--to", required=True, metavar="FILE", help="write here")
    opening.add_replace(to_sign)
    case_sales.add(action)
    case_afterwards.add(action)
    case_counters.add(action)
    reading = action("reading", "what the fitter read off the car", case_answers.run_reading, write=True, case=True)
    reading.add_argument("readings", nargs="+", metavar="FACT=VALUE")
    reading.add_argument("--by", default="", metavar="WHO", help="who read it")
    action("replay", "decide again with the rules of that day, and compare", case_answers.run_replay, case=True)
    for name, line, module in (
        ("why", "why the kit was picked", why),
        ("why-not", "why not another kit", why_not),
        ("what-if", "what would change with another answer", what_if),
    ):
        about = action(name, f"{line}, by what was kept with the case", module.run, output=False)
        module.add(about)
        about.set_defaults(stored=True)
    action("decide", "decide a case that was kept without a decision", case_answers.run_decide, write=True, case=True)
    prices = action("prices", "what a kit cost over time", case_answers.run_prices)
    prices.add_argument("kit", metavar="KIT", help="id of a kit or part")
    forget = action(
        "forget", "erase the caller, and what looks like the caller", run_forget, write=True, case=True, output=False
    )
    forget.add_argument("--by", default="", metavar="WHO", help="who erases them")
    forget.add_argument("--notes", action="store_true", help="erase the text of all notes and reasons too")
    forget.add_argument(
        "--also", action="append", default=[], metavar="WORDS", help="erase what holds these words too: an address, say"
    )
    taking = action("import", "take over the cases of another casebook", run_import, write=True, output=False)
    taking.add_argument("place", metavar="PLACE", help="the other casebook: a file, or one on a server")
    saving = action("salvage", "take the sound cases out of any casebook", run_salvage, write=True, output=False)
    saving.add_argument("place", metavar="PLACE", help="the damaged casebook; it is only read")
    backup = action("backup", "copy the casebook while it is in use", run_backup, output=False)
    backup.add_argument("place", metavar="PLACE", help="the copy, a file or on a server; must not exist yet")
    granting = action("grant", "let a role of the server write to the casebook there", run_grant, output=False)
    granting.add_argument(
        "role", metavar="ROLE", help="the role counters connect as; made by the server's administrator"
    )
    granting.add_argument("--to-read", action="store_true", help="let it read only")
    check = action("check", "look for damage and for changed rows", case_check.run_check, output=False)
    check.epilog = " ".join(case_check.MEASURES)
    check.add_argument(
        "--anchor",
        action="append",
        default=[],
        metavar="LINE",
        help="hold it against an anchor: the line, or a file with such lines",
    )
    check.add_argument(
        "--accept",
        nargs="?",
        const="",
        metavar="KEY",
        help="after looking: KEY is another counter's; without KEY, what stands here is in order, and is where this"
        " machine goes on from",
    )
    check.add_argument(
        "--words",
        action="store_true",
        help="instead: read the words by which cases are found out of the entries again",
    )
    anchor = action("anchor", "the last digest in one line, to be kept elsewhere", case_check.run_anchor, output=False)
    anchor.add_argument("--to", metavar="FILE", help="add the line to this file, on another machine or disk")
    anchor.add_argument("--day", action="store_true", help="the day's sheet: today's cases, and the anchor")


def _add_page(subparser: ArgumentParser) -> None:
    subparser.add_argument("--count", type=int, default=PAGE, metavar="CASES", help=f"how many; default is {PAGE}")
    subparser.add_argument("--before", metavar="ID", help="only older ones: cases numbered below this one")
    subparser.add_argument("--all", action="store_true", help="every one, however many")


def run(arguments: Namespace) -> int:
    """The exit code: 0, 2 bad input or a damaged casebook, 5 where the same program replays a case differently."""
    return arguments.act(arguments)


def open_book(arguments: Namespace) -> Casebook:
    """The casebook the options name."""
    return opening.book_of(arguments, write=arguments.write)


def day(text: str | None) -> str | None:
    """A date from a person, as the start of that day in UTC; None for None."""
    return None if text is None else entries.day_said(text)


def run_list(arguments: Namespace) -> int:
    """A page of cases in one line each."""
    with open_book(arguments) as book:
        if arguments.to_sign:
            case_sign.run_desk(book, arguments, day(arguments.since))
            return _say_passed_over(book)
        since = day(arguments.since)
        numbers = histories.newest_first(book.store, _number(book, arguments.before, "--before"), since)
        return _lines(book, book.overview(since=since, numbers=numbers), arguments)


def run_search(arguments: Namespace) -> int:
    """A page of the cases found, in one line each."""
    _read_words(arguments)
    with open_book(arguments) as book:
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
    with open_book(arguments) as book:
        if not words.unread(book.store):
            return
    arguments.write = True
    try:
        with open_book(arguments) as book:
            total = words.unread(book.store)
            progress = Progress("cases read for their words, once")
            words.fill(book.store, lambda left: progress(total - left, total, 0.0))
    except StoreError:
        pass
    finally:
        arguments.write = False


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
        decided = flat["pick"] or flat["outcome"].replace("_", " ")
        if flat["outcome_with_readings"]:
            read = flat["pick_with_readings"] or flat["outcome_with_readings"].replace("_", " ")
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

    with open_book(arguments) as book:
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
        sys.stderr.write(f"{count} cases.\n")
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


def run_note(arguments: Namespace) -> int:
    """Add a note."""
    with open_book(arguments) as book:
        number = book.number_of(arguments.id)
        book.note(number, arguments.text, by=arguments.by)
        called = book.called(number)
    opening.say(f"Noted with case {called}.")
    return 0


def run_forget(arguments: Namespace) -> int:
    """Erase name and phone."""
    with open_book(arguments) as book:
        number = book.number_of(arguments.id)
        done = book.forget(number, by=arguments.by, notes=arguments.notes, words=arguments.also)
        called, elsewhere = book.called(number), [book.called(other) for other in done.elsewhere]
        traces = book.store.traces
    opening.say(f"Case {called}: {len(done.erased)} texts erased. The decision stands.")
    for erased in done.erased:
        opening.say(f"  erased: {erased.line()}")
    for where in done.remains:
        opening.say(f"  remains: {where}")
    if done.remains:
        opening.say(
            "What remains was written by an older program. To leave it behind take the cases over into a new casebook:"
            " advisor case import, then put that in its place."
        )
    if elsewhere:
        opening.say(f"The same name or number stands in case {', '.join(elsewhere)}: forget it there too.")
    if not done.gone:
        opening.say(traces)
    opening.say("Nicknames and descriptions are not found by themselves: name such words with --also, or use --notes.")
    opening.say("Backups, exports and other casebooks made before still hold what was erased here.")
    return 0


def run_import(arguments: Namespace) -> int:
    """Take over cases."""
    from ..casebook.importing import take_over

    with open_book(arguments) as book:
        new, known, added = take_over(book, arguments.place)
    opening.say(
        f"{new} cases taken over, {known} stood here already, {added} entries added to cases taken over earlier."
    )
    return 0


def run_salvage(arguments: Namespace) -> int:
    """Take over what is sound; 2 where anything was left."""
    from ..casebook.salvage import salvage

    with open_book(arguments) as book:
        done = salvage(book, arguments.place)
    opening.say(f"{done.taken} cases taken over, {done.known} stood here already, {len(done.left)} left.")
    for number, wrong in done.left.items():
        opening.complain(f"case {number} left: {wrong}.")
    if done.unread:
        opening.complain(f"{done.unread} entries cannot be read; whatever case they belonged to lacks them.")
    return 2 if done.left or done.unread else 0


def _say_passed_over(book):
    """A line for each case that cannot be read; the exit code."""
    for number, wrong in sorted(book.passed_over.items()):
        opening.complain(f"case {number} cannot be read: {wrong}. See: advisor case check, advisor case salvage.")
    return 2 if book.passed_over else 0


def run_backup(arguments: Namespace) -> int:
    """Copy the casebook."""
    from ..casebook import places
    from ..casebook.check import check_file

    with open_book(arguments) as book:
        places.copy(book.store, arguments.place)
    faults, count, digest = check_file(arguments.place)
    for fault in faults:
        opening.complain(f"{arguments.place}: {fault}.")
    if not faults:
        opening.say(f"{arguments.place}: {count} entries, all sound. Last digest {digest}")
    return 2 if faults else 0


def run_grant(arguments: Namespace) -> int:
    """Let a role write to a casebook on a server, or read it."""
    from ..casebook import places

    address = opening.casebook_of(arguments) or ""
    places.grant(address, arguments.role, writes=not arguments.to_read)
    may = "may read it and nothing else" if arguments.to_read else "may add to it, and change nothing that stands there"
    opening.say(f"{address}: {arguments.role} {may}.")
    return 0
