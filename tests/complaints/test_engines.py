"""Both engines post the same arguments for anything that can be told."""

import random

import pytest

from advisor.complaints.record import as_data

from .shop import cases, diagnosed, diagnoser


def drawn(seed):
    """Symptoms at random, sensible or not."""
    rng = random.Random(seed)
    symptoms = diagnoser().knowledge.symptoms
    told = {"complaint": rng.choice(symptoms["complaint"].fact.choices)}
    for symptom in rng.sample(list(symptoms.values()), rng.randrange(0, 30)):
        fact = symptom.fact
        if fact.kind == "number":
            told[symptom.name] = float(rng.choice([fact.low, fact.high, (fact.low + fact.high) / 2, 1.0, 900.0]))
        elif symptom.name != "complaint":
            told[symptom.name] = rng.choice(fact.choices or (True, False))
    return told


@pytest.mark.needs("durable-rules")
def test_both_engines_agree_on_whatever_is_told():
    facts_of, engines = diagnoser().chooser.facts, diagnoser().engines
    fired = set()
    for seed in range(400):
        told = drawn(seed)
        agreed = engines.derive(facts_of(told, told_sold()), set(told))
        assert agreed.engines == ("durable-rules", "plain")
        fired |= agreed.derivation.fired()
    assert len(fired) >= 100, len(fired)


def told_sold():
    from advisor.complaints.as_sold import Sold

    return Sold(
        "kit",
        {"bearing_travel_needed_mm": 7.0, "release_reserve_mm": 8.0, "pedal_force_n": 170.0, "damper_stop_share": 0.9},
        400.0,
        0.03,
    )


def test_postings_are_what_the_fired_rules_argue():
    rules = {rule.id: rule for rule in diagnoser().knowledge.rules}
    for name in cases():
        data = as_data(diagnosed(name), diagnoser().knowledge)
        posted = {(one["rule"], one["cause"], one["sign"], one["points"], one["group"]) for one in data["postings"]}
        fired = {firing["rule"] for firing in data["firings"]}
        assert posted == {
            (rule, one.cause, one.sign, one.points, one.group) for rule in fired for one in rules[rule].argue
        }
        weighed = {argument["rule"] for cause in data["causes"] for argument in cause["arguments"]}
        seen = {
            argument["rule"]
            for cause in data["causes"]
            for argument in cause["arguments"]
            if argument["came"] != "missing"
        }
        assert seen <= fired and weighed <= set(rules)


def test_every_argument_is_explained():
    for rule in diagnoser().knowledge.rules:
        assert rule.because and rule.title and rule.basis.kind
        assert rule.basis.kind != "published" or rule.basis.source
