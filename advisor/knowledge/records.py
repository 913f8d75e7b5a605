"""Kits, platforms and parts as records: canonical values by flat field names."""

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ..errors import InputError
from . import quantities
from .faults import Faults
from .model import Fact, KitField, Knowledge, Record, Remark
from .near import did_you_mean
from .platform_fields import CHOICES, FLAGS, INSIDE, NUMBERS, TEXTS, TOP_GEAR

if TYPE_CHECKING:
    from .strict_yaml import Node

#: Whether a disc counts as cushioned, the field that it is worked out from, and from what travel on, in mm.
CUSHIONED, CUSHION_TRAVEL = "cushioned", "cushion_travel"
CUSHIONED_FROM = 0.25

_COMMON = (
    KitField("id", "text", "id", required=True),
    KitField("title", "text", "title", required=True),
    KitField("fits", "texts", "platforms it fits"),
    KitField("price", "number", "price", unit="1", low=0.0, high=1e6),
    KitField("currency", "text", "currency"),
    KitField("stock", "number", "pieces in stock", unit="1", low=0.0, high=1e6),
    KitField("lead_time_days", "number", "days until it can be had", unit="1", low=0.0, high=1000.0),
    KitField("discontinued", "flag", "no longer made"),
    KitField("invented", "flag", "invented for demonstration"),
    KitField("note", "text", "note"),
)
_KIT = (
    *_COMMON,
    KitField("factory", "flag", "the car's factory clutch"),
    KitField("sold_as", "choice", "sold as", choices=("kit", "disc", "cover")),
    KitField("seller_rating", "number", "the seller's rating", unit="N m", low=0.0, high=20000.0),
    KitField("flywheel", "choice", "flywheel", choices=("included", "reuse", "needs")),
)
_PART = (
    *_COMMON,
    KitField("kind", "text", "kind of part", required=True),
    KitField("maker", "text", "maker"),
    KitField("bearing_face", "choice", "face of the release bearing", choices=("flat", "curved", "concentric")),
    KitField("action", "choice", "action of the release bearing", choices=("push", "pull")),
)


def flat(node: "Node", prefix: str = "") -> "Iterator[tuple[str, Node]]":
    """Pairs (dotted path, Node) of everything in a record that is not a mapping; lists stay whole."""
    for key, child in node.items():
        path = f"{prefix}{key}"
        if isinstance(child.value, dict):
            yield from flat(child, f"{path}.")
        else:
            yield path, child


def record_fields(kind: str, knowledge: Knowledge) -> dict[str, KitField]:
    """What a record of ``kind`` (kits, platforms, parts) may hold: path -> KitField."""
    return {"kits": _kit_fields, "platforms": _platform_fields, "parts": _part_fields}[kind](knowledge)


def _kit_fields(knowledge):
    by_path = {field.name: field for field in _KIT}
    derived = ("several", CUSHIONED, "friction_surfaces")
    by_path.update(
        {field.path or field.name: field for field in knowledge.kit_fields.values() if field.name not in derived}
    )
    return by_path


def _part_fields(_):
    return {field.name: field for field in _PART}


def read_kits(roots: "Sequence[Node]", knowledge: Knowledge) -> tuple[Record, ...]:
    """Records of all kits in the files' root nodes, in order of id."""
    by_path = _kit_fields(knowledge)
    return _read_all("kit", roots, "kits", lambda node, faults: _kit(node, by_path, knowledge, faults))


def _kit(node, by_path, knowledge, faults):
    fields = _fields("kit", node, by_path, faults)
    if fields.get("facing") is not None and fields["facing"] not in knowledge.facings:
        faults.add(
            f"the facing {fields['facing']} is not in facings.yaml.",
            node.at(("facing",)),
            did_you_mean(fields["facing"], knowledge.facings),
        )
    inner, outer = fields.get("inner_diameter"), fields.get("outer_diameter")
    if inner is not None and outer is not None and inner >= outer:
        faults.add(
            "the inner diameter is not smaller than the outer one.",
            node.at(("inner_diameter",)),
            "Correct one of the two.",
        )
    return {**fields, **derive(fields)}


def derive(fields: Mapping[str, Any]) -> dict[str, Any]:
    """The kit fields worked out for every kit, from its canonical fields."""
    derived: dict[str, Any] = {"made_for": fields.get("made_for", "car")}
    if "discs" in fields:
        derived["several"] = fields["discs"] >= 2
        derived["friction_surfaces"] = 2 * fields["discs"]
    if CUSHION_TRAVEL in fields:
        derived[CUSHIONED] = fields[CUSHION_TRAVEL] >= CUSHIONED_FROM
    return derived


def read_parts(roots: "Sequence[Node]", knowledge: Knowledge) -> tuple[Record, ...]:
    """Records of all parts, in order of id."""
    by_path = _part_fields(knowledge)
    return _read_all("part", roots, "parts", lambda node, faults: _fields("part", node, by_path, faults))


def _fields(kind, node, by_path, faults):
    fields = {}
    for path, child in flat(node):
        field = by_path.get(path)
        if field is None:
            faults.add(f"a {kind} has no {path}.", child.key, did_you_mean(path, by_path))
            continue
        with faults.at(child):
            value = _texts(child) if field.kind == "texts" else quantities.read_value(field, _raw(field, child))
            if value is not None:
                fields[field.name] = value
    for path, field in by_path.items():
        if field.required and field.name not in fields and not faults:
            faults.add(f"the {kind} {fields.get('id', '')} lacks {path}.", node, "Write it.")
    return fields


def _raw(field, node):
    """What a field's reader takes: numbers in text fields (an id of digits) are refused by the schema before."""
    if isinstance(node.value, list):
        return [member.value for member in node.value]
    return node.value if field.kind == "number" or isinstance(node.value, str) else str(node.value)


def _texts(node):
    return tuple(str(member.value) for member in node)


def read_platforms(roots: "Sequence[Node]", knowledge: Knowledge) -> tuple[Record, ...]:
    """Records of all platforms, in order of id.

    Fields stand by dotted path (gear_ratios.0), in the unit of the fact that reads them.
    """
    fields = _platform_fields(knowledge)
    return _read_all("platform", roots, "platforms", lambda node, faults: _platform(node, fields, faults))


def _platform_fields(knowledge):
    fields = {path: KitField(path, "choice", path, choices=choices) for path, choices in CHOICES.items()}
    fields.update({path: KitField(path, "text", path) for path in TEXTS})
    fields.update({path: KitField(path, "flag", path) for path in FLAGS})
    for path, number in NUMBERS.items():
        fields[path] = KitField(path, "number", path, unit=number.unit, low=number.low, high=number.high)
    for fact in knowledge.facts.values():
        if fact.platform:
            low, high = _sane_range(fact)
            fields[fact.platform] = KitField(
                fact.platform,
                fact.kind,
                fact.label,
                unit=fact.unit,
                choices=fact.choices,
                low=low,
                high=high,
                dimensions=fact.dimensions,
            )
    return fields


def _sane_range(fact):
    """The sane range of a platform's number in the unit of a fact that reads it; None twice for what is no number."""
    number = NUMBERS.get(fact.platform) or NUMBERS.get(fact.platform.rpartition(".")[0])
    if fact.kind != "number" or number is None:
        return None, None
    return tuple(
        float(f"{quantities.convert(end, number.unit, fact.unit or '1'):.9g}") for end in (number.low, number.high)
    )


def _platform(node, known, faults):
    values = {}
    for path, child in flat(node):
        members = (
            [(f"{path}.{index}", member) for index, member in enumerate(child.value)]
            if isinstance(child.value, list)
            else [(path, child)]
        )
        for place, member in members:
            field = known.get(place) or known.get(path)
            if field is None:
                faults.add(f"a platform has no {path}.", child.key, did_you_mean(path, known))
                break
            with faults.at(member):
                value = quantities.read_value(field, _raw(field, member))
                if value is not None:
                    values[place] = value
                    if path == "gear_ratios":
                        values[TOP_GEAR] = value
    for path in ("id", "title"):
        if path not in values and not faults:
            faults.add(f"a platform lacks its {path}.", node, "Write it.")
    for inner, outer in INSIDE:
        if inner in values and outer in values and values[inner] >= values[outer]:
            where = node.at(tuple(inner.split(".")))
            faults.add(f"{inner} is not smaller than {outer}.", where, "Correct one of the two.")
    return values


def _read_all(kind, roots, key, read):
    by_id: dict[str, Any] = {}
    faults = Faults(InputError)
    for root in roots:
        for node in root[key]:
            own = Faults(InputError)
            with own.at(node):
                fields = read(node, own)
                record = Record(kind, fields.get("id", ""), fields, node.position)
                if record.id in by_id:
                    first = by_id[record.id].position
                    own.add(
                        f"the {kind} {record.id} stands a second time (first at {first}).",
                        node.at(("id",)),
                        "Keep one, or give it another id.",
                    )
                elif not own:
                    by_id[record.id] = record
            faults.errors += own.errors
    faults.finish()
    return tuple(by_id[name] for name in sorted(by_id))


def check_together(
    kits: tuple[Record, ...], platforms: tuple[Record, ...], parts: tuple[Record, ...] = ()
) -> tuple[Remark, ...]:
    """Remarks on records that name what is not there: platforms a kit or part fits, a platform's factory clutch.

    ErrorList where two records contradict each other: a factory clutch that is another car's.
    """
    faults = Faults(InputError)
    remarks = []
    names, by_id = {platform.id for platform in platforms}, {kit.id: kit for kit in kits}
    for record in (*kits, *parts):
        for name in record.fields.get("fits", ()):
            if name not in names and name != "any":
                near = did_you_mean(name, sorted(names), "")
                what = f"the {record.kind} {record.id} fits {name}, which is no platform on file."
                remarks.append(Remark(f"{what} {near}".rstrip(), record.position))
    for platform in platforms:
        clutch = platform.fields.get("stock.clutch")
        if clutch is None:
            continue
        kit = by_id.get(clutch)
        if kit is None:
            near = did_you_mean(clutch, sorted(by_id), "")
            what = (
                f"the factory clutch {clutch} of {platform.id} is no kit on file: its loads are not known, "
                "so every kit is held against the worst, and nobody is told that it is enough."
            )
            remarks.append(Remark(f"{what} {near}".rstrip(), platform.position))
        elif not kit.fields.get("factory") or platform.id not in kit.fields.get("fits", ()):
            faults.add(
                f"the kit {clutch} does not say that it is the factory clutch of {platform.id}.",
                kit.position,
                f"Write factory: yes and fits: [{platform.id}].",
            )
    faults.finish()
    return tuple(remarks)


def asked_of_case(fact: Fact) -> bool:
    """May a case answer this fact?"""
    return fact.source in ("asked", "platform")
