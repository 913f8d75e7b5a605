"""What the set-up rules read about a kit in a car, one pair at a time or all pairs of a batch, and what it then costs.

Nothing else can change what they conclude.
"""

import functools
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from ..engine.fact_columns import kind_of
from ..engine.rulebase import copied_by, read_by
from ..frozen import frozen
from . import parts

if TYPE_CHECKING:
    from ..engine.bulk import BulkDerivation
    from ..engine.derivation import Derivation
    from ..knowledge.model import Knowledge, Record, Value
    from .figures import Figures
    from .kit_columns import KitColumns
    from .parts import Chosen


@frozen
class PriceColumns:
    """What every kit comes to in every case (C, K), NaN where it has no price or does not pass: see `parts.Price`."""

    certain: np.ndarray
    likely: np.ndarray


class SettingUp:
    """The set-up stage of one Knowledge with the parts on file; ``reads``: the facts its rules read, sorted."""

    def __init__(self, knowledge: "Knowledge", parts_on_file: "tuple[Record, ...]") -> None:
        self.knowledge, self.parts = knowledge, parts.by_kind(parts_on_file)
        self.rules = {
            rule.id: rule for rule in sorted(knowledge.rules, key=lambda rule: rule.id) if rule.stage == "setup"
        }
        self.reads = _reads(self.rules.values())
        self._part_prices: dict[tuple[str, str, str], float] = {}

    # --- one case and kit

    def facts(
        self, case_facts: "Mapping[str, Value]", kit: "Record", figures: "Figures", row: int, place: int
    ) -> "dict[str, Value]":
        """The facts about one kit; ``row`` and ``place``: where the figures of this case and kit stand."""
        held = {}
        for name in self.reads:
            fact = self.knowledge.facts[name]
            if fact.source == "kit":
                value = kit.fields.get(fact.field)
            elif fact.source == "figure":
                value = figures.value(name, row, place)
            else:
                value = case_facts.get(name)
            if value is not None:
                held[name] = value
        return held

    def chosen(self, derived: "Derivation", kit: "Record", platform_id: str) -> "tuple[Chosen, ...]":
        """What goes with a kit by a Derivation of stage set-up: `parts.Chosen` items."""
        fired = [self.rules[name] for name in sorted(derived.fired())]
        return parts.set_up(fired, kit, platform_id, self.parts)

    def price(self, derived: "Derivation", kit: "Record", platform_id: str) -> "parts.Price | None":
        """What a kit comes to by a Derivation of stage set-up, or None."""
        return parts.price_of(kit, self.chosen(derived, kit, platform_id))

    # --- all pairs (case, kit) of a batch

    def columns(
        self, pairs: np.ndarray, derived: "BulkDerivation", kits: "KitColumns", figures: "Figures"
    ) -> dict[str, tuple[np.ndarray, np.ndarray]]:
        """The same facts about all ``pairs`` (N, 2), as the bulk evaluator takes them; ``derived``: stage case."""
        rows, places = pairs[:, 0], pairs[:, 1]
        given = {}
        for name in self.reads:
            fact = self.knowledge.facts[name]
            if fact.source == "kit":
                values, known = kits.keep(
                    ("coded", name), functools.partial(_kit_coded, fact, kits.on_file(fact.field))
                )
                given[name] = (values[places], known[places])
            elif fact.source == "figure":
                column, shape = figures.column(name), (derived.rows, len(kits))
                values, known = (np.broadcast_to(part, shape)[rows, places] for part in (column.values, column.known))
                given[name] = (_coded(fact, values, known), known)
            else:
                values, known = derived.fact(name)
                if kind_of(fact) == "list":
                    given[name] = ({member: flags[rows] for member, flags in values.items()}, known[rows])
                else:
                    given[name] = (values[rows], known[rows])
        return given

    def prices(
        self, pairs: np.ndarray, fired: Mapping[str, np.ndarray], kits: "KitColumns", platform_id: str, count: int
    ) -> PriceColumns:
        """What ``pairs`` come to, as `parts.price_of` of each; ``fired``: rule id -> boolean (N,)."""
        own = kits.field("price")
        sums = np.where(own.known[0], own.values[0].astype(float), np.nan)[pairs[:, 1]] if len(kits) else np.zeros(0)
        added = [(rule.id, item) for rule in self.rules.values() for item in rule.items if item.kind == "part"]
        none = np.zeros(len(pairs), dtype=bool)
        # Where there is a part of a kind already: of each one is bought.
        kinds: dict[Any, np.ndarray] = {}
        spread = []
        for needed in (
            [(rule, item) for rule, item in added if item.level == "required"],
            [(rule, item) for rule, item in added if item.likely],
        ):
            for rule, item in needed:
                new = fired[rule] & ~kinds.get(item.part, none)
                if new.any():
                    sums[new] += self._prices_of(item.part, kits, platform_id)[pairs[new, 1]]
                    kinds[item.part] = kinds.get(item.part, none) | new
            prices = np.full((count, len(kits)), np.nan)
            prices[pairs[:, 0], pairs[:, 1]] = np.round(sums, 2)
            spread.append(prices)
        return PriceColumns(*spread)

    def _prices_of(self, part_kind, kits, platform_id):
        prices = []
        for kit in kits.kits:
            key = (part_kind, platform_id, kit.id)
            if key not in self._part_prices:
                chosen = parts.choose(part_kind, kit, platform_id, self.parts)
                self._part_prices[key] = chosen.fields.get("price", 0.0) if chosen else 0.0
            prices.append(self._part_prices[key])
        return np.array(prices)


def _reads(rules):
    """Names of the facts that are complete before set-up and that its rules read, sorted."""
    names, concluded = set(), set()
    for rule in rules:
        for condition in rule.conditions:
            names |= {condition.fact, *read_by(condition)}
        names |= set(copied_by(rule))
        concluded |= {conclusion.fact for conclusion in rule.conclude}
    return tuple(sorted(names - concluded))


def _kit_coded(fact, column):
    return _coded(fact, column.values[0], column.known[0]), column.known[0]


def _coded(fact, values, known):
    """Kit fields and figures as the bulk evaluator takes them."""
    kind = kind_of(fact)
    if kind == "choice":
        codes = {choice: code for code, choice in enumerate(fact.choices)}
        return np.array([codes[value] if there else -1 for value, there in zip(values, known)], dtype=np.int16)
    if kind == "flag":
        return np.array([bool(value) and bool(there) for value, there in zip(values, known)], dtype=bool)
    if kind == "number":
        return np.where(known, values, np.nan).astype(float)
    return values
