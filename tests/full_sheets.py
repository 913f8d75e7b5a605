"""The long counts of the sheets; `rows` is called by tests/full.py and gives (what, how many, result)."""

from advisor.reporting.sheets import sheet
from advisor.reporting.sheets.blocks import Number, walk

from .reporting import made
from .reporting.test_assumed import stands_on_something_assumed
from .reporting.test_readers import ABOUT_OTHERS
from .reporting.tracing import Sheet

SYSTEMS = ("si", "trade")


def cases():
    """Names of every shipped case."""
    return sorted(path.stem for path in (made.ROOT / "scenarios" / "cases").glob("*.yaml"))


def _result(faults):
    return "all agree" if not faults else f"FAILED: {len(faults)}, first {faults[0]}"


def digits(names):
    """Every digit on every sheet of every case, in both systems of units, traced to where it says it comes from."""
    faults, sheets, numbers = [], 0, 0
    for name in names:
        for audience in made.AUDIENCES:
            for system in SYSTEMS:
                walked = Sheet(made.html(name, audience, system), name, system, made.document(name, audience, system))
                faults += [f"{name} {audience} {system}: {fault}" for fault in walked.walk()]
                sheets, numbers = sheets + 1, numbers + walked.numbers
        made.html.cache_clear()
        made.document.cache_clear()
    return [
        ("sheets walked for the source of every digit", sheets, _result(faults)),
        ("numbers on them", numbers, _result(faults)),
    ]


def lengths(names):
    """Every length on every customer's and fitter's sheet stands on nothing assumed."""
    faults, count = [], 0
    for name in names:
        for audience in ("customer", "fitter"):
            for _, part in walk(made.document(name, audience, drawn=False)):
                if isinstance(part, Number) and part.unit == "mm":
                    count += 1
                    if stands_on_something_assumed(made.record(name), part):
                        faults.append(f"{name} {audience}: {part.source}")
        made.document.cache_clear()
    return [("lengths on sheets to work by, none on something assumed", count, _result(faults))]


def addressed(names):
    """No customer's sheet speaks about the customer, or to whoever sells."""
    faults, count = [], 0
    for name in names:
        told = " ".join(sheet.sheet(made.record(name), made.words(), "customer").split())
        count += 1
        faults += [f"{name}: {found[0]}" for found in [ABOUT_OTHERS.findall(told)] if found]
    return [("customers' sheets, none about the customer", count, _result(faults))]


def printed(names):
    """Every case's customer and fitter sheet as PDF twice, the same bytes."""
    faults, count = [], 0
    for name in names:
        for audience in ("customer", "fitter"):
            first, again = (sheet.sheet(made.record(name), made.words(), audience, "pdf") for _ in range(2))
            count += 1
            if first != again or not first.startswith(b"%PDF-"):
                faults.append(f"{name} {audience}")
    return [("PDFs printed twice, byte for byte", count, _result(faults))]


def rows():
    """(what, how many, result)."""
    names = cases()
    return [*digits(names), *lengths(names), *addressed(names), *printed(names[::5])]
