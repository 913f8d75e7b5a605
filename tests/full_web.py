"""The long counts of the pages: adoption, many people in browsers, orders, kills, hostile requests, load.

``WEB_KILLS`` and the like in the environment make a count smaller: ``WEB_HOSTILE=500 python -m tests.full web``.
"""

import os
import pathlib
import random
import re
import statistics
import subprocess
import sys
import tempfile
import threading
import time

from tests.conftest import ROOT
from tests.web import hostile
from tests.web.browsing import Browser, app_in


def _count(name, usual):
    return int(os.environ.get(f"WEB_{name}", usual))


def rows():
    """(what, how many, result) of each count."""
    with tempfile.TemporaryDirectory(prefix="least-clutch-web-") as folder:
        place = pathlib.Path(folder)
        yield from _every_page()
        yield from _adopting(place / "adopting")
        yield from _several(place / "several")
        yield from _people(place / "people")
        yield from _orders(place / "orders")
        yield from _hostile(place / "hostile")
        yield from _kills(place / "kills")
        yield from _load(place / "load")


# --- every page, light and dark


def _every_page():
    """axe-core on every page of the ways through the shop and on those seldom seen, of which the ordinary run looks at
    some; and the same ways without a script.
    """
    looks = "axe_finds_nothing or without_a_script"
    command = [sys.executable, "-m", "pytest", "tests/web/test_browser.py", "-k", looks]
    environment = {**os.environ, "WEB_EVERY_PAGE": "1"}
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True)
    sound = done.returncode == 0 and "3 passed" in done.stdout and "skipped" not in done.stdout
    result = "nothing found" if sound else f"FAILED: {done.stdout[-1000:]}"
    yield "axe-core on every page, light and dark; no script at all", 3, result


# --- rules adopted in the browser; several processes


def _adopting(folder):
    from tests.web.adopting import journey

    try:
        yield from ((f"a draft adopted in the browser: {what}", 1, number) for what, number in journey(folder))
    except AssertionError as error:
        yield "a draft adopted in the browser", 1, f"FAILED: {str(error)[:3000]}"


def _several(folder):
    from tests.web.several import journey

    try:
        journey(folder)
        yield "a way over two processes of another server, and its restart", 1, "done"
    except AssertionError as error:
        yield "a way over two processes of another server, and its restart", 1, f"FAILED: {str(error)[:3000]}"


# --- many people at once, in browsers


def _people(folder):
    """Eight customers, two counters and two leads, from the link to the signature."""
    import shutil

    if shutil.which("chromium") is None:
        yield "many people at once: there is no browser here", 0, "not done"
        return
    from tests.web.many import journeys

    for width in (360, 1280):
        for script in (False, True):
            wrong, pages = journeys(folder / f"{width}-{script}", width, script)
            how = f"{width} pixels, {'with' if script else 'without'} scripts"
            result = f"FAILED: {wrong[:3]}" if wrong else f"8 cases signed, {pages} pages looked at"
            yield f"8 customers, 2 counters, 2 leads at once, {how}", 12, result


# --- the same answers in any order


def _orders(folder):
    from advisor.deciding.advise import advise
    from advisor.deciding.decide import decider_of
    from advisor.deciding.recording import to_json
    from advisor.interview import case_file
    from advisor.knowledge.sources import Sources, read
    from tests.web.test_customer import ANSWERS, case_path

    app, decider, draw = app_in(folder, people=()), decider_of(read(Sources.chosen())), random.Random(1)
    count, records = _count("ORDERS", 50), set()
    for number in range(count):
        browser = Browser(app, f"10.20.0.{number % 250}").begin()
        order = list(ANSWERS)
        draw.shuffle(order)
        for name in order:
            browser.say(name, ANSWERS[name])
            if draw.random() < 0.3:
                browser.say(draw.choice(order), "unknown" if draw.random() < 0.5 else "")
            browser.say(name, ANSWERS[name])
        # What was tried in between is put right; and once more what then left because its ground had changed.
        browser.tell(**{name: ANSWERS[name] for name in order}).tell(**ANSWERS)
        state = case_file.read(case_path(app, browser), decider.knowledge)
        case = state.as_case()
        records.add(to_json(advise(decider, case)).replace(state.case, "case"))
    yield "shuffled orders of the same answers: records", count, _judged(len(records), 1)


def _judged(found, wanted):
    return f"{found}" if found == wanted else f"FAILED: {found}, not {wanted}"


# --- hostile requests


def _hostile(folder):
    """Fuzzed forms, cookies, links and numbers of others: no error of ours, nothing of another's seen."""
    app, draw = app_in(folder), random.Random(2)
    site = app.extensions["site"]
    site.allowance.used_up = lambda *_: 0.0  # what is tested here is what comes behind the limits
    victim = Browser(app, "10.30.0.1").begin()
    victim.say("engine_torque", "417 Nm")
    victim.get("/send").send("/send", name="Eve Victim", phone="000 417 417", note="")
    attacker = Browser(app, "10.30.0.2").begin()
    rules = list(app.url_map.iter_rules())
    count, faults, seen, statuses = _count("HOSTILE", 5000), 0, 0, {}
    for number in range(count):
        rule = draw.choice(rules)
        path = re.sub("<[^>]+>", lambda _: _part(draw), rule.rule)
        if number % 200 == 0:
            attacker = Browser(app, "10.30.0.2").begin()
        fields = {}
        if draw.random() < 0.7:
            attacker.get(draw.choice(("/question/engine_torque", "/car", "/own-words", "/send", "/answers")))
            if attacker.status == 200 and attacker.forms:
                fields = dict(draw.choice(attacker.forms).fields)
        for name in draw.sample(["value", "unit", "unknown", "text", "take", "name", "phone", "note", "revision"], 3):
            fields[name] = draw.choice(hostile.texts(draw, 1))
        if draw.random() < 0.2:
            attacker.client.set_cookie(
                "advisor", draw.choice(hostile.texts(draw, 1)).encode("ascii", "ignore").decode()
            )
        answer = attacker.client.open(
            path,
            method=draw.choice(sorted(rule.methods - {"OPTIONS"})) if draw.random() < 0.95 else "PUT",
            data=fields,
            base_url="http://localhost",
            environ_base={"REMOTE_ADDR": "10.30.0.2"},
        )
        statuses[answer.status_code] = statuses.get(answer.status_code, 0) + 1
        body = answer.get_data(as_text=True)
        faults += answer.status_code == 500 or "<script" in body
        seen += "Eve Victim" in body or "417" in body.replace("417 N m, could", "")
    told = ", ".join(f"{status}: {number}" for status, number in sorted(statuses.items()))
    yield "hostile requests: errors of ours, or markup let through", count, _judged(faults, 0)
    yield "hostile requests that saw something of another's", count, _judged(seen, 0)
    yield "answers to them by status", count, told


def _part(draw):
    """What stands where an address leaves something open."""
    value = draw.choice([str(draw.randint(0, 9)), "engine_torque", *hostile.texts(draw, 1)])
    return value.replace("\x00", "%00").replace("\r", "").replace("\n", "")[:200] or "x"


# --- kills


def _kills(folder):
    from tests.web.test_serving import killed

    count = _count("KILLS", 200)
    lost, acknowledged = killed(folder, count)
    yield f"kills, {acknowledged} answers acknowledged before them: cases with one lost", count, _judged(lost, 0)


# --- load


def _load(folder):
    """Pages that decide, under 8 and 32 customers without a pause, one and two processes, against the bare decision."""
    from advisor.deciding.decide import decider_of
    from advisor.interview.next_question import Chooser
    from advisor.interview.sampling import Sampler
    from advisor.interview.state import Said, State
    from advisor.knowledge.sources import Sources, read
    from tests.web.serving import Caller, Server

    decider = decider_of(read(Sources.chosen()))
    chooser = Chooser(Sampler(decider))
    bare = []
    for torque in range(300, 340):
        state = State("bare", "bramble-20t", {"engine_torque": Said("engine_torque", f"{torque} Nm", float(torque))})
        start = time.perf_counter()
        view = chooser.view(state)
        _ = view.standing, view.left
        bare.append(time.perf_counter() - start)
    decision = statistics.median(bare)
    yield "bare next question with its decision, median ms", len(bare), f"{1000 * decision:.0f}"
    for processes in (1, 2):
        for customers in (8, 32):
            with Server(folder / f"{processes}-{customers}", "--processes", str(processes)) as server:
                times, away, errors = [], [], []

                def ask(caller, *request, times=times, away=away):
                    """Ask until it is answered, waiting as long as is said where it is turned away."""
                    for _ in range(100):
                        start = time.perf_counter()
                        status, _ = caller.ask(*request)
                        (away if status == 503 else times if request[0] == "POST" else []).append(
                            time.perf_counter() - start
                        )
                        if status not in (429, 503):  # all of them come from one address, which has its allowance
                            return status
                        time.sleep(random.uniform(2.0, 6.0))
                    return status

                def customer(number, server=server, errors=errors, ask=ask):
                    try:
                        caller = Caller(server)
                        ask(caller, "GET", "/")
                        ask(caller, "POST", "/begin", {"csrf_token": caller.hidden("csrf_token")})
                        for page, values in (
                            ("/car", ["bramble-20t"]),
                            ("/question/engine_torque", [f"{300 + step} Nm" for step in range(_count("STEPS", 5))]),
                        ):
                            for value in values:
                                ask(caller, "GET", page)
                                fields = {name: caller.hidden(name) for name in ("csrf_token", "revision")}
                                status = ask(caller, "POST", page, {**fields, "value": value})
                                errors += [status] if status != 303 else []
                    except Exception as error:
                        errors.append(f"{type(error).__name__} {number}")

                callers = [threading.Thread(target=customer, args=(number,)) for number in range(customers)]
                for caller in callers:
                    caller.start()
                for caller in callers:
                    caller.join()
                memory = _memory(server.process.pid)
            ordered = sorted(times)
            p95 = ordered[int(0.95 * (len(ordered) - 1))] if ordered else 0.0
            result = f"median {1000 * statistics.median(ordered):.0f} ms, p95 {1000 * p95:.0f} ms, "
            result += f"{p95 / decision:.1f} times bare, {memory:.0f} MB a process"
            if away:
                result += f", {len(away)} turned away after {max(away):.1f} s at the most"
            result += f", FAILED: {errors[:3]}" if errors else ""
            yield f"a page that decides, {customers} customers, {processes} process(es)", len(times), result


def _memory(parent):
    """Resident megabytes of the largest process of a server."""
    largest = 0.0
    for path in pathlib.Path("/proc").glob("[0-9]*/status"):
        try:
            text = path.read_text()
        except OSError:
            continue
        lines = dict(line.split(":", 1) for line in text.splitlines() if ":" in line)
        if str(parent) in (lines["PPid"].strip(), path.parent.name) and "VmRSS" in lines:
            largest = max(largest, int(lines["VmRSS"].split()[0]) / 1024)
    return largest
