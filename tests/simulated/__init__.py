"""Simulated people: an engine with a torque curve, a car, an owner, what he knows of it all and how he says it.

    from tests.simulated.callers import caller
    person = caller(7, content.platforms)
    person.case(content.knowledge)         # what he keeps, as a Case (facts this vocabulary has)
    person.full_case(content.knowledge)    # the truth behind it
    person.utterances()                    # what he says on the telephone, with the facts in it

Nothing here reads rules, calculations or how deciding works: torque, power, boost, losses and quarter-mile speed come
from a model of their own, so that the advisor's arithmetic is held against another's. All shares stand in `shares.yaml`
with their basis; **they were fixed before any tuning of the advisor** and are not moved to make a count come out.

| module | what it holds |
|---|---|
| shares | the table and how to draw from it |
| engines | torque curve, engine, effect of changes, quarter mile |
| truths | a car and its owner as they are: every asked fact's true value, without contradiction |
| saying | how a true number becomes what somebody says: units, rounding, about, from ... to |
| callers | what of the truth he keeps, and the cases made from it |
| speech | spoken English for it |
| contradictions, relations, clashes | one answer changed so that two cannot both be true, by a stated size |
| holes | a shop whose records lack fields |
"""
