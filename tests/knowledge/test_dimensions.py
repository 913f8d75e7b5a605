"""A spline or a bolt pattern in one form, however it is written; what is not one stays as it was written."""

import re

import pytest

from advisor.knowledge import load
from advisor.knowledge.case_model import Answer, Case
from advisor.knowledge.dimensions import normal_form
from advisor.knowledge.given_answers import read_answer
from tests.conftest import ROOT


@pytest.mark.parametrize(
    "text",
    ["23x26", "23 x 26", "23×26", "23 × 26 mm", "23 x 26 mm", "23X26mm", "23 * 26", "23 by 26 mm", "23 teeth x 26 mm",
     "23 x 26,0 mm", " 23  x  26.00  mm ", "23\u00a0x\u00a026\u00a0mm"],
)  # fmt: skip
def test_a_spline_is_one_text(text):
    assert normal_form(text) == "23 x 26 mm"


@pytest.mark.parametrize(
    "text",
    ["6xM8 on 258", "6 x M8 on 258 mm", "6×M8 258", "6 X m8 on 258.0 mm", "6 x M 8 bolts on 258 mm", "6 x M8, 258 mm",
     "6 x M8 pcd 258", "6 x M8 on 258 mm circle"],
)  # fmt: skip
def test_a_bolt_pattern_is_one_text(text):
    assert normal_form(text) == "6 x M8 on 258 mm"


@pytest.mark.parametrize(
    "text, kept",
    [
        ("23 x 27 mm", "23 x 27 mm"),
        ("24 x 26", "24 x 26 mm"),
        ("10 x 1.125 in", "10 x 1.125 in"),
        ('10 x 1.125"', "10 x 1.125 in"),
        ("9 x M8 on 258", "9 x M8 on 258 mm"),
        ("6 x M10 on 258", "6 x M10 on 258 mm"),
        ("as  the old  box", "as  the old  box"),
        ("max torque", "max torque"),
        ("0x1F", "0x1F"),
        ("23 x 26 x 3", "23 x 26 x 3"),
    ],
)
def test_what_differs_stays_apart_and_other_texts_stay(text, kept):
    assert normal_form(text) == kept
    assert normal_form(kept) == kept


def test_every_text_of_the_shipped_records_is_in_normal_form(content):
    for record in (*content.kits, *content.platforms):
        for name in ("spline", "bolt_pattern"):
            if name in record.fields:
                assert record.fields[name] == normal_form(record.fields[name])


@pytest.mark.parametrize(
    "spline, bolts",
    [("22x24", "6xM8 246"), ("22 × 24 mm", "6 X M8 on 246"), ("22 x 24 mm", "6 x M8 on 246 mm")],
)
def test_an_answer_is_compared_in_it_single_and_in_the_batch(content, plain_decider, spline, bolts):
    """The pick is the same however spline and bolts are written: by hand, and in the batch of its variants."""
    facts = content.knowledge.facts
    answers = {
        "spline": read_answer(facts["spline"], spline), "bolt_pattern": read_answer(facts["bolt_pattern"], bolts),
        "engine_torque": Answer(250.0, "measured"), "torque_measured_at": Answer("flywheel"),
        "main_use": Answer("daily"),
        "sanctioned_racing": Answer(False),
    }  # fmt: skip
    decision = plain_decider.decide(Case("spline", "sedge-18", answers))
    assert decision.known.denials == ()
    fits = {kit for kit, fit in zip(decision.kits.ids, decision.fits[0], strict=True) if fit}
    assert "factory-sedge-18" in fits
    (row,) = plain_decider.batch.outcomes([decision.known], decision.platform)
    assert row.outcome == decision.outcome


def test_a_record_written_otherwise_is_read_alike(content, tmp_path):
    """Kits and platforms: the same fields, whatever the file writes."""
    for kind, records in (("kits", content.kits), ("platforms", content.platforms)):
        folder = tmp_path / kind
        folder.mkdir()
        for path in (ROOT / "scenarios" / kind).glob("*.yaml"):
            text = re.sub(r"(spline: \d+) x (\d+) mm", r"\1X\2", path.read_text())
            text = re.sub(r"(bolt_pattern: \d+) x (M\d+) on (\d+) mm", r"\1 × \2, \3", text)
            (folder / path.name).write_text(text)
        read_again = {"kits": load.kits, "platforms": load.platforms}[kind](folder, content.knowledge)
        assert [one.fields for one in read_again] == [one.fields for one in records]
