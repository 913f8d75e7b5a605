"""A decision record with the words of the knowledge and shop it was made with, ready to be asked."""

from collections.abc import Mapping
from functools import cached_property
from typing import Any

from ..deciding.decision_record import DecisionRecord, JudgedKit, KitCheck, RecordedCaution, RecordedPick
from ..deciding.provenance import Provenance
from ..deciding.recorded_rules import PostedRequirement
from ..deciding.recorded_setup import SetUpItem
from ..knowledge.model import Caution, Item, Knowledge, Rule
from ..knowledge.sentences import first_sentence
from ..knowledge.wording import Wording

#: Who is silent, and how that is told.
LACKING = {
    "car": "the record of this car lacks the {}",
    "kit": "its maker does not name the {}",
    "caller": "nobody has said the {}",
}


class WordedRecord:
    """One `DecisionRecord` (or its JSON data) and everything needed to put it into words; nothing here decides.

    ``pick``: id of the pick or None; ``kept``: what was put together once for several kits.
    """

    def __init__(self, record: DecisionRecord | Mapping[str, object], wording: Wording) -> None:
        self.record, self.wording = DecisionRecord.of(record), wording
        self.pick = self.record.pick_id
        self.kept: dict[Any, Any] = {}
        self._becauses: dict[str, str] = {}

    @property
    def advised(self) -> RecordedPick:
        """The pick, asked for only where there is one."""
        assert self.record.pick is not None
        return self.record.pick

    @property
    def picked(self) -> str:
        """Id of the pick, asked for only where there is one."""
        assert self.pick is not None
        return self.pick

    @property
    def knowledge(self) -> Knowledge:
        """The knowledge it was made with."""
        return self.wording.knowledge

    @cached_property
    def provenance(self) -> Provenance:
        """What everything in it came from."""
        return Provenance(self.record, self.knowledge, self.wording.records)

    @property
    def rules(self) -> dict[str, Rule]:
        """Rule id -> Rule."""
        return self.provenance.rules

    @property
    def kits(self) -> dict[str, JudgedKit]:
        """Id -> kit."""
        return self.record.kits

    @property
    def requirements(self) -> dict[str, PostedRequirement]:
        """Id -> requirement."""
        return self.record.requirements

    def fields(self, kit: str) -> Mapping[str, Any]:
        """The fields of a kit's record."""
        return self.wording.records[kit].fields

    def because(self, rule: str) -> str:
        """A rule's reason in the caller's units."""
        if rule not in self._becauses:
            firing = self.record.fired.get(rule) or self.record.fired_in_setup.get(rule)
            values = {**self.record.values, **firing.facts, **firing.concluded} if firing else self.record.values
            self._becauses[rule] = self.wording.fill(self.rules[rule].because, values)
        return self._becauses[rule]

    def told(self, entry: SetUpItem | RecordedCaution) -> str:
        """The text of a set-up item or caution in the caller's units, numbers as the shop writes them.

        It is filled again from the record, where that gives the text that was kept word for word; else it is that one.
        """
        if self.wording.system != "si" and (template := self._template(entry)):
            kept = Wording(self.knowledge, "si", self.wording.currency, self.wording.records)
            values = self._values_of(entry.rule)
            if kept.fill(template, values) == entry.text:
                return self.wording.fill(template, values)
        return self.wording.written(entry.text)

    def _template(self, entry):
        rule = self.rules.get(entry.rule)
        parts: tuple[Item | Caution, ...] = (*rule.items, *rule.cautions) if rule else ()
        return next((part.text for part in parts if part.id == entry.id), "")

    def _values_of(self, rule):
        values = dict(self.record.values)
        if self.pick:
            kit, fields = self.kits[self.pick], self.fields(self.pick)
            for name, fact in self.knowledge.facts.items():
                value = kit.figures.get(name) if fact.source == "figure" else None
                value = fields.get(fact.field) if fact.source == "kit" else value
                if value is not None:
                    values.setdefault(name, value)
        firing = self.record.fired.get(rule) or self.record.fired_in_setup.get(rule)
        return {**values, **firing.facts, **firing.concluded} if firing else values

    def sentence(self, rule: str) -> str:
        """The first sentence of a rule's reason."""
        return first_sentence(self.because(rule))

    def demand(self, check: KitCheck) -> str:
        """What a requirement demands of a kit: "pedal force: at most 220 N is accepted"."""
        posted = self.requirements[check.requirement]
        return self.wording.demand(posted.compare, posted.measure, check.needed, check.actual, posted.level)

    def failure(self, check: KitCheck) -> str:
        """One failed or unknown requirement: what is demanded and what the kit has."""
        return f"{self.demand(check)}, {self.has(check)}"

    def has(self, check: KitCheck, whose: str = "this kit") -> str:
        """What a kit has against a requirement; where that is not known, whose record or answer is silent."""
        if check.actual is not None:
            return self.wording.has(self.requirements[check.requirement].measure, check.actual, check.needed, whose)
        return f"it is not known: {reason}" if (reason := self.lacking(check)) else "it is not known"

    def lacking(self, check: KitCheck) -> str:
        """Why something is not known: the car's record, the maker, the caller; "" where nothing is left out."""
        sentences = []
        for of, text in LACKING.items():
            names = [lack.field for lack in check.lacks if lack.of == of]
            if names:
                sentences.append(text.format(self.wording.labels(names, most=3)))
        return "; ".join(sentences)

    def needed(self, posted: PostedRequirement) -> str:
        """The limit of a requirement of the record in words."""
        return self.wording.needed(posted.compare, posted.measure, posted.limit)

    def fact_text(self, name: str) -> str:
        """Label, value and origin: "engine torque: 430 N m (measured)"."""
        fact = self.record.facts.get(name)
        label = self.wording.label(name)
        if fact is None:
            return f"{label}: not known"
        return f"{label}: {self.wording.value(name, fact.value)} ({self.origin(name, fact.origin)})"

    def origin(self, name: str, origin: str) -> str:
        """Where a fact's value came from: "measured"; of a vague answer its ends too, "as you said, 400 to 450 N m"."""
        origin_text, answer = self.wording.origin(origin), self.record.case.answers.get(name)
        if answer is None or answer.low is None or answer.high is None or origin != answer.origin:
            return origin_text
        return f"{origin_text}, {self.wording.band(name, answer.low, answer.high)}"
