"""The customer's result, first on one screen and then everything; and what can be done with it: sent, shown, erased."""

from typing import Any

from flask import g, redirect, request, session, url_for

from ..casebook import book as books
from ..explaining.contradictions_told import contradiction_sentences
from ..reporting.sheets.blocks import plain
from ..reporting.sheets.sheet import document
from . import answering
from .access import CUSTOMER, needs, site_of_request
from .block_pages import section_of
from .brief import brief
from .customer import case_open, pages
from .showing import only, shown


@pages.get("/result")
@needs(CUSTOMER)
def result() -> Any:
    """What comes out, first on one screen, then everything."""
    with case_open() as (interview, place):
        if interview.state.car is None:
            return redirect(url_for("customer.car"), 303)
        if interview.trouble:
            return redirect(url_for("customer.answers"), 303)
        record = place.record(interview.state)
        about = site_of_request().about
        sheet = document(record, place.plain.wording, "customer", about=about, counts=about.pages.counts_shown)
        first = ("pick", "questions", "nothing")
        summary = {name: held for name in first if (held := section_of(sheet, name))}
        matters = [
            (item.fact, place.plain.label(item.fact), place.plain.value(item.fact, item.value))
            for item in record.assumptions
            if item.matters and item.fact in place.knowledge.questions
        ]
        questions, listed = place.knowledge.questions, bool(interview.state.car)
        asks = [name for name in record.asks if listed or questions[name].effort != "measure"]
        contradictions = [contradiction_sentences(item, place.plain.wording) for item in record.contradictions]
        return shown(
            "result.html",
            plain(sheet.title),
            sheet=sheet,
            summary=summary,
            asks=[(name, place.plain.label(name)) for name in asks[:3]],
            brief=brief(record, place.plain.wording, sheet),
            matters=matters,
            contradictions=contradictions,
            open_question=interview.question,
            may_ask_more=interview.may_ask_more,
            sent=g.case.sent,
            rules_changed=interview.rules_changed,
        )


@pages.get("/garage")
@needs(CUSTOMER)
def garage() -> Any:
    """What the garage needs to know: the fitter's sheet."""
    with case_open() as (interview, place):
        if interview.state.car is None or interview.trouble:
            return redirect(url_for("customer.answers"), 303)
        sheet = document(place.record(interview.state), place.plain.wording, "fitter")
        return shown(
            "sheet_page.html", "For the garage", sheet=sheet, back=url_for("customer.result"), back_label="your result"
        )


# --- sending it


@pages.get("/send")
@needs(CUSTOMER)
def send() -> Any:
    """Name and number, and what will happen."""
    return shown("send.html", "Send it to the shop", errors={}, name="", phone="", note="")


@pages.post("/send")
@needs(CUSTOMER)
def send_said() -> Any:
    """The case goes to the counter: into the casebook, decided anew, its answers on disk before that."""
    only("name", "phone", "note")
    name, phone, note = (request.form.get(part, "").strip() for part in ("name", "phone", "note"))
    errors = {}
    if not name or len(name) > 200:
        errors["name"] = "Type the name the shop should ask for, up to 200 signs."
    if not any(sign.isdigit() for sign in phone) or len(phone) > 40:
        errors["phone"] = "Type a telephone number that the shop can ring."
    if len(note) > 2000:
        errors["note"] = "Shorten what you add to 2000 signs."
    if errors:
        return shown("send.html", "Send it to the shop", status=400, errors=errors, name=name, phone=phone, note=note)
    site = site_of_request()
    with case_open(write=True) as (interview, place), site.casebook() as book:
        if interview.state.car is None:
            return redirect(url_for("customer.car"), 303)
        who: dict[str, Any] = {"by": "customer", "name": name, "phone": phone, "note": note}
        case = interview.state.as_case()
        kept, _ = books.keep(None, place.decider, case, place.files, book=book, number=g.case.kept, **who)
        with site.register() as register:
            register.sent(g.case.id, kept)
            register.did("", "sent to the counter", book.called(kept))
    return redirect(url_for("customer.sent"), 303)


@pages.get("/sent")
@needs(CUSTOMER)
def sent() -> Any:
    """It is with the shop."""
    if not g.case.sent:
        return redirect(url_for("customer.send"), 303)
    with site_of_request().casebook(write=False) as book:
        return shown("sent.html", "It is with the shop", called=book.called(g.case.kept))


@pages.post("/forget")
@needs(CUSTOMER)
def forget() -> Any:
    """Take everything back that was said here and not yet sent."""
    only()
    site = site_of_request()
    with site.register() as register:
        register.dropped(g.case.id)
    answering.drop(site.path_of(g.case))
    session.clear()
    return redirect(url_for("customer.start"), 303)
