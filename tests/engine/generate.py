"""Random rule bases over the whole rule language, and random cases for them; the same seed gives the same."""

import math
import random

from advisor.knowledge.model import FactRef, Figure, KitField

from .build import calculation, fact, knowledge, rule, when

NUMBERS = (
    0.0,
    -0.0,
    1.0,
    -1.0,
    2.0,
    3.0,
    5e-324,
    1e-300,
    1e-05,
    1.5e-7,
    0.1,
    0.2,
    0.30000000000000004,
    0.3,
    64.0,
    65.0,
    1e15,
    1e16,
    1e17,
    2.0**53,
    2.0**53 - 1,
    2.0**53 + 2,
    123456789.123,
    1e22,
    1e308,
    1.7976931348623157e308,
    -1.7976931348623157e308,
    -1e-5,
)
TEXTS = (
    "plain",
    "",
    " ",
    "5",
    "5.0",
    "true",
    "True",
    "null",
    "0",
    'quo"te',
    "back\\slash",
    "tab\tline\nend",
    '{"a":1}',
    "$and",
    "sid",
    "id",
    "ÄÖ é 漢字 \U0001f697",
    "\u2028",
    "a" * 29_999,
    "a" * 29_998,
    "ü" * 14_000,
    "(not (a))",
    "?x",
    "%s",
    "z",
    "Zulu",
    "zulu",
)
LEVELS = 4


class Generator:
    """One rule base: ``knowledge``, ``stage`` and `case` for facts to try on it."""

    def __init__(self, seed, *, size=None, stage=None):
        self.random = random.Random(seed)
        pick = self.random
        self.stage = stage or pick.choice(("case", "case", "setup"))
        self.inputs, self.derived = [], {level: [] for level in range(1, LEVELS + 1)}
        self.limits, self.concluded = {}, {}
        fields, figures = [], []
        for number in range(pick.randint(4, 14)):
            self.inputs.append(self._fact(f"in_{number}", pick.choice(("asked", "platform", "factory_kit"))))
        if self.stage == "setup":
            fields = [
                KitField("mass", "number", "mass", "kg"),
                KitField("spline", "text", "spline"),
                KitField("hub", "choice", "hub", "", ("sprung", "solid")),
            ]
            figures = [Figure("pedal", "1", "pedal", 1.0)]
        for level in self.derived:
            for number in range(pick.randint(1, 5)):
                self.derived[level].append(self._fact(f"d{level}_{number}", "derived"))
        calculations = self._calculations() if self.stage == "case" else ()
        known = [*self.inputs, *(item for level in self.derived.values() for item in level)]
        self.kits = []
        if self.stage == "setup":
            self.kits = [
                fact("kit_mass", source="kit", unit="kg"),
                fact("kit_spline", "text", source="kit"),
                fact("kit_hub", "choice", source="kit", choices=("sprung", "solid")),
                fact("pedal", source="figure"),
                fact("kit_several", "flag", source="kit"),
                fact("kit_friction_surfaces", source="kit"),
            ]
        rules = [self._rule(number) for number in range(size or pick.randint(3, 30))]
        self.knowledge = knowledge(known, rules, calculations, figures, fields)

    def _fact(self, name, source):
        pick = self.random
        kind = pick.choices(("number", "choice", "flag", "list", "text"), (5, 4, 3, 1.5, 0.7))[0]
        if kind == "text" and source == "derived":
            kind = "number"
        choices = pick.sample(TEXTS, pick.randint(1, 6)) if kind in ("choice", "list") else ()
        if kind == "choice" and pick.random() < 0.05:
            choices = [f"choice {number}" for number in range(330)]
        agreement = pick.choices(("one_rule", "same_value"), (1, 4))[0] if source == "derived" else "one_rule"
        return fact(name, kind, source=source, choices=sorted(choices), agreement=agreement)

    def _number(self):
        pick = self.random
        return pick.choice(NUMBERS) if pick.random() < 0.6 else pick.choice((1, 10, 1e6)) * pick.uniform(-1, 3)

    def value(self, item):
        """Some value of a fact, often one that a condition draws its line at, or its neighbour."""
        pick = self.random
        if item.kind == "number":
            near = self.limits.get(item.name)
            if near and pick.random() < 0.7:
                limit = pick.choice(near)
                value = pick.choice((limit, limit, math.nextafter(limit, math.inf), math.nextafter(limit, -math.inf)))
                return value if math.isfinite(value) else limit
            return self._number()
        if item.kind == "flag":
            return pick.random() < 0.5
        if item.kind == "list":
            return tuple(sorted(pick.sample(item.choices, pick.randint(0, len(item.choices)))))
        return pick.choice(item.choices or TEXTS)

    def _condition(self, readable, complete, latest):
        pick = self.random
        below = [item for item in readable if item in latest]
        # Half of the conditions read what the level before concluded, so that chains grow long.
        item = pick.choice(below if below and pick.random() < 0.5 else readable)
        name = item.name
        if pick.random() < 0.12 and item in complete:
            return when(name, pick.choice(("absent", "answered", "not_answered")))
        if pick.random() < (0.35 if item in latest else 0.08):
            return when(name, "known")
        if item.kind == "list":
            return when(name, "has", pick.choice(item.choices))
        if item.kind == "number":
            others = [one for one in readable if one.kind == "number" and one.name != name and one.unit == item.unit]
            test = pick.choice(("above", "at_least", "below", "at_most", "between", "is", "in"))
            if test in ("is", "in") and item.source == "derived":
                test = "at_least"
            if test == "is":
                return when(name, "is", self._limit(item))
            if test == "in":
                return when(name, "in", tuple(self._limit(item) for _ in range(pick.choice((1, 2, 5, 5, 280)))))
            if test == "between":
                low, high = sorted((self._limit(item), self._limit(item)))
                other = FactRef(pick.choice(others).name) if others else high
                return when(name, "between", pick.choice(((low, high), (low, high), (low, other), (other, high))))
            limit = FactRef(pick.choice(others).name) if others and pick.random() < 0.4 else self._limit(item)
            return when(name, test, limit)
        values = (True, False) if item.kind == "flag" else item.choices or TEXTS
        test = pick.choice(("is", "in", "is_not", "not_in") if item.kind != "text" else ("is", "in"))
        if test in ("is", "is_not"):
            return when(name, test, pick.choice(values))
        return when(name, test, tuple(pick.sample(values, pick.randint(1, min(3, len(values))))))

    def _limit(self, item):
        limit = self._number()
        self.limits.setdefault(item.name, []).append(limit)
        return limit

    def _rule(self, number):
        pick = self.random
        level = pick.randint(1, LEVELS)
        targets, complete = self.derived[level], [*self.inputs, *self.kits]
        readable = [*complete, *(item for lower in range(1, level) for item in self.derived[lower])]
        latest = self.derived.get(level - 1, ())
        wide = pick.random() < 0.06
        conditions = [
            self._condition(readable, complete, latest)
            for _ in range(pick.randint(8, 24) if wide else pick.choice((0, 1, 1, 2, 2, 3)))
        ]
        branches = [
            tuple(self._condition(readable, complete, latest) for _ in range(pick.choice((1, 1, 1, 2, 2, 3))))
            for _ in range(pick.randint(1, 4) if pick.random() < 0.35 else 0)
        ]
        concluded = []
        for item in pick.sample(targets, min(len(targets), pick.choice((0, 1, 1, 1, 2)))):
            # Mostly rules that get on with each other: a base in which everything conflicts shows little else.
            if item.agreement == "one_rule" and item.name in self.concluded and pick.random() < 0.9:
                continue
            alike = [
                one
                for one in readable
                if one.kind == item.kind and set(one.choices) <= set(item.choices) and one.unit == item.unit
            ]
            if alike and (item.kind == "list" or item.name not in self.concluded) and pick.random() < 0.3:
                concluded.append((item.name, FactRef(pick.choice(alike).name)))
            elif item.kind == "list":
                concluded.append((item.name, pick.choice((pick.choice(item.choices), self.value(item)))))
            else:
                usual = self.concluded.get(item.name)
                value = self.value(item) if usual is None or pick.random() < 0.03 else usual
                concluded.append((item.name, value))
            self.concluded.setdefault(item.name, None if isinstance(concluded[-1][1], FactRef) else concluded[-1][1])
        return rule(f"rule-{number}", conditions, branches, concluded, stage=self.stage)

    def _calculations(self):
        pick, made = self.random, []
        for number in range(pick.randint(0, 3)):
            target = fact(f"c_{number}", source="derived")
            sources = [item for item in self.inputs if item.kind == "number"] + [
                item for level in (1, 2) for item in self.derived[level] if item.kind == "number"
            ]
            if not sources:
                break
            self.derived[3].append(target)
            made.append(
                calculation(
                    f"calculation-{number}",
                    target.name,
                    "friction.torque_capacity",
                    {
                        "friction_coefficient": 0.3,
                        "clamp_load": FactRef(pick.choice(sources).name),
                        "mean_radius": FactRef(pick.choice(sources).name),
                        "friction_surfaces": 2.0,
                    },
                )
            )
        return made

    def case(self):
        """(facts, answered): a random case."""
        pick = self.random
        share = pick.choice((0.3, 0.8, 1.0))
        given = {item.name: self.value(item) for item in (*self.inputs, *self.kits) if pick.random() < share}
        if pick.random() < 0.1:
            item = pick.choice(self.derived[1])
            given[item.name] = self.value(item)
        return given, frozenset(name for name in given if pick.random() < 0.5)
