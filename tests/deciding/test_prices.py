"""What a kit comes to with what goes with it: for certain, and with what is needed as a rule."""

import dataclasses

import numpy as np
import pytest

from advisor.deciding import parts
from advisor.deciding.kit_columns import KitColumns
from advisor.deciding.setting_up import SettingUp
from advisor.knowledge.model import Item, Record


def chosen(part, price=None, level="check", likely=False, name=""):
    record = None if price is None else Record("part", f"{part}-1", {"price": price}, None)
    return parts.Chosen(Item(name or part, "part", "", level, part=part, likely=likely), "rule", record)


@pytest.mark.parametrize(
    "goes_with, certain, likely",
    [
        ((), 100.0, 100.0),
        ((chosen("bolts", 12.5, "required"), chosen("fluid", 9.5, likely=True)), 112.5, 122.0),
        ((chosen("seal", 8.0), chosen("shims", 5.0, "optional")), 100.0, 100.0),
        # Needed as a rule and not on file: to be priced, and nothing here.
        ((chosen("bearing", None, likely=True),), 100.0, 100.0),
        # Another rule demands one of the same kind: one is bought.
        ((chosen("bearing", 40.0, "required", name="new"), chosen("bearing", 40.0, likely=True)), 140.0, 140.0),
        (
            (chosen("bearing", 40.0, "required", name="a"), chosen("bearing", 40.0, "required", name="b")),
            140.0,
            140.0,
        ),
        (
            (chosen("bearing", 40.0, likely=True, name="a"), chosen("bearing", 40.0, likely=True, name="b")),
            100.0,
            140.0,
        ),
    ],
)
def test_a_price_counts_each_part_once(goes_with, certain, likely):
    kit = Record("kit", "one", {"price": 100.0}, None)
    assert parts.price_of(kit, goes_with) == parts.Price(certain, likely)
    assert parts.price_of(Record("kit", "one", {}, None), goes_with) is None


def test_of_two_parts_of_one_kind_the_one_asked_for_most_firmly_is_listed(content):
    """One that is required before one to be looked at, whichever rule comes first; other kinds stay."""
    rules = {rule.id: rule for rule in content.knowledge.rules}
    looked_at, required = rules["pilot-bearing"], rules["pilot-bearing-heard"]
    for fired in ([looked_at, required], [required, looked_at], [required, required]):
        listed = [each for each in parts.items(fired) if each.item.part == "pilot_bearing"]
        assert [each.item.id for each in listed] == ["pilot-bearing-heard"]
    again = dataclasses.replace(required, id="a-again", items=(dataclasses.replace(required.items[0], id="again"),))
    both = parts.items([required, again, rules["bearing-new"]])
    assert sorted(each.item.part for each in both if each.item.kind == "part") == ["pilot_bearing", "release_bearing"]
    assert parts.required_ids(both) == {"again"}, "of two alike the rule first by name"


def test_whatever_rules_fire_the_batch_comes_to_the_same_prices(content):
    """200 random sets of fired rules for as many pairs; every other rule with parts is there twice, as another says."""
    rules = [rule for rule in content.knowledge.rules if rule.stage == "setup"]
    with_parts = [rule for rule in rules if any(item.kind == "part" for item in rule.items)]
    for place, rule in enumerate(with_parts[::2]):
        level, likely = (("required", False), ("check", True))[place % 2]
        items = tuple(dataclasses.replace(item, level=level, likely=likely) for item in rule.items if item.part)
        rules.append(dataclasses.replace(rule, id=f"again-{rule.id}", items=items))
    setting_up = SettingUp(dataclasses.replace(content.knowledge, rules=tuple(rules)), content.parts)
    kits, draw = KitColumns(content.kits, content.knowledge), np.random.default_rng(5)
    pairs = np.stack([np.arange(200), draw.integers(0, len(kits), 200)], axis=1)
    fired = {name: draw.random(200) < 0.2 for name in setting_up.rules}
    by_kind = parts.by_kind(content.parts)
    columns, apart = setting_up.prices(pairs, fired, kits, "bramble-20t", 200), []
    for row, place in pairs:
        goes_with = [rule for name, rule in setting_up.rules.items() if fired[name][row]]
        kit = kits.kits[place]
        price = parts.price_of(kit, parts.set_up(goes_with, kit, "bramble-20t", by_kind))
        assert (columns.certain[row, place], columns.likely[row, place]) == (price.certain, price.likely)
        apart.append(price.likely > price.certain)
    assert 20 < sum(apart) < 200
