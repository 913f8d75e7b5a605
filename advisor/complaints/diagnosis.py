"""From what is told, seen and measured to a cause, or to what it cannot be told without.

Both engines derive which rules fire and their postings are compared; what they argue is weighed once, in `weighing`.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from ..engine.compare import Agreed, TwoEngines
from ..errors import InputError
from ..knowledge import quantities
from ..knowledge.complaint_model import COMPLAINED, Cause, ComplaintKnowledge, ComplaintRule
from ..knowledge.model import COMPLAINT
from ..knowledge.near import did_you_mean
from .as_sold import NOT_SOLD_HERE, Margin, Sold, margin
from .next_check import TELEPHONE_ENDS, CheckChooser, OpenCheck
from .weighing import LEADS, LIKELY, MEASURED_TYPICAL, Standing, Weigher

#: Causes that make a car unsafe: where something speaks for one within so many points of the first, its check is next.
DANGEROUS = ("bolts_or_dowels", "loose_facing", "torn_strap_or_finger", "leak_by")
DANGER_WITHIN = 15.0
#: Before a driver is named: signs that speak for it, and what must have been looked at first (one of each).
DRIVER_SIGNS = 2
LOOKED_AT_FIRST = (
    ("free_play_felt", "pressure_let_out", "fitting_papers"),
    ("wet_under", "housing_wiped", "faces_seen"),
)
#: How a diagnosis stands.
FOUND, LEADING, OPEN, TELEPHONE, WORKSHOP = "found", "leads", "open", "telephone", "workshop"


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """How a complaint stands.

    ``state``: found (one cause leads and something measured speaks for it, or nothing could), leads (one cause leads
    on what was told: its own check comes next), telephone or workshop (where the next check is made), or open (nothing
    left to ask separates what remains). ``beside``: a second cause that explains signs the first does not. ``checks``:
    what is worth asking next, the best first. ``withheld``: why a leading cause is not named yet.
    """

    told: Mapping[str, object]
    sold: Sold
    agreed: Agreed
    standings: tuple[Standing, ...]
    state: str
    cautions: tuple[ComplaintRule, ...]
    checks: tuple[OpenCheck, ...]
    at_sale: Margin | None
    beside: Cause | None = None
    withheld: str = ""

    @property
    def complaint(self) -> str:
        """What is complained of."""
        return str(self.told[COMPLAINED])

    @property
    def cause(self) -> Cause | None:
        """The cause that leads, confirmed or not, or None."""
        return self.standings[0].cause if self.state in (FOUND, LEADING) else None

    @property
    def likely(self) -> tuple[Standing, ...]:
        """The first cause and those that cannot be told from it yet."""
        return likely(self.standings)

    @property
    def next(self) -> OpenCheck | None:
        """What to ask or measure next."""
        return self.checks[0] if self.checks and self.state != FOUND else None


@dataclass(frozen=True, slots=True)
class Weighed:
    """Which rules fire, and every cause by what they argue, the likeliest first; ``at_sale`` as in `Diagnosis`."""

    agreed: Agreed
    standings: tuple[Standing, ...]
    at_sale: Margin | None


def likely(standings: tuple[Standing, ...]) -> tuple[Standing, ...]:
    """The first of some causes and those that cannot be told from it yet."""
    first = standings[0].total
    return tuple(standing for standing in standings if first - standing.total < LIKELY)


class Diagnoser:
    """Answers complaints by one set of rules."""

    def __init__(self, knowledge: ComplaintKnowledge, *, isolated: bool = False) -> None:
        self.knowledge = knowledge
        self.engines = TwoEngines(knowledge, COMPLAINT, isolated=isolated)
        self.weigher = Weigher(knowledge)
        self.chooser = CheckChooser(knowledge, self.weigher)
        self._rules = {rule.id: rule for rule in knowledge.rules}

    def read(self, name: str, raw: object) -> object:
        """The value of a symptom as written; None for "unknown". InputError where it is none."""
        symptom = self.knowledge.symptoms.get(name)
        if symptom is None:
            raise InputError(
                f"there is no symptom {name!r}.", value=name, remedy=did_you_mean(name, self.knowledge.symptoms)
            )
        return quantities.read_value(symptom.fact, raw)

    def diagnose(
        self,
        symptoms: Mapping[str, object],
        sold: Sold = NOT_SOLD_HERE,
        *,
        without: Collection[str] = (),
        telephone: bool = False,
    ) -> Diagnosis:
        """How a complaint stands by what is ``symptoms`` (symptom -> value) and what is known of the clutch as sold.

        ``without``: symptoms nobody could tell; ``telephone``: nobody stands at the car.
        """
        weighed = self.weigh(symptoms, sold)
        agreed, standings, at_sale = weighed.agreed, weighed.standings, weighed.at_sale
        fired = agreed.derivation.fired()
        cautions = tuple(self._rules[name] for name in sorted(fired) if self._rules[name].cautions)
        checks = self._ordered(self.chooser.checks(symptoms, sold, without=without), standings, telephone)
        withheld = self._withheld(standings, symptoms, fired)
        confirms = self._confirms(standings[0].cause, symptoms, fired)
        state = self._state(standings, checks, withheld, bool(confirms))
        if withheld or state == LEADING:
            wanted = _looks(symptoms) if withheld else confirms
            checks = tuple(
                sorted(checks, key=lambda check: (not check.symptom.first, check.symptom.name not in wanted))
            )
        return Diagnosis(
            dict(symptoms),
            sold,
            agreed,
            standings,
            state,
            cautions,
            checks,
            at_sale,
            self._beside(standings, fired),
            withheld,
        )

    def weigh(self, symptoms: Mapping[str, object], sold: Sold = NOT_SOLD_HERE) -> Weighed:
        """As `diagnose`, but for what to ask next, which takes nearly all of its time."""
        if COMPLAINED not in symptoms:
            choices = ", ".join(map(str, self.knowledge.symptoms[COMPLAINED].fact.choices))
            raise InputError("nothing says what is complained of.", remedy=f"Say {COMPLAINED}= one of {choices}.")
        complaint = str(symptoms[COMPLAINED])
        agreed = self.engines.derive(self.chooser.facts(symptoms, sold), set(symptoms))  # type: ignore[arg-type]
        at_sale = margin(complaint, symptoms, sold)
        fired, facts = agreed.derivation.fired(), agreed.derivation.facts
        return Weighed(agreed, self.weigher.weigh(complaint, fired, facts, at_sale), at_sale)

    def _state(
        self, standings: tuple[Standing, ...], checks: tuple[OpenCheck, ...], withheld: str, unconfirmed: bool
    ) -> str:
        ahead = standings[0].total - standings[1].total if len(standings) > 1 else LEADS
        if ahead >= LEADS and not withheld and standings[0].total > 0:
            return LEADING if unconfirmed else FOUND
        if not checks:
            return OPEN
        return WORKSHOP if checks[0].symptom.measured else TELEPHONE

    def _confirms(self, cause: Cause, symptoms: Mapping[str, object], fired: Collection[str]) -> set[str]:
        """Symptoms measured or seen that would confirm a cause; none where one of them did, or all were looked at."""
        confirming = [
            rule
            for rule in self.knowledge.rules
            if any(argument.cause == cause.id and argument.weight >= MEASURED_TYPICAL for argument in rule.argue)
            and any(self._measured(condition.fact) for condition in rule.conditions)
        ]
        if any(rule.id in fired for rule in confirming):
            return set()
        return {
            condition.fact
            for rule in confirming
            for condition in rule.conditions
            if self._measured(condition.fact) and condition.fact not in symptoms
        }

    def _ordered(
        self, checks: tuple[OpenCheck, ...], standings: tuple[Standing, ...], telephone: bool
    ) -> tuple[OpenCheck, ...]:
        """Safety first; then what can be told, while it is worth its minutes; then what is measured, the best first."""
        order = list(self.knowledge.symptoms)
        asked_first = sorted(
            (check for check in checks if check.symptom.first), key=lambda check: order.index(check.symptom.name)
        )
        first = standings[0].total
        feared = {
            standing.cause.id
            for standing in standings
            if standing.cause.id in DANGEROUS and first - standing.total <= DANGER_WITHIN and _seen_for(standing)
        }
        guarding = {
            condition.fact
            for rule in self.knowledge.rules
            if {
                argument.cause
                for argument in rule.argue
                if argument.sign == "for" and argument.points >= MEASURED_TYPICAL
            }
            & feared
            and len(
                [argument for argument in rule.argue if argument.sign == "for" and argument.points >= MEASURED_TYPICAL]
            )
            == 1
            for condition in rule.conditions
        }
        urgent = [check for check in checks if check.symptom.name in guarding and check.symptom.how == "car"]
        talk = [check for check in checks if not check.symptom.measured and check.worth >= TELEPHONE_ENDS]
        rest = [check for check in checks if check.symptom.measured or check.worth < TELEPHONE_ENDS]
        ordered = [*asked_first, *([] if telephone else urgent), *talk, *(urgent if telephone else []), *rest]
        return tuple(dict.fromkeys(ordered))

    def _withheld(self, standings: tuple[Standing, ...], symptoms: Mapping[str, object], fired: Collection[str]) -> str:
        """Why a driver is not named yet; empty for any other cause, and where enough was seen and looked at."""
        first = standings[0]
        if first.cause.kind != "driver":
            return ""
        signs = [
            self._rules[name]
            for name in fired
            if any(argument.cause == first.cause.id and argument.sign == "for" for argument in self._rules[name].argue)
        ]
        seen = [rule for rule in signs if any(self._measured(condition.fact) for condition in rule.conditions)]
        if len(signs) < DRIVER_SIGNS or not seen:
            return "a driver is named only on two signs, one of them seen"
        missing = [names[0] for names in LOOKED_AT_FIRST if not any(name in symptoms for name in names)]
        return "fitting and leaks are looked at before a driver is named" if missing else ""

    def _measured(self, name: str) -> bool:
        symptom = self.knowledge.symptoms.get(name)
        return symptom is not None and symptom.measured

    def _beside(self, standings: tuple[Standing, ...], fired: Collection[str]) -> Cause | None:
        """The cause that, beside the first, explains the signs it does not; None where there are none, or none does."""
        first = standings[0].cause.id
        open_signs = []
        for name in sorted(fired):
            argued = {argument.cause: argument for argument in self._rules[name].argue}
            typical = {cause for cause, weight in argued.items() if weight.sign == "for" and weight.points >= 6}
            if typical and (first not in argued or argued[first].sign == "against"):
                open_signs.append({cause for cause, weight in argued.items() if weight.sign == "for"})
        open_signs = [signs for signs in open_signs if any(standing.cause.id in signs for standing in standings)]
        for standing in standings[1:]:
            if open_signs and all(standing.cause.id in signs for signs in open_signs) and standing.total > 0:
                return standing.cause
        return None


def _seen_for(standing: Standing) -> bool:
    return any(weight.came == "seen" for weight in standing.supports)


def _looks(symptoms: Mapping[str, object]) -> set[str]:
    return {name for names in LOOKED_AT_FIRST if not any(name in symptoms for name in names) for name in names}
