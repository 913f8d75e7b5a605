"""A case under way as pages see it: opened for one request, written before the answer is acknowledged.

The case file and its lock are the terminal's own, so a case goes on in either: what is said on a page is on disk before
the next page, and two requests never write at once.
"""

import contextlib
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from ..errors import StoreError
from ..interview import case_file
from ..interview.conversation import Talk
from ..interview.interview_file import InterviewFile
from ..interview.prompts import Teller
from ..interview.state import Said, State
from ..knowledge import canonical
from .workplace import Workplace

#: Seconds to wait for another request that writes to the same case.
PATIENCE = 5.0


class PagedInterview(Talk):
    """One interview asked on pages. ``rules_changed``: have the rules changed since it was last written?

    ``alone``: nobody of the shop asks it.
    """

    rules_changed = False
    alone = False

    @property
    def question(self) -> str | None:
        """As of any interview; but of a car that is not on file nobody alone is sent to measure what fits it."""
        name = super().question
        asked = self.knowledge.questions.get(name) if name else None
        measured = asked is not None and asked.effort == "measure"
        return None if measured and self.alone and self.state.car == "" else name

    @property
    def may_ask_more(self) -> bool:
        """Has it stopped by itself, with more that could be asked?"""
        return super().question is None and self.view.may_go_on

    @property
    def revision(self) -> str:
        """Changes with every answer: a form made for another revision is an older one."""
        return canonical.digest(case_file.write(self.state).encode("utf-8"))[:20]

    def answered(self, answers: Sequence[Said]) -> tuple[str, ...]:
        """Take answers in; the contradictions that are there since, each as a sentence or more."""
        before_pick, before = self._pick(), self.contradictions()
        self.give(answers)
        pick = self._pick()
        if pick is not None and pick != before_pick and self._may_be_told():
            self._mark_told()
        return tuple(sentence for sentence in self.contradictions() if sentence not in before)

    def go_on(self) -> None:
        """Ask on after it has stopped by itself."""
        self._do_more("", 80)

    def insist(self, name: str) -> None:
        """The harder reading of a contradiction decides."""
        self._do_insist(name, 80)

    @property
    def may_be_told(self) -> bool:
        """Is there an outcome that may be told now?"""
        known = self.view.known
        return known is not None and not known.missing and not self.trouble and self._may_be_told()


def begin(path: Path, name: str, place: Workplace) -> None:
    """Put a new case on disk."""
    with InterviewFile(path) as store:
        store.save(State(name), rules_sha256=place.knowledge.sha256)


@contextlib.contextmanager
def opened(path: Path, place: Workplace, *, write: bool = False, short: bool = False) -> Iterator[PagedInterview]:
    """The interview of a case file; ``short``: in the counter's words. StoreError where another writes to it."""
    with contextlib.ExitStack() as stack:
        store = InterviewFile(path)
        if write:
            _lock(stack, store)
        state, side = store.load(place.knowledge)
        teller: Teller = place.short if short else place.plain
        interview = PagedInterview(
            place.chooser,
            place.reader,
            teller,
            store,
            state,
            rules=place.knowledge.sha256,
            result_told=side.get("result_told") == "yes",
        )
        interview.alone = not short
        interview.rules_changed = side.get("rules_sha256") not in (None, place.knowledge.sha256)
        yield interview


def _lock(stack, store):
    until = time.monotonic() + PATIENCE
    while True:
        try:
            return stack.enter_context(store)
        except StoreError:
            if time.monotonic() > until:
                raise
            time.sleep(0.02)


def drop(path: Path) -> None:
    """Remove a case from the disk, with what stands beside it."""
    for name in (path.name, f"{path.name}.interview", f"{path.name}.lock"):
        path.with_name(name).unlink(missing_ok=True)
