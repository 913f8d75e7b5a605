"""Minimal conflicts and corrections against trying every set, and over the cases no kit fits."""

from itertools import combinations

from hypothesis import given, settings, strategies as st

from advisor.deciding import conflicts

MUSTS = "abcdef"
FAMILIES = st.lists(st.frozensets(st.sampled_from(MUSTS), min_size=1), min_size=1, max_size=6)


def every_minimal_hitting_set(family):
    """By trying every set of musts, smallest first."""
    found = []
    for size in range(len(MUSTS) + 1):
        for one in combinations(MUSTS, size):
            one = frozenset(one)
            if all(one & failed for failed in family) and not any(other <= one for other in found):
                found.append(one)
    return set(found)


@given(FAMILIES)
@settings(max_examples=150, deadline=None)
def test_conflicts_are_all_the_minimal_hitting_sets(family):
    assert set(conflicts.minimal_conflicts(family)) == every_minimal_hitting_set(family)


@given(FAMILIES, st.frozensets(st.sampled_from(MUSTS), max_size=2))
@settings(max_examples=150, deadline=None)
def test_corrections_are_minimal_and_never_touch_safety(family, never):
    kits = {f"kit-{place}": failed for place, failed in enumerate(family)}
    found = conflicts.minimal_corrections(kits, never)
    allowed = [failed for failed in family if not failed & never]
    assert {frozenset(one) for one, _ in found} == {one for one in allowed if not any(other < one for other in allowed)}
    for given_up, passing in found:
        assert not set(given_up) & never
        assert set(passing) == {kit for kit, failed in kits.items() if failed <= set(given_up)}


def conflict_faults(view):
    """(sets checked, faults) of the conflicts and corrections of a record, by its kits' own failed musts."""
    held = view.record.data["no_fit"]
    if not held:
        return 0, []
    failing = {
        one["id"]: {entry["requirement"] for entry in one["failed"] + one["unknown"]}
        for one in view.record.data["kits"]
        if one["fits"]
    }
    count, faults = 0, []
    for conflict in map(set, held["conflicts"]):
        count += 1
        if any(not conflict & failed for failed in failing.values()):
            faults.append(f"some kit passes all of {sorted(conflict)}")
        for left_out in conflict:
            if all((conflict - {left_out}) & failed for failed in failing.values()):
                faults.append(f"{sorted(conflict)} conflicts without {left_out}")
    for one in held["corrections"]:
        count += 1
        given_up = set(one["give_up"])
        if any(view.requirements[name].safety for name in given_up):
            faults.append(f"safety is given up in {one}")
        if {kit for kit, failed in failing.items() if failed <= given_up} != set(one["kits"]):
            faults.append(f"{one} helps other kits")
        for left_out in given_up:
            if any(failed <= given_up - {left_out} for failed in failing.values()):
                faults.append(f"{one} need not give up {left_out}")
    return count, faults


def test_over_all_cases_no_kit_fits(views):
    counted, found = 0, []
    for view in views.values():
        count, faults = conflict_faults(view)
        counted += count
        found += faults
    assert found == [] and counted >= 4
