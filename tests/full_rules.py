"""The long counts of the rules; `rows` is called by tests/full.py and gives (what, how many, result)."""

from collections import Counter

from advisor.engine.plain import compile_plain
from advisor.knowledge import rule_tests
from advisor.knowledge.model import STAGES

from . import shipped
from .callers import caller
from .rules.callers_of_calibration import compare
from .rules.counting import counts
from .rules.coverage import Coverage
from .rules.mutants import Judge, mutants
from .rules.sense import ALL, World
from .rules.shop import RULES, cases, knowledge, plain, shop
from .rules.test_counting import DECIDE_NOTHING_HERE
from .rules.test_no_cliffs import jumps

SENSE = 400
MUTANTS_NOTICED = 0.95


def rules_that_count():
    """Every rule deleted once, over all shipped cases."""
    found = counts(knowledge(), shop(), cases())
    idle = sorted(name for name, case in found.items() if not case)
    good = set(idle) == set(DECIDE_NOTHING_HERE)
    result = f"{len(found) - len(idle)} count; not: {', '.join(idle)}"
    return [
        ("rules and rows that change a shipped case when deleted", len(found), result if good else f"FAILED: {result}")
    ]


def coverage():
    """Rule tests against rules, conditions, branches; edges from rule to rule as a number."""
    engines = {stage: compile_plain(knowledge(), stage) for stage in STAGES}
    reached = Coverage(knowledge(), rule_tests.read_folder(RULES, knowledge()), engines)
    rows = [
        (what, total, f"{covered} covered" if not missing else f"FAILED: {missing[:5]} missing")
        for what, covered, total, missing in reached.table()
    ]
    return [*rows, ("edges from rule to rule gone along", len(reached.edges), "number only")]


def changed_rules():
    """Every small change to every rule, and who notices; survivors by name."""
    judge = Judge(knowledge(), shop(), rule_tests.read_folder(RULES, knowledge()))
    made = [mutant for rule in knowledge().rules for mutant in mutants(rule, knowledge())]
    noticed = [judge.noticed(mutant) for mutant in made]
    who, lost = Counter(noticed), noticed.count("")
    share = 1 - lost / len(made)
    survivors = [f"{one.rule.id} ({one.what})" for one, by in zip(made, noticed, strict=True) if not by]
    result = (
        f"{share:.1%} noticed: {who['rule test']} by rule tests, {who['case']} by cases, {who['engine']} on loading"
    )
    rows = [("small changes to rules", len(made), result if share >= MUTANTS_NOTICED else f"FAILED: {result}")]
    return rows + [("  nobody notices", 1, one) for one in survivors]


def sense(count=SENSE):
    """Each sense over ``count`` callers, seeds 0 onwards."""
    world = World(knowledge(), shop())
    rows = []
    for what, check in ALL.items():
        wrong = [f"seed {seed}: {one}" for seed in range(count) for one in check(world, seed)]
        rows.append((what, count, "holds" if not wrong else f"FAILED: {len(wrong)}, first {wrong[0]}"))
    return rows


def calibration():
    """Picks against the calibration's, cell by cell."""
    cells = compare(plain(), shop().platforms)
    same = sum(found in wanted for _, found, wanted in cells)
    return [
        ("picks of the calibration that this shop can express", len(cells), f"{same} agree, {same / len(cells):.0%}")
    ]


def cliffs(callers=400):
    """Callers of whom each number told is nudged: no figure may jump."""
    content = shipped.content()
    wrong = {seed: found for seed in range(callers) if (found := jumps(plain(), caller(seed, content)))}
    result = "no figure jumps" if not wrong else f"FAILED: {len(wrong)}, first {next(iter(wrong.items()))}"
    return [("callers of whom every number is nudged", callers, result)]


def rows():
    """All of the above."""
    return [*rules_that_count(), *coverage(), *changed_rules(), *sense(), *calibration(), *cliffs()]
