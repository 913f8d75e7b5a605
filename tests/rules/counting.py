"""Which rules count: deleting a rule that counts changes some shipped case.

What counts as a change: outcome, pick, set-up items and their levels, cautions, what is given up, what is asked for,
advice.
"""

import dataclasses

from advisor.deciding.expectations import cautions, given_up, items
from advisor.errors import AdvisorError

from .shop import decided, decider


def result(decision):
    """What a case came to, as far as a caller would notice."""
    return (
        decision.outcome,
        None if decision.pick is None else decision.kits.ids[decision.pick],
        tuple(sorted(items(decision).items())),
        tuple(cautions(decision)),
        tuple(given_up(decision)),
        decision.asks,
        decision.derivation.facts.get("advice"),
    )


def fired_anywhere(decision):
    """Rules that fired for the case or for the set-up of any passing kit."""
    names = set(decision.derivation.fired())
    for derived in decision.setup_derivations.values():
        names |= set(derived.fired())
    return names


def counts(knowledge, shop, cases, only=None):
    """Rule id -> id of a case that its deletion changes, or "" where it changes none; ``only``: ids to look at.

    ``knowledge`` and ``shop`` are the shipped ones, ``cases`` shipped cases by id.
    """
    decisions = {name: decided(name) for name in cases}
    before = {name: result(decision) for name, decision in decisions.items()}
    fired = {name: fired_anywhere(decision) for name, decision in decisions.items()}
    looked_at = [rule for rule in knowledge.rules if only is None or rule.id in only]
    return {rule.id: _case_changed(rule, knowledge, shop, cases, before, fired) for rule in looked_at}


def _case_changed(rule, knowledge, shop, cases, before, fired):
    touched = [name for name in cases if rule.id in fired[name]]
    if not touched:
        return ""
    rest = tuple(other for other in knowledge.rules if other.id != rule.id)
    without = decider(dataclasses.replace(knowledge, rules=rest), shop)
    for name in touched:
        try:
            if result(without.decide(cases[name])) != before[name]:
                return name
        except AdvisorError:
            return name
    return ""
