"""The shipped shop and rules, and the parts of an interview over them, made once in a run."""

import functools

from advisor.deciding.decide import Shop
from advisor.interview.next_question import Chooser
from advisor.interview.prompts import Teller
from advisor.interview.reading import Reader
from advisor.interview.sampling import Sampler
from tests import shipped

#: States of which what was seen is kept.
KEPT = 100


def knowledge():
    """The rules."""
    return shipped.content().knowledge


@functools.cache
def stock():
    """The invented shop."""
    return Shop.of(shipped.content())


def decider():
    """A Decider on the plain chainer."""
    return shipped.plain_decider()


class KeptChooser(Chooser):
    """Looks at a state once: many conversations begin alike, and one state has one `Outlook`."""

    def __init__(self, *given, **options):
        super().__init__(*given, **options)
        self._seen = {}

    def view(self, state):
        key = repr(state)
        if key not in self._seen:
            while len(self._seen) >= KEPT:
                del self._seen[next(iter(self._seen))]
            self._seen[key] = super().view(state)
        return self._seen[key]


@functools.cache
def chooser(in_order=False):
    """The chooser of questions, or the one that asks everything in order."""
    return Chooser(Sampler(decider()), in_order=in_order)


@functools.cache
def quick():
    """A chooser that draws few callers: for tests of what is said, not of what is asked."""
    return KeptChooser(Sampler(decider(), 30))


def reader():
    """The reader of lines."""
    return Reader(knowledge(), stock().platforms)


def teller(**options):
    """The words."""
    return Teller(knowledge(), stock(), **options)


def cases():
    """The shipped cases by id."""
    return shipped.cases()
