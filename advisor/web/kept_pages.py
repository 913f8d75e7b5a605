"""A kept case as the counter sees it: its card, who it is, what happened, its sheets and quotes."""

from dataclasses import dataclass
from typing import Any

from flask import abort, g, redirect, url_for

from ..casebook import history_told, kept_back
from ..casebook.book import LONGEST_NUMBER, Casebook
from ..casebook.entries import Entry
from ..casebook.kept_files import content as content_of
from ..casebook.quotes import keep_quote
from ..deciding.decide import Shop
from ..deciding.decision_record import DecisionRecord
from ..errors import InputError
from ..explaining.card import card
from ..explaining.quoting import quoted_kits
from ..explaining.worded import WordedRecord
from ..knowledge import shop as shops
from ..knowledge.wording import Wording
from ..reporting.sheets.quote import quote_sheet
from ..reporting.sheets.sheet import document, sheet
from ..versions import decided_by
from .access import COUNTER, needs, site_of_request
from .counter import pages
from .showing import WIDTH, only, saved, shown

AUDIENCES = ("customer", "fitter")


@dataclass(frozen=True, slots=True)
class KeptCase:
    """A case of the casebook as it stands: the entry of its ``decision``, its ``record``, and ``wording`` for it.

    ``called``: what people call it, with its counter. ``version``: which version of the shop's own rules decided it,
    who adopted that, when and why; "" where none did.
    """

    called: str
    decision: Entry
    record: DecisionRecord
    wording: Wording
    version: str

    @property
    def file_name(self) -> str:
        """What it is called, as part of a file's name."""
        return self.called.replace("/", "-")


def decided(number: int, book: Casebook | None = None) -> KeptCase:
    """A kept case that is decided, read from the casebook where none is open; 404 where there is no such case."""
    if book is None:
        with site_of_request().casebook(write=False) as opened:
            return decided(number, opened)
    kept_case = standing_of(book, number)
    if kept_case is None:
        abort(404)
    return kept_case


def standing_of(book: Casebook, number: int) -> KeptCase | None:
    """A kept case, None where it is not decided yet; 404 where there is none."""
    if len(str(number)) > LONGEST_NUMBER:
        abort(404)
    try:
        base, decision = book.standing(number)
    except InputError:
        abort(404)
    if decision is None:
        return None
    files = book.files_of(base)
    version = decided_by.sentence(files, shops.find(site_of_request().workplaces.shop))
    return KeptCase(book.called(number), decision, book.record(decision), _wording(files), version)


def _wording(files):
    """The `Wording` of the knowledge in the Files that a case was kept with."""
    content = content_of(files)
    return Shop.of(content).wording(content.knowledge, site_of_request().about.units)


@pages.get("/kept/<int:number>")
@needs(COUNTER)
def kept(number: int) -> Any:
    """A kept case: its card, who it is, what happened, and what can be made of it."""
    site = site_of_request()
    with site.casebook(write=False) as book:
        kept_case, called = standing_of(book, number), book.called(number)
        kept_apart = book.private_of(number).values()
        people = [apart for apart in kept_apart if apart.get("name") or apart.get("phone")]
        notes = [apart["text"] for apart in kept_apart if apart.get("text")]
        words = kept_back.shown(book, number, people=True)
        wording = kept_case.wording if kept_case else _wording(book.files_of(book.standing(number)[0]))
        history = [
            {
                "number": entry.number,
                "told": history_told.event(entry, words, wording),
                "by": entry.by,
                "at": entry.at[:16].replace("T", " "),
                "quote": entry.body["quote"] if entry.kind == "quote" else "",
            }
            for entry in book.history(number)
        ]
        shown_card = "Kept, but not decided yet."
        if kept_case is not None:
            shown_card = card(kept_case.record, kept_case.wording, WIDTH).rstrip()
    with site.register() as register:
        register.did(g.person.name, "saw kept case", called)
    return shown(
        "kept.html",
        f"Kept case {called}",
        number=number,
        card=shown_card,
        people=people,
        notes=notes,
        history=history,
        has_pick=kept_case is not None and kept_case.record.pick is not None,
        decided=kept_case is not None,
    )


@pages.post("/kept/<int:number>/quote")
@needs(COUNTER)
def quote(number: int) -> Any:
    """Write a quote on the decision that stands; it is kept under its number."""
    only()
    site = site_of_request()
    with site.casebook() as book:
        kept_case = decided(number, book)
        if kept_case.record.pick is None:
            abort(404)
        kits = quoted_kits(WordedRecord(kept_case.record, kept_case.wording))
        about = site.about
        written = keep_quote(
            book,
            number,
            [offered.kit for offered in kits],
            kits[0].lines,
            counter=about.counter,
            days=about.quote_days,
            by=g.person.name,
        )
        with site.register() as register:
            register.did(g.person.name, f"quoted {written.body['quote']}", kept_case.called)
    return redirect(url_for("counter.quoted_page", number=number, quote=written.number), 303)


@pages.get("/kept/<int:number>/quote/<int:quote>")
@needs(COUNTER)
def quoted_page(number: int, quote: int) -> Any:
    """A quote as a file to print or send."""
    site = site_of_request()
    with site.casebook(write=False) as book:
        wording = decided(number, book).wording
        entry = next((entry for entry in book.history(number) if entry.number == quote and entry.kind == "quote"), None)
        if entry is None:
            abort(404)
        decision = next(held for held in book.history(number) if held.number == entry.body["of"])
        page = quote_sheet(
            book.record(decision),
            wording,
            site.about,
            entry.body,
            entry.at[:10],
            "html",
            paper=site.about.paper.lower(),
        )
    return saved(page, f"quote-{entry.body['quote']}.html")


@pages.get("/kept/<int:number>/sheet/<audience>")
@needs(COUNTER)
def kept_sheet(number: int, audience: str) -> Any:
    """A sheet as a page."""
    if audience not in AUDIENCES:
        abort(404)
    kept_case = decided(number)
    page = document(kept_case.record, kept_case.wording, audience, about=site_of_request().about)
    return shown(
        "sheet_page.html",
        f"Sheet for the {audience}",
        sheet=page,
        back=url_for("counter.kept", number=number),
        back_label=f"kept case {kept_case.called}",
    )


@pages.get("/kept/<int:number>/file/<audience>")
@needs(COUNTER)
def kept_file(number: int, audience: str) -> Any:
    """A sheet as one file with its pictures, to send or to print."""
    if audience not in AUDIENCES:
        abort(404)
    kept_case, about = decided(number), site_of_request().about
    page = sheet(kept_case.record, kept_case.wording, audience, "html", paper=about.paper.lower(), about=about)
    return saved(page, f"{audience}-{kept_case.file_name}.html")
