"""Many people at once in Chromium, from the link to the signature: eight customers, two counters, two leads."""

import asyncio
import contextlib
import re
import shutil

from playwright.async_api import TimeoutError as TooLong, async_playwright

from advisor.casebook.book import Casebook
from advisor.web import passwords
from advisor.web.register import Register
from tests.web.browsing import PASSWORD
from tests.web.serving import Server
from tests.web.shops import shop_with

COUNTERS, LEADS = ("Ada Invented", "Dora Invented"), ("Cleo Invented", "Emil Invented")
#: A second counter and a second lead; each browser has an address of its own, as behind a program that encrypts.
MORE = """link_days = 7
proxies = 1
[[people]]
name = "Dora Invented"
roles = ["counter"]
[[people]]
name = "Emil Invented"
roles = ["lead"]
"""
CARS = ("Bramble 2.0 turbo hatchback", "Teasel")
#: Milliseconds a page may take where all press at once on a machine that has other work.
PATIENCE = 120_000


class Person:
    """Somebody at a browser of his own; ``heard``: what the browser found fault with."""

    def __init__(self, browser, server, number, width, script):
        self.browser, self.server, self.number = browser, server, number
        self.options = {
            "java_script_enabled": script,
            "viewport": {"width": width, "height": 740},
            "extra_http_headers": {"X-Forwarded-For": f"10.77.0.{number}"},
        }
        self.width, self.pages, self.heard = width, 0, []

    async def sit_down(self):
        """A browser without a past."""
        context = await self.browser.new_context(**self.options)
        self.page = await context.new_page()
        self.page.set_default_timeout(PATIENCE)
        self.page.on("console", lambda message: self.heard.append(message.text))
        return self

    async def go(self, path):
        """Open an address."""
        await self.page.goto(path if "//" in path else f"http://127.0.0.1:{self.server.port}{path}")
        await self.looked()

    async def press(self, name, role="button"):
        """Press a button or follow a link."""
        async with self.page.expect_navigation():
            await self.page.get_by_role(role, name=name).first.click()
        await self.looked()

    async def fill(self, label, text):
        """Type into a field."""
        await self.page.get_by_label(label).first.fill(text)

    async def looked(self):
        """What must hold of any page."""
        self.pages += 1
        assert await self.page.evaluate("document.documentElement.scrollWidth") <= self.width, self.page.url
        assert await self.page.locator("h1").count() == 1, self.page.url

    async def text(self):
        """What stands in the page."""
        return (await self.page.content()).replace("\xa0", " ")

    async def come_in(self, name):
        """Through the door of the shop."""
        await self.go("/shop/come-in")
        await self.fill("Name", name)
        await self.fill("Password", PASSWORD)
        await self.press("Come in")


async def customer(person, waiting):
    """Begins on one device, goes on by the private link on another, and sends it; nobody else's torque is ever seen."""
    torque = 300 + person.number
    await person.go("/")
    await person.press("Begin")
    await person.page.get_by_label(re.compile(CARS[person.number % len(CARS)])).first.check()
    await person.press("Continue")
    await person.press("Straight to the questions", "link")
    await person.go("/question/engine_torque")
    await person.fill("torque", f"{torque}")
    await person.press("Continue")
    await person.go("/link")
    await person.press("Make a link")
    link = await person.page.get_by_label("Your link").input_value()
    await person.sit_down()
    await person.go(link)
    await person.press("Open the answers")
    assert f"{torque} N m" in await person.text()
    await person.press("Go on", "link")
    for step in range(24):
        if person.page.url.endswith("/result"):
            break
        if "/check" in person.page.url:
            await person.press("It is as I said; go on", "link")
            continue
        choices = person.page.get_by_role("radio")
        if await choices.count():
            # Some take the first answer, some do not know.
            await choices.nth(0 if (step + person.number) % 2 else await choices.count() - 1).check()
            await person.press("Continue")
        else:
            await person.press("I don't know")
    assert person.page.url.endswith("/result"), person.page.url
    seen = await person.text()
    others = [other for other in range(301, 309) if other != torque and f"{other} N m" in seen]
    await person.go("/send")
    await person.fill("Your name", f"Customer Number {person.number}")
    await person.fill("Telephone number", f"000 {person.number}")
    await person.press("Send it")
    kept = int(re.search(r"number there is (\d+)", await person.text())[1])
    waiting.put_nowait((kept, torque))
    return others


async def counter(person, name, waiting, kept_cases, taken):
    """Takes cases over as they come in, hears one thing more, keeps them."""
    await person.come_in(name)
    while True:
        work = await waiting.get()
        if work is None:
            return
        kept, torque = work
        await person.go("/counter/")
        row = person.page.locator("li", has_text=re.compile(rf"case {kept}\b"))
        await row.get_by_role("link", name=re.compile("^web-")).first.click()
        await person.press("Take it over")
        assert str(torque) in await person.page.get_by_label("Torque", exact=False).first.input_value()
        await person.fill("As heard", "tows 900 kg")
        async with person.page.expect_navigation():
            await person.page.keyboard.press("Enter")
        await person.press(re.compile("^Keep it in the casebook"))
        assert f"Customer Number {torque - 300}" in await person.text()
        taken.append((name, kept))
        kept_cases.put_nowait((kept, torque))


async def lead(person, name, kept_cases, signed):
    """Audits what the counters keep and signs it."""
    await person.come_in(name)
    while True:
        work = await kept_cases.get()
        if work is None:
            return
        kept, torque = work
        await person.go(f"/lead/case/{kept}")
        assert f"{torque}" in await person.text()
        await person.page.get_by_label("Sign it off").check()
        await person.fill("Your password, once more", PASSWORD)
        await person.press("Put it under this decision")
        assert person.page.url.endswith("/lead/"), person.page.url
        signed.append((name, kept))


async def same_case(first, second, kept):
    """Both counters take one case over at once, from pages that both show it as the customer's: one of them has it."""
    for person in (first, second):
        await person.go("/counter/")
        await (
            person.page.locator("li", has_text=re.compile(rf"case {kept}\b"))
            .get_by_role("link", name=re.compile("^web-"))
            .first.click()
        )
        await person.page.get_by_role("button", name="Take it over").wait_for()
    await asyncio.gather(*(person.press("Take it over") for person in (first, second)))
    has = ["As heard" in await person.text() for person in (first, second)]
    return sum(has)


async def _run(server, width, script):
    async with async_playwright() as started:
        browser = await started.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        people = [await Person(browser, server, number, width, script).sit_down() for number in range(1, 14)]
        customers, counters, leads, last = people[:8], people[8:10], people[10:12], people[12]
        waiting, kept_cases, taken, signed = asyncio.Queue(), asyncio.Queue(), [], []
        at_counter = [
            asyncio.ensure_future(counter(person, name, waiting, kept_cases, taken))
            for person, name in zip(counters, COUNTERS)
        ]
        at_desk = [asyncio.ensure_future(lead(person, name, kept_cases, signed)) for person, name in zip(leads, LEADS)]
        others = await asyncio.gather(*(customer(person, waiting) for person in customers))
        for _ in at_counter:
            waiting.put_nowait(None)
        await asyncio.gather(*at_counter)
        for _ in at_desk:
            kept_cases.put_nowait(None)
        await asyncio.gather(*at_desk)
        mailbox = asyncio.Queue()
        await customer(last, mailbox)
        have_it = await same_case(*counters, (await mailbox.get())[0])
        heard = {text for person in people for text in person.heard if not text.startswith("Failed to load resource")}
        pages = sum(person.pages for person in people)
        await browser.close()
    return others, taken, signed, have_it, heard, pages


def journeys(folder, width, script):
    """What is wrong after a run of all of them; how many pages were looked at."""
    folder.mkdir(parents=True)
    with Server(folder / "served", "--shop", shop_with(folder, MORE), "--processes", "2") as server:
        with Register(server.folder / "pages" / "register.sqlite") as register:
            for name in (*COUNTERS, *LEADS):
                register.set_password(name, passwords.hashed(PASSWORD), first=False)
        try:
            others, taken, signed, have_it, heard, pages = asyncio.run(_run(server, width, script))
        except (AssertionError, TooLong) as error:
            return [f"{type(error).__name__}: {str(error)[:1500]}"], 0
        wrong = [f"another's torque was seen: {seen}" for seen in others if seen]
        wrong += [f"the browser heard: {text}" for text in heard if not text.startswith("[DOM]")]
        if sorted(kept for _, kept in taken) != sorted(kept for _, kept in signed) or len(set(signed)) != 8:
            wrong.append(f"taken over {taken}, signed {signed}")
        if {name for name, _ in taken} != set(COUNTERS) or {name for name, _ in signed} != set(LEADS):
            wrong.append(f"not everybody had work: {taken}, {signed}")
        if have_it != 1:
            wrong.append(f"{have_it} counters have the case that both took over")
        if "Traceback" in server.text or '"status": 500' in server.text:
            wrong.append(server.text[-2000:])
        wrong += _casebook_faults(server, signed)
    return wrong, pages


def _casebook_faults(server, signed):
    with contextlib.ExitStack() as stack:
        book = stack.enter_context(Casebook(server.folder / "casebook.sqlite", write=False))
        rows = {row["number"]: row for row in book.overview(numbers=[kept for _, kept in signed])}
        return [
            f"case {kept} is not signed by {name}: {rows[kept]['signed']}"
            for name, kept in signed
            if name not in rows[kept]["signed"]
        ]
