"""Do all evaluators say the same? Shared by the ordinary tests and the long counts."""

from advisor.engine.bulk import BulkEvaluator
from advisor.engine.compare import available_engines, compare
from advisor.engine.fact_columns import columns
from advisor.engine.plain import PlainEvaluator
from advisor.engine.rulebase import rule_base
from advisor.errors import ConflictError

from .clips_reference import ClipsReference


def outcome(derive, *arguments):
    """A Derivation, or the ConflictError in its place."""
    try:
        return derive(*arguments)
    except ConflictError as error:
        return error


def differences(knowledge, stage, cases, *, outside=True):
    """What durable-rules (where it can be had), CLIPS and the bulk evaluator say otherwise than the plain chainer: []
    if nothing.

    Facts, firings and conflicts are compared exactly, as sets; with the first two engines also their order.
    """
    base = rule_base(knowledge, stage)
    plain, durable = PlainEvaluator(base), _durable(base)
    bulk = BulkEvaluator(knowledge, stage)
    made = [fact for name, fact in base.facts.items() if name not in knowledge.facts]
    reference = ClipsReference(knowledge, stage, made) if outside else None
    ready, answered = columns(base.facts, cases)
    at_once = bulk.derive(ready, answered, len(cases))
    found = []
    for row, (facts, said) in enumerate(cases):
        expected = outcome(plain.derive, facts, said)
        others = {"bulk": outcome(at_once.derivation, row)}
        if durable:
            others["durable-rules"] = outcome(durable.derive, facts, said)
        for name, other in others.items():
            found += [f"case {row}: {text}" for text in compare(("plain", name), (expected, other))]
        if reference:
            theirs = reference.derive(facts, said)
            ours = None if isinstance(expected, ConflictError) else (dict(expected.facts), set(expected.firings))
            if theirs != ours:
                found.append(f"case {row}: CLIPS derives {theirs}, we derive {ours}")
    if durable:
        durable.close()
    return found


def _durable(base):
    """The evaluator of durable-rules, or None where that cannot be had."""
    if "durable-rules" not in available_engines():
        return None
    from advisor.engine.durable import DurableEvaluator

    return DurableEvaluator(base)
