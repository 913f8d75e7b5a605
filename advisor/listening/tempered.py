"""What tempers a statement: it is so now and then only, it is how it is and not how it may be, it may be so.

"Gets stuck in queues now and then" is no traffic every day; "the pedal's light at the moment" asks for no light pedal;
"a slight rattle in neutral's fine" tells of no rattle there is.
"""

from dataclasses import replace

from . import frame_kinds as frame
from .statements import Statements
from .word_lists import phrase_list, word_list

#: How often, where it is not often.
_NOW_AND_THEN = phrase_list(
    "odd, occasional, occasionally, now and then, now and again, once in a while, rarely, sometimes, some days, "
    "from time to time, every so often, little bit of, a bit of, bit of a, the odd time, at times, once a week, "
    "once a month, a few times, not often, not every day, if i am unlucky, when i am unlucky"
)
#: Beside one of these it is often.
_OFTEN = frozenset(word_list("every daily always constantly each forever"))
_NOT_EVERY = phrase_list(
    "not every day, every so often, every now and then, every now and again, every once in a while"
)
#: What tells how a thing is today.
_TODAY = phrase_list("at the moment, right now, currently, at present, as it stands, as we speak, lately, of late")
#: Words of what is asked for, beside which today's pedal is a measure of it.
_ASKED_FOR = frozenset(
    word_list(
        "want wants must need needs keep keeps stay stays please fine ok okay mind bother bothers care like prefer "
        "should has got to live after as same than nice"
    )
)
#: A little of something, and behind it that it may be so.
_LITTLE = frozenset(word_list("bit little slight slightly some touch tad odd small"))
_MAY_BE = phrase_list(
    "fine, ok, okay, alright, all right, acceptable, put up with, live with, no bother, no problem, not a problem, "
    "not hurt, will not kill, "
    "not bother, not mind, no big deal, cope with, not worry, bearable, tolerable, can take, can handle, accept"
)
#: What a clutch does, and beside it the words by which that is asked of the next one.
_DOES = frozenset(word_list("takes pulls moves bites engages grips"))
_ASKED_OF_IT = _ASKED_FOR | frozenset(
    word_list("if provided so that long one which hope would will matter bothered fussed worried how rather")
)
#: It may be so, for all somebody cares.
_NO_MATTER = phrase_list(
    "disturbs me not, disturb me not, not disturb me, not bother me, not worry me, bothers me not, is me equal, me all "
    "the same, all the same to me, no matter to me, not matter to me, not annoy me"
)


class Tempered(Statements):
    """A sentence whose statements are weighed by how often and how much they are so."""

    def _temper(self):
        """Changes or takes back the pieces that their own part of the sentence tempers."""
        kept = []
        for piece in self.pieces:
            fact, speech = self.facts[piece.heard.fact], self._speech(piece.heard.fact)
            start, end, _ = self.parts[piece.part]
            words = [token.word for token in self.tokens[start:end]]
            echo = next((echo for echo in self.echoes if echo.start <= piece.start and piece.end <= echo.end), None)
            if echo is not None and not echo.answer:
                if echo.answer is None or piece.heard.value is not True:
                    continue  # "dual mass? no, it's solid"
                piece.heard = replace(self._choice(fact.name, False, piece.start, piece.end))
            less = speech.seldom.get(piece.heard.value) if isinstance(piece.heard.value, str) else None
            if less is not None and _seldom(words):
                piece.heard = replace(self._choice(fact.name, less, piece.start, piece.end))
            if speech.habit and _NO_MATTER.stand_in(words):
                continue  # "jerking at starting disturbs me not"
            if speech.habit and (self._may_be(piece) or self.tokens[max(0, piece.start - 1)].word == "any"):
                continue  # "any noise from the bearing means trouble"
            is_so = _as_today(words) or self._does_so(piece, words)
            if speech.ahead and fact.kind == "choice" and fact.name != self.about and is_so:
                piece.hurdle = ", ".join(filter(None, (piece.hurdle, frame.PAST)))
            kept.append(piece)
        self.pieces = kept

    def _does_so(self, piece, words):
        """Is it what it does, "it takes up smooth as butter", and nothing that is asked of the next one?"""
        inside = {token.word for token in self.tokens[piece.start : piece.end]}
        return bool(inside & _DOES) and not set(words) & _ASKED_OF_IT

    def _may_be(self, piece):
        """As in "a slight rattle in neutral's fine", of something that is only allowed to be so."""
        end = self.parts[piece.part][1]
        if piece.part + 1 < len(self.parts) and self.tokens[end : end + 1] and self.tokens[end].word == "when":
            end = self.parts[piece.part + 1][1]  # "slight shudder when cold I can put up with"
        before = {token.word for token in self.tokens[max(0, piece.start - 3) : piece.start + 1]}
        behind = [token.word for token in self.tokens[piece.start : end]]
        return bool(before & _LITTLE) and _MAY_BE.stand_in(behind)


def _seldom(words):
    """Is it so now and then only, and nothing says every day?"""
    never_mind = _NOT_EVERY.stand_in(words)
    return never_mind or (_NOW_AND_THEN.stand_in(words) and not _OFTEN & set(words))


def _as_today(words):
    """Does a part tell how it is at the moment, and not what is asked for?"""
    return _TODAY.stand_in(words) and not _ASKED_FOR & set(words)
