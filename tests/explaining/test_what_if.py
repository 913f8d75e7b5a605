"""What if: what is told to change is what two decisions made on their own differ in, and nothing is kept quiet."""

import dataclasses

import pytest

from advisor.deciding.advise import advise
from advisor.deciding.recorded_setup import SET_UP_PARTS
from advisor.errors import InputError
from advisor.explaining import what_if
from advisor.explaining.what_if import read_changes
from advisor.knowledge.case_model import Answer
from tests import shipped

CHANGES = [
    ("mild-street-tune", {"engine_torque": 420.0}),
    ("mild-street-tune", {"engine_torque": 333.0}),
    ("mild-street-tune", {"noise_tolerance": "any", "pedal_tolerance": "heavy"}),
    ("mild-street-tune", {"pedal_stop_fitted": True}),
    ("mild-street-tune", {"engine_torque": None}),
    ("nothing-fits", {"engine_torque": 804.0}),
    ("stock-tired-clutch", {"bedding_in_possible": False}),
    ("pack-over-stroke", {"engine_torque": 2000.0}),
]


def by_hand(case, answers):
    """The case with other answers, built without the code under test."""
    held = {name: answer for name, answer in case.answers.items() if name not in answers}
    held |= {name: Answer(value) for name, value in answers.items() if value is not None}
    return dataclasses.replace(case, answers=held, unknown=())


def wrong(decider, case, answers, told, before=None):
    """What a difference claims against two records made on their own (``before``: that of the case); [] if nothing."""
    before = (before or advise(decider, case)).data
    after, faults = advise(decider, by_hand(case, answers)).data, []
    if told["outcome"] != {"before": before["outcome"], "after": after["outcome"]}:
        faults.append("outcome")
    picks = [made["pick"] and made["pick"]["kit"] for made in (before, after)]
    if [told["pick"]["before"], told["pick"]["after"]] != picks:
        faults.append("pick")
    for part, kinds in (("set_up", SET_UP_PARTS), ("cautions", None)):
        sides = []
        for made in (before, after):
            items = [item for kind in kinds for item in made["setup"][kind]] if kinds else made["cautions"]
            sides.append({(item["id"], item.get("level"), item.get("part"), item.get("title")) for item in items})
        for side, ids in (("added", sides[1] - sides[0]), ("removed", sides[0] - sides[1])):
            if sorted({one[0] for one in ids}) != sorted(one["id"] for one in told[part][side]):
                faults.append(f"{part} {side}")
    if all(picks):
        figures = [
            next(kit for kit in made["kits"] if kit["id"] == pick)["figures"]
            for made, pick in zip((before, after), picks)
        ]
        for one in told["figures"]:
            if [one["before"], one["after"]] != [held.get(one["figure"]) for held in figures] or one["before"] == one[
                "after"
            ]:
                faults.append(one["figure"])
        named = {one["figure"] for one in told["figures"]}
        for name in figures[0].keys() & figures[1].keys():
            resolution = decider.knowledge.figures[name].resolution
            if abs(figures[0][name] - figures[1][name]) >= resolution and name not in named:
                faults.append(f"{name} changes and is kept quiet")
    return faults


@pytest.mark.parametrize(("name", "answers"), CHANGES)
def test_what_changes_is_what_is_told(name, answers, plain_decider, shipped_cases):
    case = shipped_cases[name]
    before = shipped.record(name)
    told, _, _ = what_if.what_if(plain_decider, case, answers, before=before)
    assert wrong(plain_decider, case, answers, told, before) == []


def test_an_answer_nothing_hangs_on_says_so(plain_decider, shipped_cases, views):
    case = shipped_cases["mild-street-tune"]
    told, _, after = what_if.what_if(
        plain_decider, case, {"main_use": case.answers["main_use"].value}, before=views[case.id].record
    )
    assert told["nothing"] and told["sentences"][-1] == "Nothing changes."
    assert what_if.what_if_lines(after, told, 60)[-1].endswith("Nothing changes.")


def test_the_pick_of_before_is_followed(plain_decider, shipped_cases):
    case = shipped_cases["mild-street-tune"]
    told, _, after = what_if.what_if(plain_decider, case, {"engine_torque": 420.0})
    assert told["old_pick"]["kit"] == told["pick"]["before"] != told["pick"]["after"]
    assert "holds-worn-and-warm" in [one["requirement"] for one in told["old_pick"]["failed"]]
    assert "Figures of the pick" in "\n".join(what_if.what_if_lines(after, told, 80))


def test_changes_are_read_by_name_or_label(content):
    knowledge = content.knowledge
    assert read_changes(["engine_torque=420Nm", "pedal-tolerance = heavy", "budget=unknown"], knowledge) == {
        "engine_torque": 420.0,
        "pedal_tolerance": "heavy",
        "budget": None,
    }
    assert read_changes(["engine torque=310 lb-ft"], knowledge)["engine_torque"] == pytest.approx(420.3, abs=0.1)


def test_a_vague_answer_is_told_with_its_ends(content, plain_decider, shipped_cases):
    answers = read_changes(["engine_torque=350 to 390 Nm"], content.knowledge)
    assert answers["engine_torque"] == Answer(370.0, "stated", 350.0, 390.0)
    told, _, after = what_if.what_if(plain_decider, shipped_cases["mild-street-tune"], answers)
    assert after.record.case.answers["engine_torque"].vague
    assert told["sentences"][0].startswith("Engine torque: 370 N m, could be 350 to 390 N m instead of 370 N m")
    assert told["answers"][0]["after"] == 370.0 and told["answers"][0]["after_ends"] == [350.0, 390.0]


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        (["engine_torque"], ("no change", "fact=value")),
        (["engine_torqe=1 Nm"], ("not something", "engine_torque")),
        (["required_torque=400 Nm"], ("not something",)),
        (["engine_torque=400"], ("no unit",)),
        (["engine_torque=400 Nm", "engine_torque=410 Nm"], ("twice",)),
        (["main_use=flying"], ("main_use",)),
    ],
)
def test_a_change_that_cannot_be_read(texts, words, content):
    with pytest.raises(InputError) as caught:
        read_changes(texts, content.knowledge)
    assert all(word in str(caught.value) for word in words)
