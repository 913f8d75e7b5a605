"""Cases as JSON data, and as rows for a spreadsheet. Nobody's name, phone or note is in it unless asked for."""

import csv
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, TextIO

from ..errors import StoreError
from ..knowledge.signs import cell
from . import entries, stored_form
from .finding import private_in
from .kept_back import shown_of
from .sales import standing_sale

if TYPE_CHECKING:
    from .book import Casebook

COLUMNS = (
    "number",
    "case",
    "begun_utc",
    "taken_by",
    "platform",
    "outcome",
    "pick",
    "total_price",
    "currency",
    "holding_margin",
    "asks",
    "answers",
    "unknown",
    "outcome_with_readings",
    "pick_with_readings",
    "sold",
    "sold_on",
    "sold_as_advised",
    "fitted_on",
    "fitted_by",
    "fitted_km",
    "returned_on",
    "returned_km",
    "signed",
    "invented",
    "program",
    "knowledge_sha256",
    "digest",
)
CALLER = ("name", "phone")


def row(book: "Casebook", case: Mapping[str, Any], *, people: bool = False, notes: bool = False) -> dict[str, Any]:
    """One case of `Casebook.overview` as a flat dict of ``COLUMNS`` and what else was asked for."""
    answers, decision = case["answers"], case["decision"]
    as_told = case["told"] or decision
    case_part, body = answers.body["case"], as_told.body if as_told else {}
    read = decision.body if decision and decision is not as_told else {}
    sale = standing_sale(case["sales"])
    fitted = sale.fitting.body if sale and sale.fitting else {}
    returned = sale.returned.body if sale and sale.returned else {}
    words = shown_of(case["history"], people=people)
    flat = {
        "number": case["number"],
        "case": words.name(case_part["id"]),
        "begun_utc": case["begun"],
        "taken_by": words.name(case["by"]),
        "platform": case_part["platform"],
        "outcome": body.get("outcome", "undecided"),
        "pick": body.get("pick"),
        "total_price": body.get("price"),
        "currency": body.get("currency"),
        "holding_margin": body.get("margin"),
        "asks": ", ".join(body.get("asks", ())),
        "answers": "; ".join(
            f"{name} {_shown_answer(answer)} ({answer['from']})" for name, answer in case_part["answers"].items()
        ),
        "unknown": ", ".join(case_part["unknown"]),
        "outcome_with_readings": read.get("outcome"),
        "pick_with_readings": read.get("pick"),
        "sold": sale.kit if sale else None,
        "sold_on": sale.on if sale else None,
        "sold_as_advised": sale.as_advised if sale else None,
        "fitted_on": fitted.get("on"),
        "fitted_by": fitted.get("fitter"),
        "fitted_km": fitted.get("km"),
        "returned_on": returned.get("on"),
        "returned_km": returned.get("km"),
        "signed": _signed(case["signed"], words),
        "invented": body.get("invented"),
        "program": body.get("program", {}).get("program"),
        "knowledge_sha256": answers.knowledge,
        "digest": (as_told or answers).digest,
    }
    if people or notes:
        private = private_in(case["history"]).values()
        if people:
            for name in CALLER:
                flat[name] = next((entry[name] for entry in reversed(list(private)) if name in entry), None)
        if notes:
            flat["notes"] = "\n".join(entry[name] for entry in private for name in ("text", "reason") if name in entry)
    return flat


def write_csv(
    book: "Casebook",
    cases: Iterable[Mapping[str, Any]],
    file: TextIO,
    *,
    people: bool = False,
    notes: bool = False,
    decimal_mark: str = ".",
) -> int:
    """Rows with a heading, texts in quotes; the number of cases written. Each decision is held against its record.

    Where the decimal mark is a comma, semicolons part the cells, as spreadsheets of such languages read them.
    """
    names = [*COLUMNS, *(CALLER if people else ()), *(("notes",) if notes else ())]
    apart = ";" if decimal_mark == "," else ","
    writer = csv.writer(file, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n", delimiter=apart)
    writer.writerow(names)
    count, records = 0, stored_form.Records(lambda sha256: entries.fetch(book.store, sha256))
    for case in cases:
        try:
            if case["decision"] and (wrong := records.fault(case["decision"])):
                raise book.fault_of(case["decision"], wrong)
            flat = row(book, case, people=people, notes=notes)
        except StoreError as fault:
            book.passed_over[case["number"]] = fault.what.rstrip(".")
            continue
        writer.writerow([_written(cell(flat[name]), decimal_mark) for name in names])
        count += 1
    return count


def _written(value, decimal_mark):
    return str(value).replace(".", decimal_mark) if isinstance(value, float) and decimal_mark != "." else value


def data(book: "Casebook", case: Mapping[str, Any], *, people: bool = False, notes: bool = False) -> dict[str, Any]:
    """One case of `Casebook.overview` as JSON data: its history, and the decision record that stands, held against what
    the history says of it; StoreError.
    """
    private = private_in(case["history"])
    words = shown_of(case["history"], people=people)
    history = []
    for entry in case["history"]:
        entry_data = {
            "entry": entry.number,
            "kind": entry.kind,
            "at": entry.at,
            "by": words.name(entry.by),
            "body": words.body(entry),
            "record_sha256": entry.record,
            "knowledge_sha256": entry.knowledge,
            "digest": entry.digest,
        }
        held = private.get(entry.number)
        if held is not None and (people if entry.kind in ("person", "fitting") else notes):
            entry_data["private"] = held
        history.append(entry_data)
    decision = case["decision"]
    record = book.record(decision) if decision else None
    told_record = stored_form.named(record, words.name(record.case.id)).data if record else None
    return {"number": case["number"], "history": history, "record": told_record}


def _signed(text, words):
    how, _, who = text.partition(" by ")
    return f"{how} by {words.name(who)}" if who else text


def _shown_answer(answer):
    ends = f", {_shown(answer['low'])} to {_shown(answer['high'])}" if "low" in answer else ""
    return _shown(answer["value"]) + ends


def _shown(value):
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(value)
    return f"{value:.9g}" if isinstance(value, float) else str(value)
