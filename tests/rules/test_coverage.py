"""Coverage of the rules by their own tests: by rule, by condition, by branch."""

from advisor.engine.plain import compile_plain
from advisor.knowledge import rule_tests
from advisor.knowledge.model import STAGES

from .coverage import Coverage
from .shop import RULES, knowledge


def test_the_rule_tests_reach_every_rule_condition_and_branch():
    engines = {stage: compile_plain(knowledge(), stage) for stage in STAGES}
    coverage = Coverage(knowledge(), rule_tests.read_folder(RULES, knowledge()), engines)
    assert [(what, missing) for what, _, _, missing in coverage.table() if missing] == []
