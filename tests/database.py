"""A PostgreSQL server of the tests' own, in a temporary folder: begun when first asked for, ended with the run.

The server refuses to run as the superuser of a machine, so a run as that user hands it to another one.
"""

import atexit
import contextlib
import functools
import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

#: Who runs the server where the tests are run by the superuser; who owns tables in it, and who writes.
UNPRIVILEGED, OWNER, COUNTER = ("postgres", "nobody"), "shop_owner", "counter"


def programs() -> Path | None:
    """The folder of the newest server's programs, or None. Debian keeps them off the path; one program of its is on."""
    if shutil.which("pg_ctlcluster"):
        folders = Path("/usr/lib/postgresql").glob("*/bin")
        return max(folders, key=lambda folder: int(folder.parent.name), default=None)
    found = shutil.which("initdb")
    return Path(found).resolve().parent if found else None


def _there():
    folder = programs()
    assert folder is not None, "no PostgreSQL is installed"
    return folder


def is_there() -> bool:
    """Whether a server can be started here."""
    return programs() is not None


class Server:
    """A running server. ``folder`` holds its data and its socket; it listens on the machine's own address as well."""

    def __init__(self, *, safe: bool = False) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="casebook-server-"))
        self.user = _unprivileged() if os.geteuid() == 0 else None
        if self.user:
            os.chown(self.folder, self.user.pw_uid, self.user.pw_gid)
        self.folder.chmod(0o755)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        #: Whether everything acknowledged outlives the machine, too; without, it outlives the server's own end.
        self.safe = safe
        self._process: subprocess.Popen | None = None
        options = ("--auth=trust", "--username=admin", "--encoding=UTF8", "--locale=C", "--no-sync")
        self._run("initdb", "--pgdata", str(self.folder / "data"), *options)
        self.start()

    def _as_its_user(self, command, **options):
        if self.user:
            options |= {"user": self.user.pw_uid, "group": self.user.pw_gid, "extra_groups": []}
        return subprocess.Popen(command, cwd=self.folder, stdin=subprocess.DEVNULL, **options)

    def _run(self, program, *arguments):
        command = [str(_there() / program), *arguments]
        process = self._as_its_user(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        told, _ = process.communicate()
        assert process.returncode == 0, told

    def start(self) -> None:
        """Start it, and wait until it answers."""
        settings = {
            "port": self.port,
            "listen_addresses": "127.0.0.1",
            "unix_socket_directories": self.folder,
            "fsync": "on" if self.safe else "off",
            "full_page_writes": "on" if self.safe else "off",
            "shared_buffers": "32MB",
            "max_connections": 120,
            "max_wal_size": "256MB",
            "autovacuum": "off",
            "logging_collector": "off",
        }
        command = [str(_there() / "postgres"), "-D", str(self.folder / "data")]
        for name, value in settings.items():
            command += ["-c", f"{name}={value}"]
        with (self.folder / "log").open("ab") as log:
            self._process = self._as_its_user(command, stdout=log, stderr=log)
        self.wait()

    def wait(self, seconds: float = 60.0) -> None:
        """Wait until it answers."""
        until = time.monotonic() + seconds
        while True:
            try:
                self.admin().close()
                return
            except Exception as error:
                assert self._process is not None and self._process.poll() is None, (self.folder / "log").read_text()
                assert time.monotonic() < until, f"the server does not answer: {error}"
                time.sleep(0.05)

    def admin(self, database: str = "postgres"):
        """A connection that may do everything."""
        import psycopg

        return psycopg.connect(host=str(self.folder), port=self.port, user="admin", dbname=database, autocommit=True)

    def kill(self) -> None:
        """End it as a loss of power would end its programs: at once, all of them."""
        assert self._process is not None
        children = _children(self._process.pid)
        for process in (self._process.pid, *children):
            with contextlib.suppress(ProcessLookupError):
                os.kill(process, signal.SIGKILL)
        self._process.wait()
        until = time.monotonic() + 10
        while any(Path(f"/proc/{process}").exists() for process in children) and time.monotonic() < until:
            time.sleep(0.01)
        (self.folder / "data" / "postmaster.pid").unlink(missing_ok=True)

    def end(self) -> None:
        """End it and remove its folder."""
        if self._process is not None and self._process.poll() is None:
            self._process.send_signal(signal.SIGINT)
            with contextlib.suppress(subprocess.TimeoutExpired):
                self._process.wait(20)
        shutil.rmtree(self.folder, ignore_errors=True)

    def database(self, name: str) -> None:
        """Make a database that the owner's role may make tables in, and both roles."""
        with self.admin() as connection:
            for role in (OWNER, COUNTER):
                if not connection.execute("SELECT 1 FROM pg_roles WHERE rolname = %s", (role,)).fetchone():
                    connection.execute(f"CREATE ROLE {role} LOGIN")
            connection.execute(f"CREATE DATABASE {name} OWNER {OWNER}")

    def address(self, schema: str, *, role: str = OWNER, database: str = "chain", port: int | None = None) -> str:
        """Where the casebook of a schema is reached: over the socket, or through a port of this machine."""
        if port is not None:
            return f"postgresql://{role}@127.0.0.1:{port}/{database}?schema={schema}"
        return f"postgresql://{role}@/{database}?host={self.folder}&port={self.port}&schema={schema}"


def _unprivileged():
    for name in UNPRIVILEGED:
        with contextlib.suppress(KeyError):
            return pwd.getpwnam(name)
    raise AssertionError("no user to run a server as")


def _children(parent: int) -> list[int]:
    listed = []
    for path in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError, ValueError):
            fields = path.read_text().rpartition(")")[2].split()
            if int(fields[1]) == parent:
                listed.append(int(path.parent.name))
    return listed


@functools.cache
def server() -> Server:
    """The server of this test process, with a database for casebooks in it."""
    begun = Server()
    atexit.register(begun.end)
    begun.database("chain")
    return begun


@contextlib.contextmanager
def emptied(schema: str) -> Iterator[None]:
    """Take a schema away afterwards."""
    try:
        yield
    finally:
        with server().admin("chain") as connection:
            connection.execute(f"DROP SCHEMA IF EXISTS {schema} CASCADE")
