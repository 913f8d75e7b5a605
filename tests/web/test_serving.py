"""The server itself: it starts, stops after the page it is making, and loses no acknowledged answer when killed."""

import argparse
import http.client
import io
import os
import pathlib
import random
import signal
import stat
import subprocess
import sys
import threading
import time

import pytest

from advisor.cli import main
from tests.conftest import ROOT
from tests.web.serving import Caller, ForkedServer, Server
from tests.web.several import workers_of


def run(*arguments, stdin=""):
    """The command ``advisor``, finished."""
    return subprocess.run(
        [sys.executable, "-m", "advisor", *arguments],
        cwd=ROOT,
        input=stdin,
        capture_output=True,
        text=True,
        timeout=120,
    )


def killed(folder, number, seed=5):
    """Answers given to a server that is killed while they come in: (cases with one lost, acknowledged ones)."""
    draw, lost, acknowledged_in_all = random.Random(seed), 0, 0
    cookie, last = "", 0
    for kill in range(number + 1):
        with ForkedServer(folder) as server:
            if kill:
                lost += _lost(server, cookie, last)
            if kill == number:
                break
            caller = Caller(server).begin()
            enough, last, ended = draw.randint(1, 4), 0, None
            try:
                for count in range(40):
                    if last == enough and ended is None:  # from here on it may be killed at any moment
                        ended = threading.Timer(draw.uniform(0.0, 0.4), server.kill)
                        ended.start()
                    if caller.say("engine_torque", f"{301 + count} Nm"):
                        last = count + 1
            except (OSError, TypeError, http.client.HTTPException):
                pass  # it was killed before it answered
            assert ended is not None, server.text
            ended.join()
            cookie = caller.cookie
        acknowledged_in_all += last
    return lost, acknowledged_in_all


def _lost(server, cookie, last):
    """Is an answer gone of the case behind a cookie, of which so many were acknowledged?"""
    later = Caller(server)
    later.cookie = cookie
    page = later.get("/answers").page.replace("\xa0", " ")
    # One answer more than was acknowledged may have been kept; none less.
    kept = [count for count in range(1, 42) if f"{300 + count} N m" in page]
    return later.status != 200 or kept not in ([last], [last + 1])


def test_it_starts_answers_and_stops_when_told(tmp_path):
    with Server(tmp_path) as server:
        caller = Caller(server).begin()
        assert caller.say("main_use", "daily")
        secret = tmp_path / "pages" / "secret"
        assert stat.S_IMODE(secret.stat().st_mode) == 0o600 and len(secret.read_text().strip()) >= 43
        assert secret.read_text().strip() not in server.text
        # Told to stop while a page is being made: the page still comes.
        answers = []
        asking = threading.Thread(target=lambda: answers.append(Caller.get(caller, "/result").status))
        asking.start()
        time.sleep(0.05)
        assert server.stop() == 0
        asking.join()
        assert answers == [200]
        assert "Traceback" not in server.text


def test_a_server_that_does_not_answer_in_time_is_ended(tmp_path, monkeypatch):
    """Of the tests themselves: none of their servers outlives a start that is given up."""
    monkeypatch.setattr("tests.web.serving.PATIENCE", 0.3)
    server = Server(tmp_path)
    monkeypatch.setattr(server, "command", lambda: ("http.server", "--bind", "127.0.0.1", "0"))
    with pytest.raises(AssertionError, match="did not start"):
        server.__enter__()
    assert server.process.poll() is not None


def test_several_processes_and_one_that_dies_is_started_again(tmp_path):
    with ForkedServer(tmp_path, "--processes", "2") as server:
        caller = Caller(server).begin()
        assert caller.say("engine_torque", "311 Nm")
        workers = workers_of(server)
        assert len(workers) == 2
        os.kill(workers[0], signal.SIGKILL)
        for _ in range(6):
            assert "311" in caller.get("/answers").page
        until = time.monotonic() + 20
        while "another takes its place" not in server.text and time.monotonic() < until:
            time.sleep(0.05)
        assert "another takes its place" in server.text
        assert server.stop() == 0
        assert not [worker for worker in workers if os.path.exists(f"/proc/{worker}")]


def test_processes_that_cannot_begin_say_why_and_are_given_up(tmp_path, monkeypatch, capfd):
    from advisor.web import serving
    from tests.web.browsing import site_in

    def broken(*_):
        raise RuntimeError("no such thing")

    monkeypatch.setattr(serving, "answer", broken)
    monkeypatch.setattr(serving.time, "sleep", lambda seconds: None)
    assert serving.serve(site_in(tmp_path), "127.0.0.1", 0, 2) == 1
    heard = capfd.readouterr().err
    assert "RuntimeError: no such thing" in heard and "no process stays alive" in heard


def test_no_acknowledged_answer_is_lost_when_it_is_killed(tmp_path):
    """Once; two hundred times in ``python -m tests.full web``."""
    lost, acknowledged = killed(tmp_path, 1)
    assert lost == 0 and acknowledged > 0


def test_a_first_password_is_set_on_the_command_line(tmp_path, monkeypatch, capsys):
    where = ("--casebook", str(tmp_path / "book.sqlite"), "--pages", str(tmp_path / "pages"))
    done = run("serve", *where, "--set-password", "Cleo Invented", stdin="seven green kettles\n")
    assert done.returncode == 0 and "must be changed" in done.stdout and "kettles" not in done.stdout + done.stderr
    for name, password, words in (
        ("Cleo Invented", "short\n", "fewer than 12"),
        ("Nobody Here", "seven green kettles\n", "Cleo Invented"),
        ("Ben Invented", "seven green kettles\n", "for the counter or as a lead"),
        ("Cleo Invented", "", "no passphrase"),
    ):
        monkeypatch.setattr("sys.stdin", io.StringIO(password))
        assert main(["serve", *where, "--set-password", name]) == 2
        assert words in capsys.readouterr().err
    assert b"kettles" not in (tmp_path / "pages" / "register.sqlite").read_bytes()


def test_the_pages_of_a_counters_own_casebook_call_cases_by_it(tmp_path):
    from advisor.commands import serve
    from tests.web.shops import shop_with

    shop = pathlib.Path(shop_with(tmp_path, "link_days = 7"))
    text = (shop / "shop.toml").read_text().replace('counter = "1"', 'counter = "West"')
    (shop / "shop.toml").write_text('casebook = "shop.sqlite"\nown_casebook = "own.sqlite"\n' + text)
    parser = argparse.ArgumentParser()
    serve.add(parser)
    for place, counter in (("own.sqlite", "West"), ("shop.sqlite", "")):
        arguments = parser.parse_args(["--shop", str(shop), "--casebook", str(shop / place)])
        site = serve._site(arguments)
        assert site.folders.counter == counter
        with site.casebook() as book:
            assert book.called(3) == ("WEST/3" if counter else "3")


@pytest.mark.parametrize("options", [("--port", "99999"), ("--processes", "0"), ("--address", "256.1.1.1")])
def test_what_cannot_be_served_is_told(tmp_path, options, capsys):
    assert main(["serve", "--casebook", str(tmp_path / "b"), "--pages", str(tmp_path / "pages"), *options]) == 2
    assert capsys.readouterr().err.startswith("advisor: ")


def test_no_other_command_loads_what_pages_need():
    code = (
        "import sys; from advisor.cli import main; main(['recommend', 'scenarios/cases/mild-street-tune.yaml']); "
        "print(sorted({'flask', 'waitress', 'argon2', 'werkzeug', 'jinja2'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0 and done.stdout.rstrip().endswith("[]")
