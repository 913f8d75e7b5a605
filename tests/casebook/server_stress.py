"""Writers to a casebook on a server that are killed, whose server is killed, or whose network drops.

Every write has a text of its own. What a writer was told is kept goes into a file of its own at once. In the end each
of these must stand there, no text twice, and the whole chain be sound. Writers are forked, so that they begin at once.
"""

import contextlib
import dataclasses
import os
import random
import select
import signal
import socket
import threading
import time
from collections import Counter
from pathlib import Path

from advisor.casebook.book import Casebook
from advisor.casebook.check import check_file
from advisor.errors import AdvisorError

from . import shelf, writer

#: Bytes of a line that says what was acknowledged, about.
LINE = 76
#: Seconds in which writers that were told to end have to.
ENDS = 180.0


class Storm:
    """``writers`` processes that write to one casebook until told to end."""

    def __init__(self, folder: Path, owners: str, place: str, writers: int, seed: int) -> None:
        self.folder, self.owners, self.place = folder, owners, place
        self.random, self.begun = random.Random(seed), 0
        self.stop = folder / "stop"
        self.living: dict[int, str] = {}
        with Casebook(owners) as book:
            book.begin(shelf.cases()["nothing-fits"], writer.knowledge(0))
        for _ in range(writers):
            self.begin()

    def begin(self) -> None:
        """One more writer."""
        name = f"writer{self.begun}"
        self.begun += 1
        process = os.fork()
        if process == 0:
            code = 1
            try:
                code = self._write(name)
            finally:
                os._exit(code)
        self.living[process] = name

    def _write(self, name):
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        told = os.open(self.folder / f"{name}.told", os.O_WRONLY | os.O_CREAT | os.O_APPEND)
        case = shelf.cases()["nothing-fits"]
        number = 0
        while not self.stop.exists():
            try:
                with Casebook(self.place) as book:
                    while not self.stop.exists():
                        text = f"{name}-{number}"
                        number += 1  # whatever becomes of it: no text is tried twice
                        if number % 4:
                            entry = book.note(1, text)
                        else:
                            entry = book.begin(dataclasses.replace(case, id=text), writer.knowledge(number % 9))
                        os.write(told, f"{entry.digest} {text}\n".encode())
            except AdvisorError as error:
                with (self.folder / f"{name}.refused").open("a") as refused:
                    refused.write(f"{error}\n")
                time.sleep(0.2)
        return 0

    def kill_one(self) -> None:
        """Kill a writer, whatever it is doing, and begin another."""
        process = self.random.choice(list(self.living))
        os.kill(process, signal.SIGKILL)
        os.waitpid(process, 0)
        del self.living[process]
        self.begin()

    def wait(self, least: float, most: float) -> None:
        """Until some moment."""
        time.sleep(self.random.uniform(least, most))

    def work(self, most: int, seconds: float = 60.0) -> None:
        """Until some more writes were acknowledged, ``most`` of them at most, and some moment after."""
        wanted, until = self._bytes_told() + self.random.randint(1, most) * LINE, time.monotonic() + seconds
        while self._bytes_told() < wanted and time.monotonic() < until:
            time.sleep(0.01)
        self.wait(0.0, 0.05)

    def _bytes_told(self):
        return sum(path.stat().st_size for path in self.folder.glob("*.told"))

    def end(self) -> None:
        """Tell all to end, and wait for it."""
        self.stop.touch()
        until = time.monotonic() + ENDS
        while self.living and time.monotonic() < until:
            for process in list(self.living):
                ended, status = os.waitpid(process, os.WNOHANG)
                if ended:
                    assert status == 0, f"{self.living[process]} ended with {status}"
                    del self.living[process]
            time.sleep(0.05)
        for process in self.living:
            os.kill(process, signal.SIGKILL)
            os.waitpid(process, 0)
        assert not self.living, f"{len(self.living)} writers did not end"

    def told(self) -> dict[str, str]:
        """Text -> digest of all that was acknowledged."""
        whole = {}
        for path in self.folder.glob("*.told"):
            for line in path.read_text().split("\n")[:-1]:
                digest, text = line.split()
                assert text not in whole
                whole[text] = digest
        return whole

    def refused(self) -> list[str]:
        """What writers were told when they were refused."""
        return [line for path in self.folder.glob("*.refused") for line in path.read_text().splitlines()]

    def look(self) -> tuple[int, int]:
        """(acknowledged, entries): AssertionError where one is lost, or doubled, or the chain unsound."""
        told = self.told()
        with Casebook(self.owners, write=False) as book:
            held = {entry.digest: entry for entry in book.every_entry()}
        texts = Counter(
            entry.kept.get("text") or entry.body["case"]["id"]
            for entry in held.values()
            if entry.kind in ("note", "answers")
        )
        lost = [text for text, digest in told.items() if digest not in held]
        assert lost == [], f"{len(lost)} of {len(told)} lost: {lost[:5]}"
        assert [text for text, count in texts.items() if count > 1] == []
        faults, count, _ = check_file(self.owners)
        assert faults == [], faults[:3]
        assert count == len(held)
        return len(told), count


class Dropping:
    """A way to a port of this machine that drops: connections end at random moments, in the middle of a message too."""

    def __init__(self, port: int, seed: int) -> None:
        self.to, self.random = port, random.Random(seed)
        self.cuts = 0
        self._pairs: list[tuple[socket.socket, socket.socket]] = []
        self._guard = threading.Lock()
        self._listening = socket.create_server(("127.0.0.1", 0), backlog=200)
        self.port = self._listening.getsockname()[1]
        self._ended = threading.Event()
        threading.Thread(target=self._accept, daemon=True).start()

    def _accept(self):
        while not self._ended.is_set():
            try:
                near, _ = self._listening.accept()
                far = socket.create_connection(("127.0.0.1", self.to))
            except OSError:
                continue
            with self._guard:
                self._pairs.append((near, far))
            threading.Thread(target=self._carry, args=(near, far), daemon=True).start()

    def _carry(self, near, far):
        with contextlib.suppress(OSError, ValueError):
            while ready := select.select([near, far], [], [])[0]:
                messages = [(source.recv(65536), far if source is near else near) for source in ready]
                if not all(message for message, _ in messages):
                    break
                for message, end in messages:
                    end.sendall(message)
        self._drop(near, far)

    def _drop(self, near, far):
        with self._guard:
            if (near, far) in self._pairs:
                self._pairs.remove((near, far))
        for end in (near, far):
            # Writers were forked with copies of other writers' ends: closing alone would not end them.
            with contextlib.suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
            with contextlib.suppress(OSError):
                end.close()

    def cut(self) -> None:
        """End one connection, wherever it is; the two ends learn of it in their own time."""
        with self._guard:
            pair = self.random.choice(self._pairs) if self._pairs else None
        if pair is not None:
            for end in pair:
                with contextlib.suppress(OSError):
                    end.shutdown(socket.SHUT_RDWR)
            self.cuts += 1

    def end(self) -> None:
        """No more of it."""
        self._ended.set()
        self._listening.close()
        with self._guard:
            pairs = list(self._pairs)
        for near, far in pairs:
            self._drop(near, far)
