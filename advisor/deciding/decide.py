"""One decision, in the order DESIGN gives it.

answers and platform -> case rules and calculations -> figures -> musts -> set-up rules for every kit that
passes -> total price -> shoulds -> ladder -> pick.
"""

import functools
from dataclasses import dataclass, field, replace
from typing import Mapping

import numpy as np

from ..engine.conflict import holds
from ..errors import InputError
from ..knowledge.model import STAGES
from ..knowledge.wording import Wording
from . import consistency, ladder, parts
from .answers import Known, check_names, gather
from .checks import FAIL, NOT_ASKED, UNKNOWN, check, verdict_masks
from .columns import FactColumns, KitColumns
from .figures import FigureProgram

RECOMMENDED, MORE_ANSWERS, NO_KIT = "recommended", "need_more_answers", "no_kit_fits"
FIT_TOPIC = "fit"
#: The topic of what is not advised on: where a must of it refuses every kit, no further answer could help.
DECLINED_TOPIC = "declined"
#: Musts on what fits the vehicle at all.
FIT_TOPICS = (FIT_TOPIC, DECLINED_TOPIC)


@dataclass(frozen=True)
class Shop:
    """The records a decision is made from."""

    kits: tuple
    platforms: tuple
    parts: tuple
    hashes: Mapping[str, str] = field(default_factory=dict)

    @property
    def currency(self):
        """What prices are in: the first that a kit names, else empty."""
        return next((kit.fields["currency"] for kit in self.kits if kit.fields.get("currency")), "")

    def wording(self, knowledge, system="si"):
        """A `Wording` of these records' titles and currency in a system of units."""
        records = {record.id: record for record in (*self.kits, *self.platforms, *self.parts)}
        return Wording(knowledge, system, self.currency, records)

    def platform(self, name):
        """The platform Record of that id; InputError with the nearest ids where there is none."""
        import difflib

        for platform in self.platforms:
            if platform.id == name:
                return platform
        ids = [platform.id for platform in self.platforms]
        near = difflib.get_close_matches(name, ids, 3) or ids[:3]
        raise InputError(
            f"no platform {name!r} is on file.",
            value=name,
            remedy=f"Nearest: {', '.join(near)}. Or leave platform out and answer the fitment questions."
            if near
            else "Leave platform out and answer the fitment questions.",
        )


@dataclass
class Decision:
    """Everything a decision came from and came to; arrays have one case row.

    ``order``: indices of passing kits, pick first. ``kits`` is the KitColumns; ``setups``: index -> Chosen items;
    ``setup_derivations``: index -> Derivation; ``asks``: facts that would settle the case; ``ask_first``: those of them
    that were taken at their worst, and with another value give a kit.
    """

    case: object
    platform: object
    known: Known
    derivation: object
    knowledge: object
    shop: Shop
    kits: KitColumns
    engines_agreed: object
    outcome: str = NO_KIT
    checks: tuple = ()
    figures: object = None
    passes: np.ndarray = None
    failed: np.ndarray = None
    unjudged: np.ndarray = None
    concerns: np.ndarray = None
    order: tuple = ()
    setups: Mapping = field(default_factory=dict)
    setup_derivations: Mapping = field(default_factory=dict)
    asks: tuple = ()
    ask_maker: tuple = ()
    not_on_file: tuple = ()
    gentle_ranks: np.ndarray = None
    gentle_keys: tuple = ()
    ask_first: tuple = ()

    @functools.cached_property
    def wording(self):
        """The `Wording` of what is written into the record."""
        return self.shop.wording(self.knowledge)

    @functools.cached_property
    def rules(self):
        """Rule id -> Rule."""
        return {rule.id: rule for rule in self.knowledge.rules}

    @property
    def pick(self):
        """Index of the picked kit, or None."""
        return self.order[0] if self.outcome == RECOMMENDED else None


class Decider:
    """Decides cases with one set of knowledge, one shop and a pair of engines.

    ``derive(stage, facts, answered)`` gives a Derivation; it is the injected engine pair (or any one engine).
    ``bases``: stage -> RuleBase, where they are made already.
    """

    def __init__(self, knowledge, shop, derive, engines_agreed=None, bases=None):
        self.knowledge = knowledge
        self.shop = shop
        self.derive = derive
        self.engines_agreed = engines_agreed
        self.bases = bases or {}
        self.kits = KitColumns(shop.kits, knowledge)
        self.figures = FigureProgram(knowledge)
        self.rules = {rule.id: rule for rule in knowledge.rules}
        self.setup_reads = setup_reads(knowledge)
        self.declining = tuple(rule for rule in knowledge.rules if rule.topic == DECLINED_TOPIC and rule.require)
        self.consistent_rules = any(rule.stage == consistency.STAGE for rule in knowledge.rules)
        self._kits_by_id = {kit.id: kit for kit in shop.kits}
        self._batch = None

    def decide(self, case):
        """A `Decision` on one Case."""
        platform, known = self.gather(case)
        return self.decide_known(case, platform, known)

    def gather(self, case):
        """The platform Record (or None) and `Known` facts of a case."""
        check_names(case, self.knowledge)
        consistency.check_insist(case, self.knowledge)
        platform = self.shop.platform(case.platform) if case.platform else None
        return platform, self.known_of(case, platform)

    def known_of(self, case, platform):
        """`Known` facts of a case whose answers' names are checked: contradictions found, what is declined marked."""
        known = self.marked(gather(case, platform, self._kits_by_id, self.knowledge))
        if known.declined:
            return known
        if not self.consistent_rules:
            return replace(known, clashes=consistency.Clashes())
        clashes = consistency.find(known, case.insist, self.rules, self.derive)
        return consistency.settled(known, clashes, self.knowledge)

    def variant_of(self, case, platform):
        """As `known_of` for a case tried among many: its contradictions are looked for when the batch is decided."""
        return self.known_of(case, platform) if case.insist else gather(case, platform, self._kits_by_id, self.knowledge)

    def marked(self, known):
        """`Known`, and where no kit is for such a vehicle marked as declined, with nothing missing and no contradiction."""
        if not self._declines(known):
            return known
        return replace(known, missing=(), declined=True, clashes=consistency.Clashes())

    def _declines(self, known):
        """Does what is known post a must of the topic of what is declined that refuses every kit?

        Its rules read answers and records only, so it is known before anything is derived.
        """
        for rule in self.declining:
            held = [holds(one, known.facts, known.facts, known.answered) for one in (*rule.all, *rule.any)]
            if all(held[: len(rule.all)]) and (not rule.any or any(held[len(rule.all) :])):
                every = np.ones((1, 1), dtype=bool)
                facts = FactColumns.of_case(known.facts)
                if any((check(one, every, self.kits, facts, None).status == FAIL).all() for one in rule.require):
                    return True
        return False

    def decide_known(self, case, platform, known, *, ask_first=True):
        """As `decide`, from facts already gathered; ``ask_first`` as in `outcomes`."""
        derived = self.derive("case", known.facts, known.answered)
        decision = Decision(
            case, platform, known, derived, self.knowledge, self.shop, self.kits, self.engines_agreed
        )
        decision.asks = () if known.declined else self._cannot_do_without(known, derived)
        if decision.asks:
            decision.outcome = MORE_ANSWERS
            return decision
        self._judge(decision)
        if decision.outcome == NO_KIT and ask_first and not known.declined:
            decision.asks = decision.ask_first = self._to_ask_first(case, platform, known)
            decision.outcome = MORE_ANSWERS if decision.asks else NO_KIT
        return decision

    def _to_ask_first(self, case, platform, known):
        """Asked facts taken at their worst in whose place another value alone gives a kit: asked before anything is told."""
        found = []
        for fact, other in taken_otherwise(known, self.knowledge):
            if fact not in found and self.decide_known(case, platform, other, ask_first=False).outcome == RECOMMENDED:
                found.append(fact)
        return tuple(found)

    def outcomes(self, case, platform, knowns, *, ask_first=True):
        """An ``Outcome`` (see `batch`) for each of several sets of facts of one case, in their order.

        ``ask_first``: with what is to be asked first where no kit passes; a search for kits needs no such thing.
        """
        return self.batch.outcomes(knowns, platform, ask_first=ask_first)

    @property
    def batch(self):
        """The `batch.BatchDecider` of the same knowledge and shop, made when first asked for."""
        if self._batch is None:
            from .batch import BatchDecider

            self._batch = BatchDecider(self)
        return self._batch

    def _cannot_do_without(self, known, derived):
        """Facts without which nothing is decided: unanswered stops, and the ways to a derived fact that has none."""
        asks = list(known.missing)
        for name, fact in self.knowledge.facts.items():
            if fact.needs_one_of and name not in derived.facts:
                asks.extend(one for one in fact.needs_one_of if one not in derived.facts and one not in asks)
        return tuple(asks)

    def _judge(self, decision):
        facts = FactColumns.of_case(decision.derivation.facts)
        decision.figures = self.figures.figures(self.kits, facts)
        posted = self._posted(decision.derivation)
        every = np.ones((1, 1), dtype=bool)
        musts = [check(one, every, self.kits, facts, decision.figures) for one in posted if one.level == "must"]
        shape = (1, len(self.kits))
        decision.passes, decision.failed, decision.unjudged = verdict_masks(musts, shape)
        self._set_up(decision)
        shoulds = [check(one, every, self.kits, facts, decision.figures) for one in posted if one.level == "should"]
        decision.checks = tuple(musts + shoulds)
        self._climb(decision, shape)

    def _posted(self, derived):
        """Requirements of the rules that fired, in the order of their ids."""
        fired = derived.fired()
        return sorted(
            (one for rule in self.knowledge.rules if rule.id in fired for one in rule.require), key=lambda one: one.id
        )

    def _set_up(self, decision):
        setups, derivations = {}, {}
        prices = np.full((1, len(self.kits)), np.nan)
        for index in np.flatnonzero(decision.passes[0]):
            index = int(index)
            kit = self.kits.kits[index]
            facts = self.setup_facts(decision.derivation.facts, kit, decision.figures, 0, index)
            derived = self.derive("setup", facts, decision.known.answered.intersection(facts))
            fired = [self.rules[name] for name in sorted(derived.fired())]
            chosen = parts.set_up(fired, kit, decision.case.platform, self.shop.parts)
            setups[index], derivations[index] = chosen, derived
            price = parts.total_price(kit, chosen)
            if price is not None:
                prices[0, index] = price
        decision.setups, decision.setup_derivations = setups, derivations
        decision.figures.put(ladder.PRICE, prices, np.isfinite(prices))

    def setup_facts(self, case_facts, kit, figures, row, place):
        """What the set-up rules read of case, kit and figures: nothing else can change what they conclude.

        ``row`` and ``place``: where the figures of this case and kit stand.
        """
        facts = {}
        for name in self.setup_reads:
            fact = self.knowledge.facts[name]
            if fact.source == "kit":
                value = kit.fields.get(fact.field)
            elif fact.source == "figure":
                value = figures.value(name, row, place)
            else:
                value = case_facts.get(name)
            if value is not None:
                facts[name] = value
        return facts

    def price_of(self, set_up, kit, platform):
        """The likely total price of a kit with what a `Derivation` of stage set-up adds, or None."""
        fired = [self.rules[name] for name in sorted(set_up.fired())]
        return parts.total_price(kit, parts.set_up(fired, kit, platform.id if platform else "", self.shop.parts))

    @functools.cached_property
    def spanner(self):
        """The `span.Spanner` of the same knowledge and shop."""
        from .span import Spanner

        return Spanner(self)

    def _climb(self, decision, shape):
        keys = ladder.gentleness_keys(self.kits, decision.figures, shape)
        decision.concerns = ladder.failed_concerns(decision.checks, self.knowledge.order.concerns, shape)
        decision.gentle_keys = tuple(keys)
        decision.gentle_ranks = ladder.ranks(keys)
        places = ladder.ranks([ladder.concern_number(decision.concerns).astype(float), *keys])
        passing = [int(index) for index in np.flatnonzero(decision.passes[0])]
        decision.order = tuple(sorted(passing, key=lambda index: places[0, index]))
        if decision.order:
            decision.outcome = RECOMMENDED
            return
        from .unknowns import taken_careful, what_would_settle

        lacking = what_would_settle(decision)
        decision.asks, decision.ask_maker = lacking.asks, lacking.maker
        decision.not_on_file = tuple(sorted({*lacking.not_on_file, *taken_careful(decision)}))
        decision.outcome = MORE_ANSWERS if decision.asks else NO_KIT


def taken_otherwise(known, knowledge):
    """Pairs (fact, `Known` with one asked fact that is taken at its worst at another value), in the order of the facts."""
    return [
        (one.fact, replace(known, facts={**known.facts, one.fact: value}))
        for one in known.assumptions
        if one.worst and knowledge.facts[one.fact].source == "asked" and known.facts[one.fact] == one.value
        for value in one.alternatives
    ]


def setup_reads(knowledge):
    """Names of the facts that are complete before set-up and that its rules read, sorted."""
    from ..engine.rulebase import copied_by, read_by

    names, concluded = set(), set()
    for rule in knowledge.rules:
        if rule.stage == "setup":
            for condition in (*rule.all, *rule.any):
                names |= {condition.fact, *read_by(condition)}
            names |= set(copied_by(rule))
            concluded |= {conclusion.fact for conclusion in rule.conclude}
    return tuple(sorted(names - concluded))


def decider_of(content, *, isolated=False):
    """A `Decider` over read content (knowledge, kits, platforms, parts), each decision derived by two engines.

    ``isolated``: the C engine runs in a process of its own, so that its crash is an error and not the program's end.
    """
    from ..engine.compare import TwoEngines, available_engines

    engines = {stage: TwoEngines(content.knowledge, stage, isolated=isolated) for stage in STAGES}
    shop = Shop(content.kits, content.platforms, content.parts, content.hashes)
    return Decider(
        content.knowledge,
        shop,
        lambda stage, facts, answered: engines[stage].derive(facts, answered).derivation,
        engines_agreed=len(available_engines()) > 1,
        bases={stage: engine.base for stage, engine in engines.items()},
    )


def statuses(decision, index):
    """(failed musts, unknown musts, failed shoulds, unknown shoulds) of one kit, as lists of Checked."""
    found = ([], [], [], [])
    for checked in decision.checks:
        status = checked.status[0, index]
        if status in (FAIL, UNKNOWN):
            place = (2 if checked.requirement.level == "should" else 0) + (status == UNKNOWN)
            found[place].append(checked)
    return found


def fits_the_car(decision, index):
    """Whether a kit fails no dimension and is made for such a vehicle: no must of `FIT_TOPICS`."""
    topics = {rule.id: rule.topic for rule in decision.knowledge.rules}
    return not any(
        topics[checked.requirement.rule] in FIT_TOPICS
        and checked.requirement.level == "must"
        and checked.status[0, index] == FAIL
        for checked in decision.checks
    )


def next_down(decision):
    """Index of the nearest gentler kit that fits the car, or None."""
    if decision.pick is None:
        return None
    rank = decision.gentle_ranks[0]
    gentler = [
        index
        for index in range(len(decision.kits))
        if rank[index] < rank[decision.pick] and fits_the_car(decision, index)
    ]
    return max(gentler, key=lambda index: rank[index], default=None)


def next_to(decision, index):
    """The first member of the key without the concerns in which a kit and the pick differ, as in `ladder.MEMBERS`."""
    for name, key in zip(ladder.MEMBERS, decision.gentle_keys):
        if key[0, index] != key[0, decision.pick]:
            return name
    return ladder.MEMBERS[-1]


def near_equals(decision):
    """Indices of the kits that come near the pick, in the order of the ladder.

    They pass, are as harsh and have as many discs, lie less than one step of clamp load away, on whatever side of a
    step's edge, and are better in pedal force (by what a pedal is told in) or in total price.
    """
    if decision.pick is None:
        return []
    step = decision.knowledge.order.steps["clamp_load"]
    clamp, harsh = decision.kits.field("clamp_load"), decision.kits.table(ladder.HARSHNESS)
    discs = decision.kits.field("discs")

    def alike(index):
        return all(column.number(0, index) == column.number(0, decision.pick) for column in (harsh, discs))

    def near(index):
        loads = clamp.number(0, index), clamp.number(0, decision.pick)
        return None not in loads and ladder.less_than_a_step(*loads, step)

    def better(index):
        finer = {ladder.PEDAL: decision.knowledge.figures[ladder.PEDAL].resolution, ladder.PRICE: 0.0}
        for name, least in finer.items():
            there, here = (decision.figures.value(name, 0, one) for one in (index, decision.pick))
            if there is not None and (here is None or 0 < here - there >= least):
                return True
        return False

    return [index for index in decision.order[1:] if alike(index) and near(index) and better(index)]


def next_up(decision):
    """Index of the next passing kit on the ladder with at least 10 % more bedded capacity, or None."""
    if decision.pick is None:
        return None
    capacity = decision.figures.column(ladder.CAPACITY)
    base = capacity.number(0, decision.pick)
    for index in decision.order[1:]:
        found = capacity.number(0, index)
        if found is not None and found >= 1.1 * base:
            return index
    return None


__all__ = [
    "Decider", "Decision", "decider_of", "Shop", "statuses", "fits_the_car", "near_equals", "next_down", "next_to", "next_up",
    "RECOMMENDED", "MORE_ANSWERS", "NO_KIT", "FAIL", "UNKNOWN", "NOT_ASKED",
]
