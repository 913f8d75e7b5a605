"""One decision, in the order DESIGN gives it.

answers and platform -> case rules and calculations -> figures -> musts -> set-up rules for every kit that
passes -> total price -> shoulds -> ladder -> pick.
"""

import copy
import functools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Self

import numpy as np

from ..engine.disagreement import all_hold
from ..errors import InputError
from ..frozen import frozen
from ..knowledge.case_model import Case
from ..knowledge.model import STAGES, Knowledge, Record, Rule
from ..knowledge.near import nearest
from ..knowledge.shop import About
from ..knowledge.wording import Wording
from . import consistency, parts
from .answers import Known, check_names, gather
from .assumptions import taken_otherwise
from .batch import BatchDecider
from .figures import FigureProgram
from .judging import DECLINED_TOPIC, Judge, Judged, fit_musts, refused
from .kit_columns import FactColumns, KitColumns
from .outcomes import MORE_ANSWERS, NO_KIT, RECOMMENDED, Outcome
from .setting_up import PriceColumns, SettingUp
from .span import Spanner
from .stand_ins import StandIn, StandIns
from .unknowns import Producers, needed, taken_careful, what_would_settle
from .upstream import Upstream
from .verdicts import check

if TYPE_CHECKING:
    from ..engine.derivation import Derivation
    from ..engine.rulebase import RuleBase
    from ..knowledge.sources import Content


@frozen(slots=False)
class Shop:
    """The records a decision is made from; ``about``: whose they are, None where the knowledge is older than that."""

    kits: tuple
    platforms: tuple
    parts: tuple
    hashes: Mapping[str, str] = field(default_factory=dict)
    about: About | None = None

    @classmethod
    def of(cls, content: "Content") -> Self:
        """The records of read `sources.Content`."""
        return cls(content.kits, content.platforms, content.parts, content.hashes, content.shop)

    @property
    def currency(self) -> str:
        """What prices are in: the first that a kit names, else the shop's."""
        named = (kit.fields["currency"] for kit in self.kits if kit.fields.get("currency"))
        return next(named, self.about.currency if self.about else "")

    def wording(self, knowledge: Knowledge, system: str = "si") -> Wording:
        """A `Wording` of these records' titles and currency in a system of units, numbers as the shop writes them."""
        return self._words(knowledge, system, self.about.numbers if self.about else "en")

    def kept_wording(self, knowledge: Knowledge) -> Wording:
        """The `Wording` of what is kept: the same whatever units the shop works in and however it writes numbers."""
        return self._words(knowledge, "si", "en")

    def _words(self, knowledge, system, numbers):
        records = {record.id: record for record in (*self.kits, *self.platforms, *self.parts)}
        return Wording(knowledge, system, self.currency, records, numbers)

    def platform(self, name: str) -> Record:
        """The platform Record of that id; InputError with the nearest ids where there is none."""
        for platform in self.platforms:
            if platform.id == name:
                return platform
        ids = [platform.id for platform in self.platforms]
        near = nearest(name, ids, 3) or ids[:3]
        raise InputError(
            f"no platform {name!r} is on file.",
            value=name,
            remedy=f"Nearest: {', '.join(near)}. Or leave platform out and answer the fitment questions."
            if near
            else "Leave platform out and answer the fitment questions.",
        )


@dataclass(kw_only=True, eq=False, repr=False)
class Decision(Judged):
    """Everything a decision came from and came to; arrays have one case row.

    ``order``: indices of passing kits, pick first. ``setups``: index -> Chosen items; ``setup_derivations``: index ->
    Derivation; ``asks``: facts that would settle the case; ``ask_first``: those of them that were taken at their worst,
    and with another value give a kit; ``finder``: finds what was taken where records leave something out.
    """

    case: Case
    platform: Record | None
    known: Known
    derivation: "Derivation"
    knowledge: Knowledge
    shop: Shop
    engines_agreed: bool | None
    finder: StandIns
    outcome: str = NO_KIT
    order: tuple = ()
    setups: Mapping = field(default_factory=dict)
    setup_derivations: Mapping = field(default_factory=dict)
    asks: tuple = ()
    ask_maker: tuple = ()
    not_on_file: tuple = ()
    ask_first: tuple = ()

    @functools.cached_property
    def wording(self) -> Wording:
        """The `Wording` of what is written into the record."""
        return self.shop.kept_wording(self.knowledge)

    @functools.cached_property
    def rules(self) -> dict[str, Rule]:
        """Rule id -> Rule."""
        return {rule.id: rule for rule in self.knowledge.rules}

    @functools.cached_property
    def stand_ins(self) -> dict[int, tuple[StandIn, ...]]:
        """Index of a kit -> its `StandIn`s; a decision that looked at figures only."""
        posted = [check.requirement for check in self.checks]
        return self.finder.of_kits(self.figures, 0, posted, self.fits[0])

    @functools.cached_property
    def stand_ins_of_car(self) -> tuple[StandIn, ...]:
        """The `StandIn`s for what the record of the car leaves out; none where it is not on file."""
        if self.platform is None:
            return ()
        posted = [check.requirement for check in self.checks]
        return self.finder.of_car(self.figures, 0, self.derivation.held_branches(), posted)

    @functools.cached_property
    def place_of(self) -> dict[int, int]:
        """Index of a passing kit -> its place, the pick's 1."""
        return {index: place for place, index in enumerate(self.order, 1)}

    @functools.cached_property
    def producers(self) -> Producers:
        """Goes from what is not known to what would have to be."""
        return Producers(self)

    @property
    def picked(self) -> int:
        """As `pick`, where there is one."""
        assert self.pick is not None, "no kit is picked"
        return self.pick

    @property
    def pick(self) -> int | None:
        """Index of the picked kit, or None."""
        return self.order[0] if self.outcome == RECOMMENDED else None

    @property
    def picked_id(self) -> str | None:
        """Id of the picked kit, or None."""
        return None if self.pick is None else self.kits.ids[self.pick]


class Decider:
    """Decides cases with one set of knowledge, one shop and a pair of engines.

    ``derive(stage, facts, answered)`` gives a Derivation; it is the injected engine pair (or any one engine).
    ``bases``: stage -> RuleBase, where they are made already.
    """

    def __init__(
        self,
        knowledge: Knowledge,
        shop: "Shop",
        derive: "Callable[..., Derivation]",
        engines_agreed: bool | None = None,
        bases: "Mapping[str, RuleBase] | None" = None,
    ) -> None:
        self.knowledge = knowledge
        self.shop = shop
        self.derive = derive
        self.engines_agreed = engines_agreed
        self.bases = bases or {}
        self.kits = KitColumns.of(shop.kits, knowledge)
        self.figures = FigureProgram(knowledge)
        self.rules = {rule.id: rule for rule in knowledge.rules}
        self.judge = Judge(knowledge, self.figures)
        self.setting_up = SettingUp(knowledge, shop.parts)
        self.stand_ins = StandIns(knowledge)
        self.fit_musts = fit_musts(knowledge)
        self.declining = tuple(rule for rule in knowledge.rules if rule.topic == DECLINED_TOPIC and rule.require)
        self.consistent_rules = any(rule.stage == consistency.STAGE for rule in knowledge.rules)
        self._kits_by_id = {kit.id: kit for kit in shop.kits}

    def decide(self, case: Case) -> "Decision":
        """A `Decision` on one Case."""
        platform, known = self.gather(case)
        return self.decide_known(case, platform, known)

    def gather(self, case: Case) -> tuple[Record | None, Known]:
        """The platform Record (or None) and `Known` facts of a case."""
        self.check(case)
        platform = self.shop.platform(case.platform) if case.platform else None
        return platform, self.known_of(case, platform)

    def check(self, case: Case) -> None:
        """InputError where a case answers, or insists on, what there is none of."""
        check_names(case, self.knowledge)
        consistency.check_insist(case, self.knowledge)

    def known_of(self, case: Case, platform: Record | None) -> Known:
        """`Known` facts of a case whose answers' names are checked: contradictions found, what is declined marked."""
        known = self.marked(gather(case, platform, self._kits_by_id, self.knowledge, self.kits.estimates))
        if known.declined:
            return known
        if not self.consistent_rules:
            return replace(known, clashes=consistency.Clashes())
        clashes = consistency.find(known, case.insist, self.rules, self.derive)
        return consistency.settled(known, clashes, self.knowledge)

    def bare(self, platform: str) -> Known:
        """`Known` facts of a car, by its id or "", where nobody has answered anything."""
        record = self.shop.platform(platform) if platform else None
        return gather(Case("", platform, {}), record, self._kits_by_id, self.knowledge, self.kits.estimates)

    def variant_of(self, case: Case, platform: Record | None) -> Known:
        """As `known_of` for a case tried among many: its contradictions are looked for when the batch is decided."""
        return (
            self.known_of(case, platform)
            if case.insist
            else gather(case, platform, self._kits_by_id, self.knowledge, self.kits.estimates)
        )

    def marked(self, known: Known) -> Known:
        """`Known`; where no kit is for such a vehicle, declined, with nothing missing and no contradiction."""
        if not self._declines(known):
            return known
        return replace(known, missing=(), declined=True, clashes=consistency.Clashes())

    def _declines(self, known):
        """Does what is known post a must of the topic of what is declined that refuses every kit?

        Its rules read answers and records only, so it is known before anything is derived.
        """
        for rule in self.declining:
            if all_hold(rule, known.facts, known.facts, known.answered):
                every = np.ones((1, 1), dtype=bool)
                facts = FactColumns.of_case(known.facts)
                if any(
                    refused([check(requirement, every, self.kits, facts, None)], (1, len(self.kits))).all()
                    for requirement in rule.require
                ):
                    return True
        return False

    def decide_known(self, case: Case, platform: Record | None, known: Known, *, ask_first: bool = True) -> "Decision":
        """As `decide`, from facts already gathered; ``ask_first`` as in `outcomes`."""
        derived = self.derive("case", known.facts, known.answered)
        decision = Decision(
            kits=self.kits,
            fit_musts=frozenset(must.id for must in self.fit_musts),
            case=case,
            platform=platform,
            known=known,
            derivation=derived,
            knowledge=self.knowledge,
            shop=self.shop,
            engines_agreed=self.engines_agreed,
            finder=self.stand_ins,
        )
        decision.asks = () if known.declined else needed(self.knowledge, known.missing, derived.facts)
        if decision.asks:
            decision.outcome = MORE_ANSWERS
            return decision
        facts = FactColumns.of_case(derived.facts)
        self.judge.judge(decision, facts, self._posted(derived), self._set_up)
        self._pick(decision)
        if decision.outcome == NO_KIT and ask_first and not known.declined:
            decision.asks = decision.ask_first = self._to_ask_first(case, platform, known)
            decision.outcome = MORE_ANSWERS if decision.asks else NO_KIT
        return decision

    def _to_ask_first(self, case, platform, known):
        """Asked facts taken at their worst where another value alone gives a kit: asked before all is told."""
        asks = []
        for fact, other in taken_otherwise(known, self.knowledge):
            if fact not in asks and self.decide_known(case, platform, other, ask_first=False).outcome == RECOMMENDED:
                asks.append(fact)
        return tuple(asks)

    def outcomes(
        self, case: Case, platform: Record | None, knowns: Sequence[Known], *, ask_first: bool = True
    ) -> list[Outcome]:
        """An ``Outcome`` (see `outcomes`) for each of several sets of facts of one case, in their order.

        ``ask_first``: with what is to be asked first where no kit passes; a search for kits needs no such thing.
        """
        return self.batch.outcomes(knowns, platform, ask_first=ask_first)

    def with_estimates_at(self, end: str) -> "Decider":
        """As this one, what was estimated of kits counting as known at one end of it; itself where nothing was."""
        kits = self.kits.at(end)
        if kits is self.kits:
            return self
        other = copy.copy(self)
        for name in ("batch", "spanner"):
            vars(other).pop(name, None)
        other.kits = kits
        return other

    @functools.cached_property
    def batch(self) -> BatchDecider:
        """The `batch.BatchDecider` of the same knowledge and shop."""
        return BatchDecider(self)

    @functools.cached_property
    def upstream(self) -> Upstream:
        """The `upstream.Upstream` of the same knowledge."""
        return Upstream(self.knowledge)

    @functools.cached_property
    def spanner(self) -> Spanner:
        """The `span.Spanner` of the same knowledge and shop."""
        return Spanner(self)

    def _posted(self, derived):
        """Requirements of the rules that fired, in the order of their ids, for the one case there is."""
        fired, here = derived.fired(), np.ones((1, 1), dtype=bool)
        posted = (requirement for rule in self.knowledge.rules if rule.id in fired for requirement in rule.require)
        return [(posting, here) for posting in sorted(posted, key=lambda posting: posting.id)]

    def _set_up(self, decision):
        """Set-up of every passing kit by the engines of the decision; gives what they come to, one row."""
        certain, likely = (np.full((1, len(self.kits)), np.nan) for _ in range(2))
        for index in map(int, np.flatnonzero(decision.passes[0])):
            kit = self.kits.kits[index]
            facts = self.setting_up.facts(decision.derivation.facts, kit, decision.figures, 0, index)
            derived = self.derive("setup", facts, decision.known.answered.intersection(facts))
            chosen = self.setting_up.chosen(derived, kit, decision.case.platform)
            decision.setups[index], decision.setup_derivations[index] = chosen, derived
            price = parts.price_of(kit, chosen)
            if price is not None:
                certain[0, index], likely[0, index] = price.certain, price.likely
        return PriceColumns(certain, likely)

    def _pick(self, decision):
        places = decision.places[0]
        passing = map(int, np.flatnonzero(decision.passes[0]))
        decision.order = tuple(sorted(passing, key=lambda index: places[index]))
        if decision.order:
            decision.outcome = RECOMMENDED
            return
        lacking = what_would_settle(decision)
        statuses = [(check.requirement, check.status[0]) for check in decision.checks]
        taken = self.stand_ins.to_ask(decision.figures, 0, statuses, decision.fits[0])
        decision.asks, decision.ask_maker = lacking.asks, tuple(sorted({*lacking.maker, *taken}))
        decision.not_on_file = tuple(sorted({*lacking.not_on_file, *taken_careful(decision)}))
        decision.outcome = MORE_ANSWERS if decision.asks else NO_KIT


def decider_of(content: "Content", *, isolated: bool = False) -> "Decider":
    """A `Decider` over read content (knowledge, kits, platforms, parts), each decision derived by two engines.

    ``isolated``: the C engine runs in a process of its own, so that its crash is an error and not the program's end.
    """
    from ..engine import prepared
    from ..engine.compare import TwoEngines, available_engines, engines_of

    key = content.knowledge_key
    held = prepared.fetch(key)
    engines = {
        stage: TwoEngines(content.knowledge, stage, isolated=True, prepared=held.get(stage))
        if isolated
        else engines_of(content.knowledge, stage, held.get(stage))
        for stage in STAGES
    }
    if key and not held:
        prepared.keep(key, {stage: engine.prepared for stage, engine in engines.items()})
    return Decider(
        content.knowledge,
        Shop.of(content),
        lambda stage, facts, answered: engines[stage].derive(facts, answered).derivation,
        engines_agreed=len(available_engines()) > 1,
        bases={stage: engine.base for stage, engine in engines.items()},
    )
