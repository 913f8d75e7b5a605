"""The decision record with a type: JSON data read once, asked by all who explain, print, keep or compare it.

Stored records are read for years. A part this program does not know is passed over; a part that came later than the
record is empty. Values are those of the JSON data: nothing is worked out, converted or rounded here.
"""

from collections.abc import Mapping
from dataclasses import MISSING, fields
from functools import cache, cached_property
from typing import Any

from ..errors import InputError
from ..frozen import frozen
from .recorded_around import (
    BesideThePick,
    DoubtfulValue,
    FigureStep,
    NarrowingFact,
    NearMiss,
    RecordedCloseCall,
    RecordedSpan,
    RecordedWish,
    SpanEnd,
)
from .recorded_case import RecordedAnswer, RecordedCase, RecordedChange
from .recorded_kits import (
    AddedPart,
    JudgedKit,
    KitAfter,
    KitBefore,
    KitCheck,
    LackingField,
    NearEqual,
    RecordedBasis,
    RecordedPick,
    RecordedStandIn,
    SettledByEstimate,
)
from .recorded_origin import MadeBy, RecordedShop
from .recorded_rules import PostedRequirement, RecordedFact, RecordedFiring
from .recorded_setup import SET_UP_PARTS, SetUp, SetUpItem

SCHEMA = "least-clutch decision 1"


@frozen(eq=False)
class RecordedCaution:
    """A caution and the rule that gave it; ``audience`` and ``weight`` as in `knowledge.model.Caution`."""

    id: str
    text: str
    safety: bool = False
    rule: str = ""
    stage: str = "case"
    audience: str = "both"
    weight: str = "living_with"


@frozen(eq=False)
class RecordedAssumption:
    """What was taken where nobody answered; ``matters``: whether another value changes the advice, None untried."""

    fact: str
    value: Any
    low: float | None = None
    high: float | None = None
    others: tuple = ()
    worst: bool = False
    basis: str = ""
    matters: bool | None = None


@frozen(eq=False)
class TakenValue:
    """A value that a fact takes in the harder reading."""

    fact: str
    value: Any


@frozen(eq=False)
class RecordedContradiction:
    """Answers that cannot all be true; ``ask``: the fact to ask again; ``decided_by``: harder_reading or None."""

    id: str
    rule: str
    ask: str
    title: str = ""
    facts: tuple[str, ...] = ()
    readings: tuple[str, ...] = ()
    because: str = ""
    undersizes: bool = False
    harder: tuple[TakenValue, ...] = ()
    decided_by: str | None = None


@frozen(eq=False)
class RecordedDenial:
    """An answer that differs from the car on file."""

    fact: str
    answer: Any
    platform: Any


@frozen(eq=False)
class MakerQuestion:
    """A field of a kit that its maker has to be asked for."""

    kit: str
    field: str


@frozen(eq=False)
class Correction:
    """Requirements that would have to be given up, and the kits that would then do."""

    give_up: tuple[str, ...]
    kits: tuple[str, ...]


@frozen(eq=False)
class NoFit:
    """Why no kit fits: ids that no kit meets together, `Correction`s, and changes of answers, each
    {sentence, answers, before, outcome, pick}.
    """

    kits_considered: int = 0
    conflicts: tuple[tuple[str, ...], ...] = ()
    corrections: tuple[Correction, ...] = ()
    changes: tuple[Mapping[str, Any], ...] = ()


@frozen(eq=False)
class RecordedLimit:
    """What a fitter measures against where the maker says nothing else."""

    low: float | None
    high: float | None
    unit: str = "1"
    why: str = ""


@frozen(slots=False)
class DecisionRecord:
    """A decision record, each part read when first asked for. ``data``: the JSON data it was read from."""

    data: Mapping[str, Any]

    @classmethod
    def of(cls, data: "Mapping[str, Any] | DecisionRecord") -> "DecisionRecord":
        """The record of JSON data; one that is read already as it is."""
        return data if isinstance(data, DecisionRecord) else cls(data)

    def _list(self, kind, part):
        return tuple(_entry(kind, entry, part) for entry in self.data.get(part) or ())

    def _one(self, kind, part):
        return _entry(kind, self.data[part], part) if self.data.get(part) else None

    # --- what was decided

    @property
    def schema(self) -> str:
        """Name and number of the form."""
        return self.data.get("schema", "")

    @property
    def outcome(self) -> str:
        """recommended, need_more_answers or no_kit_fits."""
        return self.data["outcome"]

    @cached_property
    def case(self) -> RecordedCase:
        """The case it answers."""
        return self._one(RecordedCase, "case")

    @cached_property
    def pick(self) -> RecordedPick | None:
        """The pick, or None."""
        return self._one(RecordedPick, "pick")

    @cached_property
    def picked(self) -> JudgedKit | None:
        """The kit of the pick, or None."""
        return next((kit for kit in self.kits.values() if kit.verdict == "picked"), None)

    @cached_property
    def next_down(self) -> KitBefore | None:
        """The nearest kit before the pick."""
        return self._one(KitBefore, "next_down")

    @cached_property
    def next_up(self) -> KitAfter | None:
        """The next kit with more capacity."""
        return self._one(KitAfter, "next_up")

    @cached_property
    def near_equals(self) -> tuple[NearEqual, ...]:
        """Kits hardly apart from the pick."""
        return self._list(NearEqual, "near_equals")

    @cached_property
    def span(self) -> RecordedSpan | None:
        """How far the advice may lie, or None."""
        return self._one(RecordedSpan, "span")

    @cached_property
    def wishes(self) -> tuple[RecordedWish, ...]:
        """Wishes that moved the pick."""
        return self._list(RecordedWish, "wishes")

    @cached_property
    def near_misses(self) -> tuple[NearMiss, ...]:
        """Kits that miss one wish by a little and are far cheaper."""
        return self._list(NearMiss, "near_misses")

    @cached_property
    def close_calls(self) -> tuple[RecordedCloseCall, ...]:
        """Numbers within whose uncertainty the pick changes, nearest first."""
        return self._list(RecordedCloseCall, "close_calls")

    @cached_property
    def requirements(self) -> dict[str, PostedRequirement]:
        """Id -> requirement, in the record's order."""
        return {posted.id: posted for posted in self._list(PostedRequirement, "requirements")}

    @cached_property
    def kits(self) -> dict[str, JudgedKit]:
        """Id -> kit, in the record's order."""
        return {kit.id: kit for kit in self._list(JudgedKit, "kits")}

    @cached_property
    def fitting(self) -> tuple[JudgedKit, ...]:
        """The kits that fit the car, gentlest first."""
        return tuple(sorted((kit for kit in self.kits.values() if kit.fits), key=lambda kit: kit.gentleness))

    @cached_property
    def nearest_first(self) -> tuple[JudgedKit, ...]:
        """The kits that fit the car: the pick, those that would do in their order, then those refused by the fewest."""
        return tuple(sorted(self.fitting, key=lambda kit: (kit.place is None, kit.place or 0, len(kit.refused_by))))

    @cached_property
    def setup(self) -> SetUp:
        """What goes with the pick."""
        return self._one(SetUp, "setup") or SetUp()

    @cached_property
    def cautions(self) -> tuple[RecordedCaution, ...]:
        """Cautions, those on safety first."""
        return self._list(RecordedCaution, "cautions")

    @cached_property
    def assumptions(self) -> tuple[RecordedAssumption, ...]:
        """What was taken where nobody answered."""
        return self._list(RecordedAssumption, "assumptions")

    @cached_property
    def denials(self) -> tuple[RecordedDenial, ...]:
        """Answers that differ from the car on file."""
        return self._list(RecordedDenial, "denials")

    @cached_property
    def contradictions(self) -> tuple[RecordedContradiction, ...]:
        """Answers that cannot all be true."""
        return self._list(RecordedContradiction, "contradictions")

    @property
    def asks(self) -> list[str]:
        """Facts whose answers would settle it."""
        return self.data.get("asks") or []

    @cached_property
    def ask_maker(self) -> tuple[MakerQuestion, ...]:
        """What makers would have to be asked."""
        return self._list(MakerQuestion, "ask_maker")

    @property
    def not_on_file(self) -> list[str]:
        """Facts the record of the car lacks."""
        return self.data.get("not_on_file") or []

    @cached_property
    def stand_ins(self) -> tuple[RecordedStandIn, ...]:
        """What was used where the record of the car leaves something out; those of kits stand with the kits."""
        return self._list(RecordedStandIn, "stand_ins")

    @cached_property
    def no_fit(self) -> NoFit | None:
        """Why no kit fits, or None."""
        return self._one(NoFit, "no_fit")

    # --- what it was made of

    @cached_property
    def facts(self) -> dict[str, RecordedFact]:
        """Name -> fact of stage case."""
        return {fact.name: fact for fact in self._list(RecordedFact, "facts")}

    @cached_property
    def values(self) -> dict[str, Any]:
        """Name -> value of every fact of stage case."""
        return {name: fact.value for name, fact in self.facts.items()}

    @cached_property
    def firings(self) -> dict[int, RecordedFiring]:
        """Number -> firing, each after what it stands on."""
        return {firing.id: firing for firing in self._list(RecordedFiring, "firings")}

    @cached_property
    def fired(self) -> dict[str, RecordedFiring]:
        """Rule or calculation -> its firing in stage case."""
        return {firing.rule: firing for firing in self.firings.values() if firing.stage == "case"}

    @cached_property
    def fired_in_setup(self) -> dict[str, RecordedFiring]:
        """Rule -> its firing in stage set-up."""
        return {firing.rule: firing for firing in self.firings.values() if firing.stage == "setup"}

    @property
    def records(self) -> Mapping[str, Mapping[str, Any]]:
        """Car, pick and the kits beside it as they were on file: id -> field -> value."""
        return self.data.get("records") or {}

    @cached_property
    def limits(self) -> dict[str, RecordedLimit]:
        """Name -> limit of the workshop."""
        return {name: _entry(RecordedLimit, limit, "limits") for name, limit in (self.data.get("limits") or {}).items()}

    @property
    def knowledge(self) -> Mapping[str, str]:
        """Digests of the rules and records it was made with, by name."""
        return self.data.get("knowledge") or {}

    @cached_property
    def shop(self) -> RecordedShop | None:
        """Whose records it was made from; None in records older than that."""
        return self._one(RecordedShop, "shop")

    @cached_property
    def made_by(self) -> MadeBy:
        """Who made it and when."""
        return self._one(MadeBy, "made_by") or MadeBy()

    # --- look-ups

    @property
    def pick_id(self) -> str | None:
        """Id of the pick, or None."""
        return self.pick.kit if self.pick else None

    def value(self, fact: str) -> object:
        """A fact's value, or None."""
        return self.values.get(fact)

    def figure(self, kit: str, name: str) -> float | None:
        """A kit's figure, or None."""
        return self.kits[kit].figures.get(name)


#: Parts of an entry that are an entry themselves, and those that are lists of entries.
_ONE: dict[type, dict[str, type]] = {
    RecordedFiring: {"basis": RecordedBasis},
    RecordedStandIn: {"basis": RecordedBasis, "settles": SettledByEstimate},
    RecordedSpan: dict.fromkeys(("gentle_end", "careful_end", "likely"), SpanEnd),
    RecordedWish: {"without": BesideThePick},
    NearMiss: {"beside": BesideThePick},
}
_SEVERAL: dict[type, dict[str, type]] = {
    RecordedCase: {"changed": RecordedChange},
    JudgedKit: {
        "failed": KitCheck,
        "unknown": KitCheck,
        "given_up": KitCheck,
        "adds": AddedPart,
        "stand_ins": RecordedStandIn,
    },
    KitCheck: {"lacks": LackingField},
    RecordedPick: {"because": KitCheck, "given_up": KitCheck},
    KitBefore: {"fails": KitCheck},
    KitAfter: {"adds": FigureStep},
    NearEqual: {"differences": FigureStep},
    BesideThePick: {"differences": FigureStep},
    NoFit: {"corrections": Correction},
    RecordedContradiction: {"harder": TakenValue},
    SetUp: dict.fromkeys(SET_UP_PARTS, SetUpItem),
    SpanEnd: {"otherwise": DoubtfulValue},
    RecordedSpan: {"narrows": NarrowingFact},
}


@cache
def _parts_of(kind):
    """Pairs (name, key in the data) of the parts of an entry, names of those that must be there, in order, and of those
    that are entries themselves: several of a kind, or one.
    """
    parts = fields(kind)
    must = [part.name for part in parts if part.default is MISSING and part.default_factory is MISSING]
    names = tuple((part.name, part.name.rstrip("_")) for part in parts)
    return names, tuple(must), tuple(_SEVERAL.get(kind, {}).items()), tuple(_ONE.get(kind, {}).items())


def _entry(kind, data, where):
    """One entry from JSON data. InputError where a part is missing without which it says nothing."""
    # Every line of a record comes through here: eight hundred times for one of a hundred kits.
    names, must, several, single = _parts_of(kind)
    given = {}
    for name, key in names:
        if key in data:
            given[name] = data[key]
    for name in must:
        if name not in given:
            raise InputError(
                f"the decision record is damaged: an entry under {where} lacks {name}.",
                remedy="Take an undamaged copy, or decide the case again.",
            )
    for name, inner in several:
        given[name] = tuple([_entry(inner, entry, where) for entry in given.get(name) or ()])
    for name, inner in single:
        if given.get(name) is not None:
            given[name] = _entry(inner, given[name], where)
    if kind is RecordedCase:
        answers = given.get("answers") or {}
        given["answers"] = {
            name: RecordedAnswer(answer["value"], answer["from"], answer.get("low"), answer.get("high"))
            for name, answer in answers.items()
        }
    return kind(**given)


def recorded_case(data: Mapping[str, Any]) -> RecordedCase:
    """The ``case`` part of a record, or its like in an entry of the casebook."""
    return _entry(RecordedCase, data, "case")
