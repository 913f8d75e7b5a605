"""What lies around a decision, on sheets: the span, what wishes cost, kits just short of one, close calls."""

from .blocks import Parts, Section, bullets, paragraph, pieces, section, table
from .page import Page


def span_section(page: Page) -> Section | None:
    """Both ends, how often each kit does the job, and what narrows it; for those who may see a kit that is not sold."""
    span = page.record.span
    if span is None:
        return None
    rows = []
    for name, words in (("gentle_end", "gentle end"), ("careful_end", "careful end"), ("likely", "the pick")):
        end = getattr(span, name)
        if end is None:
            continue
        at = ("span", name)
        key = "kit" if end.kit else "best"
        kit = page.title(getattr(end, key)) if getattr(end, key) else "none"
        shown = (kit, " (", page.name(getattr(end, key), *at, key), ")") if getattr(end, key) else (kit,)
        rows.append(
            (
                words,
                shown if key == "kit" else ("none; nearest ", *shown),
                page.percent(end.picked_in, *at, "picked_in"),
                page.percent(end.holds_in, *at, "holds_in"),
                page.percent(end.suits_in, *at, "suits_in") if end.suits_in is not None else "-",
            )
        )
    narrows = [
        (
            page.label(doubtful.fact),
            page.plain(doubtful.from_, "span", "narrows", place, "from"),
            page.plain(doubtful.to, "span", "narrows", place, "to"),
        )
        for place, doubtful in enumerate(span.narrows)
    ]
    otherwise = [
        (
            page.label(doubtful.fact),
            ": taken otherwise in ",
            page.percent(doubtful.share, "span", "gentle_end", "otherwise", place, "share"),
            ".",
        )
        for place, doubtful in enumerate(span.gentle_end.otherwise)
    ]
    return section(
        "span",
        "How far it may lie",
        paragraph(
            "Over ",
            page.count(span.completions, _at("span", "completions")),
            " completions of what is not known; ",
            page.count(span.discarded, _at("span", "discarded")),
            " more contradict themselves.",
            " Neither end is ordered before the answer that settles it is in." if narrows else "",
        ),
        table(
            "Ends of the span", ("end", "kit", "is the pick in", "does the job in", "and suits untold wishes in"), rows
        ),
        bullets(otherwise) if otherwise else None,
        table("What would narrow it", ("answer", "kits it lies between now", "once answered"), narrows)
        if narrows
        else None,
    )


def saving_section(page: Page) -> Section | None:
    """For the customer: the question that settles most, and what its answer could save."""
    span = page.record.span
    if span is None or not span.narrows:
        return None
    settles = span.narrows[0].fact
    if settles in page.record.case.answers:  # answered, but not exactly: nobody is asked the same again
        blocks = [
            paragraph("Not known exactly yet: ", page.label(settles), ". A measurement, or a document, would do.")
        ]
    else:
        blocks = [paragraph(page.question(settles))]
    if span.saves is not None:
        saved = page.money(span.saves, page.currency, _at("span", "saves"))
        blocks.append(paragraph("The answer could save you up to ", saved, ", or show that more is needed."))
    likely = span.likely
    if likely is not None:
        share = page.percent(likely.holds_in, "span", "likely", "holds_in")
        blocks.append(
            paragraph("As the open answers may turn out, the chance that this clutch does the job is ", share, ".")
        )
    return section("one-more-answer", "What one more answer could do", *blocks)


def rough_section(page: Page) -> Section | None:
    """Answers given as a range or as about: what was taken, and between what it lies."""
    rows = []
    for name, answer in page.record.case.answers.items():
        if answer.vague:
            taken, low, high = (page.recorded(name, "case", "answers", name, key) for key in ("value", "low", "high"))
            rows.append((page.label(name), taken, (low, " to ", high)))
    return (
        section("rough", "Not known exactly", table("Answers that are a range", ("what", "taken as", "could be"), rows))
        if rows
        else None
    )


def wishes_section(page: Page) -> Section | None:
    """What each wish costs, and kits just short of one."""
    record, items = page.record, []
    for place, wish in enumerate(record.wishes):
        at = ("wishes", place, "without")
        kit = (page.title(wish.without.kit), " (", page.name(wish.without.kit, *at, "kit"), ")")
        items.append(
            pieces(
                page.wish(wish.fact), ": without it ", *kit, " would be the pick. ", *_beside(page, wish.without, *at)
            )
        )
    for place, miss in enumerate(record.near_misses):
        beside = miss.beside
        requirement = record.requirements[miss.requirement]
        needed = page.needed(requirement, miss.needed, _at("near_misses", place, "needed"), miss.actual)
        actual = page.value(
            requirement.measure, miss.actual, _at("near_misses", place, "actual"), beside.kit, beside=miss.needed
        )
        kit = (page.title(beside.kit), " (", page.name(beside.kit, "near_misses", place, "beside", "kit"), ")")
        items.append(
            pieces(
                *kit,
                " misses one wish by a little: ",
                page.label(requirement.measure),
                " ",
                needed,
                ", it has ",
                actual,
                ". ",
                *_beside(page, beside, "near_misses", place, "beside"),
            )
        )
    return section("wishes", "What a wish costs", bullets(items)) if items else None


def _beside(page: Page, entry, *at):
    words: list[Parts] = ["Beside the pick:"]
    for place, step in enumerate(entry.differences):
        if page.wording.value(step.figure, step.pick) == page.wording.value(step.figure, step.kit):
            continue
        here, there = (page.recorded(step.figure, *at, "differences", place, key) for key in ("pick", "kit"))
        words += [" " if len(words) == 1 else "; ", page.label(step.figure), " ", there, " for ", here]
    if entry.delivery != entry.pick_delivery:
        words.append("" if len(words) == 1 else ";")
        words += [
            " ",
            *_there(page, entry.delivery, *at, "delivery"),
            ", the pick ",
            *_there(page, entry.pick_delivery, *at, "pick_delivery"),
        ]
    return [*words, "."]


def _there(page: Page, days, *at):
    if days is None:
        return ("delivery not known",)
    return ("on the shelf",) if days == 0 else ("there in ", page.count(days, _at(*at)), " days")


def close_calls_section(page: Page) -> Section | None:
    """The numbers within whose uncertainty the pick changes."""
    rows = [
        (
            page.label(close_call.fact),
            page.recorded(close_call.fact, "close_calls", place, "value"),
            page.recorded(close_call.fact, "close_calls", place, "at"),
            page.title(close_call.becomes) if close_call.becomes else "no kit",
        )
        for place, close_call in enumerate(page.record.close_calls)
    ]
    return (
        section(
            "close-calls",
            "Close calls",
            table("Where the pick changes", ("number", "taken", "from there on", "the pick"), rows),
        )
        if rows
        else None
    )


def _at(*path):
    return "record/" + "/".join(str(key) for key in path)
