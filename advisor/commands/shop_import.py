"""``advisor shop import``: a spreadsheet as it comes, looked at first and written as it was seen."""

import argparse
from typing import Any

from ..errors import InputError, StoreError
from ..explaining.layout import wrap
from ..knowledge.sentences import count
from . import opening

#: Lines of one kind that are shown; the rest is counted.
SHOWN = 20
#: Runs of rows with one fault that are named; the rest is counted.
SPANS = 8


def add(actions: Any) -> None:
    """The action and its options."""
    bring = actions.add_parser(
        "import",
        help="a spreadsheet as it comes",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        description="Reads a list (CSV, TSV, XLSX), says what it makes of it and what would change; writes nothing.\n"
        "With --write and the mark that was shown then, it writes exactly that. What is said about columns is kept\n"
        "with the supplier and need not be said again.\n\nexample:\n"
        '  advisor shop import kits dunmere.csv --shop our-shop --column "Klemmkr.=clamp_load"',
    )
    bring.add_argument("kind", choices=("kits", "platforms", "parts"), help="what is in it")
    bring.add_argument("file", metavar="FILE", help="the spreadsheet: CSV, TSV or XLSX")
    bring.add_argument("--supplier", metavar="NAME", help="whose list it is (default: from the file's name)")
    bring.add_argument("--layout", metavar="NAME", help="a public table of cars: eu-registrations, us-test-cars, ...")
    bring.add_argument("--sheet", metavar="NAME", help="the sheet, where the file has several")
    for option, of, text in (
        ("column", "HEADING=FIELD", "this column is that field"),
        ("unit", "HEADING=UNIT", "numbers of this column are in that unit"),
        ("decimal", "HEADING=MARK", "the decimal mark of this column, . or , (without HEADING= of all)"),
        ("same", "FIELD=VALUE", "what is the same in every row"),
        ("value", "FIELD:TEXT=CHOICE", "what a text stands for"),
        ("only", "HEADING=TEXT", "only rows with this text count; may be said several times"),
    ):
        bring.add_argument(f"--{option}", action="append", default=[], metavar=of, help=text)
    bring.add_argument("--leave-out", action="append", default=[], metavar="HEADING", help="this column is not needed")
    bring.add_argument("--leave-out-rest", action="store_true", help="nor is any other that is not known")
    bring.add_argument("--part", action="store_true", help="the list is not whole: what it leaves out is not gone")
    bring.add_argument("--write", metavar="MARK", help="write what was shown with this mark")
    opening.add_sources(bring)
    bring.set_defaults(act=run)
    taking = actions.add_parser("accept", help="a lead takes a draft of a car among the cars")
    taking.add_argument("car", metavar="ID", help="the draft")
    taking.add_argument("--by", default="", metavar="LEAD", help="the lead who accepts it")
    opening.add_sources(taking)
    taking.set_defaults(act=run_accept)


def run(arguments: argparse.Namespace) -> int:
    """0 looked at or written, 2 where something is asked or wrong."""
    from ..knowledge import shop as shops
    from ..knowledge.sources import UNNAMED
    from ..shop import mapping as mappings, taking_in

    folder = shops.find(arguments.shop)
    if folder is None:
        raise StoreError(
            "there is no shop to take the list into.",
            remedy="Name one with --shop FOLDER, or set one up: advisor shop new FOLDER.",
        )
    content = opening.open_content(arguments)
    if arguments.layout:
        return _open_cars(arguments, folder, content.knowledge)
    supplier = arguments.supplier or taking_in.supplier_of(arguments.file)
    held = mappings.read(mappings.place(folder, supplier), supplier)
    mapping = taking_in.with_said(
        held,
        columns=_pairs(arguments.column, "column"),
        units=_pairs(arguments.unit, "unit"),
        decimal=_decimal_marks(arguments.decimal),
        same=_pairs(arguments.same, "same"),
        values=_values(arguments.value),
        only={heading: tuple(texts) for heading, texts in _several(arguments.only).items()},
        left_out=arguments.leave_out,
    )

    seen = taking_in.look(
        arguments.file,
        arguments.kind,
        folder,
        content.shop or UNNAMED,
        content.knowledge,
        mapping,
        content.platforms,
        sheet=arguments.sheet,
        whole=not arguments.part,
        leave_out_rest=arguments.leave_out_rest,
    )
    mapping = seen.mapping
    if mapping != held:
        opening.say(f"Kept for the next list of {supplier}: {taking_in.remember(folder, mapping)}.")
    if arguments.write:
        if seen.listed.asked:
            _ask(seen)
            return 2
        files = taking_in.write(seen, folder, arguments.write)
        opening.say(f"Written: {', '.join(map(str, files))}.")
        _tell_bad(seen)
        return 2 if seen.faults else 0
    return _tell(seen)


def _open_cars(arguments, folder, knowledge):
    """Cars of a public table, as drafts."""
    from ..shop import open_cars, record_files

    if arguments.kind != "platforms":
        raise InputError("a public table of cars holds platforms.", remedy="Write: advisor shop import platforms FILE.")
    digest = record_files.sha256_of(arguments.file)
    units = _pairs(arguments.unit, "unit")
    drafted = open_cars.read_table(arguments.file, arguments.layout, knowledge, digest, units)
    opening.say(f"{count(len(drafted.drafts), 'car')}. {open_cars.layouts()[arguments.layout]['licence']}.")
    for why, rows in drafted.refused.items():
        opening.say(f"  {count(rows, 'row')} left out: {why}.")
    _lines("drafts", [f"{name}: {', '.join(sorted(draft.fields))}" for name, draft in drafted.drafts.items()])
    for fault in drafted.faults:
        opening.complain(str(fault))
    if arguments.write != digest[:8]:
        opening.say(f"Nothing is written yet. To keep them as drafts: the same command with --write {digest[:8]}")
        return 2 if drafted.faults else 0
    opening.say(
        f"{open_cars.keep(folder, drafted.drafts)} drafts written. A lead accepts them: advisor shop accept ID."
    )
    return 2 if drafted.faults else 0


def run_accept(arguments: argparse.Namespace) -> int:
    """0 once a draft stands among the cars."""
    from ..knowledge import shop as shops
    from ..shop import open_cars

    folder = shops.find(arguments.shop)
    if folder is None:
        raise StoreError("no shop is named.", remedy="Name one with --shop FOLDER.")
    leads = [person.name for person in shops.read(folder).of_role("lead")]
    if arguments.by not in leads:
        raise InputError(
            f"{arguments.by or 'nobody'} is no lead of this shop.",
            value=arguments.by,
            remedy=f"Say --by with one of {', '.join(leads) or '(none is named in shop.toml)'}.",
        )
    knowledge = opening.open_content(arguments).knowledge
    path, differs = open_cars.accept(folder, arguments.car, arguments.by, knowledge)
    opening.say(f"{arguments.car} stands in {path}.")
    for line in differs:
        opening.say(f"  {line}")
    return 0


def _tell(seen):
    listed, changes = seen.listed, seen.difference
    opening.say(
        f"List of {seen.supplier}, {seen.kind}: {count(len(listed.rows), 'row')} read, {len(listed.bad_rows)} not."
    )
    for line in listed.said:
        opening.say(wrap(line, opening.width(), "  ", "    "))
    known = [column for column in listed.columns if column.counts]
    opening.say("Columns")
    for column in known:
        unit = f", in {column.unit}" if column.unit else ""
        opening.say(f"  {column.letter:3}{column.heading[:36]:38}{column.path}{unit}")
    left = [column.heading for column in listed.columns if column.how == "left_out"]
    if left:
        opening.say(f"  left out: {', '.join(left)}")
    _ask(seen)
    _tell_bad(seen)
    if listed.asked:
        return 2
    opening.say(
        f"Against what is on file: {len(changes.new)} new, {len({record.id for record in changes.changed})} changed, "
        f"{changes.same} the same, {len(changes.gone)} gone."
    )
    _lines("new", [f"{name}: {fields.get('title', '')}" for name, fields in changes.new.items()])
    _lines(
        "changed", [f"{record.id}: {record.path} {_old(record.before)} -> {record.after}" for record in changes.changed]
    )
    _lines("gone (kept on file as discontinued)", changes.gone)
    _lines(
        "not taken, because the shop wrote it itself",
        [f"{record.id}: {record.path} is {record.before}, the list says {record.after}" for record in changes.kept],
    )
    if seen.mark:
        opening.say(f"Nothing is written yet. To write this: the same command with --write {seen.mark}")
    else:
        opening.say("There is nothing to write.")
    return 2 if seen.faults else 0


def _old(value):
    return "(nothing)" if value is None else value


def _lines(title, lines):
    if lines:
        opening.say(f"  {title}")
        for line in lines[:SHOWN]:
            opening.say(f"    {line}")
        if len(lines) > SHOWN:
            opening.say(f"    and {len(lines) - SHOWN} more")


def _ask(seen):
    if seen.listed.asked:
        from ..shop.trade_columns import trade_words

        opening.say("To be said first")
        for line in seen.listed.asked:
            opening.say(wrap(line, opening.width(), "  ", "    "))
        if any("FIELD" in line for line in seen.listed.asked):
            taken = {column.path for column in seen.listed.columns if column.counts}
            # Those that lists usually have; every other of the vocabulary may be named as well.
            names = [path for path in trade_words().columns_of(seen.kind) if path not in taken]
            opening.say(wrap(f"FIELD is usually one of {', '.join(names)}.", opening.width(), "  ", "    "))
        to_say = len(seen.listed.asked)
        things = "thing is" if to_say == 1 else "things are"
        opening.complain(f"the list is not taken: {to_say} {things} to be said first.")


def _tell_bad(seen):
    """Every fault once, with all the rows that have it."""
    alike: dict[tuple[str, str, str], list[Any]] = {}
    for fault in seen.faults:
        alike.setdefault((fault.what, fault.remedy, fault.where.file if fault.where else ""), []).append(fault)
    for (what, remedy, file), faults in alike.items():
        rows = sorted({fault.where.line for fault in faults if fault.where})
        if len(rows) > 1:
            opening.complain(f"{file}: rows {_rows(rows)}: {what} {remedy}".rstrip())
        else:
            opening.complain(str(faults[0]))
    if seen.listed.bad_rows and seen.faults:
        opening.complain(f"{len(seen.listed.bad_rows)} rows are not taken; mend them and read the list again.")


def _rows(numbers):
    """ "4 to 9, 12 and 3 more"."""
    spans: list[list[int]] = []
    for number in numbers:
        if spans and number == spans[-1][1] + 1:
            spans[-1][1] = number
        else:
            spans.append([number, number])
    texts = [f"{low}" if low == high else f"{low} to {high}" for low, high in spans]
    more = sum(high - low + 1 for low, high in spans[SPANS:])
    return ", ".join(texts[:SPANS]) + (f" and {more} more" if more else "")


def _pairs(texts, option):
    return {key: texts_[-1] for key, texts_ in _several(texts, option).items()}


def _several(texts, option="only"):
    pairs: dict[str, list[str]] = {}
    for text in texts:
        left, equals, right = text.rpartition("=")
        if not equals or not left.strip() or not right.strip():
            raise InputError(
                f"--{option} {text!r} is not of the form A=B.", value=text, remedy=f'Write it like --{option} "A=B".'
            )
        pairs.setdefault(left.strip(), []).append(right.strip())
    return pairs


def _decimal_marks(texts):
    """Heading, or "" for all -> mark."""
    from ..shop.numbers_in_columns import MARKS

    marks = dict(text.rpartition("=")[::2] for text in texts)
    for heading, mark in marks.items():
        if mark not in MARKS:
            raise InputError(
                f"{mark!r} is no decimal mark.", value=mark, remedy=f'Write --decimal "{heading}=." or "{heading}=,".'
            )
    return marks


def _values(texts):
    values: dict[str, dict[str, str]] = {}
    for left, right in _pairs(texts, "value").items():
        path, colon, text = left.partition(":")
        if not colon:
            raise InputError(f"--value {left!r} names no field.", remedy='Write it like --value "facing:XC=ceramic".')
        values.setdefault(path.strip(), {})[text.strip()] = right
    return values
