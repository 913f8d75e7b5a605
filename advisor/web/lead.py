"""The lead's pages: what waits for a signature, the audit of a case, why not another kit, signing, the rule book."""

import datetime
import json
from typing import Any

from flask import Blueprint, abort, g, redirect, request, url_for

from ..casebook import signatures, signing
from ..casebook.afterwards import every_aftermath, in_words, latest_complaints
from ..casebook.desk import desk as on_desk
from ..deciding.outcomes import IN_WORDS
from ..errors import InputError
from ..explaining.why_not import fate, why_not, why_not_lines
from ..explaining.worded import WordedRecord
from ..knowledge.shop import Person
from ..reporting.sheets.rule_book import rule_book
from ..reporting.sheets.sheet import document, sheet
from .access import LEAD, needs, site_of_request
from .kept_pages import decided, standing_of
from .people import confirmed
from .showing import WIDTH, drawn, only, saved, shown

pages = Blueprint("lead", __name__, url_prefix="/lead")
#: Pictures of an audit, drawn one by one as they are looked at.
PICTURES = ("kits", "torque", "chain", "doubt", "release", "heat")
DRAWN_KEPT = 40
#: Complaints shown on the desk, the last first.
MOST_COMPLAINTS = 50
_drawn: dict[tuple[str, str], str] = {}


@pages.get("/")
@needs(LEAD)
def desk() -> Any:
    """What waits: to be signed, safety first; complaints; outcomes to ask for."""
    today = datetime.date.today().isoformat()
    with site_of_request().casebook(write=False) as book:
        waiting = [
            {
                "number": item.case["number"],
                "called": book.called(item.case["number"]),
                "day": item.case["begun"][:10],
                "outcome": item.case["decision"].body["pick"] or IN_WORDS[item.case["decision"].body["outcome"]],
                "safety": item.safety,
                "reasons": item.reasons,
            }
            for item in on_desk(book)
        ]
        due = [
            {
                "number": after.case,
                "called": book.called(after.case),
                "kit": after.sale.kit,
                "fitted_on": after.fitted_on,
                "asking": name.replace("_", " "),
            }
            for after in every_aftermath(book)
            for name in after.due(today)
        ]
        complaints = [
            {"number": entry.case, "called": book.called(entry.case), "day": entry.at[:10], "text": in_words(entry)}
            for entry in latest_complaints(book, MOST_COMPLAINTS)
        ]
        passed_over = {book.called(number): why for number, why in book.passed_over.items()}
    with site_of_request().register() as register:
        register.did(g.person.name, "saw the desk")
    return shown("lead_desk.html", "Desk", waiting=waiting, due=due, complaints=complaints, passed_over=passed_over)


@pages.get("/case/<int:number>")
@needs(LEAD)
def case(number: int) -> Any:
    """The audit of a case: every number with its source, and the form to sign what is shown."""
    return _audit(number)


def _me() -> Person:
    return g.person


def _audit(number: int, errors: Any = (), text: str = "", status: int = 200) -> Any:
    site = site_of_request()
    with site.casebook(write=False) as book:
        kept_case, called = standing_of(book, number), book.called(number)
        row = next(book.overview(numbers=[number]), None)
        asked = signatures.to_sign(book, number).data() if kept_case is not None and _me().public_key else ""
    title = f"Audit of case {called}"
    if kept_case is None:
        undecided = "It is kept, but not decided yet."
        return shown("lines.html", title, lines=undecided, back=url_for("lead.desk"), back_label="desk")
    record, wording = kept_case.record, kept_case.wording
    with site.register() as register:
        register.did(g.person.name, "audited", called)
    worded = WordedRecord(record, wording)
    kits = [
        (kit.id, wording.title(kit.id), fate(worded, kit.id))
        for kit in record.nearest_first
        if kit.id != record.pick_id
    ]
    other_kits = [(kit.id, wording.title(kit.id)) for kit in record.kits.values() if not kit.fits]
    return shown(
        "lead_case.html",
        title,
        status=status,
        number=number,
        sheet=document(record, wording, "lead"),
        decision=kept_case.decision.digest,
        version=kept_case.version,
        kits=kits,
        other_kits=other_kits,
        pictures=PICTURES if record.pick is not None else PICTURES[:1],
        signed=row["signed"] if row else "",
        errors=errors,
        text=text,
        by_key=bool(_me().public_key),
        asked=asked,
    )


@pages.get("/case/<int:number>/why-not")
@needs(LEAD)
def why_not_page(number: int) -> Any:
    """Why another kit was not picked, with what every requirement rests on."""
    kit = request.args.get("kit", "")
    kept_case = decided(number)
    record, wording = kept_case.record, kept_case.wording
    if kit not in record.kits or kit == record.pick_id:
        abort(404)
    worded = WordedRecord(record, wording)
    lines = why_not_lines(worded, why_not(worded, kit), WIDTH, full=True)
    title = f"Why not the {wording.title(kit)}?"
    return shown(
        "lines.html",
        title,
        lines="\n".join(lines),
        back=url_for("lead.case", number=number),
        back_label=f"audit of case {kept_case.called}",
    )


@pages.get("/case/<int:number>/picture/<name>.svg")
@needs(LEAD)
def picture(number: int, name: str) -> Any:
    """A picture of the audit: markup made here, served as an image, in which nothing runs."""
    if name not in PICTURES:
        abort(404)
    kept_case = decided(number)
    key = (kept_case.decision.digest, name)
    if key not in _drawn:
        try:
            from ..reporting.sheets.html import pictures
        except ImportError:
            abort(404)
        from ..reporting.sheets.page import Page

        figure = pictures()[name](Page(kept_case.record, kept_case.wording))
        if figure is None:
            abort(404)
        while len(_drawn) >= DRAWN_KEPT:
            del _drawn[next(iter(_drawn))]
        _drawn[key] = figure.svg
    return drawn(_drawn[key])


@pages.get("/case/<int:number>/file")
@needs(LEAD)
def file(number: int) -> Any:
    """The lead's sheet as one file with its pictures, to be filed."""
    kept_case, paper = decided(number), site_of_request().about.paper.lower()
    page = sheet(kept_case.record, kept_case.wording, "lead", "html", paper=paper)
    return saved(page, f"audit-{kept_case.file_name}.html")


@pages.post("/case/<int:number>/sign")
@needs(LEAD)
def sign(number: int) -> Any:
    """Sign off what was on the screen, or object: with the password again, or by a signature of the lead's key."""
    only("decision", "verdict", "text", "password", "signature")
    form, site = request.form, site_of_request()
    text, verdict = form.get("text", "").strip(), form.get("verdict", "")
    if verdict not in ("sign_off", "objection") and not _me().public_key:
        return _audit(number, ["Choose whether you sign it off or object."], text, 400)
    with site.register() as register:
        errors = [] if _me().public_key else confirmed(register, form.get("password", ""))
    if errors:
        return _audit(number, errors, text, 400)
    try:
        with site.casebook() as book:
            called = decided(number, book).called
            if _me().public_key:
                _by_key(book, number, form.get("signature", ""), form.get("decision", ""))
            else:
                book.sign(
                    number,
                    by=_me().name,
                    objection=verdict == "objection",
                    text=text,
                    decision_seen=form.get("decision", ""),
                )
    except InputError as error:
        return _audit(number, [f"{error.what} {error.remedy}".strip()], text, 400)
    with site.register() as register:
        register.did(g.person.name, "objected to" if verdict == "objection" else "signed", called)
    return redirect(url_for("lead.desk"), 303)


def _by_key(book: Any, number: int, text: str, seen: str) -> None:
    """Take a signature that was made where the key is."""
    try:
        parts = json.loads(text)
        texts: dict[str, Any] = {name: str(parts[name]) for name in signing.Signed.__slots__}
        signed = signing.Signed(**texts | {"case": int(parts["case"])})
    except (ValueError, TypeError, KeyError, RecursionError):
        raise InputError(
            "this is no signature.", remedy="Paste the whole file that 'advisor lead sign' wrote."
        ) from None
    if signed.by != _me().name or signed.public_key != _me().public_key:
        raise InputError("this signature is another's.", remedy="Paste the one made with your own key.")
    if signed.decision != seen or signed.case != number:
        raise InputError("this signature is on another decision.", remedy="Have it written again, and sign that.")
    signatures.take(book, number, signed)


@pages.get("/rules")
@needs(LEAD)
def rules() -> Any:
    """The rule book: every rule with its reason and what it rests on."""
    place = site_of_request().mine()
    return shown(
        "sheet_page.html",
        "Rule book",
        sheet=rule_book(place.knowledge, site_of_request().about.units),
        back=url_for("lead.desk"),
        back_label="desk",
    )
