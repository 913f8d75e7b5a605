"""Decides again from an explanation alone: fresh engines over the cited rules, the cited facts and nothing else."""

import dataclasses

from advisor.deciding.answers import Known
from advisor.deciding.decide import Decider
from advisor.engine.plain import compile_plain
from advisor.knowledge.case_model import ORIGINS
from advisor.knowledge.model import STAGES


def plain(value):
    """JSON lists as the tuples of the engines."""
    return tuple(value) if isinstance(value, list) else value


def known_of(worded, names):
    """`Known` of the given facts of a record, those named only."""
    facts = {name: plain(worded.record.facts[name].value) for name in names}
    origins = {name: worded.record.facts[name].origin for name in names}
    answered = frozenset(name for name, origin in origins.items() if origin in ORIGINS)
    return Known(facts, origins, answered, (), (), (), ())


def knowledge_of(worded, rules, calculations, figures=None):
    """The knowledge with the named rules and calculations only, and the figures named (all where None)."""
    knowledge = worded.knowledge
    steps = knowledge.figure_calculations
    return dataclasses.replace(
        knowledge,
        rules=tuple(rule for rule in knowledge.rules if rule.id in rules),
        calculations=tuple(one for one in knowledge.calculations if one.id in calculations),
        figure_calculations=steps if figures is None else tuple(one for one in steps if one.gives in figures),
    )


def decided_again(worded, behind):
    """A Decision from what is cited as being behind the pick."""
    knowledge = knowledge_of(worded, {*behind.rules, *behind.set_up}, behind.calculations, set(behind.figures))
    engines = {stage: compile_plain(knowledge, stage) for stage in STAGES}
    decider = Decider(knowledge, worded.shop, lambda stage, facts, answered: engines[stage].derive(facts, answered))
    case = worded.record.case.as_case()
    platform = worded.shop.platform(case.platform) if case.platform else None
    return decider.decide_known(case, platform, decider.marked(known_of(worded, behind.facts)))


class Posting:
    """Whether a requirement is posted, with its limit, by the firings a Support cites, from given facts alone."""

    def __init__(self, worded, name, support):
        self.worded, self.name = worded, name
        self.requirement = worded.provenance.requirement(name)
        fired = [worded.record.firings[number] for number in support.firings]
        rules = {firing.rule for firing in fired if firing.kind == "rule"}
        steps = {firing.rule for firing in fired} - rules
        self.engine = compile_plain(knowledge_of(worded, rules, steps), "case")

    def holds(self, names):
        """Posted with the limit of the record?"""
        known = known_of(self.worded, names)
        derived = self.engine.derive(known.facts, known.answered)
        limits = self.worded.requirements[self.name].limit_facts
        return self.requirement.rule in derived.fired() and all(
            derived.facts.get(fact) == plain(self.worded.record.facts[fact].value)
            if fact in self.worded.record.facts
            else fact not in derived.facts
            for fact in limits
        )
