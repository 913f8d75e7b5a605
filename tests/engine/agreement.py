"""Do all evaluators say the same? Shared by the ordinary tests and the long counts."""

from advisor.engine.bulk import BulkEvaluator
from advisor.engine.compare import compare
from advisor.engine.durable import DurableEvaluator
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
    """What durable-rules, CLIPS and the bulk evaluator say otherwise than the plain chainer: [] if nothing.

    Facts, firings and conflicts are compared exactly, as sets; with the first two engines also their order.
    """
    base = rule_base(knowledge, stage)
    plain, durable = PlainEvaluator(base), DurableEvaluator(base)
    bulk = BulkEvaluator(knowledge, stage)
    made = [fact for name, fact in base.facts.items() if name not in knowledge.facts]
    reference = ClipsReference(knowledge, stage, made) if outside else None
    ready, answered = columns(base.facts, cases)
    at_once = bulk.derive(ready, answered, len(cases))
    found = []
    for row, (facts, said) in enumerate(cases):
        expected = outcome(plain.derive, facts, said)
        for name, other in (
            ("durable-rules", outcome(durable.derive, facts, said)),
            ("bulk", outcome(at_once.derivation, row)),
        ):
            found += [f"case {row}: {text}" for text in compare(("plain", name), (expected, other))]
        if reference:
            theirs = reference.derive(facts, said)
            ours = None if isinstance(expected, ConflictError) else (dict(expected.facts), set(expected.firings))
            if theirs != ours:
                found.append(f"case {row}: CLIPS derives {theirs}, we derive {ours}")
    durable.close()
    return found
