"""The line before the one thread: nobody waits long, whoever is turned away is told when, and keeps what he typed."""

import socket
import threading
import time

import pytest
import waitress

from advisor.web import waiting
from advisor.web.waiting import TURNED_AWAY, lined_up
from tests.web.browsing import HOST


@pytest.fixture
def slow_server():
    """Pages of a tenth of a second, with a line of at most 0.4 seconds; (port, what was made in its order)."""
    made = []

    def page(environ, start):
        if TURNED_AWAY in environ:
            start("503 Service Unavailable", [("Content-Length", "4")])
            return [b"full"]
        if environ["PATH_INFO"] != "/healthz":
            time.sleep(0.1)
        made.append(environ["PATH_INFO"])
        start("200 OK", [("Content-Length", "4")])
        return [b"page"]

    listening = socket.create_server(("127.0.0.1", 0))
    port = listening.getsockname()[1]
    server = lined_up(waitress.create_server(page, sockets=[listening], threads=1), longest=0.4)
    server.task_dispatcher.page_seconds = 0.1
    serving = threading.Thread(target=server.run, daemon=True)
    serving.start()
    yield port, made
    server.close()
    server.task_dispatcher.shutdown()


def asked(port, path, answers):
    with socket.create_connection(("127.0.0.1", port), timeout=20) as connection:
        began = time.monotonic()
        connection.sendall(f"GET {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n".encode())
        text = b""
        while part := connection.recv(1000):
            text += part
        answers.append((int(text.split()[1]), time.monotonic() - began))


def test_a_long_line_turns_away_at_once_and_serves_those_in_it(slow_server):
    port, made = slow_server
    answers = []
    callers = [threading.Thread(target=asked, args=(port, f"/{number}", answers)) for number in range(24)]
    for caller in callers:
        caller.start()
    health = []
    time.sleep(0.15)
    asked(port, "/healthz", health)
    for caller in callers:
        caller.join()
    served = [seconds for status, seconds in answers if status == 200]
    away = [seconds for status, seconds in answers if status == 503]
    assert len(served) + len(away) == 24 and waiting.SHORT < len(served) < 20 and away
    # Nobody who was let in waited much longer than the line may be; and who was not, waits for a page or two.
    assert max(served) < 1.2 and sorted(away)[len(away) // 2] < 0.5
    assert health[0][0] == 200 and made.index("/healthz") < len(made) - 1, "health is asked before the line"
    again = []
    asked(port, "/later", again)
    assert again[0][0] == 200, "when the line is gone everybody is let in"


def test_a_short_line_is_no_line_however_slow_its_pages_are():
    line, answers = waiting.WaitingLine(), []

    class Channel:
        def __init__(self, path):
            self.requests = [type("Request", (), {"path": path})()]

    line.page_seconds = 60.0
    for number in range(6):
        channel = Channel(f"/{number}")
        line.add_task(channel)
        answers.append(channel.would_wait > 0)
    assert answers == [False] * 4 + [True] * 2
    for _ in range(100):
        line.took(0.2)
    assert line.page_seconds == pytest.approx(0.2, abs=0.01), "what was slow once is forgotten"


def test_who_is_turned_away_keeps_what_he_typed(app, browser):
    browser.begin().get("/question/engine_torque")
    fields = {**dict(browser.form("/question/engine_torque").fields), "value": '431 "Nm"'}
    from_here = {"REMOTE_ADDR": browser.address, TURNED_AWAY: 23.4}
    answer = browser.client.post("/question/engine_torque", data=fields, base_url=HOST, environ_base=from_here)
    assert answer.status_code == 503 and answer.headers["Retry-After"] == "24"
    browser.page = answer.get_data(as_text=True)
    assert "24 seconds" in browser.page and "431 &#34;Nm&#34;" in browser.page
    assert "431" not in browser.client.get("/answers", base_url=HOST).get_data(as_text=True), "nothing was taken"
    browser.send("/question/engine_torque", value="431 Nm")
    assert browser.status == 200 and "431" in browser.get("/answers").page
    # A page asked for says where it was; a form that is not ours is never offered to be sent again.
    answer = browser.client.get("/question/engine_torque?x=1", base_url=HOST, environ_base=from_here)
    assert answer.status_code == 503 and 'href="/question/engine_torque?x=1"' in answer.get_data(as_text=True)
    answer = browser.client.post("/shop/come-in", data={"name": "x"}, base_url=HOST, environ_base=from_here)
    assert answer.status_code == 400 and "Send it again" not in answer.get_data(as_text=True)
    assert browser.client.get("/nowhere", base_url=HOST, environ_base=from_here).status_code == 404


def test_another_server_of_wsgi_takes_the_application(tmp_path):
    """The call that ``advisor serve --help`` names for it."""
    from advisor.commands import serve
    from advisor.web.wsgi import served

    assert "advisor.web.wsgi:served(" in serve.__doc__
    pages = served(casebook=str(tmp_path / "book.sqlite"), pages=str(tmp_path / "pages"))
    assert pages.test_client().get("/", base_url=HOST).status_code == 200
    assert (tmp_path / "book.sqlite").exists() and (tmp_path / "pages" / "secret").exists()
