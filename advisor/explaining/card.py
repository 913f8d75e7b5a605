"""The card at the end of a call: at most 14 lines at 80 columns, in sentences that can be read out.

What must not be missed stands first in line: the kit, its price, what must be ordered with it, the one thing to watch,
wishes given up, required work with a part or a risk in it, and what is still unsure. Reasons take the room that is
left. The rest follows on one word (`sections.WORDS`). Everything comes from the record.
"""

from collections.abc import Mapping, Sequence

from ..deciding.decision_record import DecisionRecord, RecordedCaution
from ..deciding.outcomes import MORE_ANSWERS, RECOMMENDED
from ..deciding.recorded_rules import PostedRequirement
from ..frozen import frozen
from ..knowledge.sentences import capital, count, first_sentence, joined, sentence, wrap
from ..knowledge.wording import Wording
from .contradictions_told import contradiction_sentences
from .declined import NOTHING_FITS, declines, not_on_file
from .made_from import made_from_in_short
from .no_fit import refusing_dimensions
from .priced_lines import PricedLines, all_there, priced_lines, sums_told
from .span_told import asked_in_order, kind_of, narrowing
from .spoken_reasons import ABOUT, CALLED, class_in_short, spoken_reasons, wish_given_up
from .stand_ins_told import to_measure
from .worded import WordedRecord

#: Lines of a card at `WIDTH` columns; narrower screens take more.
MOST_LINES, WIDTH = 14, 80
REASONS = 2
#: Cautions by how early they must be known; those that go with every clutch last.
WEIGHTS = ("before_buying", "living_with", "with_every_clutch")
AUDIENCES = ("buyer", "both", "fitter")
NAMED = 2


def card(record: DecisionRecord | Mapping[str, object], wording: Wording, width: int = WIDTH, more: str = "") -> str:
    """The card of a `DecisionRecord` (or its JSON data); ``more``: how the rest is had, its last line."""
    worded = WordedRecord(record, wording)
    for room in ROOMS:
        sentences = _sentences(worded, room) + ([more] if more else [])
        lines = "\n".join(wrap(text, width, "", "  ") for text in sentences).split("\n")
        # Narrow screens take the same sentences: what is shortened there would be told to nobody.
        wide = lines if width == WIDTH else "\n".join(wrap(text, WIDTH, "", "  ") for text in sentences).split("\n")
        if len(wide) <= MOST_LINES:
            break
    return "\n".join(lines) + "\n"


@frozen
class Room:
    """What a card has room for: so many ``reasons``, open points and wishes ``named``, cautions and help ``whole``, and
    ``full`` sentences on prices of parts, wishes given up and answers that differ from the file.
    """

    reasons: int
    named: int
    whole: bool
    full: bool


#: How a card is made shorter, step by step: reasons give way first.
ROOMS = (
    Room(REASONS, NAMED, whole=True, full=True),
    Room(REASONS, 1, whole=True, full=True),
    Room(1, 1, whole=True, full=True),
    Room(0, 1, whole=True, full=True),
    Room(0, 1, whole=False, full=True),
    Room(0, 1, whole=False, full=False),
    Room(0, 0, whole=False, full=False),
)


def _sentences(worded: WordedRecord, room: Room) -> list[str]:
    sentences = [_head(worded)]
    if worded.record.outcome == RECOMMENDED:
        sentences += [*_pick(worded, room), *spoken_reasons(worded)[: room.reasons]]
        rest = [*_given_up(worded, room), *_lead(worded, room), *_unsure(worded, room)]
        # Where there is little room, what is short stands in one paragraph.
        sentences += [*_with_it(worded), *_watch(worded, room), *(rest if room.full else [" ".join(rest)])]
    elif worded.record.outcome == MORE_ANSWERS:
        sentences += [*_asks(worded, room), *_lead(worded, room), *_ends(worded), *_watch(worded, room)]
    else:
        none, lead = [*_no_kit(worded, room), *_watch(worded, room)], _lead(worded, room)
        # Where answers do not agree, one of them may be why nothing fits: that is asked before anybody gives up.
        sentences += [*lead, *none] if worded.record.contradictions else [*none, *lead]
    return sentences


def _head(worded: WordedRecord):
    case = worded.record.case
    car = worded.wording.title(case.platform) if case.platform else not_on_file(worded.record)
    return capital(f"{car}, {case.id}. {made_from_in_short(worded.record)}".rstrip())


# --- a kit


def _pick(worded: WordedRecord, room: Room):
    name = f"{worded.wording.title(worded.picked)} ({worded.picked})"
    if worded.fields(worded.picked).get("factory"):
        sentences = [f"The factory clutch is enough; nothing stronger is needed: {name}."]
    else:
        sentences = [f"{name}."]
    lines = priced_lines(worded)
    sentences += [_price(lines, worded.wording), *_order(lines, worded.wording, room), *_measure(worded)]
    return sentences if room.full else [" ".join(sentences)]


def _price(lines: PricedLines, wording: Wording):
    return sentence(f"{capital(sums_told(lines, wording))}; {all_there(lines)}")


def _order(lines: PricedLines, wording: Wording, room: Room):
    """What must be ordered with it, each with its price."""
    named = [
        f"{line.kind} ({wording.money(line.price, lines.currency) if line.price is not None else 'ask for the price'})"
        if room.full
        else line.kind
        for line in lines.certain[1:]
    ]
    return [f"To be ordered with it: {joined(named)}."] if named else []


def _measure(worded: WordedRecord):
    """What the pick passes by only if it measures as it is estimated."""
    names = [worded.wording.label(stands.field) for stands in to_measure(worded.kits[worded.picked], worded.record)]
    return [f"Estimated so far, to be measured before it is ordered: {joined(names)}."] if names else []


def _given_up(worded: WordedRecord, room: Room):
    """Wishes given up: each with what it comes to, or only what they are about."""
    given = worded.advised.given_up
    if not given:
        return []
    if room.full and len(given) == 1:
        return [wish_given_up(worded, given[0])]
    about = joined(list(dict.fromkeys(ABOUT.get(check.concern or "", check.concern or "") for check in given)))
    return [f"It gives up what is wished about {about}."]


def _with_it(worded: WordedRecord):
    """Required work with a part or a risk in it, and who should do it."""
    setup = worded.record.setup
    work = [item.in_short for _, item in setup.items() if item.level == "required" and item.in_short]
    work = list(dict.fromkeys(work))
    who = [item.who.replace("_", " ") for item in setup.fitted_by if item.who == "professional"]
    by = "A professional sees to" if who else "The fitter sees to"
    return [sentence(f"{by}: {'; '.join(work)}")] if work else []


# --- what to watch, and what the lead must know


def _watch(worded: WordedRecord, room: Room):
    """The weightiest caution, and every other one on safety that must be known before buying.

    Where nothing is fitted, what goes with every clutch is left to its section.
    """
    ordered = by_weight(worded.record.cautions)
    usual = [caution for caution in ordered[:1] if worded.record.outcome == RECOMMENDED or caution.weight != WEIGHTS[2]]
    cautions = [caution for caution in ordered if caution.safety and caution.weight == WEIGHTS[0]] or usual
    texts = [worded.told(caution) if room.whole else _short(worded.told(caution)) for caution in cautions]
    return [f"Watch: {' '.join(texts)}"] if texts else []


def by_weight(cautions: Sequence[RecordedCaution]) -> list[RecordedCaution]:
    """Cautions, the weightiest first: known before buying before lived with, safety first, the buyer's first."""
    return sorted(
        cautions,
        key=lambda caution: (
            WEIGHTS.index(caution.weight),
            not caution.safety,
            AUDIENCES.index(caution.audience),
        ),
    )


def _short(text: str):
    """The first sentence of a caution, with the word that it goes to the lead where it does."""
    short = first_sentence(text)
    return (
        short
        if short == text or "shop lead" not in text.lower() or "shop lead" in short
        else f"{short} Ask the shop lead."
    )


def _lead(worded: WordedRecord, room: Room):
    """What of the answers does not agree, was changed, or differs from the car on file."""
    for_the_lead = []
    for contradiction in worded.record.contradictions:
        sentences = contradiction_sentences(contradiction, worded.wording)
        stops = contradiction.undersizes and not contradiction.decided_by
        brief = [*contradiction.readings, sentences[-1]] if room.full or stops else ["Look:", *contradiction.readings]
        for_the_lead.append(" ".join(sentences if stops and room.whole else brief))
    told_of = {fact for contradiction in worded.record.contradictions for fact in contradiction.facts}
    changed = [worded.wording.label(change.fact) for change in worded.record.case.changed]
    if changed:
        for_the_lead.append(f"For the shop lead: changed after a result was told, {joined(changed, most=NAMED)}.")
    differs = [worded.wording.label(denial.fact) for denial in worded.record.denials if denial.fact not in told_of]
    if differs:
        short = f"Not as on file: {count(len(differs), 'answer')}."
        for_the_lead.append(
            f"Taken as answered, other than on file: {joined(differs, most=NAMED)}." if room.full else short
        )
    return for_the_lead


# --- what is unsure


def _unsure(worded: WordedRecord, room: Room):
    """What would move the pick, and to what."""
    record, wording = worded.record, worded.wording
    span = record.span
    names = narrowing(span, wording, record.case.answers) if span else []
    matter = [wording.label(assumed.fact) for assumed in record.assumptions if assumed.matters]
    names = list(dict.fromkeys(names if span and not _settled(worded) else matter))[: room.named or 1]
    if not names:
        return []
    text = f"Still unsure: {joined(names)}"
    careful = span.careful_end if span else None
    if careful and careful.kit and careful.kit != worded.pick and room.named:
        text += f"; if it turns out badly it is {wording.title(careful.kit)} ({careful.kit})"
    elif careful and careful.kit is None and room.named:
        text += "; if it turns out badly no kit on the list is sure to do"
    return [sentence(text)]


def _settled(worded: WordedRecord):
    span = worded.record.span
    return span is not None and span.gentle_end.kit == worded.pick == span.careful_end.kit


# --- no kit yet


def _asks(worded: WordedRecord, room: Room):
    questions: list[str] = []
    for place, name in enumerate(asked_in_order(worded.record.asks, worded.record.span)[:2]):
        question = worded.knowledge.questions.get(name)
        text = (
            f"{question.plain} {question.help if place == 0 and room.whole else ''}"
            if question
            else worded.wording.label(name)
        )
        questions.append(f"{'Nothing can be sold yet. Find out first' if place == 0 else 'Or else'}: {text}")
    return questions


def _ends(worded: WordedRecord):
    """Both ends of the advice as it stands."""
    span, wording = worded.record.span, worded.wording
    if span is None or not (span.careful_end.kit or span.careful_end.holds_in):
        return []

    def named(kit):
        # Of a car that is not on file it can only be said what kind of clutch it comes to.
        return kind_of(wording, kit) if span.fit_open else f"{wording.title(kit)} ({kit})"

    gentle, careful = span.gentle_end, span.careful_end
    if gentle.kit and gentle.kit == careful.kit:
        return [f"So far everything points to {named(gentle.kit)}. It is not ordered before the first answer is in."]
    strongest = named(careful.kit or careful.best or "")
    if not careful.kit:
        strongest = f"none that is sure to do; {strongest} comes nearest"
    gentlest = named(gentle.kit) if gentle.kit else "no kit"
    wait = "Neither is ordered before the first answer is in."
    return [f"At the gentlest it is {gentlest}, at the strongest {strongest}. {wait}"]


# --- no kit at all


def _no_kit(worded: WordedRecord, room: Room):
    record, wording = worded.record, worded.wording
    reasons = declines(record)
    if reasons:
        return ["No clutch is advised on for this vehicle.", *reasons]
    texts = [NOTHING_FITS]
    if record.no_fit is None:
        return texts
    texts += [dimension["sentence"] for dimension in refusing_dimensions(worded)[: room.named or 1]]
    for conflict in record.no_fit.conflicts[: room.named or 1]:
        demands = [spoken_demand(worded, worded.requirements[name]) for name in conflict]
        texts.append(f"{'Cannot be had together' if len(conflict) > 1 else 'Cannot be had'}: {joined(demands)}.")
    texts += [f"It would do: {change['sentence']}" for change in record.no_fit.changes[: room.named or 1]]
    if not record.no_fit.changes and record.no_fit.corrections:
        nearest = record.no_fit.corrections[0].kits[0]
        texts.append(f"Nearest comes {wording.title(nearest)} ({nearest}).")
    if record.not_on_file:
        texts.append(f"To look up for this car: {wording.labels(record.not_on_file, most=NAMED)}.")
    if record.ask_maker:
        asked = [f"{asked.kit}: {wording.label(asked.field)}" for asked in record.ask_maker]
        texts.append(f"To ask the maker: {joined(asked, most=NAMED)}.")
    return texts


def spoken_demand(worded: WordedRecord, posted: PostedRequirement) -> str:
    """What a requirement asks of a kit, in words that can be read out."""
    if posted.measure in CALLED and posted.compare == "at_most" and isinstance(posted.limit, (int, float)):
        most = class_in_short(posted.measure, posted.limit)
        return f"{CALLED[posted.measure]} no worse than {most}"
    return f"{worded.wording.label(posted.measure)} of {worded.needed(posted)}"
