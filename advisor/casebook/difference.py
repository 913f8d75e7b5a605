"""What differs between two decision records, as data. Words for it are found elsewhere."""

from . import records


def difference(old, new):
    """Every difference that means something, by part; a part without one is left out. Pairs are (old, new)."""
    found = {}

    def pair(name, before, after):
        if before != after:
            found[name] = [before, after]

    def listed(name, before, after):
        if sorted(before) != sorted(after):
            found[name] = {"only_old": sorted(set(before) - set(after)), "only_new": sorted(set(after) - set(before))}

    before, after = records.outcome(old), records.outcome(new)
    pair("outcome", before[0], after[0])
    pair("pick", before[1], after[1])
    for name in (records.PRICE, records.MARGIN):
        pair(name, _of_pick(old, name), _of_pick(new, name))
    for name in ("next_down", "next_up"):
        pair(name, *(made[name] and made[name]["kit"] for made in (old, new)))
    pair("ladder", _ladder(old), _ladder(new))
    listed("required", before[2], after[2])
    listed("safety_cautions", before[3], after[3])
    listed("asks", old["asks"], new["asks"])
    listed("items", _items(old), _items(new))
    listed("cautions", [one["id"] for one in old["cautions"]], [one["id"] for one in new["cautions"]])
    _keyed(found, "answers", old["case"]["answers"], new["case"]["answers"])
    _keyed(
        found,
        "facts",
        {one["name"]: one["value"] for one in old["facts"]},
        {one["name"]: one["value"] for one in new["facts"]},
    )
    _keyed(found, "requirements", _requirements(old), _requirements(new))
    _keyed(
        found,
        "verdicts",
        {kit["id"]: kit["verdict"] for kit in old["kits"]},
        {kit["id"]: kit["verdict"] for kit in new["kits"]},
    )
    _keyed(found, "firings", firings(old), firings(new))
    _keyed(found, "checks", _checks(old), _checks(new))
    if not found and records.decided_bytes({**old, "knowledge": None}) != records.decided_bytes(
        {**new, "knowledge": None}
    ):
        found["wording"] = [
            name for name in sorted({*old, *new} - {"made_by", "knowledge"}) if old.get(name) != new.get(name)
        ]
    return found


def _keyed(found, name, before, after):
    """Members of two mappings that differ, as {key: [old or None, new or None]}."""
    changed = {
        key: [before.get(key), after.get(key)] for key in sorted({*before, *after}) if before.get(key) != after.get(key)
    }
    if changed:
        found[name] = changed


def _of_pick(made, name):
    kit = records.picked(made)
    return kit["figures"].get(name) if kit else None


def _ladder(made):
    """Passing kits in their order, the pick first."""
    return [kit["id"] for kit in sorted((kit for kit in made["kits"] if kit["place"]), key=lambda kit: kit["place"])]


def _items(made):
    return [f"{one['id']} {one['level']}" for part in made["setup"].values() for one in part]


def _requirements(made):
    kept = ("measure", "compare", "limit", "unit", "level", "concern", "safety", "of_kits", "rule")
    return {one["id"]: {name: one[name] for name in kept} for one in made["requirements"]}


def firings(made):
    """Every firing of a record by kind and id: stage, hash of the rule, facts read and concluded."""
    kept = ("kind", "stage", "rule_hash", "facts", "concluded")
    return {f"{one['kind']} {one['rule']}": {name: one[name] for name in kept} for one in made["firings"]}


def _checks(made):
    """What every kit that fits the car fails, gives up or leaves unknown."""
    return {
        kit["id"]: {
            name: sorted(one["requirement"] for one in kit[name])
            for name in ("failed", "unknown", "given_up")
            if kit[name]
        }
        for kit in made["kits"]
        if kit["fits"]
    }
