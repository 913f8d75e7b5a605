"""The rule language as statements that are true or false: a third reading of it, beside the two engines.

A number is the set of limits it has passed (for every limit it is ever compared with: at least that, above that), a
choice one statement a choice, a flag one, a list one a member. Exact for literals, choices, flags, lists, known and
answered, chains and copies. A comparison of two number facts is a free choice of below, equal, above, tied to the
limits they share; rings of three facts are not tied. What a calculation gives is free. So everything errs on one side:
"cannot happen" is a proof, "may happen" must be run through the engines before anybody sees it.
"""

import itertools
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from ..knowledge.model import Branch, Calculation, Condition, Fact, FactRef, Rule, Value
from ..knowledge.rules import limits
from .clauses import Clauses


class Producer(NamedTuple):
    """What gives a fact its value: when ``event`` holds, ``value`` (a literal, a FactRef, None: any), by ``id``."""

    event: int
    value: Any
    id: str


class Overlap(NamedTuple):
    """Two producers of one ``fact`` that would disagree where ``both`` holds."""

    fact: str
    first: str
    second: str
    both: int


class Regions(Clauses):
    """Rules and calculations over ``facts`` as clauses.

    ``fires``: rule id -> statement; ``gives``: calculation id -> statement; ``producers``: fact -> its `Producer`s;
    ``overlaps``: what would be a conflict error. ``given``: a derived fact may also be given from outside, as the
    engines allow. ``more_limits``: fact -> further limits to tell apart; ``alike``: pairs of facts that share theirs.
    """

    def __init__(
        self,
        facts: Mapping[str, Fact],
        rules: Iterable[Rule],
        calculations: Iterable[Calculation],
        *,
        given: bool = False,
        more_limits: Mapping[str, Iterable[float]] | None = None,
        alike: Iterable[tuple[str, str]] = (),
    ) -> None:
        super().__init__()
        self.facts, self.rules, self.calculations = facts, tuple(rules), tuple(calculations)
        self.given = given
        self.fires: dict[str, int] = {}
        self.gives: dict[str, int] = {}
        self.producers: dict[str, list[Producer]] = defaultdict(list)
        self.overlaps: list[Overlap] = []
        self._compared: dict[tuple[str, str], tuple[int, int, int]] = {}
        self.limits = self._limits(more_limits or {}, alike)
        self._texts = self._literal_texts()
        for name, fact in facts.items():
            self._domain(name, fact)
        self._rules()

    # --- values -------------------------------------------------------------------------------

    def _limits(self, more, alike):
        """Fact -> the limits that tell its values apart; facts that are compared or copied share theirs."""
        apart: dict[str, set[float]] = defaultdict(set)
        linked: dict[str, set[str]] = defaultdict(set)

        def link(first, second):
            linked[first].add(second)
            linked[second].add(first)

        for name, values in more.items():
            apart[name] |= {float(value) for value in values}
        for first, second in alike:
            link(first, second)
        for name, fact in self.facts.items():
            if fact.kind == "number":
                assumed = fact.if_unknown.value if fact.if_unknown is not None else None
                apart[name] |= {float(value) for value in (*fact.choices, *([] if assumed is None else [assumed]))}
        for rule in self.rules:
            for condition in rule.conditions:
                for limit in limits(condition.limit):
                    if isinstance(limit, FactRef):
                        link(condition.fact, limit.name)
                    elif limit is not None and self.facts[condition.fact].kind == "number":
                        apart[condition.fact].add(float(limit))
            for conclusion in rule.conclude:
                if self.facts[conclusion.fact].kind != "number":
                    continue
                if isinstance(conclusion.value, FactRef):
                    link(conclusion.fact, conclusion.value.name)
                else:
                    apart[conclusion.fact].add(float(conclusion.value))
        for group in _groups(linked):
            together = set().union(*(apart[name] for name in group))
            for name in group:
                apart[name] = together
        return {name: sorted(apart[name]) for name, fact in self.facts.items() if fact.kind == "number"}

    def _literal_texts(self):
        """Text facts: the literals they are compared with; anything else is one more choice, None."""
        texts: dict[str, set[str]] = defaultdict(set)
        for rule in self.rules:
            for condition in rule.conditions:
                if self._is_text(condition.fact):
                    texts[condition.fact] |= {limit for limit in limits(condition.limit) if isinstance(limit, str)}
            for conclusion in rule.conclude:
                if self._is_text(conclusion.fact) and isinstance(conclusion.value, str):
                    texts[conclusion.fact].add(conclusion.value)
        return texts

    def _is_text(self, name):
        return self.facts[name].kind not in ("number", "flag", "list")

    def choices(self, name: str) -> tuple:
        """The values of a choice or text that are told apart; None stands for any other text."""
        fact = self.facts[name]
        return fact.choices if fact.choices else (*sorted(self._texts[name]), None)

    def at_least(self, name: str, limit: float) -> int:
        """The number is at least one of its limits."""
        return self.variable("at least", name, float(limit))

    def above(self, name: str, limit: float) -> int:
        """The number is above one of its limits."""
        return self.variable("above", name, float(limit))

    def has(self, name: str) -> int:
        """The fact has a value."""
        return self.variable("has", name)

    def answered(self, name: str) -> int:
        """Somebody answered it."""
        return self.variable("answered", name)

    def member(self, name: str, choice: str) -> int:
        """The list holds the choice."""
        return self.variable("member", name, choice)

    def value(self, name: str, value: Value) -> int:
        """The fact's value is this literal; says nothing of whether it has one."""
        fact = self.facts[name]
        if fact.kind == "number":
            return self.all_of(self.placed(name, value))
        if fact.kind == "flag":
            return self.variable("yes", name) if value else -self.variable("yes", name)
        if fact.kind == "list":
            return self.all_of(self.placed(name, value))
        return self.variable("is", name, value if value in self.choices(name) else None)

    def placed(self, name: str, value: Any) -> list[int]:
        """Literals, none of them new, that place a value among limits, choices or members."""
        fact = self.facts[name]
        if fact.kind == "number":
            return [
                statement if passed else -statement
                for limit in self.limits[name]
                for statement, passed in (
                    (self.at_least(name, limit), value >= limit),
                    (self.above(name, limit), value > limit),
                )
            ]
        if fact.kind == "list":
            return [
                self.member(name, choice) if choice in value else -self.member(name, choice) for choice in fact.choices
            ]
        return [self.value(name, value)]

    def between(self, name: str, low: float | None, high: float | None, *, above_low: bool = False) -> None:
        """A number is never below ``low`` nor above ``high``, or with ``above_low`` not even ``low``; None: no end."""
        for limit in self.limits[name]:
            if low is not None and limit <= low:
                self.add(self.at_least(name, limit))
                if limit < low or above_low:
                    self.add(self.above(name, limit))
            if high is not None and limit >= high:
                self.add(-self.above(name, limit))
                if limit > high:
                    self.add(-self.at_least(name, limit))

    def _domain(self, name, fact):
        # Named even where no rule reads them: they may still be asked about.
        self.has(name), self.answered(name)
        if fact.kind == "number":
            order = [
                step for limit in self.limits[name] for step in (self.at_least(name, limit), self.above(name, limit))
            ]
            for weaker, stronger in itertools.pairwise(order):
                self.add(-stronger, weaker)
            if fact.choices:
                self.exactly_one([self.value(name, choice) for choice in fact.choices])
        elif fact.kind == "list":
            if fact.source != "derived":  # an empty list that is given counts as not known
                self.add(-self.has(name), *[self.member(name, choice) for choice in fact.choices])
        elif fact.kind == "flag":
            self.variable("yes", name)
        else:
            self.exactly_one([self.variable("is", name, choice) for choice in self.choices(name)])

    # --- conditions ---------------------------------------------------------------------------

    def compared(self, first: str, second: str) -> tuple[int, int, int]:
        """Statements that one number is below, equal to, above another; says nothing of whether they have values."""
        low, high = sorted((first, second))
        if (low, high) not in self._compared:
            below, equal, above = self._compared[low, high] = (
                self.variable("below", low, high),
                self.variable("equal", low, high),
                self.variable("beyond", low, high),
            )
            self.exactly_one([below, equal, above])
            # Facts that are compared share their limits.
            for limit in self.limits[low]:
                for passed in (self.at_least, self.above):
                    self.add(-passed(low, limit), passed(high, limit), above)
                    self.add(-passed(high, limit), passed(low, limit), below)
                at_low, at_high = (
                    self.all_of([self.at_least(name, limit), -self.above(name, limit)]) for name in (low, high)
                )
                self.add(-at_low, -at_high, equal)
        statements = self._compared[low, high]
        return statements if first == low else (statements[2], statements[1], statements[0])

    def bound(self, name: str, test: str, limit: Any) -> int:
        """A number against a literal or another fact, which must then have a value."""
        if isinstance(limit, FactRef):
            below, _, above = self.compared(name, limit.name)
            compared = {"above": above, "at_least": -below, "below": below, "at_most": -above}[test]
            return self.all_of([self.has(limit.name), compared])
        return {
            "above": self.above(name, limit),
            "at_least": self.at_least(name, limit),
            "below": -self.at_least(name, limit),
            "at_most": -self.above(name, limit),
        }[test]

    def holds(self, condition: Condition) -> int:
        """One condition. All but not known and not answered are false of a fact without a value."""
        name, test, limit = condition.fact, condition.test, condition.limit
        has = self.has(name)
        if test == "known":
            return has
        if test == "absent":
            return -has
        if test == "answered":
            return self.all_of([has, self.answered(name)])
        if test == "not_answered":
            return -self.all_of([has, self.answered(name)])
        if test == "has":
            return self.all_of([has, self.member(name, limit)])
        if test in ("is", "in"):
            return self.all_of([has, self.one_of([self.value(name, value) for value in _listed(test, limit)])])
        if test in ("is_not", "not_in"):
            return self.all_of([has, *[-self.value(name, value) for value in _listed(test, limit)]])
        if test == "between":
            return self.all_of([has, self.bound(name, "at_least", limit[0]), self.bound(name, "at_most", limit[1])])
        return self.all_of([has, self.bound(name, test, limit)])

    def branch(self, branch: Branch) -> int:
        """All conditions of a branch."""
        return self.all_of([self.holds(condition) for condition in branch])

    # --- rules --------------------------------------------------------------------------------

    def parts(self, rule: Rule) -> list[int]:
        """What must hold for a rule to fire, one literal each: conditions, values to copy, one branch of its any."""
        parts = [self.holds(condition) for condition in rule.all]
        parts += [self.has(each.value.name) for each in rule.conclude if isinstance(each.value, FactRef)]
        if rule.any:
            parts.append(self.one_of([self.branch(branch) for branch in rule.any]))
        return parts

    def _rules(self):
        for rule in self.rules:
            for condition in rule.conditions:
                for limit in limits(condition.limit):
                    if isinstance(limit, FactRef):
                        self.compared(condition.fact, limit.name)
        for rule in self.rules:
            # A statement of its own for each rule, so that two rules with the same conditions stay two rules.
            fires = self.fires[rule.id] = self.variable("fires", rule.stage, rule.id)
            self.same(fires, self.all_of(self.parts(rule)))
            for conclusion in rule.conclude:
                self.producers[conclusion.fact].append(Producer(fires, conclusion.value, rule.id))
        for calculation in self.calculations:
            gives = self.gives[calculation.id] = self.variable("gives", calculation.id)
            for name in inputs_of(calculation):
                self.add(-gives, self.has(name))
            self.producers[calculation.gives].append(Producer(gives, None, calculation.id))
        for name, fact in self.facts.items():
            if fact.source == "derived" or name in self.producers:
                self._derived(name, fact)

    def _derived(self, name, fact):
        producers = list(self.producers[name])
        if self.given:
            producers.insert(0, Producer(self.variable("given", name), None, "given"))
        events = [producer.event for producer in producers]
        self.add(-self.has(name), *events)
        for event in events:
            self.add(-event, self.has(name))
        if fact.kind == "list":
            self._derived_list(name, fact, producers)
            return
        for place, producer in enumerate(producers):
            # Several at once: the first gives the value, so that an overlap is found and not ruled out.
            self._takes(name, [-producer.event, *events[:place]], producer.value)
        for first, second in itertools.combinations(producers, 2):
            if (both := self._disagree(name, fact, first, second)) is not None:
                self.overlaps.append(Overlap(name, first.id, second.id, both))

    def _derived_list(self, name, fact, producers):
        for choice in fact.choices:
            parts = []
            for event, value, _ in producers:
                if value is None:
                    parts.append(self.all_of([event, self.variable("given member", name, choice)]))
                elif isinstance(value, FactRef):
                    if choice in self.facts[value.name].choices:
                        parts.append(self.all_of([event, self.member(value.name, choice)]))
                elif choice in limits(value):
                    parts.append(event)
            self.same(self.member(name, choice), self.one_of(parts))

    def _disagree(self, name, fact, first, second):
        """A statement that two producers give a fact different values at once; None where they never do."""
        both = [first.event, second.event]
        if fact.agreement == "one_rule":
            return self.all_of(both)
        values = (first.value, second.value)
        if None in values or any(isinstance(value, FactRef) for value in values):
            return self.all_of([*both, self.variable("may differ", name, first.id, second.id)])
        return self.all_of(both) if first.value != second.value else None

    def _takes(self, name, unless, value):
        """The fact has the value, unless one of the literals holds; nothing is said of a calculation's."""
        if value is None:
            return
        if not isinstance(value, FactRef):
            self.add(*unless, self.value(name, value))
            return
        self.equal(name, value.name, unless)

    def equal(self, name: str, source: str, unless: Iterable[int] = ()) -> None:
        """Two facts of a kind have the same value, unless one of the literals holds."""
        if self.facts[name].kind == "number":
            pairs = [
                (passed(name, limit), passed(source, limit))
                for limit in self.limits[name]
                for passed in (self.at_least, self.above)
            ]
            if tuple(sorted((name, source))) in self._compared:
                pairs.append((self.compared(name, source)[1], self.true))
        elif self.facts[name].kind == "flag":
            pairs = [(self.value(name, True), self.value(source, True))]
        else:
            shared = [choice for choice in self.choices(source) if choice in self.choices(name)]
            pairs = [(self.variable("is", name, choice), self.variable("is", source, choice)) for choice in shared]
        for first, second in pairs:
            self.add(*unless, -first, second)
            self.add(*unless, first, -second)

    def pinned(self, facts: Mapping[str, Any], answered: Iterable[str], names: Iterable[str]) -> list[int]:
        """Literals that give exactly these of the named facts, no others, and none of them new."""
        literals, answered = [], set(answered)
        for name in names:
            if name not in facts:
                literals.append(-self.has(name))
                continue
            literals += [self.has(name), self.answered(name) if name in answered else -self.answered(name)]
            literals += self.placed(name, facts[name])
        return literals


def _listed(test, limit):
    return limit if test in ("in", "not_in") else (limit,)


def inputs_of(calculation: Calculation) -> list[str]:
    """Names of the facts a calculation needs, each once."""
    return list(dict.fromkeys(given.name for _, given in calculation.inputs if given.source == "fact"))


def _groups(linked):
    """Names that hang together by links, as sets."""
    seen: set[str] = set()
    for start in list(linked):
        if start in seen:
            continue
        group, waiting = set(), [start]
        while waiting:
            name = waiting.pop()
            if name not in group:
                group.add(name)
                waiting += linked[name]
        seen |= group
        yield group
