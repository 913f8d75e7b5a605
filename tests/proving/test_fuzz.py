"""The translation of the rule language held against both engines; 5,000 bases are a long count (tests.full proofs)."""

import dataclasses

import pytest

from advisor.engine.rulebase import rule_base
from advisor.proving.regions import Regions

from ..engine.cases import Cases
from ..engine.generate import Generator
from ..rules.shop import knowledge
from .held import HeldExact, differences


@pytest.mark.parametrize("seed", range(10))
def test_generated_rule_bases(seed):
    generator = Generator(seed)
    wrong, _ = differences(generator.knowledge, generator.stage, [generator.case() for _ in range(4)])
    assert wrong == []


@pytest.mark.parametrize("seed", range(3000, 3006))
def test_generated_rule_bases_with_numbers_as_numbers(seed):
    pytest.importorskip("z3", reason="needs the extra proofs: pip install 'least-clutch[proofs]'")
    generator = Generator(seed)
    cases = [generator.case() for _ in range(4)]
    assert differences(generator.knowledge, generator.stage, cases, (HeldExact,))[0] == []


@pytest.mark.parametrize("stage", ["consistency", "case", "setup"])
def test_random_cases_on_the_real_rules(stage):
    cases = Cases(rule_base(knowledge(), stage), 3)
    wrong, _ = differences(knowledge(), stage, [cases.case() for _ in range(10)])
    assert wrong == []


#: One misreading each: a test read as another. The comparison must notice every one of them.
MISREAD = {
    "at_least": "above",
    "absent": "known",
    "answered": "known",
    "not_answered": "absent",
    "is_not": "known",
    "has": "known",
}
#: The base that was the first to notice, where it is not among the first few: it is tried before the others.
NOTICED_BY = {"answered": 10, "is_not": 6, "not_answered": 25}


@pytest.mark.parametrize("test", sorted(MISREAD))
def test_a_misreading_is_noticed(monkeypatch, test):
    holds = Regions.holds

    def misread(self, condition):
        return holds(self, dataclasses.replace(condition, test=MISREAD[test]) if condition.test == test else condition)

    monkeypatch.setattr(Regions, "holds", misread)
    first = NOTICED_BY.get(test, 0)
    for seed in (*range(first, 60), *range(first)):
        generator = Generator(seed)
        if differences(generator.knowledge, generator.stage, [generator.case() for _ in range(4)])[0]:
            return
    pytest.fail(f"{test} read as {MISREAD[test]} was not noticed in 60 bases")
