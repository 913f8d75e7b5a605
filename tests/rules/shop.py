"""Knowledge, shop and engines for the tests of the rules, loaded once."""

import functools
from pathlib import Path

from advisor.deciding.decide import Decider, Shop
from advisor.engine.plain import compile_plain
from advisor.knowledge import load
from advisor.knowledge.model import STAGES
from tests import kept, shipped

ROOT = Path(__file__).resolve().parents[2]
RULES = ROOT / "rules"
SCENARIOS = ROOT / "scenarios"


@functools.cache
def knowledge():
    """The shipped rules."""
    return shipped.content().knowledge


def records(known):
    """The Shop of the shipped scenarios, read by any knowledge whose vocabulary suits."""
    return Shop(
        load.kits(SCENARIOS / "kits", known),
        load.platforms(SCENARIOS / "platforms", known),
        load.parts(SCENARIOS / "parts", known),
    )


@functools.cache
def shop():
    """The shipped invented shop."""
    content = shipped.content()
    return Shop(content.kits, content.platforms, content.parts)


def decider(known, stock):
    """A Decider on the plain chainer alone."""
    engines = {stage: compile_plain(known, stage) for stage in STAGES}
    return Decider(known, stock, lambda stage, facts, answered: engines[stage].derive(facts, answered))


@functools.cache
def plain():
    """The Decider of the shipped rules on the plain chainer."""
    return shipped.plain_decider()


@functools.cache
def both():
    """The Decider of the shipped rules on both engines, compared at every derivation."""
    return kept.decider()


@functools.cache
def cases():
    """The shipped cases by id, in order of file name."""
    return shipped.cases()


@functools.cache
def decided(name):
    """The Decision of a shipped case on both engines."""
    return both().decide(cases()[name])
