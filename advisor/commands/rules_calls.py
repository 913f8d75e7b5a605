"""The lists of an impact: whom to ring, and who would be told something else; on the screen, as CSV, as a sheet."""

import json
from argparse import Namespace
from collections.abc import Sequence
from typing import TYPE_CHECKING

from ..errors import InputError
from ..knowledge import disk
from ..versions.calls import Lists
from . import opening

if TYPE_CHECKING:
    from ..casebook.book import Casebook
    from ..casebook.impact import Impact
    from ..knowledge.model import Knowledge

FORMS = ("csv", "html", "pdf")
SHOWN = 10
#: Cases whose changes are told apart unless every case is asked for.
ATTRIBUTED = 200


def _form(arguments):
    return arguments.out.rpartition(".")[2].lower()


def may_write(arguments: Namespace) -> None:
    """InputError where the file asked for cannot be one of lists, or must not be written."""
    if not arguments.out:
        return
    if _form(arguments) not in FORMS:
        raise InputError(
            f"{arguments.out} names no form of the lists.", value=arguments.out, remedy="End it in .csv, .html or .pdf."
        )
    if arguments.json:
        raise InputError("the lists go to a file or out as JSON.", remedy="Leave out --out or --json.")
    disk.may_write(arguments.out, inputs=[opening.casebook_of(arguments) or ""], replace=arguments.replace)


def lists_of(book: "Casebook", impact_found: "Impact", knowledge: "Knowledge", arguments: Namespace) -> Lists:
    """The `Lists` of a run, each change told with the rules that account for it."""
    from ..casebook.attributing import attribute
    from ..casebook.impact_work import Worker
    from ..versions import calls

    others = list(impact_found.state.results(calls.OTHERWISE))
    with Worker(book.store.place, knowledge) as worker:
        attributed = attribute(worker, others if arguments.all else others[:ATTRIBUTED])
    return calls.of_impact(book, list(impact_found.state.to_ring()), others, attributed, people=arguments.people)


def deliver(lists: Lists, arguments: Namespace, called: str) -> bool:
    """Write the lists to the file asked for; whether there was one."""
    if not getattr(arguments, "out", None):
        return False
    from ..reporting.sheets.sheet import finished
    from ..versions import calls
    from ..versions.call_sheet import call_sheet

    if _form(arguments) == "csv":
        body: str | bytes = calls.csv_text(lists, people=arguments.people)
    else:
        body = finished(call_sheet(lists, called, people=arguments.people), _form(arguments))
    disk.deliver(arguments.out, body, replace=arguments.replace)
    opening.say(f"{arguments.out}: {len(lists.ring)} to ring, {len(lists.otherwise)} told something else.")
    return True


def say(lists: Lists, width: int, limit: int | None, *, people: bool) -> None:
    """Both lists as text, the first ``limit`` of each; None for all."""
    from ..knowledge.sentences import wrap

    if not lists.ring:
        opening.say("Nobody is to be rung: no clutch that was sold fails a safety must.")
    else:
        opening.say(f"To ring first, for safety: {len(lists.ring)}")
    for call in _shown(lists.ring, limit):
        who = f"{call.name}, {call.phone}; " if people else ""
        known = " (known at the sale)" if call.known else ""
        opening.say(
            wrap(f"case {call.called}, sold {call.on}: {who}{call.kit}, {call.car}{known}", width, "  ", "    ")
        )
        for reason in call.reasons:
            opening.say(wrap(reason, width, "    ", "      "))
        opening.say(wrap(f'say: "{call.say}"', width, "    ", "      "))
        if call.becomes:
            why = f" ({call.why})" if call.why else ""
            opening.say(wrap(f"would be sold today: {call.becomes}{why}", width, "    ", "      "))
    _rest(lists.ring, limit)
    if lists.ring and not people:
        opening.say("  Names and phone numbers: --people")
    if not lists.otherwise:
        opening.say("Nobody else would be told another kit.")
        return
    opening.say(f"\nWould be told something else: {len(lists.otherwise)}")
    for other in _shown(lists.otherwise, limit):
        who = f" {other.name}, {other.phone};" if people else ""
        price = f" ({other.price:+,.2f})" if other.price else ""
        how = "sold" if other.sold else "told"
        text = f"case {other.called}, {how} {other.on}:{who} {other.was}, now {other.becomes}{price}"
        opening.say(wrap(text, width, "  ", "    "))
        if other.why:
            opening.say(wrap(other.why, width, "    ", "      "))
    _rest(lists.otherwise, limit)


def _shown(listed: Sequence, limit):
    return listed if limit is None else listed[:limit]


def _rest(listed, limit):
    if limit is not None and len(listed) > limit:
        opening.say(f"  and {len(listed) - limit} more: --all, or as a file: --out FILE.csv")


def run_withdrawn(arguments: Namespace) -> int:
    """The lists for a kit that its maker withdraws."""
    from ..versions import withdrawn
    from .case_lists import day

    with opening.book_of(arguments, write=False) as book:
        lists = withdrawn.lists(book, arguments.withdrawn, since=day(arguments.since), people=arguments.people)
    if deliver(lists, arguments, f"{arguments.withdrawn} withdrawn"):
        return 0
    if arguments.json:
        opening.say_json(json.dumps({"lists": lists.data()}, sort_keys=True, ensure_ascii=False))
    else:
        say(lists, opening.width(), None if arguments.all else SHOWN, people=arguments.people)
    return 0
