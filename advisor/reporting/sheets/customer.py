"""The sheet a customer gets: what to buy, what it costs, how it will feel, what it stands, how to bed it in."""

from collections.abc import Callable, Mapping
from typing import Any, cast

from ...deciding.decision_record import NoFit
from ...deciding.outcomes import MORE_ANSWERS, NO_KIT, RECOMMENDED
from ...explaining.beside import kind_down
from ...explaining.spoken_reasons import NOISE, TAKE_UP
from .around import rough_section, saving_section, wishes_section
from .blocks import Blank, Block, Document, Parts, bullets, paragraph, pieces, section, table
from .page import Page
from .shared import caution_list, contradiction_list, foot, head, mend_first, mood, near_equals, price_rows, stock_words

SCALES = {"take_up_class": ("take-up", TAKE_UP), "noise_class": ("noise", NOISE)}
FORM = {"full_face": "a full ring of it", "paddle": "paddles of it"}
LOG_ROWS = 8


def customer(page: Page, pictures: Mapping[str, Callable[[Page], Any]]) -> Document:
    """The `Document`; ``pictures`` maps names to plot functions (empty for plain text)."""
    record = page.record
    titles = {
        RECOMMENDED: "Your clutch",
        MORE_ANSWERS: "What we still need to know",
        NO_KIT: "No clutch on our list fits",
    }
    if record.outcome == RECOMMENDED:
        body = [
            mend_first(page),
            _pick(page),
            _price(page),
            _feel(page, pictures),
            _stands(page, pictures),
            _bedding(page),
            rough_section(page),
            _assumed(page),
            _changes(page),
            _steps(page),
            _given_up(page),
            wishes_section(page),
            saving_section(page),
        ]
    elif record.outcome == MORE_ANSWERS:
        body = [mend_first(page), _questions(page), saving_section(page), rough_section(page), _assumed(page)]
    else:
        body = [mend_first(page), _nothing(page), rough_section(page), _assumed(page)]
    body += [contradiction_list(page), caution_list(page, apart=True)]
    return Document(
        "customer", pieces(titles[record.outcome]), head(page), tuple(entry for entry in body if entry), foot(page)
    )


def _pick(page: Page):
    factory = page.field_value("factory")
    lead = (
        (
            "The clutch your car left the factory with is enough: ",
            page.title(page.picked),
            ". You do not need a stronger one.",
        )
        if factory
        else ("The least clutch that carries your car is the ", page.title(page.picked), ".")
    )
    discs = page.field_value("discs")
    build = (
        "It has ",
        page.field("discs"),
        " disc" if discs == 1 else " discs",
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
    return section(
        "pick",
        "What we suggest",
        paragraph(*lead, kind="lead"),
        paragraph(*build),
        paragraph("What decided it:"),
        bullets(list(dict.fromkeys(reasons))),
    )


def _price(page: Page):
    rows = price_rows(page)
    parts = page.record.setup.parts
    required = {item.part for item in parts if item.level == "required"} - {None}
    check = [
        (place, item) for place, item in enumerate(parts) if item.level != "required" and item.part not in required
    ]
    included = {
        "included": "A flywheel of its own is included.",
        "reuse": "Your car's own flywheel stays.",
        "needs": "It needs another flywheel, listed with the parts.",
    }.get(page.field_value("flywheel"))
    blocks: list[Block] = [
        paragraph("Sold as: ", page.field("sold_as"), ". ", included or "", " ", stock_words(page, page.picked)),
        table("What it costs", ("item", "price"), rows),
    ]
    if check:
        blocks += [
            paragraph("May be needed as well; the fitter tells once the old clutch is out:"),
            bullets(
                [
                    (
                        page.name(
                            item.title or item.kind.replace("_", " "),
                            "setup",
                            "parts",
                            place,
                            "title" if item.title else "kind",
                        ),
                        ", ",
                        page.money(item.price, item.currency, f"record/setup/parts/{place}/price"),
                    )
                    for place, item in check
                ]
            ),
        ]
    return section(
        "price",
        "What it costs and what is included",
        *blocks,
        paragraph("Labour, taxes and carriage are not in these prices unless your shop says so.", kind="note"),
    )


def _heaviness_not_known(page: Page):
    """Whose number is missing: that of the car, or of the clutch's maker."""
    told = "How heavy the pedal will be is not known"
    of_car = page.figure_value("bearing_load_n") is not None
    return (told, ": a measure of this car's pedal is missing." if of_car else ": the maker gives no figure for it.")


def _feel(page: Page, pictures):
    blocks: list[Block | None] = []
    force = page.figure_value("pedal_force_n")
    if force is None:
        blocks.append(paragraph(*_heaviness_not_known(page)))
    else:
        text = [
            "The pedal takes ",
            page.figure("pedal_force_n"),
            " of push. A bathroom scale under the foot would show ",
            page.scale_mark("pedal_force_n"),
            ".",
        ]
        known = page.fact_value("factory_pedal_force")
        if known is not None:
            text += [
                " With the factory clutch it is ",
                page.fact("factory_pedal_force"),
                " (",
                page.scale_mark("factory_pedal_force"),
                "): ",
                _beside(force, known),
                ".",
            ]
        blocks += [paragraph(*text), pictures["pedal"](page) if "pedal" in pictures else None]
    take_up, noise = page.figure_value("take_up_class"), page.figure_value("noise_class")
    if take_up is not None:
        window: tuple[Parts, ...] = ()
        if page.figure_value("take_up_window_mm") is not None and not page.assumed_behind("take_up_window_mm"):
            window = (
                " Between the first drag and moving off on a steep hill lie ",
                page.figure("take_up_window_mm"),
                " of pedal: what the foot has to play with",
            )
            flat = page.figure_value("flat_window_mm")
            if flat is not None:
                window += ("; on the flat it is ", page.figure("flat_window_mm"))
            window += (".",)
        blocks.append(paragraph("It takes up ", TAKE_UP[int(take_up)], ".", *window))
        blocks.append(_steps_of(page, "Take-up, from gentle to harsh", TAKE_UP, "take_up_class"))
    if noise is not None:
        blocks.append(paragraph("Noise: ", NOISE[int(noise)], "."))
        blocks.append(_steps_of(page, "Noise, from quiet to loud", NOISE, "noise_class"))
    return section("feel", "How it will feel", *blocks)


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


def _beside(force, known):
    share = force / known
    for most, words in (
        (0.9, "this clutch is lighter"),
        (1.05, "you will hardly notice a difference"),
        (1.25, "this clutch is somewhat heavier"),
        (1.6, "this clutch is clearly heavier"),
    ):
        if share <= most:
            return words
    return "this clutch is far heavier"


def _stands(page: Page, pictures):
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
    if page.figure_value("capacity_new_nm") is not None:
        will_not.append(
            ("Full torque while it is new: before bedding in it holds ", page.figure("capacity_new_nm"), ".")
        )
    will_not += [
        "Holding the car on a hill with the clutch, or resting the foot on the pedal: either wears any clutch "
        "and its bearing.",
        "More torque than it was picked for: ask again before the engine is tuned further.",
        "Oil or grease on its facings.",
    ]
    return section(
        "stands",
        "What it will stand, and what it will not",
        paragraph("It will stand:"),
        bullets(will),
        paragraph("It will not stand:"),
        bullets(will_not),
        pictures["torque"](page) if "torque" in pictures else None,
    )


def _bedding(page: Page):
    items = page.record.setup.bedding_in
    texts = [page.name(item.text, "setup", "bedding_in", place, "text") for place, item in enumerate(items)]
    if not texts:
        return section("bedding", "Bedding in", paragraph("Ask the maker of the clutch how it is bedded in."))
    rows = [
        tuple(Blank(word) for word in ("date", "distance on the clock", "how it was driven", "what was noticed"))
        for _ in range(LOG_ROWS)
    ]
    return section(
        "bedding",
        "Bedding in",
        bullets(texts),
        paragraph("Slipping, judder, a smell or a changed pedal: stop and ring the shop."),
        paragraph("Fitted on ", Blank("date of fitting"), " at ", Blank("distance on the clock when fitted"), "."),
        table("Bedding-in log", ("date", "distance on the clock", "how it was driven", "what was noticed"), rows),
        paragraph("Bedded in on ", Blank("date bedded in"), " at ", Blank("distance on the clock when bedded in"), "."),
    )


def _wanted(page: Page, fact: str) -> str:
    """How an assumption that matters is asked for: not of somebody who cannot say, and not twice."""
    if page.wording.knowledge.facts[fact].source != "asked":
        return "yes, we look it up"
    if fact in page.record.case.unknown:
        return "yes, tell us if you find out"
    return "yes, please tell us"


def _assumed(page: Page):
    rows = []
    for place, assumed in sorted(enumerate(page.record.assumptions), key=lambda pair: (not pair[1].matters, pair[0])):
        matters = {True: _wanted(page, assumed.fact), False: "no", None: "not recorded"}[assumed.matters]
        rows.append((page.label(assumed.fact), page.recorded(assumed.fact, "assumptions", place, "value"), matters))
    if not rows:
        return section(
            "assumed",
            "What we assumed",
            paragraph("Nothing: every question was answered, by you or by what is on file."),
        )
    return section(
        "assumed",
        "What we assumed",
        paragraph("Where nobody answered, we took:"),
        table("Assumptions", ("what", "taken as", "would another answer change the advice?"), rows),
    )


def _changes(page: Page):
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
    return section("changes", "What would change this advice", bullets(items))


def _steps(page: Page):
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
    return section("steps", "One step down and one step up", *blocks, *near_equals(page))


_DOWN = {
    "gentler one": "One step gentler: ",
    "cheaper one that feels the same": "One that feels the same and costs less: ",
    "one that feels the same": "One that feels the same: ",
}


def _given_up(page: Page):
    given = page.advised.given_up
    if not given:
        return section("given-up", "What you give up", paragraph("Nothing of what you asked for."))
    return section(
        "given-up",
        "What you give up",
        bullets(
            [
                (
                    page.sentence(page.record.requirements[check.requirement].rule),
                    " In figures: ",
                    page.failure(check, "pick", "given_up", place),
                )
                for place, check in enumerate(given)
            ]
        ),
    )


def _questions(page: Page):
    return section(
        "questions",
        "Please tell us",
        paragraph(
            "Without these nothing can be sold safely. Each may be answered with a figure from a document, or measured."
        ),
        bullets([page.question(name) for name in page.record.asks]),
    )


def _nothing(page: Page):
    no_fit = page.record.no_fit or NoFit()
    blocks: list[Block] = [
        paragraph(
            "No clutch on our list does all that is asked. The shop lead will look at it; do not buy a stronger "
            "one on chance.",
            kind="lead",
        )
    ]
    for conflict in no_fit.conflicts:
        wanted = [page.demand(page.record.requirements[name]) for name in conflict]
        blocks += [
            paragraph("These cannot be had together:" if len(conflict) > 1 else "This cannot be had:"),
            bullets(wanted),
        ]
    changes = [
        page.name(change["sentence"], "no_fit", "changes", place, "sentence")
        for place, change in enumerate(no_fit.changes)
    ]
    if changes:
        blocks += [paragraph("What would make one fit:"), bullets(changes)]
    return section("nothing", "Why none fits", *blocks)
