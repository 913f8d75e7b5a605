"""Which fact somebody means: full names, short names, and completion."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ..errors import InputError
from ..knowledge.near import nearest
from ..knowledge.sentences import joined

if TYPE_CHECKING:
    from ..knowledge.model import Knowledge, Record

#: The word for the car itself, which is no fact of the vocabulary.
CAR = "car"
_MOST_NAMED = 6


def folded(text: str) -> str:
    """Small letters, with underscores for blanks and hyphens."""
    return "_".join(text.casefold().replace("-", " ").replace("_", " ").split())


class Names:
    """The names of everything that can be answered, in the order of the questions."""

    def __init__(self, knowledge: "Knowledge") -> None:
        asked = [name for name, fact in knowledge.facts.items() if fact.source == "asked"]
        order = [name for name in knowledge.questions if name in asked]
        self.all = (CAR, *order, *(name for name in asked if name not in order))
        self._bare = {name: _without_unit(name, knowledge.facts.get(name)) for name in self.all}
        self._spoken = {name: folded(knowledge.questions[name].short.rstrip("?")) for name in order}
        self._labels = {name: set(folded(knowledge.facts[name].label).split("_")) for name in self.all if name != CAR}

    def find(self, text: str, *, strictly: bool = False) -> str:
        """The one name ``text`` stands for; InputError naming the candidates where there is none or several.

        ``strictly``: only a full name, one without its unit, or the short wording of the question.
        """
        wanted = folded(text)
        words = wanted.split("_")
        matches = []
        stages = [
            lambda name: name == wanted,
            lambda name: self._bare[name] == wanted,
            lambda name: self._spoken.get(name) == wanted,
        ]
        if not strictly:
            stages += [
                lambda name: name.startswith(wanted),
                lambda name: self._bare[name].split("_")[-len(words) :] == words,
                lambda name: _covers(name.split("_"), words),
                lambda name: set(words) <= self._labels.get(name, set()),
            ]
        for holds in stages if wanted else ():
            matching = [name for name in self.all if holds(name)]
            if len(matching) == 1:
                return matching[0]
            matches += [name for name in matching if name not in matches]
        if matches:
            raise InputError(
                f"{shortened(text)} can mean {joined(matches[:_MOST_NAMED], 'or')}.",
                value=text,
                remedy="Write one of them in full.",
            )
        near = nearest(wanted, self.all, 3, 0.5)
        raise InputError(
            f"{shortened(text)} is nothing that is asked.",
            value=text,
            remedy=f"Did you mean {joined(near, 'or')}?" if near else "Write answers to see what there is.",
        )

    def beginning(self, text: str) -> list[str]:
        """Names that begin with ``text`` or hold a word that does, for completion."""
        wanted = folded(text)
        first = [name for name in self.all if name.startswith(wanted)]
        return first + [
            name for name in self.all if name not in first and any(word.startswith(wanted) for word in name.split("_"))
        ]


def shortened(text: str, most: int = 40) -> str:
    """``text`` in quotes, cut and with everything unprintable replaced, for a message."""
    shown = "".join(char if char.isprintable() else "\ufffd" for char in text[: most + 1])
    return f"'{shown[:most]}...'" if len(shown) > most else f"'{shown}'"


def _covers(words, wanted):
    """Does every wanted word begin a different word, in order?"""
    left = iter(words)
    return all(any(word.startswith(wanted_word) for word in left) for wanted_word in wanted)


def _without_unit(name, fact):
    words = name.split("_")
    units = {"percent", "rpm", "deg"}
    if fact is not None and fact.unit:
        units.add(folded(fact.unit).replace("_", ""))
    return "_".join(words[:-1]) if len(words) > 1 and words[-1] in units else name


def find_car(text: str, platforms: "Sequence[Record]") -> str:
    """The platform id somebody means, "" for a car that is not on file; InputError where unclear.

    ``platforms``: Records in the order they were shown, numbered from 1.
    """
    wanted = folded(text)
    if wanted in ("none", "other", "not_on_file", "another", "no"):
        return ""
    if wanted.isascii() and wanted.isdecimal() and len(wanted) < 5 and 1 <= int(wanted) <= len(platforms):
        return platforms[int(wanted) - 1].id
    words = wanted.split("_")
    titles = {
        platform.id: folded(f"{platform.id} {platform.fields.get('title', '')}").split("_") for platform in platforms
    }
    for holds in (
        lambda platform: folded(platform.id) == wanted,
        lambda platform: folded(str(platform.fields.get("title", ""))) == wanted,
        lambda platform: folded(platform.id).startswith(wanted),
        lambda platform: all(any(word.startswith(typed) for word in titles[platform.id]) for typed in words),
    ):
        matching = [platform.id for platform in platforms if wanted and holds(platform)]
        if len(matching) == 1:
            return matching[0]
        if matching:
            raise InputError(
                f"{shortened(text)} can mean {joined(matching[:_MOST_NAMED], 'or')}.",
                value=text,
                remedy="Write one of them, or its number.",
            )
    raise InputError(
        f"no car on file is called {shortened(text)}.",
        value=text,
        remedy="Write the number or a name from the list, or none.",
    )
