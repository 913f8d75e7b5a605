"""The sheet a fitter works from: parts, section, measurements in order with blanks and limits, work, first start."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from ...deciding.outcomes import RECOMMENDED
from ..worksheets.working import Worked
from .blocks import Blank, Document, Parts, Section, bullets, paragraph, pieces, section, table
from .dimensions import measure_rows, stop_is_the_floor
from .page import Page
from .readings import readings
from .shared import caution_list, contradiction_list, foot, head
from .steps import phases

WHO = {
    "professional": "A professional workshop.",
    "experienced_home": "Somebody who has done this job before, with the maker's figures at hand.",
    "first_time": "Somebody doing it for the first time, with help at hand.",
}


def fitter(page: Page, pictures: Mapping[str, Callable[[Page], Any]], worked: Sequence[Worked] = ()) -> Document:
    """The `Document`; ``worked``: worksheets worked from readings kept with the case."""
    if page.record.outcome != RECOMMENDED:
        nothing = section(
            "nothing",
            "Nothing to fit yet",
            paragraph("The case is not decided: there is no clutch to fit. Ask the shop."),
        )
        return Document(
            "fitter",
            pieces("Fitting sheet"),
            head(page),
            tuple(block for block in (nothing, contradiction_list(page), caution_list(page)) if block),
            foot(page),
        )
    body: list[Section | None] = [
        _before(page),
        contradiction_list(page),
        caution_list(page),
        _parts(page),
        _section(page, pictures),
        *_work(page),
        _stroke(page, pictures),
        *readings(page, worked),
        _signed(),
    ]
    return Document(
        "fitter",
        pieces("Fitting sheet: ", page.title(page.picked)),
        head(page),
        tuple(block for block in body if block),
        foot(page),
    )


def _before(page: Page):
    who = [
        (WHO[item.who or ""], " ", page.name(item.text, "setup", "fitted_by", place, "text"))
        for place, item in enumerate(page.record.setup.fitted_by)
    ]
    return section(
        "who",
        "Who fits it, and whose word counts",
        bullets(who) if who else None,
        paragraph(
            "The instructions of the makers of car and clutch, local rules and licensed practice come before "
            "this sheet, torques included.",
            kind="warning",
        ),
    )


def _parts(page: Page):
    rows: list[tuple[Parts, Parts, Parts, Parts, list[Parts], Parts]] = []
    of_part: dict[str, int] = {}
    for place, item in enumerate(page.record.setup.parts):
        at = ("setup", "parts", place)
        why = page.name(item.text, *at, "text")
        if item.part in of_part:
            # Asked for twice, for two reasons: it is one part, at the level named first, which is the stricter.
            rows[of_part[item.part]][4].extend((" ", why))
            continue
        if item.part:
            of_part[item.part] = len(rows)
        title = (
            page.name(item.title, *at, "title") if item.title else page.name(item.kind.replace("_", " "), *at, "kind")
        )
        number = page.name(item.part, *at, "part") if item.part else "none on file, ask"
        stock = page.count(item.stock, "record/" + "/".join(map(str, (*at, "stock")))) if item.stock else "none"
        rows.append((title, item.level, number, stock, [why], Blank("fitted")))
    kit = (
        page.title(page.picked),
        "required",
        page.name(page.pick_id, "pick", "kit"),
        page.count(page.field_value("stock") or 0, f"kit/{page.pick_id}/stock"),
        "The clutch itself.",
        Blank("fitted"),
    )
    return section(
        "parts",
        "Parts",
        paragraph("Required goes in; check is replaced unless like new; optional is worth having."),
        table("Parts list", ("part", "level", "number", "in stock", "why", "fitted"), [kit, *rows]),
    )


def _section(page: Page, pictures):
    if "section" not in pictures:
        return section("section", "Dimensions", measure_rows(page))
    figure, parts, measures = pictures["section"](page)
    return section("section", "The arrangement and where to measure", figure, parts, measures)


def _work(page: Page):
    for phase in phases(page):
        yield section(phase.id, phase.title, *phase.blocks)


def _stroke(page: Page, pictures):
    """Where the stop stands: a figure only where nothing behind it is assumed, else how to find it."""
    blocks = [pictures["release"](page) if "release" in pictures else None]
    if page.figure_value("pedal_stop_mm") is None:
        blocks.append(
            paragraph(
                "Where a stop would stand is not known. Find clean release at the pedal and work it out on the "
                "worksheet below."
            )
        )
    else:
        assumed = sorted(page.assumed_behind("pedal_stop_mm"))
        if assumed:
            named: list[Parts] = []
            for name in assumed:
                named += [", " if named else "", page.label(name)]
            blocks.append(
                paragraph(
                    "No figure is printed for the stop, because it would stand on something assumed: ",
                    *named,
                    ". Measure: find clean release at the pedal, then work the stop out on the worksheet below.",
                    kind="warning",
                )
            )
        else:
            blocks.append(paragraph(*_stop_on_file(page)))
    blocks.append(
        paragraph(
            "A stop may never keep the start switch from closing. Adjust the switch by the maker's "
            "instructions; never bridge it.",
            kind="warning",
        )
    )
    return section("stroke", "Stroke and pedal stop", *blocks)


def _stop_on_file(page: Page):
    """What the figures on file say about a stop: whether one is needed, and where it would stand."""
    words = ["By the figures on file clean release leaves ", page.figure("release_reserve_mm"), " of pedal"]
    over = page.figure_value("over_stroke_mm")
    if over:
        words += [" and the floor is past what the kit stands: a stop is needed, at "]
    elif stop_is_the_floor(page):
        return (*words, ", which is little: no stop has room. What is measured at the pedal counts.")
    else:
        words.append(
            ". No stop is needed; where one is wanted it would stand at " if over == 0 else ", and a stop stands at "
        )
    return (
        *words,
        page.figure("pedal_stop_mm"),
        " of pedal travel from rest. Take it as where to begin; what is measured at the pedal counts.",
    )


def _signed():
    return section(
        "signed",
        "Signed off",
        table(
            "Who did it",
            ("what", "name", "date"),
            [
                (what, Blank(f"name, {what}"), Blank(f"date, {what}"))
                for what in ("fitted by", "measurements checked by", "bedding in checked by")
            ],
        ),
    )
