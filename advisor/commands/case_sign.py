"""The sub-commands of ``advisor case`` for leads: signing, and the desk with what waits for a signature."""

import json
from argparse import Namespace
from collections.abc import Mapping
from typing import TYPE_CHECKING

from ..casebook.book import Casebook
from ..deciding.outcomes import IN_WORDS
from ..errors import InputError
from ..knowledge import disk
from ..knowledge.sentences import wrap
from . import opening

if TYPE_CHECKING:
    from ..knowledge.shop import Person


def leads_of(arguments: Namespace) -> "dict[str, Person]":
    """Name -> lead, as shop.toml lists them; those of the demonstration where no shop is named."""
    shop = opening.sources_of(arguments).shop
    return {person.name: person for person in shop.of_role("lead")} if shop else {}


def run_sign(arguments: Namespace) -> int:
    """Sign off or object."""
    leads = leads_of(arguments)
    with opening.book_of(arguments) as book:
        number = book.number_of(arguments.id)
        entry = _signed(book, number, arguments, leads)
        called = book.called(number)
    done = "Objection to" if entry.kind == "objection" else "Signed off:"
    opening.say(f"{done} case {called}, decision {entry.body['decision'][:12]}, by {entry.by}.")
    return 0


def _signed(book, number, arguments, leads):
    from ..casebook import signatures, signing

    if arguments.signature:
        if arguments.by or arguments.key or arguments.text or arguments.objection:
            raise InputError(
                "the signature says by itself who signs, and what.",
                remedy="Leave out --by, --key, --text, --objection.",
            )
        signed = signing.read_signed(arguments.signature)
        listed(leads, signed.by, signed.public_key)
        return signatures.take(book, number, signed)
    if not arguments.by:
        raise InputError("nobody is named who signs.", remedy="Name the lead with --by.")
    by = " ".join(arguments.by.split())
    if arguments.key:
        from .lead import signed_of

        listed(leads, by, signing.public_key(arguments.key))
        return signatures.take(book, number, signed_of(arguments, signatures.to_sign(book, number)))
    if listed(leads, by).public_key:
        raise InputError(
            f"{by} signs with a key.",
            remedy=f"On the lead's machine: advisor case to-sign {number} --to FILE, then advisor lead sign FILE.",
        )
    return book.sign(number, by=by, objection=arguments.objection, text=arguments.text)


def listed(leads: "Mapping[str, Person]", name: str, public_key: str | None = None) -> "Person":
    """The lead of a name; InputError where shop.toml lists none, or another key."""
    lead = leads.get(name)
    if lead is None:
        names = ", ".join(sorted(leads)) or "nobody"
        raise InputError(
            f"{name[:60]!r} is no lead of this shop.", value=name, remedy=f"shop.toml lists as leads: {names}."
        )
    if public_key is not None and lead.public_key != public_key:
        what = "another key" if lead.public_key else "no key"
        raise InputError(
            f"shop.toml lists {what} for {name}.",
            remedy=f'Whoever keeps shop.toml checks whose it is, and writes there: public_key = "{public_key}"',
        )
    return lead


def run_to_sign(arguments: Namespace) -> int:
    """Write what is to be signed."""
    from ..casebook import signatures

    with opening.book_of(arguments, write=False) as book:
        number = book.number_of(arguments.id)
        asked = signatures.to_sign(book, number)
        disk.may_write(arguments.to, inputs=book.store.files, replace=arguments.replace, option="--to")
    disk.deliver(arguments.to, asked.data(), replace=arguments.replace, option="--to")
    opening.say(f"{arguments.to}: for the lead's machine, to be signed with: advisor lead sign")
    return 0


def run_desk(book: Casebook, arguments: Namespace, since: str | None) -> None:
    """The cases to be signed, what concerns safety first, each with why."""
    from ..casebook.desk import desk
    from ..casebook.exporting import row

    waiting = desk(book, since=since)
    for on_desk in waiting:
        flat = row(book, on_desk.case, people=arguments.people)
        if arguments.json:
            why = [{"text": reason.text, "safety": reason.safety} for reason in on_desk.reasons]
            opening.say_json(json.dumps({**flat, "to_sign": why}, sort_keys=True, ensure_ascii=False))
            continue
        decided = flat["pick"] or IN_WORDS.get(flat["outcome"], flat["outcome"])
        called = f"{book.called(flat['number']):>5}"
        opening.say(f"{called}  {flat['begun_utc'][:10]}  {flat['case']}: {decided}")
        for reason in on_desk.reasons:
            reason_text = f"{'safety: ' if reason.safety else ''}{reason.text}"
            opening.say(wrap(reason_text, opening.width(), "         ", "           "))
    if not waiting and not arguments.json:
        opening.say("Nothing waits for a signature.")
