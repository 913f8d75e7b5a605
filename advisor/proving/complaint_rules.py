"""Proofs over the rules on complaints: arguments that no complaint can ever bring up.

Everything but what these rules conclude themselves is told, measured or known of the sale, in any way its range allows.
"""

import dataclasses
from functools import cached_property

from ..knowledge.complaint_model import ComplaintKnowledge
from ..knowledge.model import COMPLAINT
from .admissible import range_of
from .clauses import Solver
from .questions import dead
from .regions import Regions
from .whole_base import Proved


class ComplaintProblem:
    """The rules on complaints made ready for questions, as `problem.Problem` is for the others."""

    stage = COMPLAINT

    def __init__(self, knowledge: ComplaintKnowledge) -> None:
        self.knowledge, self.rules = knowledge, list(knowledge.rules)
        concluded = {each.fact for rule in knowledge.rules for each in rule.conclude}
        facts = {
            name: fact if name in concluded or fact.source != "derived" else dataclasses.replace(fact, source="figure")
            for name, fact in knowledge.facts.items()
        }
        self.regions = Regions(facts, knowledge.rules, ())
        for name, fact in facts.items():
            if fact.kind == "number" and name not in concluded:
                self.regions.between(name, *range_of(fact))

    @cached_property
    def solver(self) -> Solver:
        """The solver; nothing may be added to the regions once it is there."""
        return self.regions.solver()

    def may(self, *literals: int) -> bool:
        """Can all of them hold for some complaint?"""
        return self.solver.may(*literals)


def about_complaints(knowledge: ComplaintKnowledge) -> Proved:
    """What is wrong with the rules on complaints."""
    problem = ComplaintProblem(knowledge)
    findings = tuple(dead(problem))  # type: ignore[arg-type] # it asks no more of a problem than this has
    return Proved(findings, problem.solver.asked)
