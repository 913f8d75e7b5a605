"""How well sentences of strangers are understood: ``python -m tests.listening.graded FILE ... [--list]``.

A file is a list of sentences, each with a key written by somebody who has not seen the program: `say`, `facts` (what
must be taken), `never` (what must not), `either` (what may be taken or left), `ask` (facts of which it must be asked
which is meant, none of them taken). A sentence is

- *wrong* where anything was taken that was not said, or with another value: a fact that stands in neither `facts` nor
  `either`;
- *partly* where something said was left out, or something was asked that needs no asking;
- *right* otherwise. Where nothing was taken, the two nearest readings that every refusal offers are no question.
"""

import re
import sys
from dataclasses import dataclass, field
from pathlib import Path

from advisor.errors import InputError
from advisor.knowledge import quantities
from advisor.listening.hearing import Heard, Understood
from advisor.listening.understanding import Listener
from tests.shipped import quick_yaml

#: How far a value may lie off: what rounding in another unit comes to.
TOLERANCE = 0.006


@dataclass
class Grade:
    """One sentence: ``wrong`` and ``missing`` name facts, ``asked`` questions nobody needed or that were not put."""

    say: str
    wrong: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    @property
    def word(self) -> str:
        """right, partly or wrong."""
        return "wrong" if self.wrong else "partly" if self.missing or self.asked else "right"


def _close(first, second):
    return abs(first - second) <= TOLERANCE * max(abs(first), abs(second), 1e-9)


def _figures(text):
    """The numbers of a text, a whole and its fraction as one: "1-1/8 in, 26 teeth" gives 1.125 and 26."""
    several = []
    for whole, top, bottom, plain in re.findall(r"(?:(\d+)[- ])?(\d+)/(\d+)|(\d+(?:\.\d+)?)", text):
        several.append(float(plain) if plain else float(whole or 0) + float(top) / float(bottom))
    return sorted(several)


def same(listener: Listener, heard: Heard, key: object) -> bool:
    """Is what was heard what the key says? A number rough or exact; of a range both ends; of a text its numbers."""
    fact = listener.facts[heard.fact]
    if fact.kind == "flag":
        return heard.value is key
    if fact.kind == "choice":
        return heard.value == key
    if fact.kind != "number":
        return _figures(str(heard.value)) == _figures(str(key))
    if isinstance(key, dict):
        low, high = (quantities.read_value(fact, str(key[end])) for end in ("low", "high"))
        return heard.low is not None and heard.high is not None and _close(heard.low, low) and _close(heard.high, high)
    value = quantities.read_value(fact, str(key))
    return _close(heard.value, value)


def grade(listener: Listener, row: dict, understood: Understood) -> Grade:
    """What came of one sentence, held against its key."""
    facts, either, ask = row.get("facts") or {}, set(row.get("either") or ()), set(row.get("ask") or ())
    done = Grade(row["say"])
    heard = {said.fact: said for said in understood.facts}
    for name, said in heard.items():
        if name in facts:
            if not same(listener, said, facts[name]):
                done.wrong.append(f"{name}={said.text or said.value} for {facts[name]}")
        elif name not in either or name in (row.get("never") or ()):
            done.wrong.append(f"{name}={said.text or said.value}")
    done.missing = [name for name in facts if name not in heard]
    questions = [set(asked.facts) for asked in understood.asks if not asked.refusal]
    if ask and not any(ask & names for names in questions):
        done.asked.append(f"not asked: {', '.join(sorted(ask))}")
    done.asked += [f"needless: {', '.join(sorted(names))}" for names in questions if not names <= either | ask]
    return done


def graded(listener: Listener, path: Path, every: int = 1) -> list[Grade]:
    """The Grade of every sentence of a file; of every second, third ... where ``every`` says so."""
    rows = quick_yaml(path.read_text(encoding="utf-8"))[::every]
    grades = []
    for row in rows:
        try:
            understood = listener.understand(row["say"])
        except InputError:
            understood = Understood()
        grades.append(grade(listener, row, understood))
    return grades


def counts(grades: list[Grade]) -> dict[str, int]:
    """How many are right, partly, wrong."""
    return {word: sum(done.word == word for done in grades) for word in ("right", "partly", "wrong")}


def main(arguments: list[str]) -> int:
    """Prints the counts of each file; with ``--list`` what is not right as well."""
    from tests.interview import shop

    listener = Listener(shop.knowledge(), shop.stock().platforms)
    for name in (text for text in arguments if not text.startswith("--")):
        grades = graded(listener, Path(name))
        told = ", ".join(f"{number} {word}" for word, number in counts(grades).items())
        print(f"{name}: {len(grades)} sentences, {told}")
        for number, done in enumerate(grades, 1):
            if "--list" in arguments and done.word != "right":
                print(f"{number:3} {done.word.upper():6} {done.say}")
                for what, several in (("wrong", done.wrong), ("missing", done.missing), ("asked", done.asked)):
                    if several:
                        print(f"           {what}: {'; '.join(several)}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
