"""What holds the results of impact runs: a file of this machine, or the server on which the casebook itself stands."""

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, Protocol, TypeVar

from .store import Rows

Outcome = TypeVar("Outcome")

#: Runs whose results are kept in one place: a server, or the cache of a machine.
KEPT_RUNS = 4
#: Seconds after which a task is another's to do, unless whoever has it says before that it still works on it.
LEASE = 600.0


class RunConnection(Protocol):
    """What stands inside a transaction."""

    def execute(self, sql: str, values: Sequence[Any] = (), /) -> Rows:
        """Run one statement, values standing for the question marks."""

    def insert(self, table: str, columns: Sequence[str], rows: Iterable[Sequence[Any]], /) -> None:
        """Add many rows."""


class RunStore(ABC):
    """Results of runs, open. ``worker``: what whoever works here is called among others that work on the same run."""

    #: Where the results lie, for people.
    where: str
    worker: str

    @abstractmethod
    def transact(self, action: Callable[[RunConnection], Outcome]) -> Outcome:
        """What ``action`` gives, done within one transaction that nobody else's overlaps.

        Where that is lost on the way it is done again from its start, so ``action`` must change nothing else.
        """

    @abstractmethod
    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[Any]:
        """All rows of one query, which are few."""

    @abstractmethod
    def stream(self, sql: str, values: Sequence[Any] = ()) -> Iterator[Any]:
        """The rows of one query, one after the other; held in memory a piece at a time."""

    @abstractmethod
    def now(self) -> float:
        """Seconds since 1970 by the one clock that all who work on these runs share."""

    @abstractmethod
    def gone(self, worker: str) -> bool:
        """Whether it is known of somebody that he works no more; asked inside `transact`."""

    @abstractmethod
    def close(self) -> None:
        """Let go."""
