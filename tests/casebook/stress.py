"""Killing writers, many writers at once, no room: run with small counts here and with large ones in the full run."""

import random
import time

from advisor.casebook import casebook_file, kept_files, statements
from advisor.casebook.book import Casebook
from advisor.casebook.check import check_file
from advisor.knowledge import canonical

from ..forked import Forked
from . import writer


def start(*arguments, first=lambda: None):
    """A writer process, forked: it begins at once; ``first``: what it does before all else."""

    def run():
        first()
        return writer.main(*map(str, arguments))

    return Forked(run)


def killed(process, after):
    """The lines a writer acknowledged before it was killed ``after`` seconds from being ready."""
    first = process.stdout.readline()
    assert first == "ready\n", process.stderr.read()
    time.sleep(after)
    process.kill()
    rest, complaints = process.communicate()
    assert complaints == "", complaints
    # What was cut in the middle of a line was not acknowledged.
    return rest.split("\n")[:-1]


def digests(path):
    """Digest -> entry of everything in a casebook."""
    with Casebook(path, write=False) as book:
        return {entry.digest: entry for entry in book.every_entry()}


def as_before(connection, case, kind, body, *, by="", private=None, record=None, knowledge=None):
    """Add an entry as the program did before what is people's stood apart part by part; its digest."""
    _, count, previous = connection.execute(statements.HEAD).fetchone()
    text, salt = canonical.text(private), "5a17" * 8
    sealed = None if private is None else canonical.digest(f"{salt}{text}")
    at = "2026-06-01T12:00:00Z"
    bare = [previous, count + 1, case, kind, at, by, body, record, knowledge, sealed]
    digest = canonical.sha256(bare)
    row = (count + 1, case, kind, at, by, canonical.text(body), record, knowledge, sealed, previous, digest)
    connection.execute(statements.ADD_ENTRY, row)
    if private is not None:
        connection.execute("INSERT INTO private VALUES (?, ?, ?)", (count + 1, salt, text))
    connection.execute(statements.MOVE_HEAD, (count + 1, digest))
    return digest


def old_version(path, cases=20, version=1, **more):
    """A casebook as an earlier version of the tables left it, with some entries; ``more``: who wrote, caller."""
    path.touch()
    casebook_file.make_file(path, upto=version)
    connection = casebook_file.connect(path)
    connection.execute("BEGIN")
    made, kept = [], kept_files.keep(connection, writer.knowledge(1))
    for number in range(1, cases + 1):
        connection.execute("INSERT INTO cases VALUES (?)", (number,))
        name = more.get("name", "old")
        body = {"case": {"id": f"{name}-{number}", "platform": None, "answers": {}, "unknown": []}}
        made.append(as_before(connection, number, "answers", body, by=more.get("by", ""), knowledge=kept))
        for kind, private in more.get("apart", ()):
            made.append(as_before(connection, number, kind, {}, private=private))
    connection.execute("COMMIT")
    connection.close()
    return made


class Crashes:
    """Kills writers in the middle of what they do and looks at what they leave. ``counts``: kills of each action."""

    def __init__(self, folder, record, seed):
        self.folder, self.record, self.random = folder, record, random.Random(seed)
        self.counts = {"save": 0, "sign": 0, "import": 0, "open": 0}
        self.acknowledged = 0
        self.book = folder / "killed.sqlite"

    def kill_one(self, action):
        """One kill at a random moment; AssertionError where anything acknowledged is lost or the file unsound."""
        if not self.book.exists():
            # One whole case to sign, whatever becomes of the others.
            start("save", self.book, self.record, 1, "first").communicate()
        getattr(self, f"_{action}")(self.random.uniform(0.0, 0.25))
        self.counts[action] += 1

    def _save(self, after):
        lines = killed(start("save", self.book, self.record, 10_000, f"save{self.counts['save']}"), after)
        self._kept(self.book, lines)
        cases = [line.split()[0] for line in lines]
        assert len(set(cases)) == len(cases)

    def _sign(self, after):
        self._kept(self.book, killed(start("sign", self.book, "", 10_000, f"sign{self.counts['sign']}"), after))

    def _import(self, after):
        source, target = self.folder / "source.sqlite", self.folder / f"import{self.counts['import']}.sqlite"
        if not source.exists():
            start("save", source, self.record, 40, "source").communicate()
        killed(start("import", target, source), after * 0.6)
        self._kept(target, [])
        done, complaints = start("import", target, source).communicate()
        assert complaints == ""
        new, known, added = map(int, done.split("\n")[1].split())
        # Every case is here whole and once, whatever the first attempt had got to.
        assert (new + known, added) == (40, 0)
        self._kept(target, [])
        with Casebook(target, write=False) as book:
            names = [case["answers"].body["case"]["id"] for case in book.overview()]
            assert sorted(names) == sorted(f"source-{number}" for number in range(40))
            assert all(case["decision"] for case in book.overview())
        self.acknowledged += 40
        target.unlink()

    def _open(self, after):
        path = self.folder / f"open{self.counts['open']}.sqlite"
        made = old_version(path)
        killed(start("open", path), after * 0.1)
        done, complaints = start("open", path).communicate()
        assert complaints == "" and done.endswith(f"version {statements.LATEST}\n")
        self._kept(path, [f"1 x {digest}" for digest in made])
        path.unlink()

    def _kept(self, path, lines):
        faults, _, _ = check_file(path)
        assert faults == []
        held = digests(path)
        for line in lines:
            assert line.split()[2] in held, line
        self.acknowledged += len(lines)


def crowd(folder, record, processes, cases):
    """(seconds, entries) of ``processes`` writers of ``cases`` cases each at once: none lost, doubled or refused."""
    path = folder / "crowd.sqlite"
    begun = time.monotonic()
    writers = [start("save", path, record, cases, f"writer{number}") for number in range(processes)]
    told = [writer.communicate() for writer in writers]
    seconds = time.monotonic() - begun
    assert [writer.returncode for writer in writers] == [0] * processes
    assert [complaints for _, complaints in told] == [""] * processes
    acknowledged = [line.split() for lines, _ in told for line in lines.split("\n")[1:-1]]
    assert len(acknowledged) == processes * cases
    with Casebook(path, write=False) as book:
        found = {str(case["number"]): case for case in book.overview()}
    assert len(found) == processes * cases
    for number, name, digest in acknowledged:
        assert found[number]["answers"].body["case"]["id"] == name
        assert found[number]["decision"].digest == digest
    faults, count, _ = check_file(path)
    assert faults == []
    assert count == processes * cases * 4  # answers, caller, note, decision
    return seconds, count
