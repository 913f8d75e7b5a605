"""The pages under a server of several processes that is not their own: what holds in one holds in the other."""

import contextlib
import os
import re
import signal
import sqlite3
import subprocess
import urllib.parse

from tests.web.serving import Caller, PreForkServer


def workers_of(server):
    """Process ids of those that answer."""
    children = subprocess.run(["ps", "-o", "pid=", "--ppid", str(server.process.pid)], capture_output=True, text=True)
    return [int(word) for word in children.stdout.split()]


def journey(folder):
    """From the start to the result; link, visit and limits hold in both processes, and after a restart."""
    with PreForkServer(folder) as server:
        workers = workers_of(server)
        assert len(workers) == 2
        caller = Caller(server).begin()
        for value in ("311 Nm", "322 Nm", "333 Nm"):
            assert caller.say("engine_torque", value)
        for worker in workers:  # each of the two alone has to know the visit
            os.kill(worker, signal.SIGSTOP)
            assert "333" in caller.get("/answers").page
            os.kill(worker, signal.SIGCONT)
        assert caller.say("main_use", "daily")
        assert caller.get("/result").status == 200 and "EUR" in caller.page
        link = made_link(caller)
        # Twenty links of one address in a minute, whichever process is asked.
        statuses = [Caller(server).get(f"/open/{'A' * 43}").status for _ in range(24)]
        assert statuses == [404] * 20 + [429] * 4, statuses
        assert server.stop() == 0
    with PreForkServer(folder) as again:
        later = Caller(again)
        later.cookie = caller.cookie
        assert "333" in later.get("/answers").page, "the visit outlives a restart"
        assert Caller(again).get(link).status == 429, "so does a limit"
        limits_forgotten(folder)
        elsewhere = Caller(again).get(link)
        assert elsewhere.ask("POST", link, {"csrf_token": elsewhere.hidden("csrf_token")})[0] == 303
        assert "333" in elsewhere.get("/answers").page
        assert "Traceback" not in again.text


def made_link(caller):
    """The path of a new private link."""
    caller.get("/link")
    caller.ask("POST", "/link", {"csrf_token": caller.hidden("csrf_token")})
    return urllib.parse.urlsplit(re.search(r'value="(http[^"]*/open/[^"]*)"', caller.page)[1]).path


def limits_forgotten(folder):
    """As if the time were over in which limits count."""
    with contextlib.closing(sqlite3.connect(folder / "pages" / "allowance.sqlite", isolation_level=None)) as file:
        file.execute("DELETE FROM times")
