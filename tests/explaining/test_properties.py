"""Faithful, complete, minimal, stable, and a why-not for every kit: over every shipped case and some random callers."""

import copy
import dataclasses

import pytest

from advisor.deciding.provenance import Provenance
from advisor.explaining import why_not
from advisor.explaining.worded import WordedRecord

from . import properties
from .properties import CHECKS


@pytest.mark.parametrize("name", CHECKS)
def test_over_all_cases(name, views):
    counted, found = 0, []
    # What is asked twice over costs as much as all the rest.
    looked_at = dict(list(views.items())[::3]) if name == "stable" else views
    for case, view in looked_at.items():
        count, faults = CHECKS[name](view)
        counted += count
        found += [f"{case}: {fault}" for fault in faults]
    assert found == []
    assert counted >= (len(looked_at) // 2 if name in ("faithful", "stable") else 20 * len(looked_at))


def test_every_gentler_kit_has_its_reason(views):
    refused = 0
    for view in views.values():
        if view.pick is None:
            continue
        for kit in view.record.fitting:
            if kit.gentleness < view.kits[view.pick].gentleness:
                told = why_not.why_not(view, kit.id)
                assert told["failed"] or told["unknown"] or told["step"]["step"] in view.knowledge.order.concerns
                refused += 1
    assert refused > 1.5 * len(views)


# --- the checks themselves notice what is wrong


def test_a_fact_left_out_is_noticed(mild):
    behind = mild.provenance.behind_the_pick()
    noticed = 0
    left_out = behind.facts[::2]
    for name in left_out:
        less = dataclasses.replace(behind, facts=tuple(one for one in behind.facts if one != name))
        again = properties.decided_again(mild, less)
        verdicts = (
            {kit: bool(again.passes[0, index]) for index, kit in enumerate(again.kits.ids)}
            if again.figures is not None
            else {}
        )
        noticed += verdicts != {kit: held.verdict in ("picked", "passes") for kit, held in mild.kits.items()}
    # Not every fact moves a verdict in this one case, but most must, or the check proves nothing.
    assert noticed > len(left_out) / 2


def test_a_rule_left_out_is_noticed(mild, monkeypatch):
    behind = mild.provenance.behind_the_pick()
    less = dataclasses.replace(behind, rules=tuple(rule for rule in behind.rules if rule != "holds-worn-and-warm"))
    monkeypatch.setattr(Provenance, "behind_the_pick", lambda provenance: less)
    assert properties.faithful(mild)[1] and properties.complete(mild)[1]


def test_a_superfluous_fact_is_noticed(mild, monkeypatch):
    real, facts = Provenance.of_requirement, mild.record.facts

    def more(provenance, name):
        held = real(provenance, name)
        return dataclasses.replace(held, facts=(*held.facts, "budget" if "budget" in facts else "wheelbase"))

    monkeypatch.setattr(Provenance, "of_requirement", more)
    assert any("follows without" in fault for fault in properties.minimal(mild)[1])


def test_a_missing_fact_behind_a_requirement_is_noticed(mild, monkeypatch):
    real = Provenance.of_requirement

    def fewer(provenance, name):
        held = real(provenance, name)
        return dataclasses.replace(held, facts=held.facts[1:])

    monkeypatch.setattr(Provenance, "of_requirement", fewer)
    assert any("does not follow" in fault for fault in properties.minimal(mild)[1])


def test_a_failed_must_left_out_is_noticed(mild):
    data = copy.deepcopy(mild.record.data)
    kit = next(kit for kit in data["kits"] if len(kit["failed"]) > 1)
    kit["failed"] = kit["failed"][::-1]
    before = [check["requirement"] for check in kit["failed"]]
    view = WordedRecord(data, mild.wording)
    assert [failed["requirement"] for failed in why_not.why_not(view, kit["id"])["failed"]] == before
    kit["failed"] = [{**kit["failed"][0], "actual": kit["failed"][0]["needed"]}]
    if view.requirements[kit["failed"][0]["requirement"]].compare in ("at_most", "at_least", "is"):
        assert any("refuses nothing" in fault for fault in properties.why_nots(WordedRecord(data, mild.wording))[1])


def test_a_ladder_step_that_did_not_decide_is_noticed(mild):
    data = copy.deepcopy(mild.record.data)
    passing = next(kit for kit in data["kits"] if kit["verdict"] == "passes")
    passing["concerns"], passing["figures"]["capacity_bedded_nm"], passing["place"] = [], 1.0, 1
    assert properties.why_nots(WordedRecord(data, mild.wording))[1]
