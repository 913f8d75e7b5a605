"""The quote: what is certain, what depends on what is found, tax, delivery, and the kits beside the pick.

Every number stands in the decision record, in the entry the quote is kept as, in the shop's settings, or is a sum of
those, made in `explaining.priced_lines` and `explaining.quoting`.
"""

from collections.abc import Mapping
from typing import Any

from ...deciding.decision_record import DecisionRecord
from ...explaining.card import by_weight
from ...explaining.priced_lines import PricedLine, PricedLines
from ...explaining.quoting import QuotedKit, quoted_kits, taxed, within_budget
from ...explaining.spoken_reasons import CALLED, class_in_short
from ...knowledge.shop import About
from ...knowledge.wording import Wording
from .blocks import Block, Document, Number, Parts, Piece, Quoted, bullets, paragraph, pieces, section, table
from .page import Page
from .shared import INVENTED, foot, measure_first
from .sheet import finished

ROLES = {
    "gentler": "A gentler one, which gives up a wish",
    "stronger": "One step stronger",
    "at_hand": "The best that is on the shelf today",
}
#: What figures told beside the pick are called here.
WHAT = {**CALLED, "capacity_working_nm": "holds, worn and warm"}
MOST_CAUTIONS = 4


def quote(page: Page, about: About, kept: Mapping[str, Any], day: str) -> Document:
    """The `Document`; ``kept``: the body of the entry the quote is kept as; ``day``: when it was written."""
    kits = quoted_kits(page.worded)
    body = [
        _offer(page, about, kits[0].lines),
        _beside(page, kits),
        _watch(page),
        _terms(page, about, kept),
    ]
    return Document(
        "quote",
        pieces("Quote ", Quoted(kept["quote"], "quote/quote")),
        _head(page, about, kept, day),
        tuple(part for part in body if part),
        foot(page),
    )


def _head(page: Page, about: About, kept, day):
    case = page.record.case
    blocks = [paragraph(_said(about.name, "name"), kind="lead")]
    reach = [_said(text, f"contact/{name}") for name, text in _contact(about)]
    if reach:
        blocks.append(paragraph(*_listed(reach), "."))
    car: Piece = page.title(case.platform) if case.platform else "a car that is not on file"
    blocks.append(
        paragraph("Of ", Quoted(day, "quote/day"), ", holds until ", Quoted(kept["until"], "quote/until"), ".")
    )
    blocks.append(paragraph("For: ", car, ", case ", page.name(case.id, "case", "id"), "."))
    if page.invented:
        blocks.append(paragraph(INVENTED, kind="warning"))
    blocks += measure_first(page)
    return tuple(blocks)


def _said(text, source):
    return Quoted(text, f"shop/{source}")


def _contact(about: About):
    contact = about.contact
    named = (("address", contact.address), ("phone", contact.phone), ("email", contact.email), ("web", contact.web))
    return [(name, text) for name, text in named if text]


def _listed(parts):
    out: list[Parts] = []
    for place, part in enumerate(parts):
        out += [", " if place else "", part]
    return out


# --- what is offered


def _offer(page: Page, about: About, lines: PricedLines):
    lead: Parts = (
        ("The clutch the car left the factory with is enough: ", page.title(page.picked), ".")
        if page.field_value("factory")
        else ("The least clutch that carries this car: ", page.title(page.picked), ".")
    )
    certain = [(_title(page, line), _price(page, line, lines), _there(page, line)) for line in lines.certain]
    blocks: list[Block | None] = [
        paragraph(lead, kind="lead"),
        table("What is certain", ("item", "price", "there"), [*certain, _total(page, lines, "total")]),
    ]
    if lines.depend:
        rows = [
            ((_title(page, line), *_as_a_rule(line)), _price(page, line, lines), _there(page, line))
            for line in lines.depend
        ]
        blocks.append(table("What depends on what is found once it is apart", ("item", "price", "there"), rows))
    blocks += [_sums(page, about, lines), _delivery(page, lines), _budget(page, lines)]
    given = page.advised.given_up
    if given:
        lost = [page.failure(check, "pick", "given_up", place) for place, check in enumerate(given)]
        blocks += [paragraph("It gives up a wish:"), bullets(lost)]
    return section("offer", "What we suggest", *blocks)


def _title(page: Page, line: PricedLine) -> Parts:
    if line.kind == "kit":
        return page.title(line.part or "")
    place, item = _item(page, line)
    key = "title" if item.title else "kind"
    named = page.name((item.title or item.kind).replace("_", " "), "setup", "parts", place, key)
    return named if item.part else (named, ", none on file for this car: to be priced")


def _as_a_rule(line: PricedLine):
    return (", needed as a rule",) if line.likely else ()


def _item(page: Page, line: PricedLine):
    """The place of a line's part in the record, and the part."""
    return next(
        (place, item)
        for place, item in enumerate(page.record.setup.parts)
        if (item.part, item.kind.replace("_", " "), item.text) == (line.part, line.kind, line.why)
    )


def _price(page: Page, line: PricedLine, lines: PricedLines) -> Piece:
    if line.kind == "kit":
        return page.money(line.price, lines.currency, f"kit/{line.part}/price")
    place, item = _item(page, line)
    return page.money(item.price, lines.currency, f"record/setup/parts/{place}/price")


def _there(page: Page, line: PricedLine) -> Parts:
    if line.days is None:
        return "to be asked"
    return "on the shelf" if line.days == 0 else ("in ", page.count(line.days, f"days/{line.part}"), " days")


def _total(page: Page, lines: PricedLines, name):
    return ("all of it", page.money(lines.total, lines.currency, f"sum/{name}"), _all_there(page, lines))


def _all_there(page: Page, lines: PricedLines) -> Parts:
    if not lines.late:
        return "on the shelf"
    return "to be asked" if lines.days is None else ("in ", page.count(lines.days, "sum/days"), " days")


def _sums(page: Page, about: About, lines: PricedLines):
    if lines.total is None or lines.most is None:
        return paragraph("The price of the clutch is not on file: it is told before anything is ordered.")
    tax = about.tax
    total = page.money(lines.total, lines.currency, "sum/total")
    most = page.money(lines.most, lines.currency, "sum/most")
    words: list[Parts] = [total, " for certain"]
    if lines.expected != lines.total:
        words += [", likely ", page.money(lines.expected, lines.currency, "sum/likely")]
        words += [" with what is needed as a rule"]
    words += [", up to ", most, " where all that may turn up is needed"] if lines.most != lines.expected else []
    if any(line.price is None for line in (*lines.certain, *lines.depend)):
        words += ["; what is still to be priced comes on top"]
    words += ["."]
    if tax.percent:
        name = _said(tax.name or "tax", "tax/name")
        rate = Number(page.wording.written(f"{tax.percent:g} %"), tax.percent, "%", "shop/tax/percent")
        least, top = taxed(lines.total, tax), taxed(lines.most, tax)
        if tax.in_prices:
            words += [" ", rate, " ", name, " is in it: ", page.money(least.tax, lines.currency, "tax/total")]
            words += [" to ", page.money(top.tax, lines.currency, "tax/most")] if top.tax > least.tax else []
        else:
            words += [" With ", rate, " ", name, " it is ", page.money(least.gross, lines.currency, "gross/total")]
            words += [" to ", page.money(top.gross, lines.currency, "gross/most")] if top.gross > least.gross else []
        words += ["."]
    return paragraph(*words, kind="lead")


def _delivery(page: Page, lines: PricedLines):
    if not lines.late:
        return paragraph("All that is certain is on the shelf.")
    late: list[Parts] = [_title(page, line) for line in lines.late]
    if lines.days is None:
        return paragraph("To be ordered, and to be asked how long it takes: ", *_listed(late), ".")
    days = page.count(lines.days, "sum/days")
    return paragraph("All that is certain is there in ", days, " days; what it waits for: ", *_listed(late), ".")


def _budget(page: Page, lines: PricedLines):
    """Which sum the budget was held against, and how it stands to the other."""
    held = within_budget(page.worded, lines)
    if held is None:
        return None
    budget = page.money(page.fact_value("budget"), lines.currency, "fact/budget")
    likely = page.money(lines.expected, lines.currency, "sum/likely")
    words: list[Parts] = ["Your budget of ", budget, " was held against what it likely comes to, ", likely, ": "]
    words += ["it is enough" if held.likely else "it is not enough"]
    if held.certain and not held.likely:
        words += [", though it is for what is certain"]
    if held.likely and lines.most != lines.expected:
        words += ["; for all that may turn up it is ", "enough as well" if held.most else "not enough"]
    return paragraph(*words, ".")


# --- beside it


def _beside(page: Page, kits: list[QuotedKit]):
    blocks: list[Block] = []
    mine = kits[0]
    for offered in kits[1:]:
        blocks.append(
            paragraph(ROLES[offered.role], ": ", _name(page, offered.kit), ". ", *_costs(page, mine, offered))
        )
        rows: list[tuple[Parts, Parts, Parts]] = [
            ("in all, for certain", _total_of(page, mine), _total_of(page, offered)),
            ("there", _days_of(page, mine), _days_of(page, offered)),
        ]
        for step in offered.steps:
            here, there = (
                _class_or_figure(page, step.figure, mine.kit),
                _class_or_figure(page, step.figure, offered.kit),
            )
            rows.append((WHAT.get(step.figure) or page.label(step.figure), here, there))
        blocks.append(table("Beside our suggestion", ("what", "our suggestion", "this one"), rows))
        if offered.gives_up:
            place = page.kit_index(offered.kit)
            held = page.record.kits[offered.kit].given_up
            lost = [page.failure(check, "kits", place, "given_up", held.index(check)) for check in offered.gives_up]
            blocks += [paragraph("It gives up:"), bullets(lost)]
    if not blocks:
        blocks = [paragraph("No other kit on file passes all that this car must have.")]
    return section("beside", "What else would do", *blocks)


def _name(page: Page, kit: str):
    return Quoted(page.wording.title(kit), f"title/{kit}")


def _costs(page: Page, mine: QuotedKit, offered: QuotedKit) -> list[Parts]:
    """What it costs more or less; that a stronger one is cheaper is said."""
    here, there = mine.lines.total, offered.lines.total
    if here is None or there is None:
        return ["Its price is not on file."]
    apart = page.money(round(abs(there - here), 2), mine.lines.currency, f"apart/{offered.kit}")
    if there == here:
        return ["It costs the same."]
    if there > here:
        return ["It costs ", apart, " more."]
    also = ", though it is stronger" if offered.role == "stronger" else ""
    return ["It costs ", apart, f" less{also}."]


def _total_of(page: Page, offered: QuotedKit) -> Parts:
    return page.money(offered.lines.total, offered.lines.currency, f"total/{offered.kit}")


def _days_of(page: Page, offered: QuotedKit) -> Parts:
    lines = offered.lines
    if not lines.late:
        return "on the shelf"
    return "to be asked" if lines.days is None else ("in ", page.count(lines.days, f"days-of/{offered.kit}"), " days")


def _class_or_figure(page: Page, figure: str, kit: str) -> Piece:
    if figure in CALLED:
        return class_in_short(figure, page.figure_value(figure, kit))
    return page.figure(figure, kit)


# --- what to watch, and the terms


def _watch(page: Page):
    """What a buyer must know before buying; the rest stands on the customer's sheet."""
    places = {id(caution): place for place, caution in enumerate(page.record.cautions)}
    words = [
        page.name(caution.text, "cautions", places[id(caution)], "text")
        for caution in by_weight(page.record.cautions)
        if caution.audience != "fitter" and caution.weight != "with_every_clutch"
    ]
    return section("watch", "Before you buy", bullets(words[:MOST_CAUTIONS])) if words else None


def _terms(page: Page, about: About, kept):
    who: list[Parts] = []
    named = dict(_contact(about))
    for name, word in (("phone", "ring "), ("email", "write to ")):
        if name in named:
            who += [", " if who else "", word, _said(named[name], f"contact/{name}")]
    words: list[Parts] = ["To order, or to ask, name the number ", Quoted(kept["quote"], "quote/quote")]
    words += [": ", *who, "."] if who else ["."]
    return section(
        "terms",
        "To order",
        paragraph(*words),
        paragraph(
            "It holds until ", Quoted(kept["until"], "quote/until"), ", for what is on the shelf while it lasts."
        ),
        paragraph("Fitting and carriage are not in it.", kind="note"),
    )


# --- finished


def quote_sheet(
    record: DecisionRecord,
    wording: Wording,
    about: About,
    kept: Mapping[str, Any],
    day: str,
    form: str = "text",
    *,
    paper: str = "a4",
    width: int = 80,
) -> str | bytes:
    """The finished quote: text for text and html, bytes for pdf. InputError where html or pdf lack their libraries."""
    return finished(quote(Page(record, wording, guarded=True), about, kept, day), form, paper=paper, width=width)


def quote_data(
    record: DecisionRecord, wording: Wording, about: About, kept: Mapping[str, Any], day: str
) -> dict[str, Any]:
    """The quote as JSON data."""
    page = Page(record, wording)
    kits = quoted_kits(page.worded)
    lines = kits[0].lines
    tax = about.tax
    budget = within_budget(page.worded, lines)
    return {
        "quote": kept["quote"],
        "day": day,
        "until": kept["until"],
        "invented": page.invented,
        "shop": {"name": about.name, **dict(_contact(about))},
        "case": record.case.id,
        "currency": lines.currency,
        "tax": {"name": tax.name, "percent": tax.percent, "in_prices": tax.in_prices},
        "certain": [_line_data(line) for line in lines.certain],
        "depends": [_line_data(line) for line in lines.depend],
        "total": _sum_data(lines.total, about),
        "likely": _sum_data(lines.expected, about),
        "most": _sum_data(lines.most, about),
        "days": lines.days,
        "budget": budget
        and {
            "budget": budget.budget,
            "held_against": "likely",
            "enough": budget.likely,
            "for_certain": budget.certain,
            "for_most": budget.most,
        },
        "beside": [
            {
                "role": offered.role,
                "kit": offered.kit,
                "total": offered.lines.total,
                "days": offered.lines.days,
                "differences": {step.figure: {"pick": step.pick, "kit": step.kit} for step in offered.steps},
                "gives_up": [check.requirement for check in offered.gives_up],
            }
            for offered in kits[1:]
        ],
    }


def _line_data(line: PricedLine):
    return {
        "kind": line.kind,
        "id": line.part,
        "title": line.title,
        "price": line.price,
        "days": line.days,
        "likely": line.likely,
    }


def _sum_data(total, about: About):
    if total is None:
        return None
    with_tax = taxed(total, about.tax)
    return {"prices": total, "net": with_tax.net, "tax": with_tax.tax, "gross": with_tax.gross}
