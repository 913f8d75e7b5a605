"""The rules of a stage as durable-rules is told them, worked out before any case: data only, which can be kept."""

import itertools
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from ..frozen import frozen
from ..knowledge.model import FactRef
from .patterns import RULES_PER_SESSION, Key, Layout, PatternColumn
from .rulebase import RuleBase
from .translate import codes, conjunctions, parts


class Action(NamedTuple):
    """What an engine rule stands for: one ``branch`` of the rule or calculation at ``place``.

    ``key``: where it is only a part of a wide rule, what is asserted when it fires.
    """

    place: int
    branch: int | None
    key: Key | None


class Columns(NamedTuple):
    """The columns under which one key is asserted in one ``session``."""

    session: int
    columns: Sequence[PatternColumn]


@frozen
class DurableProgram:
    """``sessions``: the rules of each, as JSON members; ``actions``: what rule n stands for, at place n - 1;
    ``columns``: key -> `Columns`.
    """

    sessions: Sequence[Sequence[str]]
    actions: Sequence[Action]
    columns: Mapping[Key, Sequence[Columns]]

    def as_data(self) -> list[Any]:
        """What `of_data` takes: lists, texts and numbers."""
        return [
            [list(rules) for rules in self.sessions],
            [[place, branch, key and list(key)] for place, branch, key in self.actions],
            [
                [list(key), [[session, [column.as_data() for column in columns]] for session, columns in held]]
                for key, held in self.columns.items()
            ],
        ]


def of_data(data: list[Any]) -> DurableProgram:
    """The `DurableProgram` of what `DurableProgram.as_data` gave."""
    sessions, actions, columns = data
    return DurableProgram(
        sessions,
        [Action(place, branch, key and tuple(key)) for place, branch, key in actions],
        {
            tuple(key): [Columns(session, [PatternColumn(*column) for column in written]) for session, written in held]
            for key, held in columns
        },
    )


def program_of(base: RuleBase) -> DurableProgram:
    """The `DurableProgram` of a RuleBase."""
    coded = codes(base)
    layouts, actions, part_numbers = [Layout()], [], itertools.count()
    waiting = [_Waiting((), (), tuple(map(_Copy, calculation.reads))) for calculation in base.calculations]
    for place, item in enumerate((*base.rules, *waiting)):
        for branch, tests, joins in conjunctions(base, coded, item):
            for key, some, compared in parts(tests, joins, lambda: ("part", next(part_numbers))):
                if len(layouts[-1]) >= RULES_PER_SESSION:
                    layouts.append(Layout())
                actions.append(Action(place, branch, key))
                layouts[-1].add(len(actions), some, compared)
    sessions = [layout.rules() for layout in layouts]
    columns: dict[Key, list[Columns]] = {}
    for session, layout in enumerate(layouts):
        for key, written in layout.columns.items():
            columns.setdefault(key, []).append(Columns(session, written))
    return DurableProgram(sessions, actions, columns)


class _Copy:
    """A calculation waits for its inputs as a rule waits for the facts it copies."""

    def __init__(self, name):
        self.value = FactRef(name)


class _Waiting(NamedTuple):
    all: tuple
    any: tuple
    conclude: tuple
