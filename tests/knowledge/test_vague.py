"""Numbers said as a range, as about, or with one end: what is read, what is refused, what is kept of it."""

import pytest

from advisor.errors import QuantityError
from advisor.knowledge import given_answers, quantities, vague
from advisor.knowledge.case_model import Answer
from advisor.knowledge.model import Fact
from advisor.knowledge.wording import Wording
from advisor.listening.understanding import Listener

from ..interview import shop

FACTS = shop.knowledge().facts

READ = [
    ("engine_torque", "400 to 450 Nm", (400.0, 425.0, 450.0)),
    ("engine_torque", "400-450 Nm", (400.0, 425.0, 450.0)),
    ("engine_torque", "400 \u2013 450 Nm", (400.0, 425.0, 450.0)),
    ("engine_torque", "between 400 and 450 Nm", (400.0, 425.0, 450.0)),
    ("engine_torque", "about 400 to 450 Nm", (400.0, 425.0, 450.0)),
    ("engine_torque", "400 Nm to 0.5 kN m", (400.0, 450.0, 500.0)),
    ("engine_torque", "about 400 Nm", (380.0, 400.0, 420.0)),
    ("engine_torque", "~ 400 Nm", (380.0, 400.0, 420.0)),
    ("engine_torque", "ca. 403 Nm", (382.0, 403.0, 424.0)),  # outwards to whole newton metres
    ("engine_torque", "400 Nm or so", (380.0, 400.0, 420.0)),
    ("engine_torque", "just over 400 Nm", (400.0, 400.0, 420.0)),
    ("engine_torque", "nearly 400 Nm", (380.0, 400.0, 400.0)),
    ("engine_torque", "at least 400 Nm", (400.0, 400.0, 500.0)),
    ("engine_torque", "400 Nm or more", (400.0, 400.0, 500.0)),
    ("engine_torque", "up to 400 Nm", (320.0, 400.0, 400.0)),
    ("engine_torque", "about 20 Nm", (20.0, 20.0, 21.0)),  # cut at the sane range
    ("torque_growth_percent", "at most 15 %", (0.0, 15.0, 15.0)),  # may be nothing at all
    ("launch_speed_rpm", "3000 to 3500", (3000.0, 3250.0, 3500.0)),  # the name carries the unit
    ("hard_launches_per_day", "2 to 4", (2.0, 3.0, 4.0)),
    ("boost_pressure", "0.9 to 1.1 bar", (0.9, 1.0, 1.1)),
    ("budget", "600 to 900", (600.0, 750.0, 900.0)),
    ("engine_torque", {"value": "430 Nm", "low": "400 Nm", "high": "470 Nm"}, (400.0, 430.0, 470.0)),
]


@pytest.mark.parametrize("fact, raw, wanted", READ, ids=[str(raw) for _, raw, _ in READ])
def test_what_is_read(fact, raw, wanted):
    answer = given_answers.read_answer(FACTS[fact], raw)
    assert (answer.low, answer.value, answer.high) == pytest.approx(wanted, abs=1e-9)


def test_where_both_ends_are_one_it_is_exact():
    for text in ("430 to 430 Nm", "about 0 %", "430 Nm"):
        fact = FACTS["torque_growth_percent" if "%" in text else "engine_torque"]
        assert given_answers.read_answer(fact, text).low is None
    # What somebody will spend is a limit by itself.
    assert given_answers.read_answer(FACTS["budget"], "at most 900") == Answer(900.0)


REFUSED = [
    ("engine_torque", "450 to 400 Nm", "smaller number first"),
    ("engine_torque", "about 10 Nm", "outside the sane range"),
    ("engine_torque", "10 to 400 Nm", "outside the sane range"),
    ("engine_torque", "400 and 450 Nm", "not known"),
    ("engine_torque", "1,400 to 1,500 Nm", "comma"),
    ("engine_torque", "about", "does not begin with a number"),
    ("engine_torque", "about unknown", "does not begin with a number"),
    ("engine_torque", "400 to 450", "no unit"),
    ("engine_torque", "at least 400 to 450 Nm", "is not known"),
    ("pedal_travel", "5-1/2 in", "sum"),  # five and a half, or five to half an inch
    ("cylinders", "about 4", "does not begin with a number"),  # nobody has about four cylinders
    ("budget", "at least 900", "the most that may be spent"),
    ("engine_torque", {"value": "430 Nm", "low": "440 Nm", "high": "470 Nm"}, "low, value and high in order"),
    ("engine_torque", {"value": "430 Nm", "low": "400 Nm"}, "only one of low and high"),
    ("engine_torque", {"value": "about 430 Nm", "low": "400 Nm", "high": "470 Nm"}, "not one number"),
    ("main_use", {"value": "daily", "low": "1", "high": "2"}, "is no number"),
]


@pytest.mark.parametrize("fact, raw, words", REFUSED, ids=[str(raw) for _, raw, _ in REFUSED])
def test_what_is_refused_and_how_it_is_mended(fact, raw, words):
    with pytest.raises(QuantityError) as caught:
        given_answers.read_answer(FACTS[fact], raw)
    assert words in str(caught.value) and fact in str(caught.value)


def test_records_and_rules_hold_no_vague_numbers():
    with pytest.raises(QuantityError):
        quantities.read_value(FACTS["engine_torque"], "about 430 Nm")


def test_a_vague_number_is_inside_its_ends_whatever_the_range():
    fact = Fact("x", "number", "x", "asked", unit="1", low=1.0, high=10.0, resolution=1.0)
    for text in ("about 1", "about 10", "at least 10", "at least 9", "up to 1", "nearly 10", "just over 1"):
        answer = given_answers.read_answer(fact, text)
        low, high = (answer.value if end is None else end for end in (answer.low, answer.high))
        assert 1.0 <= low <= answer.value <= high <= 10.0, text


def test_the_room_that_listens_hears_the_same_ends():
    listener = Listener(shop.knowledge(), ())
    for text in ("400 to 450 Nm", "about 403 Nm", "just over 400 Nm", "nearly 400 Nm"):
        (heard,) = [one for one in listener.understand(f"it makes {text}", "").facts if one.fact == "engine_torque"]
        answer = given_answers.read_answer(FACTS["engine_torque"], text)
        assert (heard.low, heard.high) == (answer.low, answer.high), text


def test_it_is_worded_with_its_ends():
    wording = Wording(shop.knowledge())
    assert wording.vague("engine_torque", 425.0, 400.0, 450.0) == "425 N m, could be 400 to 450 N m"
    assert wording.vague("engine_torque", 425.0, None, None) == "425 N m"
    assert wording.band("torque_growth_percent", 0.0, 5.0) == "0 to 5 %"


def test_taking_apart_never_fails():
    for text in (
        "",
        " ",
        "-",
        "to",
        "a to b",
        "~",
        "about about 4",
        "1" * 80,
        "5 to",
        "to 5",
        "\u2013 5",
        "or so",
        "ish",
    ):
        found = vague.taken_apart(text)
        assert found is None or all(isinstance(one, str) for one in found.texts)
