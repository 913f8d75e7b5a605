"""Callers who know their car but say "don't know" to one question in four, and what becomes of them."""

import dataclasses
import hashlib
import time
from dataclasses import dataclass, field

import numpy as np

from advisor.deciding import plausible_draws
from advisor.interview.state import Said, State

#: Share of questions a random caller cannot answer.
DO_NOT_KNOW = 0.25


@dataclass
class Caller:
    """``truth``: fact -> value; ``silent``: facts the caller does not know; ``told``: what is volunteered at once."""

    car: str
    truth: dict
    silent: frozenset = frozenset()

    def answer(self, name):
        """What the caller says to a question."""
        if name in self.silent or name not in self.truth:
            return Said(name, "unknown", None)
        return Said(name, "", self.truth[name])


@dataclass
class Interview:
    """One finished interview: the last State and Outlook, questions with the Outlook at each, seconds of CPU."""

    state: State
    view: object
    asked: list = field(default_factory=list)
    seconds: list = field(default_factory=list)


def random_caller(decider, number, *, do_not_know=DO_NOT_KNOW):
    """The ``number``-th caller: a car of the shop, a truth out of the declared bands, don't know by chance."""
    rng = np.random.default_rng([20251125, number])
    platforms = decider.shop.platforms
    car = platforms[int(rng.integers(len(platforms)))]
    _, known = decider.gather(State("x", car=car.id).as_case())
    settled = {name: value for name, value in known.facts.items() if known.origins[name] != "assumed"}
    truth = {}
    for name in decider.knowledge.questions:
        if name in known.open:
            fact = decider.knowledge.facts[name]
            band = plausible_draws.band(fact, settled, decider.shop.kits)
            if band is None:
                continue
            band = dataclasses.replace(band, none=0.0)
            truth[name] = settled[name] = _value(fact, band, rng.random())
    silent = frozenset(name for name in truth if rng.random() < do_not_know)
    return Caller(car.id, truth, silent)


def caller_of(case):
    """The caller of a shipped case: knows what the case says and nothing else."""
    return Caller(case.platform, {name: answer.value for name, answer in case.answers.items()})


def _value(fact, band, share):
    drawn, _ = band.draw(np.array([share]))
    return band.values[drawn[0]] if band.values else float(drawn[0])


def interview(chooser, caller, most=80):
    """Interview a caller until it stops by itself.

    One who is asked again, because two answers cannot both be true, says the same again: then the harder reading
    decides, or, where there is none, the question is put off.
    """
    state = State("x", car=caller.car)
    done = Interview(state, None)
    for _ in range(most):
        started = time.process_time()
        view = chooser.view(state)
        done.seconds.append(time.process_time() - started)
        done.state, done.view = state, view
        if view.question is None:
            return done
        if view.question in state.said:
            state = _insisting(state, view)
            continue
        done.asked.append((view.question, view, state))
        state = state.with_answers([caller.answer(view.question)], {})
    raise AssertionError(f"no end after {most} questions")


def _insisting(state, view):
    """The State of who stays with what was said, where it is asked for again."""
    harder = {clash.id for clash in view.known.clashes.clashes if clash.harder}
    if harder <= set(state.insist):
        return dataclasses.replace(state, later=(*state.later, view.question))
    return dataclasses.replace(state, insist=tuple(sorted({*state.insist, *harder})))


def kept(chooser, done, count=200, *, whole_range=False):
    """Share of ``count`` random completions of what was left unasked that keep the pick."""
    sampler, knowledge = chooser.sampler, chooser.knowledge
    platform, known = chooser.decider.gather(done.state.as_case())
    facts = sampler.open_facts(done.state, known)
    if not facts:
        return 1.0
    found = (
        {name: plausible_draws.whole_range(knowledge.facts[name], chooser.decider.shop.kits) for name in facts}
        if whole_range
        else sampler.bands_of(facts, known)
    )
    seed = int.from_bytes(hashlib.sha256(repr(sorted(done.state.said)).encode()).digest()[:4], "big")
    rng = np.random.default_rng([4711, seed])
    drawn = {}
    for name in facts:
        fact, band = knowledge.facts[name], found[name]
        values, there = band.draw(rng.random(count))
        drawn[name] = band.coded(fact, values, there)
    given, answered, missing = sampler.columns(known, drawn, count)
    outcomes = sampler.batch.run_columns(given, answered, missing, platform).outcomes
    return sum(one[:2] == outcomes[0][:2] for one in outcomes[1:]) / count


def summary(chooser, callers, *, whole_range=False):
    """Figures over many interviews: dict of numbers for a table."""
    counts, shares, wide, seconds, undecided = [], [], [], [], 0
    for caller in callers:
        done = interview(chooser, caller)
        counts.append(len(done.asked))
        seconds += done.seconds
        shares.append(kept(chooser, done))
        undecided += done.view.standing.outcome == "need_more_answers"
        if whole_range:
            wide.append(kept(chooser, done, whole_range=True))
    order = np.sort(shares)
    worst = order[: max(1, len(order) // 20)]
    return {
        "interviews": len(counts),
        "median": float(np.median(counts)),
        "most": max(counts),
        "kept": float(np.mean(shares)),
        "kept_worst_twentieth": float(np.mean(worst)),
        "kept_whole_range": float(np.mean(wide)) if wide else None,
        "undecided": undecided,
        "cpu_median": float(np.median(seconds)),
        "cpu_95": float(np.quantile(seconds, 0.95)),
        "counts": counts,
        "shares": shares,
    }


def cut_short(chooser, done, count):
    """The Interview as it stood after ``count`` questions."""
    if count >= len(done.asked):
        return done
    _, view, state = done.asked[count]
    return Interview(state, view, done.asked[:count])
