"""The one place where a value, a limit, a price or a list is put into words.

How a plain number is shown is declared beside its name in ``rules/vocabulary.yaml`` (``shown_as``); everything else
follows from its kind and its unit.
"""

import re
from collections.abc import Iterable, Mapping
from typing import Any

from .model import Fact, Figure, KitField, Knowledge, Record
from .quantities import show
from .sentences import chance, joined
from .shop import NUMBERS

#: What has a value to be put into words.
Word = Fact | Figure | KitField

NOT_KNOWN = "not known"
PLACEHOLDER = re.compile(r"\{([a-z][a-z0-9_]*)\}")
#: Comparisons of requirements and of conditions, around the limit.
COMPARES = {
    "at_least": "at least {}",
    "at_most": "at most {}",
    "above": "above {}",
    "below": "below {}",
    "is": "{}",
    "in": "one of {}",
    "not_in": "none of {}",
    "between": "between {} and {}",
    "is_not": "not {}",
    "has": "with {}",
}
#: Comparisons whose limit is something accepted; the others need it.
ACCEPTED = ("at_most", "below", "not_in", "between")
ORIGINS = {
    "measured": "measured",
    "stated": "as you said",
    "looked_up": "looked up",
    "platform": "on file for the car",
    "factory_kit": "on file for the factory clutch",
    "assumed": "assumed",
    "calculated": "calculated",
    "concluded": "follows from a rule",
}


#: A point or a comma within a number.
_MARK = re.compile(r"(?<=\d)[.,](?=\d)")


def written(text: str, numbers: str = "en") -> str:
    """A text made here, the numbers in it as a language writes them (see `shop.NUMBERS`).

    What is kept, computed or read back has a decimal point whatever the shop's language; this is for people only.

    >>> written("1,722.00 EUR", "de"), written("0.35 mm", "fr"), written("0.35 mm")
    ('1.722,00 EUR', '0,35 mm', '0.35 mm')
    """
    decimal, thousands = NUMBERS[numbers]
    if (decimal, thousands) == NUMBERS["en"]:
        return text
    return _MARK.sub(lambda mark: decimal if mark[0] == "." else thousands, text)


def money_text(value: float, currency: str | None, numbers: str = "en") -> str:
    """ "1,722.00 EUR"; ``numbers``: the language it is written in."""
    return written(f"{value:,.2f} {currency or ''}".strip(), numbers)


def value_text(
    word: Word | None, value: Any, system: str = "si", digits: int = 3, currency: str = "", numbers: str = "en"
) -> str:
    """Any canonical value of a Fact, Figure or KitField (None: of nothing declared) for people.

    >>> from .model import Figure
    >>> value_text(Figure("fade", "1", "friction left", 0.01, shown_as="share"), 0.461)
    '46.1 %'
    """
    if value is None:
        return NOT_KNOWN
    if isinstance(value, (list, tuple)):
        # Where the comma is the decimal mark it parts no numbers.
        apart = ", " if NUMBERS[numbers][0] == "." else "; "
        apart = apart if any(isinstance(member, float) for member in value) else ", "
        return apart.join(value_text(word, member, system, digits, currency, numbers) for member in value) or "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not isinstance(value, (int, float)):
        return str(value) if getattr(word, "kind", "") == "text" else str(value).replace("_", " ")
    shown_as = getattr(word, "shown_as", "")
    if shown_as == "money":
        return money_text(value, currency, numbers)
    if shown_as == "chance" and digits == 3:
        return written(chance(value), numbers)  # finer only where two of them have to be told apart
    if shown_as in ("share", "chance"):
        return written(f"{show(100 * value, '1', digits=digits)} %", numbers)
    text = written(show(float(value), getattr(word, "unit", "") or "1", system, digits), numbers)
    return {"class": f"class {text}", "times": f"{text} times"}.get(shown_as, text)


def demanded(compare: str, level: str) -> str:
    """What is said behind a limit: a wish is wished, a must needed or accepted."""
    if level != "must":
        return "is wished"
    return "is accepted" if compare in ACCEPTED else "is needed"


class Wording:
    """Words for values of facts, figures and kit fields.

    ``system``: si or trade units; ``currency``: of prices that name none; ``records``: id -> Record, for titles;
    ``numbers``: the language numbers are written in.
    """

    def __init__(
        self,
        knowledge: Knowledge,
        system: str = "si",
        currency: str = "",
        records: Mapping[str, Record] | None = None,
        numbers: str = "en",
    ) -> None:
        self.knowledge = knowledge
        self.system = system
        self.currency = currency
        self.records = records or {}
        self.numbers = numbers

    # --- names --------------------------------------------------------------------------------

    def title(self, record_id: str) -> str:
        """A record's title, else its id."""
        record = self.records.get(record_id)
        return str(record.fields.get("title", record_id)) if record else record_id

    def word(self, name: str) -> Word | None:
        """The Fact, Figure or KitField of that name, or None."""
        known = self.knowledge
        return known.facts.get(name) or known.figures.get(name) or known.kit_fields.get(name)

    def label(self, name: str) -> str:
        """What a fact, figure or kit field is called."""
        word = self.word(name)
        return word.label if word is not None else name.replace("_", " ")

    def unit(self, name: str) -> str:
        """The unit its numbers live in; "1" for plain numbers and for what has none."""
        return getattr(self.word(name), "unit", "") or "1"

    def origin(self, origin: str) -> str:
        """Where a value came from."""
        return ORIGINS.get(origin, origin.replace("_", " "))

    # --- values -------------------------------------------------------------------------------

    def value(self, name: str, value: Any, digits: int = 3) -> str:
        """Any value of a fact, figure or kit field, with its unit."""
        return self.of(self.word(name), value, digits)

    def said(self, name: str, value: Any) -> str:
        """A choice as the question offers it ("somebody who has done it before"), anything else as its `value`."""
        asked = self.knowledge.questions.get(name)
        offered = dict(asked.options).get(value, "") if asked is not None else ""
        return offered or self.value(name, value)

    def band(self, name: str, low: float, high: float) -> str:
        """From one value to another: "400 to 450 N m"."""
        ends = self.pair(name, low, high)
        (first, _, unit), (_, _, same) = (end.partition(" ") for end in ends)
        return f"{first} to {ends[1]}" if unit == same else " to ".join(ends)

    def vague(self, name: str, value: float, low: float | None, high: float | None) -> str:
        """A value with the ends of what it was said to lie between: "425 N m, could be 400 to 450 N m"."""
        value_text = self.value(name, value)
        return value_text if low is None or high is None else f"{value_text}, could be {self.band(name, low, high)}"

    def of(self, word: Word | None, value: Any, digits: int = 3) -> str:
        """A value of a Fact, Figure or KitField (None: of nothing that is declared)."""
        return value_text(word, value, self.system, digits, self.currency, self.numbers)

    def number(self, value: float, unit: str, digits: int = 3) -> str:
        """A number in ``unit``."""
        return self.written(show(value, unit, self.system, digits))

    def written(self, text: str) -> str:
        """A text made here, the numbers in it as the shop's language writes them."""
        return written(text, self.numbers)

    def money(self, value: float | None, currency: str | None = None) -> str:
        """A price, its currency always with it."""
        if value is None:
            return "price not known"
        return money_text(value, self.currency if currency is None else currency, self.numbers)

    def step(self, name: str, before: float, after: float) -> str:
        """From one value to another: "+28.9 N", "class 0 to class 2", "93 % to 97 %"."""
        if getattr(self.word(name), "shown_as", "") in ("class", "chance"):
            return f"{self.value(name, before)} to {self.value(name, after)}"
        return ("+" if after > before else "-") + self.value(name, abs(after - before))

    def down(self, name: str, value: float) -> str:
        """A value rounded down, for a limit nobody should read as higher than it is."""
        unit = self.unit(name)
        exact = float(show(value, unit, self.system, 12).split()[0])
        for place in range(20):
            text = show(value * (1 - place * 2e-4), unit, self.system)
            if float(text.split()[0]) <= exact:
                break
        return self.written(text)

    def pair(self, name: str, value: Any, other: Any) -> tuple[str, str]:
        """Two values of one thing, with as many digits as tell them apart."""
        for digits in range(3, 10):
            texts = self.value(name, value, digits), self.value(name, other, digits)
            if texts[0] != texts[1] or value == other:
                break
        return texts

    def beside(self, name: str, value: Any, other: Any) -> str:
        """A value, told apart from ``other`` where both are numbers close to each other."""
        numbers = [isinstance(each, (int, float)) and not isinstance(each, bool) for each in (value, other)]
        return self.pair(name, value, other)[0] if all(numbers) else self.value(name, value)

    # --- limits -------------------------------------------------------------------------------

    def has(self, name: str, value: Any, other: Any = None, whose: str = "this kit") -> str:
        """ "this kit has 172 N", or that it is not known."""
        return f"{whose}'s is not known" if value is None else f"{whose} has {self.beside(name, value, other)}"

    def needed(self, compare: str, name: str, limit: Any, beside: Any = None) -> str:
        """ "at least 523 N m"; told apart from the value ``beside`` where that is close."""
        if isinstance(limit, dict):
            return COMPARES[compare].format(f"that of the kit: {self.label(limit['kit'])}")
        if compare == "between":
            return COMPARES[compare].format(*(self.value(name, end) for end in limit))
        return COMPARES[compare].format(self.beside(name, limit, beside))

    def demand(self, compare: str, name: str, limit: Any, beside: Any = None, level: str = "must") -> str:
        """ "pedal force: at most 220 N is accepted"; of a wish (``level`` should) "is wished"."""
        return f"{self.label(name)}: {self.needed(compare, name, limit, beside)} {demanded(compare, level)}"

    # --- texts --------------------------------------------------------------------------------

    def fill(self, template: str, values: Mapping[str, Any]) -> str:
        """``template`` with each {name} replaced by its value, or "not known"; ``values``: name -> value.

        A text that goes on with the word its value brings ("{over_factory} times as much") says it once.
        """
        # Every other part is a name; what stands between is text, whose own numbers are written alike.
        parts = PLACEHOLDER.split(template)
        parts[::2] = map(self.written, parts[::2])
        parts[1::2] = (self.value(name, values.get(name)) for name in parts[1::2])
        return "".join(parts).replace(" times times ", " times ")

    def labels(self, names: Iterable[str], most: int | None = None) -> str:
        """Labels of several names as a list in words."""
        return joined([self.label(name) for name in names], most=most)
