"""Sentences made by grammar, hundreds of them: a fact said in a frame, with noise, in another order, spelt otherwise.

What must hold of every one: a fact in a frame of wish, past, another car, hearsay, question, condition or denial is not
taken; an aside, another order, a slip of one letter and another writing of a number change nothing. The sentences are
invented; common usage, no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from advisor.listening.understanding import Listener


@dataclass(frozen=True)
class Said:
    """A fact as a clause about "it": in the present, as an infinitive, in the past, and as a thing, if it is one."""

    present: str
    infinitive: str
    past: str
    thing: str = ""

    @property
    def plain(self) -> str:
        """The clause as a plain statement."""
        return f"it {self.present}"


def _having(thing):
    return Said(f"has {thing}", f"have {thing}", f"had {thing}", thing)


def _by(verb, past, rest, thing=""):
    third = f"{verb}es" if verb.endswith(("s", "ch", "go", "do")) else f"{verb}s"
    return Said(f"{third} {rest}".strip(), f"{verb} {rest}".strip(), f"{past} {rest}".strip(), thing)


FACTS = (
    _by("make", "made", "420 Nm", "420 Nm"),
    _by("make", "made", "four hundred foot pounds", "four hundred foot pounds"),
    _by("put", "put", "out 300 horsepower", "300 horsepower"),
    _by("run", "ran", "1.4 bar of boost", "1.4 bar of boost"),
    _by("weigh", "weighed", "1500 kilos with me in it"),
    _by("launch", "launched", "at 5000 rpm"),
    _by("tow", "towed", "a caravan of 1400 kilos"),
    _by("run", "ran", "on drag slicks"),
    _by("run", "ran", "on diesel"),
    _by("slip", "slipped", "on full boost"),
    _by("judder", "juddered", "when pulling away"),
    _by("squeal", "squealed", "when I press the pedal"),
    _by("crunch", "crunched", "into reverse"),
    _by("do", "did", "the school run every day"),
    _by("drip", "dripped", "oil from the bellhousing"),
    _by("bite", "bit", "right at the top"),
    _having("a turbo"),
    _having("a supercharger"),
    _having("a bigger turbo"),
    _having("a stage 2 map"),
    _having("a V8"),
    _having("four wheel drive"),
    _having("a dog box"),
    _having("a 75 shot of nitrous"),
    _having("a dual mass flywheel"),
    _having("a pedal stop"),
    _having("launch control"),
)

#: What is felt of a complaint is told by who feels it; of everything else it is a doubt.
FELT = "it feels like it {present}"
COMPLAINTS = tuple(
    fact for fact in FACTS if fact.infinitive.split()[0] in ("slip", "judder", "squeal", "crunch", "drip", "bite")
)

#: Frame -> sentences in which {present}, {infinitive}, {past} or {thing} is not so of this car, or not known to be.
FRAMES = {
    "a wish": (
        "I wish it {past}", "I'd love it to {infinitive}", "I'd love it if it {past}", "if only it {past}",
        "I'd give anything for it to {infinitive}", "I'm hoping it'll {infinitive}", "I hope it will {infinitive}",
        "my dream is for it to {infinitive}", "ideally it would {infinitive}",
        "in a perfect world it would {infinitive}",
        "I'd sell my grandmother for {thing}", "I'd kill for {thing}", "I fancy {thing}", "I'm after {thing}",
        "I've always wanted {thing}", "I'd swap the house for {thing}", "I keep dreaming about {thing}",
        "I'd give my eye teeth for {thing}", "I'd be over the moon with {thing}",
        "if I won the lottery I'd have {thing}",
        "what I'd really like is {thing}", "I could do with {thing}", "all I want for Christmas is {thing}",
    ),
    "still ahead": (
        "one day it will {infinitive}", "the plan is for it to {infinitive}", "next year it'll {infinitive}",
        "we're building it to {infinitive}", "it should {infinitive} when it's finished",
        "by Christmas it'll {infinitive}",
        "I'm saving for {thing}", "I've {thing} on order", "I'm going to have {thing} fitted", "the goal is {thing}",
        "I'm thinking about {thing}", "it's going to {infinitive} once the engine's built", "soon it'll {infinitive}",
        "after the rebuild it ought to {infinitive}", "I'm toying with the idea of {thing}",
        "I've been quoted for {thing}",
        "I nearly bought {thing}", "I can't afford {thing}", "the wife won't let me have {thing}",
        "my tuner wants to give it {thing}", "we are working towards {thing}", "it's being built to {infinitive}",
    ),
    "past": (
        "it used to {infinitive}", "before the rebuild it {past}", "when I bought it it {past}",
        "back in the nineties it {past}", "until last summer it {past}", "it {past} till I sold that engine",
        "years ago it {past}", "the last one {past}", "the old engine {past}", "it once {past}",
        "at one time it {past}",
        "in its previous life it {past}", "it {past} when my dad had it", "originally it {past}",
        "under the last owner it {past}", "it doesn't {infinitive} any more", "it {past} in its heyday",
        "it {past} in those days", "it formerly {past}", "it {past} at one point but that's long gone",
        "it did {infinitive} but not now", "it {past} before I changed all that", "it stopped having {thing} in March",
        "I took {thing} off it", "I got rid of {thing}", "I sold {thing} years ago",
    ),
    "another car": (
        "my mate's one {present}", "my brother's {present}", "the neighbour's {present}",
        "a bloke at work's car {present}",
        "her car {present}", "the one next door {present}", "the one I saw advertised {present}",
        "my other car {present}", "the newer model {present}", "most of them {present}",
        "a friend of mine has a car that {present}", "the demo car {present}", "the sister car {present}",
        "my old car {past}", "the car I had before {past}", "the racing version {present}", "dad's tractor {present}",
        "his {present}", "the one I test drove {past}", "every car in our club {present}",
        "my wife's car {present}", "the boss's car {present}", "the one in the magazine {present}",
        "my last car {past}", "the GT model {present}", "the courtesy car {present}", "the car I learnt in {past}",
    ),
    "hearsay": (
        "somebody told me it {present}", "I've heard it {present}", "they say it {present}",
        "rumour has it it {present}",
        "I read that it {present}", "a lad in the pub said it {present}", "the advert said it {present}",
        "people on the forum say it {present}", "the seller swore it {present}", "my mate reckons it {present}",
        "my neighbour says it {present}", "according to some bloke online it {present}", "it allegedly {present}",
    ),
    "a question": (
        "does it {infinitive}?", "could it {infinitive}?", "would it {infinitive} with a new map?",
        "how do I know if it {present}?", "what if it {past}?", "is it true it {present}?",
        "do you think it {present}?",
        "why would it {infinitive}?", "can I tell whether it {present}?", "what does it mean if it {present}?",
        "do these normally {infinitive}?", "how would I find out whether it {present}?",
        "I was wondering if it {present}",
        "should it {infinitive}?", "what happens when it {present}?", "can you tell me if it {present}",
        "you don't happen to know if it {present}", "will it {infinitive}?", "what would it cost to get {thing}?",
        "do I need {thing}?", "what do you reckon to {thing}?", "is {thing} any good?", "any thoughts on {thing}?",
        "would you recommend {thing}?", "how much is {thing}?", "what about {thing}?",
    ),
    "a condition or a doubt": (
        "if it {past}, I'd tell you", "suppose it {present}", "say it {present}", "imagine it {present}",
        "maybe it {present}", "it might {infinitive}", "it may {infinitive}", "it could {infinitive}",
        "I'm not sure it {present}", "I don't know whether it {present}", "perhaps it {present}",
        "possibly it {present}",
        "I doubt it {present}", "I can't say whether it {present}", "assuming it {present}", "in case it {present}",
        "even if it {past}", "it would {infinitive} with bigger injectors", "whether it {present} I couldn't say",
        "who knows if it {present}", "I couldn't tell you if it {present}", "I've no idea whether it {present}",
        "let's pretend it {present}", "I forget whether it {present}", "as though it {past}",
        FELT,
        "you'd think it {past}", "anybody would think it {past}", "I'd be surprised if it {past}",
        "I'd be lying if I said it {present}", "don't tell me it {present}", "I'm worried it'll {infinitive}",
        "I'm afraid it will {infinitive}", "it looks as if it might {infinitive}", "I can't remember if it {present}",
    ),
    "a denial": (
        "it doesn't {infinitive}", "I don't think it {present}", "it's not as if it {present}",
        "there's no way it {present}", "nobody could say it {present}", "it never {past}", "it won't {infinitive}",
        "I never said it {present}", "it certainly doesn't {infinitive}", "far from it, it doesn't {infinitive}",
    ),
}  # fmt: skip

#: What people say beside: nothing of it is about the car.
ASIDES = (
    "morning", "hello love", "sorry to bother you", "I'm on my lunch so I'll be quick", "it's Dave from the village",
    "I rang last Thursday", "can you hear me all right", "bear with me", "you were recommended by my sister",
    "the kettle's just boiled", "my phone's about to die", "it's raining cats and dogs here", "I've been up since four",
    "no rush", "ta very much", "I hope that makes sense", "that's about it", "I'm no expert mind", "God willing",
    "between you and me", "to be perfectly honest", "if you don't mind me saying", "as my dad used to say",
    "excuse the dog", "let me get my glasses", "it's the blue one", "I live near the church", "you know how it is",
)  # fmt: skip

#: The same number in other writings, each set one value of one fact.
NUMBERS = (
    ("it makes 420 Nm", "it makes four hundred and twenty newton metres", "it makes 420 newton meters",
     "it makes four twenty newton-metres", "it makes 420nm", "it makes 420 N.m"),
    ("it makes 300 lb-ft", "it makes three hundred foot pounds", "it makes 300 ft lbs", "it makes 300 pound-foot",
     "it makes 300 lb ft", "it makes 300 ft-lb", "it makes three hundred pound feet"),
    ("it has 250 hp", "it has two hundred and fifty horsepower", "it has 250bhp", "it has two-fifty brake",
     "it has 250 horse", "it has two fifty horses"),
    ("it weighs 1500 kg", "it weighs fifteen hundred kilos", "it weighs 1,500 kilograms", "it weighs 1.5 tonnes",
     "it weighs a tonne and a half", "it weighs one and a half tonnes"),
    ("it runs 1.5 bar of boost", "it runs one and a half bar of boost", "it runs one point five bar of boost",
     "it runs a bar and a half of boost"),
    ("I change gear at 6500 rpm", "I change gear at six and a half thousand rpm",
    "I change gear at sixty-five hundred rpm",
     "I change gear at 6.5k rpm", "I change gear at 6,500 revs", "I change gear at six thousand five hundred"),
    ("the pedal travel is 140 mm", "the pedal travel is a hundred and forty mil", "the pedal travel is 14 cm",
     "the pedal travel is one hundred and forty millimetres"),
    ("the final drive is 4.1", "the final drive is four point one", "the final drive is 4.1:1",
    "the final drive is 4.10",
     "the final drive is four-ten", "the final drive is four point one to one"),
    ("the engine is 2.0 litres", "the engine is two litres", "the engine is 2000 cc", "the engine is 2000cc",
     "the engine is two thousand cc", "it's a two-litre engine"),
)  # fmt: skip

#: Statements of which two are said in either order.
STATEMENTS = (
    "it makes 420 Nm", "it weighs 1500 kilos", "it's front wheel drive", "it's a diesel", "the clutch slips",
    "my garage is fitting it", "it's my daily driver", "the engine is bog standard", "it has a dual mass flywheel",
    "it tows a caravan of 1400 kilos", "I want a light pedal", "my budget is 900 quid", "it's a straight six",
    "it bites right at the top", "there's oil dripping from the bellhousing", "it runs 1.2 bar of boost",
)  # fmt: skip


def framed() -> Iterator[tuple[str, str, Said]]:
    """(frame, sentence, what must not be taken of it): every frame around every fact that fits into it."""
    for kind, several in FRAMES.items():
        for frame in several:
            for fact in FACTS:
                if ("{thing}" in frame and not fact.thing) or (frame == FELT and fact in COMPLAINTS):
                    continue
                forms = {name: getattr(fact, name) for name in ("present", "infinitive", "past", "thing")}
                yield kind, frame.format(**forms), fact


def with_asides() -> Iterator[tuple[str, str]]:
    """(statement, the same with an aside before it or behind it)."""
    for number, aside in enumerate(ASIDES):
        for said in STATEMENTS:
            yield said, f"{aside}, {said}" if number % 2 else f"{said}, {aside}"
            yield said, f"{said}. {aside}" if number % 2 else f"{aside}. {said}"


def in_two_orders() -> Iterator[tuple[str, str, str, str]]:
    """(first, second, the one before the other, the other before the one)."""
    for at, first in enumerate(STATEMENTS):
        for second in STATEMENTS[at + 1 :]:
            yield first, second, f"{first}, {second}", f"{second} and {first}"


def misspelt(texts: "tuple[str, ...]" = STATEMENTS) -> Iterator[tuple[str, str]]:
    """(statement, the same with one slip of the pen in one word of seven letters or more)."""
    for text in texts:
        words = text.split()
        for number, word in enumerate(words):
            if len(word) < 7 or not word.isalpha():
                continue
            middle = len(word) // 2
            for slip in (
                word[:middle] + word[middle + 1 :],
                word[:middle] + word[middle] + word[middle:],
                word[: middle - 1] + word[middle] + word[middle - 1] + word[middle + 1 :],
            ):
                yield text, " ".join((*words[:number], slip, *words[number + 1 :]))


def taken(listener: Listener, text: str) -> dict[str, object]:
    """Fact -> value of what is taken down of a text."""
    return {heard.fact: heard.value for heard in listener.understand(text).facts}


def wrongly_framed(listener: Listener, step: int = 1, first: int = 0) -> tuple[int, list[tuple[str, str, dict]]]:
    """(how many, [(frame, sentence, what was wrongly taken)]) of every ``step``-th sentence in a frame."""
    plain = {fact: taken(listener, fact.plain) for fact in FACTS}
    several = list(framed())[first::step]
    wrong = []
    for kind, text, fact in several:
        same = {name: value for name, value in taken(listener, text).items() if plain[fact].get(name) == value}
        if same:
            wrong.append((kind, text, same))
    return len(several), wrong


def changed_by_noise(listener: Listener, step: int = 1) -> tuple[int, list[tuple[str, dict]]]:
    """(how many, [(sentence, what was taken)]) where an aside, another order or a slip changed something.

    Where nothing is taken is among them.
    """
    pairs = [*with_asides(), *misspelt()]
    for first, second, one_way, other_way in in_two_orders():
        pairs += [(f"{first}. {second}", one_way), (f"{first}. {second}", other_way)]
    changed = []
    for plain, noisy in pairs[::step]:
        heard = taken(listener, noisy)
        if not heard or heard != taken(listener, plain):
            changed.append((noisy, heard))
    return len(pairs[::step]), changed


def numbers_differ(listener: Listener) -> list[tuple[str, dict]]:
    """[(sentence, what was taken)] of the writings of a number not taken, or not like the first of their set."""
    differ = []
    for first, *others in NUMBERS:
        wanted = taken(listener, first)
        for text in others:
            heard = taken(listener, text)
            if (
                not wanted
                or set(heard) != set(wanted)
                or any(abs(heard[name] / wanted[name] - 1) > 1e-6 for name in wanted)
            ):
                differ.append((text, heard))
    return differ
