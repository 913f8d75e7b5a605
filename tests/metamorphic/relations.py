"""The relations by name: each takes a World, seeds and how many other stocks to make, and gives a `Tally`."""

from . import knowing, loads, partial, stock, wishes


def _more(what):
    return lambda world, seeds, stocks: loads.more_load(world, what, seeds)


def _looser(what):
    return lambda world, seeds, stocks: wishes.looser_wish(world, what, seeds)


ALL = {
    **{f"more {what}": _more(what) for what in loads.MORE},
    **{f"looser wish: {what.removesuffix('_tolerance')}": _looser(what) for what in wishes.WISHES},
    "a kit fewer that was not picked": lambda world, seeds, stocks: stock.a_kit_fewer(world, seeds, stocks),
    "a kit more that is worse in every respect": lambda world, seeds, stocks: stock.a_worse_kit_more(
        world, seeds, stocks
    ),
    "other prices and stock": lambda world, seeds, stocks: stock.other_prices(world, seeds, stocks),
    "a better-known answer": lambda world, seeds, stocks: knowing.better_known(world, seeds),
    "other units": lambda world, seeds, stocks: knowing.other_units(world, seeds),
    "other order of answers, records and rules": lambda world, seeds, stocks: knowing.other_order(world, seeds),
    "a field of the car left out": lambda world, seeds, stocks: partial.car_fields_left_out(world, seeds),
    "two fields of the car left out": lambda world, seeds, stocks: partial.car_fields_left_out(world, seeds, at_once=2),
    "a field of kits left out": lambda world, seeds, stocks: partial.kit_fields_left_out(world, seeds, stocks=stocks),
    "two fields of kits left out": lambda world, seeds, stocks: partial.kit_fields_left_out(
        world, seeds, at_once=2, stocks=stocks
    ),
}

#: For each relation a class that must have been met, or the run has shown nothing.
MUST_MEET = {
    "looser wish: pedal": "a kit where there was none",
    "looser wish: noise": "a kit where there was none",
    "looser wish: take_up": "a kit where there was none",
    "looser wish: budget": "the same kit",
    "a kit fewer that was not picked": "nothing changed, the kit passed",
    "a kit more that is worse in every respect": "nothing changed, the kit passed",
    "other prices and stock": "the same pick",
    "a better-known answer": "one of several picks in the band",
    "other units": "answers in another unit",
    "other order of answers, records and rules": "all the same",
    "a field of the car left out": "need_more_answers, named as a question",
    "two fields of the car left out": "need_more_answers, named as a question",
    "a field of kits left out": "no_kit_fits, named as to ask the maker",
    "two fields of kits left out": "no_kit_fits, named as to ask the maker",
}
