"""The real server in processes of its own, and a caller that speaks to it as a browser does, without one."""

import html
import http.client
import os
import re
import signal
import subprocess
import sys
import time
import urllib.parse

from advisor.cli import main
from advisor.knowledge.sources import Sources
from advisor.web import workplace
from tests import shipped
from tests.conftest import ROOT
from tests.forked import Forked

#: Seconds a server may take to start, and a page to come, on a machine that has other work.
PATIENCE = 300.0


class Server:
    """``advisor serve`` on a free port; ``with Server(folder) as server:``. Its output stands in a file."""

    listens = re.compile(r"Pages at http://127\.0\.0\.1:(\d+)/")

    def __init__(self, folder, *options):
        self.folder, self.options = folder, options
        self.process, self.port = None, 0

    def command(self):
        """What is run."""
        where = ("--casebook", str(self.folder / "casebook.sqlite"), "--pages", str(self.folder / "pages"))
        return "advisor", "serve", "--port", str(self.port), *where, *self.options

    def __enter__(self):
        self.folder.mkdir(parents=True, exist_ok=True)
        self.log = self.folder / "server.log"
        begins = self.log.stat().st_size if self.log.exists() else 0
        with self.log.open("ab") as out:
            self.process = self.begun(out, {"LEAST_CLUTCH_SEAL_KEY": str(self.folder / "seal.key")})
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until and self.process.poll() is None:
            ports = self.listens.findall(self.log.read_bytes()[begins:].decode("utf-8", "replace"))
            if ports:
                self.port = int(ports[-1])
                if self._answers():
                    return self
            time.sleep(0.05)
        if self.process.poll() is None:
            self.kill()
        raise AssertionError(f"the server did not start:\n{self.text}")

    def begun(self, out, environment):
        """The process, which writes to ``out``; ``environment``: what it has beside ours."""
        return subprocess.Popen(
            [sys.executable, "-m", *self.command()],
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=out,
            stderr=out,
            start_new_session=True,
            env={**os.environ, **environment},
        )

    def __exit__(self, *_):
        try:
            if self.process.poll() is None:
                self.stop()
        finally:  # one that does not end when it is asked to is not left behind
            if self.process.poll() is None:
                self.kill()

    @property
    def text(self):
        """What it has written."""
        return self.log.read_text(errors="replace")

    def _answers(self):
        try:
            connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)
            connection.request("GET", "/healthz")
            return connection.getresponse().status == 200
        except OSError:
            return False
        finally:
            connection.close()

    def stop(self):
        """End it as a service manager does; its exit code."""
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(PATIENCE)

    def kill(self):
        """End it and all its processes at once, without a word."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(PATIENCE)


class ForkedServer(Server):
    """The same command in a process of its own that begins with what this one has imported and read: two seconds less.

    Where how a server begins is looked at, it is a `Server`.
    """

    def begun(self, out, environment):
        """The process: a fork of this one."""
        shipped.content()  # read here, once for all that are forked
        return Forked(lambda: _served(self.command()[1:], environment), out.fileno())


def _served(arguments, environment):
    """In the forked process: the command, on the shipped rules as they were read, where it is asked for those."""
    os.environ.update(environment)
    read = workplace.read

    def read_once(sources, **options):
        return shipped.content() if sources == Sources.chosen() else read(sources, **options)

    workplace.read = read_once
    return main(list(arguments))


class PreForkServer(Server):
    """The pages under gunicorn, as the help of ``advisor serve`` says: two processes of one thread."""

    listens = re.compile(r"Listening at: http://127\.0\.0\.1:(\d+) ")

    def command(self):
        served = f"served(casebook={str(self.folder / 'casebook.sqlite')!r}, pages={str(self.folder / 'pages')!r})"
        return (
            *("gunicorn", "--preload", "--workers", "2", "--threads", "1", "--no-control-socket"),
            *("--bind", f"127.0.0.1:{self.port}", *self.options, f"advisor.commands.serve:{served}"),
        )


class Connected:
    """What `tests.web.browsing.Browser` asks of an application's client, over real connections to a Server."""

    def __init__(self, server):
        self.caller = Caller(server)

    def get(self, path, **_):
        """Ask for a page."""
        return self._asked("GET", path, None)

    def post(self, path, data=None, **_):
        """Send a form."""
        return self._asked("POST", path, data or {})

    def _asked(self, method, path, fields):
        self.status_code, where = self.caller.ask(method, path, fields)
        self.headers = {**self.caller.headers, "Location": where}
        return self

    def get_data(self, as_text=True):
        """The page."""
        return self.caller.page


class Caller:
    """Follows one customer's forms over real connections."""

    def __init__(self, server):
        self.server, self.cookie, self.page, self.path, self.status = server, "", "", "", 0

    def ask(self, method, path, fields=None):
        """One request; (status, where it leads)."""
        body = urllib.parse.urlencode(fields, doseq=True) if fields is not None else None
        headers = {"Host": f"127.0.0.1:{self.server.port}"}
        if self.cookie:
            headers["Cookie"] = self.cookie
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        connection = http.client.HTTPConnection("127.0.0.1", self.server.port, timeout=PATIENCE)
        try:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            self.page, self.status = answer.read().decode("utf-8", "replace"), answer.status
        finally:
            connection.close()
        self.headers = dict(answer.getheaders())
        for name, value in answer.getheaders():
            if name.casefold() == "set-cookie":
                self.cookie = value.partition(";")[0]
        self.path = path
        return answer.status, answer.getheader("Location", "")

    def get(self, path):
        """Open a page, following what it leads to."""
        status, where = self.ask("GET", path)
        return self.get(urllib.parse.urlsplit(where).path) if status == 303 else self

    def hidden(self, name):
        """A hidden field of the page."""
        return html.unescape(re.search(rf'name="{name}" value="([^"]*)"', self.page)[1])

    def begin(self, car="bramble-20t"):
        """Begin, and name the car."""
        self.get("/")
        self.ask("POST", "/begin", {"csrf_token": self.hidden("csrf_token")})
        self.get("/car")
        fields = {"csrf_token": self.hidden("csrf_token"), "revision": self.hidden("revision"), "value": car}
        assert self.ask("POST", "/car", fields)[0] == 303, self.page
        return self

    def say(self, name, value):
        """Answer a question; was it acknowledged?"""
        self.get(f"/question/{name}")
        fields = {"csrf_token": self.hidden("csrf_token"), "revision": self.hidden("revision"), "value": value}
        return self.ask("POST", f"/question/{name}", fields)[0] == 303
