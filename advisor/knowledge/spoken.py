"""Words as people say them, folded so that spelling, endings and short forms do not tell them apart.

Used where synonyms are checked and where sentences are read, so that both see the same words.
"""

import functools
import re
import unicodedata

from ..frozen import frozen

#: Words that carry nothing in a phrase: "pedal is fine" is "pedal's fine" and "the pedal fine".
SLIGHT = frozenset(
    [
        "a",
        "an",
        "the",
        "is",
        "are",
        "am",
        "be",
        "been",
        "being",
        "it",
        "its",
        "to",
        "of",
        "that",
        "this",
        "there",
        "do",
        "does",
        "did",
        "has",
        "have",
        "will",
        "would",
        "just",
    ]
)
_TOKEN = re.compile(
    r"[0-9]+(?:[.,/][0-9]+|'[0-9]{3}(?![0-9]))*|\.[0-9]+|[^\W\d_]+(?:'[^\W\d_]+)*|[£$€%~?!.,;:()=/+&°@\"-]",
)
#: No word has a letter three times over: a slip of the finger.
_THRICE = re.compile(r"([^\W\d_])\1\1+")
_PLAIN = str.maketrans({"\u2019": "'", "\u2018": "'", "\u2013": "-", "\u2014": "-", "\u2212": "-", "\u2044": "/"})
#: Words whose last g is not said: "slippin", and "slippin'" as it is written with a sign.
_CUT_SHORT_WORDS = """
    slippin draggin grabbin gettin runnin puttin sittin hittin cuttin spinnin goin doin makin takin towin
    pullin pushin talkin lookin thinkin drivin racin workin comin fixin changin shiftin squealin squeakin
    chirpin whinin grindin leakin drippin rattlin shakin judderin burnin smokin buyin askin callin ringin
    driftin haulin cruisin launchin boltin fittin fiddlin ridin turnin revvin bitin catchin tryin usin
    wantin needin planin plannin havin bein
"""
_CUT_SHORT = frozenset(_CUT_SHORT_WORDS.split())
_SHORT = {"can't": "can not", "cant": "can not", "won't": "will not", "wont": "will not", "shan't": "shall not",
          "dont": "do not", "doesnt": "does not", "isnt": "is not", "didnt": "did not", "wasnt": "was not",
          "im": "i am", "ive": "i have", "gonna": "going to", "wanna": "want to", "cannot": "can not",
          "ain't": "is not", "aint": "is not",
          "tires": "tyres", "tire": "tyre", "gotta": "got to", "thats": "that is",
          "teh": "the", "hte": "the", "adn": "and", "wiht": "with", "taht": "that",
          "waht": "what", "wen": "when", "u": "you", "ur": "your", "coz": "because",
          "cos": "because", "cuz": "because", "tho": "though", "itll": "it will", "shes": "she is", "hes": "he is",
          "theres": "there is", "havent": "have not", "hasnt": "has not", "hadnt": "had not", "wouldnt": "would not",
          "arent": "are not", "youre": "you are", "theyre": "they are", "weve": "we have", "theyve": "they have",
          "abt": "about", "y'all": "you all", "yall": "you all", "ya": "you",
          **dict.fromkeys(("cluch", "clucth", "cluth", "clutsh", "cltuch", "clutchs", "klutch", "clutche"), "clutch"),
          **dict.fromkeys(("desiel", "deisel", "disel", "diesle", "diesal", "deasel", "dieslel"), "diesel"),
          "engin": "engine", "gearbx": "gearbox", "flywheal": "flywheel"}  # fmt: skip
_ENDINGS = (("n't", " not"), ("'re", " are"), ("'ve", " have"), ("'ll", " will"), ("'m", " am"), ("'d", ""), ("'s", ""))


@frozen
class Token:
    """One word, number or sign: ``word`` as folded, ``stem`` without its ending, and where it stands in the text."""

    word: str
    stem: str
    start: int
    end: int

    @property
    def is_number(self) -> bool:
        """Is it written in digits?"""
        return self.word[0].isdigit() or (self.word[0] == "." and len(self.word) > 1)

    @property
    def is_word(self) -> bool:
        """Is it a word of letters?"""
        return self.word[0].isalpha()


def tokens(text: str) -> "list[Token]":
    """The tokens of a text; a short form gives several ("doesn't": does, not), all at its own place.

    >>> [one.word for one in tokens("It's a V8, doesn't tow 1.4t")]
    ['it', 'is', 'a', 'v', '8', ',', 'does', 'not', 'tow', '1.4', 't']
    """
    plain = text
    if not (text.isascii() and text.isprintable()):
        plain = "".join(" " if unicodedata.category(char) in ("Zs", "Cc") else char for char in text).translate(_PLAIN)
    tokens_read = []
    for match in _TOKEN.finditer(plain):
        start, end = match.span()
        tokens_read += [Token(word, short, start, end) for word, short in _words(match[0])]
    return tokens_read


@functools.lru_cache(maxsize=1 << 13)  # the phrases of the vocabulary are made of few words
def _words(text):
    """The words that one stands for, each with its stem."""
    return tuple([(word, stem(word)) for word in _full(_THRICE.sub(r"\1\1", text.casefold())).split()])


def _full(word):
    if word in _SHORT:
        return _SHORT[word]
    if word in _CUT_SHORT:
        return word + "g"
    if word in (
        "it's",
        "that's",
        "there's",
        "he's",
        "she's",
        "what's",
        "who's",
        "how's",
        "where's",
        "first's",
        "mine's",
    ):
        return word[:-2] + " is"
    for ending, instead in _ENDINGS:
        if word.endswith(ending) and len(word) > len(ending):
            return word[: -len(ending)] + instead
    return word


#: Words that an ending cut off would make another: "came" is no cam, the lights are not light.
_WHOLE = frozenset(
    [
        "came",
        "lights",
        "time",
        "times",
        "goes",
        "playing",
        "notes",
        "seals",
        "miles",
        "modded",
        "tops",
        "topped",
        "plane",
        "planes",
        "planted",
        "planting",
        "torqued",
        "exhausted",
        "inclined",
        "sounds",
        "sounded",
        "sounding",
        "lighting",
        "flats",
        "floating",
        "floated",
        "headed",
        "heading",
        "standards",
        "tune",
        "tunes",
    ]
)
#: Words that without their ending would be another: a bit of something is no bite, to care no car.
_OWN_STEMS = {
    **dict.fromkeys(("bite", "bites", "biting"), "bite"),
    **dict.fromkeys(("care", "cares", "cared", "caring"), "care"),
}


def stem(word: str) -> str:
    """A word without the ending that only says how it is used.

    >>> [stem(word) for word in ("slips", "slipping", "slipped", "bodies", "tuned", "spring", "is")]
    ['slip', 'slip', 'slip', 'body', 'tun', 'spring', 'is']
    """
    if word in _OWN_STEMS:
        return _OWN_STEMS[word]
    if len(word) < 4 or not word.isalpha() or word in _WHOLE:
        return word
    for ending in ("ing", "ed", "es", "s", "e"):
        short = word[: -len(ending)]
        if not word.endswith(ending) or len(short) < 3 or not any(char in "aeiouy" for char in short):
            continue
        if ending == "s" and short[-1] in "su":
            continue  # harness, bus
        if ending == "es" and short.endswith("i"):
            return short[:-1] + "y"
        if ending in ("ing", "ed") and len(short) > 3 and short[-1] == short[-2] and short[-1] not in "sl":
            return short[:-1]
        return short[:-1] + "y" if ending == "ed" and short.endswith("i") else short
    return word


@functools.lru_cache(maxsize=1 << 13)  # every sentence asks for the same few thousand phrases of the vocabulary
def phrase(text: str) -> tuple[str, ...]:
    """The stems of a phrase that carry its meaning; all of them where only slight words are left.

    >>> phrase("the heavy pedal's fine"), phrase("on axle-stands")
    (('heavy', 'pedal', 'fin'), ('on', 'axl', 'stand'))
    """
    stems = [token for token in tokens(text) if token.is_word or token.is_number]
    solid = tuple(token.stem for token in stems if token.word not in SLIGHT)
    # "to the wheels" must not become "wheels": where one word alone would be left, its small words belong to it.
    return solid if len(solid) > 1 or len(stems) == 1 else tuple(token.stem for token in stems)
