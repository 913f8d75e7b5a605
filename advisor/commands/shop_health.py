"""``advisor shop gaps``, ``measured`` and ``shelf``: what to measure next, what was, and how the catalogue stands."""

import argparse
import os
from typing import Any

from ..errors import InputError
from ..knowledge import disk
from ..knowledge.sentences import count
from . import opening

#: Gaps and lines of one kind that are shown.
SHOWN = 15


def add(actions: Any) -> None:
    """Both actions."""
    gaps = actions.add_parser("gaps", help="what to measure next, as a sheet for the fitter")
    gaps.add_argument("--car", metavar="ID", help="only for this car")
    gaps.add_argument("--most", type=int, default=5, metavar="COUNT", help="how many numbers to choose (default 5)")
    gaps.add_argument("--casebook", metavar="FILE", help="the casebook whose cases count (default: the shop's)")
    opening.add_sources(gaps)
    gaps.set_defaults(act=run_gaps)
    measured = actions.add_parser("measured", help="write down what was measured of a kit or a car")
    measured.add_argument("record", metavar="ID", help="the kit or car")
    measured.add_argument("readings", nargs="+", metavar="FIELD=VALUE", help="as in release_load=1860 N")
    measured.add_argument("--by", default="", metavar="WHO", help="who measured it")
    opening.add_sources(measured)
    measured.set_defaults(act=run_measured)
    shelf = actions.add_parser("shelf", help="how the catalogue stands: what is never sold, holes, ratings")
    shelf.add_argument("--out", metavar="FILE.svg", help="draw it as well")
    opening.add_replace(shelf)
    opening.add_sources(shelf)
    shelf.set_defaults(act=run_shelf)


def run_gaps(arguments: argparse.Namespace) -> int:
    """0, whatever is missing."""
    from ..explaining.layout import wrap
    from ..explaining.made_from import about_sentence
    from ..shop import gaps, measured, measuring

    decider = opening.open_decider(arguments)
    cars = [car for car in decider.shop.platforms if arguments.car in (None, car.id)]
    if arguments.car and not cars:
        decider.shop.platform(arguments.car)  # raises, and names the nearest
    cases, whose = _cases(arguments, decider, cars)
    gaps_met = gaps.gaps_of(decider, cases, most=max(1, arguments.most))
    if decider.shop.about:
        opening.say(about_sentence(decider.shop.about, decider.knowledge.edition))
    opening.say(f"What to measure next, over {count(gaps_met.cases, *whose[0])}{whose[1]}")
    if not gaps_met.gaps:
        opening.say("Nothing is missing that a verdict hangs on.")
        return 0
    wording, width = decider.shop.wording(decider.knowledge), opening.width()
    in_all = sum(gap.minutes for gap in gaps_met.first)
    opening.say(f"The {len(gaps_met.first)} numbers that unlock most for the time they take, {in_all} minutes in all")
    for place, gap in enumerate(gaps_met.first, 1):
        share = int(100 * gap.verdicts / gaps_met.verdicts)
        named = f" ({wording.title(gap.of)})" if wording.title(gap.of) != gap.of else ""
        opening.say(wrap(f"{place}. {gap.of}{named}: {wording.label(gap.field)}", width, "", "   "))
        opening.say(wrap(measuring.how(gap.field, decider.knowledge), width, "   ", "   "))
        reading_line = f"About {gap.minutes} minutes; {share} % of what is open hangs on it. Reading: ____________"
        opening.say(wrap(reading_line, width, "   ", "   "))
        # Not broken: it is typed as it stands.
        opening.say(f'   advisor shop measured {gap.of} "{measured.as_typed(gap.field, decider.knowledge)}" --by WHO')
    opening.say("All of them, by what hangs on each a minute")
    for gap in gaps_met.gaps[:SHOWN]:
        mark = ", estimated until then" if gap.estimated else ""
        hangs = f"{gap.verdicts} in {count(gap.cases, 'case')}"
        reading_line = f"{gap.of}: {wording.label(gap.field)}, {gap.minutes} min: {hangs}{mark}"
        opening.say(wrap(reading_line, width, "  ", "    "))
    if len(gaps_met.gaps) > SHOWN:
        opening.say(f"  and {len(gaps_met.gaps) - SHOWN} more")
    return 0


def _cases(arguments, decider, cars):
    """(cases, (what one and several are called, what is said behind it)): those of the casebook on these cars, else
    callers that such cars usually have.
    """
    from ..casebook import stored_form
    from ..casebook.book import Casebook
    from ..errors import AdvisorError
    from ..shop.usual_callers import usual_callers

    path, ids, kept, none = opening.casebook_of(arguments), {car.id for car in cars}, [], "the casebook has none"
    if path is not None and os.path.exists(path):
        try:
            with Casebook(path, write=False) as book:
                for case in book.overview():
                    entry, _ = book.standing(case["number"])
                    case_told = stored_form.case_of(entry.body["case"])
                    kept += [case_told] if case_told.platform in ids else []
        except AdvisorError as error:
            kept, none = [], "the casebook cannot be read"
            opening.complain(str(error))
    if kept:
        return kept, (("case", "cases"), " of the casebook")
    usual = [case for car in cars for case in usual_callers(car, decider.knowledge)]
    return usual, (("caller", "callers"), f" such cars usually have ({none})")


def run_measured(arguments: argparse.Namespace) -> int:
    """0 once everything is written."""
    from ..knowledge import shop as shops
    from ..shop import measured

    folder = shops.find(arguments.shop)
    if folder is None:
        raise InputError("no shop is named to write it into.", remedy="Name one with --shop FOLDER.")
    knowledge = opening.open_content(arguments).knowledge
    for reading in arguments.readings:
        field, equals, value = reading.partition("=")
        if not equals or not value.strip():
            raise InputError(f"{reading!r} is no reading.", value=reading, remedy="Write it like release_load=1860 N.")
        file, before = measured.write(folder, arguments.record, field.strip(), value.strip(), arguments.by, knowledge)
        was = f" (was {before})" if before is not None else ""
        opening.say(f"{arguments.record}: {field.strip()} {value.strip()}{was}, in {file}.")
    return 0


def run_shelf(arguments: argparse.Namespace) -> int:
    """0, however the catalogue stands."""
    from ..explaining.made_from import about_sentence
    from ..shop import shelf, shelf_picture

    if arguments.out:
        if not arguments.out.endswith(".svg"):
            raise InputError("the picture is drawn as SVG.", value=arguments.out, remedy="Name a file ending in .svg.")
        disk.may_write(arguments.out, inputs=opening.read_from(arguments), replace=arguments.replace)
    decider = opening.open_decider(arguments)
    cars = shelf.of_cars(decider)
    shelf_read = shelf.shelf_of(decider, cars)
    if decider.shop.about:
        opening.say(about_sentence(decider.shop.about, decider.knowledge.edition))
    opening.say(f"{shelf.held_against(decider, cars)}.")
    for title, lines in shelf_read.titled():
        opening.say(f"{title}: {len(lines) or 'none'}")
        for line in lines[:SHOWN]:
            opening.say(f"  {line}")
        if len(lines) > SHOWN:
            opening.say(f"  and {len(lines) - SHOWN} more")
    if arguments.out:
        disk.deliver(arguments.out, shelf_picture.picture(cars), replace=arguments.replace)
        opening.say(f"Drawn: {arguments.out}.")
    return 0
