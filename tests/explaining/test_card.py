"""The card at the end of a call: short enough, readable aloud, and every number on it from the record."""

import re
from collections import Counter

import pytest

from advisor.deciding.advise import advise
from advisor.explaining.card import MOST_LINES, card
from advisor.explaining.priced_lines import priced_lines
from advisor.explaining.sections import WORDS, section, sections
from advisor.explaining.worded import WordedRecord
from advisor.knowledge.case_model import Answer, Case
from advisor.knowledge.wording import PLACEHOLDER
from tests import shipped
from tests.conftest import ROOT
from tests.shipped import quick_yaml

MORE = f"More: --show {', '.join(WORDS)} or all."
#: How no salesperson speaks.
UNSPEAKABLE = (r"that decided", r"It has 0\.", r"class \d", r"times times", r"\bNone\b", r"_", r"\{")
NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?")


@pytest.fixture(scope="module")
def records():
    """Id -> DecisionRecord of many shipped cases; `tests.full explaining` looks at the cards of all."""
    return {name: shipped.record(name) for name in shipped.some()}


@pytest.fixture(scope="module")
def words(content, plain_decider):
    return plain_decider.shop.wording(content.knowledge, "si")


@pytest.fixture(scope="module")
def cards(records, words):
    return cards_of(records, words)


def cards_of(records, words):
    """Id -> the card of a record."""
    return {name: card(record, words, 80, MORE) for name, record in records.items()}


def test_a_card_is_at_most_fourteen_lines_of_eighty_columns(cards, records):
    long = {name: text.count("\n") for name, text in cards.items() if text.count("\n") > MOST_LINES}
    assert long == {}
    assert all(len(line) <= 80 for text in cards.values() for line in text.splitlines())
    assert {record.outcome for record in records.values()} == {"recommended", "need_more_answers", "no_kit_fits"}
    assert any(record.contradictions for record in records.values())


def test_a_narrow_card_tells_the_same(cards, records, words):
    for name in list(cards)[::7]:
        narrow = card(records[name], words, 40, MORE)
        assert " ".join(narrow.split()) == " ".join(cards[name].split())
        assert all(len(line) <= 40 for line in narrow.splitlines()), name


def test_no_sentence_on_a_card_is_one_that_cannot_be_read_out(cards):
    for name, text in cards.items():
        for pattern in UNSPEAKABLE:
            flat = re.sub(r"\([a-z0-9-]+\)", "", text)  # ids are for whoever types the order
            assert not re.search(pattern, flat), (name, pattern, text)


def test_what_must_not_be_missed_is_on_every_card(cards, records):
    """Wishes given up, parts that must be bought, work with a part or a risk, and safety before buying."""
    counted = Counter()
    for name, record in records.items():
        text = " ".join(cards[name].split())
        for _, item in record.setup.items():
            if item.level == "required" and item.in_short:
                assert item.in_short in text, (name, item.id)
                counted["work"] += 1
        for part in record.setup.parts:
            if part.level == "required":
                assert part.kind.replace("_", " ") in text, (name, part.id)
                counted["parts"] += 1
        for caution in record.cautions:
            if caution.safety and caution.weight == "before_buying":
                assert re.split(r"[.:]", caution.text)[0] in text, (name, caution.id)
                counted["safety"] += 1
        if record.pick and record.pick.given_up:
            assert any(said in text for said in ("It gives up", " is wished.", "cannot be promised")), name
            counted["wishes"] += 1
    for what in ("work", "parts", "safety", "wishes"):
        assert counted[what] > len(records) / 16, counted


def test_work_that_must_not_be_missed_has_a_few_words(content):
    """Pedal stop, changed bearing, end float, dual-mass flywheel, bleeding and travel: never behind an option."""
    short = {
        item.id: item.in_short
        for rule in content.knowledge.rules
        for item in rule.items
        if item.kind in ("measurement", "step") and item.level == "required"
    }
    for name in (
        "set-pedal-stop",
        "start-switch-closes",
        "stop-already-there",
        "bearing-face-unknown",
        "pull-bearing",
        "end-float-before-and-after",
        "end-float-no-file",
        "dual-mass-kept",
        "bleed-clutch",
        "pedal-before-driving",
    ):
        assert short[name], name


def test_every_caution_says_whom_it_is_for_and_when(content):
    files = [*(ROOT / "rules/case").glob("*.yaml"), *(ROOT / "rules/setup").glob("*.yaml")]
    found = [caution for path in files for caution in _cautions(quick_yaml(path.read_text()))]
    assert len(found) > 100
    assert [caution["text"] for caution in found if not {"audience", "weight"} <= set(caution)] == []


def _cautions(node):
    if isinstance(node, list):
        return [caution for part in node for caution in _cautions(part)]
    if not isinstance(node, dict):
        return []
    own = node.get("caution", [])
    found = [one for one in (own if isinstance(own, list) else [own]) if isinstance(one, dict) and "text" in one]
    return found + [caution for key, part in node.items() if key != "caution" for caution in _cautions(part)]


#: Callers who have not said what decides: what is asked first is not what narrows most; both ends one kit; no car.
ASKED = {
    "torque": ("bramble-20t", {"main_use": "daily"}),
    "racing": ("gorse-25t", {"main_use": "rally", "quarter_mile_speed": 175.0, "vehicle_mass": 1350.0}),
    "ends-meet": (
        "gorse-25t",
        {"main_use": "drag_only", "engine_power": 372.0, "power_measured_at": "wheels", "stop_and_go": "daily"},
    ),
    "no-car": ("", {"main_use": "daily", "engine_torque": 300.0, "vehicle_mass": 1300.0}),
}


@pytest.fixture(scope="module")
def asked(plain_decider):
    """Name -> DecisionRecord of each of those."""
    cases = {
        name: Case(name, car, {fact: Answer(value) for fact, value in answers.items()})
        for name, (car, answers) in ASKED.items()
    }
    return {name: advise(plain_decider, case, with_changes=False) for name, case in cases.items()}


def test_an_order_waits_for_what_is_asked_first(asked, words):
    """One thing to find out, not two; and no "at the gentlest A, at the strongest A"."""
    for name, record in asked.items():
        text = " ".join(card(record, words, 80, MORE).split())
        assert record.asks and "Find out first: " in text and "before the first answer is in." in text, name
        span = record.span
        meet = span.gentle_end.kit is not None and span.gentle_end.kit == span.careful_end.kit
        assert meet == (name == "ends-meet") == ("So far everything points to" in text) != ("At the gentlest" in text)
        told = " ".join(sections(record, words, 80).split())
        assert not re.search(r"before the (how|what|when|where|whether)\b", told), name
        if name == "racing":
            assert "is ordered before it is known whether the car races" in told


def test_what_does_not_agree_is_asked_again_before_it_is_told_that_nothing_fits(plain_decider, words):
    answers = {"main_use": "daily", "engine_state": "standard", "shift_speed_rpm": 9000.0}
    case = Case("slip", "bracken-30t", {name: Answer(value) for name, value in answers.items()})
    record = advise(plain_decider, case, with_changes=False)
    text = " ".join(card(record, words, 80, MORE).split())
    assert record.outcome == "no_kit_fits" and record.contradictions
    assert 0 < text.index("Worth asking again: ") < text.index("No kit on file fits this case.")


def test_a_car_that_is_not_on_file_is_told_what_kind_of_clutch_it_comes_to(asked, words):
    text = " ".join(card(asked["no-car"], words, 80, MORE).split())
    ends = text.partition("At the gentlest")[2].partition("Watch")[0]
    assert asked["no-car"].span.fit_open and ends.count("of clamp load") == 2 and "factory clutch" not in ends


def test_every_number_on_a_card_is_in_the_record(cards, records, words):
    counted = 0
    for name, text in cards.items():
        allowed = numbers_of(records[name], words)
        for number in NUMBER.findall(text.replace(MORE, "")):
            assert number in allowed, (name, number, text)
            counted += 1
    assert counted > 6 * len(records)
    assert "12345" not in numbers_of(records["mild-street-tune"], words)


def numbers_of(record, words):
    """Every number the record knows, as it may be shown: of texts, values, prices, and the sums asked for."""
    worded = WordedRecord(record, words)
    texts = [*_strings(record.data), *(words.title(kit) for kit in record.kits)]
    texts += [words.title(record.case.platform or "")]
    # How many kits there are, and how many of them a requirement refuses.
    refused = Counter(check.requirement for kit in record.kits.values() for check in kit.failed)
    texts += [str(number) for number in (len(record.kits), *refused.values())]
    for posted in record.requirements.values():
        texts += [worded.needed(posted), worded.because(posted.rule)]
    for fact, value in record.values.items():
        texts.append(words.value(fact, value))
    for kit in record.kits.values():
        for check in (*kit.failed, *kit.unknown, *kit.given_up):
            measure = worded.requirements[check.requirement].measure
            texts += [text for pair in [words.pair(measure, check.actual, check.needed)] for text in pair if text]
    for check in (*record.pick.because, *record.pick.given_up) if record.pick else ():
        measure = worded.requirements[check.requirement].measure
        texts += words.pair(measure, check.actual, check.needed)
    for question in words.knowledge.questions.values():
        texts += [PLACEHOLDER.sub("", question.plain), question.help or ""]
    for call in record.close_calls:
        texts += words.pair(call.fact, call.at, call.value)
    if record.pick:
        texts += [words.value(figure, value) for figure, value in record.picked.figures.items()]
        margin = record.picked.figures.get("holding_margin")
        texts += [str(int(100 * (margin - 1) + 1e-9))] if margin else []
        texts += _priced(record, words)
    return {number for text in texts for number in NUMBER.findall(str(text))}


def _priced(record, words):
    """The prices and days of kit and parts, and their two sums, worked out here once more."""
    kit = words.records[record.pick_id].fields
    certain, depend, seen = [kit.get("price")], [], set()
    days = [kit.get("lead_time_days")]
    for level, prices in (("required", certain), ("check", depend)):
        for part in record.setup.parts:
            if part.level == level and part.kind not in seen and not (part.part and part.part in seen):
                seen |= {part.kind, part.part} - {None}
                prices.append(part.price)
                days.append(words.records[part.part].fields.get("lead_time_days") if part.part else None)
    sums = [sum(price or 0 for price in prices) for prices in (certain, certain + depend)]
    return [f"{price:,.2f}" for price in (*certain, *depend, *sums) if price is not None] + [
        f"{day:.0f}" for day in days if day is not None
    ]


def _strings(node):
    if isinstance(node, str):
        return [node]
    if isinstance(node, dict):
        return [text for key, part in node.items() for text in (key, *_strings(part))]
    return [text for part in node for text in _strings(part)] if isinstance(node, list) else []


def test_parts_stand_once_and_what_they_come_to_is_their_sum(records, words):
    counted = 0
    for record in records.values():
        if record.pick is None:
            continue
        lines = priced_lines(WordedRecord(record, words))
        ids = [line.part for line in (*lines.certain, *lines.depend) if line.part]
        kinds = [line.kind for line in (*lines.certain, *lines.depend)]
        assert len(ids) == len(set(ids)) and len(kinds) == len(set(kinds))
        if record.picked.figures.get("total_price") is not None:
            assert lines.total == pytest.approx(record.picked.figures["total_price"])
            assert lines.most >= lines.total
            counted += bool(lines.depend)
    assert counted > 0.6 * len(records)


def test_every_word_tells_its_section_and_all_of_them_everything(records, words):
    for name in ("mild-street-tune", "drag-strip-v8", "nothing-fits", "answers-missing", "lorry-declined"):
        whole = sections(records[name], words, 80)
        for word in WORDS:
            told = section(records[name], words, word, 80)
            assert told.strip() in whole or f"here is nothing to tell about {word}" in told
