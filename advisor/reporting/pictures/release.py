"""Pictures of the release: load against travel with stop and over-stroke, and the pedal on a scale people know."""

from ...knowledge.quantities import convert
from ...mechanics.release import bearing_travel
from ..sheets.blocks import Drawing
from ..sheets.dimensions import stop_is_the_floor
from ..sheets.page import Page
from .plot import DASHDOT, DASHED, DOTTED, FILL, GREY, INK, Picture, drawn


@drawn
def release(page: Page) -> Drawing | None:
    """Release load against bearing travel; positions that stand on an assumption are left out, and named."""
    load = page.figure_value("bearing_load_n")
    needed, allowed = page.figure_value("bearing_travel_needed_mm"), page.field_value("bearing_travel_max")
    available = page.fact_value("bearing_travel_available")
    if load is None or needed is None or page.assumed_behind("bearing_travel_needed_mm"):
        return None
    if page.assumed_behind("bearing_travel_available"):
        available = None
    picture = Picture("release", 3.2, page.wording.system)
    axes = picture.axes[0][0]
    end = max(value for value in (needed, allowed, available) if value is not None)
    rise = _rise(page, needed)
    height = picture.at(load, "N")
    axes.plot(
        [0, rise, min(end, allowed or end)],
        [0, height, height],
        color=INK,
        linewidth=1.8,
        label=picture.words("release load, shape drawn only"),
    )
    axes.axvline(needed, color=INK, linestyle=DOTTED, label=picture.words("clean release"))
    if allowed is not None:
        axes.axvline(allowed, color=INK, linestyle=DASHED, label=picture.words("most the kit stands"))
    if available is not None:
        axes.axvline(available, color=GREY, linestyle=DASHDOT, label=picture.words("pedal to the floor"))
        if allowed is not None and available > allowed:
            axes.axvspan(
                allowed,
                available,
                facecolor=FILL,
                edgecolor=GREY,
                hatch="xxxx",
                linewidth=0,
                label=picture.words("over-stroke"),
            )
    stop = _stop(page)
    if stop is not None:
        axes.plot(
            [stop, stop],
            [0, 1.1 * height],
            color=INK,
            linewidth=0.8,
            marker="v",
            markevery=[1],
            markersize=7,
            label=picture.words("stop, to begin from"),
        )
    axes.set_xlim(0, end * 1.08)
    axes.set_ylim(0, height * 1.25)
    picture.axis("x", axes, "bearing travel", unit="mm")
    picture.axis("y", axes, "load at the bearing", unit="N")
    picture.key(axes)
    alt = [
        "The bearing carries at most ",
        page.figure("bearing_load_n"),
        ". Clean release at ",
        page.figure("bearing_travel_needed_mm"),
        " of bearing travel",
    ]
    if allowed is not None:
        alt += [", the kit stands ", page.field("bearing_travel_max")]
    if available is not None:
        alt += [", the pedal brings ", page.fact("bearing_travel_available")]
    if stop is not None:
        alt += ["; a stop would stand at ", page.figure("pedal_stop_mm"), " of pedal travel"]
    caption = [
        "No load curve is on file: the height is the greatest load over the clutch's life, the rise is drawn "
        "straight over the travel in which the plates unload."
    ]
    if page.fact_value("bearing_travel_available") is not None and available is None:
        caption.append(" How far the pedal moves the bearing stands on something assumed and is not drawn: measure it.")
    return picture.block("Release load and travel", (*alt, "."), tuple(caption))


def _stop(page: Page):
    """Bearing travel in mm at which a stop lets the pedal rest; None where none is reckoned, or on assumptions."""
    stop, free, ratio = (
        page.figure_value("pedal_stop_mm"),
        page.fact_value("free_travel_used"),
        page.fact_value("overall_ratio"),
    )
    if None in (stop, free, ratio) or page.assumed_behind("pedal_stop_mm") or stop_is_the_floor(page):
        return None
    travel = bearing_travel(
        pedal_travel=convert(stop, "mm", "m"),
        free_travel=convert(free, "mm", "m"),
        overall_ratio=ratio,
        loss_share=page.fact_value("stroke_loss") or 0.0,
    )
    return convert(float(travel), "m", "mm")


def _rise(page: Page, needed):
    unloading = page.figure_value("clamp_travel_mm")
    return needed / 2 if unloading is None else min(unloading, needed)


@drawn
def pedal(page: Page) -> Drawing | None:
    """The pedal of this clutch beside the one the driver knows and the heaviest they accept."""
    force = page.figure_value("pedal_force_n")
    marks = [("this clutch", force, page.figure("pedal_force_n"))] if force is not None else []
    for word, name in (("the factory clutch", "factory_pedal_force"), ("the most you accept", "pedal_force_limit")):
        if page.fact_value(name) is not None:
            marks.append((word, page.fact_value(name), page.fact(name)))
    if len(marks) < 2 or force is None:
        return None
    picture = Picture("pedal", 0.38 * len(marks) + 0.7, page.wording.system)
    axes = picture.axes[0][0]
    for place, (_, value, piece) in enumerate(marks):
        own = place == 0
        x = picture.at(value, "N")
        axes.barh(place, x, height=0.5, facecolor=FILL if own else "white", edgecolor=INK, hatch="////" if own else "")
        axes.text(
            x + 0.015 * picture.at(max(each for _, each, _ in marks), "N"), place, picture.words(piece), va="center"
        )
    axes.set_yticks(range(len(marks)), [picture.words(word) for word, *_ in marks])
    axes.invert_yaxis()
    axes.margins(x=0.18)
    picture.axis("x", axes, "force of the foot on the pedal", unit="N")
    alt = (
        "Pedal force: ",
        *(part for word, _, piece in marks for part in (f"{word} ", piece, "; ")),
        "measured with the pedal down.",
    )
    return picture.block("The pedal beside the one you know", alt)
