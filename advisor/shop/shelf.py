"""The health of a catalogue: kits that never pass, are always beaten, or are rated far above what they hold;
stock that no caller would be sold; holes on the ladder of a car.

Judged over the callers a car usually has (`usual_callers`), decided in bulk.
"""

import itertools
from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from ..deciding.decide import Decider
from ..deciding.verdicts import FAIL, UNKNOWN
from ..errors import AdvisorError
from ..knowledge.sentences import count
from .usual_callers import usual_callers

#: A rating this much above the torque computed stands far above it; a hole is a step this large from kit to kit.
RATED, HOLE = 1.25, 1.35


@dataclass
class OfCar:
    """What callers of one car came to. ``capacity``: kit -> bedded torque, N m; ``picked``, ``passed``: counts.

    ``refused_by``: kit -> what refuses it most often; ``beaten_by``: kit -> what is picked in its stead most often.
    """

    car: str
    callers: int = 0
    capacity: dict[str, float] = field(default_factory=dict)
    picked: Counter[str] = field(default_factory=Counter)
    passed: Counter[str] = field(default_factory=Counter)
    refused_by: dict[str, str] = field(default_factory=dict)
    beaten_by: dict[str, str] = field(default_factory=dict)
    rated: dict[str, float] = field(default_factory=dict)

    def holes(self) -> list[tuple[float, float]]:
        """(from, to) in N m between which nothing that may be picked stands."""
        stands = sorted(capacity for kit, capacity in self.capacity.items() if self.passed[kit])
        return [(low, high) for low, high in itertools.pairwise(stands) if high > HOLE * low]


def of_cars(decider: Decider) -> list[OfCar]:
    """An `OfCar` for every car on file whose callers can be decided, in order of id."""
    by_car = []
    for car in decider.shop.platforms:
        knowns = []
        for case in usual_callers(car, decider.knowledge):
            try:
                knowns.append(decider.gather(case)[1])
            except AdvisorError:
                continue
        if knowns:
            by_car.append(_of_car(decider, car, knowns))
    return by_car


def _of_car(decider, car, knowns):
    of_car = OfCar(car.id, len(knowns))
    try:
        batched = decider.batch.run(knowns, car, ask_first=False)
    except AdvisorError:
        return of_car
    kits = batched.kits
    capacity = batched.figures.column("capacity_bedded_nm")
    rating = batched.figures.column("rating_over_capacity")
    fits = batched.fits.any(axis=0)
    refusals: dict[int, Counter[str]] = {}
    for checked in batched.checks:
        if checked.requirement.level == "must":
            for place in map(int, np.flatnonzero(fits)):
                number = int(np.isin(checked.status[:, place], (FAIL, UNKNOWN)).sum())
                if number:
                    refusals.setdefault(place, Counter())[checked.requirement.id] += number
    for place in map(int, np.flatnonzero(fits)):
        kit = kits.ids[place]
        holds = _least(capacity, place)
        if holds is not None:
            of_car.capacity[kit] = holds
        of_car.passed[kit] = int(batched.passes[:, place].sum())
        of_car.picked[kit] = int((batched.picks == place).sum())
        if not of_car.passed[kit] and place in refusals:
            of_car.refused_by[kit] = refusals[place].most_common(1)[0][0]
        if of_car.passed[kit] and not of_car.picked[kit]:
            others = Counter(int(pick) for pick in batched.picks[batched.passes[:, place]] if pick >= 0)
            of_car.beaten_by[kit] = kits.ids[others.most_common(1)[0][0]] if others else ""
        over = _least(rating, place)
        if over is not None and over > RATED:
            of_car.rated[kit] = over
    return of_car


def _least(column, place):
    values = column.values[:, place if column.values.shape[1] > 1 else 0]
    known = column.known[:, place if column.known.shape[1] > 1 else 0]
    return float(values[known].min()) if known.any() else None


@dataclass(frozen=True)
class Shelf:
    """Lines about a catalogue, each list by its weight."""

    never: list[str]
    beaten: list[str]
    holes: list[str]
    rated: list[str]
    stock: list[str]

    def titled(self) -> tuple[tuple[str, list[str]], ...]:
        """Each list with its title."""
        return (
            ("Never sold to any of them", self.never),
            ("Always beaten by another", self.beaten),
            ("Holes on the ladder", self.holes),
            ("Rated far above what they are computed to hold", self.rated),
            ("Stock that none of them would be sold", self.stock),
        )


def held_against(decider: Decider, cars: list[OfCar]) -> str:
    """ "128 kits, held against 96 made-up callers with 8 cars"."""
    callers = count(sum(car.callers for car in cars), "made-up caller")
    return f"{count(len(decider.shop.kits), 'kit')}, held against {callers} with {count(len(cars), 'car')}"


def shelf_of(decider: Decider, cars: list[OfCar]) -> Shelf:
    """What the callers of all cars say of the catalogue."""
    passed: Counter[str] = Counter()
    picked: Counter[str] = Counter()
    for car in cars:
        passed.update(car.passed)
        picked.update(car.picked)
    records = {kit.id: kit.fields for kit in decider.shop.kits}
    never, beaten = [], []
    for kit in sorted(records):
        if records[kit].get("sold_as", "kit") != "kit":
            continue  # a half is sold to those who keep the other
        looked = [car for car in cars if kit in car.passed]
        if not looked:
            never.append(f"{kit}: fits no car whose callers could be decided")
        elif not passed[kit]:
            by = Counter(car.refused_by[kit] for car in looked if kit in car.refused_by)
            never.append(
                f"{kit}: no usual caller can have it, mostly for {by.most_common(1)[0][0] if by else 'nothing'}"
            )
        elif not picked[kit]:
            others = Counter(car.beaten_by[kit] for car in looked if car.beaten_by.get(kit))
            beaten.append(f"{kit}: passes for {passed[kit]} callers, and {_named(others)} is sold in its stead")
    holes = [f"nothing between {low:.0f} and {high:.0f} N m for {car.car}" for car in cars for low, high in car.holes()]
    rated = {kit: over for car in cars for kit, over in car.rated.items()}
    stock = []
    for kit in sorted(records):
        pieces, price = records[kit].get("stock"), records[kit].get("price")
        if pieces and not picked[kit] and records[kit].get("sold_as", "kit") == "kit":
            bound = f", {pieces * price:,.0f} {records[kit].get('currency', '')} bound" if price else ""
            stock.append((-(pieces * (price or 0)), f"{kit}: {pieces:.0f} in stock{bound}"))
    return Shelf(
        never,
        beaten,
        holes,
        [
            f"{kit}: rated {over:.2f} times the torque it is computed to hold"
            for kit, over in sorted(rated.items(), key=lambda rating: -rating[1])
        ],
        [line for _, line in sorted(stock)],
    )


def _named(others):
    return others.most_common(1)[0][0] if others else "another"
