"""Decides again from an explanation alone: fresh engines over the cited rules, the cited facts and nothing else."""

import dataclasses

from advisor.deciding.answers import ANSWERED, Known
from advisor.deciding.decide import Decider
from advisor.engine.plain import compile_plain
from advisor.explaining.stored import case_of


def plain(value):
    """JSON lists as the tuples of the engines."""
    return tuple(value) if isinstance(value, list) else value


def known_of(view, names):
    """`Known` of the given facts of a record, those named only."""
    facts = {name: plain(view.facts[name]["value"]) for name in names}
    origins = {name: view.facts[name]["origin"] for name in names}
    answered = frozenset(name for name, origin in origins.items() if origin in ANSWERED)
    return Known(facts, origins, answered, (), (), (), ())


def knowledge_of(view, rules, calculations, figures=None):
    """The knowledge with the named rules and calculations only, and the figures named (all where None)."""
    knowledge = view.knowledge
    steps = knowledge.figure_calculations
    return dataclasses.replace(
        knowledge,
        rules=tuple(rule for rule in knowledge.rules if rule.id in rules),
        calculations=tuple(one for one in knowledge.calculations if one.id in calculations),
        figure_calculations=steps if figures is None else tuple(one for one in steps if one.gives in figures),
    )


def decided_again(view, behind):
    """A Decision from what is cited as being behind the pick."""
    knowledge = knowledge_of(view, {*behind.rules, *behind.set_up}, behind.calculations, set(behind.figures))
    engines = {stage: compile_plain(knowledge, stage) for stage in ("case", "setup")}
    decider = Decider(knowledge, view.shop, lambda stage, facts, answered: engines[stage].derive(facts, answered))
    case = case_of(view.made)
    platform = view.shop.platform(case.platform) if case.platform else None
    return decider.decide_known(case, platform, known_of(view, behind.facts))


class Posting:
    """Whether a requirement is posted, with its limit, by the firings a Support cites, from given facts alone."""

    def __init__(self, view, name, support):
        self.view, self.name = view, name
        self.requirement = view.requirement(name)
        rules = {view.firings[number]["rule"] for number in support.firings if view.firings[number]["kind"] == "rule"}
        steps = {view.firings[number]["rule"] for number in support.firings} - rules
        self.engine = compile_plain(knowledge_of(view, rules, steps), "case")

    def holds(self, names):
        """Posted with the limit of the record?"""
        known = known_of(self.view, names)
        derived = self.engine.derive(known.facts, known.answered)
        limits = self.view.requirements[self.name]["limit_facts"]
        return self.requirement.rule in derived.fired() and all(
            derived.facts.get(fact) == plain(self.view.facts[fact]["value"])
            if fact in self.view.facts
            else fact not in derived.facts
            for fact in limits
        )
