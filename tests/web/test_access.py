"""Who may see and do what: every page for every role, coming in and leaving, throttling, and who did what."""

import re
import time

import pytest

from advisor.errors import InputError
from advisor.web import passwords
from tests.web.browsing import COUNTER, FITTER, HOST, LEAD, PASSWORD, Browser, app_in

#: Part of a page's name -> roles that may see it; every page is under one of them.
ALLOWED = {
    "healthz": {"nobody", "customer", "counter", "lead"},
    "static": {"nobody", "customer", "counter", "lead"},
    "customer.start": {"nobody", "customer", "counter", "lead"},
    "customer.begin": {"nobody", "customer", "counter", "lead"},
    "customer.person": {"nobody", "customer", "counter", "lead"},
    "sharing.behind": {"nobody", "customer", "counter", "lead"},
    "sharing.opened": {"nobody", "customer", "counter", "lead"},
    "sharing.code": {"nobody", "customer", "counter", "lead"},
    "sharing.code_said": {"nobody", "customer", "counter", "lead"},
    "people.come_in": {"nobody", "customer", "counter", "lead"},
    "people.come_in_said": {"nobody", "customer", "counter", "lead"},
    "people.door": {"counter", "lead"},
    "people.change": {"counter", "lead"},
    "people.changed": {"counter", "lead"},
    "people.leave": {"counter", "lead"},
    "people.": {"lead"},
    "lead.": {"lead"},
    "rules.": {"lead"},
    "shelf.": {"lead"},
    "counter.": {"counter", "lead"},
    "customer.": {"customer"},
    "sharing.": {"customer"},
}


def allowed(endpoint):
    """The roles of a page, by the longest part of its name that is listed."""
    return ALLOWED[max((part for part in ALLOWED if endpoint.startswith(part)), key=len)]


@pytest.fixture(scope="module")
def visitors(app):
    """Browsers by role; each has seen a form, so that it has a token."""
    nobody, customer, counter, lead = (Browser(app, f"10.5.0.{number}") for number in range(1, 5))
    nobody.get("/")
    customer.begin()
    counter.come_in(COUNTER)
    lead.come_in(LEAD)
    return {"nobody": nobody, "customer": customer, "counter": counter, "lead": lead}


def token_of(browser):
    """The token of the browser's present session."""
    page = browser.client.get("/", base_url=HOST, environ_base={"REMOTE_ADDR": browser.address}).get_data(as_text=True)
    return re.search(r'name="csrf_token" value="([^"]+)"', page)[1]


def test_every_page_for_every_role(app, visitors):
    """What is not somebody's leads to the door or is not there; nobody gets as far as an error."""
    filled = {
        "name": "engine_torque",
        "number": 987654,
        "secret": "A" * 43,
        "audience": "customer",
        "group": "kit",
        "quote": 1,
        "filename": "style.css",
    }
    looked = 0
    for rule in app.url_map.iter_rules():
        values = {part: filled[part] for part in rule.arguments}
        path = rule.build(values)[1]
        for role, browser in visitors.items():
            for method in rule.methods - {"OPTIONS", "HEAD"}:
                if rule.endpoint in ("people.leave", "customer.forget", "customer.begin") and role in allowed(
                    rule.endpoint
                ):
                    continue  # would end the visit; each has a test of its own
                fields = {"csrf_token": token_of(browser)} if method == "POST" else {}
                answer = browser.client.open(
                    path, method=method, data=fields, base_url=HOST, environ_base={"REMOTE_ADDR": browser.address}
                )
                looked += 1
                where = answer.headers.get("Location", "")
                turned_away = answer.status_code == 404 or (
                    answer.status_code == 303 and (where.endswith("/shop/come-in") or "again=1" in where)
                )
                assert answer.status_code < 500, (path, role, method)
                if role not in allowed(rule.endpoint):
                    assert turned_away, (path, role, method, answer.status_code)
                elif not rule.arguments:
                    assert not turned_away, (path, role, method, answer.status_code)
    assert looked > 180


def test_every_post_needs_a_token_and_no_get_writes(app, visitors):
    from advisor.casebook.book import Casebook

    folders = app.extensions["site"].folders
    with Casebook(folders.casebook, write=False) as book:
        before = len(list(book.every_entry()))
    posts = [rule for rule in app.url_map.iter_rules() if "POST" in rule.methods]
    assert len(posts) > 15
    for rule in posts:
        path = rule.build(
            {
                part: {"number": 1, "secret": "A" * 43, "name": "main_use", "quote": 1}.get(part, "x")
                for part in rule.arguments
            }
        )[1]
        for browser in visitors.values():
            answer = browser.client.post(path, data={}, base_url=HOST, environ_base={"REMOTE_ADDR": "10.5.1.1"})
            assert answer.status_code == 400, path
    with Casebook(folders.casebook, write=False) as book:
        assert len(list(book.every_entry())) == before


def test_nobody_has_a_password_to_begin_with(tmp_path):
    browser = Browser(app_in(tmp_path, people=()))
    for name, password in ((LEAD, PASSWORD), (LEAD, ""), ("admin", "admin"), ("", "")):
        assert browser.come_in(name, password).status in (400, 429)


def test_a_first_password_must_be_changed(tmp_path):
    app = app_in(tmp_path, people=())
    site = app.extensions["site"]
    with site.register() as register:
        register.set_password(LEAD, passwords.hashed("the first of them"), first=True)
    browser = Browser(app).come_in(LEAD, "the first of them")
    assert browser.path == "/shop/password"
    assert browser.get("/lead/").path == "/shop/password" and browser.get("/counter/").path == "/shop/password"
    browser.send("/password", password="the wrong one is this", new="my own few words", again="my own few words")
    assert browser.status == 400
    for new in ("short", "password1234", "the first of them", "aaaaaaaaaaaaaaaa"):
        browser.get("/shop/password").send("/password", password="the first of them", new=new, again=new)
        assert browser.status in (400, 429), new
    browser.get("/shop/password").send(
        "/password", password="the first of them", new="my own few words", again="my own few words"
    )
    assert browser.path.startswith(("/counter", "/lead"))
    # Another who came in by the old one is out.
    assert Browser(app, "10.6.0.9").come_in(LEAD, "the first of them").status == 400


def test_a_wrong_name_and_a_wrong_password_are_told_alike_and_the_wait_grows(tmp_path):
    app = app_in(tmp_path, people=(COUNTER,))
    browser = Browser(app, "10.6.0.1")
    wrong = browser.come_in(COUNTER, "not the password at all").page
    nobody = browser.come_in("Nobody Here", "not the password at all").page
    strip = re.compile(r'value="[^"]*"')
    assert strip.sub("", wrong) == strip.sub("", nobody) and "do not go together" in wrong
    statuses = [browser.come_in(COUNTER, "not the password at all").status for _ in range(5)]
    assert statuses[:2] == [400, 400] and 429 in statuses
    assert int(browser.headers["Retry-After"]) >= 1
    # Who guesses from elsewhere makes nobody of the shop wait.
    assert Browser(app, "10.6.0.2").come_in(COUNTER).path.startswith("/counter")
    assert [passwords.wait_after(tries) for tries in (0, 2, 3, 4, 40)] == [0.0, 0.0, 2.0, 4.0, 900.0]


def test_the_secret_is_new_after_coming_in_and_ends_with_leaving(app):
    browser = Browser(app, "10.6.0.3")
    browser.get("/shop/come-in")
    token = token_of(browser)
    cookie = browser.client.get_cookie("advisor").value
    browser.come_in(COUNTER)
    came_in = browser.client.get_cookie("advisor").value
    assert came_in != cookie and token_of(browser) != token
    browser.send("/leave")
    assert browser.path == "/shop/come-in"
    browser.client.set_cookie("advisor", came_in)
    assert browser.get("/counter/").path == "/shop/come-in", "the old cookie opens nothing"


def test_visits_end_when_idle_and_at_the_latest_after_their_time(app, monkeypatch):
    now = time.time()
    for name, idle, lasts in ((LEAD, 30 * 60, 12 * 3600), (COUNTER, 12 * 3600, 24 * 3600)):
        monkeypatch.undo()
        browser = Browser(app, "10.6.0.4").come_in(name)
        assert browser.get("/counter/").path == "/counter/"
        monkeypatch.setattr("advisor.web.access.time.time", lambda idle=idle: now + idle - 60)
        assert browser.get("/counter/").path == "/counter/"
        monkeypatch.setattr("advisor.web.access.time.time", lambda lasts=lasts: now + lasts + 60)
        assert browser.get("/counter/").path == "/shop/come-in"
    monkeypatch.undo()
    browser = Browser(app, "10.6.0.5").come_in(LEAD)
    monkeypatch.setattr("advisor.web.access.time.time", lambda: now + 31 * 60)
    assert browser.get("/lead/").path == "/shop/come-in"


def test_whoever_is_taken_out_of_the_shop_is_out_at_once(app, monkeypatch):
    import dataclasses

    browser = Browser(app, "10.6.0.6").come_in(COUNTER)
    workplaces = app.extensions["site"].workplaces
    about = workplaces.about
    fewer = dataclasses.replace(about, people=tuple(person for person in about.people if person.name != COUNTER))
    monkeypatch.setattr(type(workplaces), "about", property(lambda self: fewer))
    assert browser.get("/counter/").path == "/shop/come-in"


def test_a_fitter_has_no_desk(tmp_path):
    app = app_in(tmp_path, people=(FITTER,))
    assert Browser(app).come_in(FITTER).status == 400


@pytest.mark.parametrize("password", ["short", "x" * 201, "passwordpassword", "PassWord 1234", "abcabcabcabc"])
def test_usual_passwords_are_refused(password):
    with pytest.raises(InputError):
        passwords.hashed(password)


def test_long_and_strange_passwords_are_taken_whole():
    for password in ("ein längerer Satz mit ö und 漢字", "many words in a row " * 8, " with blanks around it "):
        hashed = passwords.hashed(password)
        assert hashed.startswith("$argon2id$") and passwords.fits(hashed, password)
        assert not passwords.fits(hashed, password.strip() + "!") and not passwords.fits(None, password)


def test_a_password_in_service_costs_what_rfc_9106_recommends(hasher_in_service):
    """RFC 9106, section 4, the second recommended option: argon2id, t = 3, m = 64 MiB, p = 4."""
    hashed = hasher_in_service.hash("any password")
    assert hashed.startswith("$argon2id$v=19$m=65536,t=3,p=4$") and not hasher_in_service.check_needs_rehash(hashed)


def test_who_saw_and_did_what_is_kept(app):
    browser = Browser(app, "10.6.0.7").come_in(LEAD)
    browser.get("/lead/").get("/shop/doings")
    assert "saw the desk" in browser.page and "came in" in browser.page and LEAD in browser.page


def test_a_lead_gives_first_passwords_shown_once(tmp_path):
    app = app_in(tmp_path, people=(LEAD,))
    browser = Browser(app).come_in(LEAD).get("/shop/people")
    page = browser.send("/shop/people", name=COUNTER).page
    password = re.search(r"<code>([^<]+)</code>", page)[1]
    assert password not in browser.get("/shop/people").page
    assert Browser(app, "10.6.0.8").come_in(COUNTER, password).path == "/shop/password"
