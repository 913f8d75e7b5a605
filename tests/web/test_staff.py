"""Counter and lead: a customer's case taken over, lines as heard, kept, quoted, audited and signed as it was shown."""

import pathlib
import re
import time

import pytest

from advisor.casebook.book import Casebook
from tests.web.browsing import COUNTER, HOST, LEAD, PASSWORD, Browser

SAID = {"main_use": "daily", "engine_torque": "430 Nm", "present_clutch_condition": "slips"}


@pytest.fixture(scope="module")
def sent(app):
    """(browser of a customer who sent a case, its number in the casebook, its number here)."""
    customer = Browser(app, "10.9.0.1").begin()
    customer.tell(**SAID)
    customer.get("/send").send("/send", name="Eve Example", phone="000 111", note="rings on Monday")
    kept = int(re.search(r"number there is (\d+)", customer.page)[1])
    with app.extensions["site"].register() as register:
        number = max(case.id for case in register.cases() if case.kept == kept)
    return customer, kept, number


def history(app, number):
    with Casebook(app.extensions["site"].folders.casebook, write=False) as book:
        return book.history(number)


def test_the_counter_takes_over_where_the_customer_stopped(app, sent):
    customer, kept, number = sent
    counter = Browser(app, "10.9.0.2").come_in(COUNTER)
    assert f'/counter/case/{number}"' in counter.page and "web-" in counter.page
    assert re.search(rf">case {kept}</a>: Eve Example, [a-z0-9-]+</li>", counter.page), "whose it is, and what came out"
    counter.get(f"/counter/case/{number}")
    assert "The customer has this case" in counter.page and "430" in counter.page
    counter.send("/take-over")
    assert "As heard" in counter.page
    customer.get("/question/hill_starts").send("/question/hill_starts", value="often")
    assert customer.status == 409 and "not taken" in customer.page
    # A line as heard, an order, a question and what cannot be read, as the terminal takes them.
    counter.send("/line", line="hills often; tows 900 kg")
    assert (
        re.search(r'name="towed_mass" value="[^"]*900', counter.page)
        and 'name="hill_starts" value="often"' in counter.page
    )
    assert "Dropped" not in counter.page and "&gt; hills often" in counter.page
    assert "torque" in counter.send("/line", line="why-not bt20-factory").page
    assert counter.send("/line", line="xyzzy plugh").status == 200 and "xyzzy" in counter.page
    counter.send("/keep", note="rung back")
    assert counter.path == f"/counter/kept/{kept}"
    kinds = [entry.kind for entry in history(app, kept)]
    assert kinds.count("answers") == 2 and kinds.count("decision") == 2
    assert "Eve Example" in counter.page and "rung back" in counter.page
    happened = re.findall(r"<li>\d{4}-\d\d-\d\d \d\d:\d\d(?:, [^:]*)?: ([^<]+)</li>", counter.page)
    assert len(happened) == len(kinds) and not set(happened) & {kind.replace("_", " ") for kind in kinds}
    assert re.match(r"\d+ answers taken", happened[0]) and any(told.startswith("decided: ") for told in happened)
    assert "note: rung back" in happened
    counter.get(f"/counter/case/{number}").send("/give-back")
    customer.get("/question/stop_and_go").send("/question/stop_and_go", value="some")
    assert customer.status == 200


def test_all_facts_on_one_page_all_or_nothing(app):
    counter = Browser(app, "10.9.0.3").come_in(COUNTER).send("/counter/begin")
    path = counter.path
    fields = [name for name, _ in counter.form(path).fields]
    assert len(fields) > 80 and len(set(fields)) == len(fields)
    counter.send(path, car="bramble-20t", main_use="daily", engine_torque="430 Nm", noise_tolerance="deafening")
    assert counter.status == 400 and counter.title.startswith("Error: ") and 'href="#noise_tolerance"' in counter.page
    assert 'value="deafening"' in counter.page and "Name the car" in counter.page, "nothing was taken"
    counter.send(path, car="bramble-20t", noise_tolerance="any")
    assert counter.status == 200 and "EUR" in counter.page and 'name="engine_torque" value="430 Nm"' in counter.page
    old = dict(counter.form(path).fields)
    counter.send("/line", line="engine_torque = 300 Nm")
    counter.post(path, {**old, "engine_torque": "410 Nm"})
    assert counter.status == 409 and "nothing of this was taken" in counter.page
    counter.get(path)
    assert 'value="300 Nm"' in counter.page
    counter.send(path, engine_torque="")
    assert 'name="engine_torque" value="300 Nm"' in counter.page, "an emptied field erases nothing"


def test_one_counter_does_not_write_into_anothers_case(app):
    first = Browser(app, "10.9.0.4").come_in(COUNTER).send("/counter/begin")
    path = first.path
    second = Browser(app, "10.9.0.5").come_in(LEAD).get(path)
    assert "has this case" in second.page
    token = dict(second.form("/take-over").fields)
    line = {"csrf_token": token["csrf_token"], "line": "car = bramble-20t", "revision": "x"}
    second.post(f"{path}/line", line)
    assert second.status == 409 and "not yours to write to" in second.page and "Take it over first" in second.page
    token["held_by"] = ""  # as the page of a customer's case has it, shown before the other took it over
    second.post(f"{path}/take-over", token)
    assert second.status == 409 and f"{COUNTER} has this case since" in second.page
    assert "Name the car" in first.get(path).page


def test_cases_are_found_and_sheets_and_quotes_made(app, sent):
    _, kept, _ = sent
    counter = Browser(app, "10.9.0.6").come_in(COUNTER)
    for words in ("eve example", "000 111", str(kept), "bramble slips"):
        counter.get("/counter/").send("/find", words=words)
        assert f"/counter/kept/{kept}" in counter.page, words
    counter.get("/counter/").send("/find", words="nothing that is anywhere")
    assert "No found" in counter.page
    for audience in ("customer", "fitter"):
        assert counter.get(f"/counter/kept/{kept}/sheet/{audience}").status == 200 and "<h2" in counter.page
        answer = counter.client.get(f"/counter/kept/{kept}/file/{audience}", base_url=HOST)
        assert answer.headers["Content-Disposition"].startswith("attachment") and b"</html>" in answer.data
    assert counter.get(f"/counter/kept/{kept}/sheet/lead").status == 404
    counter.get(f"/counter/kept/{kept}")
    answer = counter.client.post(
        f"/counter/kept/{kept}/quote", data=dict(counter.form("/quote").fields), base_url=HOST, follow_redirects=True
    )
    assert answer.headers["Content-Disposition"].startswith("attachment") and b"Quote" in answer.data
    assert [entry.kind for entry in history(app, kept)].count("quote") == 1


def test_the_lead_signs_what_was_on_the_screen(app):
    customer = Browser(app, "10.9.0.7").begin()
    customer.tell(**SAID)
    customer.get("/send").send("/send", name="Eve Example", phone="000 111", note="")
    kept = int(re.search(r"number there is (\d+)", customer.page)[1])
    lead = Browser(app, "10.9.0.8").come_in(LEAD)
    lead.get(f"/lead/case/{kept}")
    assert "Where each number is from" in lead.page and 'href="#number-1"' in lead.page
    assert lead.page.count('id="number-') > 50
    lead.send("/sign", verdict="sign_off", password="not the password")
    assert lead.status == 400 and "another one" in lead.page
    lead.get(f"/lead/case/{kept}")
    fields = dict(lead.form("/sign").fields)
    # It is decided anew while the lead reads.
    customer.say("engine_torque", "300 Nm").get("/send").send("/send", name="Eve Example", phone="000 111", note="")
    lead.post(f"/lead/case/{kept}/sign", {**fields, "verdict": "sign_off", "password": PASSWORD})
    assert lead.status == 400 and "decided anew" in lead.page
    assert "sign_off" not in [entry.kind for entry in history(app, kept)]
    lead.send("/sign", verdict="objection", password=PASSWORD)
    assert lead.status == 400 and "says what is wrong" in lead.page
    lead.send("/sign", verdict="sign_off", password=PASSWORD, text="as it should be")
    assert lead.path == "/lead/"
    (signed,) = [entry for entry in history(app, kept) if entry.kind == "sign_off"]
    assert signed.by == LEAD and signed.body["decision"] != fields["decision"]


def test_desk_why_not_rules_and_pictures(app, sent):
    _, kept, _ = sent
    lead = Browser(app, "10.9.0.9").come_in(LEAD)
    assert "To be signed" in lead.get("/lead/").page and "Complaints" in lead.page
    lead.get(f"/lead/case/{kept}")
    asked_of = re.findall(r'<option value="([^"]+)">[^<]*: (would do|fails|cannot)', lead.page)
    fates = [fate for _, fate in asked_of]
    assert fates == sorted(fates, reverse=True) and {"would do", "fails"} <= set(fates), "near misses before the others"
    count = re.search(r"<summary>(\d+) kits are not for this car", lead.page)
    assert count and int(count[1]) == lead.page.count("/why-not?kit=") > 50
    kit = next(kit for kit, fate in asked_of if fate == "fails")
    lead.get(f"/lead/case/{kept}/why-not?kit={kit}")
    assert lead.status == 200 and lead.heading.startswith("Why not the") and re.search(r"needed|accepted", lead.page), (
        kit
    )
    assert lead.get(f"/lead/case/{kept}/why-not?kit=none-such").status == 404
    lead.get("/lead/rules")
    assert lead.status == 200 and lead.page.count("<li>") > 200
    picture = lead.client.get(f"/lead/case/{kept}/picture/torque.svg", base_url=HOST)
    assert picture.mimetype == "image/svg+xml" and b"<svg" in picture.data and b"<script" not in picture.data
    assert lead.client.get(f"/lead/case/{kept}/picture/other.svg", base_url=HOST).status_code == 404


def test_the_desk_shows_the_shelf_and_outcomes_with_pictures(app, monkeypatch):
    from advisor.learning import rates
    from advisor.shop import shelf
    from advisor.web.workplace import Workplace

    # Another test may have had the shelf worked out, which is kept: this one shows its own, and leaves none behind.
    monkeypatch.setattr(Workplace, "once", lambda place, name, work: work())
    some = shelf.OfCar("bramble-20t", 12, {"a-kit": 300.0})
    monkeypatch.setattr(shelf, "of_cars", lambda decider: [some])  # seconds of deciding; tests of the shop do it
    lead = Browser(app, "10.9.0.13").come_in(LEAD).get("/lead/")
    assert 'href="/lead/shelf"' in lead.page and 'href="/lead/outcomes"' in lead.page
    lead.get("/lead/shelf")
    assert "held against 12 made-up callers with one car" in lead.page and "Never sold to any of them" in lead.page
    picture = lead.client.get("/lead/shelf.svg", base_url=HOST)
    assert picture.mimetype == "image/svg+xml" and b"a-kit: 300 N m" in picture.data
    assert "Nothing is written down as sold" in lead.get("/lead/outcomes").page
    assert lead.get("/lead/outcomes/kit.svg").status == 404 and lead.get("/lead/outcomes/rule.svg").status == 404
    sale = rates.SoldAndHeard("<a-kit>", "organic", "Ben", frozenset(), True, True, False)
    monkeypatch.setattr(rates, "sold_and_heard", lambda book: [sale])
    lead.get("/lead/outcomes")
    assert "&lt;a-kit&gt;: 1 sold; slipped 1 of 1 that answered" in lead.page and "/lead/outcomes/kit.svg" in lead.page
    picture = lead.client.get("/lead/outcomes/kit.svg", base_url=HOST)
    assert picture.mimetype == "image/svg+xml" and b"&lt;a-kit&gt;" in picture.data


def test_a_case_is_called_as_its_counter_calls_it(app, tmp_path, monkeypatch):
    """The first case of the counter WEST has another number in the shop's casebook, by which no page calls it."""
    from advisor.casebook import book as books
    from advisor.interview.state import Said, State
    from advisor.web import lead as desk_pages
    from tests.casebook.several_counters import Shop

    site = app.extensions["site"]
    shop, place = Shop(tmp_path, seed=1, counters=1, shop=site.folders.casebook), site.mine()
    torque = Said("engine_torque", "900 Nm", 900.0)  # which no kit holds: a lead has to look at it
    case = State("at-west", "bramble-20t", {"engine_torque": torque}).as_case()
    with Casebook(shop.own["WEST"]) as book:
        books.keep(None, place.decider, case, place.files, book=book)
    shop.hand_over("WEST")
    with Casebook(shop.shop, write=False) as book:
        number = book.number_of("WEST/1")
    assert number != 1
    monkeypatch.setattr(desk_pages, "sheet", lambda *_, **__: "the sheet")  # whose name is looked at alone
    lead = Browser(app, "10.9.0.14").come_in(LEAD)
    assert f'href="/lead/case/{number}">Case WEST/1</a>' in lead.get("/lead/").page
    assert lead.get(f"/lead/case/{number}").heading == "Audit of case WEST/1"
    assert lead.get(f"/counter/kept/{number}").heading == "Kept case WEST/1"
    assert "kept case WEST/1" in lead.get(f"/counter/kept/{number}/sheet/customer").page
    answer = lead.client.get(f"/lead/case/{number}/file", base_url=HOST)
    assert answer.headers["Content-Disposition"] == 'attachment; filename="audit-WEST-1.html"'
    lead.get("/counter/").send("/find", words="west/1")
    assert f'href="/counter/kept/{number}">Case WEST/1</a>' in lead.page and "1 found" in lead.page
    lead.get("/counter/").send("/find", words="WEST/7")
    assert "No found" in lead.page
    assert "<td>audited</td><td>WEST/1</td>" in lead.get("/shop/doings").page


def test_the_counter_sees_no_desk(app, sent):
    _, kept, _ = sent
    counter = Browser(app, "10.9.0.10").come_in(COUNTER)
    for path in (
        "/lead/",
        f"/lead/case/{kept}",
        "/lead/rules",
        "/lead/shelf",
        "/lead/outcomes",
        "/shop/people",
        "/shop/doings",
    ):
        assert counter.get(path).status == 404


def test_a_draft_is_looked_at_and_tried_beside_the_pages(tmp_path):
    """In a process of its own: the page is answered at once, and shows how far it is until it is done."""
    from advisor.versions import drafts
    from advisor.versions.history import History
    from tests.web.browsing import app_in
    from tests.web.shops import shop_with

    shop = pathlib.Path(shop_with(tmp_path, "link_days = 7"))
    with History(shop) as kept:
        drafts.begin(shop, kept, "gentler")
    lead = Browser(app_in(tmp_path / "served", str(shop)), "10.9.0.11").come_in(LEAD).get("/lead/drafts")
    assert "gentler" in lead.page and "None was adopted yet" in lead.page
    lead.get("/lead/drafts/gentler")
    assert "They say the same" in lead.page and lead.get("/lead/drafts/other").status == 404
    started = time.monotonic()
    lead.get("/lead/drafts/gentler").send("/gentler/try")
    assert "/lead/jobs/" in lead.path and time.monotonic() - started < 5
    assert lead.headers["Refresh"] == "2" and "It is at work" in lead.page
    at_work = lead.path
    assert "A draft is at work" in lead.get("/lead/drafts/gentler").page
    assert lead.send("/gentler/try").path == at_work, "one at a time"
    lead.send("/stop")
    assert "It ended before it was done" in lead.page and "Refresh" not in lead.headers
    assert lead.get("/lead/jobs/x").status == 404 and lead.get(f"/lead/jobs/{'A' * 22}").status == 404
    with app_of(lead).extensions["site"].register() as register:
        assert any("tried draft gentler" in doing["what"] for doing in register.doings())
    _adopting(lead, shop)


def _adopting(lead, shop):
    """Every refusal of the page, then one of the command's own; a whole adoption is in ``tests.full web``."""
    from advisor.knowledge import rules_in_force
    from tests.web.shops import trial_ended

    site, draft = app_of(lead).extensions["site"], shop / "drafts" / "gentler"
    lead.get("/lead/drafts/gentler")
    assert "First it is tried" in lead.page and not [form for form in lead.forms if form.action.endswith("/adopt")]
    number = trial_ended(site, draft, 5, "fails (abc123): a test")
    assert "To adopting it" in lead.get(f"/lead/jobs/{number}").page
    lead.get("/lead/drafts/gentler").send("/adopt", why=" ", accept="--by=Ada", password=PASSWORD)
    assert lead.status == 400 and lead.title.startswith("Error: ") and "short names in brackets" in lead.page
    assert 'href="#why"' in lead.page and 'href="#accept"' in lead.page and 'value="--by=Ada"' in lead.page
    lead.send("/adopt", why="--help", accept="", password="another one")
    assert lead.status == 400 and "present password" in lead.page and ">--help</textarea>" in lead.page
    fields = {**dict(lead.form("/adopt").fields), "why": "--help", "accept": "", "password": PASSWORD}
    lead.post("/lead/drafts/gentler/adopt", fields)
    for _ in range(100):
        if lead.get(lead.path).heading != "Adopting a draft":
            break
        time.sleep(0.1)
    assert lead.heading == "Not adopted" and "changes nothing" in lead.page and draft.exists()
    (draft / "case" / "use.yaml").write_text("rules: []\n")
    lead.post("/lead/drafts/gentler/adopt", fields)
    assert lead.status == 400 and "changed since this page was shown" in lead.page
    digest = rules_in_force.digest(rules_in_force.bodies(draft))
    lead.post("/lead/drafts/gentler/adopt", {**fields, "digest": digest})
    assert lead.status == 400 and "Try it on past cases first" in lead.page
    counter = Browser(app_of(lead), "10.9.0.12").get("/shop/come-in")
    assert counter.post("/lead/drafts/gentler/adopt", fields).status != 200
    assert rules_in_force.in_force(shop / "rules") is None


def test_versions_are_shown_gone_back_to_and_named_with_what_they_decided(tmp_path):
    """All but the work of the job itself: a whole way from draft to adoption and back is in ``tests.full web``."""
    from advisor.versions.drafts import standing
    from advisor.versions.history import History
    from tests.web.browsing import app_in
    from tests.web.shops import drafted, shop_with

    shop = pathlib.Path(shop_with(tmp_path, "link_days = 7"))
    place = drafted(shop, "light", "150 N", "140 N") / "case" / "release.yaml"
    for number, why in ((0, "to begin with"), (1, "<b>once more</b>")):
        with History(shop, write=True) as kept:
            expected, bodies = standing(kept)[:2], {"case/release.yaml": place.read_bytes() + b"#" * number}
            kept.adopt(bodies, expected=expected, by=LEAD, why=why, shipped="rules", changes=[f"change {number + 1}"])
    app = app_in(tmp_path / "served", str(shop))
    customer = Browser(app, "10.9.1.1").begin().tell(main_use="daily", engine_torque="330 Nm")
    customer.get("/send").send("/send", name="Eve Example", phone="000 111", note="")
    lead = Browser(app, "10.9.1.2").come_in(LEAD).get("/lead/case/1")
    day = time.strftime("%Y-%m-%d", time.gmtime())
    assert f"house rules version 2, adopted {day}" in lead.page
    assert f"by {LEAD}: &lt;b&gt;once more&lt;/b&gt;" in lead.page
    lead.get("/lead/drafts")
    assert re.search(r"Version 2</a>, in force: adopted", lead.page) and "to begin with" in lead.page
    assert "change 2" in lead.get("/lead/versions/2").page and "Go back" not in lead.page
    assert lead.get("/lead/versions/7").status == 404
    lead.get("/lead/versions/1").send("/back", why=" ", password=PASSWORD)
    assert lead.status == 400 and 'href="#why"' in lead.page and lead.title.startswith("Error: ")
    lead.send("/back", why="it was better", password="another one")
    assert lead.status == 400 and "present password" in lead.page and "it was better" in lead.page
    fields = {**dict(lead.form("/back").fields), "why": "it was better", "password": PASSWORD}
    lead.post("/lead/versions/1/back", {**fields, "last": "1"})
    assert lead.status == 400 and "Another version has come into force" in lead.page
    lead.post("/lead/versions/1/back", fields)
    assert lead.heading == "Going back to an earlier version" and lead.headers["Refresh"] == "2"
    lead.send("/stop")
    assert "drafts and versions show what is in force" in lead.page
    counter = Browser(app, "10.9.1.3").come_in(COUNTER)
    assert counter.get("/lead/versions/1").status == 404 and counter.post("/lead/versions/1/back", fields).status != 200
    with History(shop) as kept:
        assert [version.number for version in kept.versions()] == [0, 1, 2]


def app_of(browser):
    return browser.client.application
