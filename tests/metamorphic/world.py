"""Many callers decided at once, so that two sides of a relation can be held against each other, kit by kit."""

import dataclasses
import random
from collections import defaultdict

import numpy as np

from advisor.deciding import ladder
from advisor.deciding.answers import gather
from advisor.deciding.batch import BATCH
from advisor.deciding.stand_ins import StandIns
from advisor.deciding.unknowns import ON_FILE
from advisor.deciding.verdicts import FAIL, NOT_ASKED, PASS, UNKNOWN
from advisor.knowledge.case_model import Answer
from tests.callers import caller, plain_decider_of

STATUS = {FAIL: "fails", PASS: "meets", UNKNOWN: "unknown", NOT_ASKED: "not asked"}


@dataclasses.dataclass(frozen=True)
class Judged:
    """One caller's row of a batch: what was said of every kit that may fit the car at all."""

    case: object
    known: object
    batched: object
    row: int
    knowledge: object

    @property
    def concern_names(self):
        """The concerns in their order."""
        return self.knowledge.order.concerns

    @property
    def outcome(self):
        """recommended, need_more_answers or no_kit_fits."""
        return self.batched.outcomes[self.row].outcome

    @property
    def whole(self):
        """The Outcome: with required set-up and safety cautions."""
        return self.batched.outcomes[self.row]

    @property
    def pick(self):
        """Id of the picked kit, or None."""
        return self.batched.outcomes[self.row].pick

    @property
    def undecided(self):
        """Whether something is missing without which nothing is decided at all."""
        return bool(self.batched.missing[self.row])

    @property
    def contradicted(self):
        """Whether answers that cannot all be true stop it."""
        return bool(self.batched.stopped[self.row]) and not self.known.missing

    def among(self, name):
        """Ids of the kits that have a mark: passes, failed or unjudged."""
        if self.undecided:
            return frozenset()
        return frozenset(np.array(self.batched.kits.ids)[getattr(self.batched, name)[self.row]])

    @property
    def passes(self):
        """Ids of the kits that pass."""
        return self.among("passes")

    @property
    def known_kits(self):
        """Ids of the kits that were looked at; the others do not go on this car whatever is answered."""
        return self.batched.kits.index

    def statuses(self, kit):
        """Requirement -> what was found of one kit, of the requirements posted in this case."""
        place = self.batched.kits.index.get(kit)
        if place is None:
            return {}
        found = {}
        for checked in self.batched.checks:
            if self.posted(checked.requirement):
                found[checked.requirement] = STATUS[int(checked.status[self.row, place])]
        return found

    def posted(self, requirement):
        """Whether the rule of a requirement fired."""
        return bool(self.batched.derived.fired(requirement.rule)[self.row])

    def concerns(self, kit):
        """The failed concerns of a kit, as a tuple of 0 and 1 in their order."""
        return tuple(int(one) for one in self.batched.concerns[self.row, self.batched.kits.index[kit]])

    def fact(self, name):
        """A number fact's value, or None."""
        return self.batched.facts.fact(name).number(self.row, 0)

    def figure(self, name, kit):
        """A figure of a kit, or None."""
        return self.batched.figures.column(name).number(self.row, self.batched.kits.index[kit])

    def gentle_place(self, kit):
        """Place of a kit from the gentlest on, concerns left aside."""
        keys = ladder.gentleness_keys(self.batched.kits, self.batched.figures, self.batched.passes.shape)
        return int(ladder.ranks(keys)[self.row, self.batched.kits.index[kit]])

    def harshness(self, kit):
        """Harshness class of a kit."""
        return self.batched.kits.table("harshness").number(0, self.batched.kits.index[kit])

    @property
    def ladder(self):
        """The passing kits, pick first."""
        places = self.batched.places[self.row]
        return tuple(sorted(self.passes, key=lambda kit: places[self.batched.kits.index[kit]]))

    def stand_ins(self, kit):
        """The `StandIn`s of one kit."""
        kits, finder = self.batched.kits, StandIns(self.knowledge)
        among = np.arange(len(kits)) == kits.index[kit]
        posted = [one.requirement for one in self.batched.checks if self.posted(one.requirement)]
        return finder.of_kits(self.batched.figures, self.row, posted, among).get(kits.index[kit], ())

    def assumed(self):
        """Names of the facts that were assumed."""
        return frozenset(one.fact for one in self.known.assumptions)

    def silent(self):
        """Facts of the car that its record leaves out and of which a fired rule says so by what it concludes."""
        named = set()
        for rule in self.knowledge.rules:
            gone = {
                condition.fact
                for condition in rule.conditions
                if condition.test == "absent" and self.knowledge.facts[condition.fact].source in ON_FILE
            }
            if gone and rule.stage == "case" and rule.conclude and self.batched.derived.fired(rule.id)[self.row]:
                named |= {fact for fact in gone if not self.batched.derived.fact(fact)[1][self.row]}
        return frozenset(named)


class World:
    """Knowledge and shop, callers, and deciders over another stock or other records.

    ``content`` as ``knowledge.sources.read`` gives it.
    """

    def __init__(self, content):
        self.content = content
        self.knowledge, self.kits, self.platforms = content.knowledge, content.kits, content.platforms
        self.decider = plain_decider_of(content)

    def caller(self, seed, platform=None):
        """A random caller; the same seed gives the same one.

        Two in three are no racers, drive gently at first and ask no more than half as much again as the factory's
        torque: of all random callers most end without a kit, and then little can change.
        """
        case = caller(seed, self, platform)
        if seed % 3 == 0:
            return case
        case = answered(case, sanctioned_racing=False, bedding_in_possible=True)
        car, torque = self.platform(case), case.answers.get("engine_torque")
        if car is None or torque is None or torque.value <= car.fields["stock.torque"] * 1.5:
            return case
        share = random.Random(f"within reach {seed}").uniform(0.9, 1.5)
        return answered(case, engine_torque=float(round(car.fields["stock.torque"] * share)))

    def with_records(self, *, kits=None, platforms=None):
        """A World over other kits or platforms with the same knowledge."""
        other = World.__new__(World)
        vars(other).update(vars(self))
        other.kits = self.kits if kits is None else tuple(kits)
        other.platforms = self.platforms if platforms is None else tuple(platforms)
        other.content = dataclasses.replace(
            self.content, knowledge=self.knowledge, kits=other.kits, platforms=other.platforms
        )
        other.decider = plain_decider_of(other.content)
        return other

    def judged(self, cases, platform_of=None):
        """A `Judged` for each case, in their order.

        ``platform_of``: case -> the platform Record to decide on (None where not on file); without it, the one on file.
        """
        by_id = {kit.id: kit for kit in self.kits}
        groups, found = defaultdict(list), [None] * len(cases)
        for place, case in enumerate(cases):
            platform = platform_of(case) if platform_of else self.platform(case)
            known = gather(case, platform, by_id, self.knowledge)
            key = (case.platform, None if platform is None else tuple(sorted(platform.fields)))
            groups[key].append((place, case, platform, known))
        for members in groups.values():
            for start in range(0, len(members), BATCH):
                chunk = members[start : start + BATCH]
                batched = self.decider.batch.run([known for *_, known in chunk], chunk[0][2])
                for row, (place, case, _, known) in enumerate(chunk):
                    found[place] = Judged(case, known, batched, row, self.knowledge)
        return found

    def judged_in_groups(self, groups):
        """A list of `Judged` for each list of cases, all decided together: it costs little more than one list."""
        found = iter(self.judged([case for cases in groups for case in cases]))
        return [[next(found) for _ in cases] for cases in groups]

    def platform(self, case):
        """The platform Record of a case, None where not on file."""
        return next((one for one in self.platforms if one.id == case.platform), None)


def answered(case, **values):
    """The case with other answers; None takes one away."""
    answers = {name: answer for name, answer in case.answers.items() if values.get(name, 0) is not None}
    answers.update({name: Answer(value) for name, value in values.items() if value is not None})
    unknown = tuple(name for name in case.unknown if name not in answers)
    return dataclasses.replace(case, answers=answers, unknown=unknown)
