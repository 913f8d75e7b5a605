"""The kits that fit the car on a plane of torque margin against pedal force: pick, who passes, who fails and why."""

from ..sheets.blocks import Drawing
from ..sheets.kits import why
from ..sheets.page import Page
from .plot import DASHED, GREY, INK, Picture, drawn


@drawn
def plane(page: Page) -> Drawing | None:
    """The `Drawing`, or None where no kit has both numbers."""
    shown = [
        kit
        for kit in page.record.kits.values()
        if kit.fits and None not in (kit.figures.get("holding_margin"), kit.figures.get("pedal_force_n"))
    ]
    if not shown:
        return None
    picture = Picture("kits", 3.7, page.wording.system)
    axes = picture.axes[0][0]
    at = {kit.id: (kit.figures["holding_margin"], picture.at(kit.figures["pedal_force_n"], "N")) for kit in shown}
    _span(axes, *zip(*at.values()))
    marked = [at[kit.id] for kit in shown if kit.verdict != "failed"]
    lettered = _apart(axes, marked, {kit.id: at[kit.id] for kit in shown if kit.verdict == "failed"})
    for kit in shown:
        x, y = at[kit.id]
        if kit.verdict == "picked":
            axes.plot(x, y, linestyle="none", marker="*", markersize=15, color=INK, zorder=5)
        elif kit.verdict == "passes":
            axes.plot(x, y, linestyle="none", marker="o", markersize=6, color=INK, markerfacecolor="white", zorder=4)
        elif kit.verdict == "unjudged":
            axes.plot(x, y, linestyle="none", marker="x", markersize=6, color=GREY, zorder=3)
        else:
            across, up = lettered[kit.id]
            if (across, up) != (x, y):
                axes.plot([x, across], [y, up], color=GREY, linewidth=0.5, marker=".", markevery=[0], markersize=3)
            letter = picture.words((why(page, kit) or ("",))[0])
            axes.text(
                across,
                up,
                letter,
                ha="center",
                va="center",
                fontsize=8.5,
                color=INK,
                zorder=4,
                bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.4},
            )
    axes.axvline(1, color=INK, linewidth=0.9, linestyle=DASHED)
    limit = page.fact_value("pedal_force_limit")
    if limit is not None:
        axes.axhline(picture.at(limit, "N"), color=INK, linewidth=0.9, linestyle=DASHED)
    picture.axis("x", axes, "torque held over torque required")
    picture.axis("y", axes, "pedal force", unit="N")
    _key(picture, axes, shown)
    alt = (
        "Kits that fit the car, by torque held over torque required and by pedal force. ",
        _told(page),
        " The table of kits names each with its reason.",
    )
    caption = (
        "Left of the upright line a kit holds too little; above the level line its pedal is too heavy. Letters: ",
        "; ".join(f"{letter} {words}" for letter, words in _letters(page, shown)) or "none",
        ".",
    )
    return picture.block("The kits that fit the car", alt, caption)


#: Room a letter takes of the axes, across and up, and where it may move, in letters.
_LETTER = (0.026, 0.04)
_MOVES = sorted(
    ((right, up) for right in range(-6, 7) for up in range(-6, 7)), key=lambda move: (abs(move[0]) + abs(move[1]), move)
)


def _apart(axes, marked, letters):
    """Where each letter is written so that none covers another or a mark: as near its kit as there is room."""
    wide = _LETTER[0] * (axes.get_xlim()[1] - axes.get_xlim()[0])
    high = _LETTER[1] * (axes.get_ylim()[1] - axes.get_ylim()[0])
    taken, placed = list(marked), {}
    for name, (x, y) in sorted(letters.items(), key=lambda letter: (letter[1], letter[0])):
        spots = [(x + right * wide, y + up * high) for right, up in _MOVES]
        free = [
            spot
            for spot in spots
            if spot[1] > high / 2 and all(abs(spot[0] - a) >= wide or abs(spot[1] - b) >= high for a, b in taken)
        ]
        placed[name] = free[0] if free else (x, y)
        taken.append(placed[name])
    return placed


def _span(axes, across, up):
    """Room round all kits, with the line at one inside; letters alone would not make the axes reach them."""
    low, high = min(*across, 1.0), max(*across, 1.0)
    room = 0.06 * (high - low)
    axes.set_xlim(low - room, high + room)
    axes.set_ylim(0, 1.15 * max(up))


def _told(page: Page):
    if not page.pick_id:
        return ("None of them passes.",)
    return (
        "The pick, ",
        page.title(page.pick_id),
        ", stands at ",
        page.figure("holding_margin"),
        " and ",
        page.figure("pedal_force_n"),
        ".",
    )


def _letters(page: Page, shown):
    return sorted({why(page, kit) for kit in shown if kit.verdict == "failed"})


def _key(picture, axes, shown):
    verdicts = {kit.verdict for kit in shown}
    styles = (("picked", "*", INK, 11), ("passes", "o", "white", 6), ("unjudged", "x", GREY, 6))
    for verdict, mark, face, size in styles:
        if verdict in verdicts:
            words = picture.words({"picked": "pick", "passes": "passes", "unjudged": "not known"}[verdict])
            axes.plot(
                [], [], linestyle="none", marker=mark, markersize=size, color=INK, markerfacecolor=face, label=words
            )
    if "failed" in verdicts:
        axes.plot([], [], linestyle="none", color=GREY, label=picture.words("letter: fails, key below"))
    picture.key(axes)
