"""What a value stands on: the answers nobody gave, found by walking the record's firings back to their inputs."""

from ...knowledge.model import WITHOUT_VALUE

#: Origins of a fact that somebody gave or a record holds.
GIVEN = ("measured", "stated", "looked_up", "platform", "factory_kit")


class Traces:
    """Walks one decision record; ``knowledge`` gives the calculations of figures, ``records`` the kits."""

    def __init__(self, made, knowledge, records):
        self.facts = {fact["name"]: fact for fact in made["facts"]}
        self.firings = {firing["id"]: firing for firing in made["firings"]}
        self.rules = {rule.id: rule for rule in knowledge.rules}
        self.knowledge = knowledge
        self.figures = {calculation.gives: calculation for calculation in knowledge.figure_calculations}
        self.records = records

    def assumed_behind_fact(self, name, _seen=None):
        """Names of what was assumed on the way to a fact: asked facts, or facts a rule set for want of an answer."""
        seen = set() if _seen is None else _seen
        if name in seen or name not in self.facts:
            return frozenset()
        seen.add(name)
        fact = self.facts[name]
        if not fact["producer"]:
            return frozenset() if fact["origin"] in GIVEN else frozenset([name])
        found = frozenset()
        for number in fact["producer"]:
            firing = self.firings[number]
            if firing["kind"] == "rule" and self._fills_a_gap(firing["rule"], name):
                found |= {name}
            for read in firing["facts"]:
                found |= self.assumed_behind_fact(read, seen)
        return found

    def _fills_a_gap(self, rule_id, name):
        """Does a rule set a value of its own because an answer is missing?"""
        rule = self.rules[rule_id]
        waits = any(condition.test in WITHOUT_VALUE for condition in (*rule.all, *rule.any))
        return waits and any(one.fact == name and not hasattr(one.value, "name") for one in rule.conclude)

    def assumed_behind_figure(self, name, kit):
        """Names of what was assumed, or only estimated for want of the maker's figure, on the way to a kit's figure."""
        fields = self.records[kit].fields
        found = frozenset()
        for _, given in self.figures[name].inputs:
            found |= self._behind_input(given, name, kit, fields)
        return found

    def _behind_input(self, given, name, kit, fields):
        if given.first_of:
            for place, one in enumerate(given.first_of):
                if one.source == "kit" and fields.get(one.name) is None:
                    continue
                inside = self._behind_input(one, name, kit, fields)
                # What stands in for a missing figure of the maker is an estimate.
                return inside | ({given.first_of[0].name} if place else frozenset())
            return frozenset([given.first_of[-1].name or name])
        if given.source == "fact":
            return self.assumed_behind_fact(given.name)
        if given.source == "figure":
            return self.assumed_behind_figure(given.name, kit)
        if given.source == "table":
            return frozenset([given.name])
        return frozenset()

    def support(self, name, _seen=None):
        """The facts behind a fact, as a nested tree: (fact name, firing or None, children); each shown once."""
        seen = set() if _seen is None else _seen
        first = name not in seen
        seen.add(name)
        fact = self.facts.get(name)
        if fact is None or not fact["producer"] or not first:
            return (name, None, ())
        firing = self.firings[fact["producer"][0]]
        return (name, firing, tuple(self.support(read, seen) for read in sorted(firing["facts"]) if read in self.facts))
