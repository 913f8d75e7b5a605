"""For every rule the smallest caller who fires it, proved least, and the nearest one who does not."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from ..knowledge.model import Record, Rule
from .callers import Caller
from .findings import OPEN, PROVED, SHOWN
from .searching import CallerSearch, fires, stays_silent

#: More answers than any rule needs; a search goes no further.
MOST_ANSWERS = 12


@dataclass(frozen=True, slots=True)
class RuleWitness:
    """``fires``: a caller with whom a rule fires, ``least`` where no caller with fewer answers does (proved).

    ``silent``: one answer away and the rule silent; ``none_near`` where it is proved that there is none. Without
    ``fires``: ``least`` says that no caller on these cars fires it, proved.
    """

    rule: str
    fires: Caller | None
    least: bool
    silent: Caller | None = None
    none_near: bool = False

    @property
    def answers(self) -> int:
        """How many answers it takes."""
        return len(self.fires.answers) if self.fires is not None else 0


def witnesses(
    search: CallerSearch, rules: Iterable[Rule], platforms: Iterable[Record], kits: Mapping[str, Record]
) -> Iterator[RuleWitness]:
    """A `RuleWitness` of each of the rules, among callers who get a decision with one of these cars, or none on file.

    Callers who say of their car what its record says otherwise, and those whom no kit is for, only count where no
    others fire the rule.
    """
    admission = search.admission
    usual = (search.z3.Not(admission.declined), search.as_on_file())
    with search.under(search.cars(platforms, kits), admission.decided):
        for rule in rules:
            for narrowed in (usual, usual[:1], ()):
                with search.under(*narrowed):
                    if narrowed and search.never(search.exact.fires[rule.id]):
                        continue
                    witness = _witness(search, rule)
                if witness.fires is not None or not narrowed:
                    break
            yield witness


def _witness(search: CallerSearch, rule: Rule) -> RuleWitness:
    least, caller = True, None
    fired = search.exact.fires[rule.id]
    lessons: list = []
    for most in range(MOST_ANSWERS + 1):
        answered = search.find([fired, search.few_answers(most), search.exact.computed], fires(rule.id), lessons)
        if answered.caller is not None:
            caller = answered.caller
            break
        least = least and answered.sure == PROVED
    if caller is None:
        return RuleWitness(rule.id, None, least)
    silent, none_near = nearest_silent(search, caller, rule.id, lessons)
    return RuleWitness(rule.id, caller, least, silent, none_near)


def nearest_silent(
    search: CallerSearch, caller: Caller, rule: str, lessons: list | None = None
) -> tuple[Caller | None, bool]:
    """(a caller one answer away with whom the rule is silent, False), or (None, whether it is proved there is none)."""
    away = [*search.few_changes(caller, 1), search.z3.Not(search.exact.fires[rule])]
    answered = search.find([*away, search.exact.computed], stays_silent(rule), lessons, like=caller)
    if answered.sure == SHOWN:
        return answered.caller, False
    if answered.sure == OPEN:
        return None, False
    # A calculation that refuses its arguments can silence a rule too.
    return None, search.find(away, stays_silent(rule), lessons, like=caller).sure == PROVED
