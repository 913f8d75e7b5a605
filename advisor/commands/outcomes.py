"""What became of what was sold: how often it slipped or came back, by kit, facing, fitter and rule.

Each rate with its 90 % interval and how many were heard of. A rate is of those that answered: who is content does not
call, so ask everybody (advisor case due). Rules: those that fired in decisions whose clutch slipped or came back more
often than the rest, first.

example:
  advisor outcomes
  advisor outcomes --by fitter --json
  advisor outcomes --by facing --picture outcomes.svg
"""

import json
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from ..knowledge import disk
from ..knowledge.sentences import wrap
from . import opening

if TYPE_CHECKING:
    from ..learning.rates import GroupRates

#: Rules shown; the rest part nothing.
RULES_SHOWN = 12


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("--casebook", metavar="FILE", help="the casebook; default is the one in your data folder")
    parser.add_argument("--by", choices=("kit", "facing", "fitter", "rule"), help="only this grouping")
    parser.add_argument("--picture", metavar="FILE", help="slip rates with their intervals, as SVG (needs --by)")
    opening.add_replace(parser)
    opening.add_output(parser)
    opening.add_sources(parser)


def run(arguments: Namespace) -> int:
    """The exit code 0; InputError for a picture of nothing."""
    from ..errors import InputError
    from ..learning import rates

    with opening.book_of(arguments, write=False) as book:
        sales = rates.sold_and_heard(book)
    groups = (arguments.by,) if arguments.by else rates.GROUPS
    by_group = {group: rates.rates_by(group, sales) for group in groups}
    if arguments.picture:
        if not arguments.by or not by_group[arguments.by]:
            raise InputError(
                "there is nothing to draw.", remedy="Name one grouping with --by, and write outcomes down."
            )
        text = rates.picture(f"Outcomes by {arguments.by}", by_group[arguments.by][:40])
        disk.deliver(arguments.picture, text, replace=arguments.replace, option="--picture")
    everything = rates.all_rates(sales)
    if arguments.json:
        data = {group: [_data(row) for row in rows] for group, rows in by_group.items()}
        opening.say_json(json.dumps({"all": _data(everything), **data}, sort_keys=True, indent=2, ensure_ascii=False))
        return 0
    width = opening.width()
    if not sales:
        opening.say("Nothing is written down as sold.")
        return 0
    opening.say(wrap(rates.in_words(everything), width))
    for group, rows in by_group.items():
        opening.say(f"\nBy {group}")
        shown = rows[:RULES_SHOWN] if group == "rule" else rows
        for row in shown:
            opening.say(wrap(rates.in_words(row), width, "  ", "    "))
        if len(rows) > len(shown):
            opening.say(f"  and {len(rows) - len(shown)} more")
    if few := rates.too_few_heard(everything):
        opening.say(wrap(few, width))
    return 0


def _data(row: "GroupRates") -> dict[str, object]:
    return {
        "name": row.name,
        "sold": row.sold,
        "answered": row.answered,
        "slipped": row.slips.count,
        "slip_rate": [round(value, 4) for value in (row.slips.low, row.slips.share, row.slips.high)],
        "returned": row.returns.count,
        "return_rate": [round(value, 4) for value in (row.returns.low, row.returns.share, row.returns.high)],
    }
