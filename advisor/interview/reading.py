"""From a line somebody typed to answers and orders. Nothing typed is ever evaluated."""

import re
import unicodedata
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from ..errors import InputError
from ..explaining import asked_back
from ..explaining.trade_words import meaning
from ..knowledge import given_answers
from ..knowledge.model import Fact, Knowledge, Record
from ..knowledge.sentences import joined
from .names import CAR, Names, find_car, folded, shortened
from .state import Aside, Said
from .typed_orders import TypedOrder, order_in

if TYPE_CHECKING:
    from .taking_down import Sentences

LONGEST_LINE = 2000
#: How a part begins that only supposes.
_IF = re.compile(r"(?:and |but |so )?(?:if|when|suppose|supposing|unless|once|should|imagine|say)\b", re.IGNORECASE)
_UNKNOWN = {
    "unknown",
    "don't know",
    "dont know",
    "do not know",
    "not known",
    "?",
    "dunno",
    "no idea",
    "not sure",
    "i don't know",
    "i dont know",
    "i do not know",
    "can't say",
    "cant say",
    "who knows",
    "pass",
    "dk",
    "idk",
    "no clue",
}
_HEDGES = re.compile(
    r"^(?:(?:about|around|roughly|approximately|approx\.?|circa|ca\.?|maybe|it is|it's|its)\s+|~\s*)+", re.IGNORECASE
)
_TALK = re.compile(r"^(?:(?:it is|it's|its)\s+)+", re.IGNORECASE)
_ORIGIN = re.compile(
    r"^(.*\S)[\s,]*[(\s]\s*(?:from\s+|by\s+)?(measured|stated|looked[ _]up)\)?$", re.IGNORECASE | re.DOTALL
)
_ORIGIN_FIRST = re.compile(r"^(measured|looked[ _]up)[:\s]\s*(\S.*)$", re.IGNORECASE | re.DOTALL)
_NOTHING = {"none", "no", "never", "nothing", "nil", "zero"}
_FLAGS = {"y": "yes", "yep": "yes", "yeah": "yes", "yup": "yes", "n": "no", "nope": "no", "nah": "no"}
_SPOKEN_UNITS = (
    (re.compile(r"\bhorses?\b", re.IGNORECASE), "hp"),
    (re.compile(r"\b(?:newton)[- ]?met(?:er|re)s?\b", re.IGNORECASE), "N m"),
)


def clean(text: str) -> str:
    """One line of plain characters; InputError for what cannot be shown or is far too long."""
    if len(text) > LONGEST_LINE:
        raise InputError(
            f"the line is {len(text)} characters long.",
            value=text[:60],
            remedy=f"Keep it under {LONGEST_LINE}; answer one thing at a time.",
        )
    text = "".join(" " if char == "\t" or unicodedata.category(char) == "Zs" else char for char in text).strip()
    odd = next((char for char in text if not char.isprintable()), None)
    if odd is not None:
        raise InputError(
            f"the line holds a character that cannot be shown (U+{ord(odd):04X}).",
            value=text[:60],
            remedy="Type it again with plain characters.",
        )
    return text


def lines_of(text: str) -> list[str]:
    """The non-empty lines of what was typed or pasted at once, cleaned."""
    lines = [clean(line) for line in re.split(r"\r\n|\r|\n", text[: LONGEST_LINE * 50])]
    return [line for line in lines if line]


class Reader:
    """Reads lines by one vocabulary and one list of cars (platform Records in the order shown)."""

    def __init__(self, knowledge: Knowledge, platforms: Sequence[Record]) -> None:
        self.knowledge = knowledge
        self.platforms = platforms
        self.names = Names(knowledge)
        self._sentences: Sentences | None = None

    def read(self, text: str, current: str | None) -> list[Any]:
        """Answers (Said) and Orders in ``text``, ``current`` being the fact asked for, or None.

        On several lines only the first may be a bare answer: nobody has seen the questions after it.
        """
        lines = lines_of(text)
        items = []
        for number, line in enumerate(lines):
            if number and not _named(line):
                raise InputError(
                    f"line {number + 1}, {shortened(line)}, does not say what it answers.",
                    value=line,
                    remedy="On several lines write each as name = value. Nothing of it was taken.",
                )
            items += self._line(line, current if not number else None)
        return _without_repeats(items)

    def _line(self, line, current):
        pieces = [piece.strip() for piece in re.split(r";|,(?=\s*[A-Za-z][\w \-]*=)", line)]
        pieces = [piece for piece in pieces if piece]
        if not pieces:
            raise InputError(
                "there is no answer on the line.", value=line, remedy="Type an answer, or ? if it is not known."
            )
        return [
            item
            for number, piece in enumerate(pieces)
            for item in self._piece(piece, current if not number else None, len(pieces) == 1)
        ]

    def _piece(self, piece, current, alone):
        order = order_in(piece)
        if order is not None and order.rest and order.word not in ("why", "later", "help"):
            return [order]
        if alone and "=" not in piece:
            both = self._told_and_asked(piece, current)
            if both:
                return both
        if "=" in piece:
            name, _, value = piece.partition("=")
            return self.answers(self.names.find(name), value.strip())
        if current is not None:
            closed = self._closed(piece, current)
            if closed:
                return closed
        if alone and order is not None:
            return [order]
        if alone and self._is_question(piece):
            return [TypedOrder("asked", piece)]
        if current is None and is_unknown(piece):
            return [TypedOrder("assumptions")]
        if current is None:
            return self._try_named(piece) or self._sentence(piece, "", None)
        named = self._try_named(piece) if self._is_text(current) else []
        if named:
            return named
        try:
            return self.answers(current, piece, asked=True)
        except InputError as refusal:
            return self._try_named(piece) or self._sentence(piece, current, refusal)

    def _is_question(self, piece):
        """Is it one of the questions that are answered back, or after the meaning of a word?"""
        if not asked_back.is_asking(piece):
            return False
        return bool(asked_back.asking(piece, self.knowledge.asked_back).about or meaning(piece))

    def _told_and_asked(self, piece, current):
        """What is told beside a question and the question, "tows 1200 kg, why 330?"; nothing where it is one of both.

        What is told beside what might be, "what if it made 500 Nm, it is standard", tells nothing of the car.
        """
        signs = list(re.finditer(r"[,.;?!] +(?:(?:and|but|so) )?", piece))
        statement_first = [(piece[: sign.start()], piece[sign.end() :]) for sign in reversed(signs)]
        asked_first = [(piece[sign.end() :], piece[: sign.start() + 1].rstrip(",.;!")) for sign in signs]
        for statement, asked in (*statement_first, *asked_first):
            if (
                asked_back.is_asking(statement)
                or _IF.match(statement)
                or not self._is_question(asked)
                or self._is_supposed(asked)
            ):
                continue
            try:
                heard = self._sentence(statement, current or "", None)
            except InputError as refused:
                digits = any(char.isdigit() for char in statement)
                heard = [Aside(f"Not taken down: {refused.what}")] if digits and piece.startswith(statement) else []
            if heard:
                return [*heard, TypedOrder("asked", asked)]
        return []

    def _is_supposed(self, piece):
        """Is it asked what would be if?"""
        return asked_back.asking(piece, self.knowledge.asked_back).about == asked_back.WHAT_IF

    def _sentence(self, piece, current, refusal):
        """What a sentence says of any fact, by the room that listens; it is loaded only now."""
        from .taking_down import Sentences

        if self._sentences is None:
            self._sentences = Sentences(self.knowledge, self.platforms)
        return self._sentences.read(piece, current, refusal, lambda: self._beside(piece, current) if current else [])

    def _beside(self, piece, current):
        """The answer to another question of the same topic, where it can be one to that alone.

        A bare number is never taken so: only a unit or a word tells what it is about.
        """
        questions = self.knowledge.questions
        if current == CAR or not any(char.isalpha() for char in piece) or current not in questions:
            return []
        elsewhere = []
        for other in questions:
            if other != current and questions[other].topic == questions[current].topic and not self._is_text(other):
                try:
                    said = self.answers(other, piece)
                except InputError:
                    continue
                if not any(answer.unknown for answer in said):
                    elsewhere.append(said)
        return elsewhere[0] if len(elsewhere) == 1 else []

    def _is_text(self, name):
        return name != CAR and self.knowledge.facts[name].kind == "text"

    def _closed(self, piece, current):
        """An answer out of the closed list that was shown; these stand before orders of the same word."""
        if current == CAR:
            try:
                return self.answers(CAR, piece) if folded(piece).isdecimal() else []
            except InputError:
                return []
        fact = self.knowledge.facts[current]
        choice = numbered_choice(fact, piece)
        if choice is not None:
            return [Said(current, {True: "yes", False: "no"}.get(choice, choice), choice)]
        return []

    def _try_named(self, piece):
        """``torque now 430 Nm``: the longest leading words that are a full or spoken name, then a value that reads."""
        words = piece.replace(":", " ").split()
        for count in range(min(len(words) - 1, 6), 0, -1):
            try:
                return self.answers(self.names.find(" ".join(words[:count]), strictly=True), " ".join(words[count:]))
            except InputError:
                continue
        return []

    def answers(self, name: str, text: str, *, asked: bool = False) -> list[Said]:
        """What ``text`` says about one fact: one Said, or two where a second quantity stands after "at"."""
        if name == CAR:
            return [Said(CAR, text, "" if is_unknown(text) else find_car(text, self.platforms))]
        fact = self.knowledge.facts[name]
        if not text:
            raise InputError(
                f"{name}: there is no answer after the sign.",
                value=text,
                remedy="Write name = value, or name = ? if it is not known.",
            )
        if is_unknown(text) and folded(text) not in fact.choices:
            return [Said(name, "unknown", None)]
        text, origin = _origin(text)
        main, _, other = text.rpartition(" at ")
        if main and not other.startswith(("least", "most", "the most")):
            pair = self._pair(name, main.strip(), other.strip(), origin)
            if pair:
                return pair
        return [self._one(fact, text, origin)]

    def _pair(self, name, main, other, origin):
        """Both halves of ``380 hp at 6500 rpm``; the second belongs to the one fact of its family that reads it."""
        try:
            first = self._one(self.knowledge.facts[name], main, origin)
        except InputError:
            return []
        other = re.sub(r"^the\s+", "", other, flags=re.IGNORECASE)
        saids = []
        for beside in self._family(name):
            try:
                saids.append(self._one(self.knowledge.facts[beside], other, origin))
            except InputError:
                continue
        if len(saids) == 1 and not saids[0].unknown:
            return [first, saids[0]]
        raise InputError(
            (
                f"{name}: what stands after at, {shortened(other)}, belongs to nothing that is asked."
                if not saids
                else f"{name}: {shortened(other)} can belong to {joined([answer.fact for answer in saids], 'or')}."
            ),
            value=other,
            remedy="Write each as name = value, with a semicolon between them.",
        )

    def _family(self, name):
        """Other facts asked after this one in its topic that begin with its name or one of its words."""
        questions = self.knowledge.questions
        if name not in questions:
            return []
        order = list(questions)
        words = set(name.split("_")) - {"engine"}
        return [
            other
            for other in order[order.index(name) + 1 :]
            if (questions[other].topic == questions[name].topic and other.split("_")[0] in words | {name})
            or other.startswith(f"{name}_")
        ]

    def _one(self, fact, text, origin):
        if is_unknown(text) and folded(text) not in fact.choices:
            return Said(fact.name, "unknown", None)
        text = _tidied(fact, text)
        if text is None:
            return Said(fact.name, "unknown", None)
        if fact.kind == "choice" and fact.choices:
            text = _by_beginning(fact, text)
        answer = given_answers.read_answer(fact, text)
        if answer is None:
            return Said(fact.name, "unknown", None)
        return Said.of(fact.name, kept(fact, text, answer), answer, origin)


def kept(fact: Fact, text: str, answer: Any) -> Any:
    """The text that goes into the case file: as it was said for numbers and texts, the proper word otherwise."""
    if fact.kind == "flag":
        return "yes" if answer.value else "no"
    if fact.kind == "list":
        return ", ".join(answer.value) or "none"
    if fact.kind == "choice" and fact.choices:
        return answer.value
    return " ".join(text.split())


def is_unknown(text: str) -> bool:
    """Does a text say "don't know"?"""
    return text.replace("\u2019", "'").strip().rstrip(".!").casefold() in _UNKNOWN


def numbered_choice(fact: Fact, text: str) -> Any:
    """The choice a typed number or word stands for in the list that was shown, or None."""
    wanted = folded(text)
    if fact.kind == "flag":
        wanted = _FLAGS.get(wanted, wanted)
        return {"yes": True, "true": True, "no": False, "false": False}.get(wanted)
    if fact.kind != "choice" or not fact.choices:
        return None
    if wanted.isascii() and wanted.isdecimal() and len(wanted) < 4 and wanted not in fact.choices:
        return fact.choices[int(wanted) - 1] if 1 <= int(wanted) <= len(fact.choices) else None
    return next((choice for choice in fact.choices if folded(choice) == wanted), None)


def _by_beginning(fact, text):
    wanted = folded(text)
    beginning = [choice for choice in fact.choices if folded(choice).startswith(wanted)] if wanted else []
    inside = [choice for choice in fact.choices if wanted and wanted in folded(choice).split("_")]
    for matches in (beginning, inside):
        if len(matches) == 1:
            return matches[0]
    if len(beginning) > 1:
        raise InputError(
            f"{fact.name}: {shortened(text)} can mean {joined(beginning, 'or')}.",
            value=text,
            remedy="Write more of it.",
        )
    return text


def _tidied(fact, text):
    """The text without hedges; spoken units and "none" made plain; None where it comes to don't know."""
    bare = _HEDGES.sub("", text).strip() or text
    if fact.kind == "flag":
        return _FLAGS.get(bare.casefold(), bare)
    if fact.kind != "number":
        return bare if fact.kind == "choice" and fact.choices else text
    if not fact.choices:
        bare = _TALK.sub("", text).strip() or text  # "about" is kept: it says how well the number is known
    if bare.casefold().rstrip(".") in _NOTHING:
        if fact.low is not None and fact.low <= 0:
            return f"0 {fact.unit}" if fact.unit not in ("", "1") else "0"
        return None if fact.if_unknown is not None and fact.if_unknown.do == "leave" else bare
    for spoken, unit in _SPOKEN_UNITS:
        bare = spoken.sub(unit, bare)
    return re.sub(r"(?<=[A-Za-z])\.$", "", bare)


def _origin(text):
    """(text without it, who said it) from ``430 Nm measured``, ``430 Nm (looked up)``, ``measured 430 Nm``."""
    match = _ORIGIN.match(text)
    if match:
        return match[1].rstrip(" ,("), match[2].casefold().replace(" ", "_")
    match = _ORIGIN_FIRST.match(text)
    if match:
        return match[2], match[1].casefold().replace(" ", "_")
    return text, "stated"


def _named(line):
    return "=" in line or order_in(line) is not None


def _without_repeats(items):
    """The last of several answers to one fact counts where they are one line's; two different ones are refused."""
    said: dict[str, Any] = {}
    for item in items:
        if isinstance(item, Said):
            held = said.get(item.fact)
            if held is not None and held.meant != item.meant:
                raise InputError(
                    f"{item.fact} is answered twice, {held.raw} and {item.raw}.",
                    value=item.raw,
                    remedy="Say which one. Nothing of it was taken.",
                )
            said[item.fact] = item
    return [item for number, item in enumerate(items) if not isinstance(item, Said) or said[item.fact] is item]
