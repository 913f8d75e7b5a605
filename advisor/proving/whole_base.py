"""Everything that is asked about a rule base as a whole, in one go."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from . import questions, shelf
from .admissible import CONSISTENCY
from .findings import Finding, in_order
from .problem import Problem

if TYPE_CHECKING:
    from ..knowledge.model import Knowledge
    from ..knowledge.sources import Content


@dataclass(frozen=True, slots=True)
class Proved:
    """What all questions came to: the ``findings`` in a lead's order, and how many were ``asked``."""

    findings: tuple[Finding, ...]
    asked: int


def prove(
    knowledge: "Knowledge", content: "Content | None" = None, *, on_request: bool = False, arithmetic: bool = False
) -> Proved:
    """Ask every question, of kits and cars too where their records are given.

    ``on_request``: also what few want; ``arithmetic``: also what needs z3 (EngineError where it is not installed).
    """
    findings: list[Finding] = []
    problem = Problem(knowledge, before_solving=shelf.prepare)
    asked = {**questions.QUESTIONS, "quarrels": shelf.quarrels, **(questions.ON_REQUEST if on_request else {})}
    for question in asked.values():
        findings += question(problem)
    if content is not None:
        findings += shelf.thin_shelf(problem, content.kits, content.platforms)
    count = problem.solver.asked
    if any(rule.stage == CONSISTENCY for rule in knowledge.rules):
        apart = Problem(knowledge, CONSISTENCY)
        for question in questions.IN_CONSISTENCY.values():
            findings += question(apart)
        count += apart.solver.asked
    if arithmetic:
        from .in_order import declared_orders, out_of_order

        findings += out_of_order(knowledge)
        count += declared_orders(knowledge)
    return Proved(tuple(in_order(findings)), count)
