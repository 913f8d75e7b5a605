"""What the interview asks and answers: questions, help on them, what is taken where nobody knows.

Plain text, wrapped to the width.
"""

import re
from typing import TYPE_CHECKING

from ..explaining.made_from import INVENTED, about_sentence
from ..explaining.trade_words import meaning
from ..knowledge.sentences import joined, wrap
from . import next_question
from .how_it_stands import HowItStands
from .names import CAR
from .typed_orders import ORDERS

if TYPE_CHECKING:
    from .next_question import Outlook
    from .state import State

_HELP = {
    "help": "what can be typed (help and a name: about that question) [F1]",
    "why": "why this is asked, and what it would change [F2]",
    "now": "how it stands: the card, and what is open [F3]",
    "next": "the kits next to the pick",
    "parts": "what it is bought with, line by line",
    "fitting": "what is measured and done, and how it is bedded in",
    "cautions": "what to watch",
    "answers": "everything said so far [F4]",
    "back": "take the last answer back [F5]",
    "change": "change and a name: ask that again",
    "later": "put this question off [F6]",
    "more": "go on asking after it has stopped by itself",
    "done": "finish and give the advice as it stands [F7]",
    "leave": "save and leave; --resume goes on here [Ctrl-D]",
    "explain": "why this kit; explain 2, explain 3: deeper; explain edge: how far it carries",
    "why-not": "why-not and a kit: why that one is not picked",
    "what-if": "what-if and name = value: what another answer would do",
    "what-would-change": "which answers would have to change; with a kit: for that one",
    "insist": "insist and the name of a contradiction: its harder reading decides",
    "note": "note and a text: kept with the case",
    "assumptions": "what is taken where nobody said",
    "settled": "what stands whatever else is answered: proved, not drawn from callers",
}
#: What can be typed at any prompt, and the keys that type it; the first shortest, for narrow screens.
_WORDS = (
    ("?, back, change, later, done, help", 0),
    ("? not known, back, change NAME, later, done, help; questions too", 64),
)
_KEYS = (
    ("back F5 change later F6 done F7 help F1", 0),
    ("back F5  change NAME  later F6  done F7  help F1  ? not known", 62),
    ("back F5  change NAME  later F6  done F7  help F1  leave Ctrl-D  ? not known", 76),
)
_UNKNOWN = "don't know, or ?"


class Teller(HowItStands):
    """All that an interview says: its questions, and how the case stands."""

    def words(self, width: int) -> str:
        """What can be typed at any prompt, in one line."""
        return [f"({text})" for text, least in _WORDS if width >= least][-1]

    def keys(self, width: int) -> str:
        """The keys of the words that can be typed at any prompt, in one line."""
        return [text for text, least in _KEYS if width >= least][-1][:width]

    def question(self, name: str, state: "State", view: "Outlook", width: int) -> str:
        """The block above the prompt."""
        if name == CAR:
            return self._cars(width)
        asked = self.knowledge.questions[name]
        text = asked.plain if self.plain else asked.short
        lines = [wrap(text, width)]
        if self.plain and asked.help:
            lines.append(wrap(asked.help, width, "  "))
        lines += self._choices(self.knowledge.facts[name], width)
        held = state.former.get(name)
        if held is not None:
            lines.append(wrap(f"Said before: {self.said(held)}. An empty line takes it again.", width, "  "))
        if view.reason == next_question.SAFETY:
            lines.append(wrap("Asked for safety.", width, "  "))
        return "\n".join(lines)

    def _cars(self, width):
        lines = [wrap("Which car is it?" if self.plain else "Car?", width)]
        for number, platform in enumerate(self.shop.platforms, 1):
            lines.append(
                wrap(f"{platform.fields.get('title', platform.id)} ({platform.id})", width, f"  {number} ", "    ")
            )
        lines.append(wrap("none: it is not on file", width, "  ", "    "))
        about = self.shop.about
        if any(platform.fields.get("invented") for platform in self.shop.platforms) or (about and about.invented):
            lines.append(wrap(INVENTED, width))
        if about:
            lines.append(wrap(about_sentence(about, self.knowledge.edition), width))
        return "\n".join(lines)

    def _choices(self, fact, width):
        if fact.kind == "flag":
            return [wrap("yes or no", width, "  ")]
        if fact.kind == "choice" and fact.choices:
            return [
                wrap(self.value(fact.name, choice), width, f"  {number} ", "    ")
                for number, choice in enumerate(fact.choices, 1)
            ]
        if fact.kind == "number" and fact.choices:
            return [wrap(" or ".join(self.value(fact.name, choice) for choice in fact.choices), width, "  ")]
        return []

    def about(self, name: str, width: int) -> str:
        """Help on one question."""
        if name == CAR:
            return wrap(
                "The car decides what can be fitted. Type its number, its name or a part of it, or none.", width
            )
        fact, asked = self.knowledge.facts[name], self.knowledge.questions[name]
        lines = [wrap(f"{asked.plain} {asked.help}", width)]
        if not self.plain:
            lines.append(wrap(f"Name: {name}", width, "  ", "    "))
        if fact.kind == "number" and not fact.choices:
            unit = "" if fact.unit in ("", "1") else "with a unit, "
            lines.append(
                wrap(
                    f"A number {unit}from {self.value(name, fact.low)} to {self.value(name, fact.high)}",
                    width,
                    "  ",
                    "    ",
                )
            )
        lines += self._choices(fact, width)
        effort = {"memory": "known or not", "look": "look at the car or its papers", "measure": "has to be measured"}[
            asked.effort
        ]
        lines.append(wrap(f"Effort: {effort}. {_UNKNOWN} is an answer.", width, "  ", "    "))
        return "\n".join(lines)

    def help(self, width: int) -> str:
        """All orders."""
        lines = [
            wrap(f"Type the answer, with its unit; a number from the list will do. {_UNKNOWN}: go on without.", width),
            wrap("Any answer at any time: engine_power = 380 hp at 6500 rpm; main_use = daily", width, "", "  "),
            wrap("What is not known exactly: 400 to 450 Nm, about 400 hp, at least 400 Nm.", width, "", "  "),
            wrap("Who says so may follow: 430 Nm measured, or looked up.", width),
            "",
        ]
        return "\n".join(lines + [wrap(_HELP[word], width, f"  {word}: ", "    ") for word in ORDERS])

    def untold(self, name: str, view: "Outlook", state: "State") -> str:
        """What is taken for something nobody knows, in a sentence or two."""
        if name == CAR:
            return (
                "Taken as not on file: use and engine are asked first, and the shop looks at what fits. "
                "change car brings the list back."
            )
        for assumption in view.known.assumptions if view.known is not None else ():
            if assumption.fact == name:
                value = self.value(name, assumption.value)
                return (
                    f"Until somebody knows, the worst is taken: {value}."
                    if assumption.worst
                    else f"Until somebody knows, {value} is taken."
                )
        fact = self.knowledge.facts[name]
        if name in (view.known.missing if view.known is not None else ()):
            return (
                "The shop will look before anything is ordered."
                if fact.platform
                else "Without it no kit can be picked."
            )
        others = [
            way
            for other in self.knowledge.facts.values()
            if name in other.needs_one_of
            for way in other.needs_one_of
            if way != name
        ]
        figures = [way for way in others if self.knowledge.facts[way].kind == "number"]
        line_told = [way for way in figures if way in view.facts_known.answered]
        if line_told:
            return f"It is worked out from what was told: {self.wording.labels(line_told)}."
        ways = [way for way in others if way in view.facts_known.open and way not in state.said]
        if ways:
            return f"Nothing is taken for it; any of these tells it too: {self.wording.labels(ways)}."
        return "It stays open: nothing is taken for it."

    def before_advice(self, text: str, view: "Outlook") -> str:
        """The answer to a question where nothing can be decided yet: what a word means, else what is lacking."""
        meant_by_it = meaning(text)
        if meant_by_it:
            return meant_by_it
        missing = view.known.missing if view.known is not None else (CAR,)
        if view.known is not None and self.shop_looks(view):
            return "Nothing stands yet that could tell: what fits this car has to be seen first."
        needed = joined([self.label(name) for name in missing], most=3)
        return f"Nothing stands yet that could tell. Needed first: {needed}."

    def mended(self, text: str, name: str | None) -> str:
        """What is wrong with a line, in a customer's words where it is asked in them."""
        if not self.plain:
            return text
        # A customer needs no list of units, and none at all for a number that cannot be.
        text = re.sub(r"Check the value\. Accepted: .*", "Check the value.", text, flags=re.DOTALL)
        text = re.sub(r"(Accepted: a number and a unit, as in [^;]*); units [^.]*", r"\1", text)
        text = text.replace("is outside the sane range", "is outside the range")
        asked = self.knowledge.questions.get(name or "")
        if asked is not None and asked.options and "Write one of" in text:
            text = f"{text.partition('Write one of')[0]}Type the number of one of the answers above.{_nearest(text)}"
        for question in sorted(self.knowledge.questions, key=len, reverse=True):
            if "_" in question or text.startswith(f"{question}:"):
                text = re.sub(rf"\b{question}\b", self.label(question), text)
        return text


def _nearest(text):
    """The nearest readings that an error names."""
    _, mark, rest = text.partition("Nearest: ")
    return f" {mark}{rest}" if mark else ""
