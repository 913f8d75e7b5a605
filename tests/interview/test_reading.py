"""What people type: names, quantities, several answers, don't know, and lines nobody should send."""

import random
import string

import pytest
from hypothesis import given, settings, strategies as st

from advisor.errors import InputError
from advisor.interview.reading import lines_of
from advisor.interview.state import Aside, Said
from advisor.interview.typed_orders import ORDERS, TypedOrder

from . import shop

READER = shop.reader()


def told(text, current=None):
    """fact -> value of what a text says."""
    return {one.fact: one.value for one in READER.read(text, current) if not isinstance(one, Aside)}


@pytest.mark.parametrize(
    "text, current, expected",
    [
        ("430 Nm", "engine_torque", {"engine_torque": 430.0}),
        # 317 lb-ft: 1 lb-ft is 1.3558179483314004 N m exactly (NIST SP 811, appendix B).
        ("317 lb-ft", "engine_torque", {"engine_torque": pytest.approx(317 * 1.3558179483314004, rel=1e-12)}),
        ("about 430 newton metres", "engine_torque", {"engine_torque": 430.0}),
        # 1 hp = 550 ft lbf/s = 745.69987158227022 W (NIST SP 811).
        (
            "engine_power = 380 hp at 6500 rpm",
            None,
            {"engine_power": pytest.approx(380 * 0.74569987158227022), "engine_power_speed_rpm": 6500.0},
        ),
        (
            "380 horses at 6500 rpm",
            "engine_power",
            {"engine_power": pytest.approx(380 * 0.74569987158227022), "engine_power_speed_rpm": 6500.0},
        ),
        ("430 Nm at the wheels", "engine_torque", {"engine_torque": 430.0, "torque_measured_at": "wheels"}),
        (
            "torque = 430 Nm; use = daily, noise=quiet",
            None,
            {"engine_torque": 430.0, "main_use": "daily", "noise_tolerance": "quiet"},
        ),
        ("engine torque 430 Nm", "main_use", {"engine_torque": 430.0}),
        ("standard", "engine_torque", {"engine_state": "standard"}),
        ("430,5 Nm", "engine_torque", {"engine_torque": 430.5}),  # 4305 is outside the sane range
        (
            "it makes four hundred and thirty newton metres at the wheels",
            "engine_torque",
            {"engine_torque": 430.0, "torque_measured_at": "wheels"},
        ),
        (
            "420 Nm, daily driver, the garage is fitting it",
            "main_use",
            {"engine_torque": 420.0, "main_use": "daily", "installer": "professional"},
        ),
        (
            "it's a Bramble, 420 Nm, chipped",
            "car",
            {"car": "bramble-20t", "engine_torque": 420.0, "engine_state": "modified", "engine_changes": "chip"},
        ),
        ("dunno mate", "engine_torque", {"engine_torque": None}),
        ("2", "main_use", {"main_use": "weekend_road"}),
        ("week", "main_use", {"main_use": "weekend_road"}),
        ("Road Course", "main_use", {"main_use": "road_course"}),
        ("all", "driven_axle", {"driven_axle": "all"}),
        ("180", "thrust_arc_deg", {"thrust_arc_deg": 180.0}),
        ("nope", "sanctioned_racing", {"sanctioned_racing": False}),
        ("Y", "sanctioned_racing", {"sanctioned_racing": True}),
        ("none", "towed_mass", {"towed_mass": 0.0}),
        ("no", "budget", {"budget": None}),
        ("dunno", "engine_torque", {"engine_torque": None}),
        ("don\u2019t know", "main_use", {"main_use": None}),
        ("noise = ?", "main_use", {"noise_tolerance": None}),
        ("23 x 26 mm", "spline", {"spline": "23 x 26 mm"}),
        ("engine_torque = 300 Nm", "spline", {"engine_torque": 300.0}),
        ("bramble", "car", {"car": "bramble-20t"}),
        ("3", "car", {"car": "bramble-20t"}),
        ("hatchback 2.0", "car", {"car": "bramble-20t"}),
        ("none", "car", {"car": ""}),
        ("car = sedge; main_use = drift", None, {"car": "sedge-18", "main_use": "drift"}),
        ("engine_torque = 430 Nm\nmain_use = daily", None, {"engine_torque": 430.0, "main_use": "daily"}),
    ],
)
def test_what_is_said(text, current, expected):
    assert told(text, current) == expected


@pytest.mark.parametrize(
    ("text", "facts", "asked"),
    [
        ("tows 1200 kg, why 330?", {"towed_mass": 1200.0}, "why 330?"),
        ("why 330? it tows 1200 kg", {"towed_mass": 1200.0}, "why 330?"),
        ("380, no sorry, 360 Nm, what does it cost?", {"engine_torque": 360.0}, "what does it cost?"),
        ("is it going to be heavy? I want it light", {"pedal_tolerance": "light"}, "is it going to be heavy?"),
    ],
)
def test_what_is_told_beside_a_question_is_taken_and_the_question_answered(text, facts, asked):
    items = READER.read(text, None)
    assert {item.fact: item.value for item in items if isinstance(item, Said)} == facts
    assert [item for item in items if isinstance(item, TypedOrder)] == [TypedOrder("asked", asked)]


def test_a_note_is_kept_whole_and_nothing_of_it_is_taken():
    text = "it tows 1200 kg, why 330?"
    assert READER.read(f"note {text}", None) == [TypedOrder("note", text)]


def test_what_is_told_beside_a_question_and_not_taken_is_said():
    aside, question = READER.read("tows 1200, why 330?", None)
    assert "'1200': it has no unit" in aside.text and question == TypedOrder("asked", "why 330?")


def test_what_of_a_sentence_is_not_taken_is_said():
    found = READER.read("380 hp at dawn", "engine_power")
    assert [one.fact for one in found if isinstance(one, Said)] == ["engine_power"]
    assert any("dawn" in one.text for one in found if isinstance(one, Aside))


@pytest.mark.parametrize(
    "text, current",
    [
        ("my mate has 500 Nm", "engine_torque"),
        ("it makes 400", None),
    ],
)
def test_a_refused_sentence_comes_with_the_nearest_readings(text, current):
    with pytest.raises(InputError) as caught:
        READER.read(text, current)
    assert "Nearest: " in caught.value.remedy and " or " in caught.value.remedy


def test_a_year_is_no_torque_and_nothing_far_fetched_is_offered():
    with pytest.raises(InputError) as caught:
        READER.read("it's a 2015", "engine_torque")
    assert "Nearest" not in caught.value.remedy and "430 N m" in caught.value.remedy


@pytest.mark.parametrize(
    "text", ["will it be heavy", "does it rattle", "what does it cost?", "what is a spline?", "why not the twin"]
)
@pytest.mark.parametrize(
    "current", ["towed_mass", "noise_tolerance", "budget", "present_clutch_condition", None, "car"]
)
def test_what_is_asked_is_no_answer(text, current):
    assert READER.read(text, current) == [TypedOrder("asked", text)]


@pytest.mark.parametrize(
    "text, origin",
    [
        ("430 Nm measured", "measured"),
        ("430 Nm (looked up)", "looked_up"),
        ("measured: 430 Nm", "measured"),
        ("430 Nm, stated", "stated"),
        ("430 Nm", "stated"),
    ],
)
def test_who_said_it_is_kept(text, origin):
    (one,) = READER.read(text, "engine_torque")
    assert (one.origin, one.value) == (origin, 430.0)


@pytest.mark.parametrize(
    "text, current, words",
    [
        ("430", "engine_torque", ["no unit", "N m"]),
        ("9**9**9 m", "pedal_travel", ["nothing is calculated"]),
        ("1e400 Nm", "engine_torque", ["exponent"]),
        ("-3 mm", "pedal_travel", ["sane range"]),
        ("-0 Nm", "engine_torque", ["sane range"]),
        ("9999 Nm", "engine_torque", ["sane range"]),
        ("d", "main_use", ["daily", "drag_only", "drift"]),
        ("pedal_t = 3", None, ["pedal_tolerance", "pedal_travel"]),
        ("enigne_torque = 3 Nm", None, ["Did you mean engine_torque"]),
        ("torque=400 Nm; torque=300 Nm", None, ["twice"]),
        ("430 Nm\nuse = daily\n33", "engine_torque", ["line 3", "Nothing of it was taken"]),
        ("6800", "engine_torque", ["no unit"]),
        ("\u202e430 Nm", "engine_torque", ["cannot be shown", "202E"]),
        ("430 Nm\x00", "engine_torque", ["cannot be shown"]),
        ("x" * 100_000, "engine_torque", ["100000 characters"]),
        (";;;", "engine_torque", ["no answer"]),
        ("engine_torque =", None, ["no answer after the sign"]),
        ("car = nowhere", None, ["no car on file"]),
    ],
)
def test_what_is_refused_says_how_to_mend_it(text, current, words):
    with pytest.raises(InputError) as caught:
        READER.read(text, current)
    for word in words:
        assert word in str(caught.value)
    assert caught.value.remedy


def test_no_order_is_a_choice_so_an_answer_is_never_taken_for_an_order():
    words = {spelling for word, others in ORDERS.items() for spelling in (word, *others)}
    for fact in shop.knowledge().facts.values():
        if fact.source == "asked":
            assert not words & {str(choice).replace("_", " ") for choice in fact.choices}, fact.name


def test_every_order_is_read_at_any_question():
    for current in ("car", "main_use", "engine_torque", "spline", None):
        for word, others in ORDERS.items():
            for spelling in (word, *others):
                assert READER.read(spelling, current) == [TypedOrder(word)]


def test_every_name_is_found_by_its_own_name():
    for name in READER.names.all:
        assert READER.names.find(name) == name
        assert READER.names.find(name.replace("_", " ").upper()) == name


def test_what_is_kept_reads_back_to_the_same_value():
    from advisor.knowledge.given_answers import read_answer

    cases = [
        ("engine_torque", "317 ft-lb"),
        ("engine_torque", "about 430 newton meters"),
        ("towed_mass", "1.2 t"),
        ("crank_end_float", "8 1/2 mm"),
        ("pedal_travel", "5½ in"),
        ("main_use", "road course"),
        ("sanctioned_racing", "yep"),
        ("spline", "23 x 26 mm"),
        ("displacement", "2 litres"),
    ]
    for name, text in cases:
        try:
            (one,) = READER.answers(name, text)
        except InputError:
            assert name == "crank_end_float"
            continue
        assert read_answer(shop.knowledge().facts[name], one.raw).value == one.value, text


NASTY = [
    "",
    " ",
    "\t",
    "\n\n",
    "\x00",
    "\x1b[31m",
    "\u202e\u0645\u0631\u062d\u0628\u0627",
    "\ufeff",
    "1e400",
    "-0",
    "+-3 Nm",
    "nan",
    "inf Nm",
    "0x1F Nm",
    "1_000 Nm",
    "１２３ Nm",
    "４３０Nm",
    "²",
    "½",
    "1/0 mm",
    "= = =",
    "===",
    "a=b=c",
    "car=",
    "=car",
    "; = ;",
    "{}",
    "[1, 2]",
    "{value: 3}",
    "!!python/object",
    "&a *a",
    "*",
    "&",
    "__import__('os')",
    "%s%s%n",
    "${HOME}",
    "`ls`",
    "' OR 1=1",
    "../../etc/passwd",
    "\ud800",
    "e\u0301" * 300,
    "=" * 1999,
    "a " * 999,
    ";" * 1999,
    "why " * 400,
    "what-if what-if x = y",
    "why-not",
    "change",
    "at at at",
    "3 at 4 at 5",
    "measured",
    "(measured)",
    "looked up looked up",
    "x" * 100_000,
    "9" * 1999,
    "430 Nm at " + "9" * 1500,
    "🚗" * 100,
    "engine_torque = " + "(" * 1900,
    "\r\r\r",
    "don't know " * 100,
    "?" * 500,
]


def random_lines(count, seed=1):
    """Random strings of many kinds, the hand-picked ones first."""
    rng = random.Random(seed)
    alphabets = [
        string.printable,
        string.digits + ".,/-+ eENmhpr",
        "".join(map(chr, range(0x20, 0x2000, 7))),
        "=;,\n ?abcdefnomtq_0123456789",
        "\u202a\u202b\u0590\u0628\u4e2d\U0001f600\ud83d\x7f\x85\xa0",
    ]
    words = [
        *READER.names.all,
        *ORDERS,
        "430 Nm",
        "380 hp",
        "at",
        "=",
        ";",
        "?",
        "yes",
        "no",
        "daily",
        "1",
        "measured",
        "none",
        ",",
        "rpm",
    ]
    found = list(NASTY)
    while len(found) < count:
        if rng.random() < 0.5:
            found.append("".join(rng.choice(rng.choice(alphabets)) for _ in range(rng.randrange(1, 60))))
        else:
            found.append(" ".join(rng.choice(words) for _ in range(rng.randrange(1, 9))))
    return found[:count]


def read_all(lines):
    """Read every line at several questions: only answers, orders or InputError may come out. The number of lines."""
    for line in lines:
        for current in ("car", "engine_torque", "main_use", "spline", "sanctioned_racing", None):
            try:
                for one in READER.read(line, current):
                    assert isinstance(one, (Said, TypedOrder, Aside))
            except InputError as error:
                assert len(str(error)) < 2000
    return len(lines)


def test_random_lines_are_read_or_refused():
    assert read_all(random_lines(50)) == 50


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text):
    read_all([text])


def test_a_long_paste_does_not_hang():
    with pytest.raises(InputError):
        lines_of("x = 1\n" * 5 + "y" * 3000)
