"""Which of the things heard are statements about this car as it is: not of another, not wished, not long gone."""

from . import frame_kinds as frame
from .as_it_is import told_of_today
from .choices_heard import TO_REPLACE
from .frame_words import CHANGED, TO_BE_DONE
from .generally import in_general
from .governing import asks_for, governed_by
from .hesitations import Hesitations
from .left_as_made import left_as_made, said_of_a_part
from .not_so_now import mended_since
from .out_of_use import out_of_use
from .phrases import DENIALS
from .said_of import said_of
from .taken_away import taken_away, was_once
from .told_around import was_replaced
from .word_lists import word_list

#: Before "one": not the one that is spoken of, or nobody knows which.
_POINTING = frozenset(word_list("that other another last old previous which each every next"))
#: What somebody did, and before it the words by which it is had done.
_DONE = CHANGED | {"did", "done", "replaced"}
_HAD_DONE = TO_BE_DONE | frozenset(word_list("got is are by needs need trade professionally"))
_REPLACED = frozenset(word_list("replaced changed renewed swapped fixed repaired rebuilt done cured"))
_STILL_TO_DO = frozenset(word_list("need needs want wants getting get be will going must should"))
_WAS = frozenset(word_list("was were had used kept started made did"))
#: Behind a word of the car: those whose trade it is, and that car is none of theirs.
_PEOPLE_OF_TRADE = frozenset(
    word_list(
        "mechanic mechanics fitter fitters driver drivers company shop shops firm specialist specialists tuner tuners "
        "engineer engineers technician technicians garage dealer instructor magazine forum school salesman rep expert "
        "experts trade outfit course workshop depot"
    )
)
_DRIVEN = frozenset(word_list("lorry truck van bus coach train tractor car engine"))
_PEOPLE = frozenset(
    word_list(
        "bloke blokes lad lads guy guys man men people place house boys chap chaps fella fellas club society scene "
        "crowd team"
    )
)
#: More than one car has: others than this one.
_PLURALS = frozenset(word_list("gearboxes clutches boxes engines cars transmissions motorbikes motorcycles lorries"))


#: Before and behind "one": it is on this car.
_THERE_IS = frozenset(word_list("got has have put fitted"))
_ON_IT = frozenset(word_list("on in it this her here there too as well now fitted anyway though mine already me"))
#: A part of the engine that is so was not changed, unless what is said of it tells of a change.
_AS_MADE = frozenset(word_list("stock standard original factory untouched unmodified oem std"))
_STILL_SO = frozenset(word_list("is are still all left the totally completely"))
_MADE_OTHERWISE = frozenset(
    word_list(
        "bigger larger big hot race wild lumpy uprated fast added add bolted kit conversion stage remap map mapped"
    )
)


class Statements(Hesitations):
    """A sentence in which what each thing heard hangs on is known.

    ``supposed``: it is said of what might be, so what hangs on a wish or a doubt is a statement.
    """

    supposed = False

    def _not_of_a_part_as_made(self):
        """Leaves out what was heard of a part of the engine that is as it was made: "cams are still stock"."""
        implied = {
            pair for name in self.facts for pairs in self._speech(name).implies.values() for pair in pairs
        }  # what a change tells of the whole engine
        of_the_whole = {name for name, _ in implied if self._speech(name).alone}
        for piece in list(self.pieces):
            start, end, _ = self.parts[piece.part]
            before = [token.word for token in self.tokens[start : piece.start]]
            behind = [token.word for token in self.tokens[piece.end : end]]
            changed = (
                piece.heard.value in self._speech(piece.heard.fact).implies
                and piece.heard.fact not in of_the_whole
                and self.about != piece.heard.fact
            )
            if (changed and left_as_made(before, behind)) or (
                piece.heard.fact in of_the_whole
                and (piece.heard.fact, piece.heard.value) not in implied
                and said_of_a_part(before)
            ):
                self.pieces.remove(piece)

    def _governed(self):
        """What hangs on a wish, a doubt or another's word, or is of another car, is no statement about this one."""
        self._not_of_a_part_as_made()
        numbers = {
            at for number in self.numbers if number.end - number.start > 1 for at in range(number.start, number.end)
        }
        for piece in self.pieces:
            if piece.hurdle or piece.heard.fact == self.about or self.supposed:
                continue
            fact = self.facts[piece.heard.fact]
            speech = self._speech(fact.name)
            start, end, _ = self.parts[piece.part]
            none = piece.heard.value == 0 or self.tokens[piece.start].word in ("under", "below")
            kinds = self._hangs_on(fact, piece.start, piece.end, piece.part, none=none, numbers=numbers)
            if speech.habit and self._replaced_since(piece, end):
                kinds.add(frame.PAST)
            if speech.habit and in_general(
                [token.word for token in self.tokens[start : piece.start]],
                [token.word for token in self.tokens[piece.start : piece.end]],
                [token.word for token in self.tokens[piece.end : end]],
            ):
                kinds.add(frame.OTHER)
            if self._of_a_trade(piece, end):
                kinds.add(frame.OTHER)
            if _PLURALS & {token.word for token in self.tokens[piece.start : piece.end]}:
                kinds.add(frame.OTHER)  # "I've had a dozen gearboxes out"
            if speech.ahead:
                kinds -= {frame.WISH, frame.AHEAD, frame.DOUBT, frame.PAST}
            if speech.lasting and asks_for([token.word for token in self.tokens[start : piece.start]]):
                kinds -= {frame.WISH, frame.AHEAD}
            if speech.anybody and not self._told_of_a_car(piece.part):
                kinds -= {frame.OTHER, frame.PAST}
            if piece.heard.value is False and self.tokens[piece.start].word == "no":
                kinds.discard(frame.PAST)  # "there's no free play in it any more"
            said = [token.word for token in self.tokens[start:end]]
            if speech.habit and was_replaced(said, piece.start - start):
                kinds.add(frame.PAST)
            if speech.habit and TO_REPLACE & set(said):
                kinds.discard(frame.WISH)  # "a slipping clutch I want changed"
            if speech.wished and told_of_today(self.tokens, self.parts, piece.part, piece.end):
                kinds.add(frame.AS_TODAY)
            if not speech.habit and self._is_off(piece, end):
                kinds.add(frame.PAST)
            if speech.implies and self._as_made(piece, start, end):
                kinds.add(frame.AS_NEW)
            if self._of_that_one(piece, start):
                kinds.add(frame.OTHER)
            if piece.heard.value in speech.to_come and self._done_before(piece):
                kinds.add(frame.PAST)
            if speech.elsewhere and self._said_elsewhere(piece, speech.elsewhere):
                kinds.add(frame.OTHER)
            if (
                speech.fitted
                and piece.heard.value is True
                and out_of_use(self.tokens, self.parts, piece.part, piece.end)
            ):
                piece.heard = self._choice(fact.name, False, piece.start, piece.end)
                kinds -= {frame.PAST, frame.DOUBT}
            piece.hurdle = ", ".join(sorted(kinds))

        for piece in self.pieces:
            if not piece.hurdle and self._speech(piece.heard.fact).habit and self._put_up_with(piece):
                piece.hurdle = frame.WISH

    def _gone_since(self):
        """What a later part tells was taken off, sold or given up is so no more: "a 75 shot, but that all came off"."""
        for number in range(1, len(self.parts)):
            start, end, _ = self.parts[number]
            told_here = any(piece.part == number for piece in self.pieces)
            if told_here or not taken_away([token.word for token in self.tokens[start:end]]):
                continue
            before = [
                piece
                for piece in self.pieces
                if number - 3 <= piece.part < number
                and not (self._speech(piece.heard.fact).habit or self._speech(piece.heard.fact).ahead or self.supposed)
            ]
            several = {"lot", "all", "them", "those", "both", "everything"} & self._words_of(number)
            last = max((piece.part for piece in before), default=-1)
            for piece in before:
                if (several or piece.part == last) and not piece.hurdle:
                    piece.hurdle = frame.PAST

    def _was_once(self):
        """How it was is told and another time spoken of after it: "it was on 1.6 bar, but the new box has it down"."""
        told_in = {piece.part for piece in self.pieces}
        for piece in self.pieces:
            speech = self._speech(piece.heard.fact)
            if piece.hurdle or speech.habit or speech.ahead or self.supposed or piece.heard.fact == self.about:
                continue
            start, end, _ = self.parts[piece.part]
            later = range(piece.part + 1, min(piece.part + 3, len(self.parts)))
            if was_once(
                [token.word for token in self.tokens[start:end]],
                range(piece.start - start, piece.end - start),
                [self._said_in(number) for number in later],
                empty=[number not in told_in for number in later],
            ):
                piece.hurdle = frame.PAST

    def _said_in(self, number):
        """The words of a part, a "but" before it with them."""
        start, end, _ = self.parts[number]
        first = start - 1 if start and self.tokens[start - 1].word == "but" else start
        return [token.word for token in self.tokens[first:end]]

    def _put_up_with(self, piece):
        """Is it named as what is put up with, and no complaint: "a bit of judder pulling off is grand"?"""
        before = self.tokens[piece.start - 1].word if piece.start else ""
        named = before in ("of", "some", "little", "any", "slight", "odd")
        return named and any(
            other.start < piece.end
            and piece.start < other.end
            and not other.hurdle
            and self._speech(other.heard.fact).ahead
            and other.heard.value in self.facts[other.heard.fact].choices[1:]
            for other in self.pieces
        )

    def _one_of_those(self):
        """As in "I hate a dual mass but it's got one": what was spoken of before is on this car as well."""
        for number, (start, end, _) in enumerate(self.parts):
            words = [token.word for token in self.tokens[start:end]]
            if not _has_one(words) or self.frames[number] - {frame.PAST}:
                continue
            first = self.parts[max(0, number - 2)][0]
            before = [piece for piece in self.pieces if first <= piece.start < start and self._is_built_in(piece)]
            last = max(before, key=lambda piece: piece.start, default=None)
            if (
                last is not None
                and last.hurdle
                and not any(piece.heard.fact == last.heard.fact and not piece.hurdle for piece in self.pieces)
            ):
                last.hurdle = ""

    def _is_built_in(self, piece):
        """Is it something that a car has, of which there can be one?"""
        fact = self.facts[piece.heard.fact]
        return fact.kind == "choice" and (self._speech(fact.name).lasting or bool(fact.platform))

    def _hangs_on(self, fact, at, until, part, *, none=False, numbers=()):
        """The frames of what governs the words at tokens ``at`` to ``until``, and of what they are said of."""
        speech = self._speech(fact.name)
        kinds = governed_by(
            self.tokens, self.text, self.parts[part][:2], at, until, none=none, numbers=numbers, symptom=speech.habit
        )
        if speech.habit:
            kinds.discard(frame.SEEMS)
        start, end = min(self.parts[part][0], at), max(self.parts[part][1], until)  # words of several parts
        words = [token.word for token in self.tokens[start:end]]
        return kinds | said_of(
            words[: at - start],
            words[at - start : until - start],
            words[until - start :],
            number=fact.kind == "number",
            trait=fact.kind != "number" and (speech.lasting or bool(fact.platform)),
            habit=speech.habit,
        )

    def _is_off(self, piece, end):
        """Was it taken off: "the supercharger's off it now", "street tyres off"?"""
        behind = [token.word for token in self.tokens[piece.end : end]]
        return behind[:1] == ["off"] and (behind[1:2] == [] or behind[1] in ("it", "her", "now", "and", "at"))

    def _as_made(self, piece, start, end):
        """Is it a part left as it was made, and no change: "cams are still stock", "on the standard turbo"?"""
        before = [token.word for token in self.tokens[max(start, piece.start - 1) : piece.start]]
        behind = [token.word for token in self.tokens[piece.end : end] if token.word not in _STILL_SO]
        inside = {token.word for token in self.tokens[piece.start : piece.end]}
        return bool(_AS_MADE & {*before, *behind[:1]}) and not inside & _MADE_OTHERWISE and behind[1:2] != ["but"]

    def _replaced_since(self, piece, end):
        """Was what behaved so replaced: "had a slipping clutch replaced", "it was dragging so I had it changed"?"""
        words = [token.word for token in self.tokens[slice(*self.parts[piece.part][:2])]]
        behind = [token.word for token in self.tokens[piece.end : end]][:3]
        before = {token.word for token in self.tokens[max(0, piece.start - 4) : piece.start]}
        if set(behind) & _REPLACED and {"had", "got", "was"} & before and not _STILL_TO_DO & set(words):
            return True
        so_before = _WAS & {token.word for token in self.tokens[max(0, piece.start - 3) : piece.end]}
        return bool(so_before) and any(
            mended_since([token.word for token in self.tokens[slice(*part[:2])]])
            for part in self.parts[piece.part + 1 :]
        )

    def _of_a_trade(self, piece, end):
        """Is it said of people: "a diesel mechanic", "the turbo specialist", "the remap company", "a lorry driver"?"""
        if self._speech(piece.heard.fact).anybody:
            return False
        behind = [token.word for token in self.tokens[piece.end : min(end, piece.end + 3)]]
        while behind and (behind[0] == "-" or behind[0] in _DRIVEN):
            behind = behind[1:]  # "a diesel lorry driver"
        trade = _PEOPLE_OF_TRADE if self._speech(piece.heard.fact).mainly else _PEOPLE_OF_TRADE | _PEOPLE
        itself = behind[:1] == ["driver"] and self.tokens[piece.end - 1].word in ("daily", "front", "rear", "wheel")
        return bool(set(behind[:1]) & trade) and not itself

    def _of_that_one(self, piece, start):
        """Is it said of "that one", and which that is nobody knows?"""
        return any(
            self.tokens[at].word == "one"
            and self.tokens[at - 1].word in _POINTING
            and self.tokens[max(0, at - 2)].word not in ("a", "an")
            for at in range(max(start + 1, piece.start - 2), piece.end)
        )

    def _done_before(self, piece):
        """Is it told of what was done, "the garage fitted it in May", and not of what is had done?"""
        start, end, _ = self.parts[piece.part]
        words = [self.tokens[at].word for at in range(piece.start, min(piece.end + 1, end))]
        done = [at for at, word in enumerate(words) if word in _DONE]
        before = {self.tokens[at].word for at in range(max(start, piece.start - 3), piece.start + (done or [0])[0])}
        return bool(done) and not before & _HAD_DONE

    def _said_elsewhere(self, piece, elsewhere):
        """Is "never been touched" said of a cover that is spoken of just before, and of no engine?"""
        before = {
            token.word for token in self.tokens[self.parts[max(0, piece.part - 4)][0] : self.parts[piece.part][1]]
        }
        return any(other in before and before.isdisjoint(words) for other, words in elsewhere.items())


def _has_one(words):
    """Does a part tell that one of what was spoken of is there: "it's got one", "the last owner put one in"?"""
    if "one" not in words or DENIALS & set(words):
        return False
    at = words.index("one")
    return (
        at > 0
        and (words[at - 1] in _THERE_IS or words[at - 2 : at] == ["there", "is"])
        and set(words[at + 1 :]) <= _ON_IT
    )
