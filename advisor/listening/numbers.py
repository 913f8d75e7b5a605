"""Numbers in what people say: digits and words, ranges and hedges, and the unit that stands behind."""

import re
from collections.abc import Collection, Sequence
from fractions import Fraction

from ..knowledge import units
from ..knowledge.spoken import Token
from .around_numbers import hedged, other_kind, ranges
from .number_said import NumberSaid
from .word_lists import word_list

_SMALL = word_list(
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
    "seventeen eighteen nineteen"
)
_TEENS = _SMALL[10:20]
_TENS = word_list("twenty thirty forty fifty sixty seventy eighty ninety")
_NUMBER_WORDS = frozenset((*_SMALL, *_TENS, "fourty", "hundred", "thousand", "nought"))
_PARTS = {
    "halves": 2,
    "thirds": 3,
    "quarter": 4,
    "quarters": 4,
    "eighth": 8,
    "eighths": 8,
    "sixteenth": 16,
    "sixteenths": 16,
}
_FEW = _SMALL[1:10]
_BEFORE_ONE = frozenset(
    [
        "this",
        "that",
        "the",
        "which",
        "each",
        "every",
        "a",
        "my",
        "his",
        "her",
        "old",
        "new",
        "last",
        "first",
        "any",
        "no",
    ]
)
_WEIGHTS = ("ton", "tonne")
_THOUSANDS = ("grand", "thousand", "k")
#: Letters that are a unit only where they close a clause or stand at their number: "14 in", "1.4 t".
_SHORT_UNITS = frozenset(word_list("in a c f h s g k j w n m l min day days second seconds ch"))


def numbers(tokens: Sequence[Token], taken: Collection[int], text: str) -> list[NumberSaid]:
    """Every number in ``tokens`` but those in ``taken`` places; units are matched, ranges and hedges joined."""
    numbers_heard = _singles(tokens, taken)
    for heard_number in numbers_heard:
        _unit(heard_number, tokens, taken, text)
    numbers_heard = ranges(numbers_heard, tokens)
    for heard in numbers_heard:
        hedged(heard, tokens)
        other_kind(heard, tokens, numbers_heard)
    return numbers_heard


def _singles(tokens: Sequence[Token], taken):
    numbers_heard, at = [], 0
    while at < len(tokens):
        number = None if at in taken else _gradient(tokens, at) or _digits(tokens, at) or _words(tokens, at, taken)
        if number is None:
            at += 1
            continue
        numbers_heard.append(_larger(number, tokens))
        at = numbers_heard[-1].end
    return numbers_heard


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
        return NumberSaid(at, at + 1, (*values, Fraction(f"{left}.{right}")))
    if re.fullmatch(r"\d{1,3}(,\d{3})+", word):
        return NumberSaid(at, at + 1, (Fraction(word.replace(",", "")),))
    if re.fullmatch(r"\d*\.?\d+", word) and len(word) < 12:
        return NumberSaid(at, at + 1, (Fraction(word),), decimal="." in word)
    return NumberSaid(at, at + 1, (), kind="code")


def _words(tokens: Sequence[Token], at, taken):
    """A number in words, by text2num; "four fifty" is 450 and "one twenty" 120, as people say them."""
    word = tokens[at].word
    before = at
    if word in ("half", "couple", "dozen") or (
        word == "a"
        and at + 1 < len(tokens)
        and tokens[at + 1].word in ("couple", "dozen", "hundred", "thousand", "grand", *_WEIGHTS)
    ):
        return _counted(tokens, at)
    part, length = _part_behind(tokens, at + 1)
    if word in _WEIGHTS and part:
        return NumberSaid(at, at + 1 + length, (1 + part,), unit=units.UNITS["t"], spelling=word)
    if word not in _NUMBER_WORDS or word == "thousand":
        return None
    pair = _pair(tokens, at, taken)
    if pair is not None:
        return pair
    end = at
    while (
        end < len(tokens)
        and end not in taken
        and end - at < 9
        and (
            tokens[end].word in _NUMBER_WORDS
            or (
                tokens[end].word == "-" and end > at and end + 1 < len(tokens) and tokens[end + 1].word in _NUMBER_WORDS
            )
            or (
                tokens[end].word == "and"
                and end > at
                and tokens[end - 1].word in ("hundred", "thousand")
                and end + 1 < len(tokens)
                and tokens[end + 1].word in _NUMBER_WORDS
            )
        )
    ):
        end += 1
    value, end = _longest(tokens, at, end)
    if value is None:
        return None
    following = tokens[end].word if end < len(tokens) else ""
    if (
        value < 20
        and value > 0
        and (following in _TENS or (following == "-" and end + 1 < len(tokens) and tokens[end + 1].word in _TENS))
    ):
        skip = 1 if following == "-" else 0
        more, last = _longest(tokens, end + skip, _run_end(tokens, end + skip, taken))
        if more is not None and 20 <= more < 100:
            return NumberSaid(before, last, (value * 100 + more,))
    behind = tokens[end + 1].word if end + 1 < len(tokens) else ""
    if 1 <= value <= 9 and following in _TEENS and behind not in _NUMBER_WORDS and end not in taken:
        return NumberSaid(before, end + 1, (value * 100 + _SMALL.index(following),))  # "four ten"
    if following in ("oh", "o") and value < 20 and end + 1 < len(tokens) and tokens[end + 1].word in _SMALL:
        return NumberSaid(before, end + 2, (value * 100 + _SMALL.index(tokens[end + 1].word),))
    if following == "point" and end + 1 < len(tokens) and tokens[end + 1].word in _NUMBER_WORDS:
        digits, last = "", end + 1
        while last < len(tokens) and tokens[last].word in (*_SMALL, *_TENS, "nought"):
            part, _ = _longest(tokens, last, last + 1)
            digits += str(part)
            last += 1
        return NumberSaid(before, last, (Fraction(f"{value}.{digits}"),), decimal=True)
    skip = 1 if following == "-" and end + 1 < len(tokens) and tokens[end + 1].word in _PARTS else 0
    following = tokens[end + skip].word if skip else following
    if following in _PARTS and 0 < value < 64:
        return NumberSaid(before, end + skip + 1, (Fraction(value, _PARTS[following]),), fraction=True)
    number = NumberSaid(before, end, (Fraction(value),))
    number.first_alone = 1 if end - before == 1 and word == "one" else 0
    return number


def _gradient(tokens: Sequence[Token], at):
    """As in "one in five", "1 in 5": a slope of 20 percent."""
    first, between, last = ([token.word for token in tokens[at : at + 3]] + ["", "", ""])[:3]
    if first not in ("one", "1") or between != "in":
        return None
    below = _SMALL.index(last) if last in _SMALL else int(last) if last.isdecimal() and len(last) < 3 else 0
    if not 1 < below < 41:
        return None
    return NumberSaid(at, at + 3, (Fraction(100, below),), unit=units.UNITS["%"], spelling="%")


def _pair(tokens: Sequence[Token], at, taken):
    """As "four three", "seven-two": two digits alone, no others before or behind them."""
    hyphen = at + 1 < len(tokens) and tokens[at + 1].word == "-"
    second = at + (2 if hyphen else 1)
    if tokens[at].word not in _FEW or second >= len(tokens) or tokens[second].word not in _FEW or second in taken:
        return None
    before = [token.word for token in tokens[max(0, at - 2) : at] if token.word != "-"][-1:]
    near = before + [token.word for token in tokens[second + 1 : second + 3] if token.word != "-"][:1]
    if any(
        word in _NUMBER_WORDS or word in _PARTS or word in ("point", "oh", "half") or word[0].isdigit() for word in near
    ):
        return None
    if tokens[at].word == "one" and not hyphen and before[:1] and before[0] in _BEFORE_ONE:
        return None  # "this one four pot"
    value = Fraction(10 * _SMALL.index(tokens[at].word) + _SMALL.index(tokens[second].word), 10)
    return NumberSaid(at, second + 1, (value,), decimal=True, pair=True)


def _run_end(tokens: Sequence[Token], at, taken):
    end = at
    while end < len(tokens) and end not in taken and (tokens[end].word in _NUMBER_WORDS or tokens[end].word == "-"):
        end += 1
    return end


def _longest(tokens: Sequence[Token], at, end):
    """(value, end) of the longest run of words that is one number."""
    from text_to_num import text2num

    for last in range(end, at, -1):
        words = [
            {"nought": "zero", "fourty": "forty"}.get(token.word, token.word)
            for token in tokens[at:last]
            if token.word != "-"
        ]
        if not words or words[-1] == "and" or tokens[last - 1].word == "-":
            continue
        if last < len(tokens) and tokens[last].word in ("hundred", "thousand") and last - at > 1:
            continue  # "five thousand eight hundred and six thousand": the six belongs to what follows
        try:
            return int(text2num(" ".join(words), "en")), last
        except ValueError:
            continue
    return None, at


def _part_behind(tokens: Sequence[Token], at):
    """(part of a whole, tokens it takes) in "and a half", "and a quarter", "and three quarters"; (0, 0) for none."""
    rest = [token.word for token in tokens[at : at + 3]]
    behind = {
        "and a half": Fraction(1, 2),
        "and a quarter": Fraction(1, 4),
        "and three quarter": Fraction(3, 4),
        "and three quarters": Fraction(3, 4),
    }
    part = behind.get(" ".join(rest), Fraction(0))
    return (part, 3) if part else (part, 0)


def _counted(tokens: Sequence[Token], at):
    """Half a dozen, a couple (of hundred), a dozen, a hundred and fifty, half a bar."""
    start, word = at, tokens[at].word
    if word == "a":
        at += 1
        word = tokens[at].word
        if word == "grand" or word in _WEIGHTS:
            part, length = _part_behind(tokens, at + 1)
            if word == "grand":
                return NumberSaid(start, at + 1 + length, (1000 * (1 + part),))
            return NumberSaid(start, at + 1 + length, (1 + part,), unit=units.UNITS["t"], spelling=word)
        if word in ("hundred", "thousand"):
            end = at
            while (
                end < len(tokens)
                and end - at < 8
                and (
                    tokens[end].word in _NUMBER_WORDS
                    or (tokens[end].word == "and" and end + 1 < len(tokens) and tokens[end + 1].word in _NUMBER_WORDS)
                )
            ):
                end += 1
            value, last = _longest(tokens, at, end)
            return None if value is None else NumberSaid(start, last, (Fraction(value),))
    rest = [token.word for token in tokens[at + 1 : at + 4]]
    if word == "half":
        if rest[:2] == ["a", "dozen"]:
            return NumberSaid(start, at + 3, (Fraction(6),))
        if rest[:1] == ["a"] and len(rest) > 1 and units.find(rest[1]) is not None:
            return NumberSaid(start, at + 2, (Fraction(1, 2),))
        return None
    value = 12 if word == "dozen" else 2
    end = at + 1
    if rest[:1] == ["of"]:
        end += 1
        rest = rest[1:]
    if rest[:1] in (["hundred"], ["thousand"]):
        return NumberSaid(start, end + 1, (Fraction(value * (100 if rest[0] == "hundred" else 1000)),))
    return NumberSaid(start, end, (Fraction(value),))


def _larger(number, tokens: Sequence[Token]):
    """A half behind it, and thousands: "six and a half grand", "4k"."""
    part, length = _part_behind(tokens, number.end)
    if number.values and part:
        number.values, number.end = tuple(value + part for value in number.values), number.end + length
    rest = [token.word for token in tokens[number.end : number.end + 1]]
    if number.values and rest == ["hundred"] and max(number.values) < 100:
        number.values, number.end = tuple(value * 100 for value in number.values), number.end + 1
    if number.values and rest and rest[0] in _THOUSANDS and max(number.values) < 100:
        number.values, number.end = tuple(value * 1000 for value in number.values), number.end + 1
        if rest[0] == "grand":
            number.first_alone = 0
    return number


def _unit(number, tokens: Sequence[Token], taken, text):
    """The longest spelling of a unit behind the number."""
    if number.kind or number.spelling or number.end >= len(tokens):
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
        if not (tokens[last - 1].is_word or spelling in ("%", '"', "°")) or not (
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
