"""The complete derivation behind requirements of one kit, as nodes: what each value is and what it came from.

A node is a dict: {id, kind, label, value, unit, text, origin, why, from: [node ids]}, ``why`` being the rule or the
calculation worked through. Kinds: requirement, figure, fact, rule, kit (a field of the kit), facing, table, price,
literal.
"""

from ..deciding.columns import look_up
from ..deciding.ladder import PRICE
from ..deciding.upstream import limit_facts
from ..engine.rulebase import MADE_FIELDS, copied_by, read_by
from ..knowledge.model import WITHOUT_VALUE
from .arithmetic import worked

CURVES = ("curve_temperatures", "curve_factors")


def trace(view, kit, requirements):
    """Nodes by id, each after the nodes it comes from, for the named requirements checked on a kit."""
    tracer = _Tracer(view, kit)
    for name in requirements:
        tracer.requirement(name)
    return tracer.nodes


class _Tracer:
    def __init__(self, view, kit):
        self.view, self.kit = view, kit
        self.wording = view.wording
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
        held = self.view.requirements[name]
        one = self.view.requirement(name)
        sources = [self.figure(one.measure) if one.source == "figure" else self.field(one.measure)]
        sources += [self.fact(fact) for fact in limit_facts(one)]
        if isinstance(held["limit"], dict):
            sources.append(self.field(held["limit"]["kit"]))
        sources.append(self.rule(self.view.fired[one.rule]))
        limit = (
            held["limit"]
            if not isinstance(held["limit"], dict)
            else self.view.fields(self.kit).get(held["limit"]["kit"])
        )
        text = self.wording.needed(one.compare, one.measure, limit)
        self._node(key, "requirement", self.wording.label(one.measure), "", text, origin=held["level"])
        self.nodes[key]["from"] = list(dict.fromkeys(sources))
        return key

    def rule(self, firing):
        """The node of a rule having fired: its reason, its basis and the facts it read."""
        key = f"rule:{firing['rule']}"
        if key in self.nodes:
            return key
        rule = self.view.rules[firing["rule"]]
        conditions = [*rule.all, *(rule.any[place] for place in firing["branches"])]
        names = [name for condition in conditions if condition.test not in WITHOUT_VALUE for name in read_by(condition)]
        sources = [self.fact(name) for name in dict.fromkeys([*names, *copied_by(rule)]) if name in self.view.facts]
        absent = sorted({condition.fact for condition in conditions if condition.test == "absent"})
        why = {
            "rule": rule.id,
            "because": self.view.because(rule.id),
            "basis": basis(rule.basis),
            "not_known": [self.wording.label(name) for name in absent],
        }
        self._node(key, "rule", rule.title, "", rule.id, why=why)
        self.nodes[key]["from"] = sources
        return key

    def fact(self, name):
        """The node of a fact: given, concluded by rules or calculated."""
        key = f"fact:{name}"
        held = self.view.facts.get(name)
        if key in self.nodes or held is None:
            return (
                key
                if key in self.nodes
                else self._node(key, "fact", self.wording.label(name), name, None, origin="not known")
            )
        sources, why = [], None
        for number in held["producer"]:
            firing = self.view.firings[number]
            if firing["kind"] == "rule":
                sources.append(self.rule(firing))
            else:
                sources += [self.fact(other) for other in firing["facts"]]
                step = self.view.calculations[firing["rule"]]
                given = {keyword: self._given(one) for keyword, one in step.inputs}
                why = {**worked(step, given, held["value"]), "because": step.because, "basis": basis(step.basis)}
        self._node(key, "fact", self.wording.label(name), name, held["value"], origin=held["origin"], why=why)
        self.nodes[key]["from"] = list(dict.fromkeys(sources))
        return key

    def figure(self, name):
        """The node of a figure of the kit."""
        key = f"figure:{name}"
        if key in self.nodes:
            return key
        value = self.view.figure(self.kit, name)
        if name == PRICE:
            return self._price(key, value)
        step = self.view.figure_steps.get(name)
        sources, given = [], {}
        for keyword, one in step.inputs if step else ():
            used = self._first_known(one)
            source = self._source(used)
            if source:
                sources.append(source)
            held = self._given(used)
            if held[0] is not None:
                given[keyword] = held
        why = None
        if step:
            why = {**worked(step, given, value), "because": step.because, "basis": basis(step.basis)}
        reason = self.view.kits[self.kit]["unknown_figures"].get(name, "")
        self._node(key, "figure", self.wording.label(name), name, value, origin=reason or "calculated", why=why)
        self.nodes[key]["from"] = list(dict.fromkeys(sources))
        return key

    def _price(self, key, value):
        sources = [self.field("price")]
        for item in self.view.kits[self.kit]["adds"]:
            part = f"part:{item['part'] or item['item']}"
            title = self.wording.title(item["part"]) if item["part"] else item["item"].replace("-", " ")
            price = item["price"] or 0.0
            self._node(
                part,
                "price",
                title,
                "price",
                price,
                origin="on file" if item["part"] else "not on file, to be priced",
            )
            sources.append(part)
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
                self.view.fields(self.kit).get(name),
                origin="follows from the seller's figures" if name in MADE_FIELDS else "stated by the seller",
            )
        return key

    def _first_known(self, given):
        return (
            next((one for one in given.first_of if self._value(one) is not None), given.first_of[-1])
            if given.first_of
            else given
        )

    def _value(self, given):
        view = self.view
        if given.source in ("value", "choice"):
            return given.value
        if given.source == "fact":
            return view.value(given.name)
        if given.source == "kit":
            return view.fields(self.kit).get(given.name)
        if given.source == "figure":
            return view.figure(self.kit, given.name)
        if given.source == "table":
            return look_up(view.knowledge.order.tables[given.name], view.fields(self.kit))
        facing = view.knowledge.facings.get(view.fields(self.kit).get("facing"))
        if facing is None:
            return None
        if given.name in CURVES:
            return tuple(point[given.name == CURVES[1]] for point in facing.curve)
        return facing.numbers.get(given.name)

    def _given(self, given):
        value = self._value(given)
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
        facing = self.view.knowledge.facings.get(self.view.fields(self.kit).get("facing"))
        name = "curve" if given.name in CURVES else given.name
        key = f"facing:{name}"
        if key not in self.nodes and facing is not None:
            held = facing.bases.get(name)
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
                why={"because": "", "basis": basis(held)} if held else None,
            )
        return key if key in self.nodes else None

    def _table(self, given):
        table = self.view.knowledge.order.tables[given.name]
        key = f"table:{given.name}"
        if key not in self.nodes:
            fields = self.view.fields(self.kit)
            row = next(
                (
                    row
                    for row, conditions, _ in table.rows
                    if all(fields.get(field) in values for field, values in conditions)
                ),
                "",
            )
            value = look_up(table, fields)
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


def basis(held):
    """A Basis as words: "published: handbook, table 7.4 (from memory)"."""
    text = held.kind.replace("_", " ")
    if held.source and held.source != text:
        text = held.source if held.source.startswith(text) else f"{text}: {held.source}"
    return f"{text} ({held.caution})" if held.caution else text
