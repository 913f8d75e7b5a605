"""Sentences as spoken at a counter: everything in them that may be taken is taken, and nothing else."""

import functools

import pytest

from advisor.knowledge import quantities
from advisor.listening.understanding import Listener
from tests.conftest import ROOT
from tests.each import each
from tests.interview import shop
from tests.listening.graded import graded
from tests.shipped import texts_of

FILES = tuple(
    ROOT / "tests" / "listening" / name
    for name in ("sentences.yaml", "telephone.yaml", "everyday.yaml", "use_and_engine.yaml")
)


@functools.cache
def listener():
    """Hears what is said by the shipped vocabulary."""
    return Listener(shop.knowledge(), shop.stock().platforms)


def sentences():
    return [row for file in FILES for row in texts_of(file)["sentences"]]


def expected(name, raw):
    """(value, low, high) of what a sentence must give; about: only that the value lies in the band."""
    fact = listener().facts[name]
    if not isinstance(raw, dict):
        return quantities.read_value(fact, raw), None, None
    if "about" in raw:
        return quantities.read_value(fact, raw["about"]), "about", "about"
    low, high = (quantities.read_value(fact, raw[end]) for end in ("low", "high"))
    return None, low, high


@each(lambda: [(row["say"], row) for row in sentences()])
def test_what_is_taken(row):
    assert all(name in listener().facts for name in row.get("needs", ())), f"the vocabulary has no {row['needs']}"
    understood = listener().understand(row["say"], row.get("about", ""))
    heard = {one.fact: one for one in understood.facts}
    assert set(heard) == set(row["takes"]), (heard, understood.asks)
    for name, raw in row["takes"].items():
        value, low, high = expected(name, raw)
        one = heard[name]
        if low == "about":
            assert one.low <= value <= one.high and one.low < one.high and one.low <= one.value <= one.high, one
        elif low is not None:
            assert (one.low, one.high) == (pytest.approx(low), pytest.approx(high)) and low < one.value < high
        else:
            assert one.value == (pytest.approx(value) if isinstance(value, float) else value) and not one.rough, one
    asked = {name for one in understood.asks for name in one.facts}
    assert set(row.get("asks", ())) <= asked, understood.asks
    left = " | ".join(understood.left_over)
    for words in row.get("leaves", ()):
        assert words in left, left
    assert not left or row.get("leaves") != [], left


def test_every_fact_is_heard_in_many_ways():
    grades = graded(listener(), ROOT / "tests" / "listening" / "by_facts.yaml")
    assert [done for done in grades if done.word != "right"] == []


def test_what_does_not_come_in_below_a_speed_comes_in_from_it():
    understood = listener().understand("a 100 horsepower shot of nitrous, doesn't come in below 3500 revs")
    (speed,) = [heard for heard in understood.facts if heard.fact == "nitrous_speed_rpm"]
    assert (speed.value, speed.low, speed.high) == (3500, 3500, None)


def test_what_does_not_come_in_under_a_speed_comes_in_from_it():
    understood = listener().understand("seventy shot of nitrous, and it doesn't come in under three thousand")
    (speed,) = [heard for heard in understood.facts if heard.fact == "nitrous_speed_rpm"]
    assert (speed.value, speed.low, speed.high) == (3000, 3000, None)


def test_a_pitch_circle_without_a_unit_is_in_millimetres():
    (pattern,) = listener().understand("cover bolts are six M8 on a 230 PCD").facts
    fact = listener().facts["bolt_pattern"]
    assert quantities.read_value(fact, pattern.value) == quantities.read_value(fact, "6 x M8 on 230 mm")


def test_a_size_that_is_no_number_is_no_thickness_of_bolts():
    (pattern,) = listener().understand("six bolts, 8a9 mil, PCD 260").facts
    assert pattern.value == "6 bolts on 260 mm"
