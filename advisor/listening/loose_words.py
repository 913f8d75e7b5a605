"""Words that say something wherever they stand together in one part of a sentence, sets of words among them."""

import functools
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from ..knowledge.speech import elements
from ..knowledge.spoken import SLIGHT, Token, tokens as spoken_tokens
from .number_words import NUMBER_WORDS
from .word_lists import word_list

#: How many words of weight may stand between words that say something together, by how many sets of them there are:
#: two words far apart in a clause have nothing to do with each other.
_NEAR = {1: 4, 2: 4, 3: 6}


_ENDS_SIMILES = frozenset(word_list("when whenever as if on in at from every with and but so i you it until"))


@dataclass(frozen=True, slots=True)
class LooseWords:
    """What says ``value`` of ``fact``: every one of ``elements`` by one of its runs of stems.

    ``ordered``: in this order only, which a phrase says that begins with ">"; ``far``: in this order, however far
    apart, with "~".
    """

    fact: str
    value: object
    elements: tuple[tuple[tuple[str, ...], ...], ...]
    ordered: bool = False
    far: bool = False

    def places(self, region: "Region") -> list[tuple[int, ...]] | None:
        """The places of the words of each element in a part of a sentence, or None where one is not there."""
        runs_found: list[tuple[int, ...]] = []
        used: set[int] = set()
        for runs in self.elements:
            places: tuple[int, ...] = ()
            for run in runs:
                if run[0] in region.held and (places := region.find(run, used)):
                    break
            if not places:
                return None
            step = places[0] - runs_found[-1][-1] if runs_found else 1
            if (self.ordered and not 0 < step <= 4) or (self.far and step <= 0):
                return None
            used.update(places)
            runs_found.append(places)
        return runs_found if self.ordered or self.far or region.near(used, _NEAR[min(len(self.elements), 3)]) else None


class ByRarestStem:
    """Several LooseWords, each kept under the stems of the one of its elements that fewest others share."""

    def __init__(self, several: Sequence[LooseWords]) -> None:
        self.several = several
        sharing = Counter(stem for words in several for stem in {run[0] for runs in words.elements for run in runs})
        self._places: dict[str, list[int]] = {}
        for place, words in enumerate(several):
            firsts = [{run[0] for run in runs} for runs in words.elements]
            for stem in min(firsts, key=lambda stems: sum(sharing[stem] for stem in stems)):
                self._places.setdefault(stem, []).append(place)

    def perhaps_in(self, region: "Region") -> list[LooseWords]:
        """Those that may stand in a part of a sentence, in their order: all others lack an element there."""
        places = {place for stem in region.held for place in self._places.get(stem, ())}
        return [self.several[place] for place in sorted(places)]


class Region:
    """A part of a sentence: the stems of its tokens, those aside left out."""

    def __init__(self, tokens: Sequence[Token], places: Sequence[int], stems: Mapping[int, str]) -> None:
        self.every = [(at, stems[at]) for at in places if tokens[at].is_word or tokens[at].is_number]
        self.solid = [(at, stem) for at, stem in self.every if tokens[at].word not in SLIGHT]
        self.held = {stem for _, stem in self.every}
        self.both = tuple((words, _by_stem(words)) for words in (self.solid, self.every))
        self.tokens = tokens
        self.similes = _similes(tokens, places)

    def find(self, run: tuple[str, ...], used: Collection[int]) -> tuple[int, ...]:
        """The places of a run of stems, none of them used; small words between count for nothing."""
        for words, by_stem in self.both:
            for at in by_stem.get(run[0], ()):
                if at + len(run) <= len(words) and all(words[at + step][1] == run[step] for step in range(1, len(run))):
                    places = tuple(words[at + step][0] for step in range(len(run)))
                    if not any(place in used for place in places):
                        return places
        return ()

    def near(self, places: Collection[int], most: int) -> bool:
        """Do no more than ``most`` words of weight, numbers left out, stand between any two neighbours of places?"""
        between = 0
        for at, _ in self.solid:
            if at in places:
                between = 0
            elif min(places) < at < max(places) and not self._counts(at):
                between += 1
                if between > most:
                    return False
        return True

    def _counts(self, at: int) -> bool:
        """Is it a number, a word of one, or a word that only likens?"""
        return self.tokens[at].is_number or self.tokens[at].word in NUMBER_WORDS or at in self.similes


def _by_stem(words):
    """Where each stem stands among words."""
    by_stem: dict[str, list[int]] = {}
    for at, (_, stem) in enumerate(words):
        by_stem.setdefault(stem, []).append(at)
    return by_stem


def _similes(tokens, places):
    """Places of words that only liken: "squeals like a stuck pig whenever I dip the clutch"."""
    similes: set[int] = set()
    for at in places:
        if tokens[at].word == "like" and at + 1 < len(tokens) and tokens[at + 1].word in ("a", "an"):
            last = at + 2
            while last < min(at + 6, len(tokens)) and tokens[last].is_word and tokens[last].word not in _ENDS_SIMILES:
                last += 1
            similes.update(range(at, last))
    return similes


def loose_words(fact: str, value: object, text: str, sets: Mapping[str, Sequence[str]]) -> LooseWords:
    """The LooseWords of a phrase of the vocabulary; the longest runs of a set come first."""
    several = []
    for element in elements(text.lstrip(">~")):
        if element.startswith("{"):
            runs = {stem_run(phrase) for phrase in sets[element[1:-1]]}
            several.append(tuple(sorted(runs, key=lambda run: (-len(run), run))))
        elif element not in SLIGHT or element.isdecimal():
            several += [
                ((loosely(token, token.stem),),) for token in spoken_tokens(element) if token.word not in SLIGHT
            ]
    return LooseWords(fact, value, tuple(dict.fromkeys(several)), text.startswith(">"), text.startswith("~"))


@functools.lru_cache(maxsize=8192)  # the sets of words stand in many phrases
def stem_run(text: str) -> tuple[str, ...]:
    """The stems of a phrase, its small words left out unless there is nothing else."""
    several = [token for token in spoken_tokens(text) if token.is_word or token.is_number]
    solid = [token for token in several if token.word not in SLIGHT]
    whole = several if len(solid) < 2 and len(several) > 1 else solid or several
    return tuple(loosely(token, token.stem) for token in whole)


def loosely(token: Token, stem: str) -> str:
    """A stem for words in any order, where a bit of something must not be where a clutch bites."""
    return "a bit" if token.word == "bit" else stem
