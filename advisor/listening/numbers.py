"""Numbers in what people say: digits and words, ranges and hedges, and the unit that stands behind."""

import re
from collections.abc import Collection, Sequence
from fractions import Fraction

from ..knowledge import units
from ..knowledge.spoken import Token
from .around_numbers import CURRENCIES, hedged, other_kind, ranges
from .number_said import NumberSaid
from .number_words import THOUSANDS, gradient, in_words, part_behind, tiny
from .word_lists import word_list

#: Letters that are a unit only where they close a clause or stand at their number: "14 in", "1.4 t".
_SHORT_UNITS = frozenset(word_list("in a c f h s g k j w n m l min day days second seconds ch"))

#: What is measured in thousands, so that a blank may part them, and before which a small number is a name's.
_IN_THOUSANDS = ("mass", "rotational speed", "volume", "length", "force")
_NUMBERED = frozenset(word_list("stage type mk mark gen generation series model number no phase group class level"))


def numbers(tokens: Sequence[Token], taken: Collection[int], text: str) -> list[NumberSaid]:
    """Every number in ``tokens`` but those in ``taken`` places; units are matched, ranges and hedges joined."""
    numbers_heard = _singles(tokens, taken)
    numbers_heard = _to_one(numbers_heard, tokens)
    for heard_number in numbers_heard:
        _unit(heard_number, tokens, taken, text)
    numbers_heard = [
        said for at, said in enumerate(numbers_heard) if not at or said.start >= numbers_heard[at - 1].end
    ]  # the "an inch" of "point seven of an inch" is no number
    numbers_heard = ranges(numbers_heard, tokens)
    for heard in numbers_heard:
        hedged(heard, tokens)
        other_kind(heard, tokens, numbers_heard)
    return numbers_heard


def _singles(tokens: Sequence[Token], taken):
    numbers_heard: list[NumberSaid] = []
    at = 0
    while at < len(tokens):
        number = (
            None
            if at in taken
            else gradient(tokens, at) or tiny(tokens, at) or _digits(tokens, at) or in_words(tokens, at, taken)
        )
        if number is None:
            at += 1
            continue
        if number.fraction and numbers_heard and numbers_heard[-1].end == at and number.values[0] > 1:
            number.start = numbers_heard.pop().start  # "1 1/8"
        numbers_heard.append(_larger(number, tokens))
        at = numbers_heard[-1].end
    return numbers_heard


def _to_one(numbers_heard, tokens: Sequence[Token]):
    """A ratio said to one, "4.1 to 1", "two to one", "3.9:1": the one belongs to it."""
    kept: list[NumberSaid] = []
    for number in numbers_heard:
        before = kept[-1] if kept else None
        between = [token.word for token in tokens[before.end : number.start] if token.word != "-"] if before else []
        is_one = number.values == (1,) and number.end - number.start == 1
        if before is not None and is_one and before.values and between in (["to"], [":"]) and max(before.values) > 1:
            before.end, before.ratio = number.end, True
            continue
        kept.append(number)
    return kept


def _digits(tokens: Sequence[Token], at):
    word = tokens[at].word
    if not tokens[at].is_number:
        return None
    before, behind = (tokens[at - 1] if at else None), tokens[at + 1 : at + 3]
    if (before is not None and before.is_word and before.end == tokens[at].start) or (
        len(behind) == 2
        and behind[0].is_word
        and behind[1].is_number
        and behind[0].start == tokens[at].end
        and behind[1].start == behind[0].end
    ):
        return NumberSaid(at, at + 1, (), kind="code")  # R17, M8, 1e400
    if re.fullmatch(r"\d+/\d+", word):
        top, bottom = (int(part) for part in word.split("/"))
        if bottom == 0 or top > 99 or bottom > 64:
            return NumberSaid(at, at + 1, (), kind="code")
        whole = at > 0 and tokens[at - 1].word.isdigit() and len(tokens[at - 1].word) < 3
        add = int(tokens[at - 1].word) if whole else 0
        return NumberSaid(at, at + 1, (add + Fraction(top, bottom),), fraction=True)
    if word.count(",") == 1 and "." not in word and "/" not in word:
        left, right = word.split(",")
        values = (Fraction(left + right),) if len(right) == 3 and left != "0" else ()
        return NumberSaid(at, at + 1, (*values, Fraction(f"{left}.{right}")), decimal=not values)
    if re.fullmatch(r"\d{1,3}(,\d{3})+|\d{1,3}('\d{3})+|\d{1,3}(\.\d{3}){2,}", word):
        return NumberSaid(at, at + 1, (Fraction(re.sub("[,'.]", "", word)),))
    if re.fullmatch(r"[1-9]\d{0,2}\.\d{3}", word):  # "1.290 kilo" where the point parts the thousands
        return NumberSaid(at, at + 1, (Fraction(word), Fraction(word.replace(".", ""))), decimal=True)
    if _parted_by_a_blank(tokens, at):
        return NumberSaid(at, at + 2, (Fraction(word + tokens[at + 1].word),))
    if re.fullmatch(r"\d*\.?\d+", word) and len(word) < 12:
        return NumberSaid(at, at + 1, (Fraction(word),), decimal="." in word)
    return NumberSaid(at, at + 1, (), kind="code")


def _parted_by_a_blank(tokens: Sequence[Token], at):
    """Are the thousands parted by a blank, "1 350 kg"? Only before a unit in which nobody says "stage 2 400 hp"."""
    behind = [token.word for token in tokens[at + 1 : at + 3]]
    if len(behind) < 2 or not re.fullmatch("[1-9][0-9]?", tokens[at].word) or not re.fullmatch(r"\d{3}", behind[0]):
        return False
    unit = units.find(behind[1])
    before = tokens[at - 1].word if at else ""
    return (
        tokens[at + 1].start == tokens[at].end + 1
        and (behind[1] in CURRENCIES or (unit is not None and unit.dimension in _IN_THOUSANDS))
        and before not in _NUMBERED
    )


def _larger(number, tokens: Sequence[Token]):
    """A half behind it, and thousands: "six and a half grand", "4k"."""
    part, length = part_behind(tokens, number.end)
    if number.values and part:
        number.values, number.end = tuple(value + part for value in number.values), number.end + length
    rest = [token.word for token in tokens[number.end : number.end + 1]]
    if number.values and rest == ["hundred"] and max(number.values) < 100:
        number.values, number.end = tuple(value * 100 for value in number.values), number.end + 1
    if number.values and rest and rest[0] in THOUSANDS and max(number.values) < 100:
        number.values, number.end = tuple(value * 1000 for value in number.values), number.end + 1
        if rest[0] == "grand":
            number.first_alone = 0
    return number


def _unit(number, tokens: Sequence[Token], taken, text):
    """The longest spelling of a unit behind the number."""
    if number.kind or number.spelling or number.ratio or number.end >= len(tokens):
        return
    rest = [token.word for token in tokens[number.end : number.end + 3]]
    if rest[:1] == ["of"] and rest[1:2] and rest[1] in ("a", "an") and len(rest) > 2 and units.find(rest[2]):
        number.unit, number.spelling = units.find(rest[2]), rest[2]  # "point one five of a millimetre"
        number.end += 3
        return
    if rest[:2] and rest[0] == "of" and rest[1] in ("a", "an") and rest[2:] and rest[2] in ("mil", "mill", "mm"):
        number.unit, number.spelling = units.UNITS["mm"], "mm"
        number.end += 3
        return
    loose = number.end
    while (
        loose < len(tokens)
        and loose - number.end < 3
        and tokens[loose].word in ("-", "ish", "odd", "something", "plus")
    ):
        loose += 1
    if loose > number.end and tokens[loose - 1].word != "-" and loose < len(tokens):
        held, number.end, number.loose = number.end, loose, True  # "350-ish horses"
        if units.find(tokens[loose].word) is None:
            number.end, number.loose = held, False
    hyphen = (
        tokens[number.end].word == "-"
        and number.end + 1 < len(tokens)
        and tokens[number.end + 1].start == tokens[number.end].end
    )  # "six-litre"
    begin = number.end + (1 if hyphen else 0)
    for last in range(min(begin + 4, len(tokens)), begin, -1):
        if any(at in taken for at in range(begin, last)):
            continue
        spelling = text[tokens[begin].start : tokens[last - 1].end].casefold()
        squared = (
            tokens[last - 1].word in ("2", "3") and last - 1 > begin and tokens[last - 1].start == tokens[last - 2].end
        )
        if not (tokens[last - 1].is_word or squared or spelling in ("%", '"', "°")) or not (
            tokens[begin].is_word or spelling in ("%", '"', "°")
        ):
            continue
        if hyphen and len(spelling) < 3 and spelling in _SHORT_UNITS:
            continue  # "3-in-1"
        words = " ".join(token.word for token in tokens[begin:last])
        unit = (
            units.find(spelling.replace("\u2019", "'"))
            or units.find(words)
            or (_misspelt(spelling) if last - begin < 3 else None)
        )
        if unit is None or unit.name == "1":
            continue
        if (
            spelling in _SHORT_UNITS
            and tokens[number.end].start > tokens[number.end - 1].end
            and last < len(tokens)
            and (
                tokens[last].is_number
                or (tokens[last].is_word and tokens[last].word not in ("of", "and", "at", "on", "with", "all", "or"))
            )
        ):
            continue
        if spelling == "in" and last < len(tokens) and (tokens[last].is_word or tokens[last].is_number):
            continue
        number.unit, number.spelling, number.end = unit, spelling, last
        return


def _misspelt(spelling):
    """A long spelling with one or two letters wrong."""
    if len(spelling) < 7 or any(char.isdigit() for char in spelling):
        return None
    from rapidfuzz.distance import OSA

    near: dict[int, set[str]] = {}
    words = spelling.split()
    for known, name in units.spellings().items():
        others = known.casefold().split()
        if len(others) != len(words):
            continue
        distances = [OSA.distance(word, other) for word, other in zip(words, others)]
        if all(
            distance == 0 or (len(other) >= 5 and word[0] == other[0] and distance <= (1 if len(other) < 8 else 2))
            for word, other, distance in zip(words, others, distances)
        ):
            near.setdefault(sum(distances), set()).add(name)
    best = near[min(near)] if near else set()
    return units.UNITS[next(iter(best))] if len(best) == 1 else None
