"""Sums of money: which of them is what somebody has to spend."""

from ..knowledge import spoken
from .around_numbers import CURRENCIES, OF_MONEY
from .requests import requested
from .units_said import UnitsSaid

#: Words beside which a sum of money is what somebody has to spend, and those beside which it is something else.
_HAS = frozenset(
    ("got", "have", "has", "spend", "stretch", "afford", "limit", "tops", "max", "maximum", "under", "push")
)

#: Before a denial of paying more: it tells what somebody paid once.
_GONE_BY = frozenset(("did", "have", "had", "was", "were"))


class MoneyHeard(UnitsSaid):
    """A sentence in which sums of money are heard."""

    def _to_spend(self, heard_number, number):
        """(readings, facts that need more) of a sum of money; none and none where it is the price of something."""
        start, end, _ = self.parts[number]
        budget = [fact for fact in self.listener.numbers if fact.shown_as == "money"]
        pointed_at = [
            fact
            for fact in budget
            if fact.name == self.about or self._distance(fact, heard_number, start, end) is not None
        ]
        words = {token.word for token in self.tokens[start:end]}
        # "up to eight hundred quid" is a most; "up at eight hundred on your website" is what something costs.
        up_to = "up" in words and heard_number.rough == "most"
        if not pointed_at and (words & _HAS or up_to) and not words & OF_MONEY:
            pointed_at = budget
        asked_for = requested([token.word for token in self.tokens[self.parts[max(0, number - 1)][0] : end]])
        whose = {"i", "we"} & words or asked_for or self._nothing_else(heard_number, number)
        if not pointed_at and heard_number.rough == "most" and whose and not words & OF_MONEY:
            pointed_at = budget  # "I'd rather not go above a grand", "no more than eight hundred quid"
        if not pointed_at and heard_number.rough == "most" and self._refused_beyond(start, end):
            pointed_at = budget
        if not pointed_at and number and self._nothing_else(heard_number, number):
            before, last, _ = self.parts[number - 1]
            pointed_at = [fact for fact in budget if self._distance(fact, heard_number, before, last) is not None]
        behind = () if pointed_at else self._named_behind_it(heard_number, number)
        if behind and not words & OF_MONEY:
            return list(behind), []
        if not pointed_at and heard_number.rough == "most":
            return [], [fact.name for fact in budget]
        return [heard for fact in pointed_at for heard in self._readings(fact, heard_number, number)], []

    def _refused_beyond(self, start, end):
        """As in "I don't pay more than 600 euro", "until 900 euro is okay": the most that somebody will pay."""
        words = [token.word for token in self.tokens[start:end]]
        denials = [
            at for at, word in enumerate(words) if word in ("not", "never") and words[max(0, at - 1)] not in _GONE_BY
        ]
        refused = any({"pay", "spend"} & set(words[at : at + 4]) for at in denials)
        return refused or bool({"ok", "okay", "fine", "alright"} & set(words))

    def _nothing_else(self, heard_number, number):
        """Is the number, but for small words, the whole part?"""
        start, end, _ = self.parts[number]
        rest = [at for at in range(start, end) if not heard_number.start <= at < heard_number.end]
        small = spoken.SLIGHT | (CURRENCIES if heard_number.kind == "money" else frozenset())
        return not any(self.tokens[at].is_word and self.tokens[at].word not in small for at in rest)
