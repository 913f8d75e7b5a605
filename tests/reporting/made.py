"""Decision records and sheets for the tests, made once each."""

import functools
from pathlib import Path

from advisor.knowledge import load
from advisor.knowledge.shop import About, Contact
from advisor.reporting.sheets import html as marked_up, sheet
from tests import shipped

ROOT = Path(__file__).resolve().parents[2]
#: A pack with over-stroke, a factory clutch that is enough, a heavier single on half a thrust face, drag racing, a
#: concentric cylinder, a car that is not on file, too few answers, and nothing that fits.
CASES = (
    "pack-over-stroke",
    "stock-tired-clutch",
    "half-thrust-strong-single",
    "drag-never-bedded",
    "concentric-conversion",
    "not-on-file-measured",
    "answers-missing",
    "nothing-fits",
)
#: Those whose long page for the lead is looked at in the ordinary run; ``python -m tests.full sheets`` takes all.
OF_THE_LEAD = ("pack-over-stroke", "drag-never-bedded", "answers-missing", "nothing-fits")
#: Whose sheets they are.
SHOP = About("Demonstration shop", contact=Contact(address="1 Invented Lane", phone="000 000 000"))
#: Those of which no kit comes out.
NOTHING_PICKED = ("answers-missing", "nothing-fits")
AUDIENCES = ("customer", "fitter", "lead")
#: Pairs (case, audience) of the sheets that are looked at whole.
SHEETS = tuple(
    (name, audience) for name in CASES for audience in AUDIENCES if audience != "lead" or name in OF_THE_LEAD
)


@functools.cache
def content():
    """The shipped rules and invented shop."""
    return shipped.content()


def decider():
    """A Decider on the plain chainer."""
    return shipped.plain_decider()


def case(name):
    """A shipped case."""
    return load.case(ROOT / "scenarios" / "cases" / f"{name}.yaml", content().knowledge)


@functools.cache
def record(name):
    """The decision record of a shipped case."""
    return shipped.record(name).data


def words(system="si"):
    """Words of the shipped shop."""
    return decider().shop.wording(content().knowledge, system)


@functools.cache
def document(name, audience, system="si", drawn=True):
    """The Document of a sheet."""
    pictures = marked_up.pictures() if drawn else None
    return sheet.document(record(name), words(system), audience, pictures=pictures, about=SHOP)


@functools.cache
def html(name, audience, system="si"):
    """The HTML of a sheet."""
    return marked_up.html(document(name, audience, system))
