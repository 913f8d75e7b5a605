"""A decision record with the words of the knowledge and shop it was made with, ready to be asked."""

from functools import cached_property

from ..deciding.upstream import Upstream
from ..knowledge.sentences import first_sentence


class View:
    """One record (plain JSON data) and everything needed to put it into words; nothing here decides.

    ``wording``: the words; ``requirements`` and ``kits`` by id; ``pick``: id or None; ``kept``: worked out once.
    """

    def __init__(self, made, wording):
        self.made, self.wording = made, wording
        self.knowledge = wording.knowledge
        self.requirements = {one["id"]: one for one in made["requirements"]}
        self.kits = {one["id"]: one for one in made["kits"]}
        self.pick = made["pick"]["kit"] if made["pick"] else None
        self.kept = {}

    # Made when first asked for: a why-not needs few of them.

    @cached_property
    def facts(self):
        """Fact name -> its entry in the record."""
        return {one["name"]: one for one in self.made["facts"]}

    @cached_property
    def firings(self):
        """Number -> firing."""
        return {one["id"]: one for one in self.made["firings"]}

    @cached_property
    def fired(self):
        """Rule or calculation id -> its firing in stage case."""
        return {one["rule"]: one for one in self.made["firings"] if one["stage"] == "case"}

    @cached_property
    def set_up(self):
        """Rule id -> its firing in stage set-up."""
        return {one["rule"]: one for one in self.made["firings"] if one["stage"] == "setup"}

    @cached_property
    def rules(self):
        """Rule id -> Rule."""
        return {rule.id: rule for rule in self.knowledge.rules}

    @cached_property
    def calculations(self):
        """Id -> Calculation of stage case."""
        return {one.id: one for one in self.knowledge.calculations}

    @cached_property
    def figure_steps(self):
        """Figure -> the Calculation that gives it."""
        return {one.gives: one for one in self.knowledge.figure_calculations}

    @cached_property
    def upstream(self):
        """What could bear on what, in this knowledge."""
        return Upstream(self.knowledge)

    @cached_property
    def values(self):
        """Fact name -> value of everything known in stage case."""
        return {name: one["value"] for name, one in self.facts.items()}

    def value(self, name):
        """A fact's value, or None."""
        return self.values.get(name)

    def figure(self, kit, name):
        """A kit's figure, or None."""
        return self.kits[kit]["figures"].get(name)

    def fields(self, kit):
        """The fields of a kit's record."""
        return self.wording.records[kit].fields

    def requirement(self, name):
        """The Requirement of the rules behind a requirement of the record."""
        key = ("requirement", name)
        if key not in self.kept:
            rule = self.rules[self.requirements[name]["rule"]]
            self.kept[key] = next(one for one in rule.require if one.id == name)
        return self.kept[key]

    def because(self, rule):
        """A rule's reason in the caller's units."""
        key = ("because", rule)
        if key not in self.kept:
            firing = self.fired.get(rule) or self.set_up.get(rule) or {"facts": {}, "concluded": {}}
            self.kept[key] = self.wording.fill(
                self.rules[rule].because, {**self.values, **firing["facts"], **firing["concluded"]}
            )
        return self.kept[key]

    def sentence(self, rule):
        """The first sentence of a rule's reason."""
        return first_sentence(self.because(rule))

    def failure(self, entry):
        """One failed or unknown requirement: what is needed and what the kit has."""
        requirement = self.requirements[entry["requirement"]]
        measure, needed, actual = requirement["measure"], entry["needed"], entry["actual"]
        text = self.wording.needed(requirement["compare"], measure, needed, actual)
        return f"{self.wording.label(measure)}: {text} is needed, {self.wording.has(measure, actual, needed)}"

    def needed(self, requirement):
        """The limit of a requirement of the record in words."""
        return self.wording.needed(requirement["compare"], requirement["measure"], requirement["limit"])

    def fact_text(self, name):
        """ "engine torque: 430 N m (measured)"."""
        fact = self.facts.get(name)
        label = self.wording.label(name)
        if fact is None:
            return f"{label}: not known"
        return f"{label}: {self.wording.value(name, fact['value'])} ({self.wording.origin(fact['origin'])})"

    def fitting(self):
        """The kits that fit the car, gentlest first."""
        return sorted((one for one in self.made["kits"] if one["fits"]), key=lambda one: one["gentleness"])
