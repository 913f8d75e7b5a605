"""What was used in place of a field that the record of a kit, or of the car, leaves out.

A figure may name several sources for one input, the best first: the maker's figure, then what is worked out from other
fields, then what such clutches usually have. Where a later one is used the kit is still judged, and the record says on
what. A field that does not apply to a kit (the mass of a floater to a single disc) is not left out. For the car, rules
that speak where its record is silent stand in as well.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from ..frozen import frozen
from ..knowledge.model import Basis, Calculation, Input, Knowledge, Requirement, Rule, Value, conditions_of
from .figures import Figures
from .kit_columns import Column, KitColumns
from .unknowns import ON_FILE
from .verdicts import FAIL

KIT, CAR = "kit", "car"


@frozen
class StandIn:
    """One stand-in.

    ``field``: what is left out, a field of the kit or a fact of the car, by ``of`` (kit or car). ``kind`` and ``used``:
    what was taken instead (figure, table, fact, rule, or a value of the calculation, which has no name). ``value`` in
    ``unit``. ``requirements``: ids of the posted requirements whose figure rests on it. Of an estimate also its ends,
    how it is measured, and the ``figures`` that rest on it.
    """

    field: str
    of: str
    kind: str
    used: str
    value: Value | None
    unit: str
    basis: Basis
    requirements: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    measure: str = ""
    figures: tuple[str, ...] = ()


@frozen
class _Choice:
    """An input with alternatives: of which figure, and the kit fields without which the first of them has no value."""

    step: Calculation
    given: Input
    fields: tuple[str, ...]
    facts: tuple[str, ...]


class StandIns:
    """Finds stand-ins with one Knowledge."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self._fields: dict[str, frozenset[str]] = {}
        self.steps = {step.gives: step for step in knowledge.figure_calculations}
        self.givers = {step.gives: step for step in knowledge.calculations}
        self.choices = tuple(
            _Choice(step, given, *self._leaves(given.first_of[0]))
            for step in knowledge.figure_calculations
            for _, given in step.inputs
            if given.first_of
        )

    def _leaves(self, given: Input) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """(fields of the kit, facts on file) that one source of an input is read or worked out from."""
        if given.source == "kit":
            return (given.name,), ()
        if given.source == "table":
            return tuple(self.knowledge.order.tables[given.name].by), ()
        if given.source == "fact":
            return (), (given.name,) if self.knowledge.facts[given.name].source in ON_FILE else ()
        fields: list[str] = []
        facts: list[str] = []
        if given.source == "figure" and given.name in self.steps:
            for _, source in self.steps[given.name].inputs:
                if not source.first_of:
                    more_fields, more_facts = self._leaves(source)
                    fields += more_fields
                    facts += more_facts
        return tuple(dict.fromkeys(fields)), tuple(dict.fromkeys(facts))

    # --- of kits

    def of_kits(
        self, figures: Figures, row: int, posted: Iterable[Requirement], among: np.ndarray
    ) -> dict[int, tuple[StandIn, ...]]:
        """Place of a kit -> its StandIns in one case, by field; kits without any are left out.

        ``posted``: the requirements that are asked in that case; ``among``: boolean (K,), the kits looked at.
        """
        posted = list(posted)
        measures = _by_measure(posted)
        marked = np.zeros(len(figures.kits), dtype=bool)
        for choice in self.choices:
            first = _column(choice.given.first_of[0], figures)
            if first is None:
                continue
            known = _row(first.known, row, len(figures.kits))
            if not known.all():
                left_out = [
                    ~figures.kits.field(name).known[0] & self._applies(name, figures.kits) for name in choice.fields
                ]
                marked |= ~known & np.logical_or.reduce([np.zeros(len(known), dtype=bool), *left_out])
        estimated = figures.kits.estimates
        marked |= np.array([name in estimated for name in figures.kits.ids], dtype=bool)
        by_kit = {}
        for index in map(int, np.flatnonzero(marked & among)):
            stand_ins = self._of_kit(figures, row, index, measures)
            stand_ins += self._estimated(estimated.get(figures.kits.ids[index], {}), measures, posted)
            if stand_ins:
                by_kit[index] = stand_ins
        return by_kit

    def to_ask(
        self, figures: Figures, row: int, statuses: Sequence[tuple[Requirement, np.ndarray]], among: np.ndarray
    ) -> set[tuple[str, str]]:
        """(kit id, field) of kits that fail nothing but what rests on stand-ins: their makers' figures might pass.

        ``statuses``: pairs (posted requirement, its status for every kit in that case).
        """
        musts = [(statuse, status) for statuse, status in statuses if statuse.level == "must"]
        asked_fields = set()
        for index, stand_ins in self.of_kits(figures, row, [must for must, _ in musts], among).items():
            failed = {must.id for must, status in musts if status[index] == FAIL}
            resting = {name for stand_in in stand_ins for name in stand_in.requirements}
            if failed and failed <= resting:
                asked_fields |= {
                    (figures.kits.ids[index], stand_in.field)
                    for stand_in in stand_ins
                    if failed & set(stand_in.requirements)
                }
        return asked_fields

    def _applies(self, name: str, kits: KitColumns) -> np.ndarray:
        """Boolean (K,): kits that may have a field."""

        def build():
            applies = np.ones(len(kits), dtype=bool)
            for other, values in self.knowledge.kit_fields[name].of_kits:
                column = kits.field(other)
                applies &= ~column.known[0] | np.array([value in values for value in column.values[0]], dtype=bool)
            return applies

        return kits.keep(("applies", name), build)

    def _of_kit(self, figures: Figures, row: int, index: int, measures: dict[str, list[str]]) -> tuple[StandIn, ...]:
        rests: dict[tuple[str, str, str], list[str]] = {}
        used: dict[tuple[str, str, str], StandIn] = {}
        for measure, ids in measures.items():
            for step, given, field in self._behind(measure, figures, row, index):
                key = (field, given.source, given.name)
                rests.setdefault(key, []).extend(ids)
                if key not in used:
                    value = _value(given, figures, row, index)
                    used[key] = StandIn(
                        field, KIT, given.source, given.name, value, given.unit, self._basis(given, step)
                    )
        return tuple(_resting_on(used[key], rests[key]) for key in sorted(used))

    def _estimated(self, put_in, measures, posted) -> tuple[StandIn, ...]:
        """StandIns for what was estimated of one kit, by field."""
        by_field = []
        for name, estimated in sorted(put_in.items()):
            rests = [each for measure, ids in measures.items() if name in self.fields_behind(measure) for each in ids]
            rests += [each.id for each in posted if each.source == "kit" and name in _read_in(each.measure)]
            resting = tuple(sorted(figure for figure in self.steps if name in self.fields_behind(figure)))
            basis = estimated.estimate.basis
            by_field.append(
                StandIn(
                    name,
                    KIT,
                    "estimate",
                    estimated.estimate.id,
                    estimated.likely,
                    estimated.estimate.unit or "1",
                    basis,
                    tuple(sorted(set(rests))),
                    estimated.low,
                    estimated.high,
                    estimated.estimate.measure,
                    resting,
                )
            )
        return tuple(by_field)

    def fields_behind(self, figure: str) -> frozenset[str]:
        """Every kit field that a figure may be worked out from."""
        if figure not in self._fields:
            fields: set[str] = set()
            self._fields[figure] = frozenset()
            for _, given in self.steps[figure].inputs if figure in self.steps else ():
                for alternative in given.first_of or (given,):
                    if alternative.source == "kit":
                        fields |= _read_in(alternative.name)
                    elif alternative.source == "table":
                        for by in self.knowledge.order.tables[alternative.name].by:
                            fields |= _read_in(by)
                    elif alternative.source == "figure":
                        fields |= self.fields_behind(alternative.name)
            self._fields[figure] = frozenset(fields)
        return self._fields[figure]

    def _behind(self, measure: str, figures: Figures, row: int, index: int) -> Iterator[tuple[Calculation, Input, str]]:
        """(figure's calculation, what it took, kit field left out) for every stand-in behind a figure of one kit."""
        seen, waiting = set(), [measure]
        while waiting:
            name = waiting.pop()
            if name in seen or name not in self.steps:
                continue
            seen.add(name)
            for _, given in self.steps[name].inputs:
                taken = given
                if given.first_of:
                    known = [alternative for alternative in given.first_of if _known(alternative, figures, row, index)]
                    if not known:
                        continue
                    taken = known[0]
                    if taken is not given.first_of[0]:
                        for field in self._leaves(given.first_of[0])[0]:
                            kits = figures.kits
                            if not kits.field(field).known[0, index] and self._applies(field, kits)[index]:
                                yield self.steps[name], taken, field
                if taken.source == "figure":
                    waiting.append(taken.name)

    def _basis(self, given: Input, step: Calculation) -> Basis:
        """What a source of an input rests on; a value that stands in a calculation rests on what that does."""
        if given.source == "table":
            return self.knowledge.order.tables[given.name].basis
        giver = (self.steps if given.source == "figure" else self.givers).get(given.name)
        return giver.basis if giver else step.basis

    # --- of the car

    def of_car(
        self, figures: Figures, row: int, held: Mapping[str, tuple[int, ...]], posted: Sequence[Requirement]
    ) -> tuple[StandIn, ...]:
        """StandIns for what the record of a car on file leaves out, by fact.

        ``held``: id of each rule that fired in that case -> the branches of its any that held.
        """
        by_fact: dict[tuple[str, str, str], StandIn] = {}
        for choice in self.choices:
            for fact in choice.facts:
                if _value(Input("fact", fact), figures, row, 0) is not None:
                    continue
                taken = next(
                    (alternative for alternative in choice.given.first_of[1:] if _known(alternative, figures, row, 0)),
                    None,
                )
                if taken is None:
                    continue
                key, value = (fact, taken.source, taken.name), _value(taken, figures, row, 0)
                stands = StandIn(fact, CAR, *key[1:], value, taken.unit, self._basis(taken, choice.step))
                rests = [
                    posting.id
                    for posting in posted
                    if posting.source == "figure" and self._reads(posting.measure, choice.step.gives)
                ]
                by_fact[key] = _resting_on(stands, [*(by_fact[key].requirements if key in by_fact else ()), *rests])
        rules = {rule.id: rule for rule in self.knowledge.rules}
        for name, branches in held.items():
            for stands in self._of_rule(rules[name], branches, figures, row):
                by_fact[stands.field, stands.kind, stands.used] = stands
        return tuple(by_fact[key] for key in sorted(by_fact))

    def _of_rule(self, rule: Rule, branches: tuple[int, ...], figures: Figures, row: int) -> Iterator[StandIn]:
        """What a rule set because the car's record is silent."""
        silent = [
            condition.fact
            for condition in conditions_of(rule, branches)
            if condition.test == "absent"
            and self.knowledge.facts[condition.fact].source in ON_FILE
            and _value(Input("fact", condition.fact), figures, row, 0) is None
        ]
        for fact in dict.fromkeys(silent):
            for conclusion in rule.conclude:
                if self.knowledge.facts[conclusion.fact].kind == "list":
                    continue  # a word of advice stands in for nothing
                value = _value(Input("fact", conclusion.fact), figures, row, 0)
                unit = self.knowledge.facts[conclusion.fact].unit
                yield StandIn(fact, CAR, "rule", rule.id, value, unit, rule.basis)

    def _reads(self, measure: str, figure: str) -> bool:
        """Whether one figure is worked out from another, or is it."""
        seen, waiting = set(), [measure]
        while waiting:
            name = waiting.pop()
            if name == figure:
                return True
            if name not in seen and name in self.steps:
                seen.add(name)
                waiting += [
                    alternative.name
                    for _, given in self.steps[name].inputs
                    for alternative in given.first_of or (given,)
                    if alternative.source == "figure"
                ]
        return False


def _read_in(field: str) -> frozenset[str]:
    """A kit field with those it is worked out from."""
    return frozenset({field, *({"cushion_travel"} if field == "cushioned" else ())})


def _by_measure(posted: Iterable[Requirement]) -> dict[str, list[str]]:
    """Figure -> ids of the requirements on it."""
    measures: dict[str, list[str]] = {}
    for posting in posted:
        if posting.source == "figure":
            measures.setdefault(posting.measure, []).append(posting.id)
    return measures


def _resting_on(stands: StandIn, requirements: Iterable[str]) -> StandIn:
    return replace(stands, requirements=tuple(sorted(set(requirements))))


def _column(given: Input, figures: Figures) -> Column | None:
    """The Column of a source, None for a value that stands in the calculation."""
    of_kits = {"kit": figures.kits.field, "facing": figures.kits.facing, "table": figures.kits.table}
    if given.source in of_kits:
        return of_kits[given.source](given.name)
    if given.source == "fact":
        return figures.facts.fact(given.name)
    return figures.column(given.name) if given.source == "figure" else None


def _value(given: Input, figures: Figures, row: int, index: int) -> Value | None:
    column = _column(given, figures)
    value = given.value if column is None else column.number(row, index)
    return float(value) if isinstance(value, np.floating) else value


def _known(given: Input, figures: Figures, row: int, index: int) -> bool:
    return _value(given, figures, row, index) is not None


def _row(mask: np.ndarray, row: int, kits: int) -> np.ndarray:
    """One case's row of a mask (C or 1, K or 1)."""
    return np.broadcast_to(mask[row if len(mask) > 1 else 0], (kits,))
