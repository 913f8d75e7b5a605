"""Verdicts, ladder and pick derived again from requirements and figures, by code that shares nothing with deciding.

Everything here works on the decision record, kit by kit, with plain Python comparisons, after the words of the
procedure: musts, then the failed concerns in their order, harshness class, discs, clamp load in steps of a tenth,
pedal force in such steps, price, on the shelf before to order, bedded capacity, id.
"""

import math
from decimal import Context, Decimal

import pytest
from hypothesis import given, settings, strategies as st

from advisor.deciding.recording import record
from tests.callers import caller


def judge(requirement, kit, fields, figures):
    """True, False, or None for unknown; "skip" where the requirement is not asked of this kit."""
    for field, values in requirement["of_kits"].items():
        if fields.get(field) not in values:
            return "skip"
    actual = (
        fields.get(requirement["measure"]) if requirement["source"] == "kit" else figures.get(requirement["measure"])
    )
    limit = requirement["limit"]
    if isinstance(limit, dict):
        limit = fields.get(limit["kit"])
    if requirement["compare"] == "between":
        return None if actual is None or None in limit else limit[0] <= actual <= limit[1]
    if actual is None or limit is None:
        return None
    return {
        "at_least": lambda: actual >= limit,
        "at_most": lambda: actual <= limit,
        "above": lambda: actual > limit,
        "below": lambda: actual < limit,
        "is": lambda: actual == limit,
        "in": lambda: actual in limit,
        "not_in": lambda: actual not in limit,
    }[requirement["compare"]]()


def harshness(order, fields):
    """The class of the one row that covers a kit."""
    found = [
        value
        for _, conditions, value in order.tables["harshness"].rows
        if all(fields[field] in values for field, values in conditions)
    ]
    assert len(found) == 1
    return found[0]


#: Edges of the steps, written out: 1 N times 1.1 and so on, from 1,000 N for clamp loads and from 100 N for pedals.
EDGES = {start: [start * Decimal("1.1") ** power for power in range(-80, 80)] for start in (1000, 100)}


def stands_on(value, start):
    """The step a force stands on, by exact decimals; an edge to nine digits belongs to the step it begins."""
    if value is None:
        return math.inf
    nine = Context(prec=9)
    return sum(nine.create_decimal(Decimal(value)) >= nine.plus(edge) for edge in EDGES[start])


def gentle(order, own, kit):
    """The key without the concerns."""
    figures = kit["figures"]
    return (
        harshness(order, own),
        own["discs"],
        stands_on(own["clamp_load"], 1000),
        stands_on(figures.get("pedal_force_n"), 100),
        figures.get("total_price", own["price"]),
        0 if own.get("stock", 0) > 0 else 1,
        figures.get("capacity_bedded_nm", math.inf),
        kit["id"],
    )


def check_record(made, content):
    """Derive everything again from one record and compare; gives the number of kits that were judged by figures."""
    if made["outcome"] == "need_more_answers" and not made["kits"]:
        return 0
    fields = {kit.id: kit.fields for kit in content.kits}
    concerns = content.knowledge.order.concerns
    passing, compared = [], 0
    for kit in made["kits"]:
        own = fields[kit["id"]]
        judged = {one["id"]: (one, judge(one, kit["id"], own, kit["figures"])) for one in made["requirements"]}
        failed = {name for name, (one, held) in judged.items() if one["level"] == "must" and held is False}
        unknown = {name for name, (one, held) in judged.items() if one["level"] == "must" and held is None}
        if not kit["fits"]:
            # Figures of a kit that cannot be fitted are not recorded; its dimensions alone must refuse it.
            assert kit["verdict"] == "failed"
            assert any(judged[name][0]["topic"] in ("fit", "declined") for name in failed)
            continue
        compared += 1
        assert {one["requirement"] for one in kit["failed"]} == failed, kit["id"]
        assert {one["requirement"] for one in kit["unknown"]} == unknown, kit["id"]
        verdict = "failed" if failed else "unjudged" if unknown else "passes"
        assert kit["verdict"] in ((verdict, "picked") if verdict == "passes" else (verdict,))
        lost = {
            one["concern"] for name, (one, held) in judged.items() if one["level"] == "should" and held in (False, None)
        }
        assert kit["concerns"] == [concern for concern in concerns if concern in lost]
        if verdict == "passes":
            key = ([int(concern in lost) for concern in concerns], *gentle(content.knowledge.order, own, kit))
            passing.append((key, kit["id"], kit["place"]))
    passing.sort()
    assert [place for _, _, place in passing] == list(range(1, len(passing) + 1))
    if passing:
        assert made["outcome"] == "recommended" and made["pick"]["kit"] == passing[0][1]
        picked = next(kit for kit in made["kits"] if kit["id"] == passing[0][1])
        assert picked["verdict"] == "picked"
        check_neighbours(made, passing, picked, fields, content)
    else:
        assert made["outcome"] in ("no_kit_fits", "need_more_answers") and made["pick"] is None
    return compared


def check_neighbours(made, passing, picked, fields, content):
    """next_down is the nearest gentler kit that fits; next_up the next passing one with 10 % more bedded capacity."""

    def place(kit):
        return gentle(content.knowledge.order, fields[kit["id"]], kit)

    gentler = [kit for kit in made["kits"] if kit["fits"] and place(kit) < place(picked)]
    nearest = max(gentler, key=place, default=None)
    assert (made["next_down"] or {}).get("kit") == (nearest or {}).get("id")
    if nearest is not None:
        names = ("harshness", "discs", "clamp_load", "pedal_force", "price", "stock", "capacity", "id")
        apart = [name for name, one, other in zip(names, place(nearest), place(picked)) if one != other]
        assert made["next_down"]["before_by"] == apart[0]
    figures = {kit["id"]: kit["figures"] for kit in made["kits"]}
    base = figures[picked["id"]]["capacity_bedded_nm"]
    higher = [name for _, name, _ in passing[1:] if figures[name]["capacity_bedded_nm"] >= 1.1 * base]
    assert (made["next_up"] or {}).get("kit") == (higher[0] if higher else None)
    check_near_equals(made, passing, picked, fields, content)


def check_near_equals(made, passing, picked, fields, content):
    """Less than a tenth of clamp load apart, as harsh, as many discs, and a lighter pedal (by a newton) or a lower
    price.
    """
    figures = {kit["id"]: kit["figures"] for kit in made["kits"]}
    own, here = fields[picked["id"]], picked["figures"]
    near = []
    for _, name, _ in passing[1:]:
        other, there = fields[name], figures[name]
        loads = sorted(Decimal(one["clamp_load"]) for one in (own, other))
        alike = (harshness(content.knowledge.order, own), own["discs"]) == (
            harshness(content.knowledge.order, other),
            other["discs"],
        )
        lighter = here.get("pedal_force_n", 1e9) - there.get("pedal_force_n", 1e9) >= 1
        if alike and loads[1] < loads[0] * Decimal("1.1") and (lighter or there["total_price"] < here["total_price"]):
            near.append(name)
    assert [one["kit"] for one in made["near_equals"]] == near
    lost = {kit["id"]: kit["concerns"] for kit in made["kits"]}
    for one in made["near_equals"]:
        assert one["gives_up"] == [name for name in lost[one["kit"]] if name not in lost[picked["id"]]]
        assert one["stock"] == {
            side: fields[name].get("stock", 0) > 0 for side, name in (("pick", picked["id"]), ("kit", one["kit"]))
        }
        told = {part["figure"]: (part["pick"], part["kit"]) for part in one["differences"]}
        for name in ("pedal_force_n", "total_price", "capacity_working_nm", "holding_probability"):
            both = here.get(name), figures[one["kit"]].get(name)
            assert told.get(name) == (both if None not in both and both[0] != both[1] else None)


@settings(max_examples=16, derandomize=True, deadline=None, database=None)
@given(seed=st.integers(0, 10**6))
def test_verdicts_ladder_and_pick_of_random_callers(seed, content, plain_decider):
    decision = plain_decider.decide(caller(seed, content))
    check_record(record(decision, []).data, content)


def test_the_check_notices_a_wrong_pick(content, plain_decider):
    """The check above can fail: a record whose pick is swapped for the runner-up is refused."""
    for seed in range(200):
        made = record(plain_decider.decide(caller(seed, content)), []).data
        second = next((kit for kit in made["kits"] if kit["place"] == 2), None)
        if second is not None:
            break
    made["pick"]["kit"] = second["id"]
    with pytest.raises(AssertionError):
        check_record(made, content)
