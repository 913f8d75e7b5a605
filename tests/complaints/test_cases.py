"""Every case of cases.tests.yaml comes out as it says; every rule fires in one and stays silent in another."""

import collections

import pytest

from advisor.engine.compare import available_engines

from .shop import cases, diagnosed, diagnoser

SAID = {"name", "story", "told", "sold", "first", "among", "class", "state", "next", "not", "fires", "silent", "never"}


@pytest.mark.parametrize("name", list(cases()))
def test_case(name):
    case, found = cases()[name], diagnosed(name)
    assert set(case) <= SAID
    fired = found.agreed.derivation.fired()
    likely = [standing.cause.id for standing in found.likely]
    totals = [(standing.cause.id, standing.total) for standing in found.standings[:4]]
    assert found.standings[0].cause.id == case["first"], totals
    assert found.standings[0].cause.kind == case["class"]
    assert set(case.get("among", ())) <= set(likely), totals
    assert not set(case.get("not", ())) & set(likely), totals
    assert case.get("state", found.state) == found.state, (totals, found.withheld)
    if "next" in case:
        assert found.checks[0].symptom.name == case["next"]
    assert set(case.get("fires", ())) <= fired
    assert not set(case.get("silent", ())) & fired
    assert not set(case.get("never", ())) & fired
    assert found.agreed.engines == available_engines()


def test_there_are_enough_of_everything():
    knowledge = diagnoser().knowledge
    arguing = [rule for rule in knowledge.rules if rule.argue]
    classes = collections.Counter(case["class"] for case in cases().values())
    print(f"\n{len(arguing)} rules that argue, {len(knowledge.causes)} causes, {len(cases())} cases: {dict(classes)}")
    assert len(arguing) >= 60
    assert len(knowledge.causes) >= 30
    assert len(cases()) >= 40
    assert set(classes) == {cause.kind for cause in knowledge.causes.values()}


def test_every_rule_fires_in_one_case_and_stays_silent_in_another():
    fired = [diagnosed(name).agreed.derivation.fired() for name in cases()]
    ids = {rule.id for rule in diagnoser().knowledge.rules}
    assert ids - set().union(*fired) == set()
    # What is said of every complaint is the one rule that is never silent.
    assert ids & set.intersection(*map(set, fired)) == {"dust-and-fluid"}


def test_every_cause_is_first_somewhere_or_has_a_sign_that_lifts_it_there():
    knowledge = diagnoser().knowledge
    for cause in knowledge.causes.values():
        lifted = []
        for complaint in cause.likely:
            for rule in knowledge.rules:
                if any(one.cause == cause.id and one.weight >= 6 for one in rule.argue):
                    standings = diagnoser().weigher.weigh(complaint, {rule.id}, ())
                    ahead = [one for one in standings if one.total > _total(standings, cause.id)]
                    lifted.append(len(ahead))
        # One sign alone brings it among the first six; two or three make it first.
        assert min(lifted) < 6, (cause.id, min(lifted))


def test_any_two_causes_of_a_complaint_are_parted_by_some_sign():
    knowledge = diagnoser().knowledge
    weights = [{one.cause: one.weight for one in rule.argue} for rule in knowledge.rules if rule.argue]
    for complaint in knowledge.symptoms["complaint"].fact.choices:
        suspects = [cause.id for cause in knowledge.suspects(complaint)]
        for place, first in enumerate(suspects):
            for second in suspects[place + 1 :]:
                apart = max(abs(one.get(first, -1) - one.get(second, -1)) for one in weights)
                assert apart >= 3, (complaint, first, second)


def _total(standings, cause):
    return next(standing.total for standing in standings if standing.cause.id == cause)
