"""The complete derivation behind requirements of one kit, as nodes: what each value is and what it came from.

A node is a dict: {id, kind, label, value, unit, text, origin, why, from: [node ids]}, ``why`` being the rule or the
calculation worked through. Kinds: requirement, figure, fact, rule, kit (a field of the kit), facing, table, price,
literal.
"""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from ..deciding.kit_columns import look_up
from ..deciding.ladder import PRICE
from ..deciding.provenance import CURVES
from ..engine.rulebase import MADE_FIELDS, copied_by, read_by
from ..knowledge.model import WITHOUT_VALUE, Basis, conditions_of
from .worked_sums import worked

if TYPE_CHECKING:
    from .worded import WordedRecord


def trace(worded: "WordedRecord", kit: str, requirements: Iterable[str]) -> dict[str, Any]:
    """Nodes by id, each after the nodes it comes from, for the named requirements checked on a kit."""
    tracer = _Tracer(worded, kit)
    for name in requirements:
        tracer.requirement(name)
    return tracer.nodes


class _Tracer:
    def __init__(self, worded, kit):
        self.worded, self.kit = worded, kit
        self.record, self.wording, self.provenance = worded.record, worded.wording, worded.provenance
        self.fields = worded.fields(kit)
        self.nodes = {}

    def _node(self, key, kind, label, name, value, **more):
        text = self.wording.value(name, value) if name else str(value)
        word = self.wording.word(name) if name else None
        self.nodes[key] = {
            "id": key,
            "kind": kind,
            "label": label,
            "value": value,
            "unit": getattr(word, "unit", "") or "",
            "text": text,
            "origin": "",
            "why": None,
            "from": [],
            **more,
        }
        return key

    def requirement(self, name):
        """The node of one requirement."""
        key = f"requirement:{name}"
        posted = self.record.requirements[name]
        sources = [self.figure(posted.measure) if posted.source == "figure" else self.field(posted.measure)]
        sources += [self.fact(fact) for fact in posted.limit_facts]
        if posted.kit_field:
            sources.append(self.field(posted.kit_field))
        sources.append(self.rule(self.record.fired[posted.rule]))
        limit = self.fields.get(posted.kit_field) if posted.kit_field else posted.limit
        text = self.wording.needed(posted.compare, posted.measure, limit)
        self._node(key, "requirement", self.wording.label(posted.measure), "", text, origin=posted.level)
        self.nodes[key]["from"] = list(dict.fromkeys(sources))
        return key

    def rule(self, firing):
        """The node of a rule having fired: its reason, its basis and the facts it read."""
        key = f"rule:{firing.rule}"
        if key in self.nodes:
            return key
        rule = self.provenance.rules[firing.rule]
        conditions = conditions_of(rule, firing.branches)
        names = [name for condition in conditions if condition.test not in WITHOUT_VALUE for name in read_by(condition)]
        sources = [self.fact(name) for name in dict.fromkeys([*names, *copied_by(rule)]) if name in self.record.facts]
        absent = sorted({condition.fact for condition in conditions if condition.test == "absent"})
        why = {
            "rule": rule.id,
            "because": self.worded.because(rule.id),
            "basis": basis(rule.basis),
            "not_known": [self.wording.label(name) for name in absent],
        }
        self._node(key, "rule", rule.title, "", rule.id, why=why)
        self.nodes[key]["from"] = sources
        return key

    def fact(self, name):
        """The node of a fact: given, concluded by rules or calculated."""
        key = f"fact:{name}"
        held = self.record.facts.get(name)
        if key in self.nodes or held is None:
            return (
                key
                if key in self.nodes
                else self._node(key, "fact", self.wording.label(name), name, None, origin="not known")
            )
        sources, why = [], None
        for firing in self.provenance.producers(name):
            if firing.kind == "rule":
                sources.append(self.rule(firing))
            else:
                sources += [self.fact(other) for other in firing.facts]
                step = self.provenance.calculations[firing.rule]
                given = {keyword: self._given(given) for keyword, given in step.inputs}
                why = {**worked(step, given, held.value), "because": step.because, "basis": basis(step.basis)}
        self._node(key, "fact", self.wording.label(name), name, held.value, origin=held.origin, why=why)
        self.nodes[key]["from"] = list(dict.fromkeys(sources))
        return key

    def figure(self, name):
        """The node of a figure of the kit."""
        key = f"figure:{name}"
        if key in self.nodes:
            return key
        value = self.record.figure(self.kit, name)
        if name == PRICE:
            return self._price(key, value)
        step = self.provenance.figure_steps.get(name)
        sources, given = [], {}
        for keyword, declared in step.inputs if step else ():
            used = self.provenance.input_used(declared, self.kit)
            source = self._source(used)
            if source:
                sources.append(source)
            held = self._given(used)
            if held[0] is not None:
                given[keyword] = held
        why = None
        if step:
            why = {**worked(step, given, value), "because": step.because, "basis": basis(step.basis)}
        reason = self.record.kits[self.kit].unknown_figures.get(name, "")
        self._node(key, "figure", self.wording.label(name), name, value, origin=reason or "calculated", why=why)
        self.nodes[key]["from"] = list(dict.fromkeys(sources))
        return key

    def _price(self, key, value):
        sources = [self.field("price")]
        for added in self.record.kits[self.kit].adds:
            part = f"part:{added.part or added.item}"
            title = self.wording.title(added.part) if added.part else added.item.replace("-", " ")
            origin = "on file" if added.part else "not on file, to be priced"
            sources.append(self._node(part, "price", title, "price", added.price or 0.0, origin=origin))
        self._node(key, "price", self.wording.label(PRICE), PRICE, value, origin="kit and what must go with it")
        self.nodes[key]["from"] = sources
        return key

    def field(self, name):
        """The node of a field of the kit's record."""
        key = f"kit:{name}"
        if key not in self.nodes:
            self._node(
                key,
                "kit",
                self.wording.label(name),
                name,
                self.fields.get(name),
                origin="follows from the seller's figures" if name in MADE_FIELDS else "stated by the seller",
            )
        return key

    def _given(self, given):
        value = self.provenance.input_value(given, self.kit)
        return (list(value) if isinstance(value, tuple) else value), given.unit

    def _source(self, given):
        """The node an input comes from, or None for a literal."""
        if given.source == "fact":
            return self.fact(given.name)
        if given.source == "figure":
            return self.figure(given.name)
        if given.source == "kit":
            return self.field(given.name)
        if given.source == "facing":
            return self._facing(given)
        return self._table(given) if given.source == "table" else None

    def _facing(self, given):
        facing = self.worded.knowledge.facings.get(self.fields.get("facing"))
        name = "curve" if given.name in CURVES else given.name
        key = f"facing:{name}"
        if key not in self.nodes and facing is not None:
            held_basis = facing.bases.get(name)
            if name == "curve":
                text = ", ".join(f"{factor:g} at {at:g} degC" for at, factor in facing.curve)
            else:
                text = self.wording.number(facing.numbers[name], facing.units.get(name, "1"))
            label = f"{facing.label} facing, {name.replace('_', ' ')}"
            self._node(
                key,
                "facing",
                label,
                "",
                text,
                origin="facings",
                why={"because": "", "basis": basis(held_basis)} if held_basis else None,
            )
        return key if key in self.nodes else None

    def _table(self, given):
        table = self.worded.knowledge.order.tables[given.name]
        key = f"table:{given.name}"
        if key not in self.nodes:
            row = next(
                (
                    row
                    for row, conditions, _ in table.rows
                    if all(self.fields.get(field) in values for field, values in conditions)
                ),
                "",
            )
            value = look_up(table, self.fields)
            text = "not known" if value is None else self.wording.number(value, table.unit)
            self._node(
                key,
                "table",
                given.name.replace("_", " "),
                "",
                text,
                origin="table",
                why={"rule": row, "because": table.because, "basis": basis(table.basis)},
            )
        return key


def basis(held: Basis) -> str:
    """A Basis as words: "published: handbook, table 7.4 (two printings differ)"."""
    text = held.kind.replace("_", " ")
    if held.source and held.source != text:
        text = held.source if held.source.startswith(text) else f"{text}: {held.source}"
    return f"{text} ({held.caution})" if held.caution else text
