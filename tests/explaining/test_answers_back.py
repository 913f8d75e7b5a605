"""Questions asked of an advice: understood as said, answered in one or two sentences, every value out of the record."""

import functools
import re

import pytest

from advisor.explaining import asked_back
from advisor.explaining.answers_back import _ANSWERS, MOST, AnswersBack
from advisor.explaining.trade_words import TRADE_WORDS, meaning
from advisor.explaining.worded import WordedRecord
from advisor.interview.supposed import supposing
from tests import shipped

from ..interview import shop

#: What people ask, and which question it is. Written by hand as people speak; those of the order of work first.
SAID = {
    "how heavy is it": "pedal",
    "what does it cost?": "cost",
    "do I need a flywheel": "flywheel",
    "why not the cheaper one": "why_not",
    "why not the twin": "why_not",
    "what if the boost goes to 1.4 bar next year": "what_if",
    "what do you need from me": "needs",
    "how long will it take": "time",
    "will it make noise": "noise",
    "is it gonna be heavy?": "pedal",
    "will my wife be able to press it": "pedal",
    "is the pedal heavier than what I've got now": "pedal",
    "how stiff does the pedal get": "pedal",
    "so how much is that all in": "cost",
    "what's the damage then": "cost",
    "how much money are we talking": "cost",
    "can I keep my flywheel": "flywheel",
    "is a new flywheel included": "flywheel",
    "and do I need anything done to the flywheel": "flywheel",
    "haven't you got anything cheaper": "cheaper",
    "is there a cheaper one": "cheaper",
    "why that one": "why",
    "how come": "why",
    "can't I just have the organic one": "why_not",
    "what's wrong with the factory clutch": "why_not",
    "what about a paddle clutch": "why_not",
    "what if he tows a caravan of 1.2 t": "what_if",
    "what happens if I go to 480 Nm": "what_if",
    "suppose I put slicks on": "what_if",
    "and if it makes 450 Nm?": "what_if",
    "would it still do if I do ten launches a day": "what_if",
    "what else do you need to know": "needs",
    "should I find out anything before I order": "needs",
    "is it in stock": "time",
    "when can I have it": "time",
    "have you got one on the shelf": "time",
    "is it loud": "noise",
    "does it rattle at idle": "noise",
    "will it judder": "take_up",
    "is it on or off, like a switch": "take_up",
    "what's it like in traffic": "take_up",
    "will it hold?": "holds",
    "how much torque does it hold": "holds",
    "is it going to slip": "holds",
    "how far can I tune it": "growth",
    "is there room to grow": "growth",
    "what goes with it": "parts",
    "do I need a new release bearing": "parts",
    "is the bearing included": "parts",
    "can I fit it myself": "fitting",
    "is it hard to fit": "fitting",
    "do I have to run it in": "bedding",
    "can I race it straight away": "bedding",
    "how long will it last": "life",
    "how many kilometres will I get out of it before it's worn out": "life",
    "will it overheat": "heat",
    "can the gearbox take it": "gearbox",
    "is it bad for the crank": "crankshaft",
    "what's the catch": "watch",
    "anything I should know": "watch",
    "what kind of clutch is it": "kind",
    "how many plates has it got": "kind",
    "can I keep the old clutch": "factory",
    "do I need a new clutch at all": "factory",
    "how sure are you": "sure",
    "what did you assume": "sure",
    "is there something stronger": "stronger",
    "what does the next one up bring": "stronger",
    "hows the pedal gonna be, heavy?": "pedal",
    "is the pedall heavy": "pedal",
}
#: What no record holds.
NOT_TOLD = [
    "what colour is it",
    "do you take cards",
    "who won the match",
    "are you open on Sunday",
    "which oil should I use in the engine",
    "will it pass the emissions test",
    "what is the meaning of life, the universe and everything",
]
CASES = ["mild-street-tune", "drag-strip-v8", "stock-sound", "nothing-fits", "answers-missing"]
#: Those of which it is asked what would be if something were otherwise, which decides them again.
DECIDED_AGAIN = ("mild-street-tune", "nothing-fits")


@functools.cache
def answers(name):
    """The `AnswersBack` of a shipped case."""
    decider = shop.decider()
    case = shipped.cases()[name]
    wording = decider.shop.wording(decider.knowledge)
    worded = WordedRecord(shipped.record(name), wording)
    return AnswersBack(
        worded, decider, case, supposing(decider.knowledge, decider.shop.platforms, case.platform, wording)
    )


@pytest.mark.parametrize("text, about", SAID.items())
def test_it_is_understood_as_said(text, about):
    known = shop.knowledge().asked_back
    assert asked_back.is_asking(text), text
    assert asked_back.asking(text, known).about == about


def test_every_declared_question_is_answered_and_the_other_way_round():
    assert set(_ANSWERS) == set(shop.knowledge().asked_back)
    assert set(SAID.values()) == {*_ANSWERS, "why_not", "what_if"}


@pytest.mark.parametrize("text", NOT_TOLD)
def test_what_the_record_does_not_hold_is_said_and_the_two_nearest_are_offered(text):
    told = answers("mild-street-tune").answer(text)
    known = shop.knowledge().asked_back
    assert told[0] == "The record does not tell that."
    assert sum(entry.about in told[1] for entry in known.values()) == 2


@pytest.mark.parametrize("name", CASES)
def test_answers_are_short_and_every_number_in_them_stands_in_the_record(name):
    asked = answers(name)
    numbers = set(_numbers_of(asked))
    deciding = [text for text, about in SAID.items() if about == "what_if"]
    for text, about in SAID.items():
        if text in deciding[name in DECIDED_AGAIN :] and name != CASES[0]:
            continue
        told = asked.answer(text)
        assert 1 <= len(told) <= MOST and all(told), text
        if about in ("what_if", "why_not", "cheaper", "factory", "growth", "needs"):
            continue  # these speak of another decision, of another kit's shortfall, or ask a question
        for number in re.findall(r"(?<![\w.,-])\d+(?:[.,]\d+)*", " ".join(told)):
            assert number in numbers, (text, number, told)


def _numbers_of(asked):
    """Every number as it is worded of anything the record holds."""
    record, wording = asked.record, asked.wording
    shown = []
    for kit in record.kits.values():
        shown += [wording.value(name, value) for name, value in kit.figures.items()]
        shown += [wording.value(name, value) for name, value in asked.worded.fields(kit.id).items()]
    shown += [wording.value(name, fact.value) for name, fact in record.facts.items()]
    shown += [
        wording.value(one.measure, one.limit) for one in record.requirements.values() if one.limit.__class__ is float
    ]
    shown += [f"{item.text} {wording.money(item.price)}" for _, item in record.setup.items()]
    certain = {item.kind for item in record.setup.parts if item.level == "required"}
    depends = {item.kind: item.price or 0 for item in record.setup.parts if item.level == "check"}
    dearer = sum(price for kind, price in depends.items() if kind not in certain)
    shown += [
        wording.money(kit.figures["total_price"] + dearer)
        for kit in record.kits.values()
        if kit.figures.get("total_price") is not None
    ]
    shown += [wording.step(one.figure, one.pick, one.kit) for one in (record.next_up.adds if record.next_up else ())]
    shown += [caution.text for caution in record.cautions]
    shown += [f"{record.span.likely.holds_in} of 100"] if record.span and record.span.likely else []
    return re.findall(r"(?<![\w.,-])\d+(?:[.,]\d+)*", " ".join(shown))


def test_what_it_costs_leaves_out_nothing_that_may_come_on_top():
    told = answers("mild-street-tune").answer("what does it cost?")
    record, pick = answers("mild-street-tune").record, answers("mild-street-tune").worded.picked
    total = record.kits[pick].figures["total_price"]
    on_top = [item for item in record.setup.parts if item.level == "check"]
    assert {item.price is None for item in on_top} == {True, False} == {item.likely for item in on_top}
    for item in on_top:
        price = "(price to be asked)" if item.price is None else f"{item.price:.2f} EUR"
        assert f"{item.kind.replace('_', ' ')} {price}" in told[1]
    likely, most = (total + sum(item.price or 0 for item in on_top if item.likely or every) for every in (False, True))
    assert told[0] == f"{total:.2f} EUR for certain, likely {likely:.2f} EUR, at most {most:.2f} EUR."


def test_a_cheaper_kit_is_told_with_what_it_gives_up_and_what_it_has_of_it():
    told = answers("mild-street-tune").answer("is there a cheaper one")
    assert "EUR less) would do too" in told[0] and " is wished, this kit has " in told[1]


def test_what_if_decides_the_case_again_and_says_what_it_took():
    told = answers("mild-street-tune").answer("what if it goes to 480 Nm next year")
    assert "480 N m" in told[0] and "pick changes" in told[0]
    told = answers("mild-street-tune").answer("what if the boost goes to 1.4 bar next year")
    assert told[0].startswith("With boost") and "torque that was told decides" in told[1]
    assert "not understood" in answers("mild-street-tune").answer("what if pigs fly")[0]


def test_every_trade_word_can_be_asked():
    for word, sentence in TRADE_WORDS.items():
        for text in (f"what is a {word}?", f"what's {word}", f"what does {word} mean?", word):
            assert meaning(text) == sentence, text
    assert meaning("what is the weather") == "" and meaning("what colour is it") == ""


#: Words in questions and choices that a customer need not have heard before, each with a way to ask for it.
HARD_WORDS = re.compile(
    r"dual-mass|flywheel|end float|thrust face|synchromesh|dogs|fork|slave cylinder|master cylinder|release bearing|"
    r"spline|nitrous|overboost|boost|launch control|anti-lag|rolling radius|final-drive|judder|stop-and-go|crankshaft|"
    r"scrutineer|supercharger|turbo|engine map|camshaft|pedal stop|cover|torque|drift",
    re.IGNORECASE,
)


def test_the_trade_words_of_the_questions_are_explained():
    missing = {
        word
        for question in shop.knowledge().questions.values()
        for text in (question.plain, *(words for _, words in question.options))
        for word in HARD_WORDS.findall(text)
        if not meaning(f"what is a {word}")
    }
    assert missing <= {"drift", "drifting"}
