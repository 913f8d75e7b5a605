"""A complaint about a fitted clutch: what must not be driven, the likely cause, and the next check worth its minutes.

Says first what must not be driven. Then weighs what is told for and against each cause, asks what separates most for
the minutes it takes, and ends in a cause with what confirms it, or in what it cannot be told without. Nothing here
replaces opening the housing. For a clutch that was sold on a kept case use: advisor case complaint ID.

Name the complaint (slips, drags, judders, noise, vibration, pedal, take_up, smell, leaks) and what else is known as
SYMPTOM=VALUE, or say it in a sentence; SYMPTOM=unknown is not asked again. At a terminal the rest is asked; elsewhere
one page is printed.

example:
  advisor complaint slips slip_shows=any_load began=first_drive
  advisor complaint "it slips in fourth when I floor it, since the remap"
  advisor complaint drags pumping_helps_now=yes "km_since_fitting=250 km" --all
  advisor complaint noise --ask
  advisor complaint --symptoms
"""

import json
import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from ..errors import InputError
from . import opening

if TYPE_CHECKING:
    from ..complaints.as_sold import Sold
    from ..complaints.asking import Dialog
    from ..complaints.diagnosis import Diagnosis


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    add_told(parser)
    opening.add_output(parser)
    opening.add_sources(parser)


def add_told(parser: ArgumentParser) -> None:
    """What was told, and how it is asked: shared with ``case complaint``."""
    parser.add_argument("told", nargs="*", metavar="SYMPTOM=VALUE", help="what is complained of, and what is known")
    parser.add_argument("--ask", action="store_true", help="ask the rest, line by line; the default at a terminal")
    parser.add_argument("--page", action="store_true", help="ask nothing, print the page")
    parser.add_argument("--at-the-car", action="store_true", help="somebody stands at the car: ask for checks too")
    parser.add_argument("--all", action="store_true", help="every cause with every argument")
    parser.add_argument("--symptoms", action="store_true", help="list what can be told and measured, and stop")


def run(arguments: Namespace) -> int:
    """The exit code: 0 a cause is found, 3 more is to be asked or measured; InputError for what cannot be read."""
    desk = Desk(arguments)
    if arguments.symptoms:
        return desk.list_symptoms()
    symptoms, without = desk.read(arguments.told)
    diagnosis, dialog = desk.diagnose(symptoms, without)
    return desk.show(diagnosis, dialog)


class Desk:
    """What both commands on complaints share: the rules, the words, the conversation, the page."""

    def __init__(self, arguments: Namespace) -> None:
        from ..complaints.diagnosis import Diagnoser
        from ..complaints.telling import ComplaintTeller
        from ..deciding.decide import Shop
        from ..knowledge.complaints import complaint_knowledge
        from ..knowledge.sources import default_folder

        self.arguments = arguments
        content = opening.open_content(arguments)
        rules = opening.sources_of(arguments).rules
        if not (rules / "causes.yaml").is_file():
            rules = default_folder("rules")  # a shop's own rules need not speak of complaints
        self.knowledge = complaint_knowledge(rules, content.knowledge)
        self.diagnoser = Diagnoser(self.knowledge)
        shop = Shop(content.kits, content.platforms, content.parts, content.hashes)
        self.teller = ComplaintTeller(self.knowledge, shop.wording(content.knowledge, arguments.units), opening.width())

    def read(self, texts: Iterable[str]) -> tuple[dict[str, object], list[str]]:
        """(symptom -> value, symptoms nobody could tell) of what was typed."""
        from ..complaints.signs_said import signs_said
        from ..knowledge.complaint_model import COMPLAINED

        symptoms: dict[str, object] = {}
        without: list[str] = []
        for text in texts:
            name, equals, raw = text.partition("=")
            if not equals:
                said = signs_said(text, self.knowledge.symptoms).signs if len(text.split()) > 1 else {}
                if COMPLAINED in said:
                    symptoms |= {sign: value for sign, value in said.items() if sign not in symptoms}
                    continue
                name, raw = COMPLAINED, text
            name = name.strip()
            value = self.diagnoser.read(name, raw.strip())
            if value is None:
                without.append(name)
            elif symptoms.get(name, value) != value:
                raise InputError(f"{name} is told twice.", value=text, remedy="Keep one of the two.")
            else:
                symptoms[name] = value
        return symptoms, without

    def diagnose(
        self,
        symptoms: dict[str, object],
        without: Iterable[str],
        sold: "Sold | None" = None,
        texts: Iterable[str] = (),
    ) -> "tuple[Diagnosis, Dialog]":
        """(`Diagnosis`, `Dialog` that led to it); asks where somebody can answer."""
        from ..complaints.as_sold import NOT_SOLD_HERE
        from ..complaints.asking import Dialog, run as talk
        from ..knowledge.complaint_model import COMPLAINED

        dialog = Dialog(
            self.diagnoser,
            self.teller,
            symptoms,
            sold or NOT_SOLD_HERE,
            without=without,
            at_the_car=self.arguments.at_the_car,
        )
        for text in texts:
            opening.say(text)
        asks = self.arguments.ask or (sys.stdin.isatty() and not self.arguments.json and not self.arguments.page)
        if asks:
            if talk(dialog, _line, opening.say) is None:
                raise InputError("nothing was told.", remedy="Begin with what is complained of.")
        elif COMPLAINED not in symptoms:
            self.diagnoser.diagnose(symptoms)
        return dialog.diagnosis, dialog

    def show(self, diagnosis: "Diagnosis", dialog: "Dialog | None" = None, **more: Any) -> int:
        """Print it, in short where a ``dialog`` said some of it already; the exit code."""
        from ..complaints.diagnosis import FOUND
        from ..complaints.record import as_data

        if self.arguments.json:
            data = {**as_data(diagnosis, self.knowledge), **more}
            opening.say_json(json.dumps(data, sort_keys=True, indent=2, ensure_ascii=False))
        else:
            said = dialog.warned if dialog is not None and dialog.asked and not self.arguments.all else None
            opening.say(self.teller.page(diagnosis, all_arguments=self.arguments.all, said=said).rstrip("\n"))
        return 0 if diagnosis.state == FOUND else 3

    def list_symptoms(self) -> int:
        """Everything that can be told or measured, with its words."""
        if self.arguments.json:
            listed = {
                name: {
                    "ask": symptom.ask,
                    "how": symptom.how,
                    "kind": symptom.fact.kind,
                    "minutes": symptom.minutes,
                    "of": list(symptom.of),
                    "choices": dict(symptom.words),
                    "unit": symptom.fact.unit,
                }
                for name, symptom in self.knowledge.symptoms.items()
            }
            opening.say_json(json.dumps(listed, sort_keys=True, indent=2, ensure_ascii=False))
            return 0
        for name, symptom in self.knowledge.symptoms.items():
            words = " | ".join(map(str, symptom.words)) if symptom.words else symptom.fact.unit or "yes | no"
            opening.say(f"{name} ({symptom.how}, {symptom.minutes:g} min): {words}")
        return 0


def _line(prompt):
    """A line from whoever answers; EOFError where there is none."""
    sys.stdout.write(prompt)
    sys.stdout.flush()
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return line
