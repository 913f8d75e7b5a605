"""Twelve calls typed as spoken: how many keys are pressed and how many questions asked until it stops by itself.

The bound, a median of fewer than 60 presses, is the one the counter was promised; a press is a character or an Enter.
"""

import functools
import statistics

import pytest
import yaml

from advisor.interview.interview_file import InterviewFile
from tests.conftest import ROOT

from . import shop
from .test_conversation import begin

#: Presses of a call at the median, and of the longest.
MEDIAN, MOST = 60, 120
#: Questions of a call at most.
QUESTIONS = 16


@functools.cache
def calls():
    """The calls as data, in order."""
    text = (ROOT / "tests" / "interview" / "calls.yaml").read_text(encoding="utf-8")
    return yaml.load(text, yaml.BaseLoader)["calls"]


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
def counted(tmp_path_factory):
    """What `held` gives of every call."""
    return [held(call, tmp_path_factory.mktemp("call")) for call in calls()]


def test_twelve_calls_are_typed_with_few_presses(counted):
    presses = [one[0] for one in counted]
    assert len(presses) == 12
    assert statistics.median(presses) < MEDIAN, presses
    assert max(presses) <= MOST, presses
    assert max(len(one[1]) for one in counted) <= QUESTIONS


def test_every_line_of_them_is_taken(counted):
    for call, (_, _, _, refused) in zip(calls(), counted):
        assert not refused, (call["who"], refused)


def test_each_comes_to_something(counted):
    for call, (_, _, talk, _) in zip(calls(), counted):
        outcome = talk.view.standing.outcome
        assert call["outcome"] in (outcome, "any"), (call["who"], outcome)
