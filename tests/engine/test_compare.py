"""Two derivations compared: agreement is reported, and every difference made on purpose is caught and named."""

import copy
import dataclasses

import pytest

from advisor.engine import compare, plain
from advisor.engine.compare import TwoEngines, available_engines, derive_twice
from advisor.engine.tracing import Recorder, Tracer, replay, text
from advisor.errors import ConflictError, DisagreementError
from advisor.knowledge.model import FactRef

from .build import fact, knowledge, rule, when

FACTS = [fact("clamp_load"), fact("limit"), fact("verdict", "choice", source="derived", choices=("held", "slips"))]
MADE = knowledge(
    FACTS,
    [
        rule("holds", [when("clamp_load", "at_least", FactRef("limit"))], conclude=[("verdict", "held")]),
        rule("is-told", [when("verdict", "is", "held")]),
        rule("either", any=[when("clamp_load", "at_least", 5000.0), when("verdict", "known")]),
    ],
)
AT_THE_LIMIT = {"clamp_load": 5000.0, "limit": 5000.0}


@pytest.mark.needs("durable-rules")
def test_two_engines_agree_and_say_so():
    found = derive_twice(MADE, "case", AT_THE_LIMIT)
    assert available_engines() == ("durable-rules", "plain") == found.engines
    assert found.engines_agreed is True and found.derivation.facts["verdict"] == "held"
    assert derive_twice(MADE, "case", AT_THE_LIMIT).derivation == found.derivation


def test_without_durable_rules_the_plain_chainer_decides_alone_and_says_so(monkeypatch):
    monkeypatch.setattr(compare, "available_engines", lambda: ("plain",))
    found = TwoEngines(MADE, "case").derive(AT_THE_LIMIT)
    assert (found.engines, found.engines_agreed) == (("plain",), False)
    assert found.derivation == derive_twice(MADE, "case", AT_THE_LIMIT).derivation


def test_a_missing_library_is_noticed(monkeypatch):
    import sys

    monkeypatch.setitem(sys.modules, "durable_rules_engine", None)
    monkeypatch.setattr("importlib.util.find_spec", lambda name: object())
    assert available_engines() == ("plain",)


class Spoilt:
    """The plain chainer of these engines, whose outcome somebody changed."""

    def __init__(self, engines, spoil):
        self.right, self.spoil, self.name = engines.evaluators[1], spoil, engines.evaluators[1].name

    def derive(self, facts, answered=frozenset(), tracer=None):
        return self.spoil(self.right.derive(facts, answered, tracer))


def compiled_wrong():
    """Engines of which the plain chainer took "at least" for "above"."""
    wrong = rule("holds", [when("clamp_load", "above", FactRef("limit"))], conclude=[("verdict", "held")])
    engines = TwoEngines(MADE, "case")
    engines.evaluators[1] = plain.compile_plain(
        knowledge(FACTS, [wrong, *(one for one in MADE.rules if one.id != "holds")]), "case"
    )
    return engines


@pytest.mark.needs("durable-rules")
def test_an_evaluator_made_wrong_is_caught_with_the_case_intact():
    case = dict(AT_THE_LIMIT)
    engines = compiled_wrong()
    with pytest.raises(DisagreementError) as caught:
        engines.derive(case, frozenset({"limit"}))
    words = str(caught.value)
    for part in (
        "rule holds fires only in durable-rules",
        "rule is-told fires only in durable-rules",
        "the fact verdict is 'held' in durable-rules and unknown in plain",
        "Keep the case",
    ):
        assert part in words
    assert caught.value.value == {"stage": "case", "facts": AT_THE_LIMIT, "answered": ["limit"]}
    assert case == AT_THE_LIMIT and caught.value.exit_code == 5
    # Away from the limit nothing differs, and the engines go on working.
    assert engines.derive({"clamp_load": 6000.0, "limit": 5000.0}).engines_agreed


def other_facts(**facts):
    return lambda found: dataclasses.replace(found, facts={**found.facts, **facts})


def last_firing_lost(found):
    return dataclasses.replace(found, firings=found.firings[:-1], depths=found.depths[:-1])


def reads_less(found):
    """The rule with alternatives says that it fired on the first of them alone."""
    firings = tuple(
        dataclasses.replace(one, branches=one.branches[:1]) if one.id == "either" else one for one in found.firings
    )
    return dataclasses.replace(found, firings=firings)


@pytest.mark.needs("durable-rules")
@pytest.mark.parametrize(
    "spoil, words",
    [
        (last_firing_lost, "fires only in durable-rules"),
        (other_facts(verdict="slips"), "the fact verdict is 'held' in durable-rules and 'slips' in plain"),
        (reads_less, "rule either fires on or concludes different things"),
        (other_facts(limit=4999.0), "the fact limit is 5000.0 in durable-rules and 4999.0 in plain"),
    ],
)
def test_any_difference_in_the_outcome_is_caught(spoil, words):
    engines = TwoEngines(MADE, "case")
    engines.evaluators[1] = Spoilt(engines, spoil)
    with pytest.raises(DisagreementError, match=words):
        engines.derive(AT_THE_LIMIT)


@pytest.mark.needs("durable-rules")
def test_a_conflict_only_one_engine_finds_is_a_disagreement(monkeypatch):
    target = fact("verdict", "choice", source="derived", choices=("held", "slips"), agreement="same_value")
    made = knowledge(
        [FACTS[0], target],
        [
            rule("one", [when("clamp_load", "known")], conclude=[("verdict", "held")]),
            rule("two", [when("clamp_load", "known")], conclude=[("verdict", "slips")]),
        ],
    )
    engines = TwoEngines(made, "case")
    with pytest.raises(ConflictError, match="rule one and rule two"):
        engines.derive({"clamp_load": 1.0})
    blind = copy.copy(engines.evaluators[1])
    blind.derive = lambda facts, answered, tracer: compile_without_two(made).derive(facts, answered)
    engines.evaluators[1] = blind
    with pytest.raises(DisagreementError, match="only durable-rules finds that rule one and rule two conclude verdict"):
        engines.derive({"clamp_load": 1.0})


def test_a_list_that_a_rule_concludes_without_members_is_known_where_the_words_of_a_conflict_are_looked_for():
    parts = fact("parts", "list", source="derived", choices=("disc", "cover"))
    target = fact("verdict", "choice", source="derived", choices=("held", "slips"), agreement="same_value")
    rules = [
        rule("none", [when("clamp_load", "known")], conclude=[("parts", ())]),
        rule("one", [when("parts", "known")], conclude=[("verdict", "held")]),
        rule("two", [when("parts", "known")], conclude=[("verdict", "slips")]),
    ]
    with pytest.raises(ConflictError, match="rule one and rule two conclude verdict"):
        TwoEngines(knowledge([FACTS[0], parts, target], rules), "case").derive({"clamp_load": 1.0})


def compile_without_two(made):
    return plain.compile_plain(knowledge(made.facts.values(), made.rules[:1]), "case")


@pytest.mark.needs("durable-rules")
def test_both_engines_tell_the_tracer_what_they_do():
    recorder = Recorder()
    found = TwoEngines(MADE, "case").derive(AT_THE_LIMIT, frozenset({"limit"}), recorder)
    lines = text(recorder.events).splitlines()
    assert lines[0] == "durable-rules: stage case with 2 facts, 1 of them answered"
    assert {
        "plain: rule holds: verdict = held",
        "durable-rules: rule is-told: fires",
        "plain: 3 firings, 3 facts",
    } <= set(lines)
    assert recorder.events[-1].arguments[1] == found.derivation
    again = Recorder()
    replay(recorder.events, again)
    assert again.events == recorder.events
    quiet = Tracer()
    assert TwoEngines(MADE, "case").derive(AT_THE_LIMIT, tracer=quiet).derivation == found.derivation
