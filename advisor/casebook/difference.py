"""What differs between two `DecisionRecord`s, as data. Words for it are found elsewhere."""

from typing import TYPE_CHECKING, Any

from . import stored_form

if TYPE_CHECKING:
    from ..deciding.decision_record import DecisionRecord


def difference(old: "DecisionRecord", new: "DecisionRecord") -> dict[str, Any]:
    """Every difference that means something, by part; a part without one is left out. Pairs are (old, new)."""
    differing: dict[str, Any] = {}

    def pair(name, before, after):
        if before != after:
            differing[name] = [before, after]

    def listed(name, before, after):
        if sorted(before) != sorted(after):
            differing[name] = {
                "only_old": sorted(set(before) - set(after)),
                "only_new": sorted(set(after) - set(before)),
            }

    before, after = stored_form.outcome(old), stored_form.outcome(new)
    pair("outcome", before[0], after[0])
    pair("pick", before[1], after[1])
    for name in (stored_form.PRICE, stored_form.MARGIN):
        pair(name, _of_pick(old, name), _of_pick(new, name))
    for name in ("next_down", "next_up"):
        pair(name, *(beside and beside.kit for beside in (getattr(old, name), getattr(new, name))))
    pair("ladder", _ladder(old), _ladder(new))
    listed("required", before[2], after[2])
    listed("safety_cautions", before[3], after[3])
    listed("asks", old.asks, new.asks)
    listed("items", _items(old), _items(new))
    listed("cautions", [caution.id for caution in old.cautions], [caution.id for caution in new.cautions])
    _keyed(differing, "answers", old.data["case"]["answers"], new.data["case"]["answers"])
    _keyed(differing, "facts", old.values, new.values)
    _keyed(differing, "requirements", _requirements(old), _requirements(new))
    _keyed(
        differing,
        "verdicts",
        {kit.id: kit.verdict for kit in old.kits.values()},
        {kit.id: kit.verdict for kit in new.kits.values()},
    )
    _keyed(differing, "firings", firings(old), firings(new))
    _keyed(differing, "checks", _checks(old), _checks(new))
    if not differing and stored_form.decided_bytes(old, "knowledge") != stored_form.decided_bytes(new, "knowledge"):
        parts = sorted({*old.data, *new.data} - {"made_by", "knowledge"})
        differing["wording"] = [name for name in parts if old.data.get(name) != new.data.get(name)]
    return differing


def _keyed(differing, name, before, after):
    """Members of two mappings that differ, as {key: [old or None, new or None]}."""
    changed = {
        key: [before.get(key), after.get(key)] for key in sorted({*before, *after}) if before.get(key) != after.get(key)
    }
    if changed:
        differing[name] = changed


def _of_pick(record, name):
    return record.picked.figures.get(name) if record.picked else None


def _ladder(record):
    """Passing kits in their order, the pick first."""
    return [kit.id for kit in sorted((kit for kit in record.kits.values() if kit.place), key=lambda kit: kit.place)]


def _items(record):
    return [f"{item.id} {item.level}" for _, item in record.setup.items()]


def _requirements(record):
    kept = ("measure", "compare", "limit", "unit", "level", "concern", "safety", "of_kits", "rule")
    return {posted.id: {name: getattr(posted, name) for name in kept} for posted in record.requirements.values()}


def firings(record: "DecisionRecord") -> dict[str, dict[str, Any]]:
    """Every firing of a record by kind and id: stage, hash of the rule, facts read and concluded."""
    kept = ("kind", "stage", "rule_hash", "facts", "concluded")
    return {
        f"{firing.kind} {firing.rule}": {name: getattr(firing, name) for name in kept}
        for firing in record.firings.values()
    }


def _checks(record):
    """What every kit that fits the car fails, gives up or leaves unknown."""
    return {
        kit.id: {
            name: sorted(check.requirement for check in checks)
            for name, checks in (("failed", kit.failed), ("unknown", kit.unknown), ("given_up", kit.given_up))
            if checks
        }
        for kit in record.kits.values()
        if kit.fits
    }
