"""The orders of an interview as they are typed, with their other spellings."""

from dataclasses import dataclass

#: Orders after which something may stand; where an answer holds an equals sign these come first.
_WITH_MORE = ("why", "why-not", "what-if", "what-would-change", "explain", "change", "note", "later", "help", "insist")
#: Orders and their other spellings; the first word is the one shown.
ORDERS = {
    "help": ("h",),
    "why": (),
    "now": (),
    "next": (),
    "parts": (),
    "fitting": (),
    "cautions": (),
    "answers": ("all answers", "list"),
    "insist": (),
    "back": ("undo",),
    "change": (),
    "later": ("skip",),
    "more": ("go on", "continue"),
    "done": ("finish",),
    "leave": ("quit", "exit", "stop", "save", "bye"),
    "explain": (),
    "why-not": (),
    "what-if": (),
    "what-would-change": ("what would change",),
    "note": (),
    "assumptions": ("assumed", "what is assumed"),
    "settled": ("what is settled", "what stands"),
}


@dataclass(frozen=True, slots=True)
class TypedOrder:
    """Something to do rather than an answer."""

    word: str
    rest: str = ""


def order_in(text: str) -> "TypedOrder | None":
    """The TypedOrder a text begins with, or None."""
    plain = " ".join(text.casefold().split())
    for word, others in ORDERS.items():
        for spelling in (word, *others):
            if plain == spelling:
                return TypedOrder(word)
            if plain.startswith(spelling + " ") and word in _WITH_MORE:
                if word == "why" and plain.startswith("why not"):
                    continue
                return TypedOrder(word, " ".join(text.split())[len(spelling) :].strip())
    return None
