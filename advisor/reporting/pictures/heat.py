"""Plate temperatures over the starts and launches that the use is reckoned with."""

import numpy as np

from ...mechanics import heat_network
from ..sheets.blocks import Drawing, Parts
from ..sheets.page import Page
from .arguments import arguments
from .plot import DASHED, DOTTED, GREY, INK, SOLID, Picture, drawn


@drawn
def heat(page: Page) -> Drawing | None:
    """Flywheel, hottest floater and pressure plate over the schedule; None where an input is not known."""
    given = arguments(page, "hottest_flywheel_c", page.picked)
    if given is None:
        return None
    times = heat_network.schedule_times(**given) / 60
    courses = heat_network.schedule_temperatures(**given)
    picture = Picture("heat", 3.1, page.wording.system)
    axes = picture.axes[0][0]
    lines = [
        ("flywheel", courses[:, 0], SOLID, "hottest_flywheel_c"),
        ("pressure plate", courses[:, -1], DOTTED, "hottest_pressure_plate_c"),
    ]
    if courses.shape[1] > 2:
        # The hottest floater is the one with the highest peak, followed over the whole time.
        floaters = courses[:, 1:-1]
        lines.insert(
            1, ("hottest floater", floaters[:, int(np.argmax(floaters.max(axis=0)))], DASHED, "hottest_floater_c")
        )
    for word, course, line, _ in lines:
        axes.plot(
            times, picture.at(course, "degC"), color=INK, linestyle=line, linewidth=1.3, label=picture.words(word)
        )
    continuous = page.wording.knowledge.facings[page.field_value("facing")].numbers.get("continuous_temperature")
    if continuous is not None and continuous < 2 * courses.max():
        axes.axhline(
            picture.at(continuous, "degC"),
            color=GREY,
            linewidth=1.0,
            linestyle=(0, (1, 1)),
            label=picture.words("facing, for long"),
        )
    picture.axis("x", axes, "time", unit="min")
    picture.axis("y", axes, "temperature of the plate", unit="degC")
    picture.key(axes)
    alt: list[Parts] = ["Temperatures rise in steps with every start or launch and fall between. Highest: "]
    for place, (word, _, _, figure) in enumerate(lines):
        alt += [", " if place else "", f"{word} ", page.figure(figure)]
    counted = [
        (page.fact(name), words)
        for name, words in (
            ("traffic_starts", " starts in traffic"),
            ("hill_starts_counted", " starts on a hill"),
            ("launches", " launches"),
            ("shifts", " shifts"),
        )
        if page.fact_value(name)
    ]
    caption: list[Parts] = ["Reckoned with "]
    for place, (piece, words) in enumerate(counted):
        caption += [", " if place else "", piece, words]
    caption += [" a round; rounds: ", page.fact("rounds"), "; air in the housing at ", page.fact("housing_air"), "."]
    return picture.block("Plate temperatures", (*alt, "."), tuple(caption))
