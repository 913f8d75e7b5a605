"""A sheet for customer, fitter or lead, as HTML, PDF or plain text, from one decision record.

Plain text needs nothing but the program; HTML and PDF need the extra ``sheets``. The same record, words and paper
give the same bytes.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from ...deciding.decision_record import DecisionRecord
from ...errors import InputError
from ...knowledge.shop import About
from ...knowledge.wording import Wording
from ..worksheets.working import Worked
from .blocks import Document
from .customer import SCALES, customer
from .fitter import fitter
from .lead import lead
from .page import Page
from .text import text

FORMATS = ("text", "html", "pdf")
PAPERS = ("a4", "letter")


def document(
    record: DecisionRecord | Mapping[str, object],
    wording: Wording,
    audience: str,
    *,
    pictures: Mapping[str, Callable[[Page], Any]] | None = None,
    worked: Sequence[Worked] = (),
    about: About | None = None,
    counts: bool = True,
) -> Document:
    """The `Document` of a sheet; ``pictures``: name -> function of a Page that draws, none for plain text.

    ``about``: the shop, whose contact stands on the customer's sheet; ``counts``: is it told how many are in stock?
    """
    scales = SCALES if audience == "customer" else ()
    page = Page(record, wording, guarded=audience != "lead", scales=scales, counts=counts)
    if audience == "fitter":
        return fitter(page, pictures or {}, worked)
    return customer(page, pictures or {}, about) if audience == "customer" else lead(page, pictures or {})


def sheet(
    record: DecisionRecord | Mapping[str, object],
    wording: Wording,
    audience: str,
    form: str = "text",
    *,
    paper: str = "a4",
    width: int = 80,
    worked: Sequence[Worked] = (),
    about: About | None = None,
) -> str | bytes:
    """The finished sheet: text for text and html, bytes for pdf.

    ``record``: a `DecisionRecord` or its JSON data; ``wording``: a `Wording` with the knowledge and shop it was made
    with; ``worked``: worksheets worked from readings. InputError where html or pdf lack their libraries.
    """
    if form == "text":
        return finished(document(record, wording, audience, worked=worked, about=about), form, width=width)
    try:
        from .html import pictures
    except ImportError as error:
        raise _missing(error) from None
    sheet_document = document(record, wording, audience, pictures=pictures(), worked=worked, about=about)
    return finished(sheet_document, form, paper=paper)


def finished(sheet_document: Document, form: str, *, paper: str = "a4", width: int = 80) -> str | bytes:
    """A `Document` as text, html (both text) or pdf (bytes); InputError where the last two lack their libraries."""
    if form == "text":
        return text(sheet_document, width)
    try:
        from .html import html
    except ImportError as error:
        raise _missing(error) from None
    page = html(sheet_document, paper)
    if form == "html":
        return page
    try:
        from .pdf import pdf
    except (ImportError, OSError) as error:
        raise _missing(error) from None
    return pdf(page)


def _missing(error):
    return InputError(
        f"a part that draws sheets is not installed ({str(error).splitlines()[0]}).",
        remedy="Install the extra: pip install 'least-clutch[sheets]'; PDF also needs the system's Pango. "
        "Or use --format text.",
    )
