"""The sub-commands of ``advisor case`` for what came of an advice: sold, fitted, returned."""

from collections.abc import Callable, Mapping
from typing import Any

from ..casebook import sales
from . import opening


def add(action: Callable[..., Any]) -> None:
    """The sub-commands; ``action`` adds one, as in `commands.case`."""
    sold = action("sold", "what was sold", run_sold, write=True, case=True, output=False)
    sold.add_argument("--kit", metavar="KIT", help="id of the kit, the factory clutch's too")
    sold.add_argument(
        "--reason", default="", help="why another kit than the pick, or what was wrong with a sale before"
    )
    fitted = action("fitted", "when, by whom and at what kilometres", run_fitted, write=True, case=True, output=False)
    fitted.add_argument("--fitter", choices=sales.FITTERS, help="who fitted it")
    fitted.add_argument("--who", default="", metavar="NAME", help="the fitter's name; kept apart, erasable")
    returned = action("returned", "that the kit came back", run_returned, write=True, case=True, output=False)
    fitted.add_argument("--reason", default="", help="why it is withdrawn")
    returned.add_argument("--reason", default="", help="why it came back")
    for kept_parser in (fitted, returned):
        kept_parser.add_argument("--km", metavar="READING", help="what the car had run, as 84000")
    for command_parser in (sold, fitted, returned):
        command_parser.add_argument("--on", metavar="DATE", help="the day, as 2026-01-31 (default: today)")
        command_parser.add_argument("--by", default="", metavar="WHO", help="who writes it down")
        command_parser.add_argument("--withdraw", action="store_true", help="it never happened; needs --reason")


def run_sold(arguments: Any) -> int:
    """Write a sale down."""
    from ..errors import InputError

    if arguments.withdraw:
        return _withdraw(arguments, "sale")
    if not arguments.kit:
        raise InputError("what was sold is not said.", remedy="Give the kit with --kit.")
    with opening.book_of(arguments) as book:
        number = book.number_of(arguments.id)
        called = book.called(number)
        entry = sales.sell(book, number, arguments.kit, on=arguments.on, reason=arguments.reason, by=arguments.by)
        judged = book.record(next(kept for kept in book.history(number) if kept.number == entry.body["of"])).kits
    opening.say(f"Case {called}: {arguments.kit} sold on {entry.body['on']}.")
    refused = judged[arguments.kit].refused_by
    if refused:
        failed = ", ".join(check.requirement for check in refused)
        opening.say(f"It does not meet what this car must have ({failed}): tell the shop lead.")
    elif not entry.body["as_advised"]:
        opening.say("It is not the kit advised; the reason is kept with it.")
    return 0


def run_fitted(arguments: Any) -> int:
    """Write a fitting down."""
    if arguments.withdraw:
        return _withdraw(arguments, "fitting")
    with opening.book_of(arguments) as book:
        number = book.number_of(arguments.id)
        called = book.called(number)
        entry = sales.fit(
            book,
            number,
            on=arguments.on,
            km=arguments.km,
            fitter=arguments.fitter,
            who=arguments.who,
            by=arguments.by,
        )
        kit = sales.sold_on(book, number).kit
    opening.say(f"Case {called}: {kit} fitted on {entry.body['on']}{_at(entry)}.")
    return 0


def run_returned(arguments: Any) -> int:
    """Write a return down."""
    if arguments.withdraw:
        return _withdraw(arguments, "return")
    with opening.book_of(arguments) as book:
        number = book.number_of(arguments.id)
        called = book.called(number)
        entry = sales.take_back(
            book, number, reason=arguments.reason, on=arguments.on, km=arguments.km, by=arguments.by
        )
        kit = sales.sold_on(book, number).kit
    opening.say(f"Case {called}: {kit} came back on {entry.body['on']}{_at(entry)}.")
    return 0


def _withdraw(arguments, kind):
    with opening.book_of(arguments) as book:
        number = book.number_of(arguments.id)
        called = book.called(number)
        sales.withdraw(book, number, kind, reason=arguments.reason, by=arguments.by)
    opening.say(f"Case {called}: the {kind} is withdrawn; what was written down stays in the history.")
    return 0


def _at(entry):
    km = entry.body["km"]
    return f" at {km:.0f} km" if km is not None else ""


def in_short(flat: Mapping[str, Any]) -> str:
    """What came of a case in a few words, from a row of `casebook.exporting`."""
    sale_text = f"sold {'' if flat['sold_as_advised'] else flat['sold'] + ' instead '}{flat['sold_on']}"
    sale_text += f", fitted {flat['fitted_on']}" if flat["fitted_on"] else ""
    return sale_text + (f", came back {flat['returned_on']}" if flat["returned_on"] else "")
