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

from argparse import ArgumentParser, Namespace

from ..casebook.book import Casebook
from ..knowledge.sentences import count, joined
from . import (
    case_afterwards,
    case_answers,
    case_check,
    case_counters,
    case_lists,
    case_sales,
    case_sign,
    opening,
    what_if,
    why,
    why_not,
)

#: Cases in which an erased name stands elsewhere that are named one by one.
MOST_NAMED = 12


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
    case_lists.add(action)
    show = action("show", "what was told, and what has happened since", case_answers.run_show, case=True)
    audit = action("audit", "the lead's page", case_answers.run_audit, case=True)
    for page in (show, audit):
        page.add_argument("--as-of", type=int, metavar="ENTRY", help="as the case stood after this entry")
        page.add_argument("--people", action="store_true", help="with the caller's name and phone")
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


def run(arguments: Namespace) -> int:
    """The exit code: 0, 2 bad input or a damaged casebook, 5 where the same program replays a case differently."""
    return arguments.act(arguments)


def open_book(arguments: Namespace) -> Casebook:
    """The casebook the options name."""
    return opening.book_of(arguments, write=arguments.write)


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
    opening.say(f"Case {called}: {count(len(done.erased), 'text')} erased. The decision stands.")
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
        cases = joined(elsewhere, most=MOST_NAMED)
        opening.say(f"The same name or number stands in case {cases}: forget it there too.")
        if len(elsewhere) > MOST_NAMED:
            opening.say("All of them: advisor case search --people, with the name or the number.")
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
    further = count(added, "entry", "entries")
    opening.say(
        f"{count(new, 'case')} taken over, {known} stood here already, {further} added to cases taken over earlier."
    )
    return 0


def run_salvage(arguments: Namespace) -> int:
    """Take over what is sound; 2 where anything was left."""
    from ..casebook.salvage import salvage

    with open_book(arguments) as book:
        done = salvage(book, arguments.place)
    opening.say(f"{count(done.taken, 'case')} taken over, {done.known} stood here already, {len(done.left)} left.")
    for number, wrong in done.left.items():
        opening.complain(f"case {number} left: {wrong}.")
    if done.unread:
        opening.complain(f"{done.unread} entries cannot be read; whatever case they belonged to lacks them.")
    return 2 if done.left or done.unread else 0


def run_backup(arguments: Namespace) -> int:
    """Copy the casebook."""
    from ..casebook import places
    from ..casebook.check import check_file

    with open_book(arguments) as book:
        places.copy(book.store, arguments.place)
    faults, entries, digest = check_file(arguments.place)
    for fault in faults:
        opening.complain(f"{arguments.place}: {fault}.")
    if not faults:
        opening.say(f"{arguments.place}: {count(entries, 'entry', 'entries')}, all sound. Last digest {digest}")
    return 2 if faults else 0


def run_grant(arguments: Namespace) -> int:
    """Let a role write to a casebook on a server, or read it."""
    from ..casebook import places

    address = opening.casebook_of(arguments) or ""
    places.grant(address, arguments.role, writes=not arguments.to_read)
    may = "may read it and nothing else" if arguments.to_read else "may add to it, and change nothing that stands there"
    opening.say(f"{address}: {arguments.role} {may}.")
    return 0
