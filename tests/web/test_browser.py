"""The pages in Debian's Chromium: from the start to the signature, with scripts and without, on telephone and desk;
no finding of axe-core, nothing wider than the screen, targets large enough, nothing fetched, by keyboard alone.
"""

import os
import re
import shutil
from pathlib import Path

import pytest
from playwright import sync_api as playwright

from advisor.web import passwords
from advisor.web.waiting import TURNED_AWAY
from tests.reporting.tools import axe  # noqa: F401  a fixture
from tests.web.browsing import COUNTER, HOST, LEAD, PASSWORD, Browser, app_in
from tests.web.serving import ForkedServer, Server
from tests.web.shops import shop_with, trial_ended

pytestmark = pytest.mark.needs("browser")

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
#: Whether axe-core looks at every page, light and dark (``python -m tests.full web``), or at some, by turns; and the
#: whole way without a script is gone, or its beginning.
EVERY_PAGE = bool(os.environ.get("WEB_EVERY_PAGE"))
#: The pages axe-core looks at in the ordinary run: one of each make, and of each kind of error.
SOME_PAGES = (
    "start", "car, error", "understood", "choice, error", "result", "answers", "sent", "come in, error",
    "case taken over", "facts, error", "people", "audit",
)  # fmt: skip
SOME_SELDOM = ("draft", "adopting, error", "shelf", "turned away with an answer", "version, error")
SAID = "daily driver, remapped to about 430 Nm, slips in fifth gear, pedal should stay light"


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    """The pages on a free port; counter and lead have passwords of their own."""
    with ForkedServer(tmp_path_factory.mktemp("served")) as server:
        from advisor.web.register import Register

        with Register(server.folder / "pages" / "register.sqlite") as register:
            for person in (COUNTER, LEAD):
                register.set_password(person, passwords.hashed(PASSWORD), first=False)
        yield server


@pytest.fixture(scope="module")
def chromium(server):
    """Chromium of the system; begun after the server, which shares none of its pipes."""
    with playwright.sync_playwright() as started:
        found = started.chromium.launch(
            executable_path=shutil.which("chromium"),
            args=["--no-sandbox", "--host-resolver-rules=MAP shop.test 127.0.0.1"],
        )
        yield found
        _PAGES.clear()
        found.close()


def opened(chromium, server, width, *, script=False):
    """A page so wide, without cookies; what it hears of faults is collected.

    It may be one that was opened before, for a new one keeps the browser busy for half a second.
    """
    page = _PAGES.get(script)
    if page is None or page.is_closed():
        page = _PAGES[script] = _listening(chromium.new_context(java_script_enabled=script).new_page())
    page.context.clear_cookies()
    page.unroute_all()
    page.set_viewport_size({"width": width, "height": 740})
    page.own, page.heard = server_of(address(server)), []
    return page


#: By whether scripts run in them: the pages of this module's browser.
_PAGES = {}


def _listening(page):
    page.set_default_timeout(60_000)
    page.on("console", lambda message: page.heard.append(message.text))
    # What the browser itself gives up because the next page was asked for is no fault.
    page.on(
        "requestfailed",
        lambda request: None if request.failure == "net::ERR_ABORTED" else page.heard.append(request.url),
    )
    page.on("request", lambda request: page.heard.append(request.url) if server_of(request.url) != page.own else None)
    return page


def server_of(url):
    return url.split("/")[2] if "//" in url else url


def address(server, path="/"):
    return f"http://127.0.0.1:{server.port}{path}"


def fine(page, width):
    """What must hold of any page: no wider than the screen, targets of 24 pixels, one heading, a title."""
    wide, small, headings, title = page.evaluate(
        """[document.documentElement.scrollWidth, [...document.querySelectorAll(
            'button, input:not([type=hidden]), select, nav a, .go, summary, .back a, dd.change a')]
        .filter(e => e.offsetParent !== null && !e.classList.contains('unseen'))
        .map(e => [e.outerHTML.slice(0, 90), (e.closest('label') || e).getBoundingClientRect()])
        .filter(([, box]) => box.width < 24 || box.height < 24)
        .map(([text, box]) => text + box.width + 'x' + box.height),
        document.querySelectorAll('h1').length, document.title]"""
    )
    assert wide <= width and small == [] and headings == 1 and title, (page.url, width, wide, small, headings, title)


def resized(page, width):
    """The page, so wide."""
    if page.viewport_size["width"] != width:
        page.set_viewport_size({"width": width, "height": 740})


def press(page, name, role="button"):
    with page.expect_navigation():
        page.get_by_role(role, name=name).first.click()


def enter(page):
    """Press Enter, and wait for the page that comes of it."""
    with page.expect_navigation():
        page.keyboard.press("Enter")


def customer(page, server, width, seen=None, *, own_words=True, stop=30):
    """From the start to the shop; ``seen(page, name)`` looks at every page on the way. The case's number there."""
    look = seen or (lambda page, name: None)
    page.goto(address(server))
    look(page, "start")
    press(page, "Begin")
    look(page, "car")
    press(page, "Continue")
    look(page, "car, error")
    page.get_by_label("Bramble 2.0 turbo hatchback").check()
    press(page, "Continue")
    look(page, "own words")
    if own_words:
        page.get_by_role("textbox").fill(SAID)
        press(page, "Continue")
        look(page, "understood")
        press(page, "Yes, take that")
    else:
        press(page, "Straight to the questions", "link")
    kinds = set()
    for _ in range(stop):
        if page.url.endswith("/result"):
            break
        kind = "choice" if page.get_by_role("radio").count() else "number"
        if kind not in kinds:
            look(page, kind)
            press(page, "Continue")
            look(page, f"{kind}, error")
            assert page.title().startswith("Error: ")
        kinds.add(kind)
        if kind == "choice":
            page.get_by_label("I don't know").check()
            press(page, "Continue")
        else:
            press(page, "I don't know")
    look(page, "result")
    for path, name in (
        ("/answers", "answers"),
        ("/garage", "garage"),
        ("/link", "link"),
        ("/code", "code"),
        ("/ask-a-person", "person"),
        ("/check", "check"),
    ):
        page.goto(address(server, path))
        look(page, name)
    page.goto(address(server, "/send"))
    look(page, "send")
    press(page, "Send it")
    look(page, "send, error")
    page.get_by_label("Your name").fill("Eve Example")
    page.get_by_label("Telephone number").fill("000 111")
    press(page, "Send it")
    look(page, "sent")
    return int(re.search(r"number there is (\d+)", page.content())[1])


def staff(page, server, kept, seen=None):
    """Counter and lead: the case taken over, kept, audited and signed."""
    look = seen or (lambda page, name: None)
    page.goto(address(server, "/shop/come-in"))
    look(page, "come in")
    page.get_by_label("Name").fill(LEAD)
    page.get_by_label("Password").fill(PASSWORD + "x")
    press(page, "Come in")
    look(page, "come in, error")
    page.get_by_label("Password").fill(PASSWORD)
    press(page, "Come in")
    look(page, "counter")
    page.locator("li", has_text=f"case {kept}").get_by_role("link", name=re.compile("^web-")).first.click()
    look(page, "customer's case")
    press(page, "Take it over")
    look(page, "case taken over")
    page.get_by_label("As heard").fill("tows 900 kg")
    enter(page)
    look(page, "line taken")
    if not page.get_by_role("button", name="A code to read out").is_visible():  # looking may have opened it
        page.get_by_text("On the customer's own telephone").click()
    press(page, "A code to read out")
    look(page, "code given")
    page.get_by_label("Pedal?").fill("featherweight")
    press(page, "Take it down")
    look(page, "facts, error")
    assert page.title().startswith("Error: ")
    page.get_by_label("Pedal?").fill("heavy")
    press(page, "Take it down")
    press(page, re.compile("^Keep it in the casebook"))
    look(page, "kept")
    for path, name in (
        (f"/counter/kept/{kept}/sheet/customer", "sheet"),
        ("/lead/", "desk"),
        ("/shop/people", "people"),
        ("/shop/doings", "doings"),
        ("/shop/password", "password"),
    ):
        page.goto(address(server, path))
        look(page, name)
    page.goto(address(server, f"/lead/case/{kept}"))
    look(page, "audit")
    page.get_by_label("Sign it off").check()
    page.get_by_label("Your password, once more").fill(PASSWORD)
    press(page, "Put it under this decision")
    assert page.url.endswith("/lead/")
    page.goto(address(server, f"/lead/case/{kept}"))
    assert f"Signed off by {LEAD}" in page.content()
    press(page, "Why not")
    look(page, "why not")


#: What is laid out by rules of its own in the style sheet: kinds of elements, and what they stand in.
KINDS = """[...new Set([...document.querySelectorAll('body *')].map(e =>
    [e, e.parentElement].map(one => `${one.tagName}.${one.className}`).join(' in ')))]"""


def axe_faults(page, script, contrast_seen, contrast_too=True, schemes=("light", "dark")):
    """What axe-core finds on a page in the first of these schemes and (contrast alone, which differs) in the other.

    Contrast is most of its work and a sum over the style sheet: it is looked at where a page holds a kind of element
    that is not in ``contrast_seen`` yet.
    """
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    page.evaluate(script)
    faults = []
    kinds = set(page.evaluate(KINDS))
    contrast_too = contrast_too and not kinds <= contrast_seen
    if contrast_too:
        contrast_seen |= kinds
    for scheme in schemes if contrast_too else schemes[:1]:
        page.emulate_media(color_scheme=scheme)
        what = {"runOnly": TAGS if scheme == schemes[0] else ["color-contrast"], "resultTypes": ["violations"]}
        if not contrast_too:
            what["rules"] = {"color-contrast": {"enabled": False}}
        found = page.evaluate("what => axe.run(what)", what)
        faults += [(page.url, scheme, one["id"], one["nodes"][0]["html"][:200]) for one in found["violations"]]
        assert found["passes"], page.url
    page.emulate_media(color_scheme="light")
    return faults


def schemes_by_turns(number):
    """Both schemes where every page is looked at; else light and dark in turn."""
    return ("light", "dark") if EVERY_PAGE else (("light", "dark")[number % 2],)


def fits_one_screen(page):
    """The result: what matters, and the button that sends it, without scrolling."""
    box = page.get_by_role("link", name=re.compile("^Send it")).first.bounding_box()
    assert box["y"] + box["height"] <= 740
    for word in ("Cost", "Delivery", "Feel", "Watch"):
        assert page.locator("dt", has_text=word).first.bounding_box()["y"] < 740


def faults_heard(page):
    """A status that is an error, and the browser's advice on forms, are no faults; a blocked style or script is."""
    return [text for text in page.heard if not text.startswith(("Failed to load resource", "[DOM]"))]


def test_without_a_script_from_the_start_to_the_shop(chromium, server):
    """After a few questions; after all, and on to the counter and the lead, in ``python -m tests.full web``."""
    page, seen = opened(chromium, server, 1280), []

    def look(page, name):
        seen.append(name)

    kept = customer(page, server, 1280, look, own_words=EVERY_PAGE, stop=30 if EVERY_PAGE else 4)
    assert faults_heard(page) == []
    if EVERY_PAGE:
        staff(opened(chromium, server, 1280), server, kept, look)
        assert faults_heard(page) == []
    assert len(seen) > (30 if EVERY_PAGE else 12)


@pytest.mark.needs("npm")
def test_on_telephone_and_desk_axe_finds_nothing_on_any_page_in_any_state(chromium, server, axe):  # noqa: F811
    """Sizes and targets of every page; axe-core on SOME_PAGES, on every one in ``python -m tests.full web``.

    Which looks at every page in both widths too, of which here those not among SOME_PAGES have one, by turns.
    """
    page, faults, seen, contrast_seen = opened(chromium, server, 360, script=True), [], [], (set(), set())
    looked_at = []

    def look(page, name):
        # Those that axe-core looks at in both widths, the one it has first; the others in that one, by turns.
        whole = EVERY_PAGE or (name in SOME_PAGES and name not in looked_at)
        now = page.viewport_size["width"]
        for width in (1280, 360) if EVERY_PAGE else (now, 1640 - now) if whole else (now,):
            resized(page, width)
            fine(page, width)
        if name == "result":
            resized(page, 360)
            fits_one_screen(page)
        seen.append(name)
        if not whole:
            return
        if name == "audit":  # the rows of its long tables are alike, and there are hundreds
            page.evaluate(
                "document.querySelectorAll('tbody, ul').forEach(e => [...e.children].slice(6).forEach("
                "one => one.remove()))"
            )
        # On the longest pages contrast is left out: what they are made of is shown by the others.
        contrast_too = name not in ("audit", "garage", "sheet", "result")
        schemes = schemes_by_turns(len(looked_at))
        faults.extend(
            axe_faults(page, axe, contrast_seen[0 if EVERY_PAGE else len(looked_at) % 2], contrast_too, schemes)
        )
        looked_at.append(name)

    kept = customer(page, server, 360, look)
    assert faults == faults_heard(page) == []
    staff(opened(chromium, server, 360, script=True), server, kept, look)
    assert faults == faults_heard(page) == []
    assert len(seen) > 30
    assert looked_at == (seen if EVERY_PAGE else list(SOME_PAGES))


def seldom_seen(folder, monkeypatch):
    """(name, page) of what no way through the shop leads to: the desk's long work, and what went wrong."""
    from advisor.learning import rates
    from advisor.shop import shelf
    from advisor.versions import drafts
    from advisor.versions.history import History

    shop = Path(shop_with(folder, "link_days = 7"))
    with History(shop) as kept:
        draft = drafts.begin(shop, kept, "gentler").folder
    app = app_in(folder / "served", str(shop))
    lead, customer_there = Browser(app, "10.11.0.1").come_in(LEAD), Browser(app, "10.11.0.2").begin()
    yield "draft", lead.get("/lead/drafts/gentler").page
    number = trial_ended(app.extensions["site"], draft, 5, "fails (abc123): a test")
    yield "trial", lead.get(f"/lead/jobs/{number}").page
    yield "adopting", lead.get("/lead/drafts/gentler").page
    yield "adopting, error", lead.send("/adopt", why="", accept="x", password="").page
    yield "drafts", lead.get("/lead/drafts").page
    yield "code, error", customer_there.get("/code").send("/code", code="0000").page
    cars = [shelf.OfCar("bramble-20t", 12, {"bt20-factory": 300.0, "bt20-organic": 420.0})]
    monkeypatch.setattr(shelf, "of_cars", lambda decider: cars)  # seconds of deciding
    yield "shelf", lead.get("/lead/shelf").page
    sales = [rates.SoldAndHeard(f"kit-{number}", "organic", "Ben", frozenset(), True, True, False) for number in "ab"]
    monkeypatch.setattr(rates, "sold_and_heard", lambda book: sales)
    yield "outcomes", lead.get("/lead/outcomes").page
    yield "day, error", customer_there.get("/link").send("/come-back", on="yesterday").page
    away = {"environ_base": {"REMOTE_ADDR": "10.11.0.2", TURNED_AWAY: 23.4}, "base_url": HOST}
    yield "turned away", customer_there.client.get("/answers", **away).get_data(as_text=True)
    fields = dict(customer_there.get("/question/engine_torque").form("/question/engine_torque").fields)
    sent = customer_there.client.post("/question/engine_torque", data={**fields, "value": "431"}, **away)
    yield "turned away with an answer", sent.get_data(as_text=True)
    yield "nothing there", customer_there.get("/nothing").page
    customer_there.say("engine_torque", "410 Nm")
    yield "elsewhere", customer_there.post("/question/engine_torque", {**fields, "value": "430 Nm"}).page
    with History(shop, write=True) as kept:  # files without rules: what was read before them goes on
        for body in (b"# one\n", b"# two\n"):
            expected, files = drafts.standing(kept)[:2], {"case/use.yaml": body}
            kept.adopt(files, expected=expected, by=LEAD, why="to try", shipped="rules", changes=["one", "two"])
    yield "versions", lead.get("/lead/drafts").page
    yield "version", lead.get("/lead/versions/1").page
    yield "version, error", lead.send("/back", why="", password="").page


def _answered_with(text):
    """A route that answers with this page; of one parameter, since a second would be given the request."""
    return lambda route: route.fulfill(body=text, content_type="text/html")


@pytest.mark.needs("npm")
def test_axe_finds_nothing_on_pages_seldom_seen(chromium, server, axe, tmp_path, monkeypatch):  # noqa: F811
    """Made by an application of their own, with what a moment makes of it, and laid out by the style sheet served."""
    page, headings, contrast_seen = opened(chromium, server, 360, script=True), {}, (set(), set())
    looked_at = []
    for name, text in seldom_seen(tmp_path, monkeypatch):
        page.unroute_all()
        page.route("**/seldom", _answered_with(text))
        page.goto(address(server, "/seldom"))
        fine(page, 360)
        headings[name] = page.locator("h1").inner_text()
        if EVERY_PAGE or name in SOME_SELDOM:
            schemes = schemes_by_turns(len(looked_at))
            assert (
                axe_faults(page, axe, contrast_seen[0 if EVERY_PAGE else len(looked_at) % 2], schemes=schemes) == []
            ), name
            looked_at.append(name)
    assert set(looked_at) == (set(headings) if EVERY_PAGE else set(SOME_SELDOM))
    assert len(set(headings.values())) >= 9 and headings["adopting"] == "What draft gentler changes"
    assert headings["turned away"] == headings["turned away with an answer"] == "Many are being served just now."


@pytest.mark.needs("npm")
def test_axe_would_find_something(chromium, server, axe):  # noqa: F811
    page = opened(chromium, server, 360, script=True)
    page.goto(address(server, "/shop/come-in"))
    page.evaluate(
        "document.querySelectorAll('label').forEach(l => l.remove()); document.querySelector('p').style.color = '#ccc'"
    )
    page.evaluate(axe)
    found = page.evaluate("tags => axe.run({runOnly: tags})", TAGS)
    assert {"label", "color-contrast"} <= {one["id"] for one in found["violations"]}


def test_by_keyboard_alone(chromium, server):
    """Tab, blank and Enter from the start to the first question and its error; focus is always seen, never covered."""
    page = opened(chromium, server, 1280)
    page.goto(address(server))

    def to(name):
        for _ in range(40):
            page.keyboard.press("Tab")
            focused = page.locator(":focus")
            assert focused.evaluate("e => getComputedStyle(e).outlineStyle !== 'none' || !!e.closest('.choices label')")
            box = focused.bounding_box()
            assert box is None or box["y"] + box["height"] >= 0
            if (
                name in (focused.text_content() or focused.get_attribute("value") or "")
                or focused.get_attribute("value") == name
            ):
                return
        raise AssertionError(f"{name} was not reached")

    to("Begin")
    page.keyboard.press("Enter")
    page.wait_for_url("**/car")
    page.locator("input[name=value]").first.focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    page.wait_for_url("**/own-words")
    to("Straight to the questions")
    page.keyboard.press("Enter")
    page.wait_for_url("**/question/*")
    question = page.url
    page.locator("input[name=value]").first.focus()
    page.keyboard.press("Space")
    page.keyboard.press("Enter")
    page.wait_for_url(lambda url: url != question)
    page.goto(address(server, "/question/engine_torque"))
    to("Continue")
    enter(page)
    # The browser moves the focus to the summary of what is wrong once the page stands.
    page.wait_for_function("document.activeElement.id === 'problem'", timeout=5000)


def test_narrow_large_and_spaced(chromium, server):
    """320 pixels wide, twice as large letters, and the spacing of WCAG 1.4.12: nothing is cut off."""
    page = opened(chromium, server, 320, script=True)
    page.goto(address(server))
    press(page, "Begin")
    page.get_by_label("Bramble 2.0 turbo hatchback").check()
    press(page, "Continue")
    for path in (
        "/",
        "/car",
        "/own-words",
        "/question/engine_torque",
        "/question/main_use",
        "/answers",
        "/result",
        "/send",
        "/link",
        "/shop/come-in",
    ):
        page.goto(address(server, path))
        assert page.evaluate("document.documentElement.scrollWidth") <= 320, path
        page.evaluate("document.documentElement.style.fontSize = '200%'")
        assert page.evaluate("document.documentElement.scrollWidth") <= 320, path
        page.evaluate(
            "document.documentElement.style.fontSize = ''; for (const e of document.querySelectorAll('body *')) "
            "{ e.style.lineHeight = '1.5'; e.style.letterSpacing = '.12em'; e.style.wordSpacing = '.16em' }"
        )
        assert page.evaluate("document.documentElement.scrollWidth") <= 320, path
        cut = page.evaluate(
            "[...document.querySelectorAll('button, .go, label, h1')]"
            ".filter(e => e.scrollWidth > e.clientWidth + 1 && e.clientWidth).length"
        )
        assert cut == 0, path


def test_under_a_plain_name_of_the_shop_network(chromium, server, tmp_path):
    """Where no Secure cookie holds, no Sec-Fetch-Site is sent and the origin is null: forms still work."""
    from tests.web.shops import shop_with

    shop = shop_with(tmp_path, 'hosts = ["shop.test", "127.0.0.1"]')
    with Server(tmp_path / "named", "--shop", shop) as named:
        page = opened(chromium, named, 360)
        page.goto(f"http://shop.test:{named.port}/")
        press(page, "Begin")
        assert page.url.endswith("/car")
        page.get_by_label("Bramble 2.0 turbo hatchback").check()
        press(page, "Continue")
        assert page.url.endswith("/own-words")
