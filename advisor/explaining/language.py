"""Words for what is read aloud: labels, values with their units, short sentences."""

import re

from ..deciding.texts import chance, fill
from ..knowledge.quantities import show, show_value

#: A sentence read aloud has this many words at most.
MOST_WORDS = 30
#: Names whose plain numbers are money, shares of a whole, or times something.
MONEY = ("total_price", "price", "budget")
SHARES = ("_share", "_spread", "probability", "likely_")
TIMES = ("_over_", "margin", "_factor", "factor_", "_ratio_must", "_ratio_wish")
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
_END = re.compile(r"(?<=[.!?])\s+(?=[A-Z0-9\"(])|;\s+|(?<=[a-z)]):\s+(?=[a-z][^.;:]{25})")
_JOINT = re.compile(r", (?=(?:and|but|so|because|which|where|while|unless|until|for|or) )")


class Speech:
    """Words for one record: the knowledge and shop it was made with, and the caller's units (si or trade)."""

    def __init__(self, knowledge, shop, system="si"):
        self.knowledge = knowledge
        self.system = system
        self.records = {record.id: record for record in (*shop.kits, *shop.platforms, *shop.parts)}
        self.currency = next((kit.fields["currency"] for kit in shop.kits if kit.fields.get("currency")), "")

    def title(self, record_id):
        """A record's title, else its id."""
        record = self.records.get(record_id)
        return record.fields.get("title", record_id) if record else record_id

    def word(self, name):
        """The Fact, Figure or KitField of that name, or None."""
        known = self.knowledge
        return known.facts.get(name) or known.figures.get(name) or known.kit_fields.get(name)

    def label(self, name):
        """A fact's, figure's or kit field's label."""
        word = self.word(name)
        return word.label if word is not None else name.replace("_", " ")

    def value(self, name, value, digits=3):
        """A value of a fact, figure or kit field with its unit."""
        if value is None:
            return "not known"
        if isinstance(value, (list, tuple)):
            return ", ".join(self.value(name, member) for member in value) or "none"
        word = self.word(name)
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            return show_value(word, value) if word is not None else str(value).replace("_", " ")
        return self.number(name, float(value), getattr(word, "unit", "1"), digits)

    def number(self, name, value, unit, digits=3):
        """A number of the thing ``name`` in ``unit``."""
        if unit in ("1", "") and name in MONEY:
            return f"{value:,.2f} {self.currency}".strip()
        if unit in ("1", "") and "probability" in name and digits == 3:
            return chance(value)  # finer only where two of them have to be told apart
        if unit in ("1", "") and any(part in name for part in SHARES):
            return f"{show(100 * value, '1', digits=digits)} %"
        text = show(value, unit, self.system, digits)
        if unit in ("1", "") and name.endswith("_class"):
            return f"class {text}"
        return f"{text} times" if unit in ("1", "") and any(part in name for part in TIMES) else text

    def down(self, name, value):
        """A value rounded down, for a limit nobody should read as higher than it is."""
        unit = self.word(name).unit
        for place in range(20):
            text = self.number(name, value * (1 - place * 2e-4), unit)
            shown = float(text.split()[0].replace(",", ""))
            exact = float(show(value, unit, self.system, 12).split()[0])
            if shown <= exact:
                break
        return text

    def pair(self, name, one, other):
        """Two values of one thing, with as many digits as tell them apart."""
        for digits in range(3, 10):
            texts = self.value(name, one, digits), self.value(name, other, digits)
            if texts[0] != texts[1] or one == other:
                break
        return texts

    def beside(self, name, value, other):
        """A value, told apart from ``other`` where both are numbers close to each other."""
        numbers = [isinstance(one, (int, float)) and not isinstance(one, bool) for one in (value, other)]
        return self.pair(name, value, other)[0] if all(numbers) else self.value(name, value)

    def has(self, name, value, other=None, whose="this kit"):
        """ "this kit has 172 N", or that it is not known."""
        return f"{whose}'s is not known" if value is None else f"{whose} has {self.beside(name, value, other)}"

    def needed(self, compare, name, limit, beside=None):
        """ "at least 523 N m"; told apart from the value ``beside`` where that is close."""
        if compare == "between":
            return COMPARES[compare].format(*(self.value(name, end) for end in limit))
        return COMPARES[compare].format(self.beside(name, limit, beside))

    def demand(self, compare, name, limit, beside=None):
        """ "pedal force: at most 220 N is accepted"."""
        verb = "accepted" if compare in ("at_most", "below", "not_in", "between") else "needed"
        return f"{self.label(name)}: {self.needed(compare, name, limit, beside)} is {verb}"

    def fill(self, template, facts):
        """A text with its placeholders filled in the caller's units."""
        return fill(template, facts, self.knowledge.facts, self.system)

    def origin(self, origin):
        """Where a value came from, in words."""
        return ORIGINS.get(origin, origin.replace("_", " "))


def capital(text):
    """``text`` with a capital first letter."""
    return text[:1].upper() + text[1:]


def sentence(text):
    """``text`` as one sentence: capital first, full stop last."""
    text = " ".join(text.split())
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else text + "."


def aloud(text):
    """A text as short sentences: split at full stops, semicolons and colons, then at joints where too long."""
    told = []
    for part in _END.split(" ".join(text.split())):
        if part:
            told += [sentence(piece) for piece in _short(part)]
    return told


def _short(part):
    words = part.split()
    joints = [match.start() for match in _JOINT.finditer(part)]
    if len(words) <= MOST_WORDS or not joints:
        return [part]
    middle = min(joints, key=lambda place: abs(place - len(part) // 2))
    return _short(part[:middle]) + _short(part[middle + 2 :])


def joined(names, last="and"):
    """ "a", "a and b", "a, b and c"."""
    names = list(names)
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {last} {names[-1]}" if names else ""


def count(number, noun, plural=""):
    """ "one kit", "3 kits"."""
    return f"one {noun}" if number == 1 else f"{number} {plural or noun + 's'}"
