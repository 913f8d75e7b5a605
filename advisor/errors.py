"""Every error a user can meet.

AdvisorError                 what, where (file, line, column), value, remedy; exit code
 +- InputError               a case, an answer, a record or an option is wrong           exit 2
 |   +- QuantityError        a number, unit, choice or flag that cannot be read          exit 2
 +- KnowledgeError           rules, vocabulary, calculations, facings or order are wrong exit 5
 |   +- ConflictError        two rules, or two firings, disagree about one fact          exit 5
 +- DisagreementError        two engines derived different things from the same case     exit 5
 +- EngineError              an engine stopped or refused its input                      exit 5
 +- StoreError               a file or casebook cannot be read or written                exit 2
ErrorList                    several of the above found in one pass, shown together
"""

from collections.abc import Iterable

from .frozen import frozen


@frozen
class Position:
    """A place in a file; line and column count from 1."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


class AdvisorError(Exception):
    """One fault: ``what`` is wrong, ``where``, the ``value`` at fault and the ``remedy``."""

    exit_code = 2

    def __init__(self, what: str, *, where: Position | None = None, value: object = None, remedy: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.where = where
        self.value = value
        self.remedy = remedy

    def __str__(self) -> str:
        text = f"{self.where}: {self.what}" if self.where else self.what
        return f"{text} {self.remedy}" if self.remedy else text


class InputError(AdvisorError):
    """A case, an answer, a record or an option is wrong."""


class QuantityError(InputError):
    """A number, unit, choice or flag that cannot be read."""


class KnowledgeError(AdvisorError):
    """Rules, vocabulary, calculations, facings or order are wrong."""

    exit_code = 5


class ConflictError(KnowledgeError):
    """Two rules, or two firings, disagree about one fact."""


class DisagreementError(AdvisorError):
    """Two engines derived different things from the same case."""

    exit_code = 5


class EngineError(AdvisorError):
    """An engine stopped or refused its input."""

    exit_code = 5


class StoreError(AdvisorError):
    """A file or casebook cannot be read or written."""


class OutgrownError(StoreError):
    """What is kept is whole, but this version of the program no longer reads it."""


class ErrorList(AdvisorError):
    """Several faults found in one pass, in file order."""

    def __init__(self, errors: Iterable[AdvisorError]) -> None:
        self.errors = tuple(errors)
        super().__init__("\n".join(str(error) for error in self.errors))
        self.exit_code = max(error.exit_code for error in self.errors)
