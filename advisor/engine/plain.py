"""A small forward chainer of our own: the second derivation, and the only one where durable-rules is missing.

Every rule and calculation counts the conditions it still lacks. A fact is looked at once, when it becomes
known; the conditions it settles are taken off the counts, and what reaches zero fires. Nothing is ever taken
back, so the outcome does not depend on the order.
"""

from collections import deque
from collections.abc import Collection
from typing import Any, NamedTuple

from ..knowledge.model import ORDERED_TESTS, FactRef, Knowledge
from .derivation import Derivation, Facts, Firing, derivation
from .disagreement import conflict
from .rulebase import Beforehand, RuleBase, beforehand, copied_by, members, read_by, rule_base
from .tracing import Tracer

#: Who waits for a condition: the place of a rule or calculation, or (place, branch of its ``any``).
User = int | tuple[int, int]


class _Clash(Exception):
    """Two firings disagree; which ones is settled by `conflict`."""


class _Watch:
    """What becomes true when one fact becomes known: users are places of rules, or (place, branch) pairs."""

    __slots__ = ("by_limit", "by_member", "by_value", "compared", "known")

    def __init__(self):
        self.known, self.by_value, self.by_limit, self.by_member, self.compared = [], {}, [], {}, []


class _Program(NamedTuple):
    """A rule or a calculation, by its kind and id."""

    kind: str
    id: str
    item: Any


def compile_plain(knowledge: Knowledge, stage: str) -> "PlainEvaluator":
    """The plain chainer over the rules of ``stage``."""
    return PlainEvaluator(rule_base(knowledge, stage))


class PlainEvaluator:
    """Forward chaining over a RuleBase; holds no state between derivations, so threads may share it."""

    name = "plain"

    def __init__(self, base: RuleBase) -> None:
        self.base = base
        self._watches: dict[str, _Watch] = {}
        self._absent: list[tuple[str, User]] = []
        self._answered: list[tuple[str, User]] = []
        self._not_answered: list[tuple[str, User]] = []
        self._programs: list[_Program] = []
        # What a rule reads and concludes is looked up when it fires for the first time, which most never do.
        self._about: dict[int, Beforehand] = {}
        self._lacking: list[int] = []
        # How many conditions a branch lacks, where that is more than one.
        self._lacking_in_branch: dict[tuple[int, int], int] = {}
        for rule in base.rules:
            self._add_rule(rule)
        for calculation in base.calculations:
            place = len(self._programs)
            self._programs.append(_Program("calculation", calculation.id, calculation))
            self._lacking.append(len(calculation.reads))
            for name in calculation.reads:
                self._watch(name).known.append(place)
        self._ranks = [base.rank[kind, name] for kind, name, _ in self._programs]
        self._unconditional = [place for place, count in enumerate(self._lacking) if count == 0]
        self._lists = frozenset(name for name, fact in base.facts.items() if fact.kind == "list")
        self._same = frozenset(name for name, fact in base.facts.items() if fact.agreement == "same_value")

    def _watch(self, name):
        return self._watches.setdefault(name, _Watch())

    def _add_rule(self, rule):
        place = len(self._programs)
        for condition in rule.all:
            self._add_condition(condition, place)
        for branch, conditions in enumerate(rule.any):
            for condition in conditions:
                self._add_condition(condition, (place, branch))
            if len(conditions) > 1:
                self._lacking_in_branch[place, branch] = len(conditions)
        copied = sorted(set(copied_by(rule)))
        for name in copied:
            self._watch(name).known.append(place)
        self._programs.append(_Program("rule", rule.id, rule))
        self._lacking.append(len(rule.all) + len(copied) + bool(rule.any))

    def about(self, place: int) -> Beforehand:
        """What is known beforehand of the rule or calculation at a place."""
        if place not in self._about:
            self._about[place] = beforehand(self.base, self._programs[place].item)
        return self._about[place]

    def _add_condition(self, condition, user):
        name, test, limit = condition.fact, condition.test, condition.limit
        if test == "absent":
            self._absent.append((name, user))
            return
        if test == "answered":
            self._answered.append((name, user))
            return
        if test == "not_answered":
            self._not_answered.append((name, user))
            return
        watch = self._watch(name)
        if test == "known":
            watch.known.append(user)
        elif test == "has":
            watch.by_member.setdefault(limit, []).append(user)
        elif test in ORDERED_TESTS:
            compared = set(read_by(condition))
            if len(compared) == 1:
                watch.by_limit.append((test, limit, user))
            for pair in compared if len(compared) > 1 else ():
                self._watch(pair).compared.append((tuple(compared - {pair}), name, test, limit, user))
        else:
            for value in self._matching(name, test, limit):
                watch.by_value.setdefault(value, []).append(user)

    def _matching(self, name, test, limit):
        """The values for which an equality or membership test holds."""
        listed = limit if test in ("in", "not_in") else (limit,)
        if test in ("is", "in"):
            return dict.fromkeys(listed)
        fact = self.base.facts[name]
        return [value for value in ((True, False) if fact.kind == "flag" else fact.choices) if value not in listed]

    def derive(self, facts: Facts, answered: Collection[str] = frozenset(), tracer: Tracer | None = None) -> Derivation:
        """Everything that follows from ``facts``; see `tracing.Evaluator`."""
        self.base.refuse_bad_facts(facts)
        facts, answered = self.base.held(facts, answered)
        if tracer is not None:
            tracer.started(self.name, self.base.stage, facts, answered)
        try:
            run = _Run(self, facts, answered, tracer)
        except _Clash:
            raise conflict(self.base, facts, answered) from None
        outcome = derivation(run.facts, run.firings())
        if tracer is not None:
            tracer.finished(self.name, outcome)
        return outcome


class _Run:
    """One derivation under way."""

    def __init__(self, evaluator, facts, answered, tracer):
        self.evaluator, self.tracer = evaluator, tracer
        self.facts, self.lacking, self.branches = dict(facts), list(evaluator._lacking), {}
        self.in_branch = dict(evaluator._lacking_in_branch)
        self.seen, self.fired, self.results, self.copies = set(), [], {}, {}
        self.ready = deque(evaluator._unconditional)
        self.news = deque(name for name in facts if name in evaluator._watches)
        self.gained = {name: facts[name] for name in evaluator._lists if name in facts}
        self._settle([user for name, user in evaluator._absent if name not in facts])
        self._settle([user for name, user in evaluator._answered if name in answered and name in facts])
        self._settle([user for name, user in evaluator._not_answered if name not in answered or name not in facts])
        while self.ready or self.news:
            while self.news:
                self._look_at(self.news.popleft())
            while self.ready:
                self._fire(self.ready.popleft())

    def _settle(self, users):
        lacking = self.lacking
        for user in users:
            if user.__class__ is tuple:
                left = self.in_branch.get(user, 1) - 1
                if left:
                    self.in_branch[user] = left
                    continue
                place, branch = user
                held = self.branches.setdefault(place, [])
                held.append(branch)
                if len(held) > 1:
                    continue
            else:
                place = user
            lacking[place] -= 1
            if not lacking[place]:
                self.ready.append(place)

    def _look_at(self, name):
        watch, value, facts = self.evaluator._watches[name], self.facts[name], self.facts
        if name in self.gained:
            for member in self.gained.pop(name):
                self._settle(watch.by_member.get(member, ()))
        if name in self.seen:
            return
        self.seen.add(name)
        if watch.known:
            self._settle(watch.known)
        if watch.by_value:
            self._settle(watch.by_value.get(value, ()))
        for test, limit, user in watch.by_limit:
            if _within(test, value, limit, facts):
                self._settle((user,))
        for others, subject, test, limit, user in watch.compared:
            if self.seen.issuperset(others) and _within(test, facts[subject], limit, facts):
                self._settle((user,))

    def _fire(self, place):
        kind, name, item = self.evaluator._programs[place]
        concluded: Any = self.evaluator.about(place).constant
        self.fired.append(place)
        reason = ""
        if kind == "calculation":
            value, reason = self.results[place] = item(self.facts)
            concluded = () if value is None else ((item.gives, value),)
        elif concluded is None:
            concluded = [
                (part.fact, self._copy(part) if part.value.__class__ is FactRef else part.value)
                for part in item.conclude
            ]
        if self.tracer is not None:
            self.tracer.fired(self.evaluator.name, kind, name, tuple(concluded), reason)
        for fact, value in concluded:
            if fact in self.evaluator._lists:
                self._gain(fact, members(value))
            elif fact not in self.facts:
                self.facts[fact] = value
                if fact in self.evaluator._watches:
                    self.news.append(fact)
            elif fact not in self.evaluator._same or self.facts[fact] != value:
                raise _Clash

    def _copy(self, part):
        source = part.value.name
        if part.fact in self.evaluator._lists:
            # What the source gains later, the copy gains too.
            self.copies.setdefault(source, set()).add(part.fact)
        return self.facts[source]

    def _gain(self, name, new):
        present = self.facts.get(name)
        added = set(new).difference(present or ())
        if present is None or added:
            self.facts[name] = tuple(sorted(added.union(present or ())))
            self.gained[name] = (*self.gained.get(name, ()), *added)
            if name in self.evaluator._watches:
                self.news.append(name)
            for target in self.copies.get(name, ()):
                self._gain(target, added)

    def firings(self):
        """The record, made when everything is known: a rule's branches may come to hold after it fired."""
        facts, record = self.facts, []
        for place in sorted(self.fired, key=self.evaluator._ranks.__getitem__):
            kind, name, item = self.evaluator._programs[place]
            reads, branches, concluded = self.evaluator.about(place)
            held: tuple[int, ...] = ()
            reason = ""
            if kind == "calculation":
                value, reason = self.results[place]
                concluded = () if value is None else ((item.gives, value),)
            if branches:
                held = tuple(sorted(self.branches[place]))
                reads = sorted({*reads, *(read for branch in held for read in branches[branch])})
            if concluded is None:
                concluded = tuple(sorted([(part.fact, self._value(part)) for part in item.conclude]))
            record.append(Firing(kind, name, held, tuple([(read, facts[read]) for read in reads]), concluded, reason))
        return record

    def _value(self, part):
        if part.value.__class__ is FactRef:
            return self.facts[part.value.name]
        return tuple(sorted(set(members(part.value)))) if part.fact in self.evaluator._lists else part.value


def _within(test, value, limit, facts):
    if test == "between":
        low, high = limit
        return (facts[low.name] if low.__class__ is FactRef else low) <= value and value <= (
            facts[high.name] if high.__class__ is FactRef else high
        )
    if limit.__class__ is FactRef:
        limit = facts[limit.name]
    if test == "above":
        return value > limit
    if test == "at_least":
        return value >= limit
    if test == "below":
        return value < limit
    return value <= limit
