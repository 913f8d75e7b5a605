"""What a casebook needs of whatever holds it: one interface, which `places` finds the right store behind.

Nothing outside the modules of a store knows its library, its words for faults or its way of waiting: whatever goes
wrong comes as a StoreError that says what, where and how to mend.
"""

import contextlib
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any, NoReturn, Protocol, Self, TypeVar

from ..errors import Position, StoreError
from ..knowledge import disk
from . import seals, statements, words

#: Seconds to wait for other programs that write to the same casebook before giving up.
PATIENCE = 120.0
#: Where a casebook lies: the path of its file.
Place = Path | str

Outcome = TypeVar("Outcome")


class Rows(Protocol):
    """The rows that a statement gives, one after the other or all at once."""

    def fetchone(self) -> Any:
        """The next row, or None."""

    def fetchall(self) -> list[Any]:
        """All rows that are left."""

    def __iter__(self) -> Iterator[Any]: ...


class Connection(Protocol):
    """What stands inside a transaction: it runs what `statements` holds, values standing for the question marks."""

    def execute(self, sql: str, values: Sequence[Any] = (), /) -> Rows:
        """Run one statement."""


class Store(ABC):
    """An open casebook. ``write=False`` reads only."""

    #: What the casebook is called where cases are taken over from it.
    name = ""
    #: How people name it; this opens it again, and holds nothing that must not be shown.
    place: Place
    #: Whether it may be written to.
    write: bool
    #: Seconds to wait for other programs.
    patience: float
    #: How its own check of itself is named in faults.
    medium: str

    def __init__(self) -> None:
        #: What this machine holds seals against, once read: its key, and its note of what it last wrote.
        self.vouching: tuple[seals.Key | None, seals.Written | None] | None = None
        self._sealed: tuple[int, seals.Key] | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Write down what this machine wrote last and let go; the object cannot be used again."""
        if self._sealed is not None:
            with contextlib.suppress(StoreError):
                seals.note_writing(self, *self._sealed)
            self._sealed = None
        self._let_go()

    def fault(self, what: str, remedy: str = "") -> StoreError:
        """A StoreError about this casebook."""
        return StoreError(what, where=Position(str(self.place)), remedy=remedy)

    # --- what each store does in its own way

    @property
    @abstractmethod
    def identity(self) -> str:
        """One name for one casebook's place, however it was named; what this machine notes of it goes by that."""

    @property
    @abstractmethod
    def files(self) -> list[Path]:
        """Files of this machine that are the casebook, and that no output may replace."""

    @property
    @abstractmethod
    def traces(self) -> str:
        """Where erased text may still stand when `wipe` could not clear all of it, for whoever erased it."""

    @abstractmethod
    def version(self) -> int:
        """Number of the last migration the casebook has been through."""

    @abstractmethod
    def transaction(self) -> contextlib.AbstractContextManager[Connection]:
        """A `Connection` inside one transaction: all of it happens or nothing. Entries added in it are sealed."""

    def transact(self, action: Callable[[Connection], Outcome]) -> Outcome:
        """What ``action`` gives, done within one transaction; where that is lost on the way, done again from its start.

        ``action`` must therefore change nothing but the casebook.
        """
        with self.transaction() as connection:
            return action(connection)

    @abstractmethod
    def reading(self) -> contextlib.AbstractContextManager[Connection]:
        """A `Connection` with everything read inside as of one moment."""

    @abstractmethod
    def rows(self, sql: str, values: Sequence[Any] = ()) -> Iterator[Any]:
        """The rows of one query, one after the other."""

    @abstractmethod
    def row(self, sql: str, values: Sequence[Any] = ()) -> Any:
        """The first row of one query, or None."""

    @abstractmethod
    def copy_to(self, target: Place) -> None:
        """A complete copy as of one moment, made while others go on writing."""

    @abstractmethod
    def wipe(self) -> bool:
        """Clear what erased text left behind in the casebook's own storage; whether all of it is gone."""

    @abstractmethod
    def damage(self) -> list[str]:
        """What the store's own check of itself finds, in words; to be asked inside `reading`."""

    @abstractmethod
    def misshapen(self) -> list[str]:
        """Tables, indices and triggers that are not as this program makes them, by name; asked inside `reading`."""

    @abstractmethod
    def dangling(self) -> list[str]:
        """Rows that refer to nothing, in words; asked inside `reading`."""

    @abstractmethod
    def bytes_held(self) -> int:
        """How large the casebook is where it lies; asked inside `reading`."""

    @abstractmethod
    def remarks(self) -> list[str]:
        """What somebody should know of how this casebook is kept, in whole sentences: who else may read it."""

    @abstractmethod
    def _let_go(self) -> None:
        """Close whatever is open."""

    # --- the same for every store

    def _seal(self, connection: Connection, before: int) -> None:
        """Seal the entries after number ``before``, which this transaction added, and keep their words."""
        added = connection.execute(statements.UNSEALED_AFTER, (before,)).fetchall()
        if not added:
            return
        key = self._sealed[1] if self._sealed else seals.key_to_write_with()
        (casebook, _, _) = connection.execute(statements.HEAD).fetchone()
        for number, digest in added:
            connection.execute(statements.ADD_SEAL, (number, key.id, key.seal(casebook, digest)))
        words.add(connection, before)
        self._sealed, self.vouching = self._sealed or (added[0][0], key), None

    def _refuse_to_write(self) -> NoReturn:
        raise self.fault("the casebook was opened to be read only.")


class Remains(ABC):
    """A casebook in whatever state it is, read row by row: what cannot be read counts as not there."""

    #: Number of the last migration, 0 where it cannot be told.
    version: int

    @abstractmethod
    def row(self, sql: str, values: Sequence[Any] = ()) -> Any:
        """The first row of one query; None where there is none or it cannot be read."""

    @abstractmethod
    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[Any]:
        """The rows of one query; none where they cannot be read."""

    @abstractmethod
    def most_entries(self) -> int:
        """More entries than this cannot stand in it, whatever it says."""

    @abstractmethod
    def close(self) -> None:
        """Let go."""


def default_path() -> Path:
    """The casebook in the user's data folder."""
    return disk.home("XDG_DATA_HOME", ".local", "share") / "least-clutch" / "casebook.sqlite"
