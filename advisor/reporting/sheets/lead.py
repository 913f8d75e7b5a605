"""The sheet a lead files: every reason, requirement, kit, assumption, fact and firing, with the pictures."""

from collections.abc import Callable, Mapping
from typing import Any

from ...deciding.outcomes import IN_WORDS
from ...deciding.recorded_setup import SET_UP_PARTS
from ...explaining.beside import kind_down
from .around import close_calls_section, rough_section, span_section, wishes_section
from .blocks import Block, Document, Parts, Piece, bullets, paragraph, pieces, section, table
from .kits import kits_table
from .page import Page
from .reasons import reasons_tree
from .shared import caution_list, contradiction_list, foot, head, near_equals


def lead(page: Page, pictures: Mapping[str, Callable[[Page], Any]]) -> Document:
    """The `Document`."""
    outcome = IN_WORDS[page.record.outcome]
    title = ("Audit of the case: ", page.title(page.pick_id)) if page.pick_id else ("Audit of the case: ", outcome)
    body = [
        _outcome(page, outcome),
        contradiction_list(page),
        caution_list(page),
        _pictures(page, pictures),
        _reasons(page, pictures),
        _requirements(page),
        _kits(page),
        _stand_ins(page),
        _setup(page),
        rough_section(page),
        _assumptions(page),
        span_section(page),
        wishes_section(page),
        close_calls_section(page),
        _facts(page),
        _firings(page),
        _knowledge(page),
    ]
    return Document("lead", pieces(title), head(page), tuple(entry for entry in body if entry), foot(page))


def _outcome(page: Page, outcome):
    record = page.record
    blocks: list[Block] = [paragraph("Outcome: ", outcome, ".", kind="lead")]
    if page.pick_id:
        blocks += [
            paragraph("Pick: ", page.title(page.pick_id), " (", page.name(page.pick_id, "pick", "kit"), ")."),
            bullets(
                [
                    (
                        page.because(record.requirements[check.requirement].rule),
                        " In figures: ",
                        page.margin(check, "pick", "because", place),
                    )
                    for place, check in enumerate(page.advised.because)
                ]
            ),
        ]
        given = [page.failure(check, "pick", "given_up", place) for place, check in enumerate(page.advised.given_up)]
        blocks += [paragraph("Given up:"), bullets(given)] if given else [paragraph("Given up: nothing.")]
        if record.next_down:
            blocks += [
                paragraph(
                    f"Why not the {kind_down(record.next_down.before_by)}, ", page.title(record.next_down.kit), ":"
                ),
                bullets(
                    [
                        page.failure(check, "next_down", "fails", place)
                        for place, check in enumerate(record.next_down.fails)
                    ]
                ),
            ]
    blocks += near_equals(page)
    if record.asks:
        blocks += [paragraph("Would settle it:"), bullets([page.question(name) for name in record.asks])]
    if record.no_fit:
        for place, conflict in enumerate(record.no_fit.conflicts):
            blocks += [
                paragraph("No kit meets together:"),
                bullets([page.name(name, "no_fit", "conflicts", place, at) for at, name in enumerate(conflict)]),
            ]
    denied = [
        (
            page.label(denial.fact),
            ": ",
            page.recorded(denial.fact, "denials", place, "answer"),
            " as answered, ",
            page.recorded(denial.fact, "denials", place, "platform"),
            " on file; the answer counts.",
        )
        for place, denial in enumerate(record.denials)
    ]
    if denied:
        blocks += [paragraph("Answers that differ from the car on file:"), bullets(denied)]
    agreed = {
        True: "Two engines derived it and agree.",
        False: "One engine derived it; no second one was there to compare it with.",
        None: "It is not recorded how many engines derived it.",
    }
    return section("outcome", "Outcome", *blocks, paragraph(agreed[record.made_by.engines_agreed]))


def _pictures(page: Page, pictures):
    names = ("kits", "torque", "chain", "doubt", "release", "heat") if page.pick_id else ("kits",)
    figures = [pictures[name](page) for name in names if name in pictures]
    figures = [figure for figure in figures if figure is not None]
    return section("pictures", "Pictures", *figures) if figures else None


def _reasons(page: Page, pictures):
    if not page.pick_id:
        return None
    blocks = [pictures["reasons"](page)] if "reasons" in pictures else []
    return section("reasons", "What the pick's reasons stand on", *blocks, reasons_tree(page))


def _requirements(page: Page):
    rows = []
    for place, posted in enumerate(page.record.requirements.values()):
        level = posted.level + (", safety" if posted.safety else "") + (f", {posted.concern}" if posted.concern else "")
        has: Piece = "-"
        if page.pick_id and any(page.field_value(field) not in values for field, values in posted.of_kits.items()):
            has = "asked of other kits"
        elif page.pick_id:
            has = page.figure(posted.measure) if posted.source == "figure" else page.field(posted.measure)
        rows.append(
            (
                page.name(posted.id, "requirements", place, "id"),
                page.label(posted.measure),
                page.needed(posted, posted.limit, f"record/requirements/{place}/limit"),
                has,
                level,
                page.name(posted.rule, "requirements", place, "rule"),
            )
        )
    if not rows:
        return None
    return section(
        "requirements",
        "Requirements",
        table("Requirements, and what the pick has", ("id", "measure", "needed", "pick has", "level", "rule"), rows),
    )


def _kits(page: Page):
    if not page.record.kits:
        return None
    others = sum(not kit.fits for kit in page.record.kits.values())
    return section(
        "kits",
        "Kits",
        kits_table(page),
        paragraph("Not for this car by their dimensions: ", page.count(others, "count/kits-that-do-not-fit"), "."),
    )


def _stand_ins(page: Page):
    """What was taken where the records of the kits that fit, or of the car, leave something out."""
    rows = []
    for kit in page.record.fitting:
        at = page.kit_index(kit.id)
        for place, stands in enumerate(kit.stand_ins):
            whose = page.name(kit.id, "kits", at, "id")
            rows.append(_stand_in(page, stands, whose, "kits", at, "stand_ins", place))
    for place, stands in enumerate(page.record.stand_ins):
        rows.append(_stand_in(page, stands, "the car", "stand_ins", place))
    if not rows:
        return None
    heads = ("of", "not on file", "taken", "what that is", "rests on it", "basis")
    return section("stand-ins", "Taken where a record is silent", table("Kits that fit, gentlest first", heads, rows))


def _stand_in(page: Page, stands, whose: Parts, *at):
    basis: list[Parts] = [stands.basis.kind.replace("_", " ")]
    for key, text in (("source", stands.basis.source), ("caution", stands.basis.caution)):
        if text:
            basis += ["; ", page.name(text, *at, "basis", key)]
    # What a rule set is told among the facts; a field is taken in its own unit.
    taken: Parts = "-" if stands.kind == "rule" else page.recorded(stands.field, *at, "value")
    used: Parts = (stands.kind, " ", page.name(stands.used, *at, "used")) if stands.used else "a usual value"
    rests = [
        piece
        for place, name in enumerate(stands.requirements)
        for piece in (", " if place else "", page.name(name, *at, "requirements", place))
    ]
    return whose, page.label(stands.field), taken, used, rests or "-", basis


def _setup(page: Page):
    rows = []
    for kind in SET_UP_PARTS:
        for place, item in enumerate(page.record.setup.of(kind)):
            at = ("setup", kind, place)
            rows.append(
                (
                    page.name(item.id, *at, "id"),
                    kind.replace("_", " "),
                    item.level,
                    page.name(item.text, *at, "text"),
                    page.name(item.rule, *at, "rule"),
                )
            )
    return (
        section(
            "setup",
            "Set-up",
            table("What goes with the pick, and the rule behind it", ("id", "kind", "level", "text", "rule"), rows),
        )
        if rows
        else None
    )


def _assumptions(page: Page):
    rows = []
    for place, assumed in enumerate(page.record.assumptions):
        at = ("assumptions", place)
        ends = [page.recorded(assumed.fact, *at, "others", index) for index in range(len(assumed.others))]
        tried = [piece for index, end in enumerate(ends) for piece in ((" or " if index else ""), end)]
        matters = {True: "yes", False: "no", None: "not recorded"}[assumed.matters]
        rows.append(
            (
                page.label(assumed.fact),
                page.recorded(assumed.fact, *at, "value"),
                tried or "-",
                matters,
                "worst taken" if assumed.worst else "assumed",
                page.name(assumed.basis, *at, "basis"),
            )
        )
    return (
        section(
            "assumptions",
            "Assumptions",
            table("Assumed, and whether it matters", ("fact", "taken", "also tried", "matters", "kind", "basis"), rows),
        )
        if rows
        else None
    )


def _facts(page: Page):
    rows = []
    for place, fact in enumerate(page.record.facts.values()):
        producers = []
        for at, number in enumerate(fact.producer):
            producers += [", " if at else "firing ", page.count(number, f"record/facts/{place}/producer/{at}")]
        rows.append((page.label(fact.name), page.fact(fact.name), fact.origin.replace("_", " "), producers or "-"))
    return section("facts", "Facts", table("Facts of the case", ("fact", "value", "origin", "from"), rows))


def _firings(page: Page):
    rows = []
    for place, firing in enumerate(page.record.firings.values()):
        at = ("firings", place)
        read, gives = (
            [
                piece
                for index, name in enumerate(values)
                for piece in ("; " if index else "", page.label(name), " ", page.recorded(name, *at, kind, name))
            ]
            for kind, values in (("facts", firing.facts), ("concluded", firing.concluded))
        )
        basis: list[Parts] = [firing.basis.kind.replace("_", " ")]
        for key, text in (("source", firing.basis.source), ("caution", firing.basis.caution)):
            if text:
                basis += ["; ", page.name(text, *at, "basis", key)]
        result = gives or (("nothing: ", page.name(firing.reason, *at, "reason")) if firing.reason else "-")
        rows.append(
            (
                page.count(firing.id, f"record/firings/{place}/id"),
                page.name(firing.rule, *at, "rule"),
                read or "-",
                result,
                page.because_of(firing, place),
                basis,
            )
        )
    return section(
        "firings",
        "Rules and calculations that fired",
        table(
            "In the order of what they stand on",
            ("firing", "rule or calculation", "read", "gave", "because", "basis"),
            rows,
        ),
    )


def _knowledge(page: Page):
    rows = [
        (name.replace("_sha", " sha").rstrip("0123456789"), page.name(value, "knowledge", name))
        for name, value in sorted(page.record.knowledge.items())
    ]
    return section("knowledge", "What it was decided with", table("Fingerprints", ("what", "fingerprint"), rows))
