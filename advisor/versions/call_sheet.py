"""The lists of an impact as a sheet: for whoever rings, one row for each call, with room to write down what came."""

from ..reporting.sheets.blocks import Blank, Document, Quoted, paragraph, section, table
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
        who = [_said(call.name), ", ", _said(call.phone), "; "] if people else []
        today = ("; would be sold today: ", _said(call.becomes)) if call.becomes else ()
        kit = (_said(f"{call.kit}, {call.car}"), *today)
        sold = ("Case ", _said(call.called), ", sold ", _said(call.on), ": ", *who, *kit)
        written = (
            Blank(f"day on which case {call.called} was rung"),
            " by ",
            Blank("who rang"),
            " ",
            Blank("what came"),
        )
        rows.append([sold, _said(call.say), written])
    columns = ["whom", "what to say", "rung on, by, and what came of it"]
    none = paragraph("Nobody is to be rung.")
    yield section(
        "ring", ("To ring first, for safety: ", _said(str(len(rows)))), table("Calls", columns, rows) if rows else none
    )
    rows = []
    for other in lists.otherwise:
        who = [_said(other.name), ", ", _said(other.phone)] if people else []
        day = f"{'sold' if other.sold else 'told'} {other.on}"
        whom = ("Case ", _said(other.called), ", ", _said(day), *([": ", *who] if who else []))
        rows.append([whom, *(_said(text) for text in (other.was, other.becomes, other.why or "not told apart"))])
    columns = ["whom", "was", "would be", "by which change"]
    none = paragraph("Nobody else would be told another kit.")
    title = ("Would be told something else: ", _said(str(len(rows))))
    yield section("otherwise", title, table("Told something else", columns, rows) if rows else none)
