"""What in a text looks like a person: the caller's name in any spelling, the number in any grouping, or an address.

Names are compared by their letters alone, without case, accents, dashes and signs that do not show; a surname by itself
is enough. Numbers are compared by their last digits, so that a country's code or a leading nought makes no difference.
What no name points to is told by its form: mail addresses, phone numbers, streets and houses. A nickname, or a sentence
that describes somebody, is beyond this: whoever erases can name further words.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping

#: Letters a part of a name needs to count by itself; digits a number needs, and digits of its end that are compared.
LEAST_LETTERS, LEAST_DIGITS, COMPARED_DIGITS = 3, 5, 7
#: Letters a name needs to be looked for across blanks and without any.
LEAST_RUN = 6
#: Words in names that are not somebody's own.
_TITLES = frozenset(
    (
        *(
            "mr",
            "mrs",
            "ms",
            "miss",
            "sir",
            "dr",
            "prof",
            "herr",
            "frau",
            "van",
            "von",
            "der",
            "den",
            "del",
            "della",
            "the",
        ),
        *("and", "und", "caller", "customer", "counter", "workshop", "bay", "desk", "shop", "lead", "fitter"),
    )
)
_MAIL = re.compile(r"[\w.+-]+\s?(@|\(at\)|\[at\])\s?[\w-]+(\.|\s?\(dot\)\s?)\w")
_STREET = re.compile(
    r"\b\w*(street|road|lane|avenue|drive|close|court|square|terrace|crescent|strasse|straße|gasse|allee|platz|weg|rue"
    r"|via|calle|plaza|laan|straat|gade|vej|gatan)\b\W{0,3}\d+|\b\d+\s?[a-d]?\W{1,3}(\w+\W{1,3}){0,3}"
    r"(street|road|lane|avenue|drive|close|court|square|terrace|crescent|rue)\b",
    re.IGNORECASE,
)
_POSTCODE = re.compile(r"\b(\d{5}|\d{4}\s?[A-Z]{2}|[A-Z]{1,2}\d[A-Z\d]?\s\d[A-Z]{2})\s?,?\s[A-Z][^\W\d_]{2,}")
_JOINING = re.compile(r"(?<=\w)['’ʼ\-\u2010-\u2015](?=\w)")
_UMLAUT, _LETTERS = re.compile("([aou])e"), re.compile(r"[^\W\d_]+")
_NO_DIGIT = re.compile("[^0-9]+")
_DASH = re.compile(r"[\-\u2010-\u2015/]")
_DAY = re.compile(r"\d{4}-\d\d-\d\d")
_NUMBER = re.compile(r"(?<![\w.])[+(]{0,2}\d[\d\s()/.\-\u2010-\u2015\u2212\u00a0]{5,24}\d(?![\w.])")


def letters(text: str) -> list[str]:
    """The words of a text by their letters: no case, accents, dashes or unseen signs; ae, oe, ue as a, o, u."""
    joined = _JOINING.sub("", _bare(text).casefold())
    return [_UMLAUT.sub(r"\1", word) for word in _LETTERS.findall(joined)]


def _bare(text):
    """A text without accents and signs that do not show; what is of plain letters has none, as nearly all there is."""
    if text.isascii():
        return text
    plain = unicodedata.normalize("NFKD", text.replace("ß", "ss"))
    return "".join(sign for sign in plain if not unicodedata.combining(sign) and unicodedata.category(sign) != "Cf")


def digits(text: str) -> str:
    """The digits of a text, of any script."""
    if text.isascii():
        return _NO_DIGIT.sub("", text)
    values = (unicodedata.digit(sign, -1) for sign in text)
    return "".join(str(digit) for digit in values if digit >= 0)


def why(text: str, people: Iterable[Mapping[str, str]], words: Iterable[str] = ()) -> str:
    """What in a text looks like one of the ``people`` ({name, phone}), or like ``words`` to be erased, or ""."""
    people, words = list(people), list(words)
    if not people and not words:
        return ""
    joined = letters(text)
    folded, run = joined + letters(_DASH.sub(" ", text)), "".join(joined)
    for person in people:
        wrong = _name(folded, run, person.get("name", ""))
        if wrong:
            return wrong
        phone = digits(person.get("phone", ""))
        if len(phone) >= LEAST_DIGITS and phone[-COMPARED_DIGITS:] in digits(text):
            return "the number"
    for word in words:
        wanted = "".join(letters(word))
        number = digits(word)
        if (wanted and wanted in run and (not number or number in digits(text))) or (
            not wanted and number and number in digits(text)
        ):
            return "a word named"
    return ""


def _name(folded, run, name):
    parts = letters(name)
    whole = "".join(parts)
    if len(whole) >= LEAST_RUN and (whole in run or "".join(reversed(parts)) in run):
        return "the name"
    single = {*parts, *letters(_DASH.sub(" ", name))}
    own = [part for part in single if len(part) >= LEAST_LETTERS and part not in _TITLES]
    if any(part in folded or f"{part}s" in folded for part in own):
        return "part of the name"
    if any(len(part) >= LEAST_RUN and part in run for part in own):
        return "part of the name, written otherwise"
    return ""


def form(text: str) -> str:
    """What in a text has the form of something personal, whoever it belongs to; "" for nothing."""
    plain = "".join(sign for sign in unicodedata.normalize("NFKC", text) if unicodedata.category(sign) != "Cf")
    if _MAIL.search(plain):
        return "a mail address"
    if _STREET.search(plain) or _POSTCODE.search(plain):
        return "what looks like an address"
    if any(len(digits(match[0])) >= COMPARED_DIGITS for match in _NUMBER.finditer(_DAY.sub("-", plain))):
        return "what looks like a phone number"
    return ""
