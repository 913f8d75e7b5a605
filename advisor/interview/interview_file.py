"""Nothing lost: one case file, whole at every moment, and only one interview writing it.

An answer is on disk before the next question is asked: a draft is written beside the file, forced to the disk, and
takes the file's name in one step. Beside ``NAME.yaml`` stands ``NAME.yaml.interview`` with what is not an answer
(what can be undone, what is offered again); losing it loses no answer. ``NAME.yaml.lock`` is held while an
interview is open and lets go by itself when the program dies.
"""

import contextlib
import dataclasses
import glob
import json
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

from ..errors import InputError, Position, StoreError
from ..knowledge import canonical, disk
from ..knowledge.case_model import ChangedAnswer
from . import case_file
from .state import Said, State

if TYPE_CHECKING:
    from ..knowledge.model import Knowledge

try:
    import fcntl
except ImportError:  # not a system with advisory locks of this kind
    fcntl = None  # type: ignore[assignment]  # the module, or nothing

#: How many steps can be undone after a restart.
UNDO_KEPT = 20


def folder() -> Path:
    """Where interviews are kept where no file is named."""
    return disk.home("XDG_DATA_HOME", ".local", "share") / "least-clutch" / "interviews"


def saved(place: Path | None = None) -> list[Path]:
    """Paths of the saved interviews, the one last written first."""
    place = folder() if place is None else Path(place)
    paths = [path for path in place.glob("*.yaml") if path.is_file()] if place.is_dir() else []
    return sorted(paths, key=lambda path: (-path.stat().st_mtime_ns, path.name))


def new_path(place: Path | None = None) -> Path:
    """A path for a new interview: caller-1.yaml, caller-2.yaml ... in the folder of interviews."""
    place = folder() if place is None else Path(place)
    try:
        place.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise _refused(error, place, "make the folder of saved interviews") from None
    taken = {path.name.split(".")[0] for path in place.glob("caller-*")}
    number = 1
    while f"caller-{number}" in taken:
        number += 1
    return place / f"caller-{number}.yaml"


def _refused(error, path, doing):
    reason = error.strerror or str(error)
    return StoreError(
        f"cannot {doing}: {reason}.",
        where=Position(str(path)),
        remedy="Make room or allow writing there, or name another file with --case.",
    )


class InterviewFile:
    """One case file held by one interview. ``with InterviewFile(path) as store:`` holds the lock."""

    def __init__(self, path: Path | str) -> None:
        self.path = Path(path)
        self.side = self.path.with_name(self.path.name + ".interview")
        self._lock_path = self.path.with_name(self.path.name + ".lock")
        self._lock: int | None = None
        self._written: str | None = None  # hash of the case file as this interview last saw it
        self.undo: list[State] = []

    # --- one interview at a time

    def __enter__(self) -> Self:
        try:
            self._lock = self._take_lock()
        except OSError as error:
            raise _refused(error, self.path, "open the case for writing") from None
        for draft in self.path.parent.glob(f".{glob.escape(self.path.name)}.*.draft"):
            draft.unlink(missing_ok=True)
        return self

    def __exit__(self, *_: object) -> None:
        if self._lock is not None:
            with contextlib.suppress(OSError):
                os.unlink(self._lock_path)
            os.close(self._lock)
            self._lock = None

    def _take_lock(self):
        while True:
            lock = os.open(self._lock_path, os.O_RDWR | os.O_CREAT, 0o600)
            if fcntl is None:
                return lock
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                holder = os.read(lock, 20).decode("ascii", "replace").strip()
                os.close(lock)
                raise StoreError(
                    f"another interview has this case open{f' (process {holder})' if holder else ''}.",
                    where=Position(str(self.path)),
                    remedy="Finish or leave that one first, or start another case.",
                ) from None
            # Whoever held it before may have removed the file meanwhile: then this lock guards nothing.
            try:
                same = os.path.samestat(os.fstat(lock), os.stat(self._lock_path))
            except FileNotFoundError:
                same = False
            if same:
                os.ftruncate(lock, 0)
                os.write(lock, str(os.getpid()).encode())
                return lock
            os.close(lock)

    # --- reading

    def load(self, knowledge: "Knowledge") -> tuple[State, dict[str, Any]]:
        """(State, side data) of the case file; side data is {} where it does not belong to these answers."""
        state = case_file.read(self.path, knowledge)
        text = disk.read(self.path, disk.RECORDS)
        self._written = canonical.digest(text)
        side = self._side()
        steps = side.get("steps", [])
        while steps and steps[-1]["hash"] != self._written:
            steps.pop()
        if not steps:
            return state, {}
        self.undo = [_state_of(step, knowledge) for step in steps[:-1]]
        last = steps[-1]
        state = dataclasses.replace(
            state,
            former=_saids(last["former"], knowledge),
            later=tuple(last["later"]),
            onward=bool(last["onward"]),
            again=last["again"],
        )
        return state, side

    def _side(self):
        try:
            side = json.loads(disk.read(self.side, disk.RECORDS))
            return side if isinstance(side, dict) else {}
        except (OSError, ValueError, RecursionError, StoreError):  # an interview without it only loses its undo
            return {}

    # --- writing

    def save(self, state: State, **extra: str) -> None:
        """Put ``state`` on disk. StoreError where the disk refuses, or where somebody else changed the file."""
        text = case_file.write(state).encode("utf-8")
        try:
            on_disk = canonical.digest(disk.read(self.path, disk.RECORDS)) if self.path.exists() else None
        except OSError as error:
            raise _refused(error, self.path, "read the case file again") from None
        if on_disk != self._written:
            raise StoreError(
                "the case file was changed by somebody else since this interview last wrote it.",
                where=Position(str(self.path)),
                remedy="Nothing was overwritten. Leave, look at the file, and go on with --resume.",
            )
        steps = [_step(step) for step in (*self.undo[-UNDO_KEPT:], state)]
        side = json.dumps({"interview": 1, **extra, "steps": steps}, ensure_ascii=True, indent=0)
        # First what can be lost: when the program dies in between, the last step is simply not found again.
        self._replace(self.side, side.encode("ascii"))
        self._replace(self.path, text)
        self._written = canonical.digest(text)

    def _replace(self, path, content):
        try:
            disk.write(path, content, replace=True, private=True)
        except OSError as error:
            raise _refused(error, self.path, "save the answer") from None


def _step(state):
    return {
        "hash": canonical.digest(case_file.write(state).encode("utf-8")),
        "case": state.case,
        "car": state.car,
        "said": [[said.fact, said.raw, said.unknown, said.origin, *said.ends] for said in state.said.values()],
        "former": [[said.fact, said.raw, said.unknown, said.origin, *said.ends] for said in state.former.values()],
        "later": list(state.later),
        "onward": state.onward,
        "again": state.again,
        "insist": list(state.insist),
        "changed": [[change.fact, change.before, change.after] for change in state.changed],
        "about": {key: value for key, value in state.about.items() if key in ("title", "note")},
    }


def _saids(entries, knowledge):
    """Saids by fact; what a newer vocabulary does not read any more is left out."""
    from ..knowledge.given_answers import read_answer

    saids = {}
    for name, raw, unknown, origin, *ends in entries:
        fact = knowledge.facts.get(name)
        if fact is None:
            continue
        if unknown:
            saids[name] = Said(name, "unknown", None, origin)
            continue
        with contextlib.suppress(InputError):
            answer = read_answer(fact, {"value": raw, "low": ends[0], "high": ends[1]} if ends else raw)
            if answer is not None:
                saids[name] = Said.of(name, raw, answer, origin, ends)
    return saids


def _state_of(step, knowledge):
    from .state import State

    return State(
        step["case"],
        step["car"],
        _saids(step["said"], knowledge),
        _saids(step["former"], knowledge),
        tuple(step["later"]),
        step["onward"],
        step["again"],
        step["about"],
        changed=tuple(
            ChangedAnswer(name, *(tuple(end) if isinstance(end, list) else end for end in ends))
            for name, *ends in step.get("changed", ())
        ),
        insist=tuple(step.get("insist", ())),
    )
