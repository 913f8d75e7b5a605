"""Thousands of cases at once: the rule model on NumPy columns, in the order of its dependencies.

Facts and fired rules are those the engines would derive case by case; the record of a single case is made on
demand. The recorded decision never comes from here. Memory is set by the number of cases handed in at once:
`BulkEvaluator.in_batches` cuts many cases into batches of one size.
"""

from collections.abc import Collection, Iterator, Mapping
from typing import Any

import numpy as np

from ..knowledge.model import Condition, Fact, FactRef, Knowledge, Rule, Value, conditions_of
from .bulk_calculating import calculate
from .calculating import CompiledCalculation
from .derivation import Derivation, Firing, derivation
from .disagreement import conflict, holds
from .fact_columns import FactColumn, Flags, Given, empty, kind_of, read, value
from .rulebase import RuleBase, copied_by, members, read_by_all, rule_base

#: Cases in a batch: few enough that a batch of a large rule base stays within some tens of megabytes.
BATCH = 8192
_SIGNS = {"above": np.greater, "at_least": np.greater_equal, "below": np.less, "at_most": np.less_equal}


class BulkEvaluator:
    """The rules of one stage, ready for columns (see `columns`)."""

    def __init__(
        self, knowledge: Knowledge, stage: str, base: RuleBase | None = None, giving: Collection[str] | None = None
    ) -> None:
        """``base``: the stage's RuleBase where another evaluator has made it already.

        ``giving``: names of facts; only the rules and calculations that give one of them are run, and a derivation
        tells of nothing else.
        """
        self.base = base = base or rule_base(knowledge, stage)
        self._conditions: list[Condition] = []
        places: dict[tuple[str, str, object], int] = {}
        steps: list[tuple[int, Any, tuple[int, ...] | None, tuple[tuple[int, ...], ...]]] = []
        for rule in base.rules:
            if giving is not None and not any(part.fact in giving for part in rule.conclude):
                continue
            every = self._numbers(rule.all, places)
            either = tuple(self._numbers(branch, places) for branch in rule.any)
            steps.append((base.rank["rule", rule.id], rule, every, either))
        steps += [
            (base.rank["calculation", item.id], item, None, ())
            for item in base.calculations
            if giving is None or item.gives in giving
        ]
        self._steps = [step[1:] for step in sorted(steps, key=lambda step: step[0])]

    def _numbers(self, conditions, places):
        """The numbers of conditions: what many rules ask is worked out once."""
        numbers = []
        for condition in conditions:
            key = (condition.fact, condition.test, condition.limit)
            if key not in places:
                places[key] = len(self._conditions)
                self._conditions.append(condition)
            numbers.append(places[key])
        return tuple(numbers)

    def derive(
        self, columns: Mapping[str, Given], answered: Mapping[str, Flags] | None = None, rows: int | None = None
    ) -> "BulkDerivation":
        """The BulkDerivation of all cases in ``columns`` (name -> (values, known)).

        ``answered`` maps name -> bool array; a fact not in it is answered in no case. ``rows`` is needed where
        there is no column to count. EngineError for a column that is not as `columns` describes.
        """
        if rows is None:
            rows = _rows(columns)
        answered = dict(answered or {})
        self.base.refuse_unknown((*columns, *answered))
        filled = {name: read(self.base.facts[name], given, rows) for name, given in columns.items()}
        for name in answered:
            if self.base.facts[name].kind == "list" and name in filled:
                answered[name] = answered[name] & filled[name].known
        run = BulkDerivation(self.base, rows, answered)
        run.columns.update(filled)
        run.given = dict(run.columns)
        masks: dict[int, Any] = {}
        for item, every, either in self._steps:
            if every is None:
                run.calculate(item)
            else:
                run.apply(item, self._hold(run, masks, item, every, either))
        return run

    def in_batches(
        self, columns: Mapping[str, Given], answered: Mapping[str, Flags] | None = None, size: int = BATCH
    ) -> Iterator[tuple[int, "BulkDerivation"]]:
        """(first row, BulkDerivation) for each ``size`` cases of ``columns``; memory is that of one batch."""
        rows = _rows(columns)
        for start in range(0, rows, size):
            cut = slice(start, min(start + size, rows))
            yield (
                start,
                self.derive(
                    {
                        name: (_cut(values, cut), known if known is None else known[cut])
                        for name, (values, known) in columns.items()
                    },
                    {name: mask[cut] for name, mask in (answered or {}).items()},
                    cut.stop - start,
                ),
            )

    def _hold(self, run, masks, rule, every, either):
        """Where a rule holds, or None for nowhere; the array may belong to a condition and is not to be changed."""
        held = None
        if every:
            held = self._all(run, masks, every)
            if held is None:
                return None
        if either:
            some = None
            for branch in either:
                mask = self._all(run, masks, branch)
                if mask is not None:
                    some = mask if some is None else some | mask
            if some is None:
                return None
            held = some if held is None else held & some
        for name in copied_by(rule):
            column = run.columns.get(name)
            if column is None:
                return None
            held = column.known if held is None else held & column.known
        return np.ones(run.rows, bool) if held is None else held

    def _all(self, run, masks, numbers):
        """Where every one of at least one condition holds, or None for nowhere."""
        held = None
        for number in numbers:
            mask = self._mask(run, masks, number)
            if mask is None:
                return None
            held = mask if held is None else held & mask
        return held

    def _mask(self, run, masks, number):
        if number not in masks:
            masks[number] = _mask(run, self._conditions[number])
        return masks[number]


class BulkDerivation:
    """What follows in each of ``rows`` cases. Arrays handed out are the derivation's own: read, do not write."""

    def __init__(self, base: RuleBase, rows: int, answered: Mapping[str, Flags]) -> None:
        self.base, self.rows, self.answered = base, rows, answered
        self.columns: dict[str, FactColumn] = {}
        self.given: dict[str, FactColumn] = {}
        self._fired: dict[str, Flags | None] = {}
        self._calculated: dict[str, Flags] = {}
        #: Cases in which the engines would raise ConflictError; their other columns mean nothing.
        self.conflicted = np.zeros(rows, bool)

    def fact(self, name: str) -> tuple[Any, Flags]:
        """(values, known) of a fact; see `columns`. NaN or -1 stand where a number or a choice is unknown."""
        column = self.columns.get(name) or empty(self.base.facts[name], self.rows)
        return column.values, column.known

    def fired(self, rule_id: str) -> Flags:
        """Where the rule fired, as a bool array."""
        mask = self._fired[rule_id]
        return np.zeros(self.rows, bool) if mask is None else mask

    def calculated(self, calculation_id: str) -> Flags:
        """Where the calculation had all its inputs, whether or not it gave a value."""
        return self._calculated[calculation_id]

    def facts(self, row: int) -> dict[str, Value]:
        """The facts of one case, as the engines have them."""
        held_facts = ((name, value(self.base.facts[name], column, row)) for name, column in self.columns.items())
        return {name: held for name, held in held_facts if held is not None}

    def inputs(self, row: int) -> tuple[dict[str, Value], frozenset[str]]:
        """(facts handed in, names answered) of one case."""
        handed_in = ((name, value(self.base.facts[name], column, row)) for name, column in self.given.items())
        return (
            {name: held for name, held in handed_in if held is not None},
            frozenset(name for name, mask in self.answered.items() if mask[row]),
        )

    def derivation(self, row: int) -> Derivation:
        """The Derivation of one case, equal to the engines'; raises ConflictError where they would."""
        given, answered = self.inputs(row)
        if self.conflicted[row]:
            raise conflict(self.base, given, answered)
        facts, firings = self.facts(row), []
        for rule in self.base.rules:
            mask = self._fired[rule.id]
            if mask is not None and mask[row]:
                firings.append(self._firing(rule, facts, given, answered))
        for item in self.base.calculations:
            if self._calculated[item.id][row]:
                result, reason = item(facts)
                concluded = () if result is None else ((item.gives, result),)
                firings.append(
                    Firing(
                        "calculation", item.id, (), tuple((name, facts[name]) for name in item.reads), concluded, reason
                    )
                )
        firings.sort(key=lambda firing: self.base.rank[firing.kind, firing.id])
        return derivation(facts, firings)

    def _firing(self, rule, facts, given, answered):
        held = tuple(
            place
            for place, branch in enumerate(rule.any)
            if all(holds(condition, facts, given, answered) for condition in branch)
        )
        reads = {*read_by_all(conditions_of(rule, held)), *copied_by(rule)}
        concluded = [
            (part.fact, facts[part.value.name] if isinstance(part.value, FactRef) else self._literal(part))
            for part in rule.conclude
        ]
        return Firing(
            "rule", rule.id, held, tuple((name, facts[name]) for name in sorted(reads)), tuple(sorted(concluded))
        )

    def _literal(self, part):
        return tuple(sorted(set(members(part.value)))) if self.base.facts[part.fact].kind == "list" else part.value

    # --- the work, called by BulkEvaluator in order of dependency

    def apply(self, rule: Rule, held: Flags | None) -> None:
        """Note where ``rule`` fired and let it conclude there."""
        self._fired[rule.id] = held
        if held is None or not rule.conclude or not held.any():
            return
        for part in rule.conclude:
            target = self.base.facts[part.fact]
            if target.kind == "list":
                self._gain(part, held)
            elif isinstance(part.value, FactRef):
                self._conclude(target, held, self._copied(target, self.base.facts[part.value.name]))
            else:
                self._conclude(
                    target, held, target.choices.index(part.value) if kind_of(target) == "choice" else part.value
                )

    def calculate(self, item: CompiledCalculation) -> None:
        """Run a calculation in every case in which its inputs are known."""
        known = np.ones(self.rows, bool)
        for name in item.reads:
            known = known & self.columns[name].known if name in self.columns else np.zeros(self.rows, bool)
        self._calculated[item.id] = known
        if known.any():
            values, given = calculate(item, self.base.facts, self.columns, known)
            self._conclude(self.base.facts[item.gives], given, values)

    def _own(self, fact: Fact) -> FactColumn:
        """The column of a derived fact, its arrays safe to write to."""
        column = self.columns.get(fact.name)
        if column is None:
            column = self.columns[fact.name] = empty(fact, self.rows)
        elif column is self.given.get(fact.name):
            values = column.values
            values = {key: flags.copy() for key, flags in values.items()} if fact.kind == "list" else values.copy()
            column = self.columns[fact.name] = FactColumn(values, column.known.copy())
        return column

    def _conclude(self, fact, held, values):
        column = self._own(fact)
        twice = column.known & held
        if twice.any():
            if fact.agreement == "same_value":
                twice &= column.values != values
            self.conflicted |= twice
        np.copyto(column.values, values, where=held, casting="unsafe")
        column.known |= held

    def _copied(self, target, source):
        values = self.columns[source.name].values
        if kind_of(target) != "choice" or source.choices == target.choices:
            return values
        # The last place answers for -1, unknown.
        return np.array([*map(target.choices.index, source.choices), -1], values.dtype)[values]

    def _gain(self, part, held):
        column = self._own(self.base.facts[part.fact])
        if isinstance(part.value, FactRef):
            gained = {member: flags & held for member, flags in self.columns[part.value.name].values.items()}
        else:
            gained = dict.fromkeys(members(part.value), held)
        for member, flags in gained.items():
            present = column.values.get(member)
            column.values[member] = flags.copy() if present is None else present | flags
        column.known |= held


def _rows(columns):
    """How many cases the columns hold; 0 where there is nothing to count."""
    for values, known in columns.values():
        for array in (known, *(values.values() if isinstance(values, dict) else (values,))):
            if array is not None:
                return len(array)
    return 0


def _cut(values, cut):
    return {member: flags[cut] for member, flags in values.items()} if isinstance(values, dict) else values[cut]


def _mask(run, condition):
    """Where a condition holds, or None for nowhere."""
    name, test, limit = condition.fact, condition.test, condition.limit
    column = run.columns.get(name)
    if test == "absent":
        return np.ones(run.rows, bool) if column is None else ~column.known
    if test == "not_answered":
        said = name in run.answered and column is not None
        return ~(column.known & run.answered[name]) if said else np.ones(run.rows, bool)
    if column is None:
        return None
    if test == "known":
        return column.known
    if test == "answered":
        return column.known & run.answered[name] if name in run.answered else None
    if test == "has":
        return column.values.get(limit)
    if test == "between":
        low, high = (_limit(run, code) for code in limit)
        if low is None or high is None:
            return None
        return (column.values >= low) & (column.values <= high)
    if test in _SIGNS:
        limit = _limit(run, limit)
        return None if limit is None else _SIGNS[test](column.values, limit)
    fact = run.base.facts[name]
    wanted = limit if test in ("in", "not_in") else (limit,)
    if kind_of(fact) == "choice":
        wanted = [fact.choices.index(code) for code in wanted]
    mask = column.values == wanted[0]
    for code in wanted[1:]:
        mask = mask | (column.values == code)
    return column.known & ~mask if test in ("is_not", "not_in") else mask


def _limit(run, limit):
    """A literal, the values of a fact, or None where the fact is known nowhere."""
    if not isinstance(limit, FactRef):
        return limit
    column = run.columns.get(limit.name)
    return None if column is None else column.values
