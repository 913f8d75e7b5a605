"""The lists for a kit that its maker withdraws: who was sold it, and who was advised it and has not bought yet.

Each case is decided again by the rules and on the shelf it was decided with, that kit taken out; a kit that was not
the pick changes nothing by going.
"""

import dataclasses
from typing import TYPE_CHECKING, Any

from ..casebook import kept_files, stored_form
from ..casebook.sales import standing_sale
from ..deciding.decide import decider_of
from ..deciding.outcomes import IN_WORDS
from ..deciding.recording import record
from ..errors import AdvisorError, InputError
from ..knowledge.near import did_you_mean
from .calls import Call, Lists, Otherwise, caller, spoken_day

if TYPE_CHECKING:
    from ..casebook.book import Casebook


def lists(book: "Casebook", kit: str, *, since: str | None = None, people: bool = False) -> Lists:
    """The `Lists` for a kit by its id; InputError where no case was ever decided with it."""
    deciders: dict[str, Any] = {}
    ring, otherwise = [], []
    known: set[str] = set()
    for case in book.overview(since=since):
        number = case["number"]
        sale = standing_sale(case["sales"])
        decision = book.sold(number)
        sold = sale is not None and sale.returned is None
        if decision is None:
            continue
        known.add(decision.body["pick"] or "")
        is_sold = sale is not None and sold and sale.kit == kit
        if not is_sold and not (not sold and decision.body["pick"] == kit):
            continue
        becomes, title, car = _without(book, decision, kit, deciders)
        name, phone = caller(book, number, people)
        if is_sold and sale is not None:
            whose = f" for your {car}" if car else ""
            say = (
                f"On {spoken_day(sale.on)} we sold you the {title}{whose}. Its maker has withdrawn it. Please drive "
                "gently, follow what its maker says, and bring the car in, so that we can put it right."
            )
            why = ("its maker withdraws it",)
            ring.append(
                Call(number, book.called(number), sale.on, title, car, why, say, False, becomes, "", name, phone)
            )
        else:
            otherwise.append(
                Otherwise(
                    number,
                    book.called(number),
                    decision.at[:10],
                    False,
                    kit,
                    becomes,
                    f"{kit} is withdrawn",
                    None,
                    name,
                    phone,
                )
            )
    if not ring and not otherwise and kit not in known:
        remedy = did_you_mean(kit, sorted(known - {""}), "See the kits with: advisor shop kits")
        raise InputError(f"nobody was sold or advised a kit {kit!r}.", value=kit, remedy=remedy)
    return Lists(
        tuple(sorted(ring, key=lambda call: (call.on, call.case))),
        tuple(sorted(otherwise, key=lambda other: (other.on, other.case))),
    )


def _without(book, decision, kit, deciders):
    """(what the case comes to without the kit, the kit's title, the car's)."""
    entries = {entry.number: entry for entry in book.history(decision.case)}
    case = stored_form.case_of(entries[decision.body["of"]].body["case"])
    try:
        if decision.knowledge not in deciders:
            content = kept_files.content(kept_files.fetch(book.store, decision.knowledge))
            left = dataclasses.replace(content, kits=tuple(record for record in content.kits if record.id != kit))
            titles = {each.id: str(each.fields.get("title", each.id)) for each in (*content.kits, *content.platforms)}
            deciders[decision.knowledge] = decider_of(left), titles
        decider, titles = deciders[decision.knowledge]
        decided = record(decider.decide(case), [])
        becomes = decided.pick_id or IN_WORDS[decided.outcome]
    except AdvisorError as fault:
        return f"cannot be decided again: {fault.what}", kit, case.platform or ""
    return becomes, titles.get(kit, kit), titles.get(case.platform or "", case.platform or "")
