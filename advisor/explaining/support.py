"""What a requirement rests on: the answers behind it, with nothing superfluous, and everything behind the pick.

The support of a requirement is enough to derive it again, and no part of it can be left out: of an `any` one
branch is taken, of several firings that agree one. What is behind the pick is complete instead: every firing that
reaches it, with every fact those firings read.
"""

from dataclasses import dataclass, field

from ..deciding.ladder import CAPACITY, PEDAL
from ..deciding.upstream import limit_facts, read_by_rule
from ..engine.rulebase import copied_by, read_by
from ..knowledge.model import WITHOUT_VALUE


@dataclass(frozen=True, slots=True)
class Support:
    """``facts``: names of given facts (answered, on file or assumed), sorted; ``firings``: numbers in the record,
    sorted; ``absent``: names found to have no value, or that nobody answered; ``branches``: firing number -> places of the `any` used."""

    facts: tuple
    firings: tuple
    absent: tuple = ()
    branches: dict = field(default_factory=dict)


def of_requirement(view, name):
    """The minimal Support of a requirement being posted with its limit."""
    key = ("support", name)
    if key not in view.kept:
        one = view.requirement(name)
        walk = _Walk(view)
        walk.rule(view.fired[one.rule])
        for fact in limit_facts(one):
            walk.fact(fact)
        view.kept[key] = walk.support()
    return view.kept[key]


def of_fact(view, name):
    """The minimal Support of one fact."""
    key = ("fact support", name)
    if key not in view.kept:
        walk = _Walk(view)
        walk.fact(name)
        view.kept[key] = walk.support()
    return view.kept[key]


def of_figure(view, name):
    """The given facts behind a figure, sorted."""
    key = ("figure support", name)
    if key not in view.kept:
        facts = set()
        for fact in view.upstream.facts_of_figure(name):
            if fact in view.facts:
                facts.update(of_fact(view, fact).facts)
        view.kept[key] = tuple(sorted(facts))
    return view.kept[key]


class _Walk:
    def __init__(self, view):
        self.view = view
        self.facts, self.firings, self.absent, self.branches = set(), set(), set(), {}
        self.waiting = []

    def fact(self, name, member=None):
        held = self.view.facts.get(name)
        if held is None:
            return
        if not held["producer"]:
            self.facts.add(name)
            return
        producers = [self.view.firings[number] for number in held["producer"]]
        if isinstance(held["value"], list):
            # A list is the union of what its producers put in: one that put the wanted member there is enough.
            self.firing(next(one for one in producers if member is None or member in one["concluded"][name]))
            if member is None:
                for one in producers[1:]:
                    self.firing(one)
        else:
            self.firing(producers[0])

    def firing(self, firing):
        if firing["id"] in self.firings:
            return
        if firing["kind"] == "rule":
            self.rule(firing)
        else:
            self.firings.add(firing["id"])
            for name in firing["facts"]:
                self.fact(name)

    def rule(self, firing):
        if firing["id"] in self.firings:
            return
        self.firings.add(firing["id"])
        rule = self.view.rules[firing["rule"]]
        for condition in rule.all:
            self.condition(condition)
        for name in copied_by(rule):
            self.fact(name)
        if rule.any:
            self.waiting.append((firing, rule))

    def condition(self, condition):
        if condition.test in WITHOUT_VALUE:
            self.absent.add(condition.fact)
            return
        self.fact(condition.fact, condition.limit if condition.test == "has" else None)
        for name in read_by(condition)[1:]:
            self.fact(name)

    def support(self):
        # Branches are chosen last: one that asks for nothing new leaves nothing superfluous.
        while self.waiting:
            firing, rule = self.waiting.pop(0)
            place = min(firing["branches"], key=lambda place: (self.needs(rule.any[place]), place))
            self.branches[firing["id"]] = (place,)
            self.condition(rule.any[place])
        return Support(
            tuple(sorted(self.facts)), tuple(sorted(self.firings)), tuple(sorted(self.absent)), self.branches
        )

    def needs(self, condition):
        if condition.test in WITHOUT_VALUE:
            return 0
        new = set()
        for name in read_by(condition):
            if name in self.view.facts:
                new |= {*of_fact(self.view, name).facts} - self.facts
        return len(new)


@dataclass(frozen=True, slots=True)
class Behind:
    """Everything behind the pick. ``rules`` and ``calculations``: ids that fired in stage case; ``set_up``: ids of
    the set-up rules that decide what must go with a passing kit; ``figures``: names; ``facts``: given facts."""

    rules: tuple
    calculations: tuple
    set_up: tuple
    figures: tuple
    facts: tuple


def behind_the_pick(view):
    """Behind of a record: what its requirements, its figures and its prices came from."""
    set_up = {item["rule"] for kit in view.made["kits"] for item in kit.get("adds", ())}
    waiting, read = list(set_up), set()
    concluding = {}
    for rule in view.knowledge.rules:
        if rule.stage == "setup":
            for conclusion in rule.conclude:
                concluding.setdefault(conclusion.fact, []).append(rule.id)
    while waiting:
        for name in read_by_rule(view.rules[waiting.pop()]):
            read.add(name)
            new = set(concluding.get(name, ())) - set_up
            set_up |= new
            waiting += new
    figures = {CAPACITY, PEDAL} | {name for name in read if name in view.figure_steps}
    figures |= {one["measure"] for one in view.made["requirements"] if one["source"] == "figure"}
    figures = _with_those_behind(view, figures)
    facts = {name for name in read if name in view.facts}
    for figure in figures:
        facts |= set(view.upstream.facts_of_figure(figure)) & view.facts.keys()
    firings = {view.fired[one["rule"]]["id"] for one in view.made["requirements"]}
    for one in view.made["requirements"]:
        facts |= set(one["limit_facts"]) & view.facts.keys()
    given, firings = _everything(view, facts, firings)
    names = {
        kind: tuple(
            sorted(view.firings[number]["rule"] for number in firings if view.firings[number]["kind"] == kind)
        )
        for kind in ("rule", "calculation")
    }
    return Behind(
        names["rule"], names["calculation"], tuple(sorted(set_up)), tuple(sorted(figures)), tuple(sorted(given))
    )


def _with_those_behind(view, names):
    from ..deciding.upstream import reads_of

    found, waiting = set(), [name for name in names if name in view.figure_steps]
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += [other for other in reads_of(view.figure_steps[name], "figure") if other in view.figure_steps]
    return found


def _everything(view, facts, firings):
    """All given facts and firings behind facts and firings, every branch and every producer followed."""
    given, seen, numbers = set(), set(), set()
    waiting = [*facts, *(name for number in firings for name in view.firings[number]["facts"])]
    numbers |= firings
    while waiting:
        name = waiting.pop()
        if name in seen or name not in view.facts:
            continue
        seen.add(name)
        producers = view.facts[name]["producer"]
        if not producers:
            given.add(name)
        for number in producers:
            if view.firings[number]["stage"] == "case" and number not in numbers:
                numbers.add(number)
                waiting += view.firings[number]["facts"]
    return given, numbers
