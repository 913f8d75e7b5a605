"""What was not understood, in the caller's own words."""

from collections.abc import Collection

from ..knowledge.spoken import SLIGHT
from .frame_kinds import QUESTION
from .frame_words import HESITATIONS
from .hearing import Heard
from .taken_apart import Sentence
from .word_lists import word_list

#: Words that carry no fact, so that nobody need hear of them.
_FILLERS = (
    SLIGHT
    | HESITATIONS
    | frozenset(
        word_list(
            "i we you he she they me my mine our us your and or but so well ok okay right yes yeah no please thanks "
            "thank cheers mate hi hello hey good morning afternoon evening like got get gets getting make makes "
            "making made run runs running put puts out on in at for with from by as odd few couple about around "
            "roughly say reckon think guess now really quite very all up down only some any too also then there here "
            "one ones car current currently present still one's not more than less per each when if not never always "
            "mostly mainly usually what over under up round need needs want wants like love sorry wait mean actually "
            "rather make those these them him her his into off back want i'd it'll"
        )
    )
)


def left_over(sentence: Sentence, facts: Collection[Heard]) -> tuple[str, ...]:
    """Stretches of the text that belong to nothing that was taken down, as typed."""
    kept = {at for piece in sentence.pieces if piece.heard in facts for at in range(piece.start, piece.end)}
    for piece in sentence.pieces:
        if piece.heard in facts:  # the words that point to it were understood with it
            start, end, _ = sentence.parts[piece.part]
            pointing = [
                pointer
                for pointer in sentence.pointers
                if pointer.fact == piece.heard.fact and start <= pointer.start < end
            ]
            kept |= {at for pointer in pointing for at in range(pointer.start, pointer.end)}
    refused = {piece.part for piece in sentence.pieces if piece.hurdle and piece.heard not in facts}
    stretches = []
    for number, (start, end, _) in enumerate(sentence.parts):
        untouched = not any(start <= at < end for at in kept)
        if untouched and (number in refused or _unanswered(sentence, number)):
            stretches.append(_trimmed(sentence, start, end))
            continue
        run = []
        for at in range(start, end + 1):
            open_ = (
                at < end
                and at not in kept
                and at not in sentence.fix_places
                and (at not in sentence.taken or _refused(sentence, at, facts))
            )
            if open_:
                run.append(at)
            elif run:
                stretches += _worth(sentence, run)
                run = []
    return tuple(text for text in stretches if text)


def _unanswered(sentence, number):
    """Is the part a whole question, if of small words, "what do I need?", and no tag ("isn't it?") or saying?"""
    start, end, _ = sentence.parts[number]
    aside = {at for first, last in sentence.sayings for at in range(first, last)}
    asked = [token for token in sentence.tokens[start:end] if token.word != "not"]
    return QUESTION in sentence.frames[number] and len(asked) > 2 and not aside & set(range(start, end))


def _refused(sentence, at, facts):
    return any(piece.start <= at < piece.end and piece.heard not in facts and piece.hurdle for piece in sentence.pieces)


def _worth(sentence, run):
    tokens = sentence.tokens
    solid = [at for at in run if (tokens[at].is_word and tokens[at].word not in _FILLERS) or tokens[at].is_number]
    if not solid:
        return []
    return [_trimmed(sentence, run[0], run[-1] + 1)]


def _trimmed(sentence, start, end):
    return sentence.text[sentence.tokens[start].start : sentence.tokens[end - 1].end].strip()
