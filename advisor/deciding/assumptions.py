"""Which assumptions matter: those that, replaced alone, change the outcome of the case."""

import dataclasses

from .parts import required_ids


def outcome_of(decision):
    """(outcome, pick, required set-up ids, safety caution ids): what a change is measured by."""
    from .recording import safety_cautions

    required = frozenset()
    pick = None
    if decision.pick is not None:
        pick = decision.kits.ids[decision.pick]
        required = required_ids(decision.setups[decision.pick])
    return decision.outcome, pick, required, safety_cautions(decision)


def replaced(known, fact, value):
    """`Known` with one assumed fact at another value, still assumed."""
    return dataclasses.replace(known, facts={**known.facts, fact: value})


def judge(decider, decision):
    """Pairs (Assumption, matters) in the order of the vocabulary: every one is tried, those for safety too."""
    known = decision.known
    tried = [(one, replaced(known, one.fact, value)) for one in known.assumptions for value in one.alternatives]
    outcomes = decider.outcomes(decision.case, decision.platform, [other for _, other in tried])
    now = outcome_of(decision)
    changed = {one.fact for (one, _), outcome in zip(tried, outcomes) if outcome != now}
    return [(one, one.fact in changed) for one in known.assumptions]
