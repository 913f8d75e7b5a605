"""Takes numbers for a sheet out of the decision record, and words also out of the rules it was made with.

Every piece made here carries its source, a path of names:

    fact/NAME  figure/KIT/NAME  record/KEY/KEY/...     the decision record
    kit/ID/FIELD  title/ID                             records of car, pick and next kits, kept in it
    limit/NAME/END  limit/NAME/why                     the workshop's limits, kept in it
    because/RULE  sentence/RULE  label/NAME  question/FACT     words of the rules it was made with
    reading/WORKSHEET/NAME                             a reading, or computed from readings by a mechanics function
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeAlias

from ...deciding.decision_record import DecisionRecord, KitCheck, RecordedPick
from ...deciding.recorded_rules import PostedRequirement, RecordedFiring
from ...explaining.worded import WordedRecord
from ...knowledge.sentences import capital
from ...knowledge.wording import COMPARES, Wording, demanded
from .blocks import Number, Parts, Piece, Pieces, Quoted, pieces

NOT_KNOWN = "not known"
NOT_PRINTED = "a length that stands on something assumed and is to be measured"
KGF = 9.80665
#: What a figure that is a step of a scale is called, and each step in words.
Scale: TypeAlias = tuple[str, Mapping[int, str]]


class Page:
    """Pieces from one `DecisionRecord` (or its JSON data), in the words (and units) of ``wording``.

    ``guarded``: people work by this sheet, so a length that stands on something assumed is not printed.
    ``scales``: figure -> (name, {step: words}) for figures that are steps of a scale, told in words.
    """

    def __init__(
        self,
        record: DecisionRecord | Mapping[str, object],
        wording: Wording,
        guarded: bool = False,
        scales: Mapping[str, Scale] | tuple[()] = (),
        counts: bool = True,
    ) -> None:
        self.scales = dict(scales)
        self.worded = WordedRecord(record, wording)
        self.record, self.wording, self.provenance = self.worded.record, wording, self.worded.provenance
        self.guarded, self.counts = guarded, counts
        self.pick_id = self.record.pick_id

    @property
    def picked(self) -> str:
        """Id of the pick, asked for only where there is one."""
        return self.worded.picked

    @property
    def advised(self) -> RecordedPick:
        """The pick, asked for only where there is one."""
        return self.worded.advised

    def fields(self, kit: str) -> Mapping[str, Any]:
        """The fields of a kit as they stand in the decision record."""
        return self.record.records[kit]

    # --- values -------------------------------------------------------------------------------

    def value(
        self,
        name: str,
        value: Any,
        source: str,
        kit: str | None = None,
        limit_facts: Sequence[str] | None = None,
        beside: Any = None,
    ) -> Piece:
        """A piece for a value of the fact, figure (of ``kit``, the pick unless named) or kit field ``name``.

        For a limit on it ``limit_facts`` are the facts the limit comes from. It is told apart from a number ``beside``.
        """
        if value is None:
            return NOT_KNOWN
        if name in self.scales:
            return self.scales[name][1][int(value)]
        if name in ("total_price", "likely_price"):
            return self.money(value, self.field_value("currency") if self.pick_id else "", source)
        text = self.wording.beside(name, value, beside)
        if not isinstance(value, float):
            return Quoted(text, source)
        if self.guarded and self._unit(name) == "mm":
            names = [name] if limit_facts is None else limit_facts
            if any(self.assumed_behind(behind, kit) for behind in names):
                return NOT_PRINTED
        return Number(text, value, self._unit(name), source)

    def assumed_behind(self, name: str, kit: str | None = None) -> frozenset[str]:
        """Names of what was assumed on the way to a fact or a kit's figure."""
        if name in self.wording.knowledge.figures:
            return self.provenance.assumed_behind_figure(name, kit or self.picked)
        return self.provenance.assumed_behind_fact(name)

    def _unit(self, name):
        knowledge = self.wording.knowledge
        word = knowledge.facts.get(name) or knowledge.figures.get(name) or knowledge.kit_fields.get(name)
        return (word.unit or "1") if word else "1"

    def fact(self, name: str) -> Piece:
        """A fact of the case, "not known" where it has no value."""
        return self.value(name, self.fact_value(name), f"fact/{name}")

    def fact_value(self, name: str) -> Any:
        """A fact's bare value, or None."""
        return self.record.value(name)

    def figure(self, name: str, kit: str | None = None) -> Piece:
        """A figure of a kit (the pick unless named)."""
        kit = kit or self.picked
        piece = self.value(name, self.figure_value(name, kit), f"figure/{kit}/{name}", kit)
        if isinstance(piece, Number) and name in self.record.kits[kit].estimated_figures:
            return replace(piece, text=f"{piece.text} (estimated)")
        return piece

    def figure_value(self, name: str, kit: str | None = None) -> Any:
        """A figure's bare value, or None."""
        return self.record.figure(kit or self.picked, name)

    def field(self, name: str, kit: str | None = None) -> Piece:
        """A field of a kit's record."""
        kit = kit or self.picked
        piece = self.value(name, self.field_value(name, kit), f"kit/{kit}/{name}")
        if isinstance(piece, Number) and name in self.record.kits[kit].estimated_fields:
            return replace(piece, text=f"{piece.text} (estimated)")
        return piece

    def field_value(self, name: str, kit: str | None = None) -> Any:
        """A kit field's bare value, or None."""
        return self.fields(kit or self.picked).get(name)

    def recorded(self, name: str, *path: str | int) -> Piece:
        """A value at a place of the decision record, shown as fact, figure or field ``name``."""
        place: Any = self.record.data
        for key in path:
            place = place[key]
        return self.value(name, place, "record/" + "/".join(str(key) for key in path))

    def money(self, value: float | None, currency: str | None, source: str) -> Piece:
        """A price."""
        if value is None:
            return "price not known"
        return Number(self.wording.money(value, currency), value, currency or "", source)

    @property
    def currency(self) -> str:
        """What the shop's prices are in."""
        return self.wording.currency

    def plain(self, value: Any, *path: str | int) -> Number:
        """A plain number at a place of the decision record."""
        return Number(
            self.wording.written(f"{value:g}"), float(value), "1", "record/" + "/".join(str(key) for key in path)
        )

    def percent(self, value: Any, *path: str | int) -> Number:
        """A share in whole per cent at a place of the decision record."""
        return Number(f"{value} %", float(value), "%", "record/" + "/".join(str(key) for key in path))

    def wish(self, name: str) -> Piece:
        """What an answer asks for."""
        question = self.wording.knowledge.questions[name]
        return Quoted(capital(question.wish), f"wish/{name}") if question.wish else self.label(name)

    def count(self, value: float, source: str) -> Number:
        """A whole number without a unit."""
        return Number(f"{value:.0f}", float(value), "1", source)

    def limit(self, name: str, end: str = "high") -> Number:
        """One end of a workshop limit, with its unit."""
        limit = self.record.limits[name]
        value, unit = getattr(limit, end), limit.unit
        return Number(self.wording.number(value, unit), value, unit, f"limit/{name}/{end}")

    def limit_why(self, name: str) -> Quoted:
        """Where a workshop limit comes from."""
        return Quoted(self.wording.written(self.record.limits[name].why), f"limit/{name}/why")

    def scale_mark(self, name: str, kit: str | None = None) -> Piece:
        """A force as a bathroom scale under the foot would show it: the same number in kgf, written kg, or lb."""
        value = self.figure_value(name, kit) if name in self.wording.knowledge.figures else self.fact_value(name)
        source = f"figure/{kit or self.pick_id}/{name}" if name in self.wording.knowledge.figures else f"fact/{name}"
        if value is None:
            return NOT_KNOWN
        if self.wording.system == "trade":
            return Number(self.wording.number(value, "N").replace("lbf", "lb"), value, "N", source)
        return Number(f"{value / KGF:.0f} kg", value, "N", source)

    # --- words --------------------------------------------------------------------------------

    def label(self, name: str) -> Piece:
        """What a fact, figure or kit field is called."""
        return self.scales[name][0] if name in self.scales else Quoted(self.wording.label(name), f"label/{name}")

    def title(self, record_id: str) -> Quoted:
        """A record's title."""
        return Quoted(str(self.record.records.get(record_id, {}).get("title", record_id)), f"title/{record_id}")

    def name(self, text: object, *path: str | int) -> Quoted:
        """A text at a place of the decision record; that of a set-up item or caution in the caller's units."""
        shown = str(text)
        if path[-1:] == ("text",) and path[0] in ("setup", "cautions"):
            of_kind = self.record.setup.of(str(path[1])) if path[0] == "setup" else self.record.cautions
            shown = self.worded.told(of_kind[int(path[-2])])
        return Quoted(shown, "record/" + "/".join(str(key) for key in path))

    def because(self, rule: str) -> Quoted:
        """Why a rule says what it says."""
        return Quoted(self.worded.because(rule), f"because/{rule}")

    def sentence(self, rule: str) -> Quoted:
        """The first sentence of it."""
        return Quoted(self.worded.sentence(rule), f"sentence/{rule}")

    def question(self, name: str) -> Piece:
        """How a fact is asked, in plain words."""
        question = self.wording.knowledge.questions.get(name)
        return Quoted(question.plain, f"question/{name}") if question else self.label(name)

    def how_to_find(self, name: str) -> Piece:
        """How the answer to a question can be found out; empty where nobody says."""
        question = self.wording.knowledge.questions.get(name)
        return Quoted(question.help, f"help/{name}") if question and question.help else ""

    # --- requirements -------------------------------------------------------------------------

    def needed(self, requirement: PostedRequirement, value: Any, source: str, beside: Any = None) -> Pieces:
        """In words, as "at least 523 N m", "one of organic, ceramic"; told apart from a number ``beside``."""
        if value is None:
            return (NOT_KNOWN,)
        if isinstance(value, dict):
            return pieces("that of the kit: ", self.label(value["kit"]))
        measure = requirement.measure
        if requirement.compare == "between":
            low, high = (
                self.value(measure, end, f"{source}/{place}", limit_facts=requirement.limit_facts)
                for place, end in enumerate(value)
            )
            return pieces("between ", low, " and ", high)
        word = COMPARES[requirement.compare].partition("{")[0].rstrip()
        if isinstance(value, list):
            return pieces(f"{word} " if word else "", Quoted(self.wording.value(measure, value), source))
        return pieces(
            f"{word} " if word else "",
            self.value(measure, value, source, limit_facts=requirement.limit_facts, beside=beside),
        )

    def demand(self, posted: PostedRequirement) -> Pieces:
        """As "bearing load: at most 2 kN": what a posted requirement limits, and its limit."""
        place = list(self.record.requirements).index(posted.id)
        needed = self.needed(posted, posted.limit, f"record/requirements/{place}/limit")
        return pieces(self.label(posted.measure), ": ", needed)

    def failure(self, check: KitCheck, *path: str | int) -> Pieces:
        """One failed or unknown requirement: what is needed and what the kit has."""
        requirement = self.record.requirements[check.requirement]
        source = "record/" + "/".join(str(key) for key in path)
        needed = self.needed(requirement, check.needed, f"{source}/needed", check.actual)
        has: Parts = ", ", self.unknown(check)
        if check.actual is not None:
            kit = self._kit_at(path)
            has = (
                ", this kit has ",
                self.value(requirement.measure, check.actual, f"{source}/actual", kit, beside=check.needed),
            )
        return pieces(
            self.label(requirement.measure),
            ": ",
            needed,
            f" {demanded(requirement.compare, requirement.level)}",
            has,
            ".",
        )

    def unknown(self, check: KitCheck) -> str:
        """That something about a kit is not known, and whose record is silent."""
        return self.worded.has(check)

    def _kit_at(self, path):
        """The kit that an entry of the record is about."""
        if path[0] == "kits":
            return list(self.record.kits)[path[1]]
        return getattr(self.record, path[0]).kit

    def margin(self, check: KitCheck, *path: str | int) -> Pieces:
        """One met requirement: what is needed and what the kit has."""
        requirement = self.record.requirements[check.requirement]
        source = "record/" + "/".join(str(key) for key in path)
        needed = self.needed(requirement, check.needed, f"{source}/needed", check.actual)
        actual = self.value(requirement.measure, check.actual, f"{source}/actual", beside=check.needed)
        how = demanded(requirement.compare, requirement.level)
        return pieces(self.label(requirement.measure), ": ", needed, f" {how}, it has ", actual, ".")

    def because_of(self, firing: RecordedFiring, place: int) -> Quoted:
        """Why a rule or calculation that fired says what it says."""
        if firing.kind == "rule":
            return self.because(firing.rule)
        return self.name(firing.because, "firings", place, "because")

    def kit_index(self, kit: str) -> int:
        """The place of a kit in the record's list."""
        return list(self.record.kits).index(kit)

    @property
    def invented(self) -> bool:
        """Whether the car or any kit shown is an invented one."""
        named = (self.pick_id, self.record.case.platform, *self.record.kits)
        shown, records = [record_id for record_id in named if record_id], self.wording.records
        shop = self.record.shop
        return (
            self.record.case.invented
            or (shop is not None and shop.invented)
            or any(records[record_id].fields.get("invented") for record_id in shown if record_id in records)
        )
