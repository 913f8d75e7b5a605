"""The long counts of the proofs; `rows` is called by tests/full.py and gives (what, how many, result).

``python -m tests.full_proofs PART [NUMBERS]`` runs one part alone: bases, real, planted, shares, correct, witnesses,
settled, tables or second.
"""

import collections
import sys
import time

from advisor.engine.rulebase import rule_base

from .engine.cases import Cases
from .engine.generate import Generator
from .proving import planted
from .proving.held import HeldExact, HeldRegions, differences
from .proving.test_directions import CALCULATIONS, pairs_tried
from .proving.test_settled import claims_broken
from .rules.shop import knowledge, shop

BASES, EACH, REAL = 5000, 4, 300
FAULTS_EACH, CORRECT_EACH = 40, 20
#: Who may have found a fault; an edit proved to change nothing for any caller is none.
WAYS = ("reading", "proofs", "tests", "cases alone", "no fault, proved", "nobody")
#: Every so manieth fault that something else found is given to the cases too, for their share.
SAMPLED = 40


def bases(first=20_000, count=BASES):
    """Generated rule bases: both readings of the language against both engines."""
    wrong, conflicts = [], 0
    for seed in range(first, first + count):
        generator = Generator(seed)
        cases = [generator.case() for _ in range(EACH)]
        found, clashed = differences(generator.knowledge, generator.stage, cases, (HeldRegions, HeldExact))
        conflicts += clashed
        wrong += [f"seed {seed}: {text}" for text in found]
    return [(f"generated rule bases, {EACH} cases each, {conflicts} conflicts", count, _differences(wrong))]


def real_rules(count=REAL):
    """Random cases on the real rules, every stage."""
    wrong = []
    for stage in ("consistency", "case", "setup"):
        cases = Cases(rule_base(knowledge(), stage), 7)
        made = [cases.case() for _ in range(count)]
        wrong += differences(knowledge(), stage, made, (HeldRegions, HeldExact))[0]
    return [("random cases on the real rules, three stages", 3 * count, _differences(wrong))]


def shares(each=2, first=0, last=None):
    """Of some faults of every kind: what reading, proofs, tests and cases find, each asked alone."""
    rows = []
    for make in planted.KINDS[first:last]:
        counts, names = collections.Counter(), []
        for fault in planted.faults(each, kinds=[make]):
            known = planted.edited(fault)
            proofs = planted.found_by_proofs(known)
            if fault.kind == "wrong order":
                proofs += planted.found_by_order(fault, known)
            counts["reading"] += planted.found_by_check(known)
            counts["proofs"] += bool(proofs)
            counts["tests"] += planted.found_by_tests(fault, known)
            counts["cases"] += bool(planted.found_by_cases(known))
            counts["planted"] += 1
            names.append(fault.kind)
        told = ", ".join(f"{way} {counts[way]}" for way in ("reading", "proofs", "tests", "cases"))
        rows.append((f"each alone: {names[0]}", counts["planted"], told))
    return rows


def planted_faults(each=FAULTS_EACH, first=0, last=None):
    """Faults of ten kinds: the share found by reading, by proofs, by tests, by cases; survivors by name."""
    found = collections.defaultdict(collections.Counter)
    survivors, by_cases, asked_cases = [], 0, 0
    for number, fault in enumerate(planted.faults(each, kinds=planted.KINDS[first:last])):
        known = planted.edited(fault)
        ways = []
        if planted.found_by_check(known):
            ways.append("reading")
        proofs = planted.found_by_proofs(known)
        if fault.kind == "wrong order":
            proofs += planted.found_by_order(fault, known)
        if proofs:
            ways.append("proofs")
        if planted.found_by_tests(fault, known):
            ways.append("tests")
        if not ways or number % SAMPLED == 0:
            asked_cases += 1
            case = planted.found_by_cases(known)
            by_cases += bool(case)
            if case and not ways:
                ways.append("cases alone")
        counts = found[fault.kind]
        counts["planted"] += 1
        no_fault = not ways and planted.changes_nothing(fault)
        counts.update(ways or ["no fault, proved" if no_fault else "nobody"])
        counts["proofs alone"] += ways == ["proofs"]
        if not ways and not no_fault:
            survivors.append(f"{fault.kind}: {fault.touched} ({fault.what})")
    rows = []
    for kind, counts in found.items():
        told = ", ".join(f"{way} {counts[way]}" for way in WAYS)
        rows.append((f"planted: {kind}", counts["planted"], f"{told}; proofs alone {counts['proofs alone']}"))
    total = sum((counts for counts in found.values()), collections.Counter())
    faulty = total["planted"] - total["no fault, proved"]
    rows.append(
        (
            "planted faults found by anybody",
            total["planted"],
            f"{1 - total['nobody'] / faulty:.1%}: reading {total['reading']}, proofs {total['proofs']}, "
            f"tests {total['tests']}, no fault, proved {total['no fault, proved']}, "
            f"cases alone {total['cases alone']}; of {asked_cases} given to cases {by_cases}",
        )
    )
    return rows + [("  nobody finds", 1, survivor) for survivor in survivors]


def correct_edits(each=CORRECT_EACH):
    """Correct edits: no proof may report anything."""
    count, reports = 0, []
    for edit in planted.correct_edits(each):
        count += 1
        known = planted.edited(edit)
        reports += [f"{edit.kind} {edit.what}: {finding.what[:160]}" for finding in planted.found_by_proofs(known)]
    result = "0 reports" if not reports else f"FAILED: {len(reports)} reports, first {reports[0]}"
    return [("correct edits", count, result)]


def witnesses():
    """The smallest caller of every rule before a kit, proved least, and the nearest silent one."""
    from advisor.proving.searching import CallerSearch
    from advisor.proving.smallest import witnesses as of_rules

    kits, rows = {kit.id: kit for kit in shop().kits}, []
    for stage in ("case", "consistency"):
        counts, left, start = collections.Counter(), [], time.process_time()
        rules = [rule for rule in knowledge().rules if rule.stage == stage]
        for witness in of_rules(CallerSearch(knowledge(), stage), rules, shop().platforms, kits):
            if witness.fires is None:
                word = "never on these cars, proved" if witness.least else "open"
            else:
                word = "least, proved" if witness.least else "found"
                none = "none away, proved" if witness.none_near else "away not settled"
                counts["one away" if witness.silent else none] += 1
            counts[word] += 1
            left += [witness.rule] if word in ("open", "found") else []
        told = ", ".join(f"{word} {count}" for word, count in sorted(counts.items()))
        rows.append((f"smallest callers, {stage}, {time.process_time() - start:.0f} s", len(rules), f"{told}; {left}"))
    return rows


def settled():
    """Claims of what stands, against random completions."""
    ran, broken = claims_broken(40, 60, 11)
    result = "0 claims broken" if not broken else f"FAILED: {len(broken)} broken, first {broken[0]}"
    return [("completions against what was proved to stand", ran, result)]


def tables():
    """Every declared order on the shipped rules."""
    from advisor.proving.in_order import declared_orders, out_of_order

    findings = list(out_of_order(knowledge()))
    result = "all proved" if not findings else f"FAILED: {findings[0].what}"
    return [("declared orders", declared_orders(knowledge()), result)]


def second_prover(every=25):
    """A sample of overlaps and of rules that fire, asked of cvc5 too, where it is installed: the same verdicts."""
    try:
        import cvc5
    except ImportError:
        return [("questions asked of a second prover", 0, "cvc5 is not installed: pip install cvc5")]
    from advisor.proving.searching import CallerSearch

    search = CallerSearch(knowledge())
    asked = [*search.exact.clashes[::every], *list(search.exact.fires.values())[::every]]
    verdicts, apart = collections.Counter(), []
    for number, condition in enumerate(asked):
        with search.under(condition, search.exact.computed):
            ours = str(search.solver.check())
            theirs = _of_cvc5(cvc5, search.solver.to_smt2())
        verdicts[ours] += 1
        apart += [f"question {number}: z3 {ours}, cvc5 {theirs}"] if ours != theirs else []
    told = ", ".join(f"{count} {verdict}" for verdict, count in sorted(verdicts.items()))
    result = f"{told}; the same by both" if not apart else f"FAILED: {len(apart)} apart, first {apart[0]}"
    return [("questions asked of a second prover", len(asked), result)]


def _of_cvc5(cvc5, text):
    solver = cvc5.Solver()
    parser = cvc5.InputParser(solver)
    parser.setStringInput(cvc5.InputLanguage.SMT_LIB_2_6, f"(set-logic ALL)\n{text}", "question")
    symbols, said = parser.getSymbolManager(), ""
    while not (command := parser.nextCommand()).isNull():
        said += str(command.invoke(solver, symbols))
    return said.strip()


def directions(samples=5000):
    """Every calculation of which a direction is declared, at many random arguments."""
    tried = sum(pairs_tried(each, samples) for each in CALCULATIONS)
    return [("pairs of arguments, none against the declared direction", tried, f"{len(CALCULATIONS)} calculations")]


def rows():
    """All of the above."""
    return [
        *bases(),
        *real_rules(),
        *planted_faults(),
        *correct_edits(),
        *witnesses(),
        *settled(),
        *tables(),
        *second_prover(),
        *directions(),
    ]


def _differences(wrong):
    return "0 differences" if not wrong else f"FAILED: {len(wrong)} differences, first {wrong[0][:300]}"


PARTS = {
    "bases": bases,
    "real": real_rules,
    "planted": planted_faults,
    "shares": shares,
    "correct": correct_edits,
    "witnesses": witnesses,
    "settled": settled,
    "tables": tables,
    "second": second_prover,
    "directions": directions,
}

if __name__ == "__main__":
    name, *numbers = sys.argv[1:]
    for what, count, result in PARTS[name](*map(int, numbers)):
        print(f"{what:60} | {count!s:>9} | {result}", flush=True)
