"""What a thread needs to decide: a decider, a chooser of questions, readers and words; one set for each thread.

A decider's engine derives one case at a time: shared by threads, a few decisions in a hundred fail. Where a file of
the shop changes, every thread opens its own anew with the next case.
"""

import dataclasses
import os
import sys
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any

from ..casebook.kept_files import Files
from ..deciding.decide import Decider, decider_of
from ..errors import AdvisorError
from ..interview.next_question import Chooser, Outlook
from ..interview.prompts import Teller
from ..interview.reading import Reader
from ..interview.sampling import Sampler
from ..interview.state import State
from ..knowledge.model import Knowledge
from ..knowledge.shop import About
from ..knowledge.sources import Sources, read

#: Seconds between two looks at the shop's files.
LOOK_EVERY = 5.0
#: Cases whose outlook, and records, are remembered by a thread.
REMEMBERED = 48


class RememberingChooser(Chooser):
    """A chooser that works out once how a case stands, however many pages show it."""

    def __init__(self, sampler: Sampler) -> None:
        super().__init__(sampler)
        self._views: OrderedDict[Hashable, Outlook] = OrderedDict()

    def view(self, state: State) -> Outlook:
        """The `Outlook` of a State."""
        # What a case is called has no part in it: people who said the same about the same car are asked the same.
        key = state_key(dataclasses.replace(state, case=""))
        if key not in self._views:
            self._views[key] = super().view(state)
            if len(self._views) > REMEMBERED:
                self._views.popitem(last=False)
        self._views.move_to_end(key)
        return self._views[key]


def state_key(state: State) -> str:
    """A text that two States share where they come to the same."""
    said = sorted((name, repr(answer.meant), answer.origin) for name, answer in state.said.items())
    return repr((state.case, state.car, said, state.later, state.onward, state.insist, state.changed))


@dataclasses.dataclass
class Workplace:
    """One thread's own. ``plain`` speaks to customers, ``short`` to the counter."""

    sources: Sources
    files: Files
    decider: Decider
    chooser: RememberingChooser
    reader: Reader
    plain: Teller
    short: Teller
    records: OrderedDict[Hashable, Any]

    @property
    def knowledge(self) -> Knowledge:
        """The knowledge it decides by."""
        return self.decider.knowledge

    def record(self, state: State, *, with_changes: bool = True) -> Any:
        """The `DecisionRecord` of a State, worked out once."""
        from ..deciding.advise import advise

        key = (state_key(state), with_changes)
        if key not in self.records:
            self._keep(key, advise(self.decider, state.as_case(), with_changes=with_changes))
        return self.records[key]

    def once(self, name: str, work: Callable[[], Any]) -> Any:
        """What this work comes to, done once until a file of the shop changes or it was not asked for in long."""
        if name not in self.records:
            self._keep(name, work())
        return self.records[name]

    def _keep(self, key, worked_out):
        self.records[key] = worked_out
        if len(self.records) > REMEMBERED:
            self.records.popitem(last=False)


class Workplaces:
    """Gives each thread its `Workplace`; ``shop`` and the others: what the options of the command name."""

    def __init__(self, shop: str | None = None, **options: str | None) -> None:
        self._named = (shop, options)
        self._own = threading.local()
        self._guard = threading.Lock()
        self._looked, self._stamp = 0.0, ""
        self._about: About | None = None

    @property
    def shop(self) -> str | None:
        """The folder of the shop, where an option named one."""
        return self._named[0]

    @property
    def about(self) -> About:
        """The shop, as its file says now."""
        self._look()
        assert self._about is not None
        return self._about

    def _look(self):
        """See whether a file has changed, every few seconds. While one is at fault, what was read before goes on."""
        with self._guard:
            if self._about is not None and time.monotonic() - self._looked < LOOK_EVERY:
                return
            try:
                sources = self._sources()
                stamps = [(str(path), path.stat().st_size, path.stat().st_mtime_ns) for path in sources.files()]
            except (AdvisorError, OSError):
                if self._about is None:
                    raise
            else:
                self._about = sources.shop
                self._stamp = repr((stamps, sources))
            self._looked = time.monotonic()

    def _sources(self):
        shop, options = self._named
        return Sources.chosen(shop, **options)

    def mine(self) -> Workplace:
        """This thread's."""
        self._look()
        if getattr(self._own, "stamp", None) != self._stamp:
            try:
                self._own.place = self._opened()
            except AdvisorError as error:
                if getattr(self._own, "place", None) is None:
                    raise
                sys.stderr.write(f"advisor: the shop's files are at fault, what was read before goes on: {error}\n")
            self._own.stamp = self._stamp
        return self._own.place

    def _opened(self):
        sources = self._sources()
        files = Files.of(sources)
        decider = decider_of(read(sources, cache=not os.environ.get("LEAST_CLUTCH_NO_CACHE")))
        # What is kept with a case is what decided it.
        files.unchanged_in(sources)
        knowledge, shop = decider.knowledge, decider.shop
        units = shop.about.units if shop.about else "si"
        return Workplace(
            sources,
            files,
            decider,
            RememberingChooser(Sampler(decider)),
            Reader(knowledge, shop.platforms),
            Teller(knowledge, shop, plain=True, system=units),
            Teller(knowledge, shop, system=units),
            OrderedDict(),
        )
