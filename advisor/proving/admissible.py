"""What may be put in: every caller the program would take, on any car whose record it would read.

Mirrors `deciding.answers.gather` in statements, and always allows at least what that does.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from ..knowledge.model import COMPLAINT, Fact, Knowledge, Rule
from ..knowledge.platform_fields import INSIDE, NUMBERS
from ..knowledge.quantities import convert
from .regions import Regions, inputs_of

#: Topic of the rules that settle a case before anything else is asked.
DECLINED = "declined"
#: The stage that is told only what was answered or stands on record, nothing assumed.
CONSISTENCY = "consistency"


class Doors(NamedTuple):
    """Statements about a caller as a whole.

    ``on_file``: the car has a record; ``factory``: so has its clutch. The others, taken to hold, leave callers out:
    ``decided``: there is a decision, so enough is known; ``computed``: calculations give a value wherever their inputs
    have one; ``as_declared``: what nobody answered has the declared value or none, as in a recorded decision,
    where the span of an advice draws others. (A harder reading counts as answered.)
    """

    on_file: int
    factory: int
    decided: int
    computed: int
    as_declared: int


def alike(knowledge: Knowledge) -> list[tuple[str, str]]:
    """Pairs of facts whose values `admit` ties: those of one place in a record, and diameters one inside the other."""
    pairs = [(asked.name, held.name) for asked, held in _of_one_place(knowledge.facts)]
    return [*pairs, *_inside(knowledge.facts)]


def _of_one_place(facts: Mapping[str, Fact]) -> Iterator[tuple[Fact, Fact]]:
    for held in facts.values():
        for asked in facts.values() if held.source == "platform" else ():
            if asked.source == "asked" and asked.platform == held.platform and asked.kind == held.kind:
                yield asked, held


def _inside(facts: Mapping[str, Fact]) -> Iterator[tuple[str, str]]:
    """Pairs (inner, outer) of facts that a record always holds in that order."""
    by_place = {fact.platform: fact.name for fact in facts.values() if fact.source == "platform"}
    for inner, outer in INSIDE:
        if inner in by_place and outer in by_place:
            yield by_place[inner], by_place[outer]


def range_of(fact: Fact) -> tuple[float | None, float | None]:
    """The lowest and highest value a number may have, in its own unit; None where there is no end."""
    if fact.low is not None or fact.high is not None:
        return fact.low, fact.high
    place = fact.platform.partition(".")[0] if fact.platform.startswith("gear_ratios") else fact.platform
    number = NUMBERS.get(place)
    if number is None:
        return None, None
    return convert(number.low, number.unit, fact.unit or "1"), convert(number.high, number.unit, fact.unit or "1")


class Admission:
    """Adds to ``regions`` what may be put in; ``doors`` are its `Doors`."""

    def __init__(self, regions: Regions, knowledge: Knowledge, stage: str = "case") -> None:
        self.regions, self.knowledge, self.stage = regions, knowledge, stage
        variable = regions.variable
        self.doors = Doors(
            variable("on file"),
            variable("factory clutch on file"),
            variable("decided"),
            variable("computed"),
            variable("as declared"),
        )
        regions.add(-self.doors.factory, self.doors.on_file)
        self.declined = regions.one_of([regions.fires[rule.id] for rule in declining(regions.rules)])
        self.estimated = {estimate.field for estimate in knowledge.estimates}
        for name, fact in regions.facts.items():
            self._admit(name, fact)
        self._tie()
        for calculation in regions.calculations:
            needs = [-regions.has(name) for name in inputs_of(calculation)]
            regions.add(-self.doors.computed, regions.gives[calculation.id], *needs)

    def recorded(self, fact: Fact) -> int:
        """Does the record of the car, or of its factory clutch, hold this fact?"""
        if fact.source == "factory_kit":
            return self.regions.variable("recorded of the clutch", fact.field)
        return self.regions.variable("recorded", fact.platform) if fact.platform else -self.regions.true

    def _admit(self, name, fact):
        if fact.kind == "number" and fact.source != "derived":
            low, high = range_of(fact)
            # What stands on record is above nothing where it has no range.
            positive = low is None and fact.source in ("platform", "factory_kit")
            self.regions.between(name, 0.0 if positive else low, high, above_low=positive)
        if fact.source == "asked":
            self._asked(name, fact)
            return
        self.regions.add(-self.regions.answered(name))
        if fact.source in ("platform", "factory_kit"):
            self._on_record(name, fact)
        elif fact.source == "kit":
            field = self.knowledge.kit_fields.get(fact.field)
            if field is not None and field.required:
                self.regions.add(self.regions.has(name))
        elif fact.source == "derived" and fact.needs_one_of:
            self.regions.add(-self.doors.decided, self.declined, self.regions.has(name))

    def _asked(self, name, fact):
        regions, doors = self.regions, self.doors
        has, answered, recorded = regions.has(name), regions.answered(name), self.recorded(fact)
        for source in (answered, recorded):
            regions.add(-source, has)
        regions.add(-recorded, doors.on_file)
        unknown = fact.if_unknown
        if unknown is None or unknown.do in ("leave", "stop") or self.stage == CONSISTENCY:
            drawn = () if self.stage == CONSISTENCY else (-doors.as_declared,)
            regions.add(-has, answered, recorded, *drawn)
            if unknown is not None and unknown.do == "stop":
                regions.add(-doors.decided, self.declined, has)
            return
        regions.add(has)
        regions.add(-doors.as_declared, answered, recorded, regions.value(name, unknown.value))

    def _on_record(self, name, fact):
        regions, doors = self.regions, self.doors
        has, recorded = regions.has(name), self.recorded(fact)
        regions.add(-recorded, has)
        regions.add(-has, doors.on_file)
        of_clutch = fact.source == "factory_kit"
        regions.add(-recorded, doors.factory if of_clutch else doors.on_file)
        estimated = []
        if of_clutch:
            field = self.knowledge.kit_fields.get(fact.field)
            if field is not None and field.required:
                regions.add(-doors.factory, recorded)
            if fact.field in self.estimated:
                estimated = [regions.variable("estimated", name)]
                regions.add(-estimated[0], doors.factory)
        unknown = fact.if_unknown
        if unknown is None or unknown.do in ("leave", "stop"):
            regions.add(-has, recorded, *estimated)
            if unknown is not None and unknown.do == "stop":
                regions.add(-doors.decided, self.declined, -doors.on_file, has)
            return
        if self.stage == CONSISTENCY:
            regions.add(-has, recorded)
            return
        regions.add(-doors.on_file, has)
        regions.add(-doors.as_declared, -has, recorded, *estimated, regions.value(name, unknown.value))

    def _tie(self):
        regions = self.regions
        for asked, held in _of_one_place(regions.facts):
            drawn = [regions.answered(asked.name), -self.doors.as_declared]
            regions.equal(asked.name, held.name, [-self.recorded(held), *drawn])
        for inner, outer in _inside(regions.facts):
            both = [self.recorded(regions.facts[name]) for name in (inner, outer)]
            regions.add(*[-recorded for recorded in both], regions.compared(inner, outer)[0])


def declining(rules: Iterable[Rule]) -> list[Rule]:
    """The rules that settle a case before anything else is asked."""
    return [rule for rule in rules if rule.topic == DECLINED and rule.require]


def facts_of(knowledge: Knowledge, stage: str) -> dict[str, Fact]:
    """The facts a stage may speak of; set-up stands for case and set-up together."""
    if stage in ("setup", COMPLAINT):
        return dict(knowledge.facts)
    return {name: fact for name, fact in knowledge.facts.items() if fact.source not in ("kit", "figure")}
