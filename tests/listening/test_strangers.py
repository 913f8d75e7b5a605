"""Sentences of people who had not seen the program: nothing is taken that was not said, hardly anything left out."""

from tests.conftest import ROOT
from tests.listening.graded import counts, graded
from tests.listening.test_sentences import listener


def test_strangers_are_understood():
    """Every third of them; `tests.full understanding` takes all."""
    grades = graded(listener(), ROOT / "tests" / "listening" / "strangers.yaml", every=3)
    assert [(done.say, done.wrong) for done in grades if done.wrong] == []
    assert counts(grades)["right"] >= 0.92 * len(grades), [
        (done.say, done.missing, done.asked) for done in grades if done.word != "right"
    ]


def test_strangers_nobody_mended_by_are_understood():
    grades = graded(listener(), ROOT / "tests" / "listening" / "unseen.yaml")
    assert [(done.say, done.wrong) for done in grades if done.wrong] == []
    assert len(grades) == 80 and counts(grades)["right"] >= 73


def test_nothing_tempting_is_taken():
    grades = graded(listener(), ROOT / "tests" / "listening" / "tempting.yaml", every=9)
    assert [(done.say, done.wrong) for done in grades if done.wrong] == []
    assert counts(grades)["right"] >= 0.8 * len(grades)


NOTHING_OF_A_CAR = (
    "ref A-5512, call befor 5, cust paid 450 deposit in march",
    "what does the twin plate go for these days, is it still eighteen hundred like in the old catalogue?",
    "I'm on two sixty-five thirty-five nineteens all round",
    "built in 1998, two hundred and ten thousand on the clock, third owner",
    "I've been on hold twenty minutes, can you put me through to extension four hundred and six",
)


def test_talk_of_business_is_refused_without_far_fetched_readings():
    for text in NOTHING_OF_A_CAR:
        heard = listener().understand(text)
        assert not heard.facts, text
        assert [ask.readings for ask in heard.asks if ask.refusal] == [()], text
