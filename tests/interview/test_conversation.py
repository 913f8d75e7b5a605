"""The conversation: what is answered to what is typed, and what is on disk when it is answered."""

import errno
import itertools
import json
import os
import random

import pytest

from advisor.deciding.advise import advise
from advisor.deciding.recording import to_json
from advisor.errors import ErrorList, StoreError
from advisor.explaining.card import card
from advisor.explaining.sections import section
from advisor.interview import asking_why, case_file, orders
from advisor.interview.conversation import Talk
from advisor.interview.interview_file import InterviewFile
from advisor.interview.state import State
from advisor.knowledge import load
from tests.kept import share_advice

from . import shop
from .test_next_question import clashing
from .test_reading import random_lines

WIDTH = 80


@pytest.fixture(autouse=True)
def advised_once(monkeypatch):
    """Many conversations come to the same answers: these are advised once for all."""
    share_advice(monkeypatch)


@pytest.fixture
def talk(tmp_path):
    """A conversation about a new case."""
    with InterviewFile(tmp_path / "case.yaml") as held:
        yield begin(held)


def begin(held, chooser=None, **options):
    """A Talk on an InterviewFile."""
    chooser = chooser or shop.quick()
    made = Talk(chooser, shop.reader(), shop.teller(**options), held, State("case"), rules="r")
    held.save(made.state)
    return made


def say(talk, *texts):
    """Say several lines; the last text."""
    return [talk.take(text, WIDTH) for text in texts][-1]


STANDING = ("car = bramble", "main_use = daily", "engine_torque = 430 Nm")


def test_an_answer_is_on_disk_when_it_is_acknowledged(talk):
    for text, name in (
        ("bramble", "platform: bramble-20t"),
        ("daily", "main_use: daily"),
        ("torque = 430 Nm measured", "430 Nm"),
    ):
        talk.take(text, WIDTH)
        assert name in talk.store.path.read_text()
    case = load.case(talk.store.path, shop.knowledge())
    assert case.answers["engine_torque"].origin == "measured"


def test_when_the_disk_refuses_nothing_is_taken(talk, monkeypatch):
    say(talk, *STANDING)
    before = talk.state, list(talk.store.undo)
    monkeypatch.setattr(os, "fsync", lambda _: (_ for _ in ()).throw(OSError(errno.ENOSPC, "No space left on device")))
    with pytest.raises(StoreError):
        talk.take("noise = quiet", WIDTH)
    assert (talk.state, talk.store.undo) == before


def test_what_is_not_known_exactly_is_kept_as_said_and_read_back(talk):
    say(talk, "car = bramble", "main_use = daily")
    for text, kept, ends in (
        ("torque = 400 to 450 Nm", "400 to 450 Nm", (400.0, 450.0)),
        ("torque = about 430 Nm", "about 430 Nm", (408.0, 452.0)),
        ("torque = at least 400 Nm measured", "at least 400 Nm", (400.0, 500.0)),
        ("it makes somewhere between 380 and 420 newton metres", "380 to 420 N m", (380.0, 420.0)),
    ):
        shown = talk.take(text, WIDTH)
        case = load.case(talk.store.path, shop.knowledge())
        held = case.answers["engine_torque"]
        assert (held.low, held.high) == ends and kept in talk.store.path.read_text()
        assert case.answers == talk.state.as_case().answers
        assert "could be" in shown
    assert "could be 380 to 420 N m" in talk.take("answers", WIDTH)
    assert case_file.read(talk.store.path, shop.knowledge()).as_case().answers == talk.state.as_case().answers


def test_dont_know_is_an_answer_and_never_asked_again(talk):
    say(talk, *STANDING)
    for _ in range(3):
        asked = talk.question
        talk.take("dunno", WIDTH)
        assert talk.question != asked and talk.state.said[asked].unknown


def test_an_empty_line_erases_nothing_and_takes_a_suggestion(talk):
    say(talk, *STANDING, "torque_measured_at = wheels", "engine_torque = 400 Nm")
    assert "torque_measured_at" not in talk.state.said
    said = say(talk, "change torque_measured_at", "")
    assert "wheels" in said and talk.state.said["torque_measured_at"].value == "wheels"
    held = talk.state
    talk.take("   ", WIDTH)
    assert talk.state is held


def test_undo_takes_back_one_step_at_a_time(talk):
    say(talk, *STANDING)
    say(talk, "torque = 500 Nm at the wheels", "undo")
    assert talk.state.said["engine_torque"].value == 430.0 and "torque_measured_at" not in talk.state.said
    say(talk, "undo", "undo", "undo")
    assert talk.state.car is None and "nothing to take back" in say(talk, "undo")
    assert "answers: {}" in talk.store.path.read_text()


@pytest.mark.parametrize("word", ["leave", "quit", "exit"])
def test_leaving_early_saves(talk, word):
    say(talk, "bramble", word)
    assert talk.ended == orders.LEFT
    assert load.case(talk.store.path, shop.knowledge()).platform == "bramble-20t"


def test_change_asks_again_and_keeps_the_answer_until_there_is_another(talk):
    say(talk, *STANDING, "change torque now")
    assert talk.question == "engine_torque" and talk.state.said["engine_torque"].value == 430.0
    say(talk, "450 Nm")
    assert talk.state.said["engine_torque"].value == 450.0 and talk.question != "engine_torque"


def test_put_off_and_brought_back(talk):
    say(talk, *STANDING)
    asked = talk.question
    say(talk, "later")
    assert talk.question != asked and asked in talk.state.later
    say(talk, f"change {asked}")
    assert talk.question == asked and asked not in talk.state.later


def test_why_names_kits_and_rules(talk):
    say(talk, *STANDING)
    told = say(talk, "why")
    candidate = next(one for one in talk.view.candidates if one.fact == talk.question)
    kits = [one for one in asking_why.separated(talk.question, talk.view) if one]
    assert "Rules:" in told and any(rule.id in told.replace("\n  ", " ") for rule in shop.knowledge().rules)
    if candidate.pick_effect:
        assert len(kits) >= 1 and any(kit in told.replace("\n", " ") for kit in kits)


def test_now_shows_the_card_and_what_is_open_and_the_rest_follows_by_its_words(talk):
    say(talk, *STANDING)
    told = say(talk, "now")
    made = advise(shop.decider(), talk.state.as_case())
    assert told.startswith(card(made, talk.teller.wording, 80).rstrip())
    assert "Open, and how often it changes the advice" in told
    for word in ("next", "parts", "fitting", "cautions"):
        assert say(talk, word) == section(made, talk.teller.wording, word, 80).rstrip()
    assert made.next_up.kit in say(talk, "next").replace("\n  ", " ")


@pytest.mark.parametrize("word", ("next", "parts", "fitting", "cautions"))
def test_the_words_after_the_card_say_before_an_advice_what_is_needed_first(talk, word):
    assert say(talk, word) == "Nothing stands yet that could tell. Needed first: the car."
    say(talk, "bramble")
    needed = talk.teller.wording.labels(talk.view.known.missing, most=3)
    assert (
        needed and say(talk, word).replace("\n", " ") == f"Nothing stands yet that could tell. Needed first: {needed}."
    )


def test_explanations_are_at_hand(talk):
    say(talk, *STANDING)
    made = advise(shop.decider(), talk.state.as_case())
    assert "Nothing stands yet" not in say(talk, "explain")
    assert say(talk, f"why-not {made.next_down.kit}")
    before = talk.state
    assert say(talk, "what-if engine_torque = 300 Nm") and talk.state is before
    assert "no kit is known" in say(talk, "why-not zzz")
    assert say(talk, "what-would-change")


@pytest.mark.parametrize(
    "texts, words",
    [
        # Power is torque times speed: 380 hp at 6500 rpm is 283 kW at 681 rad/s, 416 N m, and no peak is lower.
        (["engine_torque = 300 Nm", "engine_power = 380 hp at 6500 rpm"], ["416 N m", "300 N m", "cannot be lower"]),
        (["engine_power = 50 kW at 6500 rpm", "engine_torque = 400 Nm"], ["73.5 N m", "400 N m"]),
        (["engine_state = standard", "engine_torque = 600 Nm"], ["290 N m", "600 N m", "engine_state"]),
        (["driven_axle = rear"], ["front", "rear", "The answer counts"]),
        (["launch_speed_rpm = 5000", "shift_speed_rpm = 4000"], ["5000 rpm", "4000 rpm"]),
        (["main_use = drag_only", "stop_and_go = daily"], ["stop-and-go"]),
    ],
)
def test_contradictions_show_both_sides_and_settle_nothing(talk, texts, words):
    told = say(talk, "car = bramble", *texts).replace("\n", " ")
    assert "Look:" in told
    for word in words:
        assert word in told
    assert all(text.split(" = ")[0] in talk.state.said for text in texts)
    # Told when it arises and whenever somebody looks, but not at every answer.
    assert "Look:" not in say(talk, "budget = 900")
    assert "Look:" in say(talk, "now")


def test_what_fits_together_is_no_contradiction(talk):
    for text in (
        "car = bramble",
        "engine_torque = 430 Nm",
        "engine_power = 380 hp at 6500 rpm",
        "engine_state = modified",
        "main_use = daily",
    ):
        assert "Look:" not in say(talk, text)


def test_rules_that_cannot_agree_are_told_and_can_be_mended(tmp_path):
    with InterviewFile(tmp_path / "case.yaml") as held:
        talk = begin(held, clashing())
        say(talk, *STANDING, "noise_tolerance = any", "tyre_grip = semi_slick")
        assert talk.question is None and "clash-noise" in talk.trouble
        assert "clash-noise" in talk.ask(WIDTH).replace("\n", " ") and talk.status(40) == "answers in conflict"
        say(talk, "noise_tolerance = quiet")
        assert not talk.trouble and talk.question


def test_what_stands_whatever_else_is_answered_is_told_as_proved(talk):
    assert "nothing stands" in say(talk, "settled")
    shown = say(talk, *STANDING, "settled")
    assert "(proved for every answer still open" in shown and "Still hangs on answers" in shown
    assert max(map(len, shown.splitlines())) <= WIDTH


def test_where_it_stops_it_says_whether_the_pick_is_proved_or_drawn(talk):
    for _ in range(40):
        if talk.question is None:
            break
        say(talk, STANDING[0] if talk.question == "car" else "daily" if talk.question == "main_use" else "?")
        if talk.question == "engine_torque":
            say(talk, STANDING[2])
    shown = " ".join(talk.ask(WIDTH).split())
    assert talk.question is None
    assert "would be sold another kit. That is drawn from callers, not proved." in shown or "Proved: whatever" in shown


def test_it_stops_says_so_lists_what_is_assumed_and_goes_on_if_wanted(talk):
    say(talk, *STANDING)
    for _ in range(40):
        if talk.question is None:
            break
        talk.take("?", WIDTH)
    told = talk.ask(WIDTH)
    # One voice: the advice itself will name what would narrow it, so nothing is called settled here.
    span = talk.decider.spanner.span(talk.view.platform, talk.view.facts_known, talk.view.standing.pick)
    flat = told.replace("\n", " ")
    assert span.narrows and f"Nothing more is asked for now, though {talk.teller.label(span.narrows[0].fact)}" in flat
    # Nobody could answer, so nothing is left to ask: callers who said the same are sold other kits all the same.
    assert talk.view.doubt < 0.01 and span.likely.picked_in < 95
    assert f"{100 - span.likely.picked_in} in 100 callers who said the same would be sold another kit" in flat
    assert "Assumed" in told and "Nothing left to ask" not in told
    say(talk, "more")
    assert talk.question is not None and talk.ended is None
    say(talk, "done")
    assert talk.ended == orders.DONE


@pytest.mark.parametrize("plain", [False, True])
def test_nothing_is_wider_than_a_narrow_screen(tmp_path, plain):
    with InterviewFile(tmp_path / "case.yaml") as held:
        talk = begin(held, plain=plain)
        texts = [talk.ask(40)]
        for text in (
            "help",
            "bramble",
            "why",
            "daily",
            "help engine_torque",
            "430 Nm at the wheels",
            "why",
            "now",
            "answers",
            "driven_axle = rear",
            "more",
            "zzz = 3",
        ):
            texts.append(talk.take(text, 40))
            texts.append(talk.ask(40))
            assert len(talk.status(40)) <= 40
    for line in itertools.chain.from_iterable(text.splitlines() for text in texts):
        assert len(line) <= 40 or not line.strip().count(" "), line


def test_a_customer_is_asked_in_plain_words(tmp_path):
    with InterviewFile(tmp_path / "case.yaml") as held:
        talk = begin(held, plain=True)
        say(talk, "bramble")
        assert shop.knowledge().questions[talk.question].plain in talk.ask(200)


def typed_at_random(folder, lines):
    """Type every line into one interview that goes on whatever happens; the number of lines that were taken."""
    with InterviewFile(folder / "case.yaml") as held:
        talk, taken = begin(held), 0
        for line in lines:
            before = talk.state
            told = talk.take(line, WIDTH)
            assert isinstance(told, str) and isinstance(talk.ask(WIDTH), str) and len(talk.status(WIDTH)) <= WIDTH
            talk.ended = None
            taken += talk.state is not before
        assert case_file.read(held.path, shop.knowledge()).as_case() == talk.state.as_case()
    return taken


def test_random_lines_are_answered_and_the_case_file_stays_whole(tmp_path):
    assert typed_at_random(tmp_path, ["bramble", "main_use = daily", "engine_torque = 430 Nm", *random_lines(60)]) >= 3


ANSWERS = [
    "car = bramble",
    "main_use = weekend_road",
    "engine_torque = 430 Nm measured",
    "torque_measured_at = wheels",
    "torque_growth_percent = 10",
    "shift_speed_rpm = 6800",
    "launch_speed_rpm = 3500",
    "stop_and_go = some",
    "hard_launches_per_day = 0",
    "tyre_grip = summer",
    "pedal_tolerance = moderate",
    "noise_tolerance = some",
    "take_up_tolerance = ?",
    "sanctioned_racing = no",
    "installer = professional",
    "budget = ?",
]


def decided_in_order(folder, order):
    """The decision record of the case file that comes of telling the answers in an order, without who made it when."""
    path = folder / "case.yaml"
    with InterviewFile(path) as held:
        talk = begin(held)
        for text in order:
            talk.take(text, WIDTH)
    state = case_file.read(path, shop.knowledge())
    made = advise(shop.decider(), load.case(path, shop.knowledge()))
    assert to_json(advise(shop.decider(), state.as_case())) == to_json(made)
    path.unlink()
    return json.dumps({**made.data, "made_by": None}, sort_keys=True)


def orders_that_differ(folder, count, seed=3):
    """Number of ``count`` shuffled orders of the answers that come to other bytes than the first."""
    rng = random.Random(seed)
    first = decided_in_order(folder, ANSWERS)
    assert '"outcome": "recommended"' in first
    return sum(decided_in_order(folder, rng.sample(ANSWERS, len(ANSWERS))) != first for _ in range(count))


def test_the_order_of_the_answers_changes_nothing(tmp_path):
    assert orders_that_differ(tmp_path, 1) == 0


def test_an_answer_on_use_changed_after_a_result_is_marked(talk):
    say(talk, "1", "main_use = daily; engine_torque = 430 Nm measured", "now")
    talk._result_told = True  # whether a kit was named on the way hangs on the car
    say(talk, "main_use = drag_only")
    (change,) = talk.state.changed
    assert (change.fact, change.before, change.after) == ("main_use", "daily", "drag_only")
    assert talk.state.as_case().changed == talk.state.changed
    say(talk, "main_use = daily")
    assert talk.state.changed == ()


def test_the_mark_is_in_the_file_and_stays_through_undo_and_a_restart(tmp_path):
    path = tmp_path / "case.yaml"
    with InterviewFile(path) as held:
        talk = begin(held)
        say(talk, "1", "main_use = daily; engine_torque = 430 Nm measured; sanctioned_racing = yes", "now")
        talk._mark_told()
        say(talk, "leave")
    knowledge = talk.knowledge
    with InterviewFile(path) as held:
        state, side = held.load(knowledge)
        assert side["result_told"] == "yes" and state.changed == ()
        talk = Talk(shop.quick(), shop.reader(), shop.teller(), held, state, rules="r", result_told=True)
        say(talk, "sanctioned_racing = no", "thrust_arc_deg = 180", "thrust_arc_deg = 360")
        marked = talk.state.changed
        assert [(one.fact, one.before, one.after) for one in marked] == [
            ("sanctioned_racing", True, False), ("thrust_arc_deg", 180.0, 360.0),
        ]  # fmt: skip
        say(talk, "pedal_tolerance = light", "undo", "leave")
        assert talk.state.changed == marked
    # Whoever decides the file sees the mark, and so do the record, the screen and the lead.
    case = load.case(path, knowledge)
    assert case.changed == marked
    text = path.read_text().replace("before: yes", "before: maybe")
    path.write_text(text)
    with pytest.raises(ErrorList, match="neither yes nor no"):
        load.case(path, knowledge)


def test_an_answer_that_is_given_first_is_no_change(talk):
    say(talk, "1", "engine_torque = 430 Nm measured")
    talk._result_told = True
    say(talk, "main_use = daily; pedal_tolerance = light", "pedal_tolerance = heavy")
    assert talk.state.changed == ()


def test_dont_know_works_at_every_prompt_and_says_what_is_taken_then(tmp_path):
    with InterviewFile(tmp_path / "case.yaml") as held:
        talk = begin(held)
        assert "not on file" in say(talk, "?") and talk.state.car == ""
        assert "No kit" not in say(talk, "change car", "bramble") and talk.state.car == "bramble-20t"
        assert "Without it no kit can be picked" in say(talk, "?")
        say(talk, "main_use = daily")
        assert "tells it too" in say(talk, "change engine_torque", "?").replace("\n", " ")
        say(talk, "engine_state = modified")
        assert "tells it too" in say(talk, "change engine_torque", "?").replace("\n", " ")
        say(talk, "engine_power = 300 hp")
        # A power was told: nobody who then does not know the torque is sent for another figure.
        unknown = say(talk, "change engine_torque", "?").replace("\n", " ")
        assert "worked out from what was told: engine power" in unknown and "tells it too" not in unknown
        say(talk, "engine_torque = 430 Nm")
        seen = 0
        for _ in range(40):
            if talk.question is None:
                break
            name = talk.question
            told = say(talk, "?").replace("\n", " ")
            taken = [one for one in talk.view.known.assumptions if one.fact == name]
            if taken:
                assert talk.teller.value(name, taken[0].value) in told and "Until somebody knows" in told
                seen += 1
            else:
                assert "stays open" in told or "tells it too" in told or "worked out from what was told" in told
        assert seen and "Assumed, because nobody said" in say(talk, "?")


def test_more_to_ask_than_before_is_said_with_the_reason(tmp_path):
    with InterviewFile(tmp_path / "case.yaml") as held:
        talk = begin(held, shop.chooser())
        say(talk, "bramble")
        rises, last = 0, None
        for text in ("daily", "modified", "?", "?", "main_use = drag_only", "?", "?", "?", "?"):
            told = talk.take(text, WIDTH)
            left = talk.view.left
            if last is not None and left is not None and left > last:
                assert "More to ask than before" in told and "matters now" in told.replace("\n", " ")
                rises += 1
            else:
                assert "More to ask than before" not in told
            last = left
        assert rises


def test_a_customer_sees_no_names_and_no_choices_of_ours(tmp_path):
    with InterviewFile(tmp_path / "case.yaml") as held:
        talk = begin(held, plain=True)
        shown = [talk.ask(WIDTH), talk.prompt()]
        for text in (
            "bramble",
            "zzz",
            "daily",
            "modified",
            "zzz",
            "430 Nm",
            "what is boost?",
            "answers",
            "now",
            "later",
        ):
            shown += [talk.take(text, WIDTH), talk.ask(WIDTH), talk.prompt()]
        for _ in range(30):
            if talk.question is None:
                break
            shown += [talk.take("zzz", WIDTH), talk.take("?", WIDTH), talk.ask(WIDTH), talk.prompt()]
        shown.append(talk.take("?", WIDTH))
    names = {name for name in (*shop.knowledge().questions, *shop.knowledge().facts) if "_" in name}
    names |= {choice for fact in shop.knowledge().facts.values() for choice in fact.choices if "_" in str(choice)}
    found = {
        word
        for text in shown
        for word in text.replace("(", " ").replace(")", " ").split()
        if word.strip(".,:;'") in names
    }
    assert not found
    assert any("Boost is" in text for text in shown)


def test_words_that_can_always_be_typed_stand_below_every_question():
    for plain in (False, True):
        for width in (40, 80):
            teller = shop.teller(plain=plain)
            assert all(word in teller.words(width) for word in ("?", "back", "change", "later", "done", "help"))
            assert all(word in teller.keys(width) for word in ("back", "change", "later", "done", "help"))
            assert len(teller.words(width)) <= width and len(teller.keys(width)) <= width


def test_questions_are_answered_while_it_asks(talk):
    assert "Nothing stands yet" in say(talk, "how heavy is it?")
    say(talk, *STANDING)
    asked, before = talk.question, talk.state
    assert "pedal takes" in say(talk, "how heavy is it?")
    assert "the pick changes to" in say(talk, "what if the boost goes to 1.4 bar next year").replace("\n", " ")
    assert "EUR" in say(talk, "what does it cost")
    assert talk.question == asked and talk.state is before
    # What is asked is never taken for an answer.
    say(talk, "will it be heavy", "can it tow 1.4 t?")
    assert talk.state is before


def test_a_car_not_on_file_that_nobody_has_apart_is_left_to_the_shop_with_the_kind_of_clutch_so_far(tmp_path):
    with InterviewFile(tmp_path / "case.yaml") as held:
        talk = begin(held)
        say(talk, "none", "kind_of_vehicle = car", "daily, standard", "250 Nm", "?", "4", "turbo", "petrol", "front")
        assert talk.question == "gearbox_out"
        say(talk, "no", "cable")
        assert talk.question is None
        told = talk.ask(WIDTH).replace("\n", " ")
        assert "the shop will look" in told and "Nothing has to be taken apart" in told
        span = advise(shop.decider(), talk.state.as_case()).span
        assert span.fit_open and span.gentle_end.price is None and span.careful_end.price is None
        for end in (span.gentle_end, span.careful_end):
            fields = talk.teller.wording.records[end.kit or end.best].fields
            assert f"{fields['outer_diameter']:g} mm" in told and f"{fields['clamp_load']:g} N" in told
            # Of a kit of another car neither name nor id is told.
            assert talk.teller.wording.title(end.kit or end.best) not in told and (end.kit or end.best) not in told


@pytest.mark.parametrize("line", ("a bramble", "it's a bramble 20t", "Bramble 2.0 turbo hatchback", "my bramble."))
def test_the_name_of_the_car_alone_leaves_nothing_to_be_asked(talk, line):
    told = say(talk, line)
    assert talk.state.car == "bramble-20t"
    assert "Not understood" not in told and "To be asked" not in told


def test_beside_the_name_of_the_car_the_rest_is_taken_down_and_only_that(talk):
    told = say(talk, "a bramble 20t, chipped, 430 Nm at the wheels")
    assert talk.state.car == "bramble-20t" and talk.state.said["engine_torque"].value == 430.0
    assert talk.state.said["torque_measured_at"].value == "wheels" and "20t" not in told
    assert "Not understood: 'gibberish'" in say(talk, "gibberish, tows 900 kg")


def test_who_does_not_know_what_stops_it_is_offered_nothing_more(talk):
    say(talk, "bramble", "?")
    while talk.question is not None:
        say(talk, "?")
    assert talk.prompt() == "done or a change> " and "Find out" in talk.ask(WIDTH)
    assert "main_use" in talk.state.said and "torque_measured_at" not in talk.state.said


def test_a_customer_is_told_one_way_to_write_a_number_and_none_where_it_cannot_be(tmp_path):
    with InterviewFile(tmp_path / "case.yaml") as held:
        talk = begin(held, plain=True)
        say(talk, "bramble", "change engine_torque")
        told = " ".join(say(talk, "430 bananas").split())
        assert "Accepted: a number and a unit, as in 430 N m." in told and "lb-in" not in told
        told = " ".join(say(talk, "99999 Nm").split())
        assert told.endswith("is outside the range from 20 N m to 3000 N m. Check the value.")
    short = begin(InterviewFile(tmp_path / "other.yaml"))
    say(short, "bramble", "change engine_torque")
    assert "units N m" in " ".join(say(short, "430 bananas").split()), "the counter keeps the list"
