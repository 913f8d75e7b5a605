"""The command that reads a sentence: its JSON form, its one line, its refusals, and what it costs others."""

import json
import subprocess
import sys

import pytest

from advisor.cli import main
from tests import kept
from tests.conftest import ROOT


@pytest.fixture(autouse=True)
def read_once(monkeypatch):
    """The rules are read once for all sentences."""
    kept.share(monkeypatch)


def understand(capsys, *arguments):
    """(exit code, what was printed)."""
    code = main(["understand", *arguments])
    return code, capsys.readouterr()


def test_json_has_the_form_that_others_read(capsys):
    code, shown = understand(capsys, "400 to 450 Nm, my garage does it, it's a 2015", "--json")
    told = json.loads(shown.out)
    assert code == 0 and set(told) == {"facts", "left_over", "ask"}
    assert told["facts"]["engine_torque"] == {
        "value": 425.0,
        "low": 400.0,
        "high": 450.0,
        "unit": "N m",
        "from": "stated",
    }
    assert told["facts"]["installer"] == {
        "value": "professional",
        "low": None,
        "high": None,
        "unit": "",
        "from": "stated",
    }
    assert any("2015" in text for text in told["left_over"])


def test_what_must_be_asked_names_its_readings(capsys):
    _, shown = understand(capsys, "it makes 400", "--json")
    (asked,) = json.loads(shown.out)["ask"]
    assert asked["facts"] == ["engine_torque", "engine_power"] and len(asked["readings"]) == 2
    assert {one["fact"] for one in asked["readings"]} == {"engine_torque", "engine_power"}


@pytest.mark.parametrize("text", ["my mate's got one with 500 Nm", "will it be heavy", "what if it made 500 Nm?"])
def test_a_refusal_offers_one_or_two_near_readings(capsys, text):
    _, shown = understand(capsys, text, "--json")
    told = json.loads(shown.out)
    assert told["facts"] == {}
    assert [len(one["readings"]) in (1, 2) for one in told["ask"]] == [True]


@pytest.mark.parametrize(
    "text",
    ["blue", "it costs 400", "they want 450 quid for it", "order number 48213 please", "do you have any in stock?"],
)
def test_a_refusal_offers_nothing_far_fetched(capsys, text):
    _, shown = understand(capsys, text, "--json")
    told = json.loads(shown.out)
    assert told["facts"] == {}
    assert [one["readings"] for one in told["ask"]] == [[]]
    assert "nothing to take down" in told["ask"][0]["why"]


def test_it_says_back_in_one_line(capsys):
    code, shown = understand(capsys, "about 310 foot pounds on the rollers, chipped, and purple")
    assert code == 0 and shown.out.count("\n") == 1
    for words in ("Taken down:", "about 310 lb-ft", "wheels", "modified", "Not understood:", "purple"):
        assert words in shown.out


def test_where_it_was_measured_is_kept(capsys):
    _, shown = understand(capsys, "the logbook says the car weighs 1450 kg, it was weighed", "--json")
    assert json.loads(shown.out)["facts"]["vehicle_mass"]["from"] == "looked_up"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("  ",), "nothing to read"),
        (("x" * 700,), "700 characters"),
        (("430 Nm\x07",), "cannot be shown"),
        (("430 Nm", "--about", "engine_torqe"), "engine_torque"),
        (("430 Nm", "--car", "nowhere"), "nowhere"),
    ],
)
def test_bad_input_is_one_clear_error(capsys, arguments, words):
    code, shown = understand(capsys, *arguments)
    assert code == 2 and shown.out == "" and words in shown.err and "Traceback" not in shown.err


def test_the_name_of_another_car_on_file_is_no_answer(capsys):
    _, shown = understand(capsys, "my Bramble 2.0 turbo hatchback makes 300 Nm", "--car", "bramble-20t", "--json")
    assert set(json.loads(shown.out)["facts"]) == {"engine_torque"}
    _, shown = understand(capsys, "the Gorse makes 300 Nm", "--car", "bramble-20t", "--json")
    assert json.loads(shown.out)["facts"] == {}


def test_a_recommendation_loads_nothing_of_it():
    program = (
        "import sys; from advisor.cli import main; main(['recommend', 'scenarios/cases/mild-street-tune.yaml']); "
        "heavy = ('rapidfuzz', 'text_to_num')\n"
        "print(sorted(name for name in sys.modules if name.split('.')[0] in heavy or 'listening' in name), "
        "file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT, timeout=120)
    assert done.stderr.strip().splitlines()[-1] == "[]", done.stderr


def test_the_same_words_give_the_same_bytes(capsys):
    texts = ["dayly driver, about 400 hp or so, V8, on semis", "400 or 450 Nm, I'm fitting it myself"]
    first = [understand(capsys, text, "--json")[1].out for text in texts]
    assert first == [understand(capsys, text, "--json")[1].out for text in texts]
