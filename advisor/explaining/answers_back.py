"""Answers to what is asked of an advice: one or two sentences each, every value out of the decision record.

What the record does not hold is not answered: it is said, and the two nearest questions that can be are named.
"""

from collections.abc import Callable

from ..deciding.decide import Decider
from ..deciding.ladder import PRICE
from ..deciding.outcomes import NO_KIT
from ..deciding.upstream import Upstream
from ..errors import InputError
from ..frozen import frozen
from ..knowledge.case_model import Case
from ..knowledge.sentences import aloud, joined, lower_first, sentence
from . import asked_back, kit_meant
from .answers_on_kit import HOLDS, AnswersOnKit, torque_needed
from .declined import no_kit_lines
from .priced_lines import priced_lines, sums_told
from .span_told import narrowing
from .stand_ins_told import on_condition
from .trade_words import meaning
from .what_if import what_if
from .why_not import failure_sentences, step_sentences, why_not
from .worded import WordedRecord

#: An answer has this many sentences at most.
MOST = 2
#: The torque told, and the one that every way of telling it leads to.
TORQUE, BASE = "engine_torque", "base_torque"
#: Cautions that go with every job, told last to who asks what to watch.
_EVERYBODY = ("dust", "fluid", "lifting", "spinning", "never-on-the-road", "maker-first")


@frozen
class Supposed:
    """What a text supposes: ``answers`` fact -> value (None: not known), else ``why`` nothing could be read from it."""

    answers: dict[str, object]
    why: str = ""


class AnswersBack(AnswersOnKit):
    """Answers about one advice. ``suppose`` reads "the boost goes to 1.4 bar" into `Supposed`."""

    def __init__(self, worded: WordedRecord, decider: Decider, case: Case, suppose: Callable[[str], Supposed]) -> None:
        super().__init__(worded)
        self.decider, self.case, self.suppose = decider, case, suppose

    def answer(self, text: str) -> list[str]:
        """At most two sentences."""
        meant_by_it = meaning(text, exactly=True)
        if meant_by_it:
            return [meant_by_it]
        asked = asked_back.asking(text, self.known)
        if not asked.about:
            meant_by_it = meaning(text)
            return [meant_by_it] if meant_by_it else self._not_known(asked.near)
        if asked.about == asked_back.WHAT_IF:
            return self._what_if(asked.rest)[:MOST]
        if self.worded.pick is None and asked.about not in ("needs", "sure"):
            return self._without_pick()[:MOST]
        if asked.about == asked_back.WHY_NOT:
            return self._why_not(asked.rest)[:MOST]
        return _ANSWERS[asked.about](self)[:MOST] if asked.about in _ANSWERS else self._not_known((asked.about,))

    def understood(self, text: str) -> bool:
        """Is it a question that is answered here?"""
        return bool(asked_back.asking(text, self.known).about)

    # --- helpers

    def _not_known(self, near):
        names = joined([self.known[name].about for name in near], "or")
        return ["The record does not tell that.", *([sentence(f"What it tells, nearest: {names}")] if names else [])]

    def _without_pick(self):
        if self.record.outcome == NO_KIT:
            return no_kit_lines(self.record)
        return ["No kit is picked yet.", *self._needs()]

    def _setup(self, *parts):
        return [item for part in parts for item in self.record.setup.of(part)]

    def _priced(self, item):
        name = item.kind.replace("_", " ") or item.title
        return name if item.price is None else f"{name} {self.wording.money(item.price, item.currency)}"

    def _line(self, line, currency):
        price = "(price to be asked)" if line.price is None else self.wording.money(line.price, currency)
        return f"{line.kind} {price}"

    # --- what is asked

    def _cost(self):
        if self._figure(PRICE) is None:
            return self._why_unknown(PRICE)
        lines = priced_lines(self.worded)
        sums = sentence(sums_told(lines, self.wording))
        on_top = []
        for start, likely in (("on top as a rule", True), ("on top only where it is found to be needed", False)):
            named = [self._line(line, lines.currency) for line in lines.depend if line.likely is likely]
            on_top += [f"{start}: {joined(named, most=5)}"] if named else []
        return [sums, *([sentence("; ".join(on_top))] if on_top else [])]

    def _flywheel(self):
        items = [
            item
            for item in self._setup("parts", "steps")
            if "flywheel" in f"{item.id} {item.kind} {item.title}".lower()
        ]
        held = self.worded.fields(self.worded.picked).get("flywheel")
        new = next(
            (item for item in items if item.part and item.level == "required" and item.kind.endswith("flywheel")), None
        )
        if held == "included":
            sentences = ["A flywheel comes with the kit."]
        elif held == "needs":
            sentences = [f"Yes: {self._priced(new)}." if new and new.title else "Yes, this kit needs its own flywheel."]
        else:
            sentences = ["No new one: it goes on the flywheel that is there."]
        rest = next((item for item in items if item is not new and item.level != "optional"), None)
        return [*sentences, *(aloud(rest.text)[:1] if rest else [])]

    def _cheaper(self):
        mine, currency = self._price_of(self.worded.picked), self.worded.fields(self.worded.picked).get("currency")
        less = {
            kit.id: mine - price
            for kit in self.record.fitting
            if mine is not None and (price := self._price_of(kit.id)) is not None and price < mine
        }
        if not less:
            return ["Nothing on file that fits this car costs less."]
        return self._why_not("cheaper", lambda kit: f" ({self.wording.money(less[kit], currency)} less)")

    def _price_of(self, kit):
        """With what goes with it where that was worked out, else of the kit alone."""
        return self._figure(PRICE, kit) or self.worded.fields(kit).get("price")

    def _why(self):
        sentences = [check.sentence for check in self.worded.advised.because if check.sentence]
        sentences = sentences or [self.worded.failure(check) for check in self.worded.advised.because]
        start = "It is the least clutch that does the job."
        if self.worded.fields(self.worded.picked).get("factory"):
            start = "The factory clutch is enough."
        start = on_condition(start, self.worded.kits[self.worded.picked], self.record)
        check = next(iter(self.worded.advised.because), None)
        if check is None:
            return [start]
        posted = self.worded.requirements[check.requirement]
        needed = self.wording.demand(posted.compare, posted.measure, check.needed, check.actual)
        return [start, sentence(f"{needed}, it has {self.wording.beside(posted.measure, check.actual, check.needed)}")]

    def _why_not(self, rest, beside=lambda kit: ""):
        """Why not a kit; ``beside``: what is told of it in the same breath."""
        try:
            meant = kit_meant.meant(self.worded, rest)
        except InputError as error:
            return [sentence(error.what), error.remedy]
        title = self.wording.title(meant.kit)
        if meant.kit == self.worded.pick:
            return [f"{title} is the pick."]
        title += beside(meant.kit)
        data = why_not(self.worded, meant.kit)
        failed = [verdict for verdict in data["failed"] if verdict["dimension"]] if not data["fits"] else data["failed"]
        if failed:
            first = [
                failure_sentence
                for failure_sentence in failure_sentences(self.worded, failed[0])
                if not failure_sentence.startswith("This is about")
            ]
            return [sentence(f"{title}: {lower_first(first[0])}"), first[1]]
        if data["unknown"]:
            posted = self.worded.requirements[data["unknown"][0]["requirement"]]
            return [f"{title} cannot be judged.", sentence(f"Its {self.wording.label(posted.measure)} is not known")]
        if data["step"] and "lost" in data["step"]:
            return [f"{title} would do too, but stands behind.", *self._lost(meant.kit, data["step"])]
        steps = step_sentences(self.worded, data) if data["step"] else []
        return [f"{title} would do too, but stands behind.", *steps[:1]]

    def _lost(self, kit, step):
        """What a kit gives up that the pick does not, its classes in words."""
        checks = {check.requirement: check for check in self.worded.kits[kit].given_up}
        for name in step["lost"]:
            words = self._class_words(self.worded.requirements[name].measure, checks[name].actual)
            if words:
                return [f"It gives up what is wished about {step['step'].replace('_', ' ')}: {words}."]
        return [sentence(self.worded.failure(checks[step["lost"][0]]))]

    def _stronger(self):
        above = self.record.next_up
        if above is None:
            return ["Nothing stronger on file passes for this car."]
        steps = [self._stepped(add) for add in above.adds[:4]]
        return [f"One step up is {self.wording.title(above.kit)}.", sentence(joined(steps))]

    def _stepped(self, step):
        """What another kit brings in one figure, its classes in words."""
        words = self._class_words(step.figure, step.kit)
        if words:
            return f"{step.figure.removesuffix('_class').replace('_', '-')}: {words}"
        return f"{self.wording.label(step.figure)} {self.wording.step(step.figure, step.pick, step.kit)}"

    def _needs(self):
        record, wording = self.record, self.wording
        if record.asks:
            asked = [self._question(name) for name in record.asks[:MOST]]
            return ["Before anything is sold: " + " ".join(asked)]
        matter = [assumption.fact for assumption in record.assumptions if assumption.matters]
        surer = narrowing(record.span, wording, record.case.answers) if record.span else []
        sentences = [] if matter else ["Nothing more is needed."]
        if matter:
            sentences.append(sentence(f"Another answer would change it: {wording.labels(matter[:4])}"))
        if surer:
            sentences.append(sentence(f"What would make it surer: {joined(surer[:3])}"))
        return sentences

    def _question(self, name):
        question = self.worded.knowledge.questions.get(name)
        return question.plain if question else sentence(self.wording.label(name))

    def _time(self):
        fields = self.worded.fields(self.worded.picked)
        stock, days = fields.get("stock"), fields.get("lead_time_days")
        if fields.get("factory") and stock is None and days is None:
            return ["When the factory clutch can be had is not in the record."]
        if stock:
            delivery = f"It is on the shelf: {self._value('stock', stock)}"
        elif days is not None:
            delivery = f"It has to be ordered: {self._value('lead_time_days', days)} days"
        else:
            delivery = "It has to be ordered; the days are not on file"
        return [sentence(delivery), "How long the fitting takes is not in the record."]

    def _growth(self):
        from .sensitivity import sensitivity

        data = sensitivity(self.worded, self.decider, self.case)
        return data["sentences"] if data else self._without_pick()

    def _parts(self):
        parts = [item for item in self._setup("parts") if item.title]
        must = [item.title for item in parts if item.level == "required"]
        check = [item.kind.replace("_", " ") for item in parts if item.level == "check"]
        sentences = [f"With it goes {joined(must)}." if must else "Nothing has to be bought with it for certain."]
        return [*sentences, *([f"To be replaced unless like new: {joined(check)}."] if check else [])]

    def _fitting(self):
        return [line for item in self._setup("fitted_by") for line in aloud(item.text)] or self._not_known(("parts",))

    def _bedding(self):
        steps = [line for item in self._setup("bedding_in") for line in aloud(item.text)]
        return steps or ["The record asks for no bedding in."]

    def _watch(self):
        own = [caution for caution in self.record.cautions if caution.id not in _EVERYBODY]
        first = next(iter(own), None)
        if first is None:
            return ["Nothing beyond the cautions that go with every clutch job."]
        return aloud(first.text)

    def _factory_question(self):
        factory = self._factory()
        if factory is None:
            return ["No factory clutch of this car is on file."]
        if factory == self.worded.pick:
            return self._why()
        return self._why_not("factory")

    def _sure(self):
        if self.worded.pick is None:
            return self._without_pick()
        sentences = []
        span = self.record.span
        if span and span.likely:
            sentences.append(
                f"As the open answers may turn out, this kit does the job in {span.likely.holds_in} of 100."
            )
        matter = [assumption.fact for assumption in self.record.assumptions if assumption.matters]
        sentences.append(
            sentence(f"Assumed, and it matters: {self.wording.labels(matter[:4])}")
            if matter
            else "Nothing that was assumed would change it alone."
        )
        return sentences

    # --- what if

    def _what_if(self, text):
        supposed = self.suppose(text)
        if not supposed.answers:
            return [
                supposed.why or "What that would be is not understood.",
                "Say it with a number or a choice, as in what if it makes 480 N m.",
            ]
        data, old, new = what_if(self.decider, self.case, supposed.answers, self.wording.system, before=self.record)
        with_it = joined(
            [
                f"{self.wording.label(name)} {_shown(self.wording, name, value)}"
                for name, value in sorted(supposed.answers.items())
            ]
        )
        if data["nothing"]:
            return [f"With {with_it} nothing changes.", *self._torque_decides(supposed.answers)]
        sentences = data["sentences"][len(data["answers"]) :]
        if new.pick is not None and new.pick == old.pick:
            sentences = [f"With {with_it} it stays this kit."]
            mine, needed = new.record.figure(new.pick, HOLDS), torque_needed(new.record)
            if mine is not None and needed is not None:
                held, wanted = self.wording.pair(HOLDS, mine, needed)
                sentences.append(f"It holds {held} where {wanted} is then needed.")
            return sentences
        return [f"With {with_it}: {lower_first(sentences[0])}", *sentences[1:]]

    def _torque_decides(self, answers):
        """Where the torque was told, what else tells of it changes nothing by itself."""
        if TORQUE not in self.record.case.answers or BASE not in self.worded.knowledge.facts:
            return []
        ways = Upstream(self.worded.knowledge).of_fact(BASE)
        if not any(name in ways and name != TORQUE for name in answers):
            return []
        return ["The torque that was told decides; say the torque it will then make."]


_ANSWERS: dict[str, Callable[[AnswersBack], list[str]]] = {
    "pedal": AnswersBack._pedal,
    "cost": AnswersBack._cost,
    "flywheel": AnswersBack._flywheel,
    "cheaper": AnswersBack._cheaper,
    "why": AnswersBack._why,
    "stronger": AnswersBack._stronger,
    "needs": AnswersBack._needs,
    "time": AnswersBack._time,
    "noise": AnswersBack._noise,
    "take_up": AnswersBack._take_up,
    "holds": AnswersBack._holds,
    "growth": AnswersBack._growth,
    "parts": AnswersBack._parts,
    "fitting": AnswersBack._fitting,
    "bedding": AnswersBack._bedding,
    "life": AnswersBack._life,
    "heat": AnswersBack._heat,
    "gearbox": AnswersBack._gearbox,
    "crankshaft": AnswersBack._crankshaft,
    "watch": AnswersBack._watch,
    "kind": AnswersBack._kind,
    "factory": AnswersBack._factory_question,
    "sure": AnswersBack._sure,
}


def _shown(wording, name, value):
    return "not known" if value is None else wording.value(name, value)
