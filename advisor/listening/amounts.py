"""The numbers of a sentence: each goes to the one fact it can be, to a question, or to nothing."""

from fractions import Fraction

from ..errors import QuantityError
from ..knowledge import spoken
from . import frame_kinds as frame
from .around_numbers import CURRENCIES
from .denials import denied_behind
from .hearing import Asked, Heard
from .money_heard import MoneyHeard
from .phrases import denied
from .taken_apart import MILS, Piece, flat, number_text
from .word_lists import word_list

#: Beside these a number of percent in the next part is how steep it is.
_STEEP = frozenset(word_list("steep hill hills slope incline gradient climb uphill ramp mountain"))
#: What may stand beside a number that is all that is told of a changed engine.
_SAID_OF_POWER = frozenset(word_list("i we have has got it now after with about in and since makes on a the"))
#: What may stand beside it as well where it is so "at the moment".
_RUNS = frozenset(word_list("at atm currently moment as it stands is am running run runs making on she"))
#: No car's engine is larger, in cm3.
_CAR_ENGINES = 9000
#: No car's engine is smaller, in cm3: that is a motorcycle's.
_SMALLEST = 300
#: Vehicles with engines larger than cars', and what is done with litres that are no engine's.
_BIG = frozenset(("heavy_lorry", "motorcycle"))
_FILLING = frozenset(word_list("put puts poured pour took takes holds filled fill topped used uses burns drinks drink"))
#: Behind what is denied: it is so all the same, now and then.
_NOT_ALWAYS = frozenset(word_list("much often most every always lot regularly frequently constantly"))
#: Beside these a second number is what it was, or what it could be, and no second answer.
_NOT_NOW = frozenset(("was", "were", "had", "safe", "possible", "could"))


class Amounts(MoneyHeard):
    """Number facts heard in a sentence."""

    def _numbers(self):
        before: dict[int, Piece] = {}
        for order, heard_number in enumerate(self.numbers):
            number = self.part_of(
                heard_number.start if heard_number.start in range(len(self.tokens)) else heard_number.end - 1
            )
            readings, open_ = self._facts_of(heard_number, number)
            self.taken.update(range(heard_number.start, heard_number.end)) if readings or open_ else None
            if readings and heard_number.end < len(self.tokens) and self.tokens[heard_number.end].word in MILS:
                self.taken.add(heard_number.end)
            behind = self.tokens[heard_number.end].word if heard_number.end < len(self.tokens) else ""
            if readings and heard_number.kind == "money" and behind in CURRENCIES:
                self.taken.add(heard_number.end)
            if len(readings) == 1:
                heard = readings[0]
                if any(
                    abs(other.heard.value - heard.value) < 1e-9
                    and self._dimension(other.heard.fact) == self._dimension(heard.fact)
                    and other.part in (number - 1, number)
                    and other.heard.fact != heard.fact
                    for other in before.values()
                ):
                    continue  # said twice: "a 200 shot, 200 horse"
                fact = self.facts[heard.fact]
                piece = Piece(
                    heard, heard_number.start, heard_number.end, number, self._hurdle(fact, number), heard_number.start
                )
                self.pieces.append(piece)
                before[order] = piece
            elif readings or open_:
                names = tuple(dict.fromkeys(heard_number.fact for heard_number in readings)) or tuple(open_)
                why = (
                    "it can be either"
                    if readings
                    else "it has no unit"
                    if heard_number.bare
                    else "its unit has two meanings here"
                )
                shown = (
                    tuple(readings[:2])
                    or tuple(heard for name in open_ for heard in self._thousands(self.facts[name], heard_number))[:2]
                    or self._possible(heard_number, open_)
                )
                if not self._hurdle(self.facts[names[0]], number) and not heard_number.first_alone:
                    self.asks.append(
                        (number, Asked(names, self.said(heard_number.start, heard_number.end), why, shown))
                    )

    def _facts_of(self, heard_number, number):
        """(readings, facts that need more): where each is one, it is settled; none and none: it belongs to nothing."""
        start, end, _ = self.parts[number]
        if heard_number.kind == "money":
            return self._to_spend(heard_number, number)
        if heard_number.kind:
            return [], []
        near = {}
        for fact in self.listener.numbers:
            distance = self._distance(fact, heard_number, start, end)
            if (
                distance is None
                and heard_number.decimal
                and heard_number.bare
                and (self._named_behind(fact, heard_number) or self._named_before(fact, heard_number))
            ):
                distance = 0
            if distance is not None and not self._elsewhere(fact, number) and not self._lacks(fact):
                near[fact.name] = distance
        near = self._of_the_whole(near, heard_number, number)
        pointed = {
            name: self._readings(self.facts[name], heard_number, number)
            or self._said_in_thousands(self.facts[name], heard_number)
            or self._unit_of_others(self.facts[name], heard_number, number)
            for name in near
        }
        fitting = {name: readings for name, readings in pointed.items() if readings}
        if fitting:
            best = min(near[name] for name in fitting)
            closest = [name for name in fitting if near[name] == best]
            if len(closest) > 1:  # the same words point to several: to one of them others do as well
                own = [name for name in closest if self._own_pointers(name, closest, start, end)]
                closest = own if len(own) == 1 else closest
            return flat(fitting[name] for name in closest), []
        behind = self._named_behind_it(heard_number, number)
        if behind:
            return behind, []
        slopes = self._slopes(heard_number, number)
        if slopes:
            return slopes, []
        more = self._tells_more(heard_number, number)
        if more:
            return more, []
        measured = self._measured_somewhere(heard_number, number)
        if measured and not near:
            return [], measured
        left_open = (
            self._ratio_of(heard_number, number)
            or self._left_open(heard_number, number)
            or self._set_at(heard_number, number)
        )
        if left_open:
            return left_open, []
        asked = self.facts.get(self.about)
        if (
            asked is not None
            and asked.kind == "number"
            and not self._elsewhere(asked, number)
            and not (heard_number.first_alone and heard_number.bare and len(self.tokens) > 3)
        ):
            readings = self._readings(asked, heard_number, number)
            if readings and (not heard_number.bare or self._alone(heard_number, number)):
                return readings, []
        litres = self._litres(heard_number, number)
        if litres:
            return litres, []
        if not heard_number.bare:
            of_the_motor = self._pointed_before(heard_number, number)
            if of_the_motor:
                return of_the_motor, []
            earlier = self._earlier(heard_number, number)
            if earlier and self._nothing_else(heard_number, number):
                return earlier, []  # "starter generator on the crank, 50 newton metres"
            by_unit = [
                fact
                for fact in self.listener.numbers
                if fact.speech is not None
                and fact.speech.by_unit
                and not self._elsewhere(fact, number)
                and not self._by_a_loose_word(fact, heard_number)
                and not self._poured(fact, heard_number, number)
            ]
            several = len(heard_number.values) > 1  # "3,150 pounds" are no 3.15 psi
            readings = earlier + flat(
                [
                    [heard for heard in self._readings(fact, heard_number, number) if not several or heard.value > 20]
                    for fact in by_unit
                ]
            )
            if readings:
                return readings, []
        if heard_number.bare:
            now = self._as_now(heard_number, number)
            if now:
                return now, []
        counts = (self.tokens[heard_number.end : heard_number.end + 1] or self.tokens[:1])[
            0
        ].word in self.listener.counted
        open_ = [
            name
            for name in near
            if heard_number.bare
            and not (counts and self._dimension(name) == "mass")
            and self.facts[name].unit != "%"
            and not (heard_number.fraction and self._dimension(name) != "length")
            and (self._could_be(self.facts[name], heard_number) or self._thousands(self.facts[name], heard_number))
        ]
        if open_ and heard_number.bare:
            best = min(near[name] for name in open_)
            return [], [name for name in open_ if near[name] == best]
        if (
            asked is not None
            and asked.kind == "number"
            and (heard_number.bare or heard_number.unit.dimension in ("mass", "force"))
            and self._could_be(asked, heard_number)
            and not self._elsewhere(asked, number)
            and self._alone(heard_number, number)
            and not heard_number.first_alone
        ):
            return [], [self.about]
        return [], self._of_a_changed_engine(heard_number, number)

    def _of_a_changed_engine(self, heard_number, number):
        """As in "350 I have, with chip": with nothing else beside it a torque or a power of the engine as changed."""
        if not (heard_number.bare and heard_number.values and 60 <= heard_number.values[0] <= 1500):
            return []
        implied = {
            pair for fact in self.facts.values() for pairs in self._speech(fact.name).implies.values() for pair in pairs
        }
        changed = any(
            not piece.hurdle
            and not self.facts[piece.heard.fact].platform
            and (self._speech(piece.heard.fact).implies or (piece.heard.fact, piece.heard.value) in implied)
            for piece in self.pieces
        )
        if not (changed or self._at_the_moment(heard_number)):
            return []
        start, end, _ = self.parts[number]
        own = range(heard_number.start, heard_number.end)
        rest = {self.tokens[at].word for at in range(start, end) if at not in own and at not in self.taken}
        if rest - spoken.SLIGHT - _SAID_OF_POWER - (set() if changed else _RUNS) or heard_number.first_alone:
            return []
        return [
            fact.name
            for fact in self.listener.numbers
            if self._speech(fact.name).by_unit and self._dimension(fact.name) in ("torque", "power")
        ]

    def _at_the_moment(self, heard_number):
        """As in "350 atm": a whole number in tens, where nothing was asked and no pressure is meant."""
        behind = [token.word for token in self.tokens[heard_number.end : heard_number.end + 3]]
        now = behind[:1] in (["atm"], ["currently"]) or behind in (["at", "the", "moment"], ["as", "it", "stands"])
        value = heard_number.values[0] if heard_number.values else 0
        return now and not self.about and value >= 100 and value % 5 == 0

    def _poured(self, fact, heard_number, number):
        """As in "put fifteen litres in it": more than cars' engines have, and no lorry or engine told of."""
        if fact.platform != "engine.displacement":
            return False
        readings = self._readings(fact, heard_number, number)
        if any(heard.value < _SMALLEST for heard in readings):  # "bled it, about 150 cc came out"
            return not any(piece.heard.value == "motorcycle" for piece in self.pieces)
        big = any(heard.value > _CAR_ENGINES for heard in readings)
        told_engine = any(
            (self.facts[piece.heard.fact].platform or "").startswith("engine.") or piece.heard.value in _BIG
            for piece in self.pieces
        )
        return big and (not told_engine or bool(self._words_of(number) & _FILLING))

    def _by_a_loose_word(self, fact, heard_number):
        """Is its unit only a word that stands for it, as pounds for psi, and nothing it needs near it is said?"""
        speech = self._speech(fact.name)
        if not speech.near or heard_number.spelling not in speech.units:
            return False
        return {token.word for token in self.tokens}.isdisjoint(speech.near)

    def _lacks(self, fact):
        """Is none of the words said that the fact needs: "two runs a day" of a school's bus are no hard launches?"""
        needs = self._speech(fact.name).needs
        if not needs or fact.name == self.about:
            return False
        stems = {token.stem for token in self.tokens}
        return not any(set(spoken.phrase(text)) <= stems for text in needs)

    def _slopes(self, heard_number, number):
        """As in "up our lane it's one in five": a gradient beside words of a road."""
        beside = range(max(0, number - 1), min(number + 2, len(self.parts)))
        words = set().union(*(self._words_of(part) for part in beside))
        rest = self._words_of(number) - _STEEP if heard_number.bare is False else set()
        said = {token.word for token in self.tokens[heard_number.start : heard_number.end]}
        alone = heard_number.spelling and heard_number.unit.name == "%" and rest - said <= spoken.SLIGHT
        if not heard_number.gradient and not (alone and number and self._words_of(number - 1) & _STEEP):
            return []
        slopes = [fact for fact in self._of_slopes() if words & set(self._speech(fact.name).near)]
        return flat(self._readings(fact, heard_number, number) for fact in slopes)

    def _of_slopes(self):
        """The facts that are a slope of a road."""
        return [fact for fact in self.listener.numbers if fact.unit == "%" and "slope" in self._speech(fact.name).names]

    def _own_pointers(self, name, names, start, end):
        """Does something in that part point to this fact and to none of the others?"""
        here = [pointer for pointer in self.pointers if start <= pointer.start < end and pointer.fact in names]
        shared = {(pointer.start, pointer.end) for pointer in here if pointer.fact != name}
        return any(pointer.fact == name and (pointer.start, pointer.end) not in shared for pointer in here)

    def _measured_somewhere(self, heard_number, number):
        """As in "got about 450 at the wheels": a number without unit beside where it was measured, of either."""
        if not heard_number.bare or heard_number.kind or not heard_number.values or heard_number.values[0] < 50:
            return []
        measured_facts = [
            self._speech(value.fact).qualifies
            for value in (*self.values, *self.unsettled)
            if self.part_of(value.start) == number
        ]
        others = {other.dimension for other in self.numbers if other is not heard_number}
        if self.about or {"torque", "power"} & others:
            return []
        return [name for name in self.facts if name in measured_facts]

    def _second_thoughts(self):
        """As in "about 350, maybe 360 Nm": a bare number close to one that was taken makes it two answers."""
        for number in self.numbers:
            place = self.part_of(number.start)
            if (
                not number.bare
                or number.kind
                or not number.values
                or number.first_alone
                or number.rough == "range"
                or any(piece.start == number.start for piece in self.pieces)
            ):
                continue
            if self._words_of(place) & _NOT_NOW or (self.frames[place] & {frame.PAST, frame.OTHER}):
                continue  # "boost is eighteen, it was fourteen", "the tuner reckons 1.5 is safe"
            if any(number.end <= start <= number.end + 3 for start, _ in self.fixes) or denied(
                self.tokens, number.start, self.parts[place][0], set()
            ):
                continue
            for other in self.numbers:
                piece = next(
                    (
                        piece
                        for piece in self.pieces
                        if piece.start == other.start and piece.end == other.end and not piece.hurdle
                    ),
                    None,
                )
                if piece is None or other is number or other.bare or abs(self.part_of(other.start) - place) > 1:
                    continue
                behind = self.tokens[number.end].word if number.end < len(self.tokens) else ""
                # "281 after they fixed the boost leak": what stands behind points to nothing
                pointing = set() if behind in ("after", "since", "once") else self._pointing_at(place)
                if pointing and place != piece.part and piece.heard.fact not in pointing:
                    continue  # "21 pounds of boost, spikes to 24": words of its own say what it is
                of_engine = (self.facts[piece.heard.fact].platform or "").startswith("engine.")
                if {"engine", "motor"} & self._words_of(place) and place != piece.part and not of_engine:
                    continue  # "the box is rated at 600, engine's five-twenty"
                whole = set(self._speech(piece.heard.fact).whole) & self._words_of(place)
                reach = 1 if whole else 4
                if 0 < abs(number.values[0] - other.values[0]) <= other.values[0] / reach and len(pointing) <= 1:
                    fact = self.facts[piece.heard.fact]
                    unit = self._unit_of(fact, other, self._speech(fact.name).units)
                    try:
                        heard = self._heard(fact, number, number.values[0], unit, place)
                    except QuantityError:
                        continue
                    self.pieces.append(Piece(heard, number.start, number.end, place, "", number.start))
                    self.taken.update(range(number.start, number.end))
                    break

    def _rounded_up(self):
        """As in "the caravan's 1250 but with the awning call it 1400 kilos": what it is called is what counts."""
        for number in self.numbers:
            word = self.tokens[number.start].word
            if number.kind or word not in ("call", "more", "nearer", "say") or not number.values:
                continue
            place = self.part_of(number.start)
            if number.bare:
                self._one_of_a_range(number, place)
                continue
            if any(piece.start == number.start for piece in self.pieces) or not self._nothing_else(number, place):
                continue
            earlier = [piece for piece in self.pieces if piece.end <= number.start and piece.part >= place - 2]
            for old in (piece for piece in earlier if self._dimension(piece.heard.fact) == number.dimension):
                bare = any(said.start == old.start and said.bare for said in self.numbers)
                readings = self._readings(self.facts[old.heard.fact], number, place) if bare else []
                if len(readings) == 1 and not old.hurdle:
                    self.pieces.remove(old)
                    self.pieces.append(Piece(readings[0], number.start, number.end, place, "", number.start))
                    self.taken.update(range(number.start, number.end))
                    break

    def _one_of_a_range(self, number, place):
        """As in "eight or ten launches a day, say ten to be safe": of two ends that were said, one is settled on."""
        start, end, _ = self.parts[place]
        behind = [token.word for token in self.tokens[number.end : end]]
        if number.start != start or behind not in ([], ["to", "be", "safe"], ["to", "be", "sure"]):
            return
        for old in [piece for piece in self.pieces if piece.end <= number.start and piece.part == place - 1]:
            ends = [said for said in self.numbers if said.start == old.start and said.rough == "range"]
            if ends and ends[0].low <= number.values[0] <= ends[0].high:
                number.unit, number.spelling = ends[0].unit, ends[0].spelling
                readings = self._readings(self.facts[old.heard.fact], number, place)
                if len(readings) == 1:
                    self.pieces.remove(old)
                    self.pieces.append(Piece(readings[0], number.start, number.end, place, old.hurdle, number.start))
                    self.taken.update(range(number.start, end))

    def _pointing_at(self, number):
        start, end, _ = self.parts[number]
        return {
            pointer.fact
            for pointer in self.pointers
            if start <= pointer.start < end and self.facts[pointer.fact].kind == "number"
        }

    def _zeros(self):
        """As in "no nitrous", "doesn't tow": none of it, where none is an answer."""
        done = {piece.heard.fact for piece in self.pieces}
        for pointer in self.pointers:
            fact = self.facts[pointer.fact]
            if fact.kind != "number" or fact.name in done or fact.low is None or fact.low > 0 or fact.choices:
                continue
            number = self.part_of(pointer.start)
            start, end, _ = self.parts[number]
            if fact.unit == "m":
                continue  # "never been on any rollers" tells no height of theirs
            if fact in self._of_slopes() or any(start <= number.start < end for number in self.numbers):
                continue  # "I do not do hills" tells no slope
            near = set(self._speech(fact.name).near)
            if near and not near & self._words_of(number):
                continue  # "it doesn't come back up by itself" tells of no torque to come
            before = {token.word for token in self.tokens[start : pointer.start]}
            behind = self.tokens[pointer.end].word if pointer.end < len(self.tokens) else ""
            if self.tokens[pointer.start].stem == "pull" and behind in ("off", "away", "out", "up", "over", "in"):
                continue  # "I hardly ever have to pull off on a hill"
            if self.tokens[pointer.start].stem == "pull" and not before & {"i", "we", "he", "she", "they", "you"}:
                continue  # "the engine revs, but it doesn't pull"
            if {token.word for token in self.tokens[pointer.end : min(end, pointer.end + 4)]} & _NOT_ALWAYS:
                continue  # "we don't tow much", "don't pull a trailer most days"
            own = set(range(pointer.start, pointer.end))
            if not self._elsewhere(fact, number) and (
                denied(self.tokens, pointer.start, start, self.taken - own)
                or denied_behind(self.tokens, start, pointer.start, pointer.end, end)
            ):
                heard = Heard(
                    fact.name, 0.0, unit=fact.unit, said=self.said(start, end), text=number_text(Fraction(0), fact.unit)
                )
                self.pieces.append(
                    Piece(heard, pointer.start, pointer.end, number, self._hurdle(fact, number), pointer.start)
                )
                done.add(fact.name)
