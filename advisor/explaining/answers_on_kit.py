"""Answers about the picked kit itself: its pedal, noise and take-up, what it holds, how hot and how old it gets."""

from ..deciding.decision_record import DecisionRecord
from ..deciding.ladder import PEDAL, step_number
from ..knowledge.sentences import aloud, capital, lower_first, sentence
from .worded import WordedRecord

#: What the torque needed is held against: worn or new, at working temperature.
HOLDS = "capacity_working_nm"


class AnswersOnKit:
    """One advice, and the answers that its kit's figures and cautions give."""

    def __init__(self, worded: WordedRecord) -> None:
        self.worded = worded
        self.wording, self.record = worded.wording, worded.record
        self.known = worded.knowledge.asked_back

    def _figure(self, name, kit=None):
        return self.record.figure(kit or self.worded.picked, name)

    def _value(self, name, value):
        return self.wording.value(name, value)

    def _why_unknown(self, name):
        reason = self.worded.kits[self.worded.picked].unknown_figures.get(name, "")
        opening = f"{self.wording.label(name)} is not known for this kit"
        return [sentence(f"{opening}: {reason}" if reason else opening)]

    def _factory(self):
        """Id of the factory clutch of the car, or None."""
        return next((kit.id for kit in self.record.fitting if self.worded.fields(kit.id).get("factory")), None)

    def _cautions_of(self, *topics):
        cautions = []
        for caution in self.record.cautions:
            rule = self.worded.rules.get(caution.rule)
            if rule is not None and rule.topic in topics:
                cautions.append(" ".join(aloud(caution.text)))
        return cautions

    def _class_words(self, measure, value):
        entry = self.known.get(measure.removesuffix("_class"))
        return dict(entry.classes).get(f"{value:.0f}", "") if entry and isinstance(value, float) else ""

    # --- what is asked of the kit

    def _pedal(self):
        mine = self._figure(PEDAL)
        if mine is None:
            return self._why_unknown(PEDAL)
        factory = self._factory()
        theirs = self._figure(PEDAL, factory) if factory else None
        force = f"The pedal takes {self._value(PEDAL, mine)}"
        if factory == self.worded.pick:
            return [f"{force}, as it does now: it is the factory clutch."]
        if theirs is None:
            return [sentence(force), "What the factory clutch takes is not known."]
        size = self.worded.knowledge.order.steps["pedal_force"]
        steps = step_number(mine, size) - step_number(theirs, size)
        word = "about as heavy as" if not steps else "heavier than" if steps > 0 else "lighter than"
        return [f"{force}, {word} the factory clutch, which takes {self._value(PEDAL, theirs)}."]

    def _noise(self):
        of_class = self._of_class("noise_class")
        return [*of_class, *self._given_up("noise")]

    def _take_up(self):
        of_class = self._of_class("take_up_class")
        value = self._figure("take_up_class")
        return [
            f"It takes up {lower_first(of_class[0])}" if of_class[0] and value is not None else of_class[0],
            *self._given_up("take_up"),
        ]

    def _of_class(self, name):
        value = self._figure(name)
        if value is None:
            return self._why_unknown(name)
        words = self._class_words(name, value)
        return [capital(f"{words}.")] if words else [sentence(f"{self.wording.label(name)} {self._value(name, value)}")]

    def _given_up(self, concern):
        return ["That is more than was wished."] if concern in self.worded.kits[self.worded.picked].concerns else []

    def _holds(self):
        mine, needed = self._figure(HOLDS), torque_needed(self.record)
        if mine is None or needed is None:
            return self._why_unknown(HOLDS)
        held, wanted = self.wording.pair(HOLDS, mine, needed)
        sentences = [f"Yes: new or worn, at working temperature, it holds {held}, and {wanted} is needed."]
        chance = self._figure("holding_probability")
        if chance is not None:
            sentences.append(f"The chance that it holds is {self._value('holding_probability', chance)}.")
        return sentences

    def _life(self):
        value = self._figure("life_km")
        if value is None:
            return self._why_unknown("life_km")
        return [f"By the record's estimate {self._value('life_km', value)}, driven as was said."]

    def _heat(self):
        hottest = self._figure("hottest_plate_c")
        if hottest is None:
            return self._why_unknown("hottest_plate_c")
        share = self._figure("plate_over_continuous_share")
        sentences = [f"The hottest plate reaches {self._value('hottest_plate_c', hottest)}, driven as was said."]
        return sentences + (
            [f"That is {self._value('plate_over_continuous_share', share)} of what the facing stands for long."]
            if share is not None
            else []
        )

    def _gearbox(self):
        cautions = self._cautions_of("gearbox")
        if cautions:
            return aloud(cautions[0])
        rating = self.record.value("gearbox_torque_rating")
        if rating is None:
            return ["Nobody knows what this gearbox is rated for."]
        rated = self._value("gearbox_torque_rating", rating)
        return [f"The gearbox is rated for {rated}; nothing in the record warns of it."]

    def _crankshaft(self):
        cautions = self._cautions_of("thrust")
        mine = self._figure("bearing_load_n")
        load = [] if mine is None else [f"The pedal loads the crankshaft with {self._value('bearing_load_n', mine)}."]
        return [*load, *(aloud(cautions[0])[:1] if cautions else ["Nothing in the record warns of it."])]

    def _kind(self):
        specification = self.record.data.get("specification") or {}
        sentences = [f"{self.wording.title(self.worded.picked)}."]
        discs = specification.get("discs")
        if discs is not None:
            word = {1: "One disc", 2: "Two discs", 3: "Three discs", 4: "Four discs"}.get(
                int(discs), f"{discs:g} discs"
            )
            facing, form, hub = (
                self._value(name, specification[name])
                for name in ("facing", "disc_form", "hub")
                if name in specification
            )
            sentences.append(f"{word}, {facing}, {form}, {hub} hub.")
        return sentences


def torque_needed(record: DecisionRecord) -> float | None:
    """N m that the torque held is weighed against in this record."""
    return next((posted.limit for posted in record.requirements.values() if posted.measure == HOLDS), None)
