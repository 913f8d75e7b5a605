"""What goes with a kit, and what it all costs."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from ..frozen import frozen

if TYPE_CHECKING:
    from ..knowledge.model import Item, Record, Rule

#: Fields in which a part must equal the kit, where both give them.
MATCHED = ("bearing_face", "action", "spline", "bolt_pattern", "facing", "discs")
#: Who may fit a clutch, who must know most first.
FITTERS = ("professional", "experienced_home", "first_time")


@frozen
class Chosen:
    """An item of the set-up with the rule that added it, and for a part the record chosen (None: not on file)."""

    item: "Item"
    rule: str
    record: "Record | None" = None


#: Kind of a part -> the parts on file.
ByKind = Mapping[Any, "Sequence[Record]"]


def by_kind(parts: "Sequence[Record]") -> ByKind:
    """Parts by their kind, in their order."""
    kinds: dict[Any, list[Record]] = {}
    for part in parts:
        kinds.setdefault(part.fields.get("kind"), []).append(part)
    return kinds


def choose(part_kind: str, kit: "Record", platform_id: str, parts: ByKind) -> "Record | None":
    """The part Record of a kind for this kit and car: in stock first, then cheapest, then by id; None if none."""
    fitting = [part for part in parts.get(part_kind, ()) if _fits(part, kit, platform_id)]
    return min(fitting, key=_preference, default=None)


def _preference(part):
    return (part.fields.get("stock", 0.0) <= 0, part.fields.get("price", float("inf")), part.id)


def _fits(part, kit, platform_id):
    fits = part.fields.get("fits")
    if fits and platform_id not in fits:
        return False
    kits = part.fields.get("kits")
    if kits and kit.id not in kits:
        return False
    return all(
        part.fields[name] == kit.fields[name]
        for name in MATCHED
        if part.fields.get(name) is not None and kit.fields.get(name) is not None
    )


_LEVELS = {"required": 0, "check": 1, "optional": 2}


def _firmness(item, rule):
    return (_LEVELS[item.level], not item.likely, rule)


def items(fired_rules: "Sequence[Rule]") -> "tuple[Chosen, ...]":
    """`Chosen` items of the fired set-up rules without their records, one for each item id, by kind, level and id.

    Of one kind of part there is one, as the rule that asks for it most firmly has it: what is on file is chosen by its
    kind, so that one part meets them all. Where several say who fits it, those who must know most: nobody reads two
    answers to that question.
    """
    chosen: dict[str, Any] = {}
    for rule in fired_rules:
        for item in rule.items:
            held = chosen.get(item.id)
            if held is None or _firmness(item, rule.id) < _firmness(held.item, held.rule):
                chosen[item.id] = Chosen(item, rule.id)
    kinds: dict[str, Chosen] = {}
    for each in chosen.values():
        if each.item.kind == "part":
            held = kinds.setdefault(each.item.part, each)
            if _firmness(each.item, each.rule) < _firmness(held.item, held.rule):
                kinds[each.item.part] = each
    most = min((FITTERS.index(each.item.who) for each in chosen.values() if each.item.kind == "fitted_by"), default=0)
    kept = (
        each
        for each in chosen.values()
        if (each.item.kind != "fitted_by" or FITTERS.index(each.item.who) == most)
        and (each.item.kind != "part" or kinds[each.item.part] is each)
    )
    return tuple(sorted(kept, key=lambda each: (each.item.kind, _LEVELS[each.item.level], each.item.id)))


def set_up(fired_rules: "Sequence[Rule]", kit: "Record", platform_id: str, parts: ByKind) -> "tuple[Chosen, ...]":
    """The `items` of the fired set-up rules, parts with the records chosen for this kit and car."""
    return tuple(
        replace(each, record=choose(each.item.part, kit, platform_id, parts)) if each.item.kind == "part" else each
        for each in items(fired_rules)
    )


def required_ids(chosen: "tuple[Chosen, ...]") -> frozenset[str]:
    """Ids of the items that must go in, as a frozenset."""
    return frozenset(each.item.id for each in chosen if each.item.level == "required")


@frozen
class Price:
    """What a kit comes to: ``certain``, with the parts that must go in; ``likely``, with those needed as a rule too."""

    certain: float
    likely: float


def price_of(kit: "Record", chosen: "tuple[Chosen, ...]") -> Price | None:
    """The `Price` of a kit with what goes with it, rounded to cents; None where the kit has none.

    A part that is not on file adds nothing here and is shown as to be priced. Of one kind of part one is bought.
    """
    price = kit.fields.get("price")
    if price is None:
        return None
    added = [each for each in chosen if each.item.kind == "part"]
    required = {each.item.part: _price(each) for each in added if each.item.level == "required"}
    certain = price + sum(required[kind] for kind in sorted(required))
    likely = {each.item.part: _price(each) for each in added if each.item.likely and each.item.part not in required}
    return Price(round(certain, 2), round(certain + sum(likely[kind] for kind in sorted(likely)), 2))


def _price(chosen):
    return chosen.record.fields.get("price", 0.0) if chosen.record else 0.0
