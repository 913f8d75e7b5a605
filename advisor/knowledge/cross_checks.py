"""The second stage of checking: what is wrong between entries that are each written well."""

import itertools
from typing import TYPE_CHECKING, Any

from . import possible, quantities
from .circles import cycles
from .model import STAGES, WITHOUT_VALUE, FactRef, Knowledge, Remark
from .rules import limits, reads
from .speech import check_speech
from .vocabulary import WORD_OF
from .wording import value_text

if TYPE_CHECKING:
    from .faults import Faults

_GIVEN = ("asked", "platform", "factory_kit")


def check(knowledge: Knowledge, faults: "Faults") -> list[Remark]:
    """Note every fault in ``faults``; give back the remarks, in file order."""
    return _Check(knowledge, faults).run()


#: Figures that come from the shop's records once the set-up is known, not from the mechanics.
PRICED = ("total_price", "likely_price")


class _Check:
    def __init__(self, knowledge, faults):
        self.knowledge, self.faults, self.remarks, self.doubled = knowledge, faults, [], set()
        self.facts = knowledge.facts
        self.producers: dict[str, Any] = {}
        for calculation in knowledge.calculations:
            self.producers.setdefault(calculation.gives, []).append(calculation)
        for rule in knowledge.rules:
            for name in dict.fromkeys(conclusion.fact for conclusion in rule.conclude):
                self.producers.setdefault(name, []).append(rule)
        self.computed = self.computed_numbers()
        self.literals = self.literals_only()

    def run(self):
        self.check_ids()
        self.check_vocabulary()
        self.check_figures()
        self.check_producers()
        self.check_readers()
        self.check_cycles()
        for rule in self.knowledge.rules:
            self.check_rule(rule)
        self.check_agreement()
        return sorted(
            self.remarks,
            key=lambda remark: (
                (remark.position.file, remark.position.line, remark.what) if remark.position else ("", 0, remark.what)
            ),
        )

    # -- what facts can be

    def computed_numbers(self):
        """Numbers that come out of a calculation, directly or copied."""
        computed = {calculation.gives for calculation in self.knowledge.calculations} | set(self.knowledge.figures)
        while True:
            more = {
                conclusion.fact
                for rule in self.knowledge.rules
                for conclusion in rule.conclude
                if isinstance(conclusion.value, FactRef) and conclusion.value.name in computed
            } - computed
            if not more:
                return computed
            computed |= more

    def literals_only(self):
        """Derived facts that can only have values written in conclusions: name -> those values."""
        values: dict[str, Any] = {}
        open_ = set()
        for calculation in self.knowledge.calculations:
            open_.add(calculation.gives)
        copies = []
        for rule in self.knowledge.rules:
            for conclusion in rule.conclude:
                if isinstance(conclusion.value, FactRef):
                    copies.append((conclusion.fact, conclusion.value.name))
                    values.setdefault(conclusion.fact, set())
                else:
                    values.setdefault(conclusion.fact, set()).update(limits(conclusion.value))
        # A copied fact brings its own values along; where they are not a closed list, neither is the copy's.
        for _ in range(len(copies) + 1):
            for target, source in copies:
                theirs = (
                    values.get(source)
                    if self.facts[source].source == "derived"
                    else possible.domain(self.facts[source], {})
                )
                if source in open_ or not isinstance(theirs, set):
                    open_.add(target)
                else:
                    values[target] |= theirs
        return {name: own for name, own in values.items() if name not in open_ and self.facts[name].kind != "list"}

    # -- ids and single entries

    def check_ids(self):
        knowledge = self.knowledge
        everything = (*knowledge.rules, *knowledge.calculations, *knowledge.figure_calculations)
        self.unique("rule or calculation", everything)
        ids = [declared.id for declared in everything]
        self.doubled = {name for name in ids if ids.count(name) > 1}
        # A rule's id is also that of its single requirement or caution: one report of it is enough.
        self.unique(
            "requirement", [(declared.id, declared.position) for rule in knowledge.rules for declared in rule.require]
        )
        self.unique("caution", [(declared.id, rule.position) for rule in knowledge.rules for declared in rule.cautions])
        self.unique(
            "part or step", [(declared.id, rule.position) for rule in knowledge.rules for declared in rule.items]
        )

    def unique(self, what, things):
        first: dict[str, Any] = {}
        for thing in things:
            name, place = thing if isinstance(thing, tuple) else (thing.id, thing.position)
            if name in first and name not in self.doubled:
                self.faults.add(
                    f"the {what} id {name} stands a second time (first at {first[name]}).", place, "Give it another id."
                )
            first.setdefault(name, place)

    def check_vocabulary(self):
        paths: dict[str, Any] = {}
        for fact in self.facts.values():
            if fact.platform:
                other = paths.setdefault(fact.platform, fact)
                if (other.kind, other.unit) != (fact.kind, fact.unit):
                    self.faults.add(
                        f"{fact.name} and {other.name} read {fact.platform} in different units or kinds.",
                        fact.position,
                        "Declare both alike.",
                    )
            if fact.source == "asked" and fact.name not in self.knowledge.questions:
                self.faults.add(
                    f"{fact.name} is asked, but questions.yaml has no question for it.", fact.position, "Write one."
                )
        self.remarks += check_speech(self.facts, self.faults)

    def check_figures(self):
        gives: dict[str, Any] = {}
        for calculation in self.knowledge.figure_calculations:
            if calculation.gives in gives:
                self.faults.add(
                    f"the figure {calculation.gives} is computed twice"
                    f" ({gives[calculation.gives].id} and {calculation.id}).",
                    calculation.position,
                    "Keep one.",
                )
            gives.setdefault(calculation.gives, calculation)
        for figure in self.knowledge.figures.values():
            if figure.name not in gives and figure.name not in PRICED:
                self.faults.add(
                    f"the figure {figure.name} is declared, but nothing computes it.",
                    figure.position,
                    "Add it to calculations.yaml.",
                )

    # -- who gives and who reads

    def check_producers(self):
        for name, producers in self.producers.items():
            calculations = [producer for producer in producers if not hasattr(producer, "conclude")]
            for calculation in calculations[1:]:
                self.faults.add(
                    f"{name} is computed twice ({calculations[0].id} and {calculation.id}).",
                    calculation.position,
                    "Give each its own fact.",
                )
            rules = [producer for producer in producers if hasattr(producer, "conclude")]
            if calculations and rules:
                self.faults.add(
                    f"{name} is computed by {calculations[0].id} and concluded by {rules[0].id}.",
                    rules[0].position,
                    "Give each its own fact and let a rule choose.",
                )
            if len({rule.stage for rule in rules}) > 1:
                late = max(rules, key=lambda rule: STAGES.index(rule.stage))
                self.faults.add(
                    f"{name} is concluded in both stages.",
                    late.position,
                    "Set-up changes nothing that stage case found: use another fact.",
                )

    def stage_of(self, name):
        """The stage in which a fact gets its value: given, case, setup or kit."""
        fact = self.facts[name]
        if fact.source != "derived":
            return "kit" if fact.source in ("kit", "figure") else "given"
        stages = {producer.stage for producer in self.producers.get(name, ())}
        return next((stage for stage in ("setup", "consistency") if stage in stages), "case")

    def reads_of_calculation(self, calculation):
        inputs = [source for _, given in calculation.inputs for source in (given.first_of or (given,))]
        return {read_source.name for read_source in inputs if read_source.source == "fact"}

    def check_readers(self):
        read: dict[str, Any] = {}
        knowledge = self.knowledge
        for calculation in (*knowledge.calculations, *knowledge.figure_calculations):
            for name in self.reads_of_calculation(calculation):
                read.setdefault(name, (calculation.id, calculation.position))
                if self.stage_of(name) == "setup":
                    self.faults.add(
                        f"{calculation.id} reads {name}, which only set-up concludes.",
                        calculation.position,
                        "Conclude it in stage case.",
                    )
                self.check_apart(calculation, name, calculation.position)
        for rule in knowledge.rules:
            places = {condition.fact: condition.position for condition in rule.conditions}
            for name in sorted(reads(rule)):
                read.setdefault(name, (rule.id, places.get(name, rule.position)))
                self.check_apart(rule, name, places.get(name, rule.position))
                if rule.stage == "case" and self.stage_of(name) == "setup":
                    self.faults.add(
                        f"{rule.id} reads {name}, which only set-up concludes.",
                        places.get(name, rule.position),
                        "Conclude it in stage case.",
                    )
        for fact in self.facts.values():
            if fact.source == "derived":
                self.check_derived(fact, read)
            elif fact.source == "asked" and fact.name not in read:
                self.remarks.append(
                    Remark(f"{fact.name} is asked, but no rule or calculation reads it.", fact.position)
                )

    def check_apart(self, rule, name, place):
        """Stage consistency and the stages after it share what is given, and nothing that is derived."""
        sides = {rule.stage, self.stage_of(name)}
        if "consistency" in sides and sides & {"case", "setup"}:
            self.faults.add(
                f"{rule.id} of stage {rule.stage} reads {name}, which stage {self.stage_of(name)} gives.",
                place,
                "Stage consistency reads answers, records and its own calculations, and no other stage reads those.",
            )

    def check_derived(self, fact, read):
        producers = self.producers.get(fact.name)
        if producers is None and fact.name in read:
            reader, place = read[fact.name]
            self.faults.add(
                f"{reader} reads {fact.name}, which nobody asks, concludes or computes.",
                place,
                "Conclude or compute it, or take the reading out.",
            )
        elif producers is None:
            self.remarks.append(Remark(f"{fact.name} is never concluded and never read.", fact.position))
        elif fact.name not in read and not fact.output:
            first = producers[0]
            place = next(
                (conclusion.position for conclusion in getattr(first, "conclude", ()) if conclusion.fact == fact.name),
                first.position,
            )
            self.faults.add(
                f"{fact.name} is given by {first.id}, but nothing reads it.",
                place,
                "Take it out, read it, or write output: yes where it is shown to people.",
            )

    def check_cycles(self):
        links: dict[str, Any] = {}
        places: dict[str, Any] = {}
        for calculation in self.knowledge.calculations:
            self.link(links, places, calculation, self.reads_of_calculation(calculation), (calculation.gives,))
        for rule in self.knowledge.rules:
            self.link(links, places, rule, reads(rule), {conclusion.fact for conclusion in rule.conclude})
        for figure_step in self.knowledge.figure_calculations:
            inputs = [each for _, source in figure_step.inputs for each in (source.first_of or (source,))]
            self.link(
                links,
                places,
                figure_step,
                {each.name for each in inputs if each.source == "figure"},
                (figure_step.gives,),
            )
        for cycle in cycles(links):
            names = [f"{start} ({links[start][end]})" for start, end in zip(cycle, cycle[1:] + cycle[:1])]
            first = links[cycle[0]][cycle[1 % len(cycle)]]
            self.faults.add(
                f"{' -> '.join(names)} -> {cycle[0]} goes in a circle.",
                places[first],
                "Break it at one of the named rules or calculations.",
            )

    @staticmethod
    def link(links, places, producer, sources, targets):
        places.setdefault(producer.id, producer.position)
        for source in sorted(sources):
            for target in sorted(targets):
                links.setdefault(source, {}).setdefault(target, producer.id)

    # -- conditions

    def check_rule(self, rule):
        for condition in rule.conditions:
            self.check_condition(rule, condition)
        alone = [
            (condition, possible.contradiction((condition,), self.facts, self.literals))
            for condition in rule.conditions
        ]
        for condition, why in alone:
            if why:
                self.never(
                    f"the condition on {condition.fact} can never hold: {why}{self.extent(condition.fact)}",
                    condition.position,
                )
        if any(why for _, why in alone):
            return
        for branch in rule.any or ((),):
            why = possible.contradiction(rule.all + branch, self.facts, self.literals)
            if why:
                self.never(
                    f"the conditions of {rule.id} can never hold together: {why}",
                    branch[0].position if branch else rule.position,
                )
        for narrow, wide in itertools.permutations(rule.any, 2):
            if set(wide) < set(narrow):
                self.remarks.append(
                    Remark(
                        f"this branch of {rule.id} holds only where that in line {wide[0].position.line} does too, so "
                        "it changes nothing.",
                        narrow[0].position,
                    )
                )

    def extent(self, name):
        """What values a fact has at all, in brackets."""
        values = possible.domain(self.facts[name], self.literals)
        if isinstance(values, set):
            shown = ", ".join(sorted(value_text(self.facts[name], value) for value in values)) or "none"
            return f" (its values are {shown})"
        if values is None or self.facts[name].low is None:
            return ""
        low, high = (quantities.show(value, self.facts[name].unit) for value in values)
        return f" (it runs from {low} to {high})"

    def never(self, what, place):
        self.faults.add(f"{what}.", place, "Mend the limits, or take it out.")

    def check_condition(self, rule, condition):
        name = condition.fact
        if condition.test in ("answered", *WITHOUT_VALUE):
            stage = self.stage_of(name)
            if stage == rule.stage or (stage == "setup" and rule.stage == "case"):
                self.faults.add(
                    f"{WORD_OF[condition.test]} is asked of {name}, which is not complete before stage {rule.stage}.",
                    condition.position,
                    "Only what is given before the stage may be asked so.",
                )
            elif condition.test in ("answered", "not_answered") and self.facts[name].source not in _GIVEN:
                self.faults.add(
                    f"nobody ever answers {name} (source {self.facts[name].source}).",
                    condition.position,
                    "Write known or not known.",
                )
        if condition.test in ("is", "in") and name in self.computed:
            self.faults.add(
                f"{name} is a calculated number; equality with it would hang on the last digit.",
                condition.position,
                "Use at_least, at_most or between.",
            )

    def check_agreement(self):
        """Two rules that may both conclude a one_rule fact: a remark, because chains may keep them apart."""
        for name, producers in self.producers.items():
            if self.facts[name].agreement != "one_rule":
                continue
            rules = [producer for producer in producers if hasattr(producer, "conclude")]
            for axis, other in itertools.combinations(rules, 2):
                if possible.together(axis, other, self.facts, self.literals):
                    self.remarks.append(
                        Remark(
                            f"{axis.id} and {other.id} may both conclude {name}, which one rule alone may conclude.",
                            other.position,
                            until_proved=True,
                        )
                    )
