"""What the words of a part say together, whatever their order."""

import itertools

from ..knowledge import spoken
from . import frame_kinds as frame
from .choices_heard import Choices
from .denials import denied_behind
from .loose_words import LooseWords, Region, loosely
from .phrases import DENIALS, answers_no
from .taken_apart import Piece
from .word_lists import phrase_list, word_list

_JOINS = frozenset(word_list("when while because so before after if as until once whenever unless"))
#: What a denial before does not reach over: "will not go into gear unless I pump it".
_TURNS = frozenset(word_list("unless if but because when so then"))
#: Denials that deny nothing.
_NO_DENIAL = tuple(
    text.split()
    for text in phrase_list(
        "no worries, no problem, no bother, no drama, no dramas, no trouble, no doubt, no idea, no matter, no hassle, "
        "no sweat, no issue, no issues, not a problem, not a bother, no wonder, no harm, not only, not just, "
        "do not know, no more than, not more than, never mind, no object"
    )
)


#: Of what is named by itself none of these is told.
_TOLD_OF = frozenset(word_list("it she i we he they there is has clutch does want wants need needs must"))
#: It may be so.
_BORNE = phrase_list(
    "fine, ok, okay, alright, all right, problem, bother, bothered, drama, worries, worry, mind, care, fussed, matter, "
    "cope, live with, put up with"
)
#: Behind these, denied, "a bit" is at all.
_BOTHERS = frozenset(word_list("matter bother bothers me mind care worry hurt"))


class LooselySaid(Choices):
    """A sentence in which words that stand together are heard."""

    def _loose(self):
        """What the words of a part say together, where nothing else in it told of that fact."""
        told_facts = {piece.heard.fact for piece in self.pieces if not piece.hurdle} | {
            name for _, asked in self.asks for name in asked.facts
        }
        whole = self._region(0, len(self.tokens))
        lacking = {
            name
            for name in self.facts
            if name != self.about and (needs := self._speech(name).needs) and not _any_of(needs, whole)
        }
        again: set[str] = set()  # heard loosely in one part: more words over two parts may tell it better
        for number, start, end, several in self._windows():
            region = self._region(start, end)
            best: dict[str, list[tuple[LooseWords, frozenset[int]]]] = {}
            for words in self.listener.phrases.loose.perhaps_in(region):
                if words.fact in (told_facts - again) | lacking:
                    continue
                if several and self._speech(words.fact).ahead and not self._borne_behind(number, end):
                    continue
                runs = words.places(region)
                wished = self._speech(words.fact).ahead
                if runs is None or (
                    several and not wished and not self._over_parts(runs, region, bool(self.facts[words.fact].platform))
                ):
                    continue
                places = frozenset(at for run in runs for at in run)
                if (
                    self._denied_beside(region, runs, places)
                    or denied_behind(self.tokens, start, min(places), max(places) + 1, end)
                ) or self._little_of_else(places):
                    continue
                if several and self._intrudes(words.fact, places):
                    continue
                held = self._held_beside(region, places, {at for run in runs if len(run) > 1 for at in run})
                elsewhere = any(set(spoken.phrase(text)) <= held for text in self._speech(words.fact).not_with)
                if not elsewhere and not self._denied_behind(end):
                    best.setdefault(words.fact, []).append((words, places))
            for name, several in best.items():
                most = max(len(words.elements) for words, _ in several)
                longest = [(words, places) for words, places in several if len(words.elements) == most]
                longest = [  # a pressure plate is no plate
                    (words, places) for words, places in longest if not any(places < wider for _, wider in longest)
                ]
                earlier = next((piece for piece in self.pieces if name in again and piece.heard.fact == name), None)
                if earlier is not None:
                    inside = all(set(range(earlier.start, earlier.end)) & places for _, places in longest)
                    if most < 3 or not inside or earlier.hurdle or len({words.value for words, _ in longest}) > 1:
                        continue
                    self.pieces.remove(earlier)
                if len({words.value for words, _ in longest}) == 1:
                    words, places = min(longest, key=lambda pair: max(pair[1]) - min(pair[1]))
                    self._loose_piece(self.facts[name], words.value, number, sorted(places))
                    if self.pieces[-1].hurdle:
                        continue  # "the last one used to slip, this one's perfect"
                    told_facts.add(name)
                    if self._speech(name).habit and len(words.elements) < 3:
                        again.add(name)
                    else:
                        again.discard(name)

    def _intrudes(self, name, places):
        """Do words of several parts hold some that tell where it bites: "at the top, all the way down it lets go"?"""
        biting = [value for value in self.values if value.fact != name and self._named_in(value)]
        return any(value.start <= at < value.end for value in biting for at in places)

    def _named_in(self, value):
        """Is the fact of a phrase named within it, by another word than "clutch": "bites" in "bites at the top"?"""
        return self._speech(value.fact).habit and any(
            pointer.fact == value.fact
            and value.start <= pointer.start < value.end
            and self.tokens[pointer.start].word != "clutch"
            for pointer in self.pointers
        )

    def _little_of_else(self, places):
        """Is it a little of something else: "a bit deaf so the noise won't worry me"?"""
        for at in places:
            later = [place for place in places if place > at]
            if self.tokens[at].word in ("bit", "little", "touch", "tad") and later and min(later) - at > 4:
                return True
        return False

    def _borne_behind(self, number, end):
        """As in "like a switch, no problem": only named, and behind it, in few words, that it may be so."""
        start, stop, _ = self.parts[number]
        named = [token.word for token in self.tokens[start:stop]]
        behind = [token.word for token in self.tokens[stop:end]]
        borne = len(behind) <= 5 and _BORNE.stand_in(behind)
        return borne and len(named) <= 8 and not _TOLD_OF & set(named)

    def _held_beside(self, region, places, own):
        """The stems of the region on the same side of "so" or "because": "steering's heavy so I want a light pedal".

        What stands in a phrase that is ``own`` holds nothing up: a back box is no gearbox.
        """
        turns = [at for at, _ in region.every if self.tokens[at].word in ("so", "because")]
        first = max((at for at in turns if at < min(places)), default=-1)
        last = min((at for at in turns if at > max(places)), default=len(self.tokens))
        return {stem for at, stem in region.every if first < at < last and at not in region.similes and at not in own}

    def _windows(self):
        """(number, start, end, several) of the parts, then of two and of three of them together."""
        parts = self._loose_parts()
        for length in (1, 2, 3):
            for first, last in zip(parts, parts[length - 1 :]):
                yield first[0], first[1], last[2], length > 1

    def _over_parts(self, runs, region, trait):
        """May words count that stand in several parts: three of them, or two in parts that are short?"""
        kinds = {frozenset(self.frames[self.part_of(at)] - {frame.CONDITION}) for run in runs for at in run}
        if len(kinds) > 1:
            return False
        for run, behind in itertools.pairwise(runs):
            if self.tokens[run[0]].word in DENIALS and self.part_of(run[0]) != self.part_of(behind[0]):
                return False
        return len(runs) > 2 or (trait and len(region.every) < 11)

    def _region(self, start, end):
        mended = self.listener.phrases.mended
        aside = {at for first, last in self.sayings for at in range(first, last)}
        for said in self.numbers:  # "two and a quarter tonne" are no quarter mile
            if "and" in {token.word for token in self.tokens[said.start : said.end]} and said.dimension == "mass":
                aside.update(range(said.start, said.end))
        places = [at for at in range(start, end) if at not in aside]
        stems = {at: loosely(self.tokens[at], mended(self.tokens[at])) for at in places}
        for at in places:
            before = [token.word for token in self.tokens[max(0, at - 2) : at]]
            behind = self.tokens[at + 1].word if at + 1 < len(self.tokens) else ""
            bothers = before[1:] in (["a"], ["one"]) and before[0] in _BOTHERS and behind != "of"
            if self.tokens[at].word == "bit" and bothers:
                stems[at] = "at all"  # "won't matter a bit" is no bit of anything
            if self.tokens[at].word == "top" and before[1:] == ["on"] and behind == "of":
                stems[at] = "besides"  # "on top of a naturally aspirated V8" is no top of anything
        return Region(self.tokens, places, stems)

    def _loose_parts(self):
        """(number, start, end) of the parts, those no sign parts joined: "it squeals / when you press the pedal"."""
        parts_found: list[tuple[int, int, int]] = []
        for number, (start, end, _) in enumerate(self.parts):
            if parts_found and parts_found[-1][2] == start and self.tokens[start].word in _JOINS:
                parts_found[-1] = (parts_found[-1][0], parts_found[-1][1], end)
            else:
                parts_found.append((number, start, end))
        return parts_found

    def _loose_piece(self, fact, value, number, places):
        heard = self._choice(fact.name, value, places[0], places[-1] + 1)
        number = self.part_of(places[0])
        self.taken.update(places)
        self.pieces.append(Piece(heard, places[0], places[-1] + 1, number, self._hurdle(fact, number), places[0]))

    def _denied_behind(self, end):
        """As in "done a couple of gearboxes, but never a clutch"."""
        behind = [token.word for token in self.tokens[end : end + 3]]
        return "but" in behind and bool({"never", "not"} & set(behind))

    def _denied_beside(self, region, runs, places):
        """Does a denial stand before the words that is none of them, or is one of them before what it denies?"""
        denials = [
            at for at, _ in region.every if self.tokens[at].word in DENIALS and at not in self.fix_places
        ]  # "no, hang on" denies nothing that comes behind it
        harmless = {
            at + step
            for at, _ in region.every
            for words in _NO_DENIAL
            if [token.word for token in self.tokens[at : at + len(words)]] == words
            for step in range(len(words))
        }
        last = max((at for at in places if at not in denials), default=-1)
        first = min(places)
        for at in denials:
            between = {self.tokens[step].word for step in range(at, first)}
            answer = answers_no(self.tokens, at)
            if at not in places and at not in harmless and at < last and not between & _TURNS and not answer:
                return True
        for run, behind in itertools.pairwise(runs):
            if len(run) == 1 and run[0] in denials and not run[0] < behind[0] <= run[0] + 8:
                return True
        return False


def _any_of(texts, region):
    return any(set(spoken.phrase(text)) <= region.held for text in texts)
