"""What the phrases that count in a sentence say of choices and flags."""

from dataclasses import replace
from fractions import Fraction

from ..knowledge import quantities, spoken
from . import frame_kinds as frame
from .denials import denied_behind
from .frame_words import CARS, HESITATIONS, TELLERS
from .hearing import Asked, Heard
from .measured_behind import measured_behind
from .phrases import Match, denied
from .phrases_counted import PhrasesCounted
from .taken_apart import Piece, number_text
from .word_lists import holds, phrase_list, word_list

_YES = frozenset(word_list("yes yeah yep yup aye y correct right definitely sure"))
#: A wish that could be done without: it is asked whether it must be.
_NICE = phrase_list("be nice, be lovely, nice to have, if possible, ideally, a bonus, be handy")
_NO = frozenset(word_list("no nope nah n never none nothing nil zero"))

#: What is wished done to what is worn: it is worn for all that.
TO_REPLACE = frozenset(word_list("replaced replacing changed changing renewed renewing swapped swapping"))
#: Beside an if: it may be so.
_IS_FINE = frozenset(word_list("grand fine ok okay alright mind bother bothers matter matters care problem cool"))
#: By these what it was when it was new is so no more.
_CHANGED_SINCE = frozenset(word_list("swapped converted changed gone replaced ditched binned"))
_BRAKING = frozenset(("brake", "brakes", "braking"))
_PERSONS = frozenset(("i", "we", "you", "he", "she", "they"))
_HARDLY = frozenset(("nearly", "almost", "just", "have"))
_THE = frozenset(("the", "my", "me", "that"))
#: Behind what is on the car: no bolts, "a steel flywheel bolted on there".
_MOUNTED = frozenset(("bolted", "mounted", "screwed"))


class Choices(PhrasesCounted):
    """Choices and flags heard in a sentence."""

    def _choices(self, values):
        groups: dict[tuple[int, int], list[Match]] = {}
        for match in values:
            groups.setdefault((match.start, match.end), []).append(match)
        for (start, end), matches in sorted(groups.items()):
            matches = self._which(matches, start)
            names = tuple(dict.fromkeys(match.fact for match in matches))
            if not names:
                continue
            if len(names) > 1 and self._tells_of_both(matches, start):
                for match in {match.fact: match for match in matches}.values():
                    self._choice_piece(match)
                continue
            if len(names) > 1:
                readings = tuple(self._choice(match.fact, match.value, start, end) for match in matches)[:2]
                self.asks.append(
                    (self.part_of(start), Asked(names, self.said(start, end), "it can be said of either", readings))
                )
                continue
            for match in matches[:1]:
                self._choice_piece(match)

    def _choice_piece(self, match):
        number = self.part_of(match.start)
        fact = self.facts[match.fact]
        value = match.value
        before = [token.word for token in self.tokens[max(self.parts[number][0], match.start - 3) : match.start]]
        if fact.kind != "flag" and "not" in before and {"just", "only"} & set(before):
            self._deny(fact, match, number)  # "not just a daily"
            return
        if self._somebody_does(fact, match, number):
            return
        if [token.word for token in self.tokens[match.end - 1 : match.end + 1]] == ["good", "for"]:
            return  # "a clutch that's good for 500 newton metres" is so much, and not said to be sound
        beside = next(
            (
                token.stem
                for token in self.tokens[match.end : self.parts[number][1]]
                if token.is_word and token.word not in spoken.SLIGHT | _MOUNTED
            ),
            "",
        )
        if fact.speech is not None and any(spoken.phrase(text)[0] == beside for text in fact.speech.not_with):
            return  # a stage 3 clutch says nothing of the engine
        if fact.speech is not None and (fact.kind == "number" or fact.speech.habit):
            first, last = self.parts[number][0], self.parts[number][1]
            if fact.kind != "number":
                first, last = max(first, match.start - 6), match.start
            here = {token.stem for token in self.tokens[first:last]}
            if any(set(spoken.phrase(text)) <= here for text in fact.speech.not_with) and "clutch" not in here:
                return  # four pots in a brake are no cylinders; brakes judder as well
            if fact.kind == "choice" and self._while_braking(match.end):
                return
        behind = next((token.word for token in self.tokens[match.end : self.parts[number][1]]), "")
        if behind in ("except", "apart", "bar", "besides", "aside", "barring", "other"):
            readings = tuple(
                self._choice(fact.name, choice, match.start, match.end)
                for choice in (value, *(choice for choice in fact.choices if choice != value))
            )[:2]
            self.asks.append(
                (
                    number,
                    Asked((fact.name,), self.said(match.start, match.end), "it is said with an exception", readings),
                )
            )
            return
        said = [token.word for token in self.tokens[slice(*self.parts[number][:2])]]
        nice = _NICE.stand_in(said) and not holds(said, "be nice and")
        if fact.speech is not None and fact.speech.ahead and nice:
            readings = tuple(
                self._choice(fact.name, choice, match.start, match.end)
                for choice in dict.fromkeys((value, *(fact.choices or (True, False))[::-1]))
            )[:2]
            why = "it would be nice, and may not be needed"
            self.asks.append((number, Asked((fact.name,), self.said(match.start, match.end), why, readings)))
            return
        own = set(range(match.start, match.end))
        if denied(self.tokens, match.start, self.parts[number][0], self.taken - own) or (
            value is not False
            and denied_behind(self.tokens, self.parts[number][0], match.start, match.end, self.parts[number][1])
        ):
            other = self._the_other(fact, match)
            if fact.kind == "flag" and value is True:
                value = False
            elif other is not None:
                value = other
            else:
                self._deny(fact, match, number)
                return
        heard = replace(self._choice(fact.name, value, match.start, match.end), misspelt=match.misspelt)
        self.pieces.append(
            Piece(heard, match.start, match.end, number, self._hurdle(fact, number, match.start), match.start)
        )

    def _the_other(self, fact, match):
        """The other of two choices, where directly before the one a "not" stands: "gas, not diesel"."""
        before = [token.word for token in self.tokens[max(0, match.start - 3) : match.start]]
        while before and before[-1] in ("a", "an", "the", "been", "be"):
            before.pop()
        if len(fact.choices) != 2 or before[-1:] not in (["not"], ["never"]):
            return None
        return next(choice for choice in fact.choices if choice != match.value)

    def _deny(self, fact, match, number):
        others = [choice for choice in (fact.choices or (True, False)) if choice != match.value]
        readings = tuple(self._choice(fact.name, choice, match.start, match.end) for choice in others[:2])
        self.asks.append(
            (
                number,
                Asked(
                    (fact.name,),
                    self.said(max(self.parts[number][0], match.start - 2), match.end),
                    "it says what it is not",
                    readings,
                ),
            )
        )

    def _tells_of_both(self, matches, start):
        """Does it tell of two numbers of the part before: "350 horse and 320 pound foot, that's at the crank"?"""
        number = self.part_of(start)
        before = {
            said.unit.dimension
            for said in self.numbers
            if said.unit is not None and self.part_of(said.start) == number - 1
        }
        here = [said for said in self.numbers if self.part_of(said.start) == number]
        if self._two_in_one_breath([said for said in here if said.end <= start], start):
            return True
        behind = {said.unit.dimension for said in here if said.unit is not None and said.start > start}
        if {"torque", "power"} <= behind:
            return True  # "on the bench we measured 340 kW and 480 Nm"
        wanted = {self._dimension(self._speech(said.fact).qualifies) for said in matches}
        start, end, _ = self.parts[number]
        alone = end - start <= 3  # "..., hub dyno"
        said_of = alone or self.tokens[start].word in ("that", "all", "both", "those", "them")
        return not here and len(wanted) > 1 and wanted <= before and said_of

    def _two_in_one_breath(self, before, start):
        """As in "250 kW and 420 Nm at the hubs": a power and a torque in one breath, both so measured?"""
        if len(before) < 2 or {said.dimension for said in before[-2:]} != {"torque", "power"}:
            return False
        between = [token.word for token in self.tokens[before[-2].end : before[-1].start]]
        behind = [token.word for token in self.tokens[before[-1].end : start]]
        return between in (["and"], ["&"], ["/"], ["-"]) and len(behind) < 2

    def _measured_behind(self):
        """Where a number that was taken was measured, in one word behind it: "520hp crank"."""
        told_facts = {piece.heard.fact for piece in self.pieces}
        for piece in list(self.pieces):
            choice, end = measured_behind(self.tokens, piece.start, piece.end)
            if not choice:
                continue
            for fact in self.facts.values():
                if (
                    choice in (fact.choices or ())
                    and self._speech(fact.name).qualifies == piece.heard.fact
                    and fact.name not in told_facts
                ):
                    heard = self._choice(fact.name, choice, end - 1, end)
                    self.pieces.append(Piece(heard, end - 1, end, piece.part, piece.hurdle, end - 1))
                    self.taken.add(end - 1)

    def _while_braking(self, end):
        """Does it go on "when I brake", so that it is no clutch?"""
        behind = [token.word for token in self.tokens[end - 1 : end + 9]]
        at = next((at for at, word in enumerate(behind[:2]) if word in ("when", "under", "whenever", "if")), -1)
        several = set(behind[at + 1 :]) if at >= 0 else set()
        return bool(several & _BRAKING) and several.isdisjoint(("clutch", "off", "release"))

    def _somebody_does(self, fact, match, number):
        """Is it said of what somebody does: "I nearly slipped on your step", "when I push the clutch in"?"""
        before = [token.word for token in self.tokens[max(self.parts[number][0], match.start - 2) : match.start]]
        while before and before[-1] in _HARDLY:
            before.pop()
        if not before or before[-1] not in _PERSONS or fact.kind != "choice" or fact.speech is None:
            return False
        inside = {token.word for token in self.tokens[match.start : match.end]}
        return (fact.speech.lasting and not fact.speech.mainly and bool(inside & _THE)) or fact.speech.habit

    def _which(self, matches, start):
        """Of phrases that stand under several facts, those that can be meant here."""
        if len({match.fact for match in matches}) == 1:
            return self._qualified(matches, start) if self._speech(matches[0].fact).qualifies else matches
        asked = [match for match in matches if match.fact == self.about]
        if asked:
            return asked
        return self._qualified(matches, start)

    def _qualified(self, matches, start):
        """A phrase that tells where a number was measured belongs to the numbers that are said."""
        telling = [heard for heard in matches if self._speech(heard.fact).qualifies]
        if not telling:
            return matches
        number = self.part_of(start)
        measured = any(
            said.end <= start and self.part_of(said.start) == number and said.dimension in ("torque", "power")
            for said in self.numbers
        )  # "315 hp at the wheels at 7800 rpm"
        if not measured and any(
            said.start > start
            and self.part_of(said.start) == number
            and said.unit is not None
            and said.unit.dimension not in ("torque", "power")
            and not any(said.spelling in self._speech(fact.name).units for fact in self.listener.numbers)
            for said in self.numbers
        ):
            # "The tuner says another 15 percent": it tells of that.
            return [heard for heard in telling if heard.fact == self.about]
        last_said = self._said_last(start)
        back = [heard for heard in telling if self._dimension(self._speech(heard.fact).qualifies) == last_said]
        if back and not self._tells_of_both(telling, start):
            return back[:1]
        for reach in (0, 1, len(self.parts)):
            near = [said for said in self.numbers if not said.kind and abs(self.part_of(said.start) - number) <= reach]
            dimensions = {close_pointer.unit.dimension for close_pointer in near if close_pointer.unit is not None}
            fitting = [heard for heard in telling if self._dimension(self._speech(heard.fact).qualifies) in dimensions]
            bare = [close_pointer for close_pointer in near if close_pointer.bare]
            if reach < 2 and len(fitting) > 1 and self._tells_of_both(fitting, start):
                return fitting
            if fitting:
                # Where it could tell of two numbers, it tells of the one said last before it.
                before = [
                    close_pointer
                    for close_pointer in near
                    if close_pointer.unit is not None and close_pointer.start < start
                ]
                last = max(before, key=lambda heard: heard.start).dimension if before else ""
                by_last = sorted(fitting, key=lambda heard: self._dimension(self._speech(heard.fact).qualifies) != last)
                return by_last[:1]
            if dimensions & {"torque", "power"} or bare:
                # A number is there that nothing tells more about: it must not be taken for what it is not.
                for other in near:
                    if other.unit is not None and other.unit.dimension in ("torque", "power"):
                        other.kind = "elsewhere"
                return [heard for heard in telling if heard.fact == self.about]
        return [heard for heard in telling if self.about in (heard.fact, self._speech(heard.fact).qualifies)][:1]

    def _measured_there(self, values):
        """Where a number without a unit was measured: "I'd like 400 kilowatts, now it's 280 at the hubs"."""
        done = {piece.heard.fact for piece in self.pieces} | {name for _, ask in self.asks for name in ask.facts}
        for match in values:
            qualified = self._speech(match.fact).qualifies
            if not qualified or match.fact in done or self.facts[match.fact].kind == "number":
                continue
            number = self.part_of(match.start)
            near = [piece for piece in self.pieces if piece.part == number and piece.heard.fact == qualified]
            if len(near) == 1 and 0 <= match.start - near[0].end < 3 and not near[0].hurdle:
                self._choice_piece(match)
                done.add(match.fact)

    def _said_last(self, start):
        """The dimension of the number said last before a part like "that's at the flywheel"; empty for another part."""
        first, end, _ = self.parts[self.part_of(start)]
        back = self.tokens[first].word in ("that", "which", "this") and self.tokens[first + 1].word in ("is", "was")
        if not back or any(first <= said.start < end for said in self.numbers):
            return ""
        several = [said for said in self.numbers if said.end <= first and said.dimension in ("torque", "power")]
        return several[-1].dimension if several else ""

    def _choice(self, name, value, start, end):
        fact = self.facts[name]
        if fact.kind == "number":
            text = quantities.show(value, fact.unit, digits=9)
            return Heard(name, float(value), unit=fact.unit, said=self.said(start, end), text=text)
        text = {True: "yes", False: "no"}.get(value, value)
        return Heard(name, value, said=self.said(start, end), text=text)

    def _yes_or_no(self):
        """A plain yes or no where one was asked for, and none of what was asked for."""
        fact = self.facts.get(self.about)
        words = [
            at
            for at, token in enumerate(self.tokens)
            if token.is_word and token.word not in HESITATIONS | {"well", "oh", "mate"}
        ]
        if fact is not None and fact.kind == "number" and words and len(words) <= 3 and not self.numbers:
            at = words[0]
            if self.tokens[at].word in _NO and fact.low is not None and fact.low <= 0 and not fact.choices:
                heard = Heard(
                    fact.name, 0.0, unit=fact.unit, said=self.said(at, at + 1), text=number_text(Fraction(0), fact.unit)
                )
                self.pieces.append(Piece(heard, at, len(self.tokens), 0, "", at))
            return
        if fact is None or fact.kind != "flag" or not words:
            return
        word = self.tokens[words[0]].word
        if word in _YES or word in _NO:
            at = words[0]
            if at not in self.taken:
                alone = (
                    len(words) == 1
                    or self.tokens[words[1]].word in ("just", "only", "never", "not", "i", "it", "we", "mate", "sir")
                    or at + 1 >= len(self.tokens)
                    or not self.tokens[at + 1].is_word
                )
                if alone or word in _YES:
                    self.taken.add(at)
                    self.pieces.append(
                        Piece(self._choice(fact.name, word in _YES, at, at + 1), at, at + 1, self.part_of(at), "", at)
                    )

    def _numbered(self):
        """A number alone stands for a choice of the list that is shown."""
        fact = self.facts.get(self.about)
        text = self.text.strip().rstrip(".")
        if (
            fact is not None
            and fact.kind == "choice"
            and text.isascii()
            and text.isdecimal()
            and 1 <= int(text[:4]) <= len(fact.choices)
        ):
            self.pieces.append(
                Piece(self._choice(fact.name, fact.choices[int(text) - 1], 0, len(self.tokens)), 0, len(self.tokens), 0)
            )

    def _told_of_a_car(self, number):
        """Is it told of another's car what the part before names: "my dad's old truck, never did a clutch once"?"""
        before = self._words_of(number - 1) if number else set()
        return (
            frame.OTHER in self.frames[number]
            and bool(before & CARS - {"one"})
            and not (self._words_of(number) & TELLERS - {"it"})
        )

    def _hurdle(self, fact, number, at=0):
        """What stands in the way of a fact in a part of the sentence; ``at``: where the word of a choice begins."""
        kinds = set(self.frames[number]) if number < len(self.frames) else set()
        if fact.speech is not None and fact.speech.ahead:
            kinds -= {frame.AHEAD, frame.WISH, frame.CARRIED}
            if fact.kind == "choice" and self._words_of(number) & _IS_FINE:
                kinds.discard(frame.CONDITION)  # "if it's a tad rattly that's grand"
        if fact.speech is not None and fact.speech.lasting:
            kinds.discard(frame.WISH)  # "want something for my rear drive six": that is what it is
            if not (at and self.tokens[at - 1].word in ("a", "an")):
                kinds.discard(
                    frame.CARRIED
                )  # "..., say 450 Nm and a supercharger" is still the plan, "..., rear drive" not
        if fact.kind != "number":
            later = set().union(*(self._words_of(part) for part in range(number, len(self.parts))))
            if not later & _CHANGED_SINCE or (fact.speech is not None and fact.speech.anybody):
                kinds.discard(frame.AS_NEW)
        if fact.speech is not None and fact.speech.habit:
            kinds.discard(frame.CONDITION)
            if TO_REPLACE & self._words_of(number):
                kinds.discard(frame.WISH)  # "a slipping clutch I want changed"
        if getattr(fact, "shown_as", "") == "money":
            kinds -= {frame.DOUBT, frame.CONDITION}  # "if it's under six hundred quid" is what there is to spend
        if fact.speech is not None and fact.speech.anybody and not self._told_of_a_car(number):
            kinds -= {frame.OTHER, frame.PAST}
        return ", ".join(sorted(kinds))
