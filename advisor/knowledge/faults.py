"""Collecting every fault of one pass, so that an author sees them all at once."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import NoReturn, Protocol

from ..errors import AdvisorError, ErrorList, KnowledgeError, Position


class Placed(Protocol):
    """Something of a file: a node, a rule, a fact."""

    @property
    def position(self) -> Position | None:
        """Where it stands."""
        ...


#: Where a fault is: a Node or the like, or a Position.
Where = Placed | Position | None


class Faults:
    """Faults found so far; ``kind`` is the class of error each becomes."""

    def __init__(self, kind: type[AdvisorError] = KnowledgeError) -> None:
        self.kind = kind
        self.errors: list[AdvisorError] = []

    def __bool__(self) -> bool:
        return bool(self.errors)

    def add(self, what: str, where: Where, remedy: str = "", value: object = None) -> None:
        """Note a fault at a Node or Position."""
        self.errors.append(self.kind(what, where=_position(where), remedy=remedy, value=value))

    @contextmanager
    def at(self, where: Where) -> Iterator[None]:
        """Note what goes wrong inside at ``where``, unless the error knows its own place, and go on after it."""
        try:
            yield
        except ErrorList as several:
            self.errors.extend(several.errors)
        except AdvisorError as error:
            if error.where is not None:
                self.errors.append(error)
            else:
                self.add(error.what, where, error.remedy, error.value)

    @contextmanager
    def placed(self, where: Where) -> Iterator[None]:
        """Give an error raised inside its place, unless it has one, and let it go on."""
        try:
            yield
        except AdvisorError as error:
            if error.where is not None:
                raise
            self.refuse(error.what, where, error.remedy, error.value)

    def refuse(self, what: str, where: Where, remedy: str = "", value: object = None) -> NoReturn:
        """Raise a fault at a Node or Position, to be caught by the nearest `at`."""
        raise self.kind(what, where=_position(where), remedy=remedy, value=value)

    def finish(self) -> None:
        """Raise everything found, in file order; nothing where nothing was found."""
        if self.errors:
            raise ErrorList(sorted(self.errors, key=_place))


def _position(where: Where) -> Position | None:
    return where if where is None or isinstance(where, Position) else where.position


def _place(error: AdvisorError) -> tuple[str, int, int, str]:
    where = error.where or Position("")
    return where.file, where.line, where.column, error.what
