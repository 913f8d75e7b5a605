"""One screen for the phone: what to sell, why, what is next to it, what goes in with it, what to say."""

from collections.abc import Mapping

from ...deciding.decision_record import DecisionRecord
from ...deciding.outcomes import MORE_ANSWERS, RECOMMENDED
from ...explaining.beside import in_stock, kind_down, why_behind
from ...explaining.changed_told import changed_sentences
from ...explaining.contradictions_told import contradiction_sentences
from ...explaining.declined import no_kit_lines, not_on_file
from ...explaining.made_from import made_from_lines
from ...explaining.span_told import span_sentences
from ...explaining.stand_ins_told import measure_first, stand_in_sentences
from ...explaining.vague_told import vague_sentences
from ...explaining.wishes_told import MOST_CALLS, close_call_sentence, near_miss_sentence, wish_sentence
from ...explaining.worded import WordedRecord
from ...knowledge.sentences import wrap
from ...knowledge.wording import Wording


def screen(record: DecisionRecord | Mapping[str, object], wording: Wording, width: int = 80, full: bool = False) -> str:
    """The screen for one `DecisionRecord` (or its JSON data), ``width`` columns wide at most.

    ``full``: with all that goes with the kit.
    """
    worded = WordedRecord(record, wording)
    lines = _head(worded, width)
    lines += _changed(worded, width)
    if worded.record.outcome == RECOMMENDED:
        lines += _pick(worded, width) + _neighbours(worded, width) + _setup(worded, width, full)
        lines += _given_up(worded, width)
        lines += _wishes(worded, width) + _span(worded, width)
    elif worded.record.outcome == MORE_ANSWERS:
        lines += _asks(worded, width) + _span(worded, width)
    else:
        lines += _span(worded, width) + _no_kit(worded, width)
    lines += _contradictions(worded, width) + _cautions(worded, width)
    lines += _block("Not known exactly", vague_sentences(worded), width)
    lines += _assumed(worded, width) + _stand_ins(worded, width) + _denials(worded, width)
    return "\n".join(lines) + "\n"


def _block(title, entries, width):
    """A heading and entries under it, each wrapped with a hanging indent."""
    return ["", title, *(wrap(entry, width, "  ", "    ") for entry in entries)] if entries else []


def _head(worded, width):
    case = worded.record.case
    car = worded.wording.title(case.platform) if case.platform else not_on_file(worded.record)
    lines = [wrap(f"{car}, case {case.id}", width)]
    return lines + [wrap(line, width) for line in made_from_lines(worded.record)]


def _stock(fields):
    stock = fields.get("stock")
    if stock:
        return f"{stock:.0f} in stock"
    lead = fields.get("lead_time_days")
    return f"not in stock, {lead:.0f} days" if lead else "not in stock"


def _pick(worded, width):
    kit = worded.kits[worded.pick]
    fields = worded.wording.records[kit.id].fields
    figures = kit.figures
    currency = fields.get("currency", "")
    factory = fields.get("factory")
    headline = (
        "No upgrade is needed: the factory clutch is enough." if factory else "The least clutch that does the job:"
    )
    measure = measure_first(kit, worded.record, worded.wording)
    if measure:
        headline = f"{headline[:-1]}, if it measures as it is estimated{headline[-1]}"
    lines = ["", wrap(headline, width), wrap(worded.wording.title(kit.id), width, "  ", "    ")]
    price = f"{kit.id}: {worded.wording.money(fields.get('price'), currency)}"
    total = figures.get("total_price")
    if total is not None and total != fields.get("price"):
        price += f", {worded.wording.money(total, currency)} with what must go with it"
    lines.append(wrap(f"{price}; {_stock(fields)}.", width, "  ", "    "))
    lines += _block("Measure before it is ordered", measure, width)
    lines += _block("Why this one", [_reason(worded, reason) for reason in worded.record.pick.because], width)
    feel = []
    for name in ("holding_margin", "holding_probability", "pedal_force_n", "take_up_window_mm", "thrust_pressure_mpa"):
        if name in figures:
            mark = " (estimated)" if name in kit.estimated_figures else ""
            feel.append(f"{worded.wording.label(name)} {worded.wording.value(name, figures[name])}{mark}")
    return lines + _block("In figures", ["; ".join(feel) + "."], width)


def _reason(worded, reason):
    requirement = worded.requirements[reason.requirement]
    sentence = worded.sentence(requirement.rule)
    if requirement.source == "figure" and reason.actual is not None:
        return f"{sentence} It has {worded.wording.value(requirement.measure, reason.actual)}."
    return sentence


def _neighbours(worded, width):
    lines = []
    down, up = worded.record.next_down, worded.record.next_up
    if down:
        entries = [worded.failure(check) + "." for check in down.fails[:3]]
        if len(down.fails) > 3:
            entries.append(f"and {len(down.fails) - 3} more; see --full.")
        which = kind_down(down.before_by)
        lines += _block(f"Why not the {which}, {worded.wording.title(down.kit)} ({down.kit})", entries, width)
        lines[1] = wrap(lines[1], width, "", "  ")
    if up:
        changes = [_step(step, worded.wording) for step in up.adds]
        head = wrap(f"One step up, {worded.wording.title(up.kit)} ({up.kit})", width, "", "  ")
        lines += ["", head, wrap("; ".join(changes) + ".", width, "  ", "    ")]
    return lines + _block("Nearly the same", [_near(near, worded.wording) for near in worded.record.near_equals], width)


def _near(near, wording):
    seen = [
        step
        for step in near.differences
        if wording.value(step.figure, step.pick) != wording.value(step.figure, step.kit)
    ]
    changes = [_step(step, wording) for step in seen]
    return f"{wording.title(near.kit)} ({near.kit}): {'; '.join([*changes, in_stock(near, 'kit')])}. {why_behind(near)}"


def _step(step, wording):
    return f"{wording.label(step.figure)} {wording.step(step.figure, step.pick, step.kit)}"


def _setup(worded, width, full):
    setup = worded.record.setup
    required = [part for part in setup.parts if part.level == "required"]
    lines = _block("Must go with it", [_part(part, worded) for part in required], width)
    others = (("check", "Check, and replace unless like new"), ("optional", "Worth having"))
    done = [item for item in setup.measurements + setup.steps if item.level == "required"]
    who = [f"{item.who.replace('_', ' ')}: {item.text}" for item in setup.fitted_by]
    bedding = [item.text for item in setup.bedding_in]
    if full:
        for level, head in others:
            lines += _block(head, [_part(part, worded) for part in setup.parts if part.level == level], width)
        lines += _block("Must be done", [item.text for item in done], width)
        return lines + _block("Bedding in", bedding, width) + _block("Who fits it", who, width)
    sentences = []
    for level, head in others:
        kinds = dict.fromkeys(part.kind.replace("_", " ") for part in setup.parts if part.level == level)
        if kinds:
            sentences.append(f"{head}: {', '.join(kinds)}.")
    if done:
        sentences.append(f"{len(done)} measurements and steps for the fitter; --full lists them.")
    return lines + _block("With the fitting", sentences + bedding + who, width)


def _part(part, worded):
    if part.part is None:
        return f"{part.kind.replace('_', ' ')}: {part.text} None on file for this car: ask."
    stock = f"{part.stock:.0f} in stock" if part.stock else "not in stock"
    return f"{part.title} ({part.part}), {worded.wording.money(part.price, part.currency)}, {stock}. {part.text}"


def _given_up(worded, width):
    given = [worded.failure(check) + "." for check in worded.record.pick.given_up]
    return _block("Given up", given or ["Nothing."], width)


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
    lines = ["", *(wrap(line, width) for line in no_kit_lines(worded.record))]
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


def _wishes(worded, width):
    """What wishes cost, kits that miss one by a little, and how near the next change lies."""
    record, wording = worded.record, worded.wording
    lines = _block("What a wish costs", [wish_sentence(wish, wording) for wish in record.wishes], width)
    near = [near_miss_sentence(miss, worded.requirements[miss.requirement], wording) for miss in record.near_misses]
    calls = [close_call_sentence(call, wording) for call in record.close_calls[:MOST_CALLS]]
    return lines + _block("Just short of a wish, and far cheaper", near, width) + _block("A close call", calls, width)


def _span(worded, width):
    return _block("How far it may lie", span_sentences(worded.record.span, worded.wording, worded.pick), width)


def _demand(worded, name):
    requirement = worded.requirements[name]
    return f"{worded.wording.label(requirement.measure)}: {worded.needed(requirement)}."


def _correction(worded, correction):
    kit = worded.kits[correction.kits[0]]
    failed = [worded.failure(check) for check in kit.refused_by]
    return f"{worded.wording.title(kit.id)} ({kit.id}) would do but for this. " + "; ".join(failed) + "."


def _cautions(worded, width):
    return _block("Cautions", [caution.text for caution in worded.record.cautions], width)


def _assumed(worded, width):
    matter = [
        f"{worded.wording.label(assumed.fact)}: {worded.wording.value(assumed.fact, assumed.value)}. "
        "Ask: another answer changes the advice."
        for assumed in worded.record.assumptions
        if assumed.matters
    ]
    return _block("Assumed, and it matters", matter, width)


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
