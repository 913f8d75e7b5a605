"""Pictures of torque: demand against what the clutch holds, the driveline as a chain, where the doubt comes from."""

import numpy as np

from ...knowledge.quantities import convert
from ...mechanics import engine, uncertainty
from ..sheets.blocks import Drawing
from ..sheets.page import Page
from .arguments import arguments
from .plot import DASHED, FILL, GREY, INK, PALE, Picture, drawn

#: State -> (figure, figure of its spread, mark).
STATES = (
    ("new", "capacity_new_nm", "capacity_spread_new", "o"),
    ("bedded", "capacity_bedded_nm", "capacity_spread", "s"),
    ("hot", "capacity_hot_nm", "capacity_spread", "^"),
    ("worn", "capacity_worn_nm", "capacity_spread", "D"),
)


@drawn
def torque(page: Page) -> Drawing | None:
    """Torque demand over engine speed against what the clutch holds new, bedded, hot and worn; None where unknown."""
    wanted = [
        page.fact_value(name) for name in ("demand_torque", "demand_spread", "required_torque", "shift_speed_rpm")
    ]
    states = [state for state in STATES if None not in (page.figure_value(state[1]), page.figure_value(state[2]))]
    if None in wanted or not states:
        return None
    demand, spread, required, top = wanted
    picture = Picture("torque", 3.3, page.wording.system, columns=2, sharey=True, width_ratios=(1, 1))
    over, held = picture.axes[0]
    low = page.fact_value("start_speed_rpm") or top / 4
    _demand(picture, page, over, np.linspace(low, top, 61), demand, spread)
    at = picture.at(required, "N m")
    for axes in (over, held):
        axes.axhline(at, color=INK, linewidth=0.9, linestyle=DASHED)
    over.annotate(
        picture.words("must hold"),
        (top, at),
        xytext=(0, 3),
        textcoords="offset points",
        ha="right",
        va="bottom",
        zorder=6,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.8},
    )
    for place, (_, figure, spread_figure, mark) in enumerate(states):
        median = page.figure_value(figure)
        ends = uncertainty.band(median=median, spread=page.figure_value(spread_figure))
        held.plot([place, place], picture.at(ends, "N m"), color=INK, linewidth=3.5, solid_capstyle="butt", alpha=0.35)
        held.plot([place], [picture.at(median, "N m")], color=INK, marker=mark, markersize=6, markerfacecolor="white")
    _worn(picture, page, over, (low, top))
    held.set_xticks(range(len(states)), [picture.words(state[0]) for state in states], rotation=30)
    held.set_xlim(-0.6, len(states) - 0.4)
    held.set_title(picture.words("clutch holds"))
    over.set_title(picture.words("engine makes"))
    picture.axis("x", over, "engine speed", unit="rpm")
    picture.axis("y", over, "torque", unit="N m")
    over.set_ylim(bottom=0)
    alt = (
        "The engine's likely torque of ",
        page.fact("demand_torque"),
        " as a band over engine speed; the clutch must hold ",
        page.fact("required_torque"),
        ". It holds ",
        _series([(page.figure(figure), f" {word}") for word, figure, *_ in states]),
        ".",
    )
    caption = (
        "Bands hold nine cases in ten. The engine's torque curve is not on file: its peak is drawn over the "
        "whole range of "
        "speed, which is the careful side. The pale band is the worn clutch, carried across.",
    )
    return picture.block("What the engine makes and what the clutch holds", alt, caption)


@drawn
def bar(page: Page) -> Drawing | None:
    """One bar, what the clutch holds worn and warm, against one line, what it must hold; None where not known."""
    holds, needed = page.figure_value("capacity_working_nm"), page.fact_value("required_torque")
    if holds is None or needed is None:
        return None
    picture = Picture("bar", 1.25, page.wording.system)
    axes = picture.axes[0][0]
    axes.barh(0, picture.at(holds, "N m"), height=0.5, facecolor=FILL, edgecolor=INK)
    axes.axvline(picture.at(needed, "N m"), color=INK, linewidth=2)
    axes.set_yticks([0], [picture.words("it holds")])
    axes.set_xlim(left=0, right=1.15 * picture.at(max(holds, needed), "N m"))
    picture.axis("x", axes, "torque; the line is what it must hold", unit="N m")
    alt = ("It holds ", page.figure("capacity_working_nm"), "; it must hold ", page.fact("required_torque"), ".")
    return picture.block("What it holds and what it must hold", alt)


def _demand(picture, page: Page, axes, speeds, demand, spread):
    """The demand as a band: flat at the peak; with nitrous on top from its lowest speed on, as power over speed."""
    base = page.fact_value("engine_demand")
    shot, lowest = page.fact_value("nitrous_power"), page.fact_value("nitrous_speed_rpm")
    if base and shot and lowest and page.fact_value("nitrous_torque"):
        power = convert(shot, "kW", "W")
        at = convert(np.maximum(speeds, lowest), "rpm", "rad/s")
        middle = np.where(
            speeds < lowest, base, engine.torque_with_nitrous(torque=base, nitrous_power=power, nitrous_speed=at)
        )
    else:
        middle = np.full_like(speeds, demand)
    ends = uncertainty.band(median=middle, spread=spread)
    axes.fill_between(
        speeds,
        picture.at(ends[:, 0], "N m"),
        picture.at(ends[:, 1], "N m"),
        facecolor=FILL,
        edgecolor=GREY,
        hatch="////",
        linewidth=0,
    )
    axes.plot(speeds, picture.at(middle, "N m"), color=INK, linewidth=1.8)


def _worn(picture, page: Page, axes, speeds):
    """The band of the worn clutch, the least of the four, over the same speeds."""
    median, spread = page.figure_value("capacity_worn_nm"), page.figure_value("capacity_spread")
    if median is None or spread is None:
        return
    ends = picture.at(uncertainty.band(median=median, spread=spread), "N m")
    axes.fill_between(speeds, *ends, facecolor="#ededed", edgecolor=PALE, linewidth=0.8, zorder=0)
    axes.text(
        speeds[0] + 0.02 * (speeds[1] - speeds[0]),
        ends[1],
        picture.words("clutch, worn"),
        va="top",
    )


def _series(items):
    """Pieces with commas between them and "and" before the last."""
    out = []
    for place, item in enumerate(items):
        if place:
            out.append(" and " if place == len(items) - 1 else ", ")
        out.append(item)
    return tuple(out)


#: Link of the chain -> (fact or figure, whether it belongs to the kit).
LINKS = (
    ("engine makes", "demand_torque", False),
    ("clutch holds, worn and warm", "capacity_working_nm", True),
    ("clutch lets go at rest above", "static_capacity_nm", True),
    ("gearbox is rated", "gearbox_torque_rating", False),
    ("tyres spin in first gear at", "grip_torque", False),
    ("peak at the gearbox on a dump", "driveline_peak_nm", True),
)


@drawn
def chain(page: Page) -> Drawing | None:
    """The driveline from engine to tyres, each part with its limit at the clutch shaft."""
    links = []
    for word, name, of_kit in LINKS:
        value = page.figure_value(name) if of_kit else page.fact_value(name)
        if value is not None:
            links.append((word, value, page.figure(name) if of_kit else page.fact(name)))
    if len(links) < 3:
        return None
    picture = Picture("chain", 0.42 * len(links) + 0.7, page.wording.system)
    axes = picture.axes[0][0]
    longest = max(value for _, value, _ in links)
    for place, (word, value, piece) in enumerate(links):
        limit = not word.startswith(("engine", "peak"))
        axes.barh(
            place,
            picture.at(value, "N m"),
            height=0.55,
            facecolor="white" if limit else FILL,
            edgecolor=INK,
            hatch="" if limit else "////",
        )
        inside = value > 0.62 * longest
        x = picture.at(value, "N m")
        axes.text(
            x - 0.01 * picture.at(longest, "N m") if inside else x + 0.01 * picture.at(longest, "N m"),
            place,
            picture.words(piece),
            va="center",
            ha="right" if inside else "left",
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 1},
        )
    axes.set_yticks(range(len(links)), [picture.words(word) for word, *_ in links])
    axes.invert_yaxis()
    picture.axis("x", axes, "torque at the clutch", unit="N m")
    alt = ("From engine to tyres: ", _series([(f"{word} ", piece) for word, _, piece in links]), ".")
    caption = (
        "White bars are limits, hatched ones are loads. On a dump the least of clutch, wound-up inertia and "
        "tyres caps the peak.",
    )
    return picture.block("The driveline as a chain", alt, caption)


#: Source of doubt -> (figure whose calculation holds it, keyword there), None for the demand.
DOUBTS = (
    ("friction of the facing", "capacity_spread", "first_spread"),
    ("clamp load", "capacity_spread", "second_spread"),
    ("clamp load left when worn", "capacity_spread", "third_spread"),
    ("fade when hot", "capacity_spread", "fourth_spread"),
)


@drawn
def doubt(page: Page) -> Drawing | None:
    """Where the uncertainty of holding comes from, as shares that add up to the whole."""
    spread = page.fact_value("demand_spread")
    given = arguments(page, "capacity_spread", page.picked)
    if spread is None or given is None or not spread + sum(given[keyword] for _, _, keyword in DOUBTS):
        return None
    parts = [(word, given[keyword]) for word, _, keyword in DOUBTS] + [("torque the engine makes", spread)]
    whole = uncertainty.combined_spread(first_spread=page.figure_value("capacity_spread"), second_spread=spread)
    shares = sorted(
        ((100 * uncertainty.variance_share(part_spread=part, whole_spread=whole), word) for word, part in parts),
        reverse=True,
    )
    picture = Picture("doubt", 1.9, page.wording.system)
    axes = picture.axes[0][0]
    for place, (share, word) in enumerate(shares):
        axes.barh(
            place,
            share,
            height=0.55,
            facecolor=FILL if word.startswith("torque") else "white",
            edgecolor=INK,
            hatch="////" if word.startswith("torque") else "",
        )
    axes.set_yticks(range(len(shares)), [picture.words(word) for _, word in shares])
    axes.invert_yaxis()
    axes.set_xlim(0, 100)
    picture.axis("x", axes, "share of the uncertainty, per cent")
    alt = (
        "Most of the doubt comes from ",
        shares[0][1],
        ", then ",
        shares[1][1],
        ". The probability of holding, worn and warm, is ",
        page.figure("holding_probability"),
        ".",
    )
    caption = (
        "Hatched: what better knowledge of the engine's torque would take away. How the torque is known: ",
        page.fact("torque_route"),
        ".",
    )
    return picture.block("Where the uncertainty comes from", alt, caption)
