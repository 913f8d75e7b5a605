"""What a caller says of a complaint, read into signs by the phrases of the symptoms; what is unsure is asked.

A phrase is heard where its words follow each other with at most two others between, endings aside, and nothing before
them denies it. Two values of one symptom leave it open. Of several complaints the one said first is taken.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ..knowledge.complaint_model import COMPLAINED, Symptom

#: Words that deny what follows, how far they reach, words that end their reach, and words between those of a phrase.
DENIALS = frozenset(("not", "no", "never", "dont", "doesnt", "didnt", "isnt", "wasnt", "without", "nor", "neither"))
REACH, TURNS, BETWEEN = 3, frozenset(("but", "only", "just", "and", *",.;:!?")), 2
_ENDINGS = ("ing", "ed", "es", "s")


@dataclass(frozen=True, slots=True)
class SignsSaid:
    """``signs``: symptom -> value; ``beside``: complaints said after the first."""

    signs: Mapping[str, object]
    beside: tuple[str, ...]


def signs_said(text: str, symptoms: Mapping[str, Symptom], complaint: str = "") -> SignsSaid:
    """What a sentence tells; with a ``complaint`` only what is asked about that one."""
    words = _words(text)
    signs: dict[str, object] = {}
    said = sorted(_said(symptoms[COMPLAINED], words), key=lambda place: place[0])
    complaints = list(dict.fromkeys(value for _, value in said))
    if not complaint and complaints:
        signs[COMPLAINED] = complaint = str(complaints[0])
    for symptom in symptoms.values():
        if symptom.name == COMPLAINED or (complaint and complaint not in symptom.of):
            continue
        values = {value for _, value in _said(symptom, words)}
        if len(values) == 1:
            signs[symptom.name] = values.pop()
    return SignsSaid(signs, tuple(str(value) for value in complaints if value != complaint))


def _said(symptom: Symptom, words: list[str]) -> Iterator[tuple[int, object]]:
    """(where, value) of every value of a symptom that is said; a phrase within a longer one is not said by itself."""
    places: list[tuple[int, int, object]] = []
    for value, phrases in symptom.said.items():
        meant: object = value == "yes" if symptom.fact.kind == "flag" else value
        for phrase in phrases:
            for begin, end in _places(_words(phrase), words):
                places.append((begin, end, meant))
    for begin, end, meant in places:
        inside = any(
            first <= begin and end <= last and (first, last) != (begin, end) and other != meant
            for first, last, other in places
        )
        if not inside:
            yield begin, meant


def _places(phrase: list[str], words: list[str]) -> Iterator[tuple[int, int]]:
    """Where the words of a phrase stand in order, near each other and not denied: (first, last)."""
    for begin, word in enumerate(words):
        if word != phrase[0] or (phrase[0] not in DENIALS and _denied(words, begin)):
            continue
        at = begin
        for wanted in phrase[1:]:
            near = words[at + 1 : at + 2 + BETWEEN]
            if wanted not in near:
                break
            at += 1 + near.index(wanted)
        else:
            yield begin, at


def _denied(words: list[str], place: int) -> bool:
    for word in reversed(words[max(0, place - REACH) : place]):
        if word in TURNS:
            return False
        if word in DENIALS:
            return True
    return False


def _words(text: str) -> list[str]:
    """The words of a text without apostrophes and endings; a sign that ends a part of a sentence is a word too."""
    plain = text.lower().replace("\u2019", "").replace("'", "")
    return [_stem(word) for word in re.findall(r"[a-z0-9]+|[,.;:!?]", plain)]


def _stem(word: str) -> str:
    if word in DENIALS or word in TURNS:
        return word
    for ending in _ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= 3 and not word.endswith("ss"):
            word = word[: -len(ending)]
            break
    if len(word) > 3 and word[-1] == word[-2]:
        word = word[:-1]
    return word[:-1] if len(word) > 3 and word.endswith("e") else word
