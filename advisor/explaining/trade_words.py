"""Trade words in plain words, for a listener who hears them the first time."""

from collections.abc import Sequence

DUAL_MASS = "A dual-mass flywheel is two flywheels joined by springs, which keep vibration from the gearbox."
#: Word -> one short sentence. Longer words stand before words they contain.
TRADE_WORDS = {
    "clamp load": "Clamp load is the force that presses the disc between flywheel and pressure plate.",
    "release load": "Release load is the force the release bearing needs to open the clutch.",
    "release bearing": "The release bearing is the ring that pushes or pulls the clutch open when you press the pedal.",
    "release ratio": "Release ratio says how much the fingers of the cover help the release bearing.",
    "pressure plate": "The pressure plate is the ring in the cover that presses on the disc.",
    "dual-mass flywheel": DUAL_MASS,
    "dual mass": DUAL_MASS,
    "flywheel": "The flywheel is the heavy disc bolted to the engine on which the clutch sits.",
    "thrust face": "The thrust face is the small ring that takes the push on the crankshaft when you press the pedal.",
    "end float": "End float is how far the crankshaft can move forward and back.",
    "facing": "The facing is the friction material on the disc.",
    "full face": "A full-face disc has friction material all the way round.",
    "paddle": "Paddles are single blocks of friction material in place of a full ring.",
    "sprung hub": "A sprung hub has springs in the middle of the disc that soften the take-up.",
    "solid hub": "A solid hub has no springs in the middle of the disc.",
    "cushion": "The cushion is the springy layer in the disc that lets it take up gently.",
    "floater": "A floater is a plate that runs loose between two discs.",
    "damper": "The damper is the set of springs in the middle of the disc.",
    "pedal stop": "A pedal stop is an adjustable screw that ends the pedal's travel where the clutch has had enough.",
    "bedded in": "Bedding in means gentle driving until the facings have worn to match.",
    "bedding in": "Bedding in means gentle driving until the facings have worn to match.",
    "bedded": "Bedding in means gentle driving until the facings have worn to match.",
    "take-up": "Take-up is how the clutch begins to grip as the pedal comes up.",
    "judder": "Judder is shaking while the clutch takes up.",
    "slip": "A clutch slips when the engine turns it faster than the gearbox.",
    "synchro": "A synchro is the part of the gearbox that matches speeds before a gear goes in.",
    "worn": "Worn means near the end of the facings, when the clamp load has changed.",
    "spline": "The spline is the toothed shaft the disc slides on.",
    "bolt pattern": "The bolt pattern says where the holes for the cover's bolts are.",
    "organic": "Organic facings are the ordinary kind, of fibre and resin.",
    "aramid": "Aramid facings are made of a tough woven fibre.",
    "carbon organic": "Carbon-organic facings are the ordinary kind with carbon in them for heat.",
    "carbon-organic": "Carbon-organic facings are the ordinary kind with carbon in them for heat.",
    "ceramic": "Ceramic facings are metal and ceramic pressed together; they grip hard and stand heat.",
    "sintered iron": "Sintered iron is a metal facing for racing.",
    "concentric": "A concentric cylinder sits round the gearbox shaft and carries the release bearing itself.",
    "rattle": "Rattle is gear noise from engine pulses that nothing softens.",
    "twin": "A twin has two discs.",
    "pack": "A pack is a clutch with two or more discs.",
    "dynamometer": "A dynamometer is the test stand on which an engine's torque is measured.",
    "torque": "Torque is the turning force of the engine.",
    "inertia": "Inertia is how hard something is to spin up or slow down.",
}


class PlainWords:
    """Explains each trade word once, in the order in which the words are heard."""

    def __init__(self) -> None:
        self._told: set[str] = set()

    def after(self, sentences: Sequence[str]) -> list[str]:
        """Explanations for the trade words in ``sentences`` that were not explained before."""
        text = " ".join(sentences).lower()
        told = []
        for word in sorted(TRADE_WORDS, key=len, reverse=True):
            place = text.find(word)
            if place < 0:
                continue
            # A longer word that holds this one has been explained with it; it is not heard on its own.
            text = text.replace(word, " " * len(word))
            if TRADE_WORDS[word] not in self._told:
                self._told.add(TRADE_WORDS[word])
                told.append((place, TRADE_WORDS[word]))
        return [sentence for _, sentence in sorted(told)]
