"""The line before the one thread: nobody waits long, whoever is turned away is told when, and keeps what he typed."""

import pathlib
import socket
import threading
import time

import pytest
import waitress

from advisor.web import waiting
from advisor.web.waiting import TURNED_AWAY, lined_up
from tests.web.browsing import HOST


@pytest.fixture
def held_up():
    """A server whose first page is held up until ``go`` is set, with a line of 0.4 seconds, pages taking a tenth."""
    made, begun, go = [], threading.Event(), threading.Event()

    def page(environ, start):
        away = TURNED_AWAY in environ
        made.append(("away" if away else "page", environ["PATH_INFO"]))
        if environ["PATH_INFO"] == "/first":
            begun.set()
            go.wait(60)
        start("503 Service Unavailable" if away else "200 OK", [("Content-Length", "4")])
        return [b"text"]

    listening = socket.create_server(("127.0.0.1", 0))
    server = lined_up(waitress.create_server(page, sockets=[listening], threads=1), longest=0.4)
    server.task_dispatcher.page_seconds = 0.1
    threading.Thread(target=server.run, daemon=True).start()
    yield listening.getsockname()[1], made, server.task_dispatcher, begun, go
    go.set()
    server.close()
    server.task_dispatcher.shutdown()


def asked(port, path, answers):
    with socket.create_connection(("127.0.0.1", port), timeout=60) as connection:
        connection.sendall(f"GET {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n".encode())
        text = b""
        while part := connection.recv(1000):
            text += part
        answers.append(int(text.split()[1]))


def test_a_long_line_turns_away_before_all_others_and_serves_those_in_it(held_up):
    port, made, line, begun, go = held_up
    answers, callers = [], []
    paths = ["/first", *(f"/{number}" for number in range(20)), "/healthz"]
    for path in paths:
        callers.append(threading.Thread(target=asked, args=(port, path, answers)))
        callers[-1].start()
        if path == "/first":
            assert begun.wait(60)
    until = time.monotonic() + 60
    while len(line.queue) < len(paths) - 1 and time.monotonic() < until:
        time.sleep(0.01)
    go.set()
    for caller in callers:
        caller.join()
    # Pages of a tenth of a second: five are 0.4 seconds behind at the most, whatever else is asked meanwhile.
    served = [path for kind, path in made if kind == "page"]
    assert served[0] == "/first" and len(served) == 7 and "/healthz" in served
    assert answers.count(503) == 15 and answers.count(200) == 7
    kinds = [kind for kind, path in made if path not in ("/first", "/healthz")]
    assert kinds == ["away"] * 15 + ["page"] * 5, "who is turned away is told before the others are served"
    assert made.index(("page", "/healthz")) < len(made) - 5
    asked(port, "/later", answers)
    assert answers[-1] == 200, "when the line is gone everybody is let in"


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
    """The call that ``advisor serve --help`` names for it; the casebook is the one that the shop names."""
    from advisor.commands import serve
    from tests.web.shops import shop_with

    assert "advisor.commands.serve:served(" in serve.__doc__
    shop = pathlib.Path(shop_with(tmp_path, "link_days = 7"))
    (shop / "shop.toml").write_text('casebook = "book.sqlite"\n' + (shop / "shop.toml").read_text())
    pages = serve.served(shop=str(shop), pages=str(tmp_path / "pages"))
    assert pages.test_client().get("/", base_url=HOST).status_code == 200
    assert (shop / "book.sqlite").exists() and (tmp_path / "pages" / "secret").exists()
    served = serve.served(casebook=str(tmp_path / "other.sqlite"), pages=str(tmp_path / "others"))
    assert served.extensions["site"].folders.casebook == str(tmp_path / "other.sqlite")
