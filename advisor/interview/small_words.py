"""What facts, answers, kits and outcomes are called in an interview, in the words of who sits before it."""

from typing import TYPE_CHECKING, Any

from ..deciding.outcomes import MORE_ANSWERS
from ..knowledge.sentences import wrap
from .names import CAR

if TYPE_CHECKING:
    from ..deciding.decide import Shop
    from ..deciding.outcomes import Outcome
    from ..knowledge.model import Knowledge
    from .state import Said


class SmallWords:
    """Words for one shop and knowledge; ``plain`` for a customer's wording, ``system`` of units si or trade."""

    def __init__(self, knowledge: "Knowledge", shop: "Shop", *, plain: bool = False, system: str = "si") -> None:
        self.knowledge, self.shop, self.plain, self.system = knowledge, shop, plain, system
        self.wording = shop.wording(knowledge, system)
        self.rules = {rule.id: rule for rule in knowledge.rules}

    wrap = staticmethod(wrap)

    def label(self, name: str) -> str:
        """What a fact is called."""
        return "the car" if name == CAR else self.wording.label(name)

    def said(self, answer: "Said") -> str:
        """An answer for people."""
        if answer.fact == CAR:
            return self.wording.title(answer.value) or "not on file"
        if answer.unknown:
            return "not known"
        origin = "" if answer.origin == "stated" else f" ({answer.origin.replace('_', ' ')})"
        if answer.low is None and answer.high is None:
            return self.value(answer.fact, answer.value) + origin
        return self.wording.vague(answer.fact, answer.value, answer.low, answer.high) + origin

    def value(self, name: str, value: Any) -> str:
        """Any value of a fact or figure; a choice in a customer's words where it is asked in them."""
        return self.wording.said(name, value) if self.plain else self.wording.value(name, value)

    def name(self, name: str) -> str:
        """What an answer is called on the screen: its name, or in a customer's words what it is about."""
        return self.label(name) if self.plain else name

    def kit(self, kit_id: str | None) -> str:
        """A kit by title and id."""
        return f"{self.wording.title(kit_id)} ({kit_id})" if kit_id else "no kit"

    def outcome(self, outcome: "Outcome") -> str:
        """An Outcome in a few words."""
        if outcome.pick:
            return self.kit(outcome.pick)
        return "more answers are needed" if outcome.outcome == MORE_ANSWERS else "no kit fits"
