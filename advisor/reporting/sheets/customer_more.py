"""What is folded away at the end of a customer's sheet: why, how it feels, what it stands, and what else there is."""

from collections.abc import Callable, Mapping
from typing import Any, cast

from ...explaining.beside import kind_down
from ...explaining.spoken_reasons import NOISE, TAKE_UP
from .around import rough_section, wishes_section
from .blocks import Block, Fold, Parts, Section, bullets, fold, paragraph, section, table
from .page import Page
from .shared import mood, near_equals

FORM = {"full_face": "a full ring of it", "paddle": "paddles of it"}


def more_section(page: Page, pictures: Mapping[str, Callable[[Page], Any]]) -> Section:
    """The `Section`; ``pictures``: name -> plot function."""
    folds = [
        fold("Why this one", *_why(page), printed=False),
        fold("More on how it feels", *_feel_more(page, pictures), printed=False),
        fold("What it will stand, and what it will not", *_stands(page), printed=False),
        fold("One step down and one step up", *_steps(page), printed=False),
        fold("What would change this advice", *_changes(page), printed=False),
        _folded(wishes_section(page)),
        _folded(rough_section(page)),
    ]
    return section("more", "More, for who wants to know", *folds)


def _folded(held: Section | None) -> Fold | None:
    return fold(held.title, *held.blocks, printed=False) if held else None


def _why(page: Page) -> list[Block]:
    build = (
        "It has ",
        page.field("discs"),
        " disc" if page.field_value("discs") == 1 else " discs",
        " faced with ",
        page.field("facing"),
        " material, ",
        FORM[page.field_value("disc_form")],
        ", on a ",
        "sprung hub, which softens shocks."
        if page.field_value("hub") == "sprung"
        else "solid hub, which passes every shock on.",
    )
    reasons = [page.sentence(page.record.requirements[check.requirement].rule) for check in page.advised.because]
    return [paragraph(*build), paragraph("What decided it:"), bullets(list(dict.fromkeys(reasons)))]


def _feel_more(page: Page, pictures) -> list[Block | None]:
    blocks: list[Block | None] = [pictures["pedal"](page) if "pedal" in pictures else None]
    if page.figure_value("take_up_window_mm") is not None and not page.assumed_behind("take_up_window_mm"):
        window: list[Parts] = [
            "Between the first drag and moving off on a steep hill lie ",
            page.figure("take_up_window_mm"),
            " of pedal: what the foot has to play with",
        ]
        if page.figure_value("flat_window_mm") is not None:
            window += ["; on the flat it is ", page.figure("flat_window_mm")]
        blocks.append(paragraph(*window, "."))
    for caption, words, figure in (
        ("Take-up, from gentle to harsh", TAKE_UP, "take_up_class"),
        ("Noise, from quiet to loud", NOISE, "noise_class"),
    ):
        if page.figure_value(figure) is not None:
            blocks.append(_steps_of(page, caption, words, figure))
    return blocks


def _steps_of(page: Page, caption, words, figure):
    """A scale in words, with this clutch and the most that was accepted marked on it."""
    at = int(page.figure_value(figure))
    limits = [
        int(cast(float, posted.limit))
        for posted in page.record.requirements.values()
        if (posted.measure, posted.level, posted.compare) == (figure, "must", "at_most") and posted.limit is not None
    ]
    most = min(limits, default=None)
    rows = []
    for step, step_words in words.items():
        marks = ["this clutch"] if step == at else []
        marks += ["the most you accept"] if step == most else []
        rows.append((step_words, " and ".join(marks)))
    return table(caption, ("how it is", "where it stands"), rows)


def _stands(page: Page) -> list[Block]:
    will: list[Parts] = []
    if page.figure_value("capacity_working_nm") is not None:
        will.append(
            (
                "Worn and warm it holds ",
                page.figure("capacity_working_nm"),
                "; your engine makes about ",
                page.fact("demand_torque"),
                ".",
            )
        )
    if page.figure_value("holding_probability") is not None:
        will.append(
            (
                "With all that is known and not known, the chance that it holds is ",
                page.figure("holding_probability"),
                ".",
            )
        )
    if page.figure_value("hottest_plate_c") is not None:
        will.append(
            ("In the use you named its hottest plate reaches ", page.figure("hottest_plate_c"), ", within what it may.")
        )
    if page.field_value("max_speed_rpm") is not None:
        will.append(("Its maker allows engine speeds up to ", page.field("max_speed_rpm"), "."))
    will_not: list[Parts] = []
    new, required = page.figure_value("capacity_new_nm"), page.fact_value("required_torque")
    if new is not None and required is not None and new >= required:
        will.insert(1, ("Even before it is bedded in it holds ", page.figure("capacity_new_nm"), "."))
    elif new is not None:
        will_not.append(
            ("Full torque while it is new: before bedding in it holds ", page.figure("capacity_new_nm"), ".")
        )
    will_not += [
        "Holding the car on a hill with the clutch, or resting the foot on the pedal: either wears any clutch "
        "and its bearing.",
        "More torque than it was picked for: ask again before the engine is tuned further.",
        "Oil or grease on its facings.",
    ]
    return [paragraph("It will stand:"), bullets(will), paragraph("It will not stand:"), bullets(will_not)]


def _changes(page: Page) -> list[Block]:
    items: list[Parts] = []
    for place, assumed in enumerate(page.record.assumptions):
        if assumed.matters:
            tried = [
                page.recorded(assumed.fact, "assumptions", place, "others", index)
                for index in range(len(assumed.others))
            ]
            # Of what was taken for safety's sake nobody is told which answer would make it easier.
            request = (
                (": please tell us; we took the careful side.",)
                if assumed.worst
                else (": if it is ", *mood(tried), ".")
            )
            items.append((page.label(assumed.fact), *request))
    items.append("A stronger engine, other use, other tyres or another gearbox.")
    return [bullets(items)]


def _steps(page: Page) -> list[Block]:
    blocks: list[Block] = []
    down, up = page.record.next_down, page.record.next_up
    if down:
        blocks += [
            paragraph(_DOWN[kind_down(down.before_by)], page.title(down.kit), ". It does not do:"),
            bullets([page.failure(check, "next_down", "fails", place) for place, check in enumerate(down.fails)]),
        ]
    else:
        blocks.append(paragraph("There is no gentler clutch on our list for this car."))
    if up:
        rows = [
            (
                page.label(step.figure),
                page.recorded(step.figure, "next_up", "adds", place, "pick"),
                page.recorded(step.figure, "next_up", "adds", place, "kit"),
            )
            for place, step in enumerate(up.adds)
        ]
        blocks += [
            paragraph("One step stronger: ", page.title(up.kit), "."),
            table("This clutch and one step stronger", ("what", "this clutch", "one step stronger"), rows),
        ]
    else:
        blocks.append(paragraph("There is no stronger clutch on our list that passes."))
    return [*blocks, *near_equals(page)]


_DOWN = {
    "gentler one": "One step gentler: ",
    "cheaper one that feels the same": "One that feels the same and costs less: ",
    "one that feels the same": "One that feels the same: ",
}
