"""What is said can be read aloud: sentences of at most 30 words, no names of ours, every number with its unit."""

import pytest

from advisor.explaining import sensitivity, what_if, what_would_change, why
from advisor.explaining.trade_words import TRADE_WORDS, PlainWords
from advisor.explaining.worded import WordedRecord
from advisor.knowledge import sentences
from advisor.knowledge.sentences import MOST_WORDS, aloud

from . import wording


def test_every_sentence_of_every_case(views):
    counted, found = 0, []
    for case, view in views.items():
        count, faults = wording.wording(view)
        counted += count
        found += [f"{case}: {fault}" for fault in faults]
    assert sorted(set(found)) == []
    assert counted > 100 * len(views)


def test_the_same_in_the_units_of_the_trade(views):
    found = []
    for view in list(views.values())[::9]:
        trade = WordedRecord(view.record, view.shop.wording(view.knowledge, "trade"))
        found += wording.wording(trade)[1]
        assert not any(" N m" in text or " kW" in text for text in wording.sentences_of(trade) if "for " not in text)
    assert sorted(set(found)) == []


@pytest.mark.parametrize("name", ["mild-street-tune", "nothing-fits"])  # others by `tests.full explaining`
def test_answers_that_decide_again(name, views, plain_decider, shipped_cases):
    view, case = views[name], shipped_cases[name]
    decision = plain_decider.decide(case)
    told = what_would_change.what_would_change(
        view, plain_decider, decision, view.record.next_down and view.record.next_down.kit
    )
    texts = [*told["sentences"], *(text for one in told["changes"] for text in one["sentences"])]
    for change in (
        {"engine_torque": 500.0},
        {"noise_tolerance": "any", "pedal_tolerance": "heavy"},
        {"engine_torque": None},
    ):
        texts += what_if.what_if(plain_decider, case, change, before=view.record)[0]["sentences"]
    edge = sensitivity.sensitivity(view, plain_decider, case)
    texts += edge["sentences"] if edge else []
    assert [fault for text in texts for fault in wording.faults(view, text)] == []


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("This kit has 172.", "no unit"),
        ("The engine_torque is high.", "a raw name"),
        ("It has not known.", "a missing value"),
        (" ".join(["word"] * 31) + ".", "31 words"),
    ],
)
def test_the_checker_notices(text, fault, mild):
    assert any(fault in found for found in wording.faults(mild, text))


def test_long_texts_are_cut_into_sentences():
    text = (
        "A floater has two hot faces; it cools little, and because the air hardly reaches it in a closed housing it is "
        "the first plate to warp, so watch it when starts follow each other closely on a hill."
    )
    told = aloud(text)
    assert told[0] == "A floater has two hot faces."
    assert all(len(one.split()) <= MOST_WORDS for one in told)
    assert " ".join(told).lower().count("floater") == 1


def test_numbers_near_a_limit_are_told_apart(mild):
    wording = mild.wording
    assert wording.pair("required_torque", 425.42, 425.38) == ("425.42 N m", "425.38 N m")
    assert wording.pair("required_torque", 425.5, 300.0) == ("426 N m", "300 N m")
    assert wording.down("required_torque", 425.9) in ("425 N m", "425.9 N m")
    assert float(wording.down("required_torque", 604.8).split()[0]) <= 604.8


def test_kinds_of_plain_numbers(mild):
    wording = mild.wording
    assert wording.value("holding_probability", 0.931) == "93 %"
    assert wording.value("holding_margin", 1.07) == "1.07 times"
    assert wording.value("noise_class", 2.0) == "class 2"
    assert wording.value("price", 319.0) == "319.00 EUR"
    assert wording.value("main_use", "weekend_road") == "weekend road"
    assert wording.value("bedding_in_possible", True) == "yes"
    assert wording.needed("between", "pedal_force_n", [100.0, 200.0]) == "between 100 N and 200 N"
    assert (
        WordedRecord(mild.record, mild.shop.wording(mild.knowledge, "trade")).wording.value("engine_torque", 430.0)
        == "317 lb-ft"
    )


def test_trade_words_are_explained_once(mild):
    plain, told = PlainWords(), why.why(mild, 1)
    texts = [text for one in told["decisive"] for text in one["sentences"]]
    first = plain.after(texts)
    assert any("Clamp load is" in one for one in first)
    assert plain.after(texts) == []
    assert len(first) == len(set(first))
    for word, explained in TRADE_WORDS.items():
        assert len(explained.split()) <= MOST_WORDS and explained.endswith("."), word


def test_a_longer_word_is_not_explained_by_a_shorter_one():
    assert PlainWords().after(["The release bearing is worn."])[0].startswith("The release bearing")
    told = PlainWords().after(["A dual-mass flywheel rattles less."])
    assert any("two flywheels" in one for one in told) and not any("heavy disc" in one for one in told)


def test_lists_and_counts():
    assert (
        sentences.joined(["a"]) == "a"
        and sentences.joined(["a", "b", "c"]) == "a, b and c"
        and sentences.joined([]) == ""
    )
    assert sentences.count(1, "kit") == "one kit" and sentences.count(3, "class", "classes") == "3 classes"
