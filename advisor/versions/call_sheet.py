"""The lists of an impact as a sheet: for whoever rings, one block for each call, with room to write down what came."""

from ..reporting.sheets.blocks import Document, Quoted, paragraph, section, table
from .calls import Lists


def call_sheet(lists: Lists, called: str, *, people: bool) -> Document:
    """The `Document`; ``called``: what the rules are called; names and numbers only with ``people``."""
    head = paragraph(
        "Whom to ring, and who would be told something else, under ",
        _said(called),
        ". "
        + (
            "It holds names and phone numbers: keep it where nobody else reads it, and destroy it after."
            if people
            else ""
        ),
    )
    return Document("lead", ("Calls",), (head,), tuple(_sections(lists, people)), ())


def _said(text):
    return Quoted(text, "calls")


def _sections(lists, people):
    rows = []
    for call in lists.ring:
        who = [_said(f"{call.name}, {call.phone}")] if people else []
        rows.append([_said(str(call.case)), _said(call.on), *who, _said(f"{call.kit}, {call.car}"), _said(call.say)])
    columns = ["case", "sold", *(["caller"] if people else []), "clutch", "what to say"]
    none = paragraph("Nobody is to be rung.")
    yield section(
        "ring", ("To ring first, for safety: ", _said(str(len(rows)))), table("Calls", columns, rows) if rows else none
    )
    rows = []
    for other in lists.otherwise:
        who = [_said(f"{other.name}, {other.phone}")] if people else []
        day = f"{'sold' if other.sold else 'told'} {other.on}"
        texts = [_said(text) for text in (other.was, other.becomes, other.why or "not told apart")]
        rows.append([_said(str(other.case)), _said(day), *who, *texts])
    columns = ["case", "when", *(["caller"] if people else []), "was", "would be", "by which change"]
    none = paragraph("Nobody else would be told another kit.")
    title = ("Would be told something else: ", _said(str(len(rows))))
    yield section("otherwise", title, table("Told something else", columns, rows) if rows else none)
