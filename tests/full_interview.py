"""The long counts of the interview; `rows` is called by tests/full.py and gives (what, how many, result)."""

import tempfile
from pathlib import Path

import numpy as np

from .interview import callers, program, replay, shop, test_calls
from .interview.test_conversation import orders_that_differ, typed_at_random
from .interview.test_reading import random_lines, read_all

CALLERS = 300
REPLAYED = 100
ORDERS = 50
KILLS = 100
LINES = 5000


def _callers(count):
    """The callers of the shipped cases that name a car, then random ones."""
    found = [callers.caller_of(case) for case in shop.cases().values() if case.platform]
    return found + [callers.random_caller(shop.decider(), number) for number in range(count)]


def interviews(count=CALLERS):
    """Questions asked and picks kept, by the next useful question and in a fixed order.

    Random callers and completions are drawn out of the declared bands the questions are chosen by, the callers with
    their own seeds: that tells how well the choosing does where the bands are right. How it does where they are not
    is told by completions out of everything the vocabulary takes.
    """
    adaptive, fixed = shop.chooser(), shop.chooser(in_order=True)
    counts, kept, wide, early, wide_early, whole, ends = [], [], [], [], [], [], []
    for caller in _callers(count):
        done = callers.interview(adaptive, caller)
        counts.append(len(done.asked))
        kept.append(callers.kept(adaptive, done))
        wide.append(callers.kept(adaptive, done, whole_range=True))
        ends.append(done.view.standing.outcome)
        in_order = callers.interview(fixed, caller)
        whole.append(len(in_order.asked))
        cut = callers.cut_short(fixed, in_order, len(done.asked))
        early.append(callers.kept(fixed, cut))
        wide_early.append(callers.kept(fixed, cut, whole_range=True))
    worst = np.sort(kept)[: max(1, len(kept) // 20)].mean()
    median, most = float(np.median(counts)), max(counts)
    assert median <= 12 and most <= 24, (median, most)
    assert np.mean(kept) >= 0.97 and worst >= 0.90, (np.mean(kept), worst)
    number = len(counts)
    by_end = {end: [count for count, one in zip(counts, ends) if one == end] for end in sorted(set(ends))}
    told = "; ".join(
        f"{len(found)} end {end.replace('_', ' ')}, median {np.median(found):g}" for end, found in by_end.items()
    )
    return [
        ("interviews: questions asked", number, f"median {median:g}, most {most}; {told}"),
        (
            "completions of what was left unasked that keep the pick",
            number * 200,
            f"{np.mean(kept):.1%}, worst twentieth of interviews {worst:.1%}",
        ),
        (
            "the same, drawn from the whole sane range",
            number * 200,
            f"{np.mean(wide):.1%}, fixed order stopped after as many questions {np.mean(wide_early):.1%}",
        ),
        ("in a fixed order: questions asked", number, f"median {np.median(whole):g}, most {max(whole)}"),
        ("in a fixed order, stopped after as many questions: pick kept", number * 200, f"{np.mean(early):.1%}"),
    ]


def relevance(count=REPLAYED):
    """Every question asked could change the outcome when it was asked, decided again one by one."""
    asked = 0
    for number in range(count):
        done = callers.interview(shop.chooser(), callers.random_caller(shop.decider(), 10_000 + number))
        idle = replay.irrelevant(shop.chooser(), done)
        assert idle == [], (number, idle)
        asked += len(done.asked)
    return [("interviews replayed: every question could change the outcome", count, f"{asked} questions, none idle")]


def order(count=ORDERS):
    """The same answers in shuffled orders."""
    with tempfile.TemporaryDirectory() as folder:
        differing = orders_that_differ(Path(folder), count)
    assert differing == 0
    return [("shuffled orders of the same answers", count, "the same bytes")]


def typed_calls():
    """All calls typed as spoken, within the bounds the counter was promised."""
    every = test_calls.calls()
    assert len(every) == 12
    with tempfile.TemporaryDirectory() as folder:
        counted = []
        for number, call in enumerate(every):
            place = Path(folder, str(number))
            place.mkdir()
            counted.append(test_calls.held(call, place))
        test_calls.few_presses(counted)
        assert test_calls.refusals(every, counted) == [] == test_calls.other_ends(every, counted)
    presses = sorted(call[0] for call in counted)
    return [("calls typed as spoken", len(every), f"presses: {', '.join(map(str, presses))}")]


def kills(count=KILLS):
    """Interviews killed at random moments."""
    with tempfile.TemporaryDirectory() as folder:
        for number in range(1000, 1000 + count):
            missing, _ = program.lost(Path(folder), number)
            assert missing == [], (number, missing)
    return [("interviews killed at random moments", count, "no acknowledged answer missing")]


def lines(count=LINES):
    """Random strings as answers: read at six questions, and typed into one interview that goes on."""
    told = random_lines(count, seed=2)
    with tempfile.TemporaryDirectory() as folder:
        taken = typed_at_random(Path(folder), told)
    return [
        ("random strings read as answers at six questions", read_all(told), "read or refused, no traceback"),
        ("random strings typed into one interview", len(told), f"{taken} changed it; every one was answered"),
    ]


def rows():
    """All of the above."""
    return [*lines(), *typed_calls(), *order(), *kills(), *relevance(), *interviews()]
