"""Which of the phrases of a sentence count: each stands for itself, none inside another, none put aside."""

import itertools

from ..knowledge import spoken
from .number_words import NUMBER_WORDS
from .phrases import NAME, UNSETTLED, VALUE, Match
from .taken_apart import MILS, Sentence, is_length
from .word_lists import phrase_list, word_list

#: What may stand beside a phrase that is a whole part of a sentence.
_LITTLE = frozenset(
    word_list("till until it is just only all totally completely so then still now mostly a the car engine use driver")
)


_HEDGES = tuple(
    text.split()
    for text in phrase_list(
        "as far as i know, as far as we know, far as i know, so far as i know, for all i know, to my knowledge, "
        "to the best of my knowledge, i think, i believe, i reckon, i am told, pretty sure, i am pretty sure, "
        "i am sure, you could say, i would say"
    )
)
#: What may follow a whole part.
_ENDS = frozenset((",", ".", ";", "and", "but", "!", "when", "once"))


_LITRES = frozenset(word_list("litre litres liter liters l"))


class PhrasesCounted(Sentence):
    """A sentence and the phrases in it that count."""

    def _values(self):
        """The phrases that count, the longest first, none overlapping; pointers and open phrases are put aside."""
        matches = self.listener.phrases.find(self.tokens)
        longest: list[Match] = []
        used: dict[int, tuple[int, int]] = {}
        for match in matches:
            places = range(match.start, match.end)
            holders = {used[at] for at in places if at in used}
            if match.kind == NAME:
                if any(start <= match.start and match.end <= end for start, end in self.sayings):
                    continue  # a word of a saying points to nothing
                if match.solid > 1 or [token.word for token in self.tokens[match.end : match.end + 1]] != ["away"]:
                    self.pointers.append(match)  # "I pull away at 1200" pulls no trailer
                continue
            if (
                match.own_name
                and match.fact != self.about
                and not self._pointed(match, matches)
                and not (match.alone and self._whole_part(match))
                and not self._instead_of_another(match, matches)
            ):
                continue
            if (
                match.kind == VALUE
                and not match.own_name
                and match.solid == 1
                and self._speech(match.fact).names
                and match.fact != self.about
                and not self._pointed(match, matches)
                and not self._said_of_this_one(match)
            ):
                continue
            if holders and holders != {(match.start, match.end)} and not self._within_a_count(match, longest):
                continue
            if self._cut_short(match):
                continue
            if any(at in self.fix_places or at in self.car_places for at in places):
                continue
            if any(
                match.start < end and start < match.end and not (match.start <= start and end <= match.end)
                for start, end in self.sayings
            ):
                continue
            for at in places:
                used[at] = (match.start, match.end)
            (self.unsettled if match.kind == UNSETTLED else longest).append(match)
        self._corrected_choices(longest)
        spans = [range(match.start, match.end) for match in longest]
        self.pointers = [
            match
            for match in self.pointers
            if not any(
                match.start >= other.start
                and match.end <= other.end
                and match.end - match.start < other.end - other.start
                and not self._of_other_kinds(match, other)
                for other in self.pointers
            )
        ]
        self.pointers = [
            match
            for match in self.pointers
            if self._behind_a_number(match)
            or not any(
                match.start in span
                and (match.end - match.start < len(span))
                and match.fact not in self._facts_at(longest, span)
                and not self._flags_at(longest, span)
                for span in spans
            )
        ]
        return longest

    def _behind_a_number(self, match):
        """Is it what a number directly before it is of: "nineteen mil slave on the outside"?"""
        if match.end - match.start > 1 or match.start < 2 or self.facts[match.fact].kind != "number":
            return False
        before, two = self.tokens[match.start - 1], self.tokens[match.start - 2]
        measured = before.word in MILS and (two.is_number or two.word in NUMBER_WORDS)
        return measured and is_length(self.facts[match.fact])

    def _of_other_kinds(self, first, second):
        """Do they point to two numbers of other kinds, as in "fifty horse of nitrous from three thousand up"?"""
        facts = (self.facts[first.fact], self.facts[second.fact])
        rising = all(fact.kind == "number" and fact.unit != "1" for fact in facts)
        return rising and self._speech(second.fact).qualifies == facts[0].name

    def _cut_short(self, match):
        """Does it go on otherwise: "supercharged five litre eight" has no five cylinders, "nothing wrong with that"?"""
        behind = self.tokens[match.end].word if match.end < len(self.tokens) else ""
        if self.facts[match.fact].kind == "number":
            return behind in _LITRES
        return self.tokens[match.end - 1].word == "with" and behind in ("that", "them", "you", "him")

    def _within_a_count(self, match, longest):
        """As "diesel" in "diesel six": within a phrase that says a number, another fact's words say that as well."""
        around = [other for other in longest if other.start < match.end and match.start < other.end]
        return (
            match.kind == VALUE
            and self.facts[match.fact].kind == "choice"
            and bool(around)
            and all(self.facts[other.fact].kind == "number" for other in around)
        )

    def _corrected_choices(self, values):
        """As in "front no rear drive sorry": the "no" between two of a kind takes the first back."""
        in_order = sorted(values, key=lambda value: value.start)
        for first, second in itertools.pairwise(in_order):
            between = [
                at for at in range(first.end, second.start) if self.tokens[at].word not in (",", "-", "the", "a")
            ]
            if (
                first.fact != second.fact
                or first.value == second.value
                or [self.tokens[at].word for at in between] not in (["no"], ["nah"])
            ):
                continue
            sorry = [token.word for token in self.tokens[second.end : second.end + 4] if token.is_word]
            if (
                self.facts[first.fact].kind == "number"
                or sorry[:1] == ["sorry"]
                or sorry[:2] in (["i", "mean"], ["i", "meant"])
            ):
                self._mark_correction(between[0])

    def _mark_correction(self, at):
        self.fixes = sorted([*self.fixes, (at, at + 1)])
        self.fix_places = self.fix_places | {at}
        self.taken.add(at)

    def _flags_at(self, matches, span):
        """Does a flag stand there? Its words may point to a number as well: "on the two-step at 4500"."""
        return any(
            self.facts[match.fact].kind == "flag"
            for match in matches
            if match.start == span.start and match.end == span.stop
        )

    @staticmethod
    def _facts_at(matches, span):
        return {match.fact for match in matches if match.start == span.start and match.end == span.stop}

    def _pointed(self, match, pointing_match):
        """Does a word that points to its fact stand near, no stop between?"""
        for pointer in pointing_match:
            if (
                pointer.kind == NAME
                and pointer.fact == match.fact
                and (pointer.end <= match.start or pointer.start >= match.end)
            ):
                if (
                    pointer.end == match.start - 1
                    and self.tokens[pointer.end].word == ","
                    and self._between_stops(match)
                ):
                    return True  # "solid flywheel, chromoly,"
                between = [token.word for token in self.tokens[pointer.end : match.start]]
                if between.count(",") == 1 and between[between.index(",") + 1 :][:1] == ["now"]:
                    return True  # "used to bite in the middle, now it's near the floor"
                first, last = min(pointer.start, match.start), max(pointer.end, match.end)
                if (
                    not any(
                        self.tokens[at].word in ".;!?,:" or self.tokens[at].word == "but" for at in range(first, last)
                    )
                    and last - first < 9
                ):
                    return True
        return False

    def _instead_of_another(self, match, matches):
        """As in "wish it was four-wheel drive but nah, just front": a whole part, another choice before it."""
        just = match.start and self.tokens[match.start - 1].word in ("just", "only") and self._whole_part(match)
        if not (just or self._told_of_mine(match)):
            return False
        return any(
            other.kind == VALUE
            and other.fact == match.fact
            and not other.own_name
            and other.end <= match.start
            and other.value != match.value
            for other in matches
        )

    def _told_of_mine(self, match):
        """As in "..., mine's only front": a choice that is all that is told of this one."""
        at = match.start - 1
        while at >= 0 and self.tokens[at].word in ("just", "only", "is", "has", "got", "a", "an", "the"):
            at -= 1
        of_mine = self.tokens[at].word in ("mine", "ours", "this") or (
            self.tokens[at].word in ("one", "car") and self.tokens[at - 1].word == "this"
        )
        behind = self.tokens[match.end].word if match.end < len(self.tokens) else "."
        return at >= 0 and of_mine and behind in _ENDS

    def _said_of_this_one(self, match):
        """As in "mine just judders", "this one drags": how the clutch behaves, beside another that was told of."""
        at = match.start - 1
        while at >= 0 and self.tokens[at].word in ("just", "only", "really", "always", "is", "has", "still", "now"):
            at -= 1
        mine = at >= 0 and (
            self.tokens[at].word == "mine" or (self.tokens[at].word == "one" and self.tokens[at - 1].word == "this")
        )
        return mine and self._speech(match.fact).habit

    def _between_stops(self, match):
        behind = self.tokens[match.end].word if match.end < len(self.tokens) else "."
        return self.tokens[match.start - 1].word == "," and behind in (",", ".", ";")

    def _before_hedges(self, first):
        """The place before words that only tell who says so, directly before ``first``: "as far as I know"."""
        for words in _HEDGES:
            start = first - len(words)
            if start >= 0 and [token.word for token in self.tokens[start:first]] == words:
                return start
        return first

    def _whole_part(self, match):
        """Does a phrase stand alone between two stops, in a sentence that names nothing else it could be about?"""
        first, last = match.start, match.end
        first = self._before_hedges(first)
        while first and self.tokens[first - 1].word in _LITTLE:
            first -= 1
        first = self._before_hedges(first)
        while last < len(self.tokens) and self.tokens[last].word in _LITTLE:
            last += 1
        before = self.tokens[first - 1].word if first else "."
        behind = self.tokens[last].word if last < len(self.tokens) else "."
        if behind == "really" and self._speech(match.fact).habit:  # "it shudders really,"
            behind = self.tokens[last + 1].word if last + 1 < len(self.tokens) else "."
        if before not in (",", ".", ";", "and", "but") or behind not in _ENDS:
            return False
        stems = {token.stem for token in self.tokens}
        return not any(set(spoken.phrase(text)) <= stems for text in self._speech(match.fact).not_with)
