"""How far something long has come, on standard error."""

import sys
import time


class Progress:
    """One line rewritten on a terminal, else a line now and then; ``of``: what is counted."""

    def __init__(self, of: str = "cases", every: float = 10.0) -> None:
        self.of, self.every, self.last, self.terminal = of, every, time.monotonic(), sys.stderr.isatty()

    def __call__(self, done: int, of: int, rate: float) -> None:
        """Called now and again: so many are done of so many, so many a second."""
        text = f"{done} of {of} {self.of}" + (f", {rate:.0f} a second" if rate else "")
        if self.terminal:
            sys.stderr.write(f"\r{text:<60}" + ("\n" if done == of else ""))
        elif done == of or time.monotonic() - self.last > self.every:
            self.last = time.monotonic()
            sys.stderr.write(f"{text}\n")
        sys.stderr.flush()
