"""Numbers in words: "four fifty" is 450, "thirty-three fifty" 3350, "four-oh-eight" 408, "inch and an eighth" 1 1/8."""

from collections.abc import Collection, Sequence
from fractions import Fraction

from ..knowledge import units
from ..knowledge.spoken import Token
from .number_said import NumberSaid
from .word_lists import word_list

_SMALL = word_list(
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
    "seventeen eighteen nineteen"
)
_FEW = _SMALL[1:10]
_TEENS = _SMALL[10:20]
_TENS = word_list("twenty thirty forty fifty sixty seventy eighty ninety")
NUMBER_WORDS = frozenset((*_SMALL, *_TENS, "fourty", "hundred", "thousand", "nought", "naught"))
_LARGE = ("hundred", "thousand")
_OH = ("oh", "o")
#: What is said in the plural of an axle's ratio: "four-tens", "three seventy-threes".
_SEVERAL = {f"{word[:-1]}ies" if word.endswith("y") else f"{word}s": word for word in (*_SMALL, *_TENS)} | {
    "sixes": "six"
}
_PARTS = {
    "fifth": 5,
    "half": 2,
    "halves": 2,
    "third": 3,
    "thirds": 3,
    "quarter": 4,
    "quarters": 4,
    "eighth": 8,
    "eighths": 8,
    "sixteenth": 16,
    "sixteenths": 16,
    "tenth": 10,
    "tenths": 10,
}
#: What is said of a float or a wear.
_TINY = dict.fromkeys(("hundredth", "hundredths"), 100) | dict.fromkeys(("thousandth", "thousandths"), 1000)
_BEFORE_ONE = frozenset(word_list("this that the which each every a my his her old new last first any no"))
#: Units that stand before their part: "inch and an eighth", "a bar and a half".
_BEFORE_PART = frozenset(
    word_list("ton tonne inch litre liter bar kilo pound foot metre meter mile degree thousand grand hundred")
)
#: Behind "a litre": an engine of one, "a litre four cylinder".
_ENGINES = frozenset(word_list("four three twin triple v inline petrol turbo engine motor bike"))
_DIVIDED = frozenset(word_list("inch inches mil mill millimetre millimeter ton tonne bar litre liter thou mm"))
THOUSANDS = ("grand", "thousand", "k", "gs")


def in_words(tokens: Sequence[Token], at: int, taken: Collection[int]) -> NumberSaid | None:
    """The number in words that begins at token ``at``, or None."""
    word = _word(tokens, at)
    if word in ("half", "couple", "dozen", "quarter") or (
        word in ("a", "an")
        and _word(tokens, at + 1)
        in ("couple", "dozen", "hundred", "thousand", "grand", "half", "quarter", *_PARTS, *_BEFORE_PART)
    ):
        counted = _counted(tokens, at)
        if counted is not None or word in ("half", "couple", "dozen", "quarter"):
            return counted
    if word in _BEFORE_PART and word not in _LARGE:
        return _unit_and_part(tokens, at, at)
    if word == "point" or (word in _OH and _word(tokens, at + 1) == "point"):
        digits, last = _digits_behind(tokens, at + (1 if word == "point" else 2))
        before = _word(tokens, at - 1)
        if digits and not (before and (before in NUMBER_WORDS or before[0].isdigit())):
            return NumberSaid(at, last, (Fraction(f"0.{digits}"),), decimal=True)
        return None
    if word == "thousand" and _word(tokens, at + 1) in ("cc", "rpm", "revs"):
        return NumberSaid(at, at + 1, (Fraction(1000),))  # "thousand cc inline four"
    if word in ("thousand", "grand") and _word(tokens, at + 1) == "mark":
        return NumberSaid(at, at + 2, (Fraction(1000),))  # "around the thousand mark"
    if word not in NUMBER_WORDS or word == "thousand":
        return None
    return _triple(tokens, at, taken) or _pair(tokens, at, taken) or _run(tokens, at, taken)


def _word(tokens, at):
    return tokens[at].word if 0 <= at < len(tokens) else ""


def _behind(tokens, at):
    """(place, word) behind ``at``, a hyphen left out."""
    skip = 1 if _word(tokens, at) == "-" else 0
    return at + skip, _word(tokens, at + skip)


def _run(tokens, at, taken):
    """A whole number, the hundreds said as two numbers, decimals, and parts of one."""
    value, end = _longest(tokens, at, _run_end(tokens, at, taken))
    if value is None:
        return None
    place, following = _behind(tokens, end)
    if place in taken:
        following = ""
    if 0 < value < 10 and following in _TENS:
        last, unit = _behind(tokens, place + 1)
        if unit in _SEVERAL and _SEVERAL[unit] in _FEW:  # "three seventy-threes"
            hundredths = value * 100 + 20 + 10 * _TENS.index(following) + _SMALL.index(_SEVERAL[unit])
            return NumberSaid(at, last + 1, (Fraction(hundredths, 100),), decimal=True, joined=True)
    hundreds = 0 < value < 100 and (value < 20 or value % 10 or place > end)
    if hundreds and following in (*_TENS, *_TEENS) and (value > 9 or following in _TENS or _last(tokens, place)):
        more, last = _longest(tokens, place, _run_end(tokens, place, taken))
        if more is not None and 10 <= more < 100:
            return NumberSaid(at, last, (Fraction(value * 100 + more),), joined=True)
    several = _SEVERAL.get(following, "")
    if 0 < value < 10 and several and (several in _TENS or several in _TEENS):
        tail = (20 + 10 * _TENS.index(several)) if several in _TENS else _SMALL.index(several)
        return NumberSaid(at, place + 1, (Fraction(value * 100 + tail, 100),), decimal=True, joined=True)
    if following in _OH and 0 < value < 100:
        last, unit = _behind(tokens, place + 1)
        if unit in _FEW:
            return NumberSaid(at, last + 1, (Fraction(value * 100 + _SMALL.index(unit)),), joined=True)
    if following in ("point", "comma"):
        after = place + (2 if _word(tokens, place + 1) == "-" else 1)
        digits, last = _digits_behind(tokens, after)
        if digits:
            return NumberSaid(at, last, (Fraction(f"{value}.{digits}"),), decimal=True)
    if following in _TINY and 0 < value < 100:
        return _tiny(tokens, at, value, place)
    if following in _PARTS and 0 < value < 64 and following != "half":
        last = place + 1
        if _word(tokens, last) == "of" and _word(tokens, last + 1) in ("a", "an"):
            last += 2
        return NumberSaid(at, last, (Fraction(value, _PARTS[following]),), fraction=True)
    number = NumberSaid(at, end, (Fraction(value),))
    number.first_alone = 1 if end - at == 1 and tokens[at].word == "one" else 0
    return number


def tiny(tokens: Sequence[Token], at: int) -> NumberSaid | None:
    """As "8 thousandths", "15 hundredths of a mil" in digits."""
    if not (tokens[at].word.isdecimal() and _word(tokens, at + 1) in _TINY):
        return None
    return _tiny(tokens, at, int(tokens[at].word), at + 1)


def _tiny(tokens, at, value, place):
    """Parts of a millimetre or an inch; by themselves thousandths are of an inch, as every fitter's are."""
    below = _TINY[_word(tokens, place)]
    if below == 1000 and not (_word(tokens, place + 1) == "of" and _word(tokens, place + 2) in ("a", "an")):
        return NumberSaid(at, place + 1, (Fraction(value),), unit=units.UNITS["thou"], spelling="thousandths")
    return NumberSaid(at, place + 1, (Fraction(value, below),), decimal=True)


def _last(tokens, place):
    """Is the teen at ``place`` the last word of its number: "four ten", not "four fifteen hundred"?"""
    return _behind(tokens, place + 1)[1] not in NUMBER_WORDS or _word(tokens, place + 1) != "-"


def _digits_behind(tokens, at):
    """(digits, end) of the words behind "point": "two five", "fifteen", "oh eight"."""
    digits, last = "", at
    while last < len(tokens) and (
        _word(tokens, last) in (*_SMALL, *_TENS, "nought", *_OH)
        or (_word(tokens, last) == "-" and digits and _word(tokens, last + 1) in _FEW)
    ):
        word = _word(tokens, last)
        if word == "-":
            last += 1
            continue
        if word in _FEW and _word(tokens, last - 1) in _TENS and last > at:
            digits = digits[:-1] + str(_SMALL.index(word))  # "twenty-five"
        elif word in _OH or word == "nought":
            digits += "0"
        else:
            digits += str(_SMALL.index(word) if word in _SMALL else 20 + 10 * _TENS.index(word))
        last += 1
    if last == at and last < len(tokens) and tokens[last].word.isdecimal():
        return tokens[last].word, last + 1
    return digits, last


def gradient(tokens: Sequence[Token], at: int) -> NumberSaid | None:
    """As in "one in five", "1 in 5", "a one-in-five lane": a slope of 20 percent."""
    places = [place for place in range(at, min(at + 5, len(tokens))) if tokens[place].word != "-"][:3]
    if len(places) < 3:
        return None
    first, between, last = (_word(tokens, place) for place in places)
    if first not in ("one", "1") or between != "in":
        return None
    below = _SMALL.index(last) if last in _SMALL else int(last) if last.isdecimal() and len(last) < 3 else 0
    if not 1 < below < 41:
        return None
    return NumberSaid(at, places[-1] + 1, (Fraction(100, below),), unit=units.UNITS["%"], spelling="%", gradient=True)


def _pair(tokens, at, taken):
    """As "four three", "seven-two": two digits alone, no others before or behind them."""
    hyphen = _word(tokens, at + 1) == "-"
    second = at + (2 if hyphen else 1)
    if tokens[at].word not in _FEW or _word(tokens, second) not in _FEW or second in taken:
        return None
    before = [token.word for token in tokens[max(0, at - 2) : at] if token.word != "-"][-1:]
    near = before + [token.word for token in tokens[second + 1 : second + 3] if token.word != "-"][:1]
    if any(
        word in NUMBER_WORDS or word in _PARTS or word in ("point", "oh", "half") or word[0].isdigit() for word in near
    ):
        return None
    third = second + (2 if hyphen and _word(tokens, second + 1) == "-" else 1)
    if _word(tokens, third) in _FEW:
        return None
    if tokens[at].word == "one" and not hyphen and before[:1] and before[0] in _BEFORE_ONE:
        return None  # "this one four pot"
    value = Fraction(10 * _SMALL.index(tokens[at].word) + _SMALL.index(tokens[second].word), 10)
    return NumberSaid(at, second + 1, (value,), decimal=True, pair=True)


def _triple(tokens, at, taken):
    """As "four one one", "three-seven-three": three digits alone, an axle's ratio of 4.11."""
    places = [place for place in range(max(0, at - 2), min(len(tokens), at + 7)) if tokens[place].word != "-"]
    first = places.index(at)
    run = places[first : first + 3]
    if len(run) < 3 or any(tokens[place].word not in _FEW or place in taken for place in run):
        return None
    beside = places[first - 1 : first] + places[first + 3 : first + 4]
    if any(tokens[place].word in NUMBER_WORDS or tokens[place].word == "point" for place in beside):
        return None
    digits = [_SMALL.index(tokens[place].word) for place in run]
    return NumberSaid(
        at, run[-1] + 1, (Fraction(100 * digits[0] + 10 * digits[1] + digits[2], 100),), decimal=True, pair=True
    )


def _run_end(tokens, at, taken):
    """Where words that can be one number end; no "and" before a number of its own ("four hundred and four-fifty")."""
    end = at
    while end < len(tokens) and end not in taken and end - at < 11:
        word = _word(tokens, end)
        if word in NUMBER_WORDS or (word == "-" and end > at and _word(tokens, end + 1) in NUMBER_WORDS):
            end += 1
        elif word == "and" and _word(tokens, end - 1) in _LARGE and _word(tokens, end + 1) in NUMBER_WORDS:
            behind = _behind(tokens, end + 2)[1]
            if _word(tokens, end + 1) in (*_FEW, *_TEENS) and behind in (*_TENS, *_TEENS, "hundred", "thousand", *_OH):
                break
            end += 1
        else:
            break
    return end


def _longest(tokens, at, end):
    """(value, end) of the longest run of words that is one number, by text2num."""
    from text_to_num import text2num

    for last in range(end, at, -1):
        words = [
            {"nought": "zero", "naught": "zero", "fourty": "forty"}.get(token.word, token.word)
            for token in tokens[at:last]
            if token.word != "-"
        ]
        if not words or words[-1] == "and" or tokens[last - 1].word == "-":
            continue
        if last < len(tokens) and tokens[last].word in _LARGE and last - at > 1 and not _hundreds(words):
            continue  # "five thousand eight hundred and six thousand": the six belongs to what follows
        try:
            return int(text2num(" ".join(words), "en")), last
        except ValueError:
            continue
    return None, at


def _hundreds(words):
    """Are these the words of a number below a hundred, which "hundred" may follow: "seventy-two hundred"?"""
    return len(words) == 2 and words[0] in _TENS and words[1] in _FEW


def part_behind(tokens: Sequence[Token], at: int) -> tuple[Fraction, int]:
    """(part of a whole, tokens it takes) in "and a half", "and an eighth", "-and-three-quarters"; (0, 0) for none."""
    places = [place for place in range(at, min(at + 8, len(tokens))) if tokens[place].word != "-"][:4]
    words = [tokens[place].word for place in places] + [""] * 4
    if words[:2] == ["and", "half"] and words[2] not in ("a", "an", "of", "the"):
        return Fraction(1, 2), places[1] + 1 - at  # "two and half litre"
    if words[0] != "and" or words[2] not in _PARTS:
        return Fraction(0), 0
    several = 1 if words[1] in ("a", "an") else _SMALL.index(words[1]) if words[1] in _FEW else 0
    return Fraction(several, _PARTS[words[2]]), places[2] + 1 - at if several else 0


def _unit_and_part(tokens, start, at):
    """As in "inch and an eighth", "a tonne and a half": the unit stands before the part."""
    word = _word(tokens, at)
    part, length = part_behind(tokens, at + 1)
    if not part or (start == at and (_word(tokens, at - 1) in NUMBER_WORDS or _word(tokens, at - 1)[:1].isdigit())):
        return None
    if word in ("thousand", "grand", "hundred"):
        whole = 100 if word == "hundred" else 1000
        return NumberSaid(start, at + 1 + length, (whole * (1 + part),))
    unit = units.UNITS["t"] if word in ("ton", "tonne") else units.find(word)
    return NumberSaid(start, at + 1 + length, (1 + part,), unit=unit, spelling=word, fraction=True)


def _counted(tokens, at):
    """Half a dozen, a couple (of hundred), a dozen, a hundred and fifty, half a bar, an inch and a half."""
    start, word = at, tokens[at].word
    if word in ("a", "an"):
        at += 1
        word = _word(tokens, at)
        if word in _BEFORE_PART and word not in _LARGE:
            whole = _unit_and_part(tokens, start, at)
            if whole is not None:
                return whole
            if word == "inch" and _word(tokens, start - 1) != "half":
                return NumberSaid(start, at + 1, (Fraction(1),), unit=units.UNITS["in"], spelling="inch")
            if word == "grand":
                return NumberSaid(start, at + 1, (Fraction(1000),))
            if word in ("ton", "tonne"):
                return NumberSaid(start, at + 1, (Fraction(1),), unit=units.UNITS["t"], spelling=word)
            if word in ("litre", "liter") and _word(tokens, at + 1) in _ENGINES:
                return NumberSaid(start, at + 1, (Fraction(1),), unit=units.find(word), spelling=word)
            return None
        if word in _LARGE:
            value, last = _longest(tokens, at, _run_end(tokens, at, ()))
            if value is None:
                return None
            part, length = part_behind(tokens, last)
            if part and last == at + 1:
                return NumberSaid(start, last + length, (value * (1 + part),))
            return NumberSaid(start, last, (Fraction(value),))
    rest = [_word(tokens, place) for place in range(at + 1, at + 4)]
    if word in _PARTS:
        if start < at and rest[0] == "more" and word != "half":  # "a fifth more torque"
            return NumberSaid(start, at + 1, (Fraction(100, _PARTS[word]),), unit=units.UNITS["%"], spelling="%")
        if word == "half" and rest[:2] == ["a", "dozen"]:
            return NumberSaid(start, at + 3, (Fraction(6),))
        skip = 2 if rest[0] == "of" and rest[1] in ("a", "an") else 1 if rest[0] in ("a", "an", "-") else 0
        if rest[skip] in _DIVIDED and not (start < at and not skip and rest[0] not in _DIVIDED):
            return NumberSaid(start, at + 1 + skip, (Fraction(1, _PARTS[word]),), fraction=True)
        return None
    value = 12 if word == "dozen" else 2
    end = at + 1
    if rest[0] == "of":
        end += 1
        rest = rest[1:]
    if rest[0] in _LARGE:
        return NumberSaid(start, end + 1, (Fraction(value * (100 if rest[0] == "hundred" else 1000)),))
    return NumberSaid(start, end, (Fraction(value),))
