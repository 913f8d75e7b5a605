"""What the interview says: questions, reasons for them, how the case stands. Plain text, wrapped to the width."""

import re
from typing import TYPE_CHECKING, Any

from ..deciding.outcomes import MORE_ANSWERS, NO_KIT
from ..explaining.beside import in_stock, why_behind
from ..explaining.declined import declines, no_kit_lines
from ..explaining.made_from import INVENTED, about_sentence
from ..explaining.span_told import span_sentences
from ..explaining.trade_words import meaning
from ..knowledge.sentences import joined, wrap
from . import next_question
from .names import CAR
from .reading import ORDERS
from .sampling import points

if TYPE_CHECKING:
    from ..deciding.decide import Shop
    from ..deciding.decision_record import DecisionRecord
    from ..deciding.outcomes import Outcome
    from ..knowledge.model import Knowledge
    from .next_question import Outlook
    from .state import Said, State

_HELP = {
    "help": "what can be typed (help and a name: about that question) [F1]",
    "why": "why this is asked, and what it would change [F2]",
    "now": "how it stands: the pick, the ones next to it, what is open [F3]",
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
#: Assumptions told where it stops by itself.
MOST_ASSUMED = 8
#: Names in a list before the rest is only counted.
MOST_NAMED = 8


class Teller:
    """Words for one shop and knowledge; ``plain`` for a customer's wording, ``system`` of units si or trade."""

    def __init__(self, knowledge: "Knowledge", shop: "Shop", *, plain: bool = False, system: str = "si") -> None:
        self.knowledge, self.shop, self.plain, self.system = knowledge, shop, plain, system
        self.wording = shop.wording(knowledge, system)
        self.rules = {rule.id: rule for rule in knowledge.rules}

    wrap = staticmethod(wrap)

    # --- small words

    def label(self, name: str) -> str:
        """What a fact is called."""
        return "the car" if name == CAR else self.wording.label(name)

    def said(self, answer: "Said") -> str:
        """An answer for people."""
        if answer.fact == CAR:
            return self.wording.title(answer.value) or "not on file"
        if answer.unknown:
            return "not known"
        origin = "" if answer.origin == "stated" else f" ({answer.origin.replace('_', ' ')})"
        if answer.low is None and answer.high is None:
            return self.value(answer.fact, answer.value) + origin
        return self.wording.vague(answer.fact, answer.value, answer.low, answer.high) + origin

    def value(self, name: str, value: Any) -> str:
        """Any value of a fact or figure; a choice in a customer's words where it is asked in them."""
        asked = self.knowledge.questions.get(name) if self.plain else None
        return (
            dict(asked.options).get(value) or self.wording.value(name, value)
            if asked
            else self.wording.value(name, value)
        )

    def name(self, name: str) -> str:
        """What an answer is called on the screen: its name, or in a customer's words what it is about."""
        return self.label(name) if self.plain else name

    def words(self, width: int) -> str:
        """What can be typed at any prompt, in one line."""
        return [f"({text})" for text, least in _WORDS if width >= least][-1]

    def keys(self, width: int) -> str:
        """The keys of the words that can be typed at any prompt, in one line."""
        return [text for text, least in _KEYS if width >= least][-1][:width]

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
            return f"Nothing is taken for it; it can be told otherwise: {self.wording.labels(ways)}."
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
        asked = self.knowledge.questions.get(name or "")
        if asked is not None and asked.options and "Write one of" in text:
            text = f"{text.partition('Write one of')[0]}Type the number of one of the answers above.{_nearest(text)}"
        for question in sorted(self.knowledge.questions, key=len, reverse=True):
            if "_" in question or text.startswith(f"{question}:"):
                text = re.sub(rf"\b{question}\b", self.label(question), text)
        return text

    def kit(self, kit_id: str | None) -> str:
        """A kit by title and id."""
        return f"{self.wording.title(kit_id)} ({kit_id})" if kit_id else "no kit"

    def outcome(self, outcome: "Outcome") -> str:
        """An Outcome in a few words."""
        if outcome.pick:
            return self.kit(outcome.pick)
        return "more answers are needed" if outcome.outcome == MORE_ANSWERS else "no kit fits"

    # --- questions

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

    # --- how it stands

    def status(self, view: "Outlook", state: "State", width: int) -> str:
        """One line: pick, holding probability, questions likely left."""
        if view.known is None:
            return "no car yet"
        if view.left is None:
            return "no pick yet"
        left = f"about {view.left} more" if view.question else "nothing more to ask"
        pick = view.standing.pick or (
            "no kit fits" if view.standing.outcome == NO_KIT and not view.question else "no pick yet"
        )
        holds = view.figure("holding_probability")
        parts = [pick]
        chance = None if holds is None else self.value("holding_probability", holds)
        if chance:
            parts.append(f"holds {chance}" if width < 60 else f"probability of holding {chance}")
        parts.append(left)
        line = ", ".join(parts)
        if len(line) > width and len(parts) > 2:
            line = f"{pick[: max(8, width - 22)]}, {chance}, {view.left} left"
        return line[:width]

    def answers(self, state: "State", view: "Outlook", width: int) -> str:
        """Everything said, what is on file or assumed, what is offered again."""
        lines = []
        if state.car is not None:
            lines.append(wrap(f"car: {self.wording.title(state.car) or 'not on file'}", width, "  ", "    "))
        lines += [
            wrap(f"{self.name(name)}: {self.said(answer)}", width, "  ", "    ") for name, answer in state.said.items()
        ]
        lines = ["Said so far", *lines] if lines else ["Nothing is said yet."]
        if state.former:
            lines.append("Said before, and dropped when something else changed")
            lines += [
                wrap(f"{self.name(name)}: {self.said(said)}", width, "  ", "    ")
                for name, said in state.former.items()
            ]
        if view.known is not None:
            assumed = list(view.known.assumptions)
            if assumed:
                lines.append("Assumed until somebody says otherwise")
                lines += [
                    wrap(
                        f"{self.name(assumption.fact)}: {self.value(assumption.fact, assumption.value)}",
                        width,
                        "  ",
                        "    ",
                    )
                    for assumption in assumed
                ]
        if state.later:
            lines.append(wrap(f"Put off: {self.put_off(state)}", width))
        return "\n".join(lines)

    def put_off(self, state: "State") -> str:
        """The questions that were put off, as a list in words."""
        return joined([self.name(name) for name in state.later], most=MOST_NAMED)

    def assumed(self, view: "Outlook", width: int, *, in_short: bool = False) -> str:
        """The assumptions of a case that is finished, each with how it is known.

        ``in_short``: only those that something in the case points to, and how many more there are.
        """
        if view.known is None or not view.known.assumptions:
            return "Nothing is assumed."
        questions, known = self.knowledge.questions, view.known
        shown = [
            assumption
            for assumption in known.assumptions
            if not in_short or (assumption.fact in questions and points(questions[assumption.fact], known))
        ]
        lines = ["Assumed, because nobody said"]
        for assumption in shown[: MOST_ASSUMED if in_short else None]:
            named = "" if self.plain else f" ({assumption.fact})"
            lines.append(
                wrap(
                    f"{self.label(assumption.fact)}: {self.value(assumption.fact, assumption.value)}{named}",
                    width,
                    "  ",
                    "    ",
                )
            )
        rest = len(known.assumptions) - (len(lines) - 1)
        if rest:
            lines.append(wrap(f"and {rest} more that matter less: assumptions lists them.", width, "  ", "    "))
        return "\n".join(lines)

    def shop_looks(self, view: "Outlook") -> bool:
        """Is all that is lacking something to be measured with the gearbox off, which the caller need not do?"""
        lacking = view.facts_known.missing
        return bool(lacking) and not view.platform and all(self.knowledge.facts[name].platform for name in lacking)

    def now(self, record: "DecisionRecord", view: "Outlook", width: int) -> str:
        """The standing pick, its margin, its neighbours and what is open, from a `DecisionRecord`."""
        lines = []
        if record.picked:
            figures = record.picked.figures
            lines.append(wrap(self.kit(record.pick_id), width, "Pick: ", "  "))
            for name in ("holding_margin", "holding_probability", "pedal_force_n"):
                if name in figures:
                    lines.append(
                        wrap(
                            f"{self.wording.label(name)}: {self.value(name, figures[name])}",
                            width,
                            "  ",
                            "    ",
                        )
                    )
            for check in record.pick.given_up if record.pick else ():
                lines.append(wrap(f"gives up {check.concern}: {check.sentence}", width, "  ", "    "))
        elif record.outcome == MORE_ANSWERS:
            needed = joined([self.name(name) for name in record.asks], most=MOST_NAMED) or "more answers"
            lines.append(wrap(f"No pick yet. Needed: {needed}.", width))
        else:
            lines += [wrap(line, width) for line in no_kit_lines(record)]
            for names in record.no_fit.conflicts[:2] if record.no_fit else ():
                parts = "; ".join(self.wording.label(record.requirements[name].measure) for name in names)
                lines.append(wrap(f"cannot be had together: {parts}", width, "  ", "    "))
            if declines(record):
                lines += [wrap(caution.text, width) for caution in record.cautions]
            else:
                lines.append(wrap("what-would-change tells what would help.", width, "  "))
        if record.next_down:
            lines.append(wrap(self.kit(record.next_down.kit), width, "Next down: ", "  "))
            lines += [
                wrap(f"not enough: {check.sentence}", width, "  ", "    ") for check in record.next_down.fails[:2]
            ]
        for near in record.near_equals:
            lines.append(wrap(f"{self.kit(near.kit)}, {in_stock(near, 'kit')}", width, "Nearly the same: ", "  "))
            lines.append(wrap(why_behind(near), width, "  ", "    "))
        if record.next_up:
            lines.append(wrap(self.kit(record.next_up.kit), width, "Next up: ", "  "))
            for added in record.next_up.adds[:4]:
                step = self.wording.step(added.figure, added.pick, added.kit)
                lines.append(wrap(f"{self.wording.label(added.figure)} {step}", width, "  ", "    "))
        lines += [
            wrap(sentence, width, "", "  ")
            for sentence in span_sentences(record.span, self.wording, record.pick_id, record.case.answers, record.asks)
        ]
        return "\n".join(lines + self._open(view, width))

    def _open(self, view, width):
        worth = sorted(
            (candidate for candidate in view.candidates if candidate.worth > 0),
            key=lambda candidate: (-candidate.worth, candidate.fact),
        )
        if not worth:
            return [wrap("Open: nothing that would change it.", width)]
        open_texts = [f"{self.name(candidate.fact)} ({in_hundred(candidate.effect)} in 100)" for candidate in worth]
        lines = [wrap(f"Open, and how often it changes the advice: {joined(open_texts, most=6)}.", width, "", "  ")]
        if view.standing.pick:
            lines.append(
                wrap(f"Of 100 callers who said the same, {in_hundred(view.doubt)} would be sold another kit.", width)
            )
        return lines


def _nearest(text):
    """The nearest readings that an error names."""
    _, mark, rest = text.partition("Nearest: ")
    return f" {mark}{rest}" if mark else ""


def in_hundred(share: float) -> str:
    """A share as so many in a hundred."""
    if 0 < share < 0.01:
        return "fewer than 1"
    return f"{100 * share:.0f}"
