"""Sentences of people who had not seen the program: nothing is taken that was not said, hardly anything left out."""

from tests.conftest import ROOT
from tests.listening.graded import counts, graded
from tests.listening.test_sentences import LISTENER


def test_strangers_are_understood():
    grades = graded(LISTENER, ROOT / "tests" / "listening" / "strangers.yaml")
    assert [(done.say, done.wrong) for done in grades if done.wrong] == []
    assert counts(grades)["right"] >= 200, [
        (done.say, done.missing, done.asked) for done in grades if done.word != "right"
    ]
