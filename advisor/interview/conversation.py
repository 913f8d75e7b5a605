"""The conversation without a terminal: a line goes in, text comes out, and the answer is on disk before it does."""

from ..deciding.outcomes import MORE_ANSWERS, RECOMMENDED
from ..errors import EngineError, InputError
from .names import CAR
from .orders import Orders
from .reading import is_unknown
from .state import Aside, Said
from .typed_orders import TypedOrder
from .under_way import mend


class Talk(Orders):
    """One interview, asked and answered.

    Errors of the disk (StoreError) go to the caller; everything a person can mend is told and asked again.
    """

    # --- what is asked

    def ask(self, width: int) -> str:
        """The text above the prompt."""
        if self.question is None:
            if self.trouble:
                return self.teller_wrap(f"{self.trouble} Change one of the answers.", width)
            from .stopping import stopped

            guarantee = self._guarantee()
            return stopped(self.teller, self.view, self.state, width, self._undecided(), self._doubtful(), guarantee)
        return self.teller.question(self.question, self.state, self.view, width)

    def _undecided(self):
        """The `DecisionRecord` where nothing can be decided and nothing is left to ask, else None."""
        return self._standing_record() if self.view.standing.outcome == MORE_ANSWERS else None

    def _guarantee(self):
        """Where a kit is picked: whether it is proved that it stays, or only drawn from callers."""
        if self.view.standing.outcome != RECOMMENDED:
            return ""
        from ..proving.standing import guarantee, standing_of

        decision = self.decider.decide(self.state.as_case())
        if decision.pick is None:
            return ""
        try:
            stands = standing_of(decision, self.settler)
        except EngineError:
            return "That is drawn from callers, not proved."
        return guarantee(stands, self.teller.wording.title(decision.kits.ids[decision.pick]))

    def _doubtful(self):
        """Where a kit is picked: the `Span` of the advice, as the advice itself will tell it."""
        if self.view.standing.outcome != RECOMMENDED:
            return None
        return self.decider.spanner.span(self.view.platform, self.view.facts_known, self.view.standing.pick)

    def prompt(self) -> str:
        """The words before the cursor."""
        if self.question is None:
            return "done, more or a change> " if self.view.may_go_on else "done or a change> "
        if self.teller.plain:
            return "answer> "
        return f"{self.question.replace('_', ' ')}> "

    def status(self, width: int) -> str:
        """The status line."""
        if self.trouble:
            return "answers in conflict"[:width]
        return self.teller.status(self.view, self.state, width)

    # --- what is said

    def complaint(self, text: str) -> str:
        """What is wrong with a line, or empty where it would be taken."""
        if not text.strip():
            return ""
        try:
            self._prepare(self.reader.read(text, self.question))
        except InputError as error:
            return self.teller.mended(mend(error), self.question)
        return ""

    def take(self, text: str, width: int) -> str:
        """Take a line in; the text that answers it."""
        if not text.strip():
            return self._empty(width)
        try:
            read_items = self.reader.read(text, self.question)
            answers, orders = self._prepare(read_items)
        except InputError as error:
            return self.teller_wrap(self.teller.mended(mend(error), self.question), width)
        lines = []
        if answers:
            lines.append(self._answer(answers, width))
        lines += [self.teller_wrap(read_item.text, width) for read_item in read_items if isinstance(read_item, Aside)]
        for order in orders:
            lines.append(self._order(order, width))
        return "\n".join(line for line in lines if line)

    def _prepare(self, read_items):
        """(answers, orders), the orders' names and values checked before anything is taken."""
        answers = [read_item for read_item in read_items if isinstance(read_item, Said)]
        orders = [read_item for read_item in read_items if isinstance(read_item, TypedOrder)]
        for order in orders:
            if order.word in ("change", "later") and order.rest:
                self.reader.names.find(order.rest)
            if order.word == "what-if" and order.rest:
                self.reader.read(order.rest, None)
            if order.word in ("change", "what-if", "note", "why-not") and not order.rest:
                needs = {"change": "a name", "what-if": "name = value", "note": "a text", "why-not": "a kit"}[
                    order.word
                ]
                raise InputError(f"{order.word} needs {needs} after it.", value=order.word, remedy="See help.")
        return answers, orders

    def _empty(self, width):
        held = self.state.former.get(self.question) if self.question else None
        if held is not None:
            return self._answer([held], width)
        if self.question is None:
            return self.teller_wrap("Type done for the advice, or more to go on.", width)
        return self.teller_wrap("Type an answer, or ? if it is not known; help shows what else there is.", width)

    def _answer(self, answers, width):
        before_pick = self._pick()
        old, coming = self.state, self.view.coming
        self.give(answers)
        new = self.state
        lines = [self.teller_wrap(self._taken(answer), width) for answer in answers]
        dropped = [name for name in new.former if name not in old.former or old.former[name] is not new.former[name]]
        if dropped:
            held = ", ".join(f"{self.teller.name(name)} ({self.teller.said(new.former[name])})" for name in dropped)
            lines.append(
                self.teller_wrap(f"Dropped, because it hung on that: {held}. It is offered again when asked.", width)
            )
        lines += self._new_contradictions(width)
        pick = self._pick()
        if pick is not None and pick != before_pick and self._may_be_told():
            lines.append(self.teller_wrap(f"Now: {self.teller.outcome(self.view.standing)}.", width))
            self._mark_told()
        lines += self._opened(coming, answers, width)
        return "\n".join(lines)

    def _taken(self, item):
        """What was taken down, and what stands in for what is not known."""
        named = self.teller.label(item.fact) if self.teller.plain else item.fact.replace("_", " ")
        nobody_knows = item.unknown or (item.fact == CAR and not item.value and is_unknown(item.raw))
        rest = f" {self.teller.untold(item.fact, self.view, self.state)}" if nobody_knows else ""
        return f"{named}: {self.teller.said(item)}.{rest}"

    def _opened(self, coming, saids, width):
        """Why there is more to ask than before, where there is."""
        now = self.view.coming
        if coming is None or now is None or len(now) <= len(coming):
            return []
        opened = self.teller.wording.labels([name for name in now if name not in coming], most=3)
        by = self.teller.wording.labels(said.fact for said in saids)
        return [
            self.teller_wrap(f"More to ask than before, after the answer on {by}. What matters now: {opened}.", width)
        ]

    def _new_contradictions(self, width):
        sentences = self.contradictions()
        fresh = [sentence for sentence in sentences if sentence not in self._told]
        self._told = frozenset(sentences)
        return [self.teller_wrap(f"Look: {sentence}", width) for sentence in fresh]
