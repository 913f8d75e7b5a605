"""The customer's pages: questions, changing, two tabs, the result, and that the same answers come to the same bytes."""

import itertools
import json
import pathlib
import random
import re

import pytest

from advisor.casebook.book import Casebook
from advisor.deciding.recording import to_json
from advisor.interview import case_file
from advisor.knowledge import cases
from tests.web.browsing import Browser

ANSWERS = {
    "main_use": "weekend_road",
    "engine_state": "modified",
    "engine_torque": "430 Nm",
    "torque_measured_at": "wheels",
    "noise_tolerance": "any",
    "hill_starts": "often",
    "towed_mass": "900 kg",
    "bedding_in_possible": "yes",
}


def site(app):
    return app.extensions["site"]


def case_path(app, browser):
    """The case file of the case a browser is in, as the register knows it."""
    with site(app).register() as register:
        newest = max(register.cases(), key=lambda case: case.id)
    return site(app).path_of(newest)


def kept_record(app, number):
    """The bytes of the record the casebook holds of a case."""
    with Casebook(site(app).folders.casebook, write=False) as book:
        return to_json(book.record(book.decision_of(number)))


def test_a_customer_goes_from_the_start_to_the_shop(app, browser):
    browser.get("/")
    assert browser.status == 200 and "I don't know" in browser.page
    browser.begin()
    asked = []
    while browser.asked:
        assert browser.asked not in asked, "asked twice"
        asked.append(browser.asked)
        assert browser.title.startswith(browser.heading.replace("'", "&#39;"))
        assert "Why this is asked" in browser.page and "know" in browser.page
        browser.answer(ANSWERS.get(browser.asked, "unknown"))
    assert browser.path == "/result" and 2 < len(asked) < 20
    assert "Your clutch" in browser.page and "EUR" in browser.page and "no order" in browser.page
    assert "before anything is ordered: Demonstration shop" in browser.page and "Order by" not in browser.page
    browser.get("/answers")
    assert "See the result</a>" in browser.page and "Go on</a>" not in browser.page and "Ask me more" in browser.page
    browser.get("/send").send("/send", name="", phone="none")
    assert browser.status == 400 and browser.title.startswith("Error: ")
    assert 'href="#name"' in browser.page and 'href="#phone"' in browser.page
    browser.send("/send", name="Eve Example", phone="000 111", note="rings on Monday")
    assert browser.path == "/sent"
    number = int(re.search(r"number there is (\d+)", browser.page)[1])
    with Casebook(site(app).folders.casebook, write=False) as book:
        people = list(book.private_of(number).values())
        assert {"name": "Eve Example", "phone": "000 111"} in people
    assert "Eve" not in case_path(app, browser).read_text()


def test_the_same_answers_give_the_same_bytes_by_web_and_terminal_and_file(app, browser, tmp_path, decider):
    from advisor.deciding.advise import advise
    from advisor.interview.conversation import Talk
    from advisor.interview.interview_file import InterviewFile
    from advisor.interview.next_question import Chooser
    from advisor.interview.prompts import Teller
    from advisor.interview.reading import Reader
    from advisor.interview.sampling import Sampler
    from advisor.interview.state import State

    browser.begin()
    browser.tell(**ANSWERS)
    browser.get("/send").send("/send", name="Eve Example", phone="000 111", note="")
    number = int(re.search(r"number there is (\d+)", browser.page)[1])
    path = case_path(app, browser)
    web = kept_record(app, number)
    by_file = to_json(advise(decider, cases.case(str(path), decider.knowledge)))
    with InterviewFile(tmp_path / path.name) as store:
        reader, teller = Reader(decider.knowledge, decider.shop.platforms), Teller(decider.knowledge, decider.shop)
        talk = Talk(Chooser(Sampler(decider)), reader, teller, store, State(path.stem))
        talk.take("car = bramble-20t", 80)
        for name, value in ANSWERS.items():
            talk.take(f"{name} = {value}", 80)
        by_terminal = to_json(advise(decider, talk.state.as_case()))
    assert json.loads(web)["outcome"] == "recommended"
    assert web == by_file == by_terminal


def test_the_order_of_answers_changes_nothing(app, decider):
    """Every shuffled order leaves the same answers; fifty of them are in ``python -m tests.full web``."""
    outcomes = set()
    few = ("main_use", "engine_torque", "torque_measured_at", "hill_starts")
    for number, order in enumerate(itertools.islice(itertools.permutations(few), 0, 24, 11)):
        browser = Browser(app, f"10.2.0.{number + 1}")
        browser.begin()
        browser.tell(**{name: ANSWERS[name] for name in order})
        state = case_file.read(case_path(app, browser), decider.knowledge)
        outcomes.add((state.car, *sorted((name, said.raw) for name, said in state.said.items())))
    assert len(outcomes) == 1 and len(next(iter(outcomes))) == 1 + len(few)


def test_going_back_loses_nothing_and_blank_erases_nothing(app, browser):
    browser.begin().say("main_use", "daily")
    browser.say("engine_torque", "430 Nm")
    browser.get("/question/engine_torque")
    assert 'value="430"' in browser.page and "Back to: main use" in browser.page
    browser.send("/question/engine_torque", value="")
    assert browser.status == 400 and browser.title.startswith("Error: ") and 'href="#value"' in browser.page
    assert "engine_torque" in case_path(app, browser).read_text()
    assert "430 N m" in browser.get("/answers").page.replace("\xa0", " ")


def test_typed_and_not_known_together_is_asked_about(app, browser):
    browser.begin().get("/question/engine_torque")
    browser.send("/question/engine_torque", value="430", unknown="yes")
    assert browser.status == 400 and "430" in browser.page and "don&#39;t know" in browser.page
    assert "engine_torque" not in case_path(app, browser).read_text()


@pytest.mark.parametrize(
    "typed, unit, kept",
    [
        ("430", "N m", 430.0),
        ("317", "lb-ft", 429.8),
        ("430 Nm", "lb-ft", 430.0),
        ("about 430", "N m", 430.0),
        ("400 to 460 Nm", "N m", 430.0),
        ("4e9", "N m", None),
        ("1,5", "N m", None),
        ("-4", "N m", None),
        ("plenty", "N m", None),
        ("=1+1", "N m", None),
    ],
)
def test_numbers_as_people_type_them(app, browser, decider, typed, unit, kept):
    browser.begin().get("/question/engine_torque").send("/question/engine_torque", value=typed, unit=unit)
    said = case_file.read(case_path(app, browser), decider.knowledge).said
    if kept is None:
        assert browser.status == 400 and "engine_torque" not in said and 'aria-invalid="true"' in browser.page
        assert f'value="{typed}"' in browser.page, "what was typed is still there"
    else:
        assert browser.status == 200 and said["engine_torque"].value == pytest.approx(kept, rel=1e-3)


def test_two_tabs_the_older_is_told_and_nothing_is_merged(app, browser):
    browser.begin()
    older = browser.get("/question/engine_torque").form("/question/engine_torque")
    fields = dict(older.fields)
    browser.say("main_use", "daily").say("engine_torque", "300 Nm")
    browser.post("/question/engine_torque", {**fields, "value": "430"})
    assert browser.status == 409 and "300" in browser.page and "430" in browser.page
    assert "300" in browser.client.get("/answers", base_url="http://localhost").get_data(as_text=True)
    browser.send("/question/engine_torque")
    text = case_path(app, browser).read_text()
    assert "430" in text and "300" not in text
    # The same answer twice, as by two presses, is no quarrel.
    browser.post("/question/engine_torque", {**fields, "value": "430"})
    assert browser.status == 200


def test_dependent_answers_leave_and_are_offered_again(app, browser, decider):
    from advisor.interview.state import followers

    follows = followers(decider.knowledge)
    assert "torque_measured_at" in follows["engine_torque"]
    browser.begin().say("engine_torque", "430 Nm").say("torque_measured_at", "wheels")
    browser.say("engine_torque", "380 Nm").get("/answers")
    assert "set aside" in browser.page
    browser.get("/question/torque_measured_at")
    assert "before" in browser.page and re.search(r'value="wheels" checked', browser.page)


def test_own_words_are_confirmed_before_they_count(app, browser):
    browser.get("/").send("/begin").send("/car", value="bramble-20t")
    assert browser.path == "/own-words"
    browser.send("/own-words", text="daily driver, about 380 Nm, and it purrs like a kitten")
    assert "This was understood" in browser.page and "purrs" in browser.page
    assert "main_use" not in case_path(app, browser).read_text()
    taken = [value for kind, value in browser.form("/own-words").kinds["take"]]
    assert {"main_use", "engine_torque"} <= set(taken)
    browser.send("/own-words", take=["main_use"])
    text = case_path(app, browser).read_text()
    assert "main_use" in text and "engine_torque" not in text
    browser.get("/own-words").send("/own-words", text="lorem ipsum dolor")
    assert browser.status == 400 and "lorem ipsum" in browser.page and browser.title.startswith("Error: ")


def test_wishes_show_their_price(app, browser):
    browser.begin()
    browser.tell(**{name: value for name, value in ANSWERS.items() if name != "noise_tolerance"})
    browser.get("/question/noise_tolerance")
    prices = re.findall(r"<small>(.*?)</small>", browser.page)
    assert len(prices) == 3 and all("EUR in all" in price or "none on our list" in price for price in prices)
    assert len(set(prices)) > 1, "a wish that changes nothing shows nothing"
    total = re.search(r"([\d,]+\.\d\d) EUR in all", prices[-1])[1]
    browser.say("noise_tolerance", "any").get("/result")
    assert f"{total} EUR" in browser.page.replace("\xa0", " ")


def test_a_car_that_is_not_listed_goes_to_the_shop_and_never_to_splines(app, browser):
    browser.begin("none")
    asked = []
    while browser.asked:
        asked.append(browser.asked)
        browser.answer(
            {"main_use": "daily", "engine_torque": "300 Nm", "gearbox_out": "no"}.get(browser.asked, "unknown")
        )
    assert browser.path == "/result" and "main_use" in asked
    assert not {"spline", "bolt_pattern"} & set(asked)
    assert "Let the shop look at it" in browser.page


def test_whose_gearbox_is_off_is_not_sent_to_measure_either(app, browser):
    browser.begin("none")
    asked = []
    while browser.asked:
        asked.append(browser.asked)
        browser.answer(
            {"main_use": "daily", "engine_torque": "300 Nm", "gearbox_out": "yes"}.get(browser.asked, "unknown")
        )
    assert browser.path == "/result" and "gearbox_out" in asked and not {"spline", "bolt_pattern"} & set(asked)
    assert "the shop finds out what is missing" in browser.page and "Ask me more" not in browser.page
    assert "/question/spline" not in browser.page
    assert "The shop finds out what is still open" in browser.get("/answers").page


def test_contradictions_are_put_as_a_question(app, browser):
    browser.begin().say("engine_power", "100 kW").say("engine_power_speed_rpm", "2000 rpm")
    browser.say("engine_torque", "150 Nm")
    assert browser.path == "/check" and browser.heading.endswith("?")
    assert "Change: " in browser.page and "none is named" in browser.page
    assert "Leave it open for now" in browser.page and "It is as I said" not in browser.page


def test_a_private_link_opens_elsewhere_until_it_is_ended(app, browser):
    browser.begin().say("main_use", "daily").get("/link").send("/link")
    address = re.search(r'value="http://localhost(/open/[^"]+)"', browser.page)[1]
    other = Browser(app, "10.3.0.1")
    other.get(address)
    assert other.status == 200 and other.get("/answers").path.startswith("/?again"), "looking uses nothing up"
    other.get(address).send(address)
    assert other.path == "/answers" and "every day" in other.page and address not in other.page
    browser.get("/link").send("/link/end")
    assert Browser(app, "10.3.0.2").get(address).status == 404
    for wrong in ("/open/x", f"/open/{'A' * 43}", "/open/%00", "/open/../../secret"):
        assert Browser(app, "10.3.0.3").get(wrong).status == 404


def test_a_link_expires(app, browser, monkeypatch):
    import time

    browser.begin().get("/link").send("/link")
    address = re.search(r'value="http://localhost(/open/[^"]+)"', browser.page)[1]
    now = time.time()
    monkeypatch.setattr("advisor.web.register.time.time", lambda: now + 86400 * 31)
    assert Browser(app, "10.3.0.4").get(address).status == 404


def test_everything_can_be_taken_back(app, browser):
    browser.begin().say("main_use", "daily")
    path = case_path(app, browser)
    assert path.exists()
    browser.get("/answers").send("/forget")
    assert browser.path == "/" and not path.exists() and not list(path.parent.glob(f"{path.name}*"))
    assert browser.get("/answers").path.startswith("/?again")


def test_a_customer_sees_no_margins_musts_or_other_cases(app, browser):
    browser.begin()
    browser.tell(**ANSWERS)
    pages = [browser.get(path).page for path in ("/result", "/answers", "/question/noise_tolerance", "/garage")]
    for page in pages[:3]:
        for word in ("holding_margin", "requirement", "callers", "in 100", "In stock: "):
            assert word not in page, word
    assert "In stock." in pages[0]


def test_every_page_has_one_heading_and_a_title_of_its_own(app, browser):
    browser.begin().say("main_use", "daily")
    titles = {}
    for path in (
        "/",
        "/car",
        "/own-words",
        "/question/engine_torque",
        "/question/hill_starts",
        "/answers",
        "/result",
        "/send",
        "/link",
        "/ask-a-person",
        "/check",
        "/garage",
    ):
        browser.get(path)
        assert browser.heading, path
        assert browser.title not in titles.values(), (path, titles)
        titles[path] = browser.title
    assert len(titles) == 12


def test_the_style_sheet_is_small_and_nothing_is_fetched_from_elsewhere():
    folder = pathlib.Path(__file__).resolve().parents[2] / "advisor" / "web"
    assert 0 < (folder / "static" / "style.css").stat().st_size < 20_000
    text = "".join(path.read_text(encoding="utf-8") for path in [*folder.rglob("*.html"), *folder.rglob("*.css")])
    assert len(text) > 10_000
    assert not re.findall(
        r"<script|javascript:|https?://|@import|url\(\s*['\"]?(?:http|//|data)|\sstyle=|\son\w+=", text
    )
    assert "|safe" not in text.replace(" ", "") and not [
        path for path in (folder / "templates").iterdir() if path.suffix != ".html"
    ]


def test_answers_at_random_never_end_in_an_error_of_ours(app, decider):
    """What people choose and type, in any order; the counts are in ``python -m tests.full web``."""
    draw = random.Random(4)
    browser = Browser(app, "10.4.0.1")
    browser.begin(draw.choice([platform.id for platform in decider.shop.platforms]))
    for _ in range(12):
        name = draw.choice(list(decider.knowledge.questions))
        fact = decider.knowledge.facts[name]
        value = draw.choice(
            [*map(str, fact.choices), "yes", "no", "unknown", "12", "1e5", "about 300", "", "½", "\u202egnp"]
        )
        browser.get(f"/question/{name}")
        assert browser.status == 200
        browser.answer(value)
        assert browser.status in (200, 400, 409), (name, value, browser.status)
    assert browser.get("/result").status == 200
