"""Simulated callers' speech held against what is taken down: the share taken rightly, and every wrong fact."""

from dataclasses import dataclass, field

from tests.simulated.callers import caller


@dataclass
class Count:
    """Facts said that the vocabulary has, those taken rightly, and those taken wrongly: (text, about, fact, value)."""

    said: int = 0
    right: int = 0
    wrong: list = field(default_factory=list)
    missed: list = field(default_factory=list)


def same(answer, heard):
    """Is what was heard what was said? Numbers to a millionth; a range by its ends."""
    if isinstance(answer.value, (bool, str)):
        return heard.value == answer.value

    def close(first, second):
        return first is not None and second is not None and abs(first - second) <= 1e-6 * max(1.0, abs(second))

    if answer.way == "range":
        return close(heard.low, answer.low) and close(heard.high, answer.high)
    return close(heard.value, answer.value) and (answer.way == "about") == heard.rough


def count(listener, seeds, platforms, *, asked=True):
    """`Count` over callers; ``asked``: the first fact of each phrase is the one that was asked for."""
    total = Count()
    for seed in seeds:
        somebody = caller(seed, platforms)
        for spoken in somebody.utterances():
            said = {answer.fact: answer for answer in spoken.said if answer.fact in listener.facts}
            first = spoken.said[0].fact
            about = first if asked and first in listener.facts else ""
            heard = {one.fact: one for one in listener.understand(spoken.text, about).facts}
            total.said += len(said)
            for name, answer in said.items():
                if name in heard and same(answer, heard[name]):
                    total.right += 1
                elif name in heard:
                    total.wrong.append((spoken.text, about, name, heard[name].value))
                else:
                    total.missed.append((spoken.text, about, name))
            for name in set(heard) - set(said):
                if somebody.truth.answers.get(name) == heard[name].value:
                    continue  # it follows from what was said: a chipped engine is a modified one
                total.wrong.append((spoken.text, about, name, heard[name].value))
    return total
