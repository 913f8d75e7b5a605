"""Whether a draft may be adopted: what its check found, and which of it a lead may sign for."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ..errors import InputError
from ..knowledge import canonical
from ..knowledge.sentences import joined
from .compared import EntryChanged

#: Letters of the short name of a failure.
SHORT = 6


@dataclass(frozen=True, slots=True)
class Failure:
    """Something the check of a draft found: ``what``, as an error tells it; ``name`` short, to sign for it by.

    ``departs``: nothing fails; a rule of the house says otherwise than the shipped one whose place it takes.
    """

    name: str
    what: str
    departs: bool = False


def failures(texts: Iterable[str], *, departs: bool = False) -> list[Failure]:
    """Failures as the check tells them, each with a name that stays while its text does."""
    return [Failure(canonical.digest(what)[:SHORT], what, departs) for what in dict.fromkeys(texts)]


def bearing_on_safety(changes: Sequence[EntryChanged]) -> list[str]:
    """The changed entries that bear on a safety measure, by kind and id."""
    return [change.name for change in changes if change.safety]


def signed_for(failing: Sequence[Failure], accepted: Sequence[str], changes: Sequence[EntryChanged]) -> tuple[str, ...]:
    """What of the failures is signed for, in words. InputError while any is not, or while none may be.

    A failure may be signed for where no changed entry bears on a safety measure: then none of it can concern one. That
    a rule departs from the shipped one is the lead's to decide: it is signed for whatever it bears on.
    """
    names = {failure.name: failure for failure in failing}
    for name in accepted:
        if name not in names:
            remedy = f"There are: {', '.join(names)}." if names else "Leave --accept out: nothing fails."
            raise InputError(f"no check that fails is called {name[:60]!r}.", value=name, remedy=remedy)
    left = [failure for failure in failing if failure.name not in accepted]
    bears = bearing_on_safety(changes)
    broken = [failure for failure in failing if not failure.departs]
    if broken and bears:
        raise InputError(
            f"a check fails ({broken[0].what.rstrip('.')}), and the draft changes what bears on safety "
            f"({joined(bears, most=3)}): nothing is signed for there.",
            remedy="Mend what fails; or leave those entries out of this draft and change them by another.",
        )
    # All of them, those already signed for too: it is the whole of what to add to the command.
    options = " ".join(f"--accept {failure.name}" for failure in failing)
    if left and all(failure.departs for failure in left):
        more = f" And {len(left) - 1} more." if len(left) > 1 else ""
        safety = " It bears on safety." if bears else ""
        raise InputError(
            f"this departs from a shipped rule: {left[0].what}{more}{safety}",
            remedy=f"See all: advisor rules try. Mend it; or, where it is meant so, sign for it with {options}",
        )
    if left:
        more = f", and {len(left) - 1} more" if len(left) > 1 else ""
        first = next(failure for failure in left if not failure.departs)
        raise InputError(
            f"a check fails: {first.what.rstrip('.')}{more}.",
            remedy=f"See all: advisor rules try. Mend it; or, as nothing changed bears on safety, sign for it with "
            f"{options}",
        )
    return tuple(names[name].what for name in dict.fromkeys(accepted))
