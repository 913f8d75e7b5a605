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
    "boost": "Boost is the extra pressure at which a turbo or a supercharger pushes air into the engine.",
    "overboost": "Overboost is a short spell of more pressure than the engine holds for long.",
    "turbo": "A turbo is a fan driven by the exhaust that pushes more air into the engine.",
    "supercharger": "A supercharger is a pump driven by the engine that pushes more air into it.",
    "nitrous": "Nitrous is a gas that is sprayed into an engine for a spell of more power.",
    "displacement": "Displacement is the room in all cylinders together, as in a 2.0 litre engine.",
    "anti-lag": "Anti-lag keeps the turbo spinning while the car stands, by burning fuel in the exhaust.",
    "launch control": "Launch control holds the engine speed for you at the line until you let the clutch go.",
    "synchromesh": "Synchromesh is the part of the gearbox that matches speeds before a gear goes in.",
    "dogs": "Dogs are blunt teeth that lock a gear in at once, as in race gearboxes.",
    "dog box": "A dog box is a race gearbox whose gears lock in by blunt teeth, without matching speeds first.",
    "master cylinder": "The master cylinder is the small pump at the pedal that pushes the fluid.",
    "slave cylinder": "The slave cylinder is the one at the gearbox that the fluid pushes; it moves the fork.",
    "fork": "The fork is the lever in the clutch housing that moves the release bearing.",
    "cover": "The cover is the bolted-on half of the clutch that holds the springs and the pressure plate.",
    "friction disc": "The disc is the plate with the friction material; it turns the gearbox shaft.",
    "input shaft": "The input shaft is the gearbox shaft that the disc slides on.",
    "final drive": "The final drive is the last pair of gears, in the axle.",
    "free play": "Free play is the little movement of the pedal before it meets resistance.",
    "hard launch": "A hard launch is moving off with high revs and a quick clutch, as at a drag strip.",
    "launch": "A launch is moving off with high revs and a quick clutch, as at a drag strip.",
    "stop-and-go": "Stop-and-go is a queue in which you move off again and again.",
    "rolling radius": "The rolling radius is from the ground to the middle of the wheel, with the car on it.",
    "scrutineer": "Scrutineers are the people who check race cars against the rule book.",
    "roller": "A roller test stand measures at the wheels what the engine makes.",
    "remap": "A remap is another set of orders for the engine's computer, mostly for more power.",
    "engine map": "An engine map is the set of orders of the engine's computer.",
    "camshaft": "The camshaft opens the valves; another one lets the engine breathe more.",
    "semi slick": "Semi-slicks are track tyres that may be driven on the road.",
    "rule book": "A rule book says what a race car must have; scrutineers check it.",
    "horsepower": "Horsepower is power: how fast an engine can do work. 1 kW is 1.36 of the metric kind.",
    "newton metre": "A newton metre is a unit of torque: about three quarters of a pound-foot.",
    "pull type": "In a pull type the release bearing pulls the fingers to open the clutch.",
    "push type": "In a push type the release bearing presses on the fingers to open the clutch.",
    "aluminium": "An aluminium flywheel is lighter; the clutch grips on a steel insert in it.",
    "pilot bearing": "The pilot bearing sits in the end of the crankshaft and carries the tip of the gearbox shaft.",
    "crankshaft": "The crankshaft is the shaft that the engine turns; the flywheel is bolted to its end.",
    "clutch": "The clutch joins the engine to the gearbox and lets go of it while you change gear.",
    "resurfacing": "Resurfacing is machining the flywheel's face flat and clean again.",
    "run-out": "Run-out is how far a turning face wobbles.",
    "bleeding": "Bleeding gets the air out of the clutch fluid.",
}
_ARTICLES = ("a ", "an ", "the ", "my ", "this ", "that ")


def meaning(text: str, *, exactly: bool = False) -> str:
    """What the trade word asked for in "what is a dual-mass flywheel?" means, in a sentence, or empty.

    ``exactly``: only where it is asked for by such words, and nothing but the word stands behind them.
    """
    plain = " ".join(text.casefold().replace("\u2019", "'").strip(" ?!.").split())
    whole = plain
    for lead in (
        "what is meant by ",
        "what do you mean by ",
        "what does ",
        "what is ",
        "what's ",
        "what are ",
        "whats ",
    ):
        plain = plain.removeprefix(lead)
    plain = plain.removesuffix(" mean")
    for article in _ARTICLES:
        plain = plain.removeprefix(article)
    plain = plain.replace("_", " ")
    for word in (plain, plain.removesuffix("s"), plain.replace("-", " "), plain.replace(" ", "-")):
        if word in TRADE_WORDS:
            return TRADE_WORDS[word] if plain != whole or not exactly else ""
    if exactly:
        return ""
    held = [word for word in TRADE_WORDS if word in plain.replace("-", " ") or word.replace("-", " ") in plain]
    return TRADE_WORDS[max(held, key=len)] if held and len(plain.split()) <= 4 else ""


class PlainWords:
    """Explains each trade word once, in the order in which the words are heard."""

    def __init__(self) -> None:
        self._told: set[str] = set()

    def after(self, sentences: Sequence[str]) -> list[str]:
        """Explanations for the trade words in ``sentences`` that were not explained before."""
        text = " ".join(sentences).lower()
        explained = []
        for word in sorted(TRADE_WORDS, key=len, reverse=True):
            place = text.find(word)
            if place < 0:
                continue
            # A longer word that holds this one has been explained with it; it is not heard on its own.
            text = text.replace(word, " " * len(word))
            if TRADE_WORDS[word] not in self._told:
                self._told.add(TRADE_WORDS[word])
                explained.append((place, TRADE_WORDS[word]))
        return [sentence for _, sentence in sorted(explained)]
