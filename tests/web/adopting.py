"""From a draft to what is in force, by a lead in his browser: tried, adopted, decided by, gone back from."""

import html
import re
import time

from advisor.knowledge import rules_in_force
from advisor.web import passwords
from advisor.web.register import Register
from tests.web.browsing import LEAD, PASSWORD, Browser
from tests.web.serving import Connected, Server
from tests.web.shops import drafted, shop_with

#: Seconds a trial or an adoption may take; they do it all twice over, beside whatever else runs.
LONGEST = 1_800


def journey(folder):
    """The whole way on a server of its own; what was looked at, in words."""
    folder.mkdir(parents=True)
    shop = shop_with(folder, "link_days = 7")
    drafted(shop, "light", "150 N", "140 N")
    with Server(folder / "served", "--shop", shop) as server:
        with Register(server.folder / "pages" / "register.sqlite") as register:
            register.set_password(LEAD, passwords.hashed(PASSWORD), first=False)
        lead = Browser(Connected(server)).come_in(LEAD)
        before = sent_case(server)
        assert "House rules" not in lead.get(f"/lead/case/{before}").page
        yield from _adopted(lead, server, shop)
        yield from _second(lead, server, shop)
        yield from _back(lead, server, shop)
        assert "House rules" not in lead.get(f"/lead/case/{before}").page, "what was decided before is as it was"
        assert "Traceback" not in server.text


def _adopted(lead, server, shop):
    lead.get("/lead/drafts").get("/lead/drafts/light")
    assert "150 N becomes 140 N" in lead.page and "First it is tried" in lead.page
    lead.send("/light/try")
    assert lead.headers["Refresh"] == "2" and "It is at work" in lead.page
    looks = ended(lead)
    assert "Checked: nothing fails." in lead.page and "To adopting it" in lead.page, lead.page
    departs = re.search(r"departs \((\w{6})\): pedal-light-house stands in the place of", lead.page)[1]
    yield "looks at a trial under way", looks
    lead.get("/lead/drafts/light").send(
        "/adopt", why="150 N was found heavy", password="not the password", accept=departs
    )
    assert lead.status == 400 and rules_in_force.in_force(rules_of(shop)) is None
    lead.send("/adopt", why="150 N was found heavy", password=PASSWORD, accept=departs)
    looks = ended(lead)
    assert lead.heading == "Adopted" and "Version 1 is in force" in lead.page, lead.page
    yield "looks at an adoption under way", looks
    lead.get("/lead/drafts")
    assert "in force: adopted" in text_of(lead) and f"by {LEAD}: 150 N was found heavy" in text_of(lead)
    assert lead.get("/lead/drafts/light").status == 404, "the draft is done with"
    assert "150 N becomes 140 N" in lead.get("/lead/versions/1").page and "It is in force" in lead.page
    yield "decided by version 1", told(lead, server, 1, "150 N was found heavy")
    assert "140 N" in text_of(lead.get("/lead/rules"))


def _second(lead, server, shop):
    drafted(shop, "lighter", "140 N", "130 N", rule="pedal-light-house")
    lead.get("/lead/drafts/lighter").send("/lighter/try")
    ended(lead)
    departs = re.search(r"departs \((\w{6})\)", lead.page)[1]
    lead.get("/lead/drafts/lighter").send("/adopt", why="140 N was still heavy", password=PASSWORD, accept=departs)
    ended(lead)
    assert lead.heading == "Adopted" and "Version 2 is in force" in lead.page, lead.page
    yield "decided by version 2", told(lead, server, 2, "140 N was still heavy")


def _back(lead, server, shop):
    lead.get("/lead/versions/2")
    assert "It is in force" in lead.page and not [form for form in lead.forms if form.action.endswith("/back")]
    lead.get("/lead/versions/1").send("/back", why="130 N is too much of it", password=PASSWORD)
    ended(lead)
    assert lead.heading == "Adopted" and "Version 3 is in force, back to version 1" in text_of(lead), lead.page
    yield (
        "decided by version 3, back to version 1",
        told(lead, server, 3, "130 N is too much of it", "back to version 1"),
    )
    held = rules_in_force.in_force(rules_of(shop))
    assert held.number == 3 and b"140 N" in held.folder.joinpath("case/release.yaml").read_bytes()


def rules_of(shop):
    """The folder of a shop's rules."""
    from pathlib import Path

    return Path(shop) / "rules"


def text_of(browser):
    """The words of a page."""
    return " ".join(re.sub(r"<[^>]+>", " ", html.unescape(browser.page)).split())


def ended(lead):
    """Look again, as the page says, until the job has ended; how often."""
    until = time.monotonic() + LONGEST
    for looks in range(1, LONGEST):
        if "Refresh" not in lead.get(lead.path).headers:
            return looks
        assert time.monotonic() < until, lead.page
        time.sleep(2.0)
    raise AssertionError(lead.page)


def sent_case(server):
    """A case that a customer has sent; its number in the casebook."""
    customer = Browser(Connected(server)).begin()
    customer.say("engine_torque", "330 Nm").say("main_use", "daily")
    customer.get("/send").send("/send", name="Eve Example", phone="000 111", note="")
    assert customer.path == "/sent", customer.page
    return int(re.search(r"number there is (\d+)", customer.page)[1])


def told(lead, server, number, why, *words):
    """A decision made now: its audit names the version, who adopted it, when and why; the number of the case."""
    time.sleep(6.0)  # the pages follow the shop's files within seconds
    kept = sent_case(server)
    said = text_of(lead.get(f"/lead/case/{kept}"))
    day = time.strftime("%Y-%m-%d", time.gmtime())
    assert re.search(rf"ouse rules version {number}, .*adopted {day} \d\d:\d\d UTC by {LEAD}: {why}", said), said[:2000]
    assert all(word in said for word in words)
    return kept
