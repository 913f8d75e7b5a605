"""The lead's pages on how the catalogue stands and what became of what was sold, each with its pictures."""

from typing import Any

from flask import Blueprint, abort, g

from ..learning import rates
from ..shop import shelf, shelf_picture
from .access import LEAD, needs, site_of_request
from .showing import drawn, shown
from .workplace import Workplace

pages = Blueprint("shelf", __name__, url_prefix="/lead")
#: Groupings of what was sold that are drawn, and rows of each.
GROUPS, MOST_ROWS = ("kit", "facing", "fitter"), 40


def _cars(place: Workplace) -> list[shelf.OfCar]:
    """The catalogue over its usual callers, worked out once for the shop as its files stand."""
    cars: list[shelf.OfCar] = place.once("cars of the shelf", lambda: shelf.of_cars(place.decider))
    return cars


@pages.get("/shelf")
@needs(LEAD)
def on_the_shelf() -> Any:
    """What is never sold, what is always beaten, holes, ratings, stock."""
    place = site_of_request().mine()
    cars = _cars(place)
    return shown(
        "shelf.html",
        "How the catalogue stands",
        held_against=shelf.held_against(place.decider, cars),
        parts=shelf.shelf_of(place.decider, cars).titled(),
    )


@pages.get("/shelf.svg")
@needs(LEAD)
def shelf_drawn() -> Any:
    """Every car a line of torque, every kit a mark on it."""
    return drawn(shelf_picture.picture(_cars(site_of_request().mine())))


@pages.get("/outcomes")
@needs(LEAD)
def outcomes() -> Any:
    """How often what was sold slipped or came back."""
    site = site_of_request()
    with site.casebook(write=False) as book:
        sales = rates.sold_and_heard(book)
    with site.register() as register:
        register.did(g.person.name, "saw outcomes")
    everything = rates.all_rates(sales)
    return shown(
        "outcomes.html",
        "What became of what was sold",
        everything=rates.in_words(everything) if sales else "",
        too_few=rates.too_few_heard(everything),
        groups=[(group, [rates.in_words(row) for row in rates.rates_by(group, sales)]) for group in GROUPS],
    )


@pages.get("/outcomes/<group>.svg")
@needs(LEAD)
def outcomes_drawn(group: str) -> Any:
    """Slip rates with their intervals."""
    if group not in GROUPS:
        abort(404)
    with site_of_request().casebook(write=False) as book:
        rows = rates.rates_by(group, rates.sold_and_heard(book))
    if not rows:
        abort(404)
    return drawn(rates.picture(f"Outcomes by {group}", rows[:MOST_ROWS]))
