"""A looser wish: the pick gives up no more than before, a kit never becomes none, and it grows harsher only to clear a
concern.
"""

import random

from .tally import Tally
from .world import answered

TOLERANCES = {
    "pedal_tolerance": ("light", "moderate", "heavy"),
    "noise_tolerance": ("quiet", "some", "any"),
    "take_up_tolerance": ("smooth", "some_judder", "any"),
}
WISHES = ("pedal_tolerance", "noise_tolerance", "take_up_tolerance", "budget")


def pairs(world, what, seeds):
    """(narrow, wide) Judged of each seed."""
    narrow, wide = [], []
    for seed in seeds:
        pick = random.Random(f"{what} {seed}")
        case = world.caller(seed)
        if what == "budget":
            price = float(pick.choice((150, 250, 400, 600, 900, 1500, 2500)))
            low, high = price, pick.choice((price * 1.1, price * 2, None))
        else:
            low, high = sorted(pick.sample(TOLERANCES[what], 2), key=TOLERANCES[what].index)
        narrow.append(answered(case, **{what: low}))
        wide.append(answered(case, **{what: high}))
    return zip(*world.judged_in_groups([narrow, wide]), strict=True)


def looser_wish(world, what, seeds):
    """`Tally` of one wish."""
    tally = Tally()
    for seed, (narrow, wide) in zip(seeds, pairs(world, what, seeds), strict=True):
        tally.pairs += 1
        where = f"{what} {seed} ({narrow.case.id})"
        if narrow.pick is None:
            tally.count("no kit before" if wide.pick is None else "a kit where there was none")
        elif wide.pick is None:
            tally.wrong(f"{where}: {narrow.pick} becomes none")
        elif wide.concerns(wide.pick) > narrow.concerns(narrow.pick):
            tally.wrong(f"{where}: gives up {wide.concerns(wide.pick)} after {narrow.concerns(narrow.pick)}")
        elif wide.pick == narrow.pick:
            tally.count("the same kit")
        else:
            _another(tally, where, narrow, wide)
    return tally


def _another(tally, where, narrow, wide):
    place = wide.gentle_place
    if narrow.pick in wide.passes and place(wide.pick) < place(narrow.pick):
        tally.count("a gentler kit")
    elif wide.concerns(wide.pick) < narrow.concerns(narrow.pick):
        how = "harsher" if wide.harshness(wide.pick) > narrow.harshness(narrow.pick) else "stronger or dearer"
        tally.count(f"a {how} kit, clears {first_cleared_between(narrow, wide)}")
    else:
        tally.wrong(f"{where}: {wide.pick} instead of {narrow.pick}, with nothing cleared")


def first_cleared_between(narrow, wide):
    """Name of the first concern the pick of the one gives up and that of the other does not."""
    for name, before, after in zip(narrow.concern_names, narrow.concerns(narrow.pick), wide.concerns(wide.pick)):
        if before and not after:
            return name
    return "nothing"
