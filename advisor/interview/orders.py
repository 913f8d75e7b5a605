"""What the typed orders of a conversation do: help, why, back, change, later, note and the rest."""

import dataclasses

from ..deciding.outcomes import MORE_ANSWERS
from ..errors import ConflictError, EngineError, InputError
from . import asking_why
from .names import CAR
from .state import Said
from .under_way import UnderWay, mend

DONE, LEFT = "done", "left"


class Orders(UnderWay):
    """An interview that takes orders; each order has its method, named ``_do_`` and the order."""

    def _order(self, order, width):
        return getattr(self, "_do_" + order.word.replace("-", "_"))(order.rest, width)

    def _do_help(self, rest, width):
        if not rest:
            return self.teller.help(width)
        try:
            return self.teller.about(self.reader.names.find(rest), width)
        except InputError as error:
            return self.teller_wrap(mend(error), width)

    def _do_why(self, rest, width):
        if rest:
            return (
                self._explain("explain", rest, width)
                if rest in ("1", "2", "3", "edge")
                else self._why_fact(rest, width)
            )
        return asking_why.why(self.teller, self.question, self.view, width)

    def _why_fact(self, rest, width):
        try:
            name = self.reader.names.find(rest)
        except InputError:
            return self.teller_wrap(
                "why tells why the question is asked; explain why this kit, why-not and a kit why not another.", width
            )
        return asking_why.why(self.teller, name, self.view, width)

    def _do_now(self, _, width):
        if self.view.known is None:
            return self.teller_wrap(self.trouble or "Nothing stands yet: the car is not named.", width)
        lines = [self.teller.now(self._standing_record(), self.view, width)]
        lines += [self.teller_wrap(f"Look: {contradiction}", width) for contradiction in self.contradictions()]
        return "\n".join(lines)

    def _standing_record(self):
        """The `DecisionRecord` as it stands, to be told: from a result on, changes are marked."""
        from ..deciding.advise import advise

        # Without the search for what would have to change, which takes long and which what-would-change tells.
        record = advise(self.decider, self.state.as_case(), with_changes=False)
        if record.outcome != MORE_ANSWERS:
            self._mark_told()
        return record

    def _section(self, word, width):
        if self.view.known is None or self.view.known.missing:
            return self.teller_wrap(self.trouble or self.teller.before_advice(word, self.view), width)
        return self.teller.section(self._standing_record(), word, width)

    def _do_next(self, _, width):
        return self._section("next", width)

    def _do_parts(self, _, width):
        return self._section("parts", width)

    def _do_fitting(self, _, width):
        return self._section("fitting", width)

    def _do_cautions(self, _, width):
        return self._section("cautions", width)

    def _do_answers(self, _, width):
        return self.teller.answers(self.state, self.view, width)

    def _do_back(self, _, width):
        if not self.store.undo:
            return self.teller_wrap("There is nothing to take back.", width)
        before = self.store.undo[-1]
        gone = [name for name in self.state.said if self.state.said[name] != before.said.get(name)]
        back = [name for name in before.said if before.said[name] != self.state.said.get(name)]
        about = {key: value for key, value in self.state.about.items() if key != "note"}
        about |= {key: value for key, value in before.about.items() if key == "note"}
        answers_back = (
            []
            if before.car == self.state.car
            else [
                f"car: {'open again' if before.car is None else self.teller.wording.title(before.car) or 'not on file'}"
            ]
        )
        answers_back += [f"{self.teller.name(name)}: {self.teller.said(before.said[name])}" for name in back] + [
            f"{self.teller.name(name)}: open again" for name in gone if name not in back
        ]
        self._move(dataclasses.replace(before, about=about), undoing=True)
        return self.teller_wrap("Taken back. " + ("; ".join(answers_back) + "." if answers_back else ""), width)

    def _do_change(self, rest, width):
        name = self.reader.names.find(rest)
        self._move(
            dataclasses.replace(
                self.state, again=name, later=tuple(fact_later for fact_later in self.state.later if fact_later != name)
            )
        )
        held = (
            Said(CAR, "", self.state.car) if name == CAR and self.state.car is not None else self.state.said.get(name)
        )
        held_text = (
            f"It was {self.teller.said(held)}; that stays until another answer is given."
            if held is not None
            else "It was not answered yet."
        )
        return self.teller_wrap(held_text, width)

    def _do_later(self, rest, width):
        name = self.reader.names.find(rest) if rest else self.question
        if name is None:
            return self.teller_wrap("Nothing is asked now.", width)
        if name == CAR:
            return self.teller_wrap("The car cannot be put off; none if it is not on file.", width)
        if self.state.again == name:
            self._move(dataclasses.replace(self.state, again=""))
            return self.teller_wrap("The answer stays as it was.", width)
        self._move(
            dataclasses.replace(
                self.state, later=(*(fact_later for fact_later in self.state.later if fact_later != name), name)
            )
        )
        return self.teller_wrap(
            f"{self.teller.name(name)}: put off. change {self.teller.name(name)} brings it back.", width
        )

    def _do_assumptions(self, _, width):
        return self.teller.assumed(self.view, width)

    def _do_settled(self, _, width):
        if self.view.known is None or self.view.known.missing:
            return self.teller_wrap("Nothing is decided yet, so nothing stands.", width)
        from ..proving.standing import standing_lines, standing_of

        decision = self.decider.decide(self.state.as_case())
        try:
            stands = standing_of(decision, self.settler)
        except EngineError as error:
            return self.teller_wrap(str(error), width)
        return "\n".join(standing_lines(stands, decision, self.teller.wording, width))

    def _do_more(self, _, width):
        if self.view.known is None:
            return self.teller_wrap(self.trouble or "It is asking already.", width)
        self._move(dataclasses.replace(self.state, onward=True, later=()))
        return "" if self.question is not None else self.teller_wrap("Every question has been asked.", width)

    def _do_done(self, _, width):
        if self.view.known is not None and self._may_be_told():
            self._mark_told()
        self.ended = DONE
        return ""

    def _do_leave(self, _, width):
        self.ended = LEFT
        return ""

    def _do_note(self, rest, width):
        self._move(dataclasses.replace(self.state, about={**self.state.about, "note": rest}))
        return self.teller_wrap("Noted.", width)

    def _do_insist(self, rest, width):
        clashes = self.view.known.clashes.clashes if self.view.known is not None and self.view.known.clashes else ()
        named = next((clash for clash in clashes if clash.id == rest.strip() and clash.harder), None)
        if named is None:
            ids = ", ".join(clash.id for clash in clashes if clash.harder) or "none now"
            return self.teller_wrap(f"insist needs a contradiction that stands now: {ids}.", width)
        self._move(dataclasses.replace(self.state, insist=tuple(sorted({*self.state.insist, named.id}))))
        return self.teller_wrap("The harder reading decides.", width)

    def _do_asked(self, rest, width):
        """A question about the advice, or about a word, in plain words."""
        if self.view.known is None or self.view.known.missing:
            return self.teller_wrap(self.teller.before_advice(rest, self.view), width)
        return self._explained(lambda room: room.asked(rest, self.decider, self.state, self.teller, width), width)

    def _do_explain(self, rest, width):
        return self._explain("explain", rest, width)

    def _do_why_not(self, rest, width):
        return self._explain("why-not", rest, width)

    def _do_what_would_change(self, rest, width):
        return self._explain("what-would-change", rest, width)

    def _do_what_if(self, rest, width):
        answers = [item for item in self.reader.read(rest, None) if isinstance(item, Said) and item.fact != CAR]
        if not answers:
            return self.teller_wrap("what-if needs name = value after it; for another car begin another case.", width)
        return self._explained(lambda room: room.what_if(answers, self.decider, self.state, self.teller, width), width)

    def _explain(self, order, rest, width):
        return self._explained(
            lambda room: room.answer(order, rest, self.decider, self.state, self.teller, width), width
        )

    def _explained(self, explain, width):
        """Hand a question about the standing advice to the explaining room, which is loaded only now."""
        if self.view.known is None:
            return self.teller_wrap(self.trouble or "Nothing stands yet: the car is not named.", width)
        from . import explanations

        try:
            return explain(explanations)
        except (InputError, ConflictError) as error:
            return self.teller_wrap(mend(error), width)
