"""From names and numbers of the record to words: titles, labels, values with units, sentences."""

from ..deciding.texts import chance, fill, first_sentence, wrap
from ..knowledge.quantities import show, show_value

__all__ = ["COMPARES", "Words", "wrap"]

COMPARES = {
    "at_least": "at least", "at_most": "at most", "above": "above", "below": "below", "is": "", "in": "one of",
    "not_in": "none of", "between": "between",
}


class Words:
    """Words for one record: knowledge and shop it was made with, and the system of units (si or trade)."""

    def __init__(self, knowledge, shop, system="si"):
        self.knowledge = knowledge
        self.system = system
        self.records = {record.id: record for record in (*shop.kits, *shop.platforms, *shop.parts)}
        self.rules = {rule.id: rule for rule in knowledge.rules}

    def title(self, record_id):
        """A record's title, else its id."""
        record = self.records.get(record_id)
        return record.fields.get("title", record_id) if record else record_id

    def label(self, name):
        """A fact's, figure's or kit field's label."""
        for table in (self.knowledge.facts, self.knowledge.figures, self.knowledge.kit_fields):
            if name in table:
                return table[name].label
        return name.replace("_", " ")

    def value(self, name, value):
        """A fact's or figure's value with its unit."""
        if value is None:
            return "not known"
        word = self.knowledge.facts.get(name) or self.knowledge.figures.get(name) or self.knowledge.kit_fields.get(name)
        if isinstance(value, list):
            return ", ".join(self.value(name, member) for member in value)
        if isinstance(value, float) and word is not None and word.unit == "1" and "probability" in name:
            return chance(value)
        return show_value(word, value, self.system) if word is not None else str(value)

    def number(self, value, unit):
        """A number in a unit."""
        return show(value, unit, self.system)

    def money(self, value, currency):
        """A price."""
        return "price not known" if value is None else f"{value:,.2f} {currency or ''}".strip()

    def because(self, made, rule):
        """A rule's because-text in this system of units, filled from the record's facts."""
        facts = {fact["name"]: fact["value"] for fact in made["facts"]}
        for firing in made["firings"]:
            if firing["rule"] == rule:
                facts |= firing["facts"]
        return fill(self.rules[rule].because, facts, self.knowledge.facts, self.system)

    def sentence(self, made, rule):
        """The first sentence of it."""
        return first_sentence(self.because(made, rule))

    def needed(self, requirement, needed):
        """ "at least 523 N m", "one of organic, ceramic"."""
        word = COMPARES[requirement["compare"]]
        if requirement["compare"] == "between":
            low, high = (self.value(requirement["measure"], end) for end in needed)
            return f"between {low} and {high}"
        return f"{word} {self.value(requirement['measure'], needed)}".strip()

    def failure(self, made, entry):
        """One failed or unknown requirement: what is needed and what the kit has."""
        requirement = next(one for one in made["requirements"] if one["id"] == entry["requirement"])
        label = self.label(requirement["measure"])
        needed = self.needed(requirement, entry["needed"])
        if entry["actual"] is None:
            return f"{label}: {needed} is needed, this kit's is not known"
        return f"{label}: {needed} is needed, this kit has {self.value(requirement['measure'], entry['actual'])}"
