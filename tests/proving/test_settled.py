"""What is proved to stand whatever else is answered, tried against random answers; and the sentences made of it."""

import dataclasses
import random

from advisor.deciding.answers import gather
from advisor.engine.plain import compile_plain
from advisor.knowledge.case_model import Answer
from advisor.knowledge.model import Caution, FactRef, Requirement
from advisor.proving.callers import Caller, CallerRuns
from advisor.proving.pieces import PieceOfClauses
from advisor.proving.settled import Settler, open_facts, pick_is_settled
from advisor.proving.standing import guarantee, standing_lines, standing_of

from ..benchmarks.proofs import multiplied
from ..engine.build import calculation, fact, knowledge, rule, when
from ..rules.shop import cases, decided, knowledge as shipped, shop
from .test_questions import asked, derived, use

FACTS = [use(), asked("torque"), asked("mass"), derived("factor"), derived("sum"), fact("kind", source="derived")]
RULES = [
    rule("track", [when("use", "is", "track")], conclude=[("factor", 1.5)]),
    rule("other", [when("use", "is_not", "track")], conclude=[("factor", 1.0)]),
    rule("either", [], [when("mass", "at_least", 50.0), when("mass", "below", 50.0)]),
    rule("strong", [when("sum", "above", 100.0)], conclude=[("kind", FactRef("factor"))]),
]
SUM = calculation("sum-of", "sum", "arithmetic.total", {"first": FactRef("torque"), "second": FactRef("factor")})
SAID = Caller({"main_use": "daily", "engine_torque": 300.0})
SMALL = knowledge(FACTS, RULES, [SUM])


def settled(**answers):
    return Settler(SMALL).settled(CallerRuns(SMALL).known(Caller(answers)))


def test_nothing_said_settles_only_what_nobody_escapes():
    assert settled().fires == frozenset() and settled().silent == frozenset()


def test_an_answer_settles_what_hangs_on_it_alone():
    found = settled(use="track")
    assert (found.fires, found.silent, found.open) == ({"track"}, {"other"}, {"either", "strong"})
    assert found.values["factor"] == 1.5 and not found.has("sum")


def test_a_number_settles_a_rule_that_holds_on_either_side_of_its_limit():
    assert "either" in settled(mass=3.0).fires and "either" not in settled(torque=3.0).fires


def test_calculations_with_settled_inputs_go_on_from_there():
    found = settled(use="track", torque=99.0)
    assert found.values["sum"] == 100.5 and found.values["kind"] == 1.5 and "strong" in found.fires
    assert "strong" in settled(use="daily", torque=99.0).silent


def test_every_copy_of_the_rules_settles_as_todays_do():
    one, twice = (Settler(known).settled(CallerRuns(known).known(SAID)) for known in (shipped(), multiplied(2)))
    first = {rule for rule in twice.fires if not rule.endswith("_x1")}
    assert (first, twice.undecided) == (one.fires, frozenset())
    assert {rule for rule in twice.open if not rule.endswith("_x1")} == one.open
    # The other copy has heard nothing, so it stands where today's would.
    unsaid = Settler(shipped()).settled(CallerRuns(shipped()).known(Caller()))
    assert {rule.removesuffix("_x1") for rule in twice.fires - first} == unsaid.fires


def test_what_a_proof_is_not_given_the_steps_for_is_called_undecided_and_named(monkeypatch):
    known, decision = CallerRuns(shipped()).known(SAID), decided("mild-street-tune")
    settler = Settler(shipped())
    whole = settler.settled(known)
    monkeypatch.setattr(
        PieceOfClauses, "way_through", lambda piece, numbers: None
    )  # as where the limit is reached at once
    cut = settler.settled(known)
    assert whole.undecided == frozenset() and cut.undecided and cut.undecided <= cut.open
    assert cut.fires <= whole.fires and cut.silent <= whole.silent
    assert (whole.fires | whole.silent) - (cut.fires | cut.silent) <= cut.undecided
    stands = standing_of(decision, settler)
    lines = " ".join("\n".join(standing_lines(stands, decision, decision.wording, 80)).split())
    assert f'taken as open: "{stands.undecided[0]}"' in lines and not stands.pick


def random_answer(pick, asked_fact):
    if asked_fact.kind == "flag":
        return pick.random() < 0.5
    if asked_fact.kind == "number" and not asked_fact.choices:
        return round(pick.uniform(asked_fact.low, asked_fact.high), 3)
    return pick.choice(asked_fact.choices) if asked_fact.choices else "another"


def claims_broken(count, tries, seed):
    """(completions run, claims that one of them broke) over some shipped cases with none, half or all answers."""
    settler, engine, pick = Settler(shipped()), compile_plain(shipped(), "case"), random.Random(seed)
    kits, broken, ran = {kit.id: kit for kit in shop().kits}, [], 0
    for case in pick.sample(list(cases().values()), count):
        platform = shop().platform(case.platform) if case.platform else None
        names = sorted(case.answers)
        pick.shuffle(names)
        kept = {name: case.answers[name] for name in names[: round(pick.choice((0, 0.5, 1)) * len(names))]}
        said = dataclasses.replace(case, answers=kept, unknown=())
        known = gather(said, platform, kits, shipped())
        found = settler.settled(known)
        for _ in range(tries):
            more = {
                name: Answer(random_answer(pick, shipped().facts[name])) for name in known.open if pick.random() < 0.5
            }
            completed = gather(dataclasses.replace(said, answers={**kept, **more}), platform, kits, shipped())
            derived_now = engine.derive(completed.facts, completed.answered)
            fired, ran = derived_now.fired(), ran + 1
            broken += [(case.id, name) for name in found.fires - fired]
            broken += [(case.id, name) for name in found.silent & fired]
            broken += [(case.id, name) for name, value in found.values.items() if derived_now.facts.get(name) != value]
    return ran, broken


def test_no_claim_is_broken_by_a_completion():
    ran, broken = claims_broken(4, 20, 3)
    assert ran == 80 and broken == []


def test_limits_that_stand_are_told_and_the_rest_is_said_to_be_open():
    decision = decided("mild-street-tune")
    stands = standing_of(decision)
    lines = "\n".join(standing_lines(stands, decision, decision.wording, 80))
    assert stands.musts and stands.open_musts and not stands.pick
    assert "is not proved" in " ".join(lines.split()) and max(map(len, lines.splitlines())) <= 80
    assert decision.kits.ids[decision.pick] not in stands.out


def test_a_kit_called_out_for_good_passes_for_nobody_who_says_the_rest():
    from ..rules.shop import plain

    decision, pick = decided("mild-street-tune"), random.Random(2)
    out = set(standing_of(decision).out)
    for _ in range(6):
        more = {
            name: Answer(random_answer(pick, shipped().facts[name]))
            for name in decision.known.open
            if pick.random() < 0.3 and not shipped().facts[name].safety
        }
        case = dataclasses.replace(decision.case, answers={**decision.case.answers, **more})
        other = plain().decide(case)
        if other.passes is not None:
            assert not {other.kits.ids[place] for place in other.order} & out


def test_the_pick_is_proved_where_nothing_open_reaches_a_kit():
    """With no limit, figure or set-up left to hang on an answer, the advice stays whatever is said."""
    limit = Requirement("load", "figure", "load", "at_most", FactRef("factor"), "1", "must", rule="load")
    posts = rule("load", [when("factor", "known")], require=(limit,))
    small = knowledge(FACTS, [*RULES, posts], [SUM])
    settler, runs = Settler(small), CallerRuns(small)
    assert pick_is_settled(settler.settled(runs.known(Caller({"use": "track"}))), small)
    unsaid = settler.settled(runs.known(Caller()))
    assert not pick_is_settled(unsaid, small) and open_facts(unsaid, small) == ["factor"]
    warns = rule("warned", [when("mass", "above", 50.0)], cautions=(Caution("heavy", "Heavy."),))
    small = knowledge(FACTS, [*RULES, posts, warns], [SUM])
    assert not pick_is_settled(Settler(small).settled(CallerRuns(small).known(Caller({"use": "track"}))), small)


def test_the_guarantee_says_which_it_is():
    stands = standing_of(decided("mild-street-tune"))
    assert "drawn from callers, not proved" in guarantee(stands, "this kit")
    proved = dataclasses.replace(stands, pick=True)
    assert guarantee(proved, "this kit") == "Proved: whatever else is answered, this kit stays the advice."
