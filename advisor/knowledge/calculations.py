"""From calculations.yaml to calculations: which mechanics function computes which fact or figure, from what."""

import dataclasses
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from ..errors import AdvisorError
from . import canonical, quantities
from .functions import describe
from .model import Calculation, Facing, Input, Order
from .near import did_you_mean
from .rules import read_basis
from .vocabulary import Wanted

if TYPE_CHECKING:
    from .conditions import Terms
    from .faults import Faults
    from .strict_yaml import Node

_SOURCES = {
    "consistency": ("fact", "value", "choice"),
    "case": ("fact", "value", "choice"),
    "kit": ("fact", "figure", "kit", "facing", "table", "value", "choice"),
}
#: A facing's curve stands for two arguments.
_CURVE = (("curve_temperatures", "degC"), ("curve_factors", "1"))


def read_calculations(
    root: "Node", words: "Terms", facings: Mapping[str, Facing], order: Order, faults: "Faults"
) -> tuple[tuple[Calculation, ...], tuple[Calculation, ...]]:
    """(calculations, figure calculations) of the file's root node."""
    by_stage: dict[str, Any] = {"consistency": [], "case": [], "kit": []}
    for key, stage in (("consistency", "consistency"), ("calculations", "case"), ("figures", "kit")):
        for node in root.many(key):
            with faults.at(node):
                by_stage[stage].append(_Reader(node, stage, words, facings, order, faults).calculation())
    return (*by_stage["consistency"], *by_stage["case"]), tuple(by_stage["kit"])


class _Reader:
    def __init__(self, node, stage, words, facings, order, faults):
        self.node, self.stage, self.words, self.facings, self.order, self.faults = (
            node,
            stage,
            words,
            facings,
            order,
            faults,
        )
        self.id = node.get("id")

    def calculation(self):
        node = self.node
        gives = self.gives()
        try:
            doc = describe(node.get("function"))
        except AdvisorError as error:
            self.faults.refuse(error.what, node["function"], error.remedy, error.value)
        inputs = self.inputs(doc)
        self.check_units(doc, inputs, gives)
        calculation = Calculation(
            id=self.id,
            title=node.get("title"),
            stage=self.stage,
            gives=gives.name,
            unit=gives.unit,
            function=doc.name,
            inputs=tuple(inputs),
            units=tuple((keyword, doc.keywords[keyword]) for keyword, _ in inputs),
            result_unit=doc.result_unit,
            because=node.get("because", ""),
            basis=read_basis(node["basis"]),
            hash="",
            position=node.position,
        )
        return dataclasses.replace(calculation, hash=canonical.sha256(calculation))

    def gives(self):
        name, node = self.node.get("gives"), self.node["gives"]
        if self.stage == "kit":
            if name not in self.words.figures:
                self.faults.refuse(
                    f"the figure {name!r} is not in the vocabulary.", node, did_you_mean(name, self.words.figures)
                )
            return self.words.figures[name]
        fact = self.words.facts.get(name)
        if fact is None:
            self.faults.refuse(
                f"the fact {name!r} is not in the vocabulary.", node, did_you_mean(name, self.words.facts)
            )
        if fact.source != "derived" or fact.kind != "number":
            self.faults.refuse(
                f"{name} is a {fact.kind} from source {fact.source}; a calculation gives a derived number.",
                node,
                "Give a number fact with source: derived.",
            )
        return fact

    def inputs(self, doc):
        inputs, before = [], len(self.faults.errors)
        for keyword, node in self.node["with"].items():
            with self.faults.at(node):
                if keyword == "curve" and keyword not in doc.keywords and "facing" in node:
                    inputs += self.curve(doc, node)
                    continue
                if keyword not in doc.keywords:
                    self.faults.refuse(
                        f"{doc.name} takes no {keyword}.", node.key, did_you_mean(keyword, doc.keywords), keyword
                    )
                inputs.append((keyword, self.input(keyword, node, doc)))
        given = {keyword for keyword, _ in inputs} | set(self.node["with"].value)
        missing = [
            keyword
            for keyword in doc.keywords
            if keyword not in given
            and keyword not in doc.optional
            and not ("curve" in given and keyword.startswith("curve_"))
        ]
        if missing and len(self.faults.errors) == before:
            self.faults.refuse(
                f"{doc.name} also needs {', '.join(missing)}.", self.node["with"].key, "Add it under with."
            )
        return sorted(inputs)

    def curve(self, doc, node):
        if node.get("facing") != "curve" or any(name not in doc.keywords for name, _ in _CURVE):
            self.faults.refuse(
                f"{doc.name} takes no curve of a facing.", node.key, "Write curve: {facing: curve} only where it does."
            )
        self.only("kit", "facing", node)
        return [(name, Input("facing", name, unit=unit)) for name, unit in _CURVE]

    def only(self, stage, source, node):
        if source not in _SOURCES[self.stage]:
            self.faults.refuse(
                f"{source} is known of a kit only, and this calculation comes before kits.", node, "Move it to figures."
            )

    def input(self, keyword, node, doc):
        if "first_of" in node:
            if self.stage != "kit":
                self.faults.refuse(
                    "first_of is for figures only.", node["first_of"].key, "Let rules choose between facts."
                )
            return Input("first_of", first_of=tuple(self.input(keyword, member, doc) for member in node["first_of"]))
        sources = [name for name in node.value if name in _SOURCES["kit"]] if isinstance(node.value, dict) else []
        if len(sources) != 1 or len(node.value) != 1:
            self.faults.refuse(
                f"{keyword} needs one source.",
                node,
                f"Write {{fact: name}}, or another of {', '.join(_SOURCES[self.stage])}.",
            )
        (source,) = sources
        self.only("kit", source, node)
        target = doc.keywords[keyword]
        read = getattr(self, f"from_{source}")
        read_input = read(node[source], keyword, target)
        text = read_input.source == "choice" or self.is_choice(read_input)
        if text != (keyword in doc.texts):
            self.faults.refuse(
                f"{keyword} of {doc.name} takes a {'text' if keyword in doc.texts else 'number'}.",
                node,
                "Write {choice: name}." if keyword in doc.texts else "Write {value: 3 mm}, or name a number.",
            )
        return read_input

    def is_choice(self, given):
        kinds = {"fact": self.words.facts, "kit": self.words.kit_fields}.get(given.source)
        return kinds is not None and kinds[given.name].kind in ("choice", "text", "list")

    def known(self, node, names, what):
        name = node.value
        if not isinstance(name, str) or name not in names:
            self.faults.refuse(f"the {what} {name!r} is not known.", node, did_you_mean(name, names), name)
        return names[name]

    def from_fact(self, node, keyword, target):
        fact = self.known(node, self.words.facts, "fact")
        if fact.source in ("kit", "figure"):
            self.faults.refuse(
                f"{fact.name} is no fact of the case.", node, f"Write {{{fact.source}: {fact.field}}} instead of fact."
            )
        return Input("fact", fact.name, unit=fact.unit or "1")

    def from_figure(self, node, keyword, target):
        figure = self.known(node, self.words.figures, "figure")
        return Input("figure", figure.name, unit=figure.unit)

    def from_kit(self, node, keyword, target):
        field = self.known(node, self.words.kit_fields, "kit field")
        return Input("kit", field.name, unit=field.unit or "1")

    def from_facing(self, node, keyword, target):
        units = {name: unit for facing in self.facings.values() for name, unit in facing.units.items()}
        if keyword in dict(_CURVE) and node.value in ("curve", keyword):
            return Input("facing", keyword, unit=dict(_CURVE)[keyword])
        unit = self.known(node, units, "property of facings")
        return Input("facing", node.value, unit=unit)

    def from_table(self, node, keyword, target):
        table = self.known(node, self.order.tables, "table")
        return Input("table", table.name, unit=table.unit)

    def from_value(self, node, keyword, target):
        text = str(node.value).strip()
        _, _, written = text.partition(" ")
        unit = target if target != "any" else quantities.unit_of(written.strip() or "1").name
        if not written and unit != "1":
            self.faults.refuse(f"{text} has no unit; {keyword} is in {unit}.", node, f"Write {text} {unit}.")
        return Input("value", value=quantities.read(node.value, Wanted(keyword, unit)), unit=unit)

    def from_choice(self, node, keyword, target):
        return Input("choice", value=str(node.value), unit="1")

    def check_units(self, doc, inputs, gives):
        """Every source must be convertible to what the function wants, and the result to what is given."""
        anys: dict[str, Any] = {}
        for keyword, given in inputs:
            for alternative in given.first_of or (given,):
                if alternative.source == "choice" or self.is_choice(alternative):
                    continue
                self.check_unit(
                    keyword, alternative.unit, doc.keywords[keyword], self.node["with"].at((keyword,)), anys
                )
        self.check_unit("the result", gives.unit, doc.result_unit, self.node["gives"], anys)

    def check_unit(self, keyword, unit, target, node, anys):
        if target == "any":
            first, other = anys.setdefault("any", (keyword, unit))
            if other != unit:
                self.faults.add(
                    f"{first} is in {other} but {keyword} in {unit}; this function needs one and the same unit.",
                    node,
                    "Declare them in one unit.",
                )
            return
        source, wanted = quantities.unit_of(unit), quantities.unit_of(target)
        if source.dimension != wanted.dimension:
            self.faults.add(
                f"{keyword} is in {unit} ({source.dimension}), "
                f"but the function works in {target} ({wanted.dimension}).",
                node,
                "Name another source, or another function.",
            )
        elif source.offset != wanted.offset:
            self.faults.add(
                f"{keyword} is in {unit} but the function works in {target}: "
                "a rise in K and a temperature are not the same.",
                node,
                "Declare it in the function's unit.",
            )
