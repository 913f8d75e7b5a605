"""The versions of a shop's rules: numbered, known by the digest of their files, each with who adopted it, when and why.

They stand in a file that is sealed like a casebook, by the same keys and with leads' signatures, and hold every file of
every version. Adopting is one transaction of that file. What is put beside before (the version's folder, and the file
that will name it) counts only once that transaction stands; `settle` brings both to agree wherever a program was
stopped between.
"""

import contextlib
import json
import os
import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

from ..casebook import entries, kept_files, shape, signatures, signing, statements
from ..casebook.check import check
from ..casebook.entries import Entry
from ..casebook.kept_files import Files
from ..casebook.places import opened
from ..casebook.store import Connection, Store
from ..errors import InputError, Position, StoreError
from ..knowledge import disk, rules_in_force
from . import to_sign

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

FILE = "history.sqlite"
#: The one case of the file, and the place under which a version's files stand in it.
CASE, PLACE = 1, "house"


@dataclass(frozen=True, slots=True)
class Version:
    """One version of a shop's own rules.

    ``by``, ``at`` (UTC) and ``why``: empty for version 0, the rules as they stood before any was adopted, and where
    they were erased. ``before``: the version it was made from; ``back_to``: the one it goes back to, or None.
    ``shipped``: name and version of the shipped rules it was tried over. ``accepted``: what failed and was signed for.
    ``changes``: what differs from the version before, in words. ``signed``: with the lead's key.
    """

    number: int
    sha256: str
    at: str
    by: str
    why: str
    before: int | None
    back_to: int | None
    shipped: str
    accepted: tuple[str, ...]
    changes: tuple[str, ...]
    signed: bool
    entry: Entry

    @property
    def adopted(self) -> str:
        """ "adopted 2026-11-28 14:05 by The Lead: why" """
        if not self.by and self.number == 0:
            return "as the rules stood before any version was adopted"
        how = f"back to version {self.back_to}, " if self.back_to is not None else ""
        key = ", signed with a key" if self.signed else ""
        when = self.at[:16].replace("T", " ")
        return f"{how}adopted {when} UTC by {self.by or 'somebody erased since'}{key}: {self.why or 'reason erased'}"


class History:
    """The versions of the rules in one shop's folder: ``with History(folder) as history``."""

    def __init__(self, folder: Path, *, write: bool = False) -> None:
        self.rules = folder / "rules"
        self.path = self.rules / FILE
        self.store: Store | None = None
        if write or self.path.is_file():
            self.rules.mkdir(parents=True, exist_ok=True)
            self.store = opened(self.path, write=write)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self.store is not None:
            self.store.close()

    # --- reading

    def versions(self) -> list[Version]:
        """Every version, the first one first; empty where none was adopted. StoreError where one was changed since."""
        if self.store is None:
            return []
        listed = [entries.of_row(row) for row in self.store.rows(statements.ENTRIES_OF_CASE, (CASE,))]
        for entry in listed:
            wrong = shape.fault(entry) or ("" if entry.sound() else "was changed after it was written")
            if wrong:
                raise self._fault(f"entry {entry.number} of the versions {wrong}.")
        for entry, wrong in shape.history_faults(listed):
            raise self._fault(f"entry {entry.number} of the versions {wrong}.")
        by_number = {entry.number: entry for entry in listed}
        for entry in listed:
            wrong = signatures.fault(entry, by_number)
            if wrong:
                raise self._fault(f"entry {entry.number} of the versions {wrong}.")
        signed = {entry.body["of"] for entry in listed if entry.kind == "sign_off" and "signature" in entry.body}
        return [self._version(entry, entry.number in signed) for entry in listed if entry.kind == "adoption"]

    def _version(self, entry, signed):
        body = entry.body
        changes = json.loads(entries.fetch(self.store, entry.record))
        return Version(
            body["version"],
            body["rules"],
            entry.at,
            entry.by,
            entry.kept.get("text", ""),
            body["before"],
            body["back_to"],
            body["shipped"],
            tuple(body["accepted"]),
            tuple(changes),
            signed,
            entry,
        )

    def _fault(self, what):
        return StoreError(
            what,
            where=Position(str(self.path)),
            remedy=f"Look it over: advisor rules history --check. Put back the last backup of {FILE}.",
        )

    def version(self, number: int) -> Version:
        """One version; InputError where there is none of that number."""
        versions = self.versions()
        for version in versions:
            if version.number == number:
                return version
        numbers = ", ".join(str(version.number) for version in versions) or "none yet"
        raise InputError(
            f"there is no version {number} of the house rules.", value=number, remedy=f"There are: {numbers}."
        )

    def bodies(self, version: Version) -> dict[str, bytes]:
        """The files of a version, by path, as they were adopted."""
        files = kept_files.fetch(self.store, version.entry.knowledge)
        return {path: body for (_, path), body in files.bodies.items()}

    def faults(self) -> list[str]:
        """What is wrong with the file, and with what stands in force, in words."""
        if self.store is None:
            return []
        wrong = list(check(self.store).faults)
        if not wrong:
            wrong += self._not_in_force()
        return wrong

    def _not_in_force(self):
        versions = self.versions()
        try:
            standing = rules_in_force.in_force(self.rules)
        except StoreError as fault:
            return [str(fault)]
        if versions and (standing is None or standing.number != versions[-1].number):
            there = f"version {standing.number}" if standing else "none"
            return [f"version {versions[-1].number} was adopted last, and {there} is in force"]
        if standing is not None and standing.sha256 != versions[-1].sha256:
            return [f"what is in force as version {standing.number} is not what was adopted"]
        return []

    # --- adopting

    def adopt(
        self,
        bodies: Mapping[str, bytes],
        *,
        expected: tuple[int, str],
        by: str,
        why: str,
        shipped: str,
        changes: Sequence[str],
        accepted: Sequence[str] = (),
        back_to: int | None = None,
        key: "Ed25519PrivateKey | None" = None,
        signed: signing.Signed | None = None,
    ) -> Version:
        """Adopt files as the next version; InputError where what is in force is not ``expected``.

        ``expected``: number and digest of the version that the files were made from; ``changes`` in words. ``key``: the
        lead's, opened here; or ``signed``: what he signed elsewhere.

        Nothing is in force of it until all of it is; a program stopped on the way leaves the version before.
        """
        assert self.store is not None, "the history was opened to be written"
        by, why = entries.line(by, "name of the lead"), entries.paragraph(why, "reason", 2_000)
        with contextlib.ExitStack() as undone:
            with self.store.transaction() as connection:
                loose = self._begin(connection, shipped)
                versions = self.versions()
                last = versions[-1]
                if (last.number, last.sha256) != expected:
                    raise moved_on(last)
                number, sha256 = last.number + 1, rules_in_force.digest(bodies)
                body = {
                    "version": number,
                    "rules": sha256,
                    "before": last.number,
                    "back_to": back_to,
                    "shipped": shipped,
                    "accepted": list(accepted),
                }
                if signed is not None:
                    to_sign.held_against(to_sign.VersionAsked(body, last.sha256, tuple(changes)), signed)
                    by, why = signed.by, signed.text
                entry = self.append(connection, body, bodies, changes, by=by, why=why)
                if key is not None:
                    record = json.dumps(list(changes), ensure_ascii=False)
                    casebook = connection.execute(statements.HEAD).fetchone()[0]
                    asked = signing.SignatureAsked(casebook, CASE, entry.digest, record)
                    signed = signing.sign(asked, key, by=by, verdict="sign_off", text=why)
                if signed is not None:
                    _keep_signature(connection, entry, signed)
                undone.callback(self.clear, versions[:-1] if loose is not None else versions)
                pointer = rules_in_force.pointer_text(number, sha256)
                self.write(self.rules / rules_in_force.NEXT, pointer)
                if loose is not None:
                    self.lay(0, loose)
                self.lay(number, bodies)
            undone.pop_all()
        with contextlib.suppress(FileNotFoundError):  # another program has done it already
            os.replace(self.rules / rules_in_force.NEXT, self.rules / rules_in_force.POINTER)
        disk.settle(self.rules)
        self.tidy(loose or {})
        return self.version(number)

    def _begin(self, connection, shipped):
        """Keep the rules as they stand as version 0, where none was kept; their files, or None."""
        if connection.execute(statements.CASE, (CASE,)).fetchone() is not None:
            return None
        connection.execute(statements.ADD_CASE)
        loose = rules_in_force.bodies(self.rules)
        body = {
            "version": 0,
            "rules": rules_in_force.digest(loose),
            "before": None,
            "back_to": None,
            "shipped": shipped,
            "accepted": [],
        }
        self.append(connection, body, loose, ())
        return loose

    def append(
        self,
        connection: Connection,
        body: Mapping[str, Any],
        bodies: Mapping[str, bytes],
        changes: Sequence[str],
        *,
        by: str = "",
        why: str = "",
    ) -> Entry:
        """Add a version to the history inside a transaction; its Entry."""
        kept = kept_files.keep(connection, Files({(PLACE, path): held for path, held in bodies.items()}))
        record = entries.keep(connection, json.dumps(list(changes), ensure_ascii=False).encode())
        private = {"text": why} if why else None
        return entries.append(connection, CASE, "adoption", body, by=by, record=record, knowledge=kept, private=private)

    def lay(self, number: int, bodies: Mapping[str, bytes]) -> None:
        """A version's files in a folder of its own, named once all of them are on the disk."""
        place = rules_in_force.folder_of(self.rules, number)
        with rules_in_force.telling(place, "version"):
            # In the place of what an adoption that was stopped left, or somebody changed by hand.
            numbered = {**bodies, rules_in_force.NUMBER: f"version: {number}\n".encode()}
            rules_in_force.lay_whole(place, numbered)

    def write(self, path: Path, text: str) -> None:
        """Write one of the small files beside the versions, in one step."""
        with rules_in_force.telling(path, "version"):
            disk.write(path, text, replace=True)

    def clear(self, versions: Sequence[Version]) -> None:
        """Take away what an adoption that came to nothing laid beside."""
        numbers = {version.number for version in versions}
        for path in self.rules.iterdir():
            number = rules_in_force.number_of(path.name)
            if path.name.startswith(".version-") or (number is not None and number not in numbers):
                shutil.rmtree(path, ignore_errors=True)
        (self.rules / rules_in_force.NEXT).unlink(missing_ok=True)

    def tidy(self, loose: Mapping[str, bytes]) -> None:
        """Take away the loose files that now are version 0, so that nobody edits what is no longer read."""
        for name, body in loose.items():
            path = self.rules / name
            with contextlib.suppress(OSError, StoreError):
                if disk.read(path, disk.RECORDS) == body:
                    path.unlink()
                    path.parent.rmdir()  # only where it is empty now

    def mend(self) -> Version | None:
        """Put in force, as they were adopted, the files of the last version; it, or None where there is none."""
        assert self.store is not None, "the history was opened to be written"
        with self.store.transaction():
            versions = self.versions()
            last = versions[-1] if versions else None
            if last is not None and (last.number or rules_in_force.pointed(self.rules, rules_in_force.POINTER)):
                bodies = self.bodies(last)
                place = rules_in_force.folder_of(self.rules, last.number)
                if rules_in_force.digest(rules_in_force.bodies(place)) != last.sha256:
                    self.lay(last.number, bodies)
                pointer = rules_in_force.pointer_text(last.number, last.sha256)
                self.write(self.rules / rules_in_force.POINTER, pointer)
            self.clear(versions)
        return last


def _keep_signature(connection, entry, signed):
    held = {"public_key": signed.public_key, "value": signed.signature, "said": signed.said}
    body: dict[str, Any] = {"of": entry.number, "decision": signed.decision, "text": signed.text, "signature": held}
    entries.append(connection, CASE, "sign_off", body, by=signed.by, private={"salt": signed.salt})


def moved_on(last: Version, draft: str = "NAME") -> InputError:
    """The error where another version was adopted meanwhile, or the loose files of before were edited.

    ``draft``: its name, where it is known.
    """
    how = "put in force, " if last.back_to is not None else ""
    since = f"version {last.number} was {how}{last.adopted.rstrip('.')}; that was after the draft was made."
    return InputError(
        since if last.number else "the rules of the house were edited after the draft was made.",
        remedy=f"Bring that into the draft, then look at it again: advisor rules draft {draft} --renew",
    )


def settle(folder: Path) -> None:
    """Finish or undo what a program that was stopped in the middle of an adoption left; at once where nothing was."""
    rules = folder / "rules"
    if not (rules / rules_in_force.NEXT).exists() or not (rules / FILE).is_file():
        return
    with History(folder, write=True) as history:
        assert history.store is not None
        with history.store.transaction():
            # Whoever is adopting right now has ended when the transaction begins.
            pending = rules_in_force.pointed(rules, rules_in_force.NEXT)
            if pending is None:
                return
            versions = history.versions()
            if versions and pending == (versions[-1].number, versions[-1].sha256):
                os.replace(rules / rules_in_force.NEXT, rules / rules_in_force.POINTER)
            history.clear(versions)
