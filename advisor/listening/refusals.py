"""Where nothing of a sentence is taken: why, and the two nearest readings of it."""

from dataclasses import replace

from ..knowledge import spoken
from .hearing import Asked
from .texts_heard import TextsHeard
from .word_lists import phrase_list, word_list

#: Words that stand in phrases of the vocabulary and in every talk about buying: they make nothing near.
_OF_ANYTHING = frozenset(
    spoken.stem(word)
    for word in word_list(
        "clutch car wheel tyre stock order help want very two charge open day set got have please thanks number they "
        "for on in at with from by up out off"
    )
)
#: Talk of an order, a price, a call, the car's age or its tyres' size: no reading of it is near.
_OF_BUSINESS = phrase_list(
    "order, ordered, ref, reference, tracking, deposit, invoice, receipt, refund, delivery, parcel, on hold, "
    "extension, put me through, call back, call me, ring me, ring back, bell back, catalogue, price, prices, how much, "
    "go for, charge, cost, costs, on the clock, odometer, owner, owners, registered, built in, all round, tyre size, "
    "tether, voicemail, in stock, opening hours, postcode, address, email"
)
#: Why nothing is offered for a price, an order number, thanks.
NOTHING_OF_THE_CAR = "it holds nothing to take down about the car"

NOTHING_UNDERSTOOD = "nothing in it is understood"
NOT_UNDERSTOOD = (NOTHING_UNDERSTOOD, NOTHING_OF_THE_CAR)


class Refusals(TextsHeard):
    """A sentence of which nothing may be taken."""

    def _refusal(self, unknown):
        """Nothing was taken: the two nearest readings, what was kept back first."""
        if unknown:
            return []
        kept_back = [piece.heard for piece in self.pieces if piece.hurdle]
        kept_back += [reading for _, ask in self.asks for reading in ask.readings]
        why = next((piece.hurdle for piece in self.pieces if piece.hurdle), NOTHING_UNDERSTOOD)
        near = list(
            {
                (text.fact, text.value, text.text): text
                for text in (*kept_back, *self._of_the_asked(), *self._nearest())
            }.values()
        )[:2]
        of_the_car = near or self.about or self.pointers or self.values
        if not of_the_car:
            why = NOTHING_OF_THE_CAR
        return [
            Asked(
                tuple(dict.fromkeys(text.fact for text in near)), self.text.strip()[:80], why, tuple(near), refusal=True
            )
        ]

    def _of_the_asked(self):
        """A number there is, as the number that was asked for."""
        fact = self.facts.get(self.about)
        if fact is None or fact.kind != "number":
            return []
        for number in self.numbers:
            if not number.kind and number.values:
                return self._readings(fact, number, self.part_of(number.start)) or (
                    list(self._possible(number, [fact.name])) if number.bare else []
                )
        return []

    def _nearest(self):
        """Choices whose words are near to what was said; of what was asked the two nearest, however far."""
        from rapidfuzz import fuzz, process

        said = {
            self.listener.phrases.mended(token)
            for at, token in enumerate(self.tokens)
            if token.is_word
            and token.word not in spoken.SLIGHT
            and not any(start <= at < end for start, end in self.sayings)
        }
        names = (
            [self.about]
            if self.about in self.facts and self.facts[self.about].kind in ("choice", "flag")
            else list(self.facts)
        )
        options = [
            (name, value, text)
            for name in names
            for value, texts in self._speech(name).phrases.items()
            for text in texts
        ]
        spoken_words = f" {' '.join(token.word for token in self.tokens)} "
        of_business = not self.about and any(f" {text} " in spoken_words for text in _OF_BUSINESS)
        if not options or of_business:
            return []
        nearest, seen = [], set()
        for _, _, at in process.extract(
            self.text.casefold(), [text for _, _, text in options], scorer=fuzz.token_set_ratio, limit=40
        ):
            name, value, _ = options[at]
            solid = set(spoken.phrase(options[at][2]))
            telling = solid & said - _OF_ANYTHING
            enough = 2 * len(solid & said) >= len(solid) and (len(telling) > 1 or (telling and len(solid) < 3))
            if name != self.about and not enough:
                continue  # less than half of its words were said, or only one of many, or words of every talk
            if (name, value) not in seen:
                seen.add((name, value))
                nearest.append(replace(self._choice(name, value, 0, 1), said=""))
        return nearest[:2]
