"""The decision record read into its type: whole, older, newer and damaged; and walking it, against the plain JSON."""

import copy

import pytest

from advisor.deciding.advise import advise
from advisor.deciding.decision_record import DecisionRecord
from advisor.deciding.provenance import GIVEN, Provenance
from advisor.deciding.recorded_setup import SET_UP_PARTS
from advisor.errors import InputError
from advisor.knowledge import load
from tests.conftest import ROOT


@pytest.fixture(scope="module")
def record(plain_decider):
    case = load.case(ROOT / "scenarios" / "cases" / "mild-street-tune.yaml", plain_decider.knowledge)
    return advise(plain_decider, case)


def test_nothing_of_the_data_is_lost_or_changed(record):
    data = record.data
    assert [fact.value for fact in record.facts.values()] == [fact["value"] for fact in data["facts"]]
    assert [firing.concluded for firing in record.firings.values()] == [one["concluded"] for one in data["firings"]]
    assert list(record.kits) == [kit["id"] for kit in data["kits"]]
    for kit in data["kits"]:
        held = record.kits[kit["id"]]
        assert [check.as_data() for check in held.failed] == kit["failed"]
        assert (held.verdict, held.figures, list(held.concerns)) == (kit["verdict"], kit["figures"], kit["concerns"])
    assert {part: [item.id for item in record.setup.of(part)] for part in SET_UP_PARTS} == {
        part: [item["id"] for item in data["setup"][part]] for part in SET_UP_PARTS
    }
    assert record.pick_id == record.picked.id == data["pick"]["kit"]


def test_a_newer_record_with_parts_and_fields_nobody_knows_is_read(record):
    newer = copy.deepcopy(record.data) | {"weather": {"wind": 3}}
    for part in ("facts", "firings", "requirements", "kits", "cautions", "assumptions"):
        for entry in newer[part]:
            entry["shade"] = "green"
    read = DecisionRecord.of(newer)
    assert read.values == record.values and list(read.kits) == list(record.kits)
    assert [firing.rule for firing in read.firings.values()] == [firing.rule for firing in record.firings.values()]


@pytest.mark.parametrize(
    "part",
    ["near_equals", "not_on_file", "denials", "ask_maker", "limits", "records", "no_fit", "made_by", "assumptions"],
)
def test_an_older_record_lacks_what_came_later(record, part):
    older = {name: value for name, value in record.data.items() if name != part}
    assert not getattr(DecisionRecord.of(older), part) or part == "made_by"
    assert DecisionRecord.of(older).made_by.program == ("" if part == "made_by" else record.made_by.program)


def test_a_kit_of_an_older_record_lacks_its_later_fields(record):
    older = copy.deepcopy(record.data)
    for kit in older["kits"]:
        del kit["adds"], kit["unknown_figures"], kit["concerns"]
    older["next_down"].pop("before_by")
    read = DecisionRecord.of(older)
    assert all(not (kit.adds or kit.unknown_figures or kit.concerns) for kit in read.kits.values())
    assert read.next_down.before_by == "" and read.picked.figures == record.picked.figures


@pytest.mark.parametrize(
    "part, field", [("facts", "name"), ("kits", "verdict"), ("requirements", "rule"), ("firings", "id")]
)
def test_a_damaged_record_is_one_clear_error(record, part, field):
    damaged = copy.deepcopy(record.data)
    del damaged[part][0][field]
    with pytest.raises(InputError, match=f"under {part} lacks {field}") as error:
        getattr(DecisionRecord.of(damaged), part)
    assert "decide the case again" in error.value.remedy


def test_reading_twice_is_reading_once(record):
    assert DecisionRecord.of(record) is record and record.kits is record.kits


@pytest.fixture(scope="module")
def provenance(record, plain_decider):
    wording = plain_decider.shop.wording(plain_decider.knowledge)
    return Provenance(record, plain_decider.knowledge, wording.records)


def _by_hand(data, name):
    """Every fact behind one, by the plain JSON: each producer's reads, until nothing new turns up."""
    facts = {fact["name"]: fact for fact in data["facts"]}
    firings = {firing["id"]: firing for firing in data["firings"]}
    reached, before = {name}, set()
    while reached != before:
        before = set(reached)
        for other in before & facts.keys():
            for number in facts[other]["producer"]:
                reached |= firings[number]["facts"].keys()
    return reached & facts.keys()


def test_everything_behind_each_fact_is_found(provenance, record):
    for name in record.facts:
        edges = provenance.facts_behind([name])
        assert set(edges) == _by_hand(record.data, name)
        given = {other for other in edges if not record.facts[other].producer}
        assert provenance.everything_behind([name], ()).given == given
        assumed = {other for other in given if record.facts[other].origin not in GIVEN}
        assert assumed <= provenance.assumed_behind_fact(name) <= set(edges)


def test_the_minimal_support_is_part_of_everything(provenance, record):
    for name in record.facts:
        support = provenance.of_fact(name)
        whole = provenance.everything_behind([name], ())
        assert set(support.facts) <= whole.given and set(support.firings) <= whole.firings


def test_nested_roots_name_each_fact_once_with_its_own(provenance, record):
    def walk(root):
        yield root
        for read in root.read:
            yield from walk(read)

    for name in record.facts:
        nodes = list(walk(provenance.roots(name, set())))
        opened = [node.fact.name for node in nodes if node.firing]
        assert len(opened) == len(set(opened))
        assert all(node.firing.id in node.fact.producer for node in nodes if node.firing)
