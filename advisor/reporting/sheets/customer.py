"""The sheet a customer gets: two pages that say what, for how much, how it feels, what to watch and what to do next.

What is asked for less often is folded away: it opens on a screen, and stands in the plain text.
"""

from collections.abc import Callable, Mapping
from typing import Any

from ...deciding.decision_record import NoFit, RecordedAssumption
from ...deciding.outcomes import MORE_ANSWERS, NO_KIT, RECOMMENDED
from ...explaining.card import by_weight
from ...explaining.priced_lines import priced_lines
from ...explaining.spoken_reasons import NOISE, TAKE_UP, pedal_beside
from ...knowledge.shop import About
from .around import rough_section, saving_section
from .blocks import Blank, Block, Document, Parts, Quoted, bullets, fold, paragraph, pieces, section, table
from .customer_more import more_section
from .page import Page
from .shared import contradiction_list, foot, head, mend_first, stock_words

SCALES = {"take_up_class": ("take-up", TAKE_UP), "noise_class": ("noise", NOISE)}
LOG_ROWS = 4
#: Assumptions that stand open, what decided, and cautions beside the weightiest ones on safety.
OPEN, DECIDED, WATCHED = 3, 2, 2


def customer(page: Page, pictures: Mapping[str, Callable[[Page], Any]], about: About | None = None) -> Document:
    """The `Document`; ``pictures``: name -> plot function (empty for plain text); ``about``: whose sheet it is."""
    record = page.record
    titles = {
        RECOMMENDED: "Your clutch",
        MORE_ANSWERS: "What we still need to know",
        NO_KIT: "No clutch on our list fits",
    }
    if record.outcome == RECOMMENDED:
        body = [
            mend_first(page),
            _pick(page, pictures),
            _price(page),
            _feel(page, pictures),
            _watch(page),
            _assumed(page),
            _next(page, about),
            contradiction_list(page),
            _order_list(page),
            _bedding(page),
            more_section(page, pictures),
        ]
    elif record.outcome == MORE_ANSWERS:
        body = [mend_first(page), _questions(page), contradiction_list(page), saving_section(page), rough_section(page)]
        body += [_assumed(page), _contact_only(page, about), _cautions(page)]
    else:
        body = [mend_first(page), _nothing(page), contradiction_list(page), rough_section(page), _assumed(page)]
        body += [_contact_only(page, about), _cautions(page)]
    return Document(
        "customer", pieces(titles[record.outcome]), head(page), tuple(part for part in body if part), foot(page)
    )


# --- what, and for how much


def _pick(page: Page, pictures):
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
    holds: Parts = ""
    if None not in (page.figure_value("capacity_working_nm"), page.fact_value("required_torque")):
        holds = (
            "Worn and warm it holds ",
            page.figure("capacity_working_nm"),
            "; your engine and use ask for ",
            page.fact("required_torque"),
            ".",
        )
    bar = pictures["bar"](page) if "bar" in pictures else None
    return section("pick", "What you get", paragraph(lead, kind="lead"), paragraph(holds) if holds else None, bar)


def _price(page: Page):
    lines = priced_lines(page.worded)
    if lines.total is None or lines.expected is None or lines.most is None:
        return section("price", "What it costs", paragraph("The price of this clutch is to be asked."))
    words: list[Parts] = [page.money(lines.total, lines.currency, "sum/total"), " for certain"]
    if lines.expected > lines.total:
        words += [
            ", likely ",
            page.money(lines.expected, lines.currency, "sum/likely"),
            " with what is needed as a rule",
        ]
    if lines.most > lines.expected:
        words += [
            ", up to ",
            page.money(lines.most, lines.currency, "sum/most"),
            " with what may turn up once it is apart",
        ]
    words += [". ", stock_words(page, page.picked), " The order list below names every part."]
    return section("price", "What it costs", paragraph(*words, kind="lead"))


def _heaviness_not_known(page: Page):
    """Whose number is missing: that of the car, or of the clutch's maker."""
    of_car = page.figure_value("bearing_load_n") is not None
    silent = ": a measure of this car's pedal is missing." if of_car else ": the maker gives no figure for it."
    return ("How heavy the pedal will be is not known", silent)


def _feel(page: Page, pictures):
    blocks: list[Block | None] = []
    force = page.figure_value("pedal_force_n")
    if force is None:
        blocks.append(paragraph(*_heaviness_not_known(page)))
    else:
        text: list[Parts] = ["The pedal takes ", page.figure("pedal_force_n"), " of push"]
        known = page.fact_value("factory_pedal_force")
        if known:
            text += [": ", pedal_beside(force, known), " (", page.fact("factory_pedal_force"), ")"]
        text += [". A bathroom scale under the foot would show ", page.scale_mark("pedal_force_n"), "."]
        blocks.append(paragraph(*text))
    take_up, noise = page.figure_value("take_up_class"), page.figure_value("noise_class")
    if take_up is not None:
        blocks.append(paragraph("It takes up ", TAKE_UP[int(take_up)], "."))
    if noise is not None:
        blocks.append(paragraph("Noise: ", NOISE[int(noise)], "."))
    given = page.advised.given_up
    if given:
        items = [page.failure(check, "pick", "given_up", place) for place, check in enumerate(given)]
        blocks += [paragraph("What you asked for and do not get:"), bullets(items)]
    return section("feel", "How it will feel", *blocks)


# --- what to watch


def _told(page: Page, wanted: Callable[[Any], bool]):
    """Cautions of the record, the weightiest first, as pieces; ``wanted`` of each `RecordedCaution`."""
    places = {id(caution): place for place, caution in enumerate(page.record.cautions)}
    return [
        page.name(caution.text, "cautions", places[id(caution)], "text")
        for caution in by_weight(page.record.cautions)
        if page.worded.rules[caution.rule].topic != "diagnosis" and wanted(caution)
    ]


def _first(page: Page):
    """Cautions that stand open: all on safety that must be known before buying, and the next weightiest."""
    ordered = [
        caution
        for caution in by_weight(page.record.cautions)
        if caution.audience != "fitter" and page.worded.rules[caution.rule].topic != "diagnosis"
    ]
    safety = [caution for caution in ordered if caution.safety and caution.weight == "before_buying"]
    others = [caution for caution in ordered if caution not in safety and caution.weight != "with_every_clutch"]
    return [*safety, *others[: max(1, WATCHED - len(safety))]]


def _watch(page: Page):
    first = _first(page)
    words = _told(page, lambda caution: caution in first)
    others = _told(page, lambda caution: caution not in first and caution.audience != "fitter")
    fitters = _told(page, lambda caution: caution not in first and caution.audience == "fitter")
    alone = all(item.who != "professional" for item in page.record.setup.fitted_by)
    return section(
        "watch",
        "What to watch",
        bullets(words) if words else paragraph("Nothing beyond what goes with every clutch."),
        fold("More to watch", bullets(others)) if others else None,
        fold("For whoever fits it", bullets(fitters), printed=alone) if fitters else None,
    )


def _cautions(page: Page):
    words = _told(page, lambda caution: True)
    return section("cautions", "Cautions", bullets(words)) if words else None


# --- what was assumed


def _assumed(page: Page):
    ordered = sorted(enumerate(page.record.assumptions), key=lambda pair: (not pair[1].matters, pair[0]))
    rows = [
        (
            page.label(assumed.fact),
            page.recorded(assumed.fact, "assumptions", place, "value"),
            _matters(page, assumed),
        )
        for place, assumed in ordered
    ]
    if not rows:
        return section(
            "assumed",
            "What we assumed",
            paragraph("Nothing: every question was answered, by you or by what is on file."),
        )
    columns = ("what", "taken as", "would another answer change the advice?")
    folded = rows[OPEN:]
    if all(matters == "no" for _, _, matters in folded):
        rest_title = "The rest of what we assumed; another answer would change nothing"
        rest = [pieces(label, ": ", value, ".") for label, value, _ in folded]
    else:
        rest_title = "The rest of what we assumed, and whether another answer would change the advice"
        rest = [pieces(label, ": ", value, "; changes it: ", matters, ".") for label, value, matters in folded]
    return section(
        "assumed",
        "What we assumed",
        table("Where nobody answered, we took", columns, rows[:OPEN]),
        fold(rest_title, bullets(rest), printed=False) if rest else None,
    )


def _matters(page: Page, assumed: RecordedAssumption) -> str:
    """Whether another value changes the advice, and how it is asked for: not of who cannot say, and not twice."""
    if not assumed.matters:
        return "no" if assumed.matters is False else "not recorded"
    if page.wording.knowledge.facts[assumed.fact].source != "asked":
        return "yes, we look it up"
    return "yes, tell us if you find out" if assumed.fact in page.record.case.unknown else "yes, please tell us"


# --- what to do


def _next(page: Page, about: About | None):
    items: list[Parts] = []
    span = page.record.span
    if span is not None and span.narrows:
        settles = span.narrows[0].fact
        asked: list[Parts] = ["Tell us, if you can: ", page.question(settles)]
        if settles in page.record.case.answers:  # answered, but not exactly: nobody is asked the same again
            asked = ["Not known exactly yet: ", page.label(settles), ". A measurement, or a document, would do."]
        if span.saves is not None:
            saved = page.money(span.saves, page.currency, "record/span/saves")
            asked += [" The answer could save you up to ", saved, ", or show that more is needed."]
        items.append(asked)
    reach = _reach(about)
    items.append(["Let us confirm the list below before anything is ordered", *([": ", *reach] if reach else []), "."])
    for place, item in enumerate(page.record.setup.fitted_by):
        items.append(["Who fits it: ", page.name(item.text, "setup", "fitted_by", place, "text")])
    items.append("Come back when it is bedded in, and at once when it slips, judders, smells or the pedal changes.")
    items.append("Ask again before the engine is tuned further, and before other tyres, use or another gearbox.")
    return section("next", "What to do next, and when to come back", bullets(items, "ordered"))


def _reach(about: About | None) -> list[Parts]:
    """The shop and how it is reached."""
    if about is None:
        return []
    contact = about.contact
    named = (("address", contact.address), ("phone", contact.phone), ("email", contact.email), ("web", contact.web))
    words: list[Parts] = [Quoted(about.name, "shop/name")]
    for name, text in named:
        if text:
            words += [", ", Quoted(text, f"shop/contact/{name}")]
    return words


def _contact_only(page: Page, about: About | None):
    reach = _reach(about)
    return section("next", "What to do next", paragraph("Ring or write to us: ", *reach, ".")) if reach else None


def _order_list(page: Page):
    lines = priced_lines(page.worded)
    rows: list[tuple[Parts, Parts]] = [
        (page.title(page.picked), page.money(lines.certain[0].price, lines.currency, f"kit/{page.picked}/price"))
    ]
    depend: list[tuple[Parts, Parts]] = []
    seen = {line.why for line in (*lines.certain, *lines.depend)}
    for place, item in enumerate(page.record.setup.parts):
        if item.level == "optional" or item.text not in seen:
            continue
        key = "title" if item.title else "kind"
        named = page.name((item.title or item.kind).replace("_", " "), "setup", "parts", place, key)
        price = page.money(item.price, item.currency, f"record/setup/parts/{place}/price")
        (rows if item.level == "required" else depend).append((named, price))
    if lines.total is not None:
        rows.append(("all of it", page.money(lines.total, lines.currency, "sum/total")))
    return section(
        "order",
        "Order list",
        table("Certain", ("item", "price"), rows),
        table("Only if the fitter finds it is needed", ("item", "price"), depend) if depend else None,
        paragraph("Labour, taxes and carriage are not in these prices unless your shop says so.", kind="note"),
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
        paragraph("Fitted on ", Blank("date of fitting"), " at ", Blank("distance on the clock when fitted"), "."),
        table("Bedding-in log", ("date", "distance on the clock", "how it was driven", "what was noticed"), rows),
        paragraph("Bedded in on ", Blank("date bedded in"), " at ", Blank("distance on the clock when bedded in"), "."),
    )


# --- no kit yet, or none


def _questions(page: Page):
    """What is still needed, each with how it can be found out."""
    return section(
        "questions",
        "Please tell us",
        paragraph(
            "Without these nothing can be sold safely. Each may be answered with a figure from a document, or measured."
        ),
        bullets([(page.question(name), *_how(page, name)) for name in page.record.asks], "ordered"),
    )


def _how(page: Page, name: str) -> tuple[Parts, ...]:
    how = page.how_to_find(name)
    return (" How to find out: ", how) if how else ()


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
