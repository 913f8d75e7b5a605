"""What callers say of a complaint, as invented callers say it: what is taken down, what is left to be asked."""

import pytest

from advisor import cli
from advisor.complaints.signs_said import signs_said

from .shop import diagnoser
from .test_dialog import dialog, spoken

SAID = [
    (
        "it slips in fourth when I floor it, since the remap",
        {"complaint": "slips", "slip_shows": "peak_torque", "began": "after_power"},
    ),
    ("Clutch's slipping, but only when it's hot.", {"complaint": "slips", "slip_shows": "only_hot"}),
    ("I can't get it into reverse and it grates", {"complaint": "drags"}),
    (
        "won't go into gear any more, pumping the pedal helps",
        {"complaint": "drags", "pumping_helps_now": True},
    ),
    ("it judders on damp mornings but it doesn't slip", {"complaint": "judders", "judders_when": "damp_mornings"}),
    ("a whirring noise as soon as I touch the pedal", {"complaint": "noise", "noise_heard": "pedal_touched"}),
    (
        "the pedal goes down by itself and I keep topping up the fluid",
        {"complaint": "pedal", "pedal_by_itself": "sinks", "fluid_falls": True},
    ),
    ("bites right at the top, no smell", {"complaint": "take_up", "bites": "near_top"}),
    (
        "all of a sudden a bang, now no gears",
        {"complaint": "drags", "began": "suddenly", "broken_loose": "bang_or_pieces"},
    ),
    ("good morning, it's about my clutch", {}),
    ("no noise and no vibration at all", {}),
]


@pytest.mark.parametrize(("sentence", "wanted"), SAID)
def test_sentences(sentence, wanted):
    assert dict(signs_said(sentence, diagnoser().knowledge.symptoms).signs) == wanted


def test_the_first_of_two_complaints_is_taken_and_the_other_is_said_back():
    found = signs_said("it slips and it smells", diagnoser().knowledge.symptoms)
    assert (found.signs["complaint"], found.beside) == ("slips", ("smell",))
    talk = dialog()
    assert "Heard too: smells" in talk.take("it slips and it smells")


def test_two_values_of_one_sign_leave_it_open():
    found = signs_said("it slips in the wet and at full throttle in fourth", diagnoser().knowledge.symptoms)
    assert "slip_shows" not in found.signs


def test_what_was_said_is_said_back_not_asked_again_and_taken_back():
    talk = dialog()
    told = " ".join(talk.take("it slips in fourth when I floor it, since the remap").split())
    assert "Taken down:" in told and "right after more power" in told and "Say back" in told
    asked = []
    while talk.question is not None and talk.question.first:
        asked.append(talk.question.name)
        talk.take("no")
    assert asked == ["pedal_by_itself", "broken_loose"] and talk.question.name not in ("slip_shows", "began")
    # Another sentence tells of the question and of one that was not asked.
    talk = dialog({"complaint": "slips", "pedal_by_itself": "no", "broken_loose": "no"})
    assert talk.question.name == "began"
    assert "Taken down" in talk.take("all of a sudden, and it is worse and worse")
    assert (talk.told["began"], talk.told["trend"]) == ("suddenly", "worse")
    assert "since when" in talk.take("back").lower() or "began" not in talk.told
    assert "trend" in talk.told


def test_what_is_not_understood_changes_nothing():
    talk = dialog({"complaint": "slips", "pedal_by_itself": "no", "broken_loose": "no"})
    before = dict(talk.told)
    assert talk.take("how much is a new one").startswith("Not understood.")
    assert talk.told == before


@pytest.mark.parametrize(("typed", "value"), [("1", True), ("2", False), ("y", True), ("nope", False), ("yes", True)])
def test_yes_and_no_in_short(typed, value):
    talk = dialog({"complaint": "drags"}, without=["pedal_by_itself"])
    assert talk.question.name == "shared_fluid"
    assert talk.take(typed) == "" and talk.told["shared_fluid"] is value


def test_every_phrase_is_heard_as_what_it_stands_for():
    """A phrase in another symptom's way, or a word of denial in it, would never be heard."""
    symptoms = diagnoser().knowledge.symptoms
    lost = []
    for symptom in symptoms.values():
        for value, phrases in symptom.said.items():
            meant = value == "yes" if symptom.fact.kind == "flag" else value
            complaint = "" if symptom.name == "complaint" else symptom.of[0]
            for phrase in phrases:
                if signs_said(phrase, symptoms, complaint).signs.get(symptom.name) != meant:
                    lost.append((symptom.name, value, phrase))
    assert lost == []


def test_by_telephone_the_end_is_short_and_says_where_to_go_on():
    found, written = spoken(dialog(), "it slips in fourth when I floor it", "no", "no", "done")
    assert found.complaint == "slips"
    assert written.startswith("Say it as the caller does")
    talk = dialog(found.told)
    page = talk.teller.page(found, said={rule.id for rule in found.cautions})
    assert "What remains, the likeliest first" in page and "Mind:" not in page and len(page.splitlines()) < 30


def test_a_sentence_on_the_command_line(capsys):
    assert cli.main(["complaint", "the pedal goes down by itself at the lights", "--page"]) == 3
    assert "STOP: Do not drive it" in capsys.readouterr().out


def test_options_stand_before_or_behind_what_is_told(capsys):
    pages = []
    for typed in (["drags", "--page", "pumping_helps_now=yes"], ["--page", "drags", "pumping_helps_now=yes"]):
        assert cli.main(["complaint", *typed]) == 3
        pages.append(capsys.readouterr().out)
    assert pages[0] == pages[1]
    assert cli.main(["complaint", "drags", "--page", "--pgae"]) == 2
    assert "unrecognized arguments: --pgae" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("asked", "typed", "value"),
    [
        ("pedal_by_itself", "not really", "no"),
        ("pedal_by_itself", "no, it stays down at high revs", "stays_down_at_speed"),
        ("broken_loose", "no bang", "no"),
        ("broken_loose", "don't think so", "no"),
        ("shared_fluid", "yes they share it", True),
        ("shared_fluid", "pot is separate", False),
        ("shared_fluid", "no, two of them", False),
    ],
)
def test_yes_and_no_in_more_words(asked, typed, value):
    first = ("pedal_by_itself", "shared_fluid", "broken_loose")
    talk = dialog({"complaint": "drags"}, without=[name for name in first if name != asked])
    assert talk.question.name == asked
    talk.take(typed)
    assert talk.told[asked] == value


@pytest.mark.parametrize(
    "typed", ["not sure", "No idea, sorry", "I don't know", "never looked", "couldn\u2019t say", "?"]
)
def test_nobody_knows_is_not_no(typed):
    talk = dialog({"complaint": "drags"}, without=["pedal_by_itself"])
    assert talk.question.name == "shared_fluid"
    assert talk.take(typed) == "" and "shared_fluid" not in talk.told and "shared_fluid" in talk.without
