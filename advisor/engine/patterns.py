"""Conditions in the forms of durable-rules that were proved right: how rules and facts are written for it.

Each fact is asserted as an object of its own with one property (``a17``), a group field (``g3``) under which
its tests hang, and a constant ``z`` where it is compared with another fact. Choices, flags and members of
lists go in as whole numbers, so no text reaches the C library. A pattern holds, in this order: the group;
comparisons with facts of earlier patterns; ``z`` equal to itself, because a comparison that is false and last
reads past the end of a table; tests against literals; at most one membership test, because whatever follows
it is ignored.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from ..errors import EngineError

#: What is asserted under one property: ("value", fact), ("member", fact, choice) ...
Key = tuple[Any, ...]
#: Key -> its tests, each (op, text of a number) or ("in", (texts)), the latter last.
Tests = Mapping[Key, tuple[tuple[str, Any], ...]]
#: Two keys compared.
Join = tuple[Key, str, Key]

# All of these stay far below what stops or crashes the library.
TESTS_PER_COLUMN = 40
USES_PER_COLUMN = 100
TESTS_PER_GROUP = 60
PATTERNS_PER_RULE = 10
JOINS_PER_RULE = 8
MEMBERS_PER_TEST = 200
RULES_PER_SESSION = 1500
GROUPS = 400
LARGEST = 1.7976931348623157e308

FLIPPED = {"$gt": "$lt", "$gte": "$lte", "$lt": "$gt", "$lte": "$gte"}


def number_text(value: float) -> str:
    """A float as the library reads it: always with a point, ``1.0e-05`` and never ``1e-05``.

    >>> number_text(1e-05), number_text(-0.0), number_text(1e16), number_text(65.0)
    ('1.0e-05', '0.0', '1.0e+16', '65.0')
    """
    text = repr(float(value) + 0.0)
    if "n" in text:  # nan, inf
        raise EngineError(f"the number {text} is not finite.", value=value)
    if "e" in text and "." not in text:
        return text.replace("e", ".0e")
    return text


class PatternColumn:
    """One property under which one key's value is asserted; a key tested very often gets several."""

    __slots__ = ("cost", "group", "joined", "number", "tests", "uses")

    def __init__(self, number: int, group: int | None = None, joined: bool = False) -> None:
        self.number, self.group, self.joined = number, group, joined
        self.tests: set[tuple[str, Any]] = set()
        self.cost = self.uses = 0

    def as_data(self) -> list[Any]:
        """What it takes to assert something under it, as the arguments of such a column."""
        return [self.number, self.group, self.joined]

    def fact(self, value: object) -> str:
        """The JSON object that asserts ``value`` (text of a number)."""
        joined = '"z":0,' if self.joined else ""
        return f'{{"id":"{self.number}","g{self.group}":0,{joined}"a{self.number}":{value}}}'


class Layout:
    """The columns of one session and the rules written over them."""

    def __init__(self) -> None:
        self.columns: dict[Key, list[PatternColumn]] = {}
        self._rules: list[tuple[Any, ...]] = []
        self._count = 0

    def __len__(self) -> int:
        return len(self._rules)

    def add(self, number: int, tests: Tests, joins: Sequence[Join]) -> None:
        """Add engine rule ``number``: ``tests`` maps key -> sorted tuple of tests, ``joins`` are (key, op, key).

        See `Tests` and `Join`.
        """
        order = sorted(tests)
        place = {key: index for index, key in enumerate(order)}
        written = []
        for key in order:
            earlier = []
            if joins:
                compared = sorted(
                    (op, join, other) if place[other] < place[join] else (FLIPPED[op], other, join)
                    for join, op, other in joins
                    if key in (join, other) and place[key] == max(place[join], place[other])
                )
                earlier = [(op, other) for op, _, other in compared]
            column = self._column(key, tests[key], len(earlier))
            written.append((key, column, earlier, tests[key]))
        columns = {key: column for key, column, _, _ in written}
        for join, _, other in joins:
            columns[join].joined = columns[other].joined = True
        self._rules.append((number, written, place, columns))

    def _column(self, key, tests, joins):
        choices = self.columns.setdefault(key, [])
        whole = 2 * joins + sum(len(text) if op == "in" else 1 for op, text in tests)
        alone = joins or any(op == "in" for op, _ in tests)
        for column in choices:
            # A test that is there already costs nothing more; comparisons and memberships are never shared.
            cost = whole if alone else len(set(tests) - column.tests)
            if column.cost + cost <= TESTS_PER_COLUMN and column.uses < USES_PER_COLUMN:
                break
        else:
            self._count += 1
            column, cost = PatternColumn(self._count), whole
            choices.append(column)
        column.cost += cost
        column.uses += 1
        column.tests.update(tests)
        return column

    def rules(self) -> list[str]:
        """The rules as JSON members; fixes the groups, so nothing may be added afterwards."""
        group, load = 0, 0
        for columns in self.columns.values():
            for column in columns:
                if load and load + column.cost > TESTS_PER_GROUP:
                    group, load = group + 1, 0
                column.group, load = group, load + column.cost
        if group >= GROUPS:
            raise EngineError("the rules hold too many different tests for one session of durable-rules.")
        return [self._written(*rule) for rule in self._rules]

    def _written(self, number, written, place, columns):
        patterns = []
        for index, (_, column, earlier, tests) in enumerate(written):
            name = f"a{column.number}"
            parts = [f'{{"g{column.group}":0}}']
            for op, other in earlier:
                parts.append(f'{{"{op}":{{"{name}":{{"p{place[other]}":"a{columns[other].number}"}}}}}}')
            if earlier:
                parts.append(f'{{"z":{{"p{place[earlier[0][1]]}":"z"}}}}')
            for op, text in tests:
                if op == "in":
                    parts.append('{"$or":[' + ",".join(f'{{"{name}":{char}}}' for char in text) + "]}")
                elif op == "is":
                    parts.append(f'{{"{name}":{text}}}')
                else:
                    parts.append(f'{{"{op}":{{"{name}":{text}}}}}')
            patterns.append(f'{{"p{index}":{{"$and":[{",".join(parts)}]}}}}')
        return f'"{number}":{{"all":[{",".join(patterns)}]}}'
