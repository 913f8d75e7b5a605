"""The sub-commands of ``advisor case`` that decide, or show what was decided."""

import contextlib
import json
from argparse import Namespace
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..casebook import book as books
from ..casebook.kept_files import Files
from ..deciding.outcomes import IN_WORDS
from ..errors import OutgrownError
from ..knowledge.sentences import count
from . import case_pages, opening
from .case_sign import leads_of

if TYPE_CHECKING:
    from ..deciding.decide import Decider
    from ..deciding.decision_record import DecisionRecord


@dataclass(frozen=True, slots=True)
class CaseOnFile:
    """A case that was decided and kept: its ``number``, what it is ``called``, its ``record``, what decided it."""

    number: int
    called: str
    record: "DecisionRecord"
    decider: "Decider"


def keep_case(arguments: Namespace, corrects: str | None = None, **who: str) -> CaseOnFile:
    """Decide the case of ``arguments`` and keep it.

    ``corrects``: the case whose answers these correct; ``who``: see `books.keep`.
    """
    from ..deciding.decide import decider_of
    from ..knowledge.sources import read

    # Taken before reading and compared after, so that what is kept is what decided.
    sources = opening.sources_of(arguments)
    files = Files.of(sources)
    decider = decider_of(read(sources))
    case = opening.read_case(arguments.case, decider.knowledge)
    decider.gather(case)
    who["note"] = who.get("note") or case.note
    with opening.book_of(arguments) as book:
        number = book.number_of(corrects) if corrects else None
        number, record = books.keep(None, decider, case, files, sources=sources, book=book, number=number, **who)
        return CaseOnFile(number, book.called(number), record, decider)


def run_save(arguments: Namespace) -> int:
    """Decide a case and keep it."""
    who = {name: getattr(arguments, name) for name in ("by", "name", "phone", "note")}
    kept = keep_case(arguments, arguments.corrects, **who)
    record = kept.record
    if arguments.json:
        opening.say_json(json.dumps({"number": kept.number, "record": record.data}, sort_keys=True, ensure_ascii=False))
    else:
        pick = record.pick_id or IN_WORDS[record.outcome]
        opening.say(f"Case {kept.called} kept: {pick}.")
        if record.asks:
            opening.say(f"Still to be answered: {', '.join(record.asks)}.")
    return 0


def _wording(book, entry, arguments):
    """The words for records decided with the knowledge of an Entry."""
    from ..casebook.kept_files import content as content_of
    from ..deciding.decide import Shop

    content = content_of(book.files_of(entry))
    return Shop.of(content).wording(content.knowledge, arguments.units)


@contextlib.contextmanager
def _shown(book, number):
    """Whatever a stored record holds deep inside, showing it ends in one clear error."""
    try:
        yield
    except (KeyError, TypeError, ValueError, AttributeError, IndexError, RecursionError) as error:
        raise book.store.fault(
            f"what is kept of case {book.called(number)} is not what this program writes.", "Run: advisor case check."
        ) from error


def run_show(arguments: Namespace) -> int:
    """What was told, then the timeline."""
    return _page(arguments, case_pages.show)


def run_audit(arguments: Namespace) -> int:
    """The lead's page."""
    return _page(arguments, case_pages.audit)


def _page(arguments, page):
    from ..casebook.exporting import data

    with opening.book_of(arguments, write=False) as book:
        number = book.number_of(arguments.id)
        book.as_of = arguments.as_of
        if arguments.json:
            case = next(book.overview(numbers=[number]), None)
            if case is None:
                raise book.store.fault(
                    f"case {book.called(number)} cannot be read.", "See: advisor case check, advisor case salvage."
                )
            case_data = data(book, case, people=arguments.people, notes=arguments.people)
            case_data["rules"] = _rules(book, case["answers"], arguments)
            opening.say_json(json.dumps(case_data, sort_keys=True, indent=2, ensure_ascii=False))
            return 0
        decision = book.standing(number)[1]
        record = book.record(decision) if decision else None
        try:
            parts = _parts(book, number, arguments)
        except OutgrownError as error:
            if decision is None or record is None:
                raise
            opening.say(case_pages.as_kept(book.called(number), decision, record, error.what, opening.width()))
            return 0
        with _shown(book, number):
            leads = {name: lead.public_key for name, lead in leads_of(arguments).items()}
            opening.say(page(book, number, parts, opening.width(), people=arguments.people, leads=leads))
    return 0


def _parts(book, number, arguments):
    """What a page is made of: the decision as told or sold, and that with the readings where there are any."""
    base, decision = book.standing(number)
    sold = book.told(number)
    title = "As sold" if book.sale(number) else "As told"
    pairs = [(title, base, decision)]
    if sold is not None and (decision is None or sold.number != decision.number):
        on = next(entry for entry in book.history(number) if entry.number == sold.body["of"])
        later = "With the readings" if base.kind == "reading" else "With the answers of now"
        pairs = [(title, on, sold), (later, base, decision)]
    return [
        case_pages.PagePart(
            name,
            on,
            decided,
            book.record(decided) if decided else None,
            _wording(book, on, arguments),
            _rules(book, on, arguments),
        )
        for name, on, decided in pairs
    ]


def _rules(book, on, arguments):
    from ..knowledge import shop as shops
    from ..versions import decided_by

    return decided_by.sentence(book.files_of(on), shops.find(getattr(arguments, "shop", None)))


def run_reading(arguments: Namespace) -> int:
    """Store readings, decide again, show what differs from what was sold."""
    from ..casebook.difference import difference
    from ..casebook.replay import take_readings

    with opening.book_of(arguments) as book:
        number = book.number_of(arguments.id)
        called = book.called(number)
        sold, record = take_readings(book, number, arguments.readings, by=arguments.by)
        differing = difference(sold, record) if sold else {}
        if arguments.json:
            opening.say_json(
                json.dumps(
                    {"number": number, "difference": differing, "record": record.data},
                    sort_keys=True,
                    ensure_ascii=False,
                )
            )
            return 0
        wording = _wording(book, book.standing(number)[0], arguments)
    opening.say(f"Readings kept with case {called}, which was decided again.")
    if sold is None:
        opening.say("Nothing had been sold on it before.")
        opening.say(case_pages.told(record, wording))
    else:
        opening.say(
            case_pages.differences(sold, record, differing, wording, opening.width(), ("as sold", "with the readings"))
        )
    return 0


def run_replay(arguments: Namespace) -> int:
    """Decide again; 0 the same bytes or another program, 5 other bytes, or none, by the same program."""
    from ..casebook.replay import replay

    with opening.book_of(arguments, write=False) as book:
        number = book.number_of(arguments.id)
        called = book.called(number)
        replayed = replay(book, number)
        changed = case_pages.programs(replayed)
        differs = {} if replayed.same else replayed.difference()
        if arguments.json:
            replay_data = {
                "number": number,
                "same": replayed.same,
                "program_changed": replayed.program_changed,
                "then": replayed.then,
                "now": replayed.now,
                "difference": differs,
                "cannot_be_read": replayed.unread,
            }
            opening.say_json(json.dumps(replay_data, sort_keys=True, ensure_ascii=False))
            return 0 if replayed.same or changed else 5
        if replayed.new is None:
            if changed:
                opening.say(f"The program has changed since: {changed}.")
            decision = book.decision_of(number)
            opening.say(case_pages.as_kept(called, decision, replayed.old, replayed.unread, opening.width()).rstrip())
            return 0 if changed else 5
        wording = _wording(book, book.standing(number)[0], arguments)
    if replayed.same:
        opening.say(f"Case {called} comes out the same, byte for byte, from the rules and prices kept with it.")
        if changed:
            opening.say(f"The program has changed since: {changed}. It made no difference here.")
        return 0
    if changed:
        opening.say(f"The program has changed since: {changed}. With it, case {called} comes out differently.")
        opening.say("What was kept stands untouched, as it was told then. This is what differs now:")
    else:
        opening.say(f"Case {called} comes out differently.")
        opening.say("The program is the same as then: report this to whoever keeps it.")
    opening.say(
        case_pages.differences(replayed.old, replayed.new, differs, wording, opening.width(), ("as kept", "now"))
    )
    return 0 if changed else 5


def run_decide(arguments: Namespace) -> int:
    """Decide a case kept without a decision."""
    from ..casebook.replay import decide_stored

    with opening.book_of(arguments) as book:
        number = book.number_of(arguments.id)
        record, called = decide_stored(book, number), book.called(number)
    if arguments.json:
        opening.say_json(json.dumps({"number": number, "record": record.data}, sort_keys=True, ensure_ascii=False))
    else:
        opening.say(f"Case {called} decided: {record.pick_id or IN_WORDS[record.outcome]}.")
    return 0


def run_prices(arguments: Namespace) -> int:
    """Price and stock of a kit or part over the knowledge kept, oldest first."""
    from ..casebook.prices import prices
    from ..errors import InputError

    with opening.book_of(arguments, write=False) as book:
        spells = prices(book, arguments.kit)
    if not spells:
        raise InputError(
            f"no kept case was decided with a kit or part {arguments.kit!r} on file.",
            value=arguments.kit,
            remedy="Check the id.",
        )
    if arguments.json:
        opening.say_json(json.dumps(spells, sort_keys=True, ensure_ascii=False))
        return 0
    for spell in spells:
        price = f"{spell['price']} {spell['currency'] or ''}".strip() if spell["price"] is not None else "no price"
        if not spell["on_file"]:
            price = "not on file"
        opening.say(f"{spell['first'][:10]} to {spell['last'][:10]}, {count(spell['cases'], 'case')}: {price}")
    return 0
