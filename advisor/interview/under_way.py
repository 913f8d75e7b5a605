"""An interview under way: what was said, how the case stands with it, and on disk before it is held."""

import dataclasses
import functools
from collections.abc import Sequence
from typing import TYPE_CHECKING

from ..deciding.answers import guarded
from ..deciding.outcomes import NO_KIT, RECOMMENDED
from ..errors import ConflictError, InputError
from ..knowledge.case_model import ChangedAnswer
from ..knowledge.sentences import wrap
from .next_question import Chooser, Outlook
from .reading import Reader
from .state import Said, State

if TYPE_CHECKING:
    from ..proving.settled import Settler
    from .interview_file import InterviewFile
    from .prompts import Teller


class UnderWay:
    """One interview: ``state`` is what was said, ``ended`` is None or how it ended.

    ``store`` holds the case file, ``decider`` answers now and the explanations with the full decision.
    """

    def __init__(
        self,
        chooser: Chooser,
        reader: Reader,
        teller: "Teller",
        store: "InterviewFile",
        state: State,
        *,
        rules: str = "",
        result_told: bool = False,
    ) -> None:
        self.chooser, self.reader, self.teller, self.store = chooser, reader, teller, store
        self.decider, self.knowledge = chooser.decider, chooser.knowledge
        self.state = state
        self.ended: str | None = None
        self._rules = rules
        self._seen: tuple[State, Outlook, str] | None = None
        self._told: frozenset[str] = frozenset()
        self._result_told = result_told

    @property
    def view(self) -> Outlook:
        """How the case stands; worked out once for each state."""
        if self._seen is None or self._seen[0] is not self.state:
            try:
                view, trouble = self.chooser.view(self.state), ""
                if view.known is not None and not view.known.missing:
                    _ = view.standing  # worked out here, where a conflict is told
            except ConflictError as error:
                view, trouble = Outlook(self.chooser, self.state), str(error)
            self._seen = (self.state, view, trouble)
        return self._seen[1]

    @functools.cached_property
    def settler(self) -> "Settler":
        """Proves what stands whatever else is answered; EngineError where its library is missing."""
        from ..proving.settled import Settler

        return Settler(self.knowledge)

    @property
    def trouble(self) -> str:
        """What the rules cannot agree on with these answers, or empty."""
        return self._seen[2] if self.view and self._seen else ""

    @property
    def question(self) -> str | None:
        """The fact asked for now, the car, or None where nothing is."""
        return self.state.again or self.view.question

    def _may_be_told(self):
        """May the outcome be told now? That no kit fits is told only once nothing is left to ask."""
        outcome = self.view.standing.outcome
        return outcome == RECOMMENDED or (outcome == NO_KIT and self.question is None)

    # --- what is said

    def give(self, answers: Sequence[Said]) -> None:
        """Take answers in: on disk before they are held. What hung on a changed one is dropped, to be offered again."""
        old = self.state
        new = old.with_answers(answers, self.chooser.follows)
        if self._result_told:
            new = dataclasses.replace(new, changed=self._changed(old, answers))
        # Who says the same again has been asked: the question waits until something changes.
        again = {
            answer.fact for answer in answers if answer.fact in old.said and old.said[answer.fact].meant == answer.meant
        }
        self._move(dataclasses.replace(new, later=(*new.later, *sorted(again - set(new.later)))))

    def _changed(self, old, answers):
        """What was marked before, with guarded answers among the ``answers`` that replace another one."""
        held = {change.fact: change for change in old.changed}
        for said in answers:
            before = old.said.get(said.fact)
            if said.fact not in guarded(self.knowledge) or before is None or before.value == said.value:
                continue
            first = held.pop(said.fact).before if said.fact in held else before.value
            if first != said.value:
                held[said.fact] = ChangedAnswer(said.fact, first, said.value)
        return tuple(held[name] for name in sorted(held))

    def _pick(self):
        known = self.view.known
        return self.view.standing[:2] if known is not None and not known.missing else None

    def contradictions(self) -> tuple[str, ...]:
        """All contradictions among the answers now, each as a sentence or more."""
        known = self.view.known
        if known is None:
            return ()
        clashes = known.clashes
        sentences = [self._contradiction(clash, clashes) for clash in (clashes.clashes if clashes else ())]
        return (*sentences, *(self._denial(denial) for denial in known.denials))

    def _contradiction(self, clash, clashes):
        rule, facts = clash.rule, clashes.derivation.facts
        wording = self.teller.wording
        sides = " ".join(wording.fill(text, facts) for text in rule.contradiction.readings)
        clash_text = f"{sides} {wording.fill(rule.because, facts)}"
        if clash.insisted:
            return f"{clash_text} The harder reading decides."
        between = ", ".join(name for name in clash.facts if name in self.state.said)
        if clash.stops:
            return f"{clash_text} Nothing is sold over this: change one of {between}, or insist {clash.id}."
        return f"{clash_text} If it is not so, change one of {between}." if between else clash_text

    def _denial(self, denial):
        name, shown = denial.fact, self.teller.wording.value
        return (
            f"The car on file has {shown(name, denial.platform)} ({self.teller.wording.label(name)}), "
            f"the answer is {shown(name, denial.answer)}. The answer counts. If the car is as built: change {name}."
        )

    def _move(self, new, *, undoing=False):
        """Put a new state on disk, then hold it. Where the disk refuses, nothing has changed."""
        undo = self.store.undo
        self.store.undo = undo[:-1] if undoing else [*undo, self.state]
        try:
            self._save(new)
        except BaseException:
            self.store.undo = undo
            raise
        self.state = new

    def _save(self, state):
        mark = {"result_told": "yes"} if self._result_told else {}
        self.store.save(state, rules_sha256=self._rules, **mark)

    def _mark_told(self):
        """From now on, and after a restart, a change of use, racing, speed or crankshaft is marked for the lead."""
        if not self._result_told:
            self._result_told = True
            self._save(self.state)

    def teller_wrap(self, text: str, width: int) -> str:
        """Text of this conversation, each line wrapped."""
        return "\n".join(wrap(line, width) for line in text.splitlines())


def mend(error: InputError | ConflictError) -> str:
    """What is wrong and how to mend it, a line for each error."""
    errors = getattr(error, "errors", None) or (error,)
    return "\n".join(f"{error.what} {error.remedy}".strip() for error in errors)
