"""No page calls settled what it asks for, asks for what was answered, or blames the wrong record."""

import copy
import dataclasses
import random

import pytest

from advisor.deciding.advise import advise
from advisor.deciding.decision_record import DecisionRecord
from advisor.explaining.why_not import why_not, why_not_lines
from advisor.explaining.worded import WordedRecord
from advisor.knowledge.case_model import Answer, Case
from advisor.reporting.screens.screen import screen
from tests import shipped
from tests.callers import caller, plain_decider_of

from . import voices


@pytest.mark.parametrize("part", range(4))
def test_shipped_cases_speak_with_one_voice(part, plain_decider):
    wording = plain_decider.shop.wording(plain_decider.knowledge)
    for name in shipped.some()[part::4]:
        assert list(voices.faults(shipped.record(name), wording)) == [], name


@pytest.mark.parametrize("seed", range(0, 20, 10))
def test_random_callers_and_thinned_records_do_too(seed, content, plain_decider):
    poorer = plain_decider_of(voices.thinned(content, random.Random(f"thin {seed}")))
    lacking = set()
    for decider, seeds in ((plain_decider, range(seed, seed + 3)), (poorer, range(seed + 4, seed + 8))):
        wording = decider.shop.wording(content.knowledge)
        for one in seeds:
            record = advise(decider, caller(one, content), with_changes=False)
            assert list(voices.faults(record, wording)) == [], one
            lacking |= {
                lack.of
                for kit in record.kits.values()
                for check in (*kit.unknown, *kit.given_up)
                for lack in check.lacks
            }
    assert "kit" in lacking


def without(content, **gone):
    """Content whose ``kits`` and ``platforms`` leave these fields out."""

    def poorer(record):
        names = gone.get(record.kind, ())
        return dataclasses.replace(
            record, fields={name: held for name, held in record.fields.items() if name not in names}
        )

    return dataclasses.replace(
        content, kits=tuple(map(poorer, content.kits)), platforms=tuple(map(poorer, content.platforms))
    )


CASE = Case(
    "voice",
    "bramble-20t",
    {"main_use": Answer("daily"), "engine_state": Answer("standard"), "pedal_tolerance": Answer("moderate")},
)


@pytest.mark.parametrize(
    "gone, of, field",
    [
        ({"platform": ("release.slave_bore",)}, "car", "slave_bore"),
        ({"platform": ("release.pedal_ratio",)}, "car", "pedal_ratio"),
        ({"kit": ("pack_depth",)}, "kit", "pack_depth"),
        ({"kit": ("max_speed_rpm",)}, "kit", "max_speed_rpm"),
    ],
)
def test_whoever_is_silent_is_named(content, gone, of, field):
    decider = plain_decider_of(without(content, **gone))
    record = advise(decider, CASE, with_changes=False)
    lacks = {(lack.of, lack.field) for kit in record.kits.values() for one in kit.unknown for lack in one.lacks}
    assert (of, field) in lacks
    # A cylinder that such a car has not is asked of nobody.
    assert "slave_area" not in {name for _, name in lacks}
    worded = WordedRecord(record, decider.shop.wording(content.knowledge))
    kit = next(kit.id for kit in record.fitting if not kit.failed and any(one.lacks for one in kit.unknown))
    told = "\n".join(why_not_lines(worded, why_not(worded, kit), 4000))
    assert {"car": "the record of this car lacks the ", "kit": "its maker does not name the "}[of] in told
    assert worded.wording.label(field) in told
    assert list(voices.faults(record, decider.shop.wording(content.knowledge))) == []


@pytest.mark.parametrize(
    "break_it, says",
    [
        (lambda data: data["not_on_file"].append("stock_torque"), "is on file and said to be missing"),
        (lambda data: data["asks"].append("main_use"), "was answered and is asked for again"),
        (lambda data: data["ask_maker"].append({"kit": data["pick"]["kit"], "field": "clamp_load"}), "is asked for"),
        (
            lambda data: data["kits"][0]["unknown"].append(
                {"requirement": "x", "needed": 1.0, "actual": None, "lacks": [{"of": "kit", "field": "wheelbase"}]}
            ),
            "its maker is blamed for wheelbase",
        ),
    ],
)
def test_a_second_voice_is_heard(plain_decider, break_it, says):
    """The check can fail: each planted contradiction is found."""
    data = copy.deepcopy(dict(advise(plain_decider, CASE, with_changes=False).data))
    break_it(data)
    record, wording = DecisionRecord.of(data), plain_decider.shop.wording(plain_decider.knowledge)
    worded = WordedRecord(record, wording)
    found = [*voices._asked(record), *voices._called_unknown(record, worded), *voices._blamed(record, worded)]
    assert any(says in one for one in found), found


def test_a_gentler_kit_of_which_something_is_not_known_is_not_dropped_without_a_word(content):
    """The factory clutch would do; without its depth nobody can say, and the screen names it and who is silent."""
    whole = advise(plain_decider_of(content), CASE, with_changes=False)
    kits = tuple(
        dataclasses.replace(kit, fields={name: held for name, held in kit.fields.items() if name != "pack_depth"})
        if kit.id == whole.pick_id
        else kit
        for kit in content.kits
    )
    decider = plain_decider_of(dataclasses.replace(content, kits=kits))
    record = advise(decider, CASE, with_changes=False)
    assert record.pick_id != whole.pick_id and record.kits[whole.pick_id].verdict == "unjudged"
    text = " ".join(screen(record, decider.shop.wording(content.knowledge), 4000).split())
    assert "Gentler, and not judged" in text
    assert f"({whole.pick_id}): its maker does not name the depth of the clutch" in text
