"""The phrases of the vocabulary, and where they stand in what was said, misspelt ones included."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from ..knowledge.model import Fact
from ..knowledge.spoken import SLIGHT, Token, phrase, tokens as spoken_tokens
from .loose_words import ByRarestStem, LooseWords, loose_words
from .number_words import NUMBER_WORDS
from .own_words import OWN_WORDS
from .word_lists import word_list

VALUE, NAME, UNSETTLED = "value", "name", "unsettled"
#: A phrase that counts only where its fact was asked for or pointed to, and one that does as a whole part as well.
_OWN, _ALONE = "own", "alone"
#: By how much time something is counted.
_PER = frozenset(("a", "per", "each", "every"))
_SPANS = frozenset(("day", "week", "month", "year", "season"))
#: Words between a denial and what it denies: "not a very heavy pedal".
_REACH = 3
#: Behind the "no" of an answer: of what is told.
_TOLD_OF = frozenset(word_list("it i we he she they the my that this not never no"))
#: Words between that count for none: "neither one of us has ever done".
_UNCOUNTED = frozenset(word_list("ever us them"))
DENIALS = frozenset(word_list("not no never without neither nor nothing hardly isn't"))


@dataclass(frozen=True, slots=True)
class Match:
    """A phrase found at tokens ``start`` to ``end``: what it says of which fact. ``solid`` counts its words."""

    start: int
    end: int
    solid: int
    kind: str
    fact: str
    value: object = None
    own_name: bool = False
    misspelt: bool = False
    alone: bool = False  # it counts where it is a whole part of the sentence


@dataclass(frozen=True, slots=True)
class _Phrase:
    """A phrase of the vocabulary: its stems, what it says of which fact, how far by itself (as `_texts`).

    ``small``: its small words belong to it; ``been``: the participle behind its "been"; ``subject``: it has an "it" of
    its own; ``done_to_it``: it ends with what is done to "it", which must then be said; ``rate``: it says by how
    much time itself, "launches a day".
    """

    stems: tuple[str, ...]
    kind: str
    fact: str
    value: object
    own: str
    small: bool
    been: str
    subject: bool
    done_to_it: bool
    rate: bool


class Phrases:
    """All phrases of one vocabulary's asked facts, by their first stem."""

    def __init__(self, facts: Iterable[Fact], more_words: Iterable[str] = ()) -> None:
        self.by_first: dict[str, list[_Phrase]] = {}
        loose: list[LooseWords] = []
        points: list[LooseWords] = []
        self.known: set[str] = set()
        for fact in facts:
            speech = fact.speech
            for kind, value, text, own in _texts(fact, speech):
                stems = phrase(text)
                self.known.update(stems)
                words = [token.word for token in spoken_tokens(text) if token.is_word or token.is_number]
                several = self.by_first.setdefault(stems[0], [])
                several.append(
                    _Phrase(
                        stems,
                        kind,
                        fact.name,
                        value,
                        own,
                        small=len(words) > 1 and sum(word not in SLIGHT for word in words) < 2,
                        been=words[-1] if "been" in words else "",
                        subject=bool({"it", "she"} & set(words)),
                        done_to_it=kind == UNSETTLED and words[-1:] == ["it"] != list(stems[-1:]),
                        rate=len(words) < 2 or words[-2] in _PER,
                    )
                )
            for text in speech.not_with if speech is not None else ():
                self.known.update(phrase(text))
            if speech is not None:
                for value, texts in speech.loose.items():
                    loose += [loose_words(fact.name, value, text, speech.words) for text in texts]
                points += [loose_words(fact.name, None, text, speech.words) for text in speech.points]
        self.loose, self.points = ByRarestStem(loose), ByRarestStem(points)
        for together in (*loose, *points):
            self.known.update(stem for element in together.elements for run in element for stem in run)
        self.spellings = sorted(stem for stem in self.known if len(stem) >= 4 and stem.isalpha())
        for text in more_words:
            self.known.update(phrase(text))
        self._mended: dict[str, str] = {}

    def mended(self, token: Token) -> str:
        """The stem of a token, or the one known stem it is a slip of the pen from."""
        if (
            token.stem in self.known
            or token.word in NUMBER_WORDS
            or len(token.word) < 5
            or not token.word.isalpha()
            or token.word in OWN_WORDS
        ):
            return token.stem
        if token.word not in self._mended:
            self._mended[token.word] = self._near(token.stem)
        return self._mended[token.word] or token.stem

    def _near(self, stem):
        from rapidfuzz.distance import OSA

        reach = 1 if len(stem) < 8 else 2
        near: dict[int, list[str]] = {}
        for known in self.spellings:
            if known[0] == stem[0] and abs(len(known) - len(stem)) <= reach:
                distance = OSA.distance(stem, known, score_cutoff=reach)
                if distance <= reach:
                    near.setdefault(distance, []).append(known)
        if not near:
            return ""
        best = near[min(near)]
        return best[0] if len(best) == 1 else ""

    def find(self, tokens: Sequence[Token]) -> list[Match]:
        """Every Match in ``tokens``, the longest first; they may overlap."""
        solid = [
            at for at, token in enumerate(tokens) if (token.is_word or token.is_number) and token.word not in SLIGHT
        ]
        every = [at for at, token in enumerate(tokens) if token.is_word or token.is_number]
        stems = [self.mended(tokens[at]) for at in range(len(tokens))]
        matches = set()
        for places, small in ((solid, False), (every, True)):
            for number, at in enumerate(places):
                for said in self.by_first.get(stems[at], ()):
                    if said.small != small:
                        continue  # small words count only where they belong to the phrase
                    run = places[number : number + len(said.stems)]
                    if tuple(stems[token] for token in run) != said.stems or not _stands(said, tokens, run):
                        continue
                    misspelt = any(stems[token] != tokens[token].stem for token in run)
                    matches.add(
                        Match(
                            run[0],
                            run[-1] + 1,
                            len(said.stems),
                            said.kind,
                            said.fact,
                            said.value,
                            bool(said.own),
                            misspelt,
                            said.own == _ALONE,
                        )
                    )
        return sorted(
            matches,
            key=lambda match: (
                -match.solid,
                match.start - match.end,
                match.start,
                match.fact,
                str(match.value),
                match.kind,
            ),
        )


def _texts(fact, speech):
    """(kind, value, text, how far it counts by itself: empty, `_OWN` or `_ALONE`) of all phrases of a fact."""
    said = {}
    if speech is not None:
        for value, texts in speech.phrases.items():
            for text in texts:
                said[phrase(text)] = value
                yield VALUE, value, text, ""
        for value, texts in speech.answers.items():
            for text in texts:
                said[phrase(text)] = value
                yield VALUE, value, text, _OWN
        for value, texts in speech.alone.items():
            for text in texts:
                yield VALUE, value, text, _ALONE
        for text in speech.names:
            yield NAME, None, text, ""
        for text in speech.unsettled:
            yield UNSETTLED, None, text, ""
    if fact.kind in ("choice", "list"):
        for choice in fact.choices:
            text = choice.replace("_", " ")
            if phrase(text) not in said:
                yield VALUE, choice, text, _OWN
    label = fact.name.replace("_", " ")
    if speech is None or label not in speech.names:
        yield NAME, None, label, ""


def _stands(said: _Phrase, tokens: Sequence[Token], run):
    """Is a phrase whose words stand at the places of a run said there, and nothing else with the same words?"""
    if _parted(tokens, run):
        return False
    if said.stems[0] in ("i", "l") and len(run) == 2 and tokens[run[0]].end != tokens[run[1]].start:
        return False  # "I'm 6 foot 4" is no engine, an i6 is
    if not said.subject and _another_clause(tokens, run):
        return False  # "other than that noise it's fine" is not "noise is fine"
    if said.been and _somebody(tokens, run, said.been):
        return False  # "I have not touched it" is not "it has not been touched"
    if not said.rate and tokens[run[-1]].word in _SPANS and tokens[run[-1] - 1].word in _PER:
        return False  # "launches a day" are no launch days
    behind = tokens[run[-1] + 1].word if run[-1] + 1 < len(tokens) else ""
    return not said.done_to_it or behind in ("it", "this", "that", "them")  # "I'm doing hill starts" fits no clutch


def _somebody(tokens: Sequence[Token], run, done):
    """Does somebody do it, where the phrase has it ``done``?"""
    inside = {tokens[at].word for at in range(run[0], run[-1])}
    before = {token.word for token in tokens[max(0, run[0] - 3) : run[0]]}
    if "been" in inside:
        return False
    return tokens[run[-1]].word != done or bool(before & {"i", "we", "you", "he", "she", "they"})


def _another_clause(tokens: Sequence[Token], run):
    """Does "it is" or "it has" stand between the words of a phrase that has none?"""
    words = [tokens[at].word for at in range(run[0] + 1, run[-1])]
    return any(word == "it" and words[at + 1 : at + 2] in (["is"], ["has"]) for at, word in enumerate(words))


def _parted(tokens: Sequence[Token], run):
    """Does a stop stand between the words of a phrase?"""
    return any(tokens[at].word in ".;!?,:()" for at in range(run[0], run[-1]))


def answers_no(tokens: Sequence[Token], at: int) -> bool:
    """Is it the "no" of an answer, behind which something is told: "no it's not tuned", "no the wife drives it"?"""
    if tokens[at].word not in ("no", "nah", "nope") or at + 1 >= len(tokens):
        return False
    return (at == 0 or tokens[at - 1].word in ".;!?,") and tokens[at + 1].word in _TOLD_OF


def denied(tokens: Sequence[Token], start: int, begin: int, taken: Collection[int]) -> bool:
    """Does a denial stand before the phrase at ``start``, in the part of the sentence that begins at ``begin``?"""
    reach, at = _REACH, start - 1
    while at >= begin and reach:
        word = tokens[at].word
        if at in taken or word in ("only", "just", "but") or answers_no(tokens, at):
            return False
        if word == "so" and tokens[at - 1].word not in DENIALS:
            return False  # "I can't, so the garage will be fitting it"
        if word in DENIALS:
            return (
                not (word in ("not", "no") and at + 1 < start and tokens[at + 1].word in ("only", "just"))
                and tokens[at + 1].word + " " + (tokens[at + 2].word if at + 2 < len(tokens) else "") != "more than"
            )
        reach -= word not in SLIGHT and word not in _UNCOUNTED
        at -= 1
    return False
