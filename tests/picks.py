"""Old pick against new pick: ``python -m tests.picks OTHER_CHECKOUT [--callers 2000] [--list 40]``.

Decides all shipped cases and random callers (same answers) with the code, rules and records of another checkout and
with ours, and prints which picks differ, counted by transition and by what made the difference. The callers are drawn
by the other checkout, so that both sides are told the same; an answer to something that is no longer asked is left out.

What made the difference, looked for in this order:
  old pick fails       a must that the old pick no longer meets
  new pick passes      a must that the new pick did not meet before
  wish                 both pass on both sides, a should is met or given up otherwise
  ladder order only    nothing but the order of the ladder
Beside each requirement stands whether its limit changed, the kit's figure or both, and whether the other side asks it
at all.
"""

import argparse
import json
import os
import subprocess
import sys
from collections import Counter
from pathlib import Path

HERE = Path(__file__).resolve().parents[1]
MISS, UNKNOWN = 0, 2


#: Part of a measure's name -> what it is about; the first that fits.
FAMILIES = (
    ("capacity", "torque held at working temperature"),
    ("holding", "torque held at working temperature"),
    ("hottest", "heat of starts, launches and kicks"),
    ("plate_over", "heat of starts, launches and kicks"),
    ("surface", "heat of starts, launches and kicks"),
    ("launch_energy", "heat of starts, launches and kicks"),
    ("start_energy", "heat of starts, launches and kicks"),
    ("window", "take-up window"),
    ("take_up", "take-up window"),
    ("pedal", "pedal and release"),
    ("bearing", "pedal and release"),
    ("release", "pedal and release"),
    ("damper", "hub springs"),
    ("resonance", "hub springs"),
    ("burst", "speed and burst"),
    ("speed", "speed and burst"),
    ("flywheel", "speed and burst"),
)


# --- run in either checkout, with that checkout's own modules


def decided(asked):
    """What this checkout decides: {cases, results, kits}.

    ``asked``: {"callers": how many to draw} or {"cases": [...]} as a run of this function gave them.
    """
    from advisor.knowledge import load
    from advisor.knowledge.case_model import Answer, Case
    from advisor.knowledge.sources import Sources, read
    from tests.callers import caller, plain_decider_of

    content = read(Sources.chosen(), cache=False)
    decider = plain_decider_of(content)
    if "callers" in asked:
        shipped = [load.case(path, content.knowledge) for path in sorted(Path("scenarios/cases").glob("*.yaml"))]
        cases = [*shipped, *(caller(seed, content) for seed in range(asked["callers"]))]
    else:
        cases = [
            Case(
                one["id"],
                one["platform"],
                {
                    name: Answer(_read(value), origin)
                    for name, (value, origin) in one["answers"].items()
                    if name in content.knowledge.facts
                },
                tuple(name for name in one["unknown"] if name in content.knowledge.facts),
            )
            for one in asked["cases"]
        ]
    results = [None] * len(cases)
    groups = {}
    for place, case in enumerate(cases):
        platform, known = decider.gather(case)
        groups.setdefault(case.platform, []).append((place, platform, known))
    for members in groups.values():
        for start in range(0, len(members), 256):
            chunk = members[start : start + 256]
            batched = decider.batch.run([known for *_, known in chunk], chunk[0][1])
            for row, (place, *_) in enumerate(chunk):
                results[place] = _result(batched, row)
    order = [
        (decider.kits.table("harshness").number(0, place), kit.fields["discs"], kit.fields["clamp_load"], kit.id)
        for place, kit in enumerate(decider.kits.kits)
    ]
    told = [
        {
            "id": case.id,
            "platform": case.platform,
            "answers": {name: [answer.value, answer.origin] for name, answer in case.answers.items()},
            "unknown": list(case.unknown),
        }
        for case in cases
    ]
    return {"cases": told, "results": results, "kits": {kit[-1]: kit[:-1] for kit in order}}


def _read(value):
    return tuple(value) if isinstance(value, list) else value


def _result(batched, row):
    outcome = batched.outcomes[row]
    found = {"outcome": outcome.outcome, "pick": outcome.pick, "posted": [], "kits": {}}
    if batched.missing[row]:
        return found
    posted = [one for one in batched.checks if batched.derived.fired(one.requirement.rule)[row]]
    found["posted"] = [one.requirement.id for one in posted]
    for place, kit in enumerate(batched.kits.ids):
        entries = {}
        for one in posted:
            status = int(one.status[row, place])
            whole = kit == outcome.pick or (one.requirement.level == "should" and batched.passes[row, place])
            if status in (MISS, UNKNOWN) or whole:
                requirement = one.requirement
                actual = (
                    batched.kits.field(requirement.measure).number(0, place)
                    if requirement.source == "kit"
                    else batched.figures.column(requirement.measure).number(row, place)
                )
                limits = [limit.number(row, place) for limit in one.limits]
                entries[requirement.id] = [
                    requirement.level,
                    status,
                    requirement.measure,
                    _shown(actual),
                    _shown(limits),
                ]
        found["kits"][kit] = entries
    return found


def _shown(value):
    if isinstance(value, (list, tuple)):
        return [_shown(one) for one in value]
    return f"{value:.9g}" if isinstance(value, float) else None if value is None else str(value)


def decided_in(checkout, asked):
    """`decided` by the code of a checkout, in a process of its own."""
    command = [sys.executable, "-P", str(Path(__file__).resolve()), "--decide"]
    ran = subprocess.run(
        command,
        cwd=checkout,
        env={**os.environ, "PYTHONPATH": str(checkout)},
        input=json.dumps(asked),
        capture_output=True,
        text=True,
    )
    if ran.returncode:
        raise SystemExit(f"{checkout} could not decide: {ran.stderr.strip()[-600:]}")
    return json.loads(ran.stdout)


# --- the comparison


def missed(result, kit, level):
    """Requirement id -> entry, of those of a level that a kit misses or that are unknown."""
    return {
        name: one for name, one in result["kits"].get(kit, {}).items() if one[0] == level and one[1] in (MISS, UNKNOWN)
    }


def cause(old, new):
    """(kind, requirement, what changed of it) of one case whose picks differ."""
    before, now = old["pick"], new["pick"]
    if before is not None:
        if before not in new["kits"]:
            what = "no longer decided" if not new["kits"] else "no longer looked at"
            return "old pick fails", new["outcome"], what
        lost = missed(new, before, "must")
        if lost:
            return "old pick fails", *_first(lost, old, before)
    if now is not None:
        if now not in old["kits"]:
            return "new pick passes", old["outcome"], "was not looked at"
        gained = missed(old, now, "must")
        if gained:
            return "new pick passes", *_first(gained, new, now)
    if before is None or now is None:
        return "other", f"{old['outcome']} > {new['outcome']}", ""
    for kit in (before, now):
        left, right = missed(old, kit, "should"), missed(new, kit, "should")
        turned = {name: one for name, one in {**left, **right}.items() if (name in left) != (name in right)}
        if turned:
            first = sorted(turned)[0]
            return "wish", *_first({first: turned[first]}, new if first in left else old, kit)
    return "ladder order only", "", ""


def _first(entries, other, kit):
    """(requirement with its measure, what of it differs on the other side) of the first by name."""
    name = sorted(entries)[0]
    _, status, measure, actual, limits = entries[name]
    theirs = other["kits"].get(kit, {}).get(name)
    if status == UNKNOWN:
        changed = "not known"
    elif name not in other["posted"]:
        changed = "not asked there"
    elif theirs is None:
        changed = "met there"
    else:
        parts = [what for what, same in (("figure", theirs[3] == actual), ("limit", theirs[4] == limits)) if not same]
        changed = " and ".join(parts) or "same numbers"
    return f"{name} ({measure})", changed


def family(row):
    """What a cause is about, by the measure of its requirement."""
    measure = row["requirement"].rpartition("(")[2].rstrip(")")
    if row["changed"] == "not known":
        return "what nobody knows is asked for"
    return next((told for part, told in FAMILIES if part in measure), row["requirement"] or "steps of the ladder")


def direction(old, new, kits):
    """gentler, harsher or level: by harshness, discs and clamp load."""
    if old is None or new is None:
        return "none before" if old is None else "none now"
    left, right = kits.get(old), kits.get(new)
    if left is None or right is None:
        return "another kit"
    return "gentler" if tuple(right) < tuple(left) else "harsher" if tuple(right) > tuple(left) else "level"


def compare(other, callers):
    """(cases, outcomes counted, rows of changed cases) of another checkout against ours."""
    old = decided_in(other, {"callers": callers})
    new = decided_in(HERE, {"cases": old["cases"]})
    outcomes, rows = Counter(), []
    for case, before, now in zip(old["cases"], old["results"], new["results"], strict=True):
        outcomes[before["outcome"], now["outcome"]] += 1
        if before["pick"] != now["pick"]:
            kind, requirement, changed = cause(before, now)
            rows.append(
                {
                    "case": case["id"],
                    "car": case["platform"] or "not on file",
                    "old": before["pick"],
                    "new": now["pick"],
                    "direction": direction(before["pick"], now["pick"], new["kits"]),
                    "kind": kind,
                    "requirement": requirement,
                    "changed": changed,
                }
            )
    return len(old["cases"]), outcomes, rows


def main(arguments=None):
    """Print the table; 0."""
    given = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    given.add_argument("other", nargs="?", type=Path)
    given.add_argument("--callers", type=int, default=2000)
    given.add_argument("--list", type=int, default=40, help="transitions and single cases shown")
    given.add_argument("--decide", action="store_true", help=argparse.SUPPRESS)
    given = given.parse_args(arguments)
    if given.decide:
        print(json.dumps(decided(json.load(sys.stdin))))
        return 0
    if given.other is None or not (given.other / "advisor").is_dir():
        print("Name the folder of another checkout.", file=sys.stderr)
        return 2
    count, outcomes, rows = compare(given.other.resolve(), given.callers)
    print(f"{count} cases (shipped, and {given.callers} random callers), {len(rows)} picks differ\n")
    print("| outcome before | outcome now | cases |\n|---|---|---|")
    for (before, now), number in sorted(outcomes.items()):
        print(f"| {before} | {now} | {number} |")
    print(
        "\n| what made the difference | first requirement (measure) | what of it changed "
        "| gentler | harsher | level | none now | none before | all |"
    )
    print("|---|---|---|---|---|---|---|---|---|")
    causes = Counter((one["kind"], one["requirement"], one["changed"], one["direction"]) for one in rows)
    groups = Counter((one["kind"], one["requirement"], one["changed"]) for one in rows)
    for group, number in sorted(groups.items(), key=lambda pair: (pair[0][0], -pair[1], pair[0])):
        cells = [causes[(*group, way)] for way in ("gentler", "harsher", "level", "none now", "none before")]
        print("| " + " | ".join([*group, *map(str, cells), str(number)]) + " |")
    print(
        "\n| what it is about | gentler | harsher | level | none now | none before | all |\n"
        "|---|---|---|---|---|---|---|"
    )
    abouts = Counter((family(one), one["direction"]) for one in rows)
    for about, number in Counter(family(one) for one in rows).most_common():
        cells = [abouts[about, way] for way in ("gentler", "harsher", "level", "none now", "none before")]
        print("| " + " | ".join([about, *map(str, cells), str(number)]) + " |")
    print(f"\n| old pick | new pick | cases | (the {given.list} most frequent)\n|---|---|---|")
    for (before, now), number in Counter((one["old"], one["new"]) for one in rows).most_common(given.list):
        print(f"| {before or 'none'} | {now or 'none'} | {number} |")
    print("\n| shipped case | car | old pick | new pick | because |\n|---|---|---|---|---|")
    for one in [one for one in rows if not one["case"].startswith("caller-")][: given.list]:
        print(
            f"| {one['case']} | {one['car']} | {one['old'] or 'none'} | {one['new'] or 'none'} "
            f"| {one['kind']}: {one['requirement']} {one['changed']} |"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
