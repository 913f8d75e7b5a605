"""What was taken down, said back in one line."""

from ..knowledge.wording import Wording
from .hearing import Asked, Heard, Understood


class Saying:
    """Words for what came of a sentence; ``wording`` is the one Wording of values."""

    def __init__(self, wording: Wording) -> None:
        self.wording = wording

    def value(self, heard: Heard) -> str:
        """A value as heard, with its band where it was said to be rough."""
        if not self._is_number(heard) or not heard.text:
            return self.wording.value(heard.fact, heard.value)
        if not heard.rough:
            return self._said(heard, heard.text, heard.value)
        if heard.low is None:
            return f"at most {self._said(heard, heard.high_text, heard.high)}"
        if heard.high is None:
            return f"at least {self._said(heard, heard.low_text, heard.low)}"
        if heard.low_text.split()[0] == heard.text.split()[0]:
            return f"just over {self._said(heard, heard.text, heard.value)}"
        if heard.high_text.split()[0] == heard.text.split()[0]:
            return f"just under {self._said(heard, heard.text, heard.value)}"
        if heard.is_range:
            return f"{heard.low_text.split()[0]} to {self._said(heard, heard.high_text, heard.high)}"
        return f"about {self._said(heard, heard.text, heard.value)}"

    def _is_number(self, heard: Heard) -> bool:
        return self.wording.knowledge.facts[heard.fact].kind == "number"

    def _said(self, heard, text, value):
        """In the unit it was said in; where that is not ours, what it comes to stands behind."""
        ours = self.wording.value(heard.fact, value)
        shown = getattr(self.wording.word(heard.fact), "shown_as", "")
        unit = text.partition(" ")[2]
        return ours if shown or unit in ("", heard.unit) else f"{text} ({ours})"

    def fact(self, heard: Heard) -> str:
        """Name and value."""
        slip = f", read from {heard.said!r}" if heard.misspelt else ""
        between = " " if self._is_number(heard) else ": "
        return f"{self.wording.label(heard.fact)}{between}{self.value(heard)}{slip}"

    def readings(self, asked: Asked) -> str:
        """The nearest readings of what was not settled, as a question's end."""
        return " or ".join(self.fact(reading) for reading in asked.readings)

    def line(self, understood: Understood) -> str:
        """One line: what was taken down, what must be asked, what was not understood."""
        said = []
        if understood.facts:
            said.append("Taken down: " + "; ".join(self.fact(fact_name) for fact_name in understood.facts) + ".")
        else:
            said.append("Nothing was taken down.")
        return " ".join([*said, *self.asides(understood)])

    def asides(self, understood: Understood) -> list[str]:
        """Sentences about what was not taken."""
        said = []
        for ask in understood.asks:
            readings = self.readings(ask)
            said.append(f"To be asked, {ask.said!r}: {ask.why}" + (f"; nearest: {readings}." if readings else "."))
        if understood.left_over:
            said.append("Not understood: " + "; ".join(repr(text) for text in understood.left_over) + ".")
        return said
