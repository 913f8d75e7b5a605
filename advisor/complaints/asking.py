"""The complaint as a conversation: a line goes in, text comes out. Safety is asked first, then what tells most.
What is said in a sentence is taken down, said back, and not asked again.

By telephone it ends where the next check needs the car; ``at_the_car`` goes on with what is measured.
"""

from collections.abc import Callable, Iterable, Mapping

from ..errors import InputError
from ..knowledge.complaint_model import COMPLAINED, Symptom
from .as_sold import NOT_SOLD_HERE, Sold
from .diagnosis import FOUND, OPEN, Diagnoser, Diagnosis
from .signs_said import signs_said
from .telling import ComplaintTeller

#: What can be said to any question.
UNKNOWN = ("unknown", "?", "-")
#: How an answer begins that says that nobody knows; before all that sounds like no.
NOBODY_KNOWS = (
    "dont know", "i dont know", "do not know", "not sure", "im not sure", "no idea", "no clue", "dunno", "cant say",
    "cant tell", "couldnt say", "couldnt tell", "hard to say", "not certain", "who knows", "never looked",
    "havent looked", "didnt look", "never checked", "havent checked", "didnt check", "never tried", "havent tried",
)  # fmt: skip
DONE, NOW, WHY, BACK = "done", "now", "why", "back"
HELP = f"Say it as the caller does, or a number. Also: unknown, {BACK}, {WHY}, {NOW}, {DONE}."
TAKE_BACK = f"Not so? Say {BACK}, once for each."
#: Short for yes and no; and the numbers the two stand under.
YES, NO = ("y", "1", "yes", "yeah", "yep", "yup"), ("n", "2", "no", "nope")
#: How an answer begins that says no in more words.
NO_IN_WORDS = ("no ", "no,", "nope", "not ", "nah", "never", "dont think so", "none")


class Dialog:
    """One complaint under way: ``told`` (symptom -> value) and ``without`` (what nobody could tell)."""

    def __init__(
        self,
        diagnoser: Diagnoser,
        teller: ComplaintTeller,
        symptoms: Mapping[str, object] | None = None,
        sold: Sold = NOT_SOLD_HERE,
        *,
        without: Iterable[str] = (),
        at_the_car: bool = False,
    ) -> None:
        self.diagnoser, self.teller, self.sold, self.at_the_car = diagnoser, teller, sold, at_the_car
        self.told: dict[str, object] = dict(symptoms or {})
        self.without: list[str] = list(without)
        self.asked: list[str] = []
        self.ended = False
        self.warned: set[str] = set()
        self._told_of_back = False
        self._seen: tuple[object, Diagnosis] | None = None

    @property
    def diagnosis(self) -> Diagnosis:
        """How the complaint stands by what was told so far; worked out once for each answer."""
        state = (tuple(self.told.items()), tuple(self.without))
        if self._seen is None or self._seen[0] != state:
            standing = self.diagnoser.diagnose(
                self.told, self.sold, without=self.without, telephone=not self.at_the_car
            )
            self._seen = (state, standing)
        return self._seen[1]

    @property
    def question(self) -> Symptom | None:
        """What to ask now, or None where the conversation has told what it can."""
        symptoms = self.diagnoser.knowledge.symptoms
        if COMPLAINED not in self.told:
            return symptoms[COMPLAINED]
        diagnosis = self.diagnosis
        for check in diagnosis.checks:
            if check.symptom.first:
                return check.symptom
        if diagnosis.state in (FOUND, OPEN):
            return None
        following = diagnosis.next
        if following is None or (following.symptom.measured and not self.at_the_car):
            return None
        return following.symptom

    def warnings(self) -> list[str]:
        """What must not be driven, said as soon as it is known and before the next question."""
        if COMPLAINED not in self.told:
            return []
        diagnosis = self.diagnosis
        new = [rule for rule in diagnosis.cautions if rule.id not in self.warned]
        self.warned |= {rule.id for rule in new}
        return self.teller.cautions(new, diagnosis)

    def take(self, line: str) -> str:
        """Take a line in; the text that answers it, empty where there is nothing to say."""
        text = line.strip()
        symptom = self.question
        if text.lower() == DONE or symptom is None:
            self.ended = True
            return ""
        if text.lower() == NOW:
            return self.teller.page(self.diagnosis) if COMPLAINED in self.told else "Nothing is told yet."
        if text.lower() == BACK:
            return self._back()
        if text.lower() == WHY:
            return self._why(symptom)
        if not text:
            return HELP
        if text.lower() in UNKNOWN or _plain(text).startswith(NOBODY_KNOWS):
            if symptom.name == COMPLAINED:
                return "Say what happens: pick the nearest."
            self.without.append(symptom.name)
            self.asked.append(symptom.name)
            return ""
        try:
            self.told[symptom.name] = self._read(symptom, text)
        except InputError as error:
            return self._said(symptom, text) or self._not_understood(symptom, error)
        self.asked.append(symptom.name)
        return ""

    def _said(self, symptom: Symptom, text: str) -> str:
        """Take down what a sentence tells of this question and of others not asked yet; what was taken down, or ""."""
        symptoms = self.diagnoser.knowledge.symptoms
        said_signs = signs_said(text, symptoms, str(self.told.get(COMPLAINED, "")))
        new = {name: value for name, value in said_signs.signs.items() if name not in self.told}
        answer = _yes_or_no(symptom, text)
        if symptom.name not in new and answer is not None:
            new[symptom.name] = answer
        if not new or (symptom.name == COMPLAINED and COMPLAINED not in new):
            return ""
        self.told |= new
        self.without = [name for name in self.without if name not in new]
        # What was asked goes last, so that it is taken back first.
        self.asked += sorted(new, key=lambda name: name == symptom.name)
        taken_down = self.teller.taken_down(new, said_signs.beside if symptom.name == COMPLAINED else ())
        first, self._told_of_back = not self._told_of_back, True
        return f"{taken_down}\n{self.teller.line(TAKE_BACK)}" if first else taken_down

    def _not_understood(self, symptom: Symptom, error: InputError) -> str:
        if symptom.fact.kind == "number":
            return self.teller.line(f"{error.what} {error.remedy or HELP}".strip())
        return self.teller.line(f"Not understood. {HELP}")

    def _read(self, symptom: Symptom, text: str) -> object:
        choices = symptom.fact.choices
        if symptom.fact.kind == "flag" and text.lower() in (*YES, *NO):
            return text.lower() in YES
        if choices and text.isdigit() and 0 < int(text) <= len(choices):
            return choices[int(text) - 1]
        meant = [choice for choice, words in symptom.words.items() if text.lower() == words.lower()]
        value = self.diagnoser.read(symptom.name, meant[0] if meant else text)
        if value is None:
            raise InputError("that says nothing.", value=text, remedy=HELP)
        return value

    def _back(self) -> str:
        if not self.asked:
            return "Nothing to take back."
        name = self.asked.pop()
        self.told.pop(name, None)
        if name in self.without:
            self.without.remove(name)
        return f"Taken back: {self.diagnoser.knowledge.symptoms[name].fact.label}."

    def _why(self, symptom: Symptom) -> str:
        if symptom.first:
            return self.teller.line("Asked first because it says whether the car may be driven at all.")
        check = next((open_check for open_check in self.diagnosis.checks if open_check.symptom is symptom), None)
        if check is None:
            return HELP
        likely = ", ".join(standing.cause.label for standing in self.diagnosis.likely[:4])
        return self.teller.line(
            f"It parts {likely}: {check.bits:.2f} of a yes-or-no question in {check.minutes:g} min, "
            "more for its minutes than anything else that is open."
        )


def _plain(text: str) -> str:
    return text.lower().replace("'", "").replace("\u2019", "")


def _yes_or_no(symptom: Symptom, text: str) -> object:
    """True and False, or the choice no, by how an answer begins; None where it says neither."""
    plain = _plain(text) + " "
    denied = plain.startswith(NO_IN_WORDS)
    if symptom.fact.kind == "flag":
        return False if denied else True if plain.replace(",", " ").split()[0] in YES else None
    return "no" if denied and "no" in symptom.words else None


def run(dialog: Dialog, read: Callable[[str], str], write: Callable[[str], None]) -> Diagnosis | None:
    """Ask until nothing is left to ask, or somebody is done; the last Diagnosis, or None where nothing was told."""
    write(dialog.teller.line(HELP) + "\n")
    while not dialog.ended:
        for warning in dialog.warnings():
            write(warning + "\n")
        symptom = dialog.question
        if symptom is None:
            break
        write("\n".join(dialog.teller.question(symptom)) + "\n")
        try:
            line = read(f"{symptom.name.replace('_', ' ')}> ")
        except EOFError:
            break
        answer = dialog.take(line)
        if answer:
            write(answer.rstrip("\n") + "\n")
    return dialog.diagnosis if COMPLAINED in dialog.told else None
