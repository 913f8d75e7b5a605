"""The conversation without a terminal: a line goes in, text comes out, and the answer is on disk before it does."""

import dataclasses
from typing import TYPE_CHECKING

from ..deciding.answers import guarded
from ..deciding.outcomes import MORE_ANSWERS, NO_KIT, RECOMMENDED
from ..errors import ConflictError, InputError
from ..knowledge.case_model import ChangedAnswer
from . import asking_why
from .names import CAR
from .next_question import Chooser, Outlook
from .reading import Reader, TypedOrder, is_unknown
from .state import Aside, Said, State, followers

if TYPE_CHECKING:
    from .interview_file import InterviewFile
    from .prompts import Teller

DONE, LEFT = "done", "left"


class Talk:
    """One interview: ``state`` is what was said, ``ended`` is None, done or left.

    ``store`` holds the case file, ``decider`` answers now and the explanations with the full decision.
    Errors of the disk (StoreError) go to the caller; everything a person can mend is told and asked again.
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
        self._follows = followers(self.knowledge)
        self._rules = rules
        self._seen: tuple[State, Outlook, str] | None = None
        self._told: frozenset[str] = frozenset()
        self._result_told = result_told

    # --- what is asked

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

    @property
    def trouble(self) -> str:
        """What the rules cannot agree on with these answers, or empty."""
        return self._seen[2] if self.view and self._seen else ""

    @property
    def question(self) -> str | None:
        """The fact asked for now, the car, or None where nothing is."""
        return self.state.again or self.view.question

    def ask(self, width: int) -> str:
        """The text above the prompt."""
        if self.question is None:
            if self.trouble:
                return self.teller_wrap(f"{self.trouble} Change one of the answers.", width)
            from .stopping import stopped

            return stopped(self.teller, self.view, self.state, width, self._undecided(), self._narrows())
        return self.teller.question(self.question, self.state, self.view, width)

    def _undecided(self):
        """The `DecisionRecord` where nothing can be decided and nothing is left to ask, else None."""
        if self.view.standing.outcome != MORE_ANSWERS:
            return None
        from ..deciding.advise import advise

        return advise(self.decider, self.state.as_case(), with_changes=False)

    def _narrows(self):
        """Where a kit is picked: facts that would narrow the advice all the same, as the advice itself will say."""
        if self.view.standing.outcome != RECOMMENDED:
            return ()
        span = self.decider.spanner.span(self.view.platform, self.view.facts_known, self.view.standing.pick)
        return tuple(narrow.fact for narrow in span.narrows) if span else ()

    def prompt(self) -> str:
        """The words before the cursor."""
        if self.question is None:
            return "done, more or a change> "
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
            return self.teller.mended(_mend(error), self.question)
        return ""

    def take(self, text: str, width: int) -> str:
        """Take a line in; the text that answers it."""
        if not text.strip():
            return self._empty(width)
        try:
            read_items = self.reader.read(text, self.question)
            answers, orders = self._prepare(read_items)
        except InputError as error:
            return self.teller_wrap(self.teller.mended(_mend(error), self.question), width)
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
        new = old.with_answers(answers, self._follows)
        if self._result_told:
            new = dataclasses.replace(new, changed=self._changed(old, answers))
        # Who says the same again has been asked: the question waits until something changes.
        again = {
            answer.fact for answer in answers if answer.fact in old.said and old.said[answer.fact].meant == answer.meant
        }
        new = dataclasses.replace(new, later=(*new.later, *sorted(again - set(new.later))))
        self._move(new)
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
        return [self.teller_wrap(f"More to ask than before: with the {by} as it is, {opened} matters now.", width)]

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

    def _may_be_told(self):
        """May the outcome be told now? That no kit fits is told only once nothing is left to ask."""
        outcome = self.view.standing.outcome
        return outcome == RECOMMENDED or (outcome == NO_KIT and self.question is None)

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

    def _new_contradictions(self, width):
        sentences = self.contradictions()
        fresh = [sentence for sentence in sentences if sentence not in self._told]
        self._told = frozenset(sentences)
        return [self.teller_wrap(f"Look: {sentence}", width) for sentence in fresh]

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

    # --- orders

    def _order(self, order, width):
        return getattr(self, "_do_" + order.word.replace("-", "_"))(order.rest, width)

    def _do_help(self, rest, width):
        if not rest:
            return self.teller.help(width)
        try:
            return self.teller.about(self.reader.names.find(rest), width)
        except InputError as error:
            return self.teller_wrap(_mend(error), width)

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
        from ..deciding.advise import advise

        # Without the search for what would have to change, which takes long and which what-would-change tells.
        record = advise(self.decider, self.state.as_case(), with_changes=False)
        if record.outcome != MORE_ANSWERS:
            self._mark_told()
        lines = [self.teller.now(record, self.view, width)]
        lines += [self.teller_wrap(f"Look: {contradiction}", width) for contradiction in self.contradictions()]
        return "\n".join(lines)

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
            return self.teller_wrap(_mend(error), width)

    def teller_wrap(self, text: str, width: int) -> str:
        """Text of this conversation, each line wrapped."""
        from .prompts import wrap

        return "\n".join(wrap(line, width) for line in text.splitlines())


def _mend(error):
    errors = getattr(error, "errors", None) or (error,)
    return "\n".join(f"{error.what} {error.remedy}".strip() for error in errors)
