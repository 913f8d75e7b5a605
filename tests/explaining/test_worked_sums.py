"""The arithmetic shown: the numbers put into each formula give the result shown beside it."""

import math
import re
from decimal import Decimal

import numpy as np

from advisor.explaining import reason_nodes, why
from advisor.explaining.deciding_sums import NO_SUM, deciding_sums_lines
from advisor.explaining.worked_sums import worked
from advisor.knowledge.units import spellings

#: What a formula may call.
FUNCTIONS = {
    "sqrt": math.sqrt,
    "log": math.log,
    "exp": math.exp,
    "sin": math.sin,
    "cos": math.cos,
    "arctan": math.atan,
    "erf": math.erf,
    "abs": abs,
    "min": min,
    "max": max,
    "pi": math.pi,
    "interp": lambda at, where, factors: float(np.interp(at, where, factors)),
}
_UNIT = "|".join(re.escape(unit) for unit in sorted((unit for unit in spellings() if unit), key=len, reverse=True))
_QUANTITY = re.compile(rf"(?<![\w.])(\d+(?:\.\d+)?) (?:{_UNIT})(?![\w])")


def evaluated(told):
    """The value of the last line of a worked calculation, by Python's own arithmetic."""
    names = dict(FUNCTIONS)
    value = None
    for line in told["lines"]:
        name, _, right = line.partition(" = ")
        right = _QUANTITY.sub(r"\1", right)
        for known in sorted(names, key=len, reverse=True):
            right = re.sub(rf"\b{re.escape(known)}\b", known.replace(" ", "_"), right)
        value = eval(right, {"__builtins__": {}}, {key.replace(" ", "_"): one for key, one in names.items()})
        names[name] = value
    return value


def shown(told):
    """The result as shown, in the unit the formula is written in."""
    return float(re.match(r"-?\d+(?:\.\d+)?", told["result"])[0])


def arithmetic_faults(view):
    """(calculations evaluated, faults) over the whole derivation of a pick."""
    if view.pick is None:
        return 0, []
    count, faults = 0, []
    for node in reason_nodes.trace(view, view.pick, view.requirements).values():
        told = node["why"] or {}
        if not told.get("lines") or told["result"] is None or told["result"] in ("not known", "unlimited"):
            continue
        count += 1
        value = evaluated(told)
        if abs(value - shown(told)) > 1e-5 * max(abs(value), 1e-6) + 1e-9:
            faults.append(f"{node['id']}: {told['lines']} gives {value}, shown {told['result']}")
    return count, faults


def test_every_sum_shown_adds_up(views):
    counted, found = 0, []
    # Random callers come by ways to the torque that shipped cases do not take.
    some = dict([*list(views.items())[::2], *(each for each in views.items() if each[0].startswith("caller-"))])
    for case, view in some.items():
        count, faults = arithmetic_faults(view)
        counted += count
        found += [f"{case}: {fault}" for fault in faults]
    assert found == []
    assert counted > 30 * sum(view.pick is not None for view in some.values()) > 0


def test_a_worked_example(content):
    """The plain product of Bhandari, Design of Machine Elements, ch. 11: four faces at 0.33 and 84.25 mm."""
    step = next(one for one in content.knowledge.figure_calculations if one.gives == "capacity_working_nm")
    given = {
        "friction_surfaces": (4.0, "1"),
        "friction_coefficient": (0.33, "1"),
        "clamp_load": (4300.0, "N"),
        "mean_radius": (84.25, "mm"),
    }
    told = worked(step, given, 478.203)
    assert told["lines"] == ["torque = 4 * 0.33 * 4300 N * 0.08425 m"]
    assert told["result"] == "478.203 N m"
    assert any("Bhandari" in reference for reference in told["references"])
    assert evaluated(told) == 4 * 0.33 * 4300 * 0.08425


def test_only_the_line_for_the_choice_is_shown(content):
    step = next(one for one in content.knowledge.figure_calculations if one.gives == "mean_radius_mm")
    given = {"outer_radius": (100.0, "mm"), "inner_radius": (68.5, "mm"), "theory": ("uniform_wear", "")}
    told = worked(step, {**given, "paddle_shape": ("sector", "")}, 84.25)
    assert told["lines"] == ["mean radius = (0.1 m + 0.0685 m) / 2"] and told["result"] == "0.08425 m = 84.25 mm"
    told = worked(step, {**given, "paddle_shape": ("round", "")}, 83.8787)
    assert told["lines"][-1] == "mean radius = middle / bedded" and len(told["lines"]) == 4
    assert abs(evaluated(told) * 1000 - 83.8787) < 1e-3


def test_prose_is_not_taken_for_arithmetic(mild):
    nodes = reason_nodes.trace(mild, mild.pick, mild.requirements)
    hottest = nodes["figure:hottest_plate_c"]["why"]
    assert hottest["lines"] == [] and len(hottest["inputs"]) > 10 and hottest["result"].endswith("degC")


def test_every_node_comes_after_what_it_is_made_of(views):
    for view in views.values():
        if view.pick:
            seen = set()
            for key, node in reason_nodes.trace(view, view.pick, view.requirements).items():
                assert set(node["from"]) <= seen, key
                seen.add(key)


def test_depth_three_names_sources_and_units(mild):
    text = "\n".join(why.why_lines(mild, why.why(mild, 3), 80))
    assert "torque = 2 * 0.33 * 6930 N" in text or re.search(r"torque = 2 \* 0\.\d+ \* \d+ N \* 0\.\d+ m", text)
    assert "Source of the formula" in text and "Basis:" in text and "Rule holds-worn-and-warm" in text
    assert "engine torque: 370 N m (measured)" in text.lower().replace("n m", "N m")


def between(at, points, factors):
    """A straight line between points, in decimals."""
    if at <= points[0]:
        return factors[0]
    for low, high, first, last in zip(points, points[1:], factors, factors[1:]):
        if at <= high:
            return first + (last - first) * (at - low) / (high - low)
    return factors[-1]


#: What a pocket calculator does, in decimals; of the keys for angles Python's own value is taken.
KEYS = {
    "sqrt": lambda value: value.sqrt(),
    "log": lambda value: value.ln(),
    "exp": lambda value: value.exp(),
    "min": min,
    "max": max,
    "abs": abs,
    "pi": Decimal("3.14159265359"),
    "interp": between,
    **{
        name: (lambda value, of=FUNCTIONS[name]: Decimal(repr(of(float(value)))))
        for name in ("sin", "cos", "arctan", "erf")
    },
}


def steps(page):
    """The steps of a page of deciding sums: (title, its lines)."""
    found = []
    for line in page:
        if re.match(r"    \S", line):
            found.append((line.strip(), []))
        elif re.match(r"      \S", line):
            found[-1][1].append(line.strip())
    return found


def by_calculator(lines):
    """(name, Decimal) of the last sum of a step, from the numbers printed in it and nothing else."""
    names, last = dict(KEYS), ("", None)
    for line in lines[:-1]:
        name, _, right = line.partition(" = ")
        right = _QUANTITY.sub(r"\1", right)
        for known in sorted(names, key=len, reverse=True):
            right = re.sub(rf"\b{re.escape(known)}\b", known.replace(" ", "_"), right)
        if set(re.findall(r"[a-z_]+", right)) - {key.replace(" ", "_") for key in names} - {"if", "else"}:
            continue  # the formula, with names in place of numbers
        right = re.sub(r"(?<![\w.])\d+(?:\.\d+)?(?:e[+-]?\d+)?", lambda number: f"Decimal('{number[0]}')", right)
        scope = {key.replace(" ", "_"): value for key, value in names.items()}
        last = name, eval(right, {"__builtins__": {}, "Decimal": Decimal}, scope)
        names[name] = last[1]
    return last


def test_page_one_comes_out_on_a_pocket_calculator(views):
    """Every sum on the lead's first page from the numbers printed with it, return spring and all, in decimals."""
    sums = springs = 0
    apart = set()
    for case, view in views.items():
        for title, lines in steps(deciding_sums_lines(view, 10_000)):
            if lines[-1].endswith(NO_SUM):
                apart.add(title)
                continue
            name, value = by_calculator(lines)
            shown_name, _, result = lines[-1].partition(" = ")
            assert (name, value is not None) == (shown_name, True), (case, title, lines)
            digits = re.match(r"-?\d+(?:\.\d+)?", result)[0]
            # Six digits are shown, of inputs that have nine.
            assert abs(value - Decimal(digits)) <= abs(value) * Decimal("0.000005") + Decimal("1e-9"), (
                case,
                title,
                lines,
            )
            sums += 1
            springs += title == "Pedal force" and "+ 15 N" in lines[-2]
    print(f"\n{sums} sums, {springs} with a return spring; no sums: {sorted(apart)}")
    assert sums > 3 * len(views) and springs > len(views) / 8
    # What no calculator gets is said to be none, and is a matter of heat alone.
    assert all(re.search("plate|skin|heat|temperature", title, re.IGNORECASE) for title in apart), apart
