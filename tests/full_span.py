"""The span against people whose whole truth is known; `rows` is called by tests/full.py and gives (what, how many,
result).

*Between* goes by harshness, discs and clamp load in the ladder's steps, without price or stock: a truth's kit lies
between the ends where it is no gentler than the gentle end and no harsher than the careful end. Where no kit does the
job in 95 of 100 completions the careful end is open, and counts as lying above every kit; how often is told.
"""

import dataclasses
import time

import numpy as np

from advisor.deciding import ladder
from advisor.deciding.judging import WISHES_TOPIC
from advisor.deciding.outcomes import RECOMMENDED
from advisor.deciding.recording import record, to_json
from advisor.deciding.span import PICKED

from .callers import assumptions_judged, plain_decider_of
from .simulated.callers import caller

PEOPLE = 2000
TIMED = 100


def places(kits):
    """(harshness, discs, step of clamp load) of each kit, as tuples in the order of the columns."""
    shape = (1, len(kits))
    keys = [
        np.broadcast_to(kits.table(ladder.HARSHNESS).values, shape)[0],
        np.broadcast_to(kits.field("discs").values, shape)[0],
        ladder.step_number(kits.field("clamp_load").values[0].astype(float), kits.order.steps["clamp_load"]),
    ]
    return {kit: tuple(float(key[index]) for key in keys) for index, kit in enumerate(kits.ids)}


def measured(decider, people):
    """Counts over ``people``: dict of numbers."""
    found = dict.fromkeys(
        (
            "people",
            "no car or use",
            "dead ends",
            "spans",
            "between",
            "careful open",
            "careful",
            "holds",
            "suits",
            "default",
            "no kit",
        ),
        0,
    )
    widths, where = [], places(decider.kits)
    for person in people:
        found["people"] += 1
        case = person.case(decider.knowledge)
        platform, known = decider.gather(case)
        if known.missing or known.declined:
            found["no car or use"] += 1
            continue
        truth_platform, truth = decider.gather(person.full_case(decider.knowledge))
        true = decider.batch.run([truth], truth_platform, ask_first=False)
        if true.outcomes[0].outcome != RECOMMENDED:
            found["no kit"] += 1
            continue
        span = decider.spanner.span(platform, known)
        if span is None:
            found["dead ends"] += 1
            continue
        found["spans"] += 1
        best = where[true.outcomes[0].pick]
        low = where[span.gentle.kit] if span.gentle.kit else None
        high = where[span.careful.kit] if span.careful.kit else None
        found["between"] += low is not None and low <= best and (high is None or best <= high)
        if high is None:
            found["careful open"] += 1
        else:
            found["careful"] += 1
            place = true.kits.index.get(span.careful.kit)
            found["suits"] += place is not None and bool(true.passes[0, place])
            # What nobody told of his wishes is no part of the job: there the truth puts up with anything.
            easy = dataclasses.replace(truth, facts={**truth.facts, **_puts_up_with(decider, truth, known)})
            job = decider.batch.run([easy], truth_platform, ask_first=False)
            place = job.kits.index.get(span.careful.kit)
            found["holds"] += place is not None and bool(job.passes[0, place])
            widths.append(_width(decider, platform, known, where, low, high))
        found["default"] += (
            decider.batch.run([known], platform, ask_first=False).outcomes[0].pick == true.outcomes[0].pick
        )
    return found, widths


def _puts_up_with(decider, truth, known):
    """The most tolerant choice of every wish that the truth has and nobody told."""
    facts = decider.knowledge.facts
    return {
        name: facts[name].choices[-1]
        for name, question in decider.knowledge.questions.items()
        if question.topic == WISHES_TOPIC and facts[name].choices and name in truth.facts and name not in known.answered
    }


def _width(decider, platform, known, where, low, high):
    """Kits apart, from the gentle to the careful end, among those that are picked in 5 % of the completions or more."""
    drawn = decider.spanner.completer.draw(known)
    batched = decider.batch.run_columns(drawn.given, drawn.answered, drawn.missing, platform, lean=True, discard=True)
    picks = batched.picks[batched.picks >= 0]
    counts = {}
    for pick in picks:
        step = where[batched.kits.ids[pick]]
        counts[step] = counts.get(step, 0) + 1
    often = {step for step, count in counts.items() if count >= PICKED * len(batched.picks)}
    return len({step for step in often | {low, high} if step is not None and (low or step) <= step <= high})


def cost(decider, people):
    """CPU of a span over that of the decision with its record without it, of each caller with a pick."""
    ratios = []
    for person in people:
        case = person.case(decider.knowledge)
        platform, known = decider.gather(case)
        if known.missing or known.declined:
            continue
        times = []
        for _ in range(2):
            start = time.process_time()
            decision = decider.decide(case)
            to_json(record(decision, assumptions_judged(decider, decision)))
            middle = time.process_time()
            decider.spanner.span(platform, known)
            times.append((time.process_time() - middle) / (middle - start))
        if decision.outcome == RECOMMENDED:
            ratios.append(min(times))
    return np.array(ratios)


def rows(count=PEOPLE):
    """(what, how many, result) for the report."""
    from advisor.deciding.decide import decider_of
    from advisor.knowledge.sources import Sources, read

    content = read(Sources.chosen(), cache=False)
    decider = plain_decider_of(content)
    found, widths = measured(decider, (caller(seed, content.platforms) for seed in range(count)))
    spans = max(1, found["spans"])
    yield "people, of whom car or use are not known", found["people"], found["no car or use"]
    yield "people whose truth no kit on file carries, left out", found["people"], found["no kit"]
    yield (
        "dead ends where car and use are known (0)",
        found["people"],
        _judged(found["dead ends"], found["dead ends"] == 0),
    )
    between = found["between"] / spans
    yield "kit for the truth between the ends (at least 95 %)", spans, _judged(f"{between:.1%}", between >= 0.95)
    yield "careful end open: no kit does the job in 95 of 100", spans, f"{found['careful open'] / spans:.1%}"
    holds = found["holds"] / max(1, found["careful"])
    yield (
        "careful end does the job for the truth (at least 97 %)",
        found["careful"],
        _judged(f"{holds:.1%}", holds >= 0.97),
    )
    yield (
        "careful end passes all musts of the truth, its untold wishes too",
        found["careful"],
        f"{found['suits'] / max(1, found['careful']):.1%}",
    )
    if widths:
        yield (
            "width of the span in kits, median (at most 2), mean",
            len(widths),
            _judged(f"{np.median(widths):.0f}, {np.mean(widths):.2f}", np.median(widths) <= 2),
        )
    yield "the kit for the truth by fixed defaults alone", spans, f"{found['default'] / spans:.1%}"
    ratios = cost(decider_of(content), (caller(seed, content.platforms) for seed in range(TIMED)))
    yield (
        "CPU of a span over a decision with its record, median, most",
        len(ratios),
        f"{np.median(ratios):.2f}, {ratios.max():.2f}",
    )


def _judged(text, good):
    return str(text) if good else f"FAILED: {text}"
