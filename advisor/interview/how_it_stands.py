"""How a case stands, told in an interview: what was said, what is taken, the card, what is open."""

from typing import TYPE_CHECKING

from ..deciding.outcomes import NO_KIT
from ..explaining.card import card
from ..explaining.declined import declines
from ..explaining.sections import section
from ..knowledge.sentences import joined, wrap
from .sampling import points
from .small_words import SmallWords

if TYPE_CHECKING:
    from ..deciding.decision_record import DecisionRecord
    from .next_question import Outlook
    from .state import State

#: Assumptions told where it stops by itself.
MOST_ASSUMED = 8
#: Names in a list before the rest is only counted.
MOST_NAMED = 8


class HowItStands(SmallWords):
    """What is told of a case that is under way or has just ended."""

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
        """The card as at the end of a call, from a `DecisionRecord`, and what is still open."""
        lines = [card(record, self.wording, width).rstrip()]
        if record.outcome == NO_KIT and not declines(record):
            lines.append(wrap("what-would-change tells what would help.", width, "  "))
        return "\n".join(lines + self._open(view, width))

    def section(self, record: "DecisionRecord", word: str, width: int) -> str:
        """What follows the card by one of its words, of a `DecisionRecord`."""
        return section(record, self.wording, word, width).rstrip()

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


def in_hundred(share: float) -> str:
    """A share as so many in a hundred."""
    if 0 < share < 0.01:
        return "fewer than 1"
    return f"{100 * share:.0f}"
