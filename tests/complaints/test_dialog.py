"""The conversation, and both commands as a person uses them."""

import json

import pytest

from advisor import cli
from advisor.complaints.asking import Dialog, run
from advisor.complaints.telling import ComplaintTeller
from advisor.engine.compare import available_engines
from advisor.knowledge.wording import Wording

from .shop import diagnoser


def dialog(told=None, **more):
    knowledge = diagnoser().knowledge
    return Dialog(diagnoser(), ComplaintTeller(knowledge, Wording(knowledge.shop)), told, **more)


def spoken(talk, *lines):
    """What was written while those lines were said; the Diagnosis."""
    written, waiting = [], list(lines)

    def read(prompt):
        written.append(prompt)
        if not waiting:
            raise EOFError
        return waiting.pop(0)

    return run(talk, read, written.append), "".join(written)


def test_safety_is_asked_first_and_said_before_the_next_question():
    talk = dialog()
    asked = []
    while talk.question is not None and len(asked) < 3:
        asked.append(talk.question.name)
        talk.take("1" if talk.question.name == "complaint" else "no")
    assert asked == ["complaint", "pedal_by_itself", "broken_loose"]
    found, written = spoken(dialog(), "noise", "no", "bang_or_pieces", "done")
    assert written.index("STOP: Do not start the engine") < written.rindex("> ")
    assert found.state == "telephone"


def test_words_numbers_unknown_back_and_mistakes():
    talk = dialog({"complaint": "slips", "pedal_by_itself": "no", "broken_loose": "no"})
    assert talk.question.name == "began"
    assert talk.take("yesterday") != ""
    assert talk.take("little by little over thousands of kilometres") == ""
    assert talk.told["began"] == "gradually"
    assert "Taken back" in talk.take("back")
    assert "began" not in talk.told
    assert talk.take("unknown") == ""
    assert talk.question.name != "began"
    assert "min" in talk.take("why")
    assert "Causes" in talk.take("now")


def test_by_telephone_it_ends_where_the_car_is_needed():
    talk = dialog({"complaint": "slips", "pedal_by_itself": "no", "broken_loose": "no"})
    asked = 0
    while talk.question is not None:
        assert not talk.question.measured
        talk.take("unknown")
        asked += 1
    assert talk.diagnosis.state == "workshop"
    assert 5 <= asked <= 25
    page = talk.teller.page(talk.diagnosis)
    assert "cannot be told without" in page
    there = dialog(talk.told, without=talk.without, at_the_car=True)
    assert there.question.measured


def test_a_cause_found_is_told_with_what_confirms_it():
    talk = dialog({"complaint": "slips", "slip_shows": "wet_or_low_gears", "full_torque_log": "in_step"})
    page = talk.teller.page(talk.diagnosis)
    assert "Cause: tyres that spin" in page
    assert "It rests on: " in page and "Confirm before" not in page
    assert "[log-in-step]" in page
    assert "ruled out" in page


def test_nothing_left_to_ask_is_said():
    symptoms = diagnoser().knowledge.symptoms
    talk = dialog({"complaint": "leaks"}, without=[name for name in symptoms if name != "complaint"])
    assert talk.diagnosis.state == "open"
    assert "Cannot be told" in talk.teller.page(talk.diagnosis)


@pytest.mark.parametrize(
    ("typed", "wrong"),
    [
        (["slps"], "slips"),
        (["slips", "slip_show=any_load"], "slip_shows"),
        (["slips", "km_since_fitting=250"], "unit"),
        (["slips", "began=gradually", "began=suddenly"], "told twice"),
        ([], "complained of"),
    ],
)
def test_mistakes_get_one_clear_error(typed, wrong, capsys):
    assert cli.main(["complaint", *typed, "--page"]) == 2
    error = capsys.readouterr().err
    assert wrong in error
    assert "Traceback" not in error


def test_the_command_prints_the_same_bytes_for_the_same_signs(capsys):
    typed = [
        "complaint",
        "slips",
        "slip_shows=any_load",
        "free_play_felt=none",
        "pressure_let_out=slip_stops",
        "--json",
    ]
    codes, texts = [], []
    for order in (typed, [typed[0], *reversed(typed[1:-1]), typed[-1]]):
        codes.append(cli.main(order))
        texts.append(capsys.readouterr().out)
    assert codes == [0, 0]
    assert texts[0] == texts[1]
    data = json.loads(texts[0])
    assert (data["cause"], data["class"]) == ("held_bearing", "fitting")
    assert data["made_by"]["engines_agreed"] is (len(available_engines()) > 1)


def test_symptoms_are_listed(capsys):
    assert cli.main(["complaint", "--symptoms"]) == 0
    out = capsys.readouterr().out
    assert "slip_shows (told, 1 min): peak_torque | any_load" in out
