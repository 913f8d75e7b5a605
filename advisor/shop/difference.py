"""What a list says against what is on file: new, changed, gone, and kept because the shop itself wrote it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from ..errors import AdvisorError, InputError, Position
from ..knowledge import canonical, quantities
from ..knowledge.model import KitField
from .listed import ListedRow


@dataclass(frozen=True, slots=True)
class Change:
    """A field of a record that the list says otherwise than the file; ``before`` None where the file says nothing."""

    id: str
    path: str
    before: Any
    after: Any


@dataclass
class Difference:
    """``new``: id -> fields; ``changed``; ``gone``: ids; ``kept``: changes not made, since the shop wrote the value.

    ``same``: how many rows change nothing; ``clashes``: ids that stand in a file of somebody else.
    """

    new: dict[str, Mapping[str, Any]] = field(default_factory=dict)
    changed: list[Change] = field(default_factory=list)
    gone: list[str] = field(default_factory=list)
    kept: list[Change] = field(default_factory=list)
    same: int = 0
    clashes: list[AdvisorError] = field(default_factory=list)

    def __bool__(self) -> bool:
        return bool(self.new or self.changed or self.gone)

    def mark(self, *more: str) -> str:
        """Eight letters that stand for this difference and nothing else: what is written is what was seen."""
        plain = {
            "new": {name: {path: str(value) for path, value in fields.items()} for name, fields in self.new.items()},
            "changed": [[record.id, record.path, str(record.before), str(record.after)] for record in self.changed],
            "gone": self.gone,
            "more": list(more),
        }
        return canonical.sha256(plain)[:8]


def difference(
    rows: Iterable[ListedRow],
    on_file: Mapping[str, Mapping[str, Any]],
    last: Mapping[str, Mapping[str, str]],
    elsewhere: Mapping[str, str],
    known: Mapping[str, KitField],
    file: str,
    *,
    whole: bool = True,
) -> Difference:
    """The `Difference` of a list's rows against the supplier's own records.

    ``on_file``: id -> path -> value in the supplier's files; ``last``: id -> path -> text as last imported;
    ``elsewhere``: id -> file of every other record of this kind. ``whole``: what the list leaves out is gone.
    """
    differing, seen = Difference(), set()
    for row in rows:
        seen.add(row.id)
        if row.id in elsewhere:
            differing.clashes.append(
                InputError(
                    f"{row.id} is on file in {elsewhere[row.id]}, which is not this supplier's.",
                    where=Position(file, row.number, 1),
                    remedy="Give it another number here, or import it under that supplier.",
                )
            )
            continue
        if row.id not in on_file:
            differing.new[row.id] = row.fields
            continue
        before, then = on_file[row.id], last.get(row.id, {})
        changes = 0
        for path, value in row.fields.items():
            held = before.get(path)
            if held is not None and same(held, value, known[path]):
                continue
            change = Change(row.id, path, held, value)
            # What stands on file and is not what the last list said, somebody wrote: it was measured, or mended.
            if held is not None and str(held) != then.get(path):
                differing.kept.append(change)
            else:
                differing.changed.append(change)
                changes += 1
        differing.same += not changes
    if whole:
        differing.gone = sorted(
            name for name, fields in on_file.items() if name not in seen and str(fields.get("discontinued")) != "yes"
        )
    return differing


def same(value: Any, other: Any, field_: KitField) -> bool:
    """Whether two values of a field say the same, whatever units they are written in."""
    if str(value) == str(other):
        return True
    if isinstance(value, list) or isinstance(other, list):
        return (
            [str(part) for part in value] == [str(part) for part in other] if isinstance(value, type(other)) else False
        )
    if field_.kind != "number":
        return str(value).casefold() == str(other).casefold()
    try:
        return quantities.read(value, field_) == quantities.read(other, field_)
    except AdvisorError:
        return False
