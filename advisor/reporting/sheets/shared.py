"""What all sheets share: head, foot, cautions, prices, words for stock."""

from collections.abc import Iterable

from ...explaining.beside import in_stock, why_behind
from ...explaining.declined import not_on_file
from .blocks import Blank, Block, Paragraph, Parts, Piece, Pieces, Section, bullets, paragraph, pieces, section, table
from .page import Page

INVENTED = "Invented shop, invented cars and kits: a demonstration. Choose no real clutch from it."
HASHES = ("rules_sha256", "kits_sha256", "platforms_sha256", "parts_sha256", "shop_sha256")


def head(page: Page) -> tuple[Paragraph, ...]:
    """Car, case, date to fill in, and whether any of it is invented."""
    case = page.record.case
    car = page.title(case.platform) if case.platform else not_on_file(page.record)
    blocks = [paragraph("Car: ", car, ". Case: ", page.name(case.id, "case", "id"), ". Date: ", Blank("date"), ".")]
    shop = page.record.shop
    if shop is not None:
        shop_line = (
            page.name(shop.name, "shop", "name"),
            ", ",
            page.name(shop.rules_version, "shop", "rules_version"),
            ".",
        )
        blocks.append(paragraph(*shop_line))
    if page.invented:
        blocks.append(paragraph(INVENTED, kind="warning"))
    blocks += measure_first(page)
    for place, change in enumerate(case.changed):
        at = ("case", "changed", place)
        now, then = (page.recorded(change.fact, *at, side) for side in ("after", "before"))
        blocks.append(
            paragraph(
                "Changed after a result was told, so this goes to the shop lead: ",
                page.label(change.fact),
                ", ",
                now,
                " now, ",
                then,
                " then.",
                kind="warning",
            )
        )
    return tuple(blocks)


def measure_first(page: Page) -> list[Paragraph]:
    """What has to be measured before the pick may be ordered, since it hangs on estimates."""
    if page.pick_id is None:
        return []
    kit = page.record.kits[page.pick_id]
    words: list[Parts] = []
    musts = {name for name, requirement in page.record.requirements.items() if requirement.level == "must"}
    for place, stands in enumerate(kit.stand_ins):
        if stands.measured_first(musts):
            at = ("kits", page.kit_index(kit.id), "stand_ins", place, "measure")
            words += ["; " if words else "", page.label(stands.field), ": ", page.name(stands.measure, *at)]
    if not words:
        return []
    lead = "Measure before it is ordered, because its maker does not print it and it is only estimated here: "
    return [paragraph(lead, *words, kind="warning")]


def foot(page: Page) -> tuple[Paragraph, ...]:
    """What the sheet was made from, and who has the last word."""
    known = page.record.knowledge
    hashes: list[Parts] = []
    for name in (name for name in HASHES if name in known):
        hashes += [", " if hashes else "", name.partition("_")[0], " ", page.name(known[name][:12], "knowledge", name)]
    return (
        paragraph(
            "What the makers of car and clutch say, local rules and the judgement of a professional come before "
            "this sheet.",
            kind="note",
        ),
        paragraph(
            "Made by program ",
            page.name(page.record.made_by.program, "made_by", "program"),
            " from ",
            *hashes,
            ".",
            kind="note",
        ),
    )


def _cautions(page: Page, wanted):
    """Cautions of the decision, those on safety first; ``wanted`` of the topic of the rule that gave each."""
    return [
        ("Safety: " if caution.safety else "", page.name(caution.text, "cautions", place, "text"))
        for place, caution in enumerate(page.record.cautions)
        if wanted(page.worded.rules[caution.rule].topic)
    ]


def mend_first(page: Page) -> Section | None:
    """What the present clutch's trouble says should be looked at or mended before anything is bought; None without."""
    items = _cautions(page, lambda topic: topic == "diagnosis")
    return section("mend-first", "Before you buy", bullets(items)) if items else None


def caution_list(page: Page, apart: bool = False) -> Section:
    """Every caution of the decision; ``apart``: without those that `mend_first` shows."""
    items = _cautions(page, lambda topic: not (apart and topic == "diagnosis"))
    if not items:
        return section("cautions", "Cautions", paragraph("None beyond the makers' own."))
    return section("cautions", "Cautions", bullets(items))


def contradiction_list(page: Page) -> Section | None:
    """Answers that cannot all be true, or None: with what is done about each."""
    entries: list[Parts] = []
    for place, clash in enumerate(page.record.contradictions):
        at = ("contradictions", place)
        readings = [page.name(text, *at, "readings", index) for index, text in enumerate(clash.readings)]
        sides = [piece for reading in readings for piece in (reading, " ")]
        taken: list[Parts] = [
            piece
            for index, taken in enumerate(clash.harder if clash.decided_by else ())
            for piece in (
                "; " if index else " ",
                page.label(taken.fact),
                " ",
                page.recorded(taken.fact, *at, "harder", index, "value"),
            )
        ]
        closing: Parts
        if taken:
            closing = ("As was insisted on, the harder reading decides:", *taken, ".")
        elif clash.undersizes:
            closing = ("The clutch could come out too small, so nothing is sold over it. ", page.question(clash.ask))
        else:
            closing = ("Worth asking again: ", page.question(clash.ask))
        entries.append((*sides, page.name(clash.because, *at, "because"), " ", *closing))
    return section("contradictions", "Answers that cannot all be true", bullets(entries)) if entries else None


def price_rows(page: Page) -> list[tuple[Parts, Piece]]:
    """Rows of the kit, every required part, and the total."""
    fields = page.fields(page.picked)
    currency = fields.get("currency")
    rows: list[tuple[Parts, Piece]] = [
        (page.title(page.picked), page.money(fields.get("price"), currency, f"kit/{page.pick_id}/price"))
    ]
    for place, item in enumerate(page.record.setup.parts):
        if item.level != "required":
            continue
        title: Parts = (
            page.name(item.title, "setup", "parts", place, "title")
            if item.title
            else (
                page.name(item.kind.replace("_", " "), "setup", "parts", place, "kind"),
                ", none on file for this car: to be priced",
            )
        )
        rows.append((title, page.money(item.price, item.currency, f"record/setup/parts/{place}/price")))
    total = page.figure_value("total_price")
    if total is not None:
        rows.append(
            ("all that must go with it, together", page.money(total, currency, f"figure/{page.pick_id}/total_price"))
        )
    return rows


def near_equals(page: Page) -> tuple[Block, ...]:
    """Blocks with the kits that come near the pick: what differs, what is on the shelf, why each stands behind."""
    blocks: list[Block] = []
    for place, near in enumerate(page.record.near_equals):
        rows: list[tuple[Parts, Parts, Parts]] = [
            (
                page.label(step.figure),
                page.recorded(step.figure, "near_equals", place, "differences", at, "pick"),
                page.recorded(step.figure, "near_equals", place, "differences", at, "kit"),
            )
            for at, step in enumerate(near.differences)
        ]
        rows.append(("stock", in_stock(near, "pick"), in_stock(near, "kit")))
        blocks += [
            paragraph("Nearly the same: ", page.title(near.kit), ". ", why_behind(near)),
            table("This clutch and one nearly the same", ("what", "this clutch", "nearly the same"), rows),
        ]
    return tuple(blocks)


def stock_words(page: Page, kit: str) -> Pieces:
    """As "In stock: 2." or the days it takes."""
    fields = page.fields(kit)
    if fields.get("stock") and not page.counts:
        return ("In stock.",)
    if fields.get("stock"):
        return ("In stock: ", page.count(fields["stock"], f"kit/{kit}/stock"), ".")
    if fields.get("lead_time_days"):
        return ("Not in stock; it takes ", page.count(fields["lead_time_days"], f"kit/{kit}/lead_time_days"), " days.")
    return ("Not in stock.",)


def mood(items: Iterable[Parts]) -> Pieces:
    """Pieces with "or" between them."""
    out = []
    for place, item in enumerate(items):
        out += [" or " if place else "", item]
    return pieces(out) or ("anything else",)
