"""What a relation found: classes with their counts, and what no class explains."""

from collections import Counter
from dataclasses import dataclass, field


@dataclass
class Tally:
    """``pairs`` held against each other; ``classes`` class -> count; ``unexplained`` texts, which must be none."""

    pairs: int = 0
    classes: Counter = field(default_factory=Counter)
    unexplained: list = field(default_factory=list)

    def count(self, name, number=1):
        """One more of a class that is in order."""
        self.classes[name] += number

    def wrong(self, text):
        """Something no class explains."""
        self.unexplained.append(text)

    def told(self):
        """The counts in one line."""
        parts = [f"{name} {number}" for name, number in sorted(self.classes.items())]
        return "; ".join([*parts, f"unexplained {len(self.unexplained)}"])
