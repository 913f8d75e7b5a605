"""Entries of a decision record on where it comes from: whose records, which rules, which program."""

from ..frozen import frozen


@frozen(eq=False)
class RecordedShop:
    """Whose records it was made from, and the rule set with its version."""

    name: str
    invented: bool = False
    rules_version: str = ""


@frozen(eq=False)
class MadeBy:
    """Who made the record and when; not among what a replay must give again."""

    program: str = ""
    engines_agreed: bool | None = None
    date: str = ""
