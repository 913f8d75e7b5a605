"""What stands behind the card, one section a word: why, why not, what is next to it, parts, fitting, assumptions."""

from collections.abc import Callable, Mapping

from ..deciding.decision_record import DecisionRecord
from ..deciding.outcomes import MORE_ANSWERS, RECOMMENDED
from ..knowledge.sentences import wrap
from ..knowledge.wording import Wording
from .beside import in_stock, kind_down, why_behind
from .card import by_weight, spoken_demand
from .changed_told import changed_sentences
from .contradictions_told import contradiction_sentences
from .declined import no_kit_lines, not_on_file
from .made_from import made_from_lines
from .no_fit import refusing_dimensions
from .priced_lines import PricedLine, all_there, priced_lines, sums_told, there
from .span_told import span_sentences
from .spoken_reasons import spoken_reasons, spoken_step
from .stand_ins_told import measure_first, on_condition, stand_in_sentences
from .vague_told import vague_sentences
from .wishes_told import MOST_CALLS, close_call_sentence, near_miss_sentence, wish_sentence
from .worded import WordedRecord

#: Gentler kits named of which something is not known.
MOST_NOT_JUDGED = 4


def section(record: DecisionRecord | Mapping[str, object], wording: Wording, word: str, width: int = 80) -> str:
    """One section of a `DecisionRecord` (or its JSON data) by its word of `WORDS`; says so where it has nothing."""
    worded = WordedRecord(record, wording)
    lines = _SECTIONS[word](worded, width)
    nothing = f"There is nothing to tell about {word} here."
    if worded.record.outcome == MORE_ANSWERS:
        nothing = f"No kit is picked yet, so there is nothing to tell about {word}."
    return "\n".join(lines[1:] or [wrap(nothing, width)]) + "\n"


def sections(record: DecisionRecord | Mapping[str, object], wording: Wording, width: int = 80) -> str:
    """All sections, headed by car and case."""
    worded = WordedRecord(record, wording)
    lines = _head(worded, width) + _outcome(worded, width)
    for section_of in _SECTIONS.values():
        lines += section_of(worded, width)
    return "\n".join(lines) + "\n"


def _block(title, entries, width):
    """A heading and entries under it, each wrapped with a hanging indent."""
    return ["", title, *(wrap(entry, width, "  ", "    ") for entry in entries)] if entries else []


def _head(worded, width):
    case = worded.record.case
    car = worded.wording.title(case.platform) if case.platform else not_on_file(worded.record)
    lines = [wrap(f"{car}, case {case.id}", width)]
    return lines + [wrap(line, width) for line in made_from_lines(worded.record)]


def _outcome(worded, width):
    """What it came to, in a sentence or two."""
    if worded.record.outcome == RECOMMENDED:
        factory = worded.fields(worded.picked).get("factory")
        headline = (
            "No upgrade is needed: the factory clutch is enough." if factory else "The least clutch that does the job:"
        )
        return [
            "",
            wrap(on_condition(headline, worded.kits[worded.picked], worded.record), width),
            wrap(f"{worded.wording.title(worded.picked)} ({worded.picked})", width, "  ", "    "),
        ]
    if worded.record.outcome == MORE_ANSWERS:
        return []
    return ["", *(wrap(line, width) for line in no_kit_lines(worded.record))]


def _why(worded, width):
    lines = _changed(worded, width)
    if worded.record.outcome == RECOMMENDED:
        kit = worded.kits[worded.picked]
        measure = measure_first(kit, worded.record, worded.wording)
        lines += _block("Measure before it is ordered", measure, width)
        lines += _block("Why this one", spoken_reasons(worded), width)
        lines += _block("What decided", [_reason(worded, reason) for reason in worded.record.pick.because], width)
        figures, feel = kit.figures, []
        for name in (
            "holding_margin",
            "holding_probability",
            "pedal_force_n",
            "take_up_window_mm",
            "thrust_pressure_mpa",
        ):
            if name in figures:
                mark = " (estimated)" if name in kit.estimated_figures else ""
                feel.append(f"{worded.wording.label(name)} {worded.wording.value(name, figures[name])}{mark}")
        lines += _block("In figures", ["; ".join(feel) + "."], width)
        lines += _given_up(worded, width) + _not_judged(worded, width)
    elif worded.record.outcome == MORE_ANSWERS:
        lines += _asks(worded, width)
    else:
        lines += _no_kit(worded, width)
    return lines + _contradictions(worded, width) + _denials(worded, width)


def _reason(worded, reason):
    """A requirement that decided: why it is asked, what is needed and what the pick has."""
    requirement = worded.requirements[reason.requirement]
    sentence = worded.sentence(requirement.rule)
    if requirement.source == "figure" and reason.actual is not None:
        return f"{sentence} ({worded.failure(reason)}.)"
    return sentence


def _not(worded, width):
    """The kit before the pick and what it fails; kits hardly apart from it, and those that miss a wish by a little."""
    record, wording = worded.record, worded.wording
    lines, down = [], record.next_down
    if down:
        shared = {check.requirement for check in worded.advised.given_up}
        entries = [worded.failure(check) + "." for check in down.fails if check.requirement not in shared]
        lines += _block(
            f"Why not the {kind_down(down.before_by)}, {wording.title(down.kit)} ({down.kit})", entries, width
        )
        lines[1] = wrap(lines[1], width, "", "  ")
    lines += _block("Nearly the same", [_near(near, wording) for near in record.near_equals], width)
    near = [near_miss_sentence(miss, worded.requirements[miss.requirement], wording) for miss in record.near_misses]
    return lines + _block("Just short of a wish, and far cheaper", near, width)


def _next(worded, width):
    """The next kit up, what wishes cost, and how near the next change lies."""
    record, wording = worded.record, worded.wording
    lines, up = [], record.next_up
    if up:
        changes = [_step(step, wording) for step in up.adds]
        head = wrap(f"One step up, {wording.title(up.kit)} ({up.kit})", width, "", "  ")
        lines += ["", head, wrap("; ".join(changes) + ".", width, "  ", "    ")]
    lines += _block("What a wish costs", [wish_sentence(wish, wording) for wish in record.wishes], width)
    calls = [close_call_sentence(call, wording) for call in record.close_calls[:MOST_CALLS]]
    return lines + _block("A close call", calls, width)


def _near(near, wording):
    seen = [
        step
        for step in near.differences
        if wording.value(step.figure, step.pick) != wording.value(step.figure, step.kit)
    ]
    changes = [_step(step, wording) for step in seen]
    return f"{wording.title(near.kit)} ({near.kit}): {'; '.join([*changes, in_stock(near, 'kit')])}. {why_behind(near)}"


def _step(step, wording):
    return spoken_step(wording, step.figure, step.pick, step.kit)


def _parts(worded, width):
    """What it is bought with, line by line, and what that comes to."""
    if worded.pick is None:
        return []
    lines, wording = priced_lines(worded), worded.wording

    def told(line: PricedLine):
        price = wording.money(line.price, lines.currency) if line.price is not None else "price not on file: ask"
        name = f"{line.title} ({line.part})" if line.part else line.title
        as_a_rule = "Needed as a rule: " if line.likely else ""
        return f"{name}, {price}, {there(line.days)}. {as_a_rule}{line.why}".rstrip()

    out = _block("Certain", [told(line) for line in lines.certain], width)
    out += _block("May turn up once it is apart", [told(line) for line in lines.depend], width)
    optional = [part for part in worded.record.setup.parts if part.level == "optional"]
    out += _block("Worth having", [_part(part, worded) for part in optional], width)
    if lines.total is not None:
        out += _block("In all", [f"{sums_told(lines, wording)}; {all_there(lines)}."], width)
    return out


def _fitting(worded, width):
    """What is measured and done, how it is bedded in, and who fits it."""
    setup = worded.record.setup
    work = setup.measurements + setup.steps
    told_of = worded.told
    lines = _block("Must be done", [told_of(item) for item in work if item.level == "required"], width)
    lines += _block("To be looked at", [told_of(item) for item in work if item.level == "check"], width)
    lines += _block("Bedding in", [told_of(item) for item in setup.bedding_in], width)
    return lines + _block("Who fits it", [told_of(item) for item in setup.fitted_by], width)


def _part(part, worded):
    why = worded.told(part)
    if part.part is None:
        return f"{part.kind.replace('_', ' ')}: {why} None on file for this car: ask."
    stock = f"{part.stock:.0f} in stock" if part.stock else "not in stock"
    return f"{part.title} ({part.part}), {worded.wording.money(part.price, part.currency)}, {stock}. {why}"


def _given_up(worded, width):
    given = [worded.failure(check) + "." for check in worded.record.pick.given_up]
    return _block("Given up", given or ["Nothing."], width)


def _not_judged(worded, width):
    """Gentler kits that fail nothing and of which something is not known: none is dropped without a word."""
    picked = worded.kits[worded.pick].gentleness
    kits = [kit for kit in worded.record.fitting if kit.verdict == "unjudged" and kit.gentleness < picked]
    entries = []
    for kit in kits[:MOST_NOT_JUDGED]:
        why = "; ".join(dict.fromkeys(text for check in kit.unknown if (text := worded.lacking(check))))
        entries.append(f"{worded.wording.title(kit.id)} ({kit.id}): {why or 'something about it is not known'}.")
    if len(kits) > MOST_NOT_JUDGED:
        entries.append(f"And {len(kits) - MOST_NOT_JUDGED} more; why-not tells of each.")
    return _block("Gentler, and not judged", entries, width)


def _asks(worded, width):
    """What is to be found out, and how: the one thing that settles most stands first where the span tells."""
    asked, span = list(worded.record.asks), worded.record.span
    if not asked:
        return []
    settles = [narrowing.fact for narrowing in span.narrows] if span else []
    asked.sort(key=lambda name: settles.index(name) if name in settles else len(settles))
    lines = ["", wrap("One thing to find out before anything can be sold:", width)]
    for place, name in enumerate(asked):
        if place == 1:
            lines.append(wrap("Or, where that is not to be had:" if span else "And also:", width))
        question = worded.knowledge.questions.get(name)
        text = f"{question.plain} {question.help}" if question else worded.wording.label(name)
        lines.append(wrap(text, width, "  ", "    "))
    return lines


def _no_kit(worded, width):
    refusing = [dimension["sentence"] for dimension in refusing_dimensions(worded)[:4]]
    lines = _block("What refuses the kits", refusing, width)
    for number, conflict in enumerate(worded.record.no_fit.conflicts[:3], 1):
        entries = [_demand(worded, name) for name in conflict]
        lines += _block(
            f"Cannot be had together ({number})" if len(conflict) > 1 else f"Cannot be had ({number})", entries, width
        )
    changes = [change["sentence"] for change in worded.record.no_fit.changes[:4]]
    lines += _block("What would have to change", changes, width)
    near = [_correction(worded, correction) for correction in worded.record.no_fit.corrections[:3]]
    lines += _block("Nearest kits", near, width)
    car = [f"The record of this car lacks the {worded.wording.label(name)}." for name in worded.record.not_on_file[:5]]
    lines += _block("Look up for this car", car, width)
    maker = [f"{asked.kit}: {worded.wording.label(asked.field)}" for asked in worded.record.ask_maker[:5]]
    return lines + _block("Ask the maker", maker, width)


def _span(worded, width):
    return _block(
        "How far it may lie",
        span_sentences(worded.record.span, worded.wording, worded.pick, worded.record.case.answers, worded.record.asks),
        width,
    )


def _demand(worded, name):
    requirement = worded.requirements[name]
    return spoken_demand(worded, requirement)[:1].upper() + spoken_demand(worded, requirement)[1:] + "."


def _correction(worded, correction):
    kit = worded.kits[correction.kits[0]]
    failed = [worded.failure(check) for check in kit.refused_by]
    return f"{worded.wording.title(kit.id)} ({kit.id}) would do but for this. " + "; ".join(failed) + "."


def _cautions(worded, width):
    texts = [worded.told(caution) for caution in by_weight(worded.record.cautions)]
    return _block("Cautions", texts, width)


def _assumptions(worded, width):
    matter = [
        f"{worded.wording.label(assumed.fact)}: {worded.wording.value(assumed.fact, assumed.value)}. "
        "If it is otherwise, the advice changes."
        for assumed in worded.record.assumptions
        if assumed.matters
    ]
    others = [
        f"{worded.wording.label(assumed.fact)}: {worded.wording.value(assumed.fact, assumed.value)}"
        for assumed in worded.record.assumptions
        if not assumed.matters
    ]
    lines = _span(worded, width) + _block("Not known exactly", vague_sentences(worded), width)
    lines += _block("Assumed, and it matters", matter, width) + _stand_ins(worded, width)
    return lines + _block("Assumed besides", ["; ".join(others) + "."] if others else [], width)


def _stand_ins(worded, width):
    """What was taken for the pick where the maker's figure, or the car's record, is silent."""
    of_kit = worded.kits[worded.pick].stand_ins if worded.pick else ()
    sentences = stand_in_sentences((*of_kit, *worded.record.stand_ins), worded.wording)
    return _block("Taken, because it is not on file", sentences, width)


def _changed(worded, width):
    """Answers that were others when a result was told: for the lead."""
    return _block("Changed after a result: this goes to the shop lead", changed_sentences(worded), width)


def _contradictions(worded, width):
    texts = [
        " ".join(contradiction_sentences(contradiction, worded.wording))
        for contradiction in worded.record.contradictions
    ]
    return _block("Cannot all be true", texts, width)


def _denials(worded, width):
    texts = [
        f"{worded.wording.label(denial.fact)}: {worded.wording.value(denial.fact, denial.answer)} as answered, "
        f"{worded.wording.value(denial.fact, denial.platform)} on file. The answer counts."
        for denial in worded.record.denials
    ]
    return _block("Different from the car on file", texts, width)


#: Word -> the lines of its section, in the order in which all of them are shown.
_SECTIONS: dict[str, Callable[[WordedRecord, int], list[str]]] = {
    "why": _why,
    "not": _not,
    "next": _next,
    "parts": _parts,
    "fitting": _fitting,
    "assumptions": _assumptions,
    "cautions": _cautions,
}
#: What the rest of a decision is asked for with.
WORDS = tuple(_SECTIONS)
