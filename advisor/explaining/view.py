"""A decision record with the knowledge and shop it was made with, ready to be asked."""

from ..deciding.upstream import Upstream
from .language import Speech


class View:
    """One record (plain JSON data) and everything needed to put it into words; nothing here decides.

    ``speech``: the words; ``requirements``, ``kits``, ``facts``, ``firings`` by id, name or number; ``fired``: rule
    or calculation id -> firing of stage case, ``set_up``: of stage set-up.
    """

    def __init__(self, made, knowledge, shop, system="si", speech=None):
        self.made, self.knowledge, self.shop = made, knowledge, shop
        self.speech = speech or Speech(knowledge, shop, system)
        self.requirements = {one["id"]: one for one in made["requirements"]}
        self.kits = {one["id"]: one for one in made["kits"]}
        self.facts = {one["name"]: one for one in made["facts"]}
        self.firings = {one["id"]: one for one in made["firings"]}
        self.fired = {one["rule"]: one for one in made["firings"] if one["stage"] == "case"}
        self.set_up = {one["rule"]: one for one in made["firings"] if one["stage"] == "setup"}
        self.rules = {rule.id: rule for rule in knowledge.rules}
        self.calculations = {one.id: one for one in knowledge.calculations}
        self.figure_steps = {one.gives: one for one in knowledge.figure_calculations}
        self.pick = made["pick"]["kit"] if made["pick"] else None
        self._values = None
        self._upstream = None
        self.kept = {}

    @property
    def upstream(self):
        """What could bear on what, in this knowledge."""
        if self._upstream is None:
            self._upstream = Upstream(self.knowledge)
        return self._upstream

    @property
    def values(self):
        """Fact name -> value of everything known in stage case."""
        if self._values is None:
            self._values = {name: one["value"] for name, one in self.facts.items()}
        return self._values

    def value(self, name):
        """A fact's value, or None."""
        return self.values.get(name)

    def figure(self, kit, name):
        """A kit's figure, or None."""
        return self.kits[kit]["figures"].get(name)

    def fields(self, kit):
        """The fields of a kit's record."""
        return self.speech.records[kit].fields

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
            self.kept[key] = self.speech.fill(
                self.rules[rule].because, {**self.values, **firing["facts"], **firing["concluded"]}
            )
        return self.kept[key]

    def fact_text(self, name):
        """ "engine torque: 430 N m (measured)"."""
        fact = self.facts.get(name)
        label = self.speech.label(name)
        if fact is None:
            return f"{label}: not known"
        return f"{label}: {self.speech.value(name, fact['value'])} ({self.speech.origin(fact['origin'])})"

    def fitting(self):
        """The kits that fit the car, gentlest first."""
        return sorted((one for one in self.made["kits"] if one["fits"]), key=lambda one: one["gentleness"])
