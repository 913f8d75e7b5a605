"""Calls typed as spoken: how many keys are pressed and how many questions asked until it stops by itself.

Every third of twelve here, all of them in ``python -m tests.full interview``. The bound, a median of fewer than 60
presses, is the one the counter was promised; a press is a character or an Enter.
"""

import functools
import statistics

import pytest

from advisor.interview.interview_file import InterviewFile
from tests.conftest import ROOT
from tests.shipped import texts_of

from . import shop
from .test_conversation import begin

#: Presses of a call at the median, and of the longest.
MEDIAN, MOST = 60, 120
#: Questions of a call at most.
QUESTIONS = 16


@functools.cache
def calls():
    """The calls as data, in order."""
    return texts_of(ROOT / "tests" / "interview" / "calls.yaml")["calls"]


def held(call, folder):
    """(presses, questions asked, Talk at the end, refusals) of one call, typed until nothing more is asked."""
    with InterviewFile(folder / "case.yaml") as store:
        talk = begin(store, shop.chooser())
        presses, asked, refused, waiting = 0, [], [], list(call["say"])
        for _ in range(60):
            if talk.question is None:
                return presses, asked, talk, refused
            if waiting:
                line = waiting.pop(0)
            else:
                asked.append(talk.question)
                line = call["knows"].get(talk.question, "?")
            before = talk.state
            presses += len(line) + 1
            told = talk.take(line, 80)
            if talk.state is before:
                refused.append((line, told))
                talk.take("?", 80)
                presses += 2
        raise AssertionError(f"no end: {call['who']}, {asked}")


@pytest.fixture(scope="module")
def some():
    """The calls typed here."""
    return calls()[::3]


@pytest.fixture(scope="module")
def counted(some, tmp_path_factory):
    """What `held` gives of each."""
    return [held(call, tmp_path_factory.mktemp("call")) for call in some]


def test_calls_are_typed_with_few_presses(counted):
    assert len(counted) == 4
    few_presses(counted)


def few_presses(counted):
    """The median, the longest call and the questions of each are within bounds."""
    presses = [call[0] for call in counted]
    assert statistics.median(presses) < MEDIAN, presses
    assert max(presses) <= MOST, presses
    assert max(len(call[1]) for call in counted) <= QUESTIONS


def test_every_line_of_them_is_taken(some, counted):
    assert refusals(some, counted) == []


def refusals(some, counted):
    """(who, lines that were not taken) of the calls where there were any."""
    return [(call["who"], refused) for call, (_, _, _, refused) in zip(some, counted) if refused]


def test_each_comes_to_something(some, counted):
    assert other_ends(some, counted) == []


def other_ends(some, counted):
    """(who, outcome) of the calls that came to something else than they should."""
    ends = [(call, talk.view.standing.outcome) for call, (_, _, talk, _) in zip(some, counted)]
    return [(call["who"], outcome) for call, outcome in ends if call["outcome"] not in (outcome, "any")]
