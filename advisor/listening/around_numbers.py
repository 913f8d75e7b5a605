"""The words around a number: ranges, hedges, and what else than an answer it can be."""

from collections.abc import Sequence
from fractions import Fraction

from ..knowledge import vague
from ..knowledge.spoken import Token
from .frame_words import STOPS
from .number_said import NumberSaid
from .requests import requested
from .word_lists import phrase_list, word_list

_RANGE = frozenset(("to", "-", "till", "through", "and"))
#: Units of which nobody gives a range to three decimals.
_OF_THOUSANDS = ("rpm", "kg", "m", "N", "cm3")


def ranges(numbers: Sequence[NumberSaid], tokens: Sequence[Token]) -> list[NumberSaid]:
    """Two numbers that are the ends of one joined into one: "380 to 400", "three or four"."""
    joined, at = [], 0
    while at < len(numbers):
        number = numbers[at]
        other = numbers[at + 1] if at + 1 < len(numbers) else None
        between = [token.word for token in tokens[number.end : other.start]] if other is not None else []
        while between and between[0] in ("up",):
            between = between[1:]
        if other is not None:
            money = {token.word for token in tokens[other.end : other.end + 1]} & CURRENCIES
            _in_thousands(number, other, between, money=bool(money))
        between_them = between == ["and"] and number.start > 0 and tokens[number.start - 1].word == "between"
        if (
            other is not None
            and (between == ["to"] or between_them)
            and number.bare
            and number.values
            and other.values
            and 1 < number.values[0] < 10
        ):
            words = tokens[number.start].is_word  # "between four and four fifty"
            size = next(
                (
                    size
                    for size in (1000, 100)
                    if (words or other.values[0] % size == 0)
                    and number.values[0] * size < other.values[0] < 3 * number.values[0] * size
                ),
                1,
            )
            number.values = tuple(value * size for value in number.values)  # "three to four hundred"
        if (
            other is not None
            and len(between) == 1
            and between[0] in _RANGE
            and number.values
            and other.values
            and (between[0] != "and" or (number.start > 0 and tokens[number.start - 1].word == "between"))
            and number.values[0] < other.values[0] <= 3 * max(number.values[0], Fraction(1))
            and (number.bare or (not other.bare and number.unit is other.unit))
        ) or (
            other is not None
            and between == ["or"]
            and number.bare
            and number.values
            and other.values
            and number.values[0] + 1 <= other.values[0] <= number.values[0] + 2
            and other.values[0] <= 20
            and number.values[0].denominator == 1
        ):
            number = NumberSaid(
                number.start,
                other.end,
                ((number.values[0] + other.values[0]) / 2,),
                number.values[0],
                other.values[0],
                "range",
                other.unit,
                other.spelling,
            )
            at += 1
        elif (
            other is not None
            and between == ["or"]
            and number.values
            and other.values
            and (number.bare or number.unit is other.unit)
        ):
            number.unit, number.spelling = other.unit, other.spelling  # two of one kind: asked which
        joined.append(number)
        at += 1
    return joined


def _in_thousands(number, other, between, *, money):
    """Takes the point as parting thousands in both ends of a range that has such a unit: "6.500 to 7.000 rpm"."""
    several = [end for end in (number, other) if end.decimal and len(end.values) == 2]
    in_thousands = money or (other.unit is not None and other.unit.name in _OF_THOUSANDS)
    if in_thousands and between and between[0] in _RANGE:
        for end in several:
            end.values, end.decimal = (max(end.values),), False


_BEFORE = {kind: phrase_list(phrases) for kind, phrases in vague.BEFORE.items()}
_BEHIND = phrase_list(vague.BEHIND["about"])


def hedged(number: NumberSaid, tokens: Sequence[Token]) -> None:
    """Takes the words that say how rough a number is to it: "about", "at least", "or so"."""
    before = [token.word for token in tokens[max(0, number.start - 4) : number.start]]
    best = ("", 0)
    for kind, several in _BEFORE.items():
        for words in several:
            split = words.split()
            if before[-len(split) :] == split and len(split) > best[1]:
                best = (kind, len(split))
    kind, count = best
    if (
        not kind
        and before[-1:] in (["until"], ["till"])
        and not {"not", "never"} & set(before)
        and (number.unit is not None or {token.word for token in tokens[number.end : number.end + 1]} & CURRENCIES)
    ):
        kind, count = "most", 1  # "the gearbox holds until 500 Nm"
    if not kind and before[-1:] == ["before"] and number.unit is not None and number.unit.name == "rpm":
        # "doesn't come in before 3500", "we change before seven thousand"
        kind, count = "least" if _not_done(tokens, number.start - 1) else "most", 1
    if kind in ("most", "under") and before[-count - 1 : -count] in (["not"], ["never"]):
        kind, count = "least", count + 1  # "comes in not under 3500"
    elif before[-count:] in (["below"], ["under"]) and _not_done(tokens, number.start - count):
        kind = "least"  # "it doesn't come in below 3500"
    elif kind == "least" and {"not", "no", "never"} & {
        token.word for token in tokens[max(0, number.start - count - 6) : number.start - count]
    }:
        kind = "most"  # "mustn't cost more than"
    behind = [token.word for token in tokens[number.end : number.end + 4]]
    if behind[:1] == ["-"]:
        behind = behind[1:]
    more = max((len(words.split()) for words in _BEHIND if behind[: len(words.split())] == words.split()), default=0)
    if number.rough == "range":
        if before[-1:] in (["from"], ["between"]):
            count = max(count, 1)
        kind = "range"
    elif (more or number.loose) and kind in ("", "least", "most"):
        kind = "about"
    if not kind and behind and (behind[0] in ("tops", "max", "maximum") or behind[:2] == ["at", "most"]):
        kind, more = "most", 1 if behind[0] != "at" else 2
    if kind == "least" and _not_done_behind(tokens, number.end):
        kind = "most"  # "more than 700 euro I do not pay"
    number.rough, number.start, number.end = kind, number.start - count, number.end + more


def _not_done(tokens, end):
    """Do the few words before say that something does not happen: "doesn't come in", "never drops"?"""
    words = [token.word for token in tokens[max(0, end - 5) : end]]
    stops = [at for at, word in enumerate(words) if word in STOPS]
    return bool({"not", "never"} & set(words[stops[-1] + 1 if stops else 0 :]))


#: What nobody does with more than a number: it is the most.
_DONE_WITH = frozenset(
    word_list("pay spend give want go have need take rev turn run tow pull do use launch drive afford like get put lay")
)


def _not_done_behind(tokens, end):
    """Is it denied behind the number, in its part, that somebody goes so far: "over 900 euro I can't go"?"""
    last = next((at for at in range(end, len(tokens)) if tokens[at].word in STOPS), len(tokens))
    words = [token.word for token in tokens[end:last]][:9]
    denials = [at for at, word in enumerate(words) if word in ("not", "never", "no")]
    who = {"i", "we", "he", "she", "they", "it"} & set(words[: denials[0]] if denials else ())
    return bool(who) and bool(_DONE_WITH & set(words[denials[0] + 1 : denials[0] + 5]))


#: Behind a number: it is money.
CURRENCIES = frozenset(
    word_list("quid £ $ € dollar dollars euro euros bucks eur gbp usd aud pence pounds sterling pound")
)
#: Words beside which a sum of money is a price of something.
OF_MONEY = frozenset(
    word_list(
        "cost costs costing price priced prices paid pay quoted quote charge charged charges bill deposit postage "
        "given gave sells sold bought cheaper dearer website online advert advertised listed listing catalogue"
    )
)


def _year_beside(number, tokens):
    """Is a number before another the year of the car: "a 2015 1.2 petrol"?"""
    before = tokens[number.start - 1].word if number.start else ""
    return bool(number.values) and 1950 <= number.values[0] <= 2035 and before in ("a", "an", "my", "the", "is")


#: Words beside which a grand is a thousand revolutions.
_OF_REVS = frozenset(
    word_list(
        "rev revs rpm shift launch dump limiter change gears redline leave leaves stall two-step step comes in from "
        "spool boost line at"
    )
)


def _is_a_sum(number, tokens, first, last):
    """Is it a number of grand, or of "k" that somebody has: "got 2k at most", and none of revolutions?"""
    said = {token.word for token in tokens[number.start : number.end]}
    near = {token.word for token in tokens[max(first, number.start - 5) : number.start]}
    near |= {token.word for token in tokens[number.end : min(last, number.end + 4)]}
    own = number.rough == "most" and {"i", "we"} & near and {"have", "got", "spend"} & near
    if number.rough == "most" and requested([token.word for token in tokens[first:last]]):
        return True  # "can you do me a clutch for under 600"
    return ("grand" in said or ("k" in said and bool(own))) and not near & _OF_REVS


def other_kind(number: NumberSaid, tokens: Sequence[Token], numbers: Sequence[NumberSaid]) -> None:
    """Years, money, telephone and part numbers, sizes of tyres, rims and bolts."""
    if number.kind:
        return
    before = tokens[number.start - 1].word if number.start else ""
    two = tokens[number.start - 2].word if number.start > 1 else ""
    after = tokens[number.end].word if number.end < len(tokens) else ""
    value = number.values[0]
    first = max((at for at in range(number.start) if tokens[at].word in ",;.?!"), default=-1) + 1
    last = next((at for at in range(number.end, len(tokens)) if tokens[at].word in ",;.?!"), len(tokens))
    near = {token.word for token in tokens[max(first, number.start - 5) : min(last, number.end + 4)]}
    if (
        (number.bare and near & OF_MONEY)
        or before in ("£", "$", "€")
        or after in CURRENCIES - {"pounds", "pound", "sterling"}
        or (number.spelling in ("pounds", "pound") and after in ("sterling",))
        or (number.bare and _is_a_sum(number, tokens, first, last))
    ):
        number.kind = "money"
    elif (
        number.bare
        and value.denominator == 1
        and 1950 <= value <= 2035
        and (
            before in ("a", "an", "year", "since", "from", "in", "'", "registered")
            or after in ("model", "plate", "reg", "car", "onwards", "vintage")
        )
    ):
        number.kind = "year"
    elif (
        before in ("r", "m", "number", "no", "code", "ref", "part", "#", "order", "page", "section")
        and number.bare
        and before != "no"
    ) or (two in ("part", "phone", "order", "chassis", "stock") and before in ("number", "no")):
        number.kind = "code"
    elif after in (
        "st",
        "nd",
        "rd",
        "th",
        "years",
        "year",
        "months",
        "weeks",
        "doors",
        "door",
        "seats",
        "seater",
        "valve",
        "valves",
        "am",
        "pm",
        "clock",
        "splines",
        "teeth",
        "speed",
    ):
        number.kind = "count of something else"
    elif (
        (before == "not" or (two == "not" and before in ("the", "a")))
        and not number.first_alone
        and number.rough in ("", "about")
    ):
        number.kind = "denied"  # "200 horsepower, not 200 newton metres"
    elif before in ("after", "chasing", "need", "want", "for") and {"not", "never"} & {
        token.word for token in tokens[max(first, number.start - 4) : number.start - 1]
    }:
        number.kind = "denied"  # "I'm not after 400 horse"
    elif number.first_alone and number.bare and before in ("the", "this", "that", "which", "only", "every", "any"):
        number.kind = "no number"  # "just the one gear ratio I know"
    elif number.first_alone and number.bare and two in ("the", "this", "that", "a", "an", "my", "another"):
        number.kind = "no number"  # "the blue one"
    elif (
        before == "in"
        and number.first_alone
        and {"day", "night", "meeting"} & {token.word for token in tokens[number.end : number.end + 3]}
    ):
        number.kind = "count of something else"  # "six hard starts in one rally day"
    elif (
        before == "from"
        and number.bare
        and not number.rough
        and "to" in near
        and any(other.start > number.end and other.unit is not None and not other.kind for other in numbers)
    ):
        number.kind = "before"  # "from 190 it went to 240 PS"
    elif before in ("a", "an") and two == "from" and number.bare and "to" in near:
        number.kind = "before"  # "changed from a 3.9 to a 4.4"
    elif number.dimension == "volume" and (after == "of" or after in ("tank", "drum", "can", "bottle", "esky", "boot")):
        number.kind = "count of something else"  # "5 litres of 5W30"
    elif number.bare and "earlier" in near and near & {"said", "told", "gave"}:
        number.kind = "denied"  # "I think I said 300 earlier"
    elif any(
        other is not number
        and not _year_beside(other, tokens)
        and not _year_beside(number, tokens)
        and (other.start == number.end or other.end == number.start)
        and other.bare
        and number.bare
        for other in numbers
    ):
        number.kind = "code"
