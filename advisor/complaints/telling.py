"""A diagnosis in words: what must not be driven first, then what is asked or found, and why."""

from collections.abc import Collection, Iterable, Mapping

from ..knowledge.complaint_model import COMPLAINED, Cause, ComplaintKnowledge, ComplaintRule, Symptom
from ..knowledge.sentences import capital, chance, joined, sentence, wrap
from ..knowledge.wording import Wording
from .as_sold import raised_unmeasured
from .diagnosis import FOUND, OPEN, TELEPHONE, Diagnosis
from .next_check import OpenCheck
from .weighing import MEASURED_TYPICAL, Standing, Weight

#: What a class of cause means for who answers for it.
CLASSES = {
    "selection": "what was advised does not suit it",
    "part": "a part has failed or is at its end",
    "fitting": "something at the fitting",
    "bedding-in": "the bedding-in",
    "driver": "the way it is driven",
    "another": "another component, not the clutch",
    "normal": "no fault",
}
#: How many arguments are shown for a cause, and causes in the table.
ARGUMENTS, CAUSES, CHECKS = 3, 6, 3
HOW = {
    "record": "as sold",
    "told": "by telephone",
    "car": "at the car",
    "drive": "on closed ground or rollers",
    "bench": "gearbox out",
}


class ComplaintTeller:
    """Words for the diagnoses of one set of rules; ``wording`` names units and figures of the case."""

    def __init__(self, knowledge: ComplaintKnowledge, wording: Wording, width: int = 80) -> None:
        self.knowledge, self.wording, self.width = knowledge, wording, width
        self.rules = {rule.id: rule for rule in knowledge.rules}

    # --- pieces

    def value(self, name: str, value: object) -> str:
        """A value of a fact in words."""
        symptom = self.knowledge.symptoms.get(name)
        if symptom is not None and symptom.words:
            return symptom.words.get(str(value), str(value))
        fact = self.knowledge.facts[name]
        if fact.kind == "number":
            return self.wording.of(fact, value)
        return ("yes" if value else "no") if isinstance(value, bool) else str(value).replace("_", " ")

    def filled(self, text: str, facts: Mapping[str, object]) -> str:
        """A rule's text with the values it names."""
        for name, value in facts.items():
            text = text.replace(f"{{{name}}}", self.value(name, value))
        return text

    def _wrap(self, text: str, first: str = "", rest: str | None = None) -> str:
        return wrap(text, self.width, first, first + "  " if rest is None else rest)

    def line(self, text: str) -> str:
        """One sentence as wide as the screen."""
        return self._wrap(text)

    # --- the page

    def page(self, diagnosis: Diagnosis, *, all_arguments: bool = False, said: Collection[str] | None = None) -> str:
        """Everything: cautions, what was found or is asked next, the causes with their arguments.

        ``said``: ids of rules whose cautions somebody at the telephone heard already; then what stops the car alone is
        said again, and of a cause no more than what speaks for it most.
        """
        cautions = diagnosis.cautions
        if said is not None:
            cautions = tuple(rule for rule in cautions if rule.id not in said or rule.id.startswith("stop-"))
        lines = [*self.cautions(cautions, diagnosis), ""] if cautions else []
        lines += [*self.as_sold(diagnosis)]
        lines += [*self.verdict(diagnosis), ""]
        lines += self.table(diagnosis, all_arguments) if said is None else self.short_table(diagnosis)
        if diagnosis.state != FOUND:
            lines += ["", *self.checks(diagnosis)]
        return "\n".join(lines).rstrip() + "\n"

    def cautions(self, rules: Iterable[ComplaintRule], diagnosis: Diagnosis) -> list[str]:
        """What must not be driven or done: those that stop the car first."""
        facts = diagnosis.agreed.derivation.facts
        ordered = sorted(rules, key=lambda rule: (rule.topic != "safety" or not rule.id.startswith("stop-"), rule.id))
        lines = []
        for rule in ordered:
            for caution in rule.cautions:
                mark = "STOP: " if rule.id.startswith("stop-") else "Mind: "
                lines.append(self._wrap(mark + self.filled(caution.text, facts), "", "  "))
        return lines

    def as_sold(self, diagnosis: Diagnosis) -> list[str]:
        """What the sale says before any sign."""
        sold, lines = diagnosis.sold, []
        if not sold.kit:
            return [self._wrap("Not sold here: nothing is known of its margin, its travel or its fitting."), ""]
        lines.append(self._wrap(f"Sold: {self.wording.title(sold.kit)}."))
        if diagnosis.at_sale is not None:
            at_sale = diagnosis.at_sale
            torque = self.wording.number(at_sale.demand, "N m")
            lines.append(
                self._wrap(
                    f"At {torque} it holds {chance(at_sale.holding)} when {at_sale.state}: a slip at full torque "
                    + ("says little against the advice." if at_sale.holding < 0.9 else "is news.")
                )
            )
            if raised_unmeasured(diagnosis.told):
                lines.append(self._wrap("Power was raised since: what it makes now nobody measured."))
        lines += [self._wrap(f"Given up at the sale: {name}.") for name in sold.given_up]
        return [*lines, ""]

    def verdict(self, diagnosis: Diagnosis) -> list[str]:
        """The cause, or the honest end, or the next question."""
        cause = diagnosis.cause
        if cause is not None:
            head = "Cause" if diagnosis.state == FOUND else "Likely cause, on what was told"
            lines = [self._wrap(f"{head}: {cause.label} ({cause.kind}: {CLASSES[cause.kind]}).", "", "  ")]
            lines.append(self._wrap(f"{capital(cause.means)}.", "  ", "  "))
            lines.append(self._wrap(self._confirming(diagnosis), "  ", "  "))
            lines.append(self._wrap(f"Put right: {cause.remedy}. May it be driven: {cause.drive}.", "  ", "  "))
            if diagnosis.beside is not None:
                lines.append(
                    self._wrap(
                        f"{capital(diagnosis.beside.label)} would explain what it leaves open: look for both.",
                        "  ",
                        "  ",
                    )
                )
            return lines
        likely = [standing.cause.label for standing in diagnosis.likely]
        if diagnosis.state == OPEN:
            return [
                self._wrap(
                    f"Cannot be told: {joined(likely[:CAUSES], 'or')} remain, and nothing that is left to ask or "
                    "measure parts them.",
                    "",
                    "  ",
                )
            ]
        where = "" if diagnosis.state == TELEPHONE else " By telephone it cannot be told further."
        withheld = f" {capital(diagnosis.withheld)}." if diagnosis.withheld else ""
        checks = [check.symptom.fact.label for check in diagnosis.checks[:CHECKS] if check.symptom.measured]
        without = (
            f" It cannot be told without: {joined(checks, 'or')}." if checks and diagnosis.state != TELEPHONE else ""
        )
        return [self._wrap(f"Not told yet: {joined(likely[:CAUSES], 'or')}.{where}{withheld}{without}", "", "  ")]

    def _confirming(self, diagnosis: Diagnosis) -> str:
        """What the first cause rests on where something measured speaks for it, and what confirms it."""
        standing = diagnosis.standings[0]
        measured = [
            weight for weight in standing.supports if weight.came == "seen" and weight.points >= MEASURED_TYPICAL
        ]
        if not measured:
            return f"Confirm before parts are ordered: {standing.cause.check}."
        rests = _lower(self.rules[measured[0].rule].title)
        return f"It rests on: {rests}. Where not done yet, before parts are ordered: {standing.cause.check}."

    def table(self, diagnosis: Diagnosis, all_arguments: bool = False) -> list[str]:
        """Causes in order, each with what moved it most."""
        lines = ["Causes, the likeliest first, and what moved each"]
        shown = diagnosis.standings if all_arguments else diagnosis.standings[:CAUSES]
        for place, standing in enumerate(shown):
            head = f"{standing.cause.label} ({standing.cause.kind}): {self.rank(diagnosis, place)}"
            lines.append(self._wrap(head, "  ", "    "))
            for weight in self.arguments(standing, None if all_arguments else ARGUMENTS):
                lines.append(self._wrap(self.argument(weight, diagnosis), "    ", "      "))
        ruled = [
            standing
            for place, standing in enumerate(diagnosis.standings)
            if place >= len(shown) and self.rank(diagnosis, place).startswith("ruled out")
        ]
        for standing in ruled:
            rank = self.rank(diagnosis, diagnosis.standings.index(standing))
            lines.append(self._wrap(f"{standing.cause.label} ({standing.cause.kind}): {rank}", "  ", "    "))
        rest = len(diagnosis.standings) - len(shown) - len(ruled)
        if rest > 0:
            lines.append(f"  and {rest} more that nothing points to")
        return lines

    def short_table(self, diagnosis: Diagnosis) -> list[str]:
        """The causes that remain, each with what was seen that speaks for it most."""
        lines = ["What remains, the likeliest first"]
        for place, standing in enumerate(diagnosis.likely[:CAUSES]):
            supports = [weight for weight in standing.supports if weight.came == "seen"]
            why = _lower(self.rules[supports[0].rule].title) if supports else "nothing seen speaks for it"
            lines.append(self._wrap(f"{place + 1}  {standing.cause.label}: {why}", "  ", "     "))
        return lines

    def taken_down(self, signs: Mapping[str, object], beside: Iterable[str] = ()) -> str:
        """What was heard, said back; ``beside``: complaints said after the first."""
        complaints = self.knowledge.symptoms[COMPLAINED].words
        lines_told = [
            self.value(name, value)
            if name == COMPLAINED
            else f"{self.knowledge.symptoms[name].fact.label}: " + self.value(name, value)
            for name, value in signs.items()
        ]
        lines = [self._wrap(f"Taken down: {'; '.join(lines_told)}.", "", "  ")]
        others = joined([complaints[name] for name in beside], "and")
        if others:
            lines.append(self._wrap(f"Heard too: {others}. One at a time: this is asked after the first.", "", "  "))
        return "\n".join(lines)

    def rank(self, diagnosis: Diagnosis, place: int) -> str:
        """The words for how a cause stands: no per cent, its weights are judgement."""
        standing, first = diagnosis.standings[place], diagnosis.standings[0]
        if place == 0:
            return "leads" if diagnosis.cause is not None else "first so far"
        against = standing.shown_against
        if against is not None and first.total - standing.total >= 10:
            return f"ruled out: {self.rules[against.rule].title.lower()}" + (
                " was not found" if against.came == "missing" else ""
            )
        return "likely" if first.total - standing.total < 10 else "not excluded"

    def arguments(self, standing: Standing, most: int | None) -> list[Weight]:
        """What moved a cause most, for and against."""
        moved = [weight for weight in standing.weights if most is None or weight.came != "unnamed"]
        moved.sort(key=lambda weight: (-abs(weight.points), weight.rule))
        return moved[:most]

    def argument(self, weight: Weight, diagnosis: Diagnosis) -> str:
        """One argument: its side, what was seen, and why that speaks."""
        rule = self.rules[weight.rule]
        points = f"{weight.points:+g}"
        if weight.came == "missing":
            return f"{points} asked for and not found: {_lower(rule.title)} [{rule.id}]"
        if weight.came == "unnamed":
            return f"{points} {_lower(rule.title)} says nothing of it [{rule.id}]"
        because = self.filled(rule.because, diagnosis.agreed.derivation.facts)
        return f"{points} {_lower(rule.title)}: {because} [{rule.id}]"

    def checks(self, diagnosis: Diagnosis) -> list[str]:
        """What to ask or measure next."""
        if not diagnosis.checks:
            return []
        lines = ["Next, by what it tells for its minutes"]
        return lines + [self.check(check) for check in diagnosis.checks[:CHECKS]]

    def check(self, check: OpenCheck) -> str:
        """One check: how it is asked, where, how long, with what, against what."""
        symptom = check.symptom
        parts = [f"{HOW[symptom.how]}, {check.minutes:g} min"]
        if symptom.tools:
            parts.append(f"with {symptom.tools}")
        if symptom.limit:
            parts.append(f"limit: {symptom.limit}")
        return self._wrap(f"{symptom.ask} ({'; '.join(parts)}) [{symptom.name}]", "  ", "    ")

    def question(self, symptom: Symptom) -> list[str]:
        """A question with its numbered answers."""
        lines = [self._wrap(symptom.ask, "", "  ")]
        for number, (_, words) in enumerate(symptom.words.items(), 1):
            lines.append(self._wrap(words, f"  {number}  ", "     "))
        if symptom.fact.kind == "flag":
            lines += ["  1  yes", "  2  no"]
        if symptom.fact.kind == "number":
            lines.append(f"  a number with its unit, such as 250 {symptom.fact.unit}")
        return lines


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


def closing(cause: Cause) -> str:
    """One line for the record of a case."""
    return sentence(f"{cause.label} ({cause.kind})")
