"""The shipped shop, its rules and records copied aside so that one run of the tests sees one state."""

import atexit
import functools
import shutil
import tempfile
from pathlib import Path

from advisor.deciding.decide import Decider, Shop
from advisor.engine.plain import compile_plain
from advisor.interview.next_question import Chooser
from advisor.interview.prompts import Teller
from advisor.interview.reading import Reader
from advisor.interview.sampling import Sampler
from advisor.knowledge import load
from advisor.knowledge.model import STAGES

ROOT = Path(__file__).resolve().parents[2]


@functools.cache
def folder():
    """A copy of rules and scenarios that lives as long as the test run."""
    place = Path(tempfile.mkdtemp(prefix="interview-"))
    atexit.register(shutil.rmtree, place, ignore_errors=True)
    shutil.copytree(ROOT / "rules", place / "rules")
    shutil.copytree(ROOT / "scenarios", place / "scenarios")
    return place


@functools.cache
def knowledge():
    """The rules."""
    return load.knowledge(folder() / "rules")


@functools.cache
def stock():
    """The invented shop."""
    place = folder() / "scenarios"
    return Shop(*(getattr(load, kind)(place / kind, knowledge()) for kind in ("kits", "platforms", "parts")))


@functools.cache
def decider():
    """A Decider on the plain chainer."""
    engines = {stage: compile_plain(knowledge(), stage) for stage in STAGES}
    return Decider(knowledge(), stock(), lambda stage, facts, answered: engines[stage].derive(facts, answered))


@functools.cache
def chooser(in_order=False):
    """The chooser of questions, or the one that asks everything in order."""
    return Chooser(Sampler(decider()), in_order=in_order)


@functools.cache
def quick():
    """A chooser that draws few callers: for tests of what is said, not of what is asked."""
    return Chooser(Sampler(decider(), 30))


def reader():
    """The reader of lines."""
    return Reader(knowledge(), stock().platforms)


def teller(**options):
    """The words."""
    return Teller(knowledge(), stock(), **options)


@functools.cache
def cases():
    """The shipped cases by id."""
    return {
        path.stem: load.case(path, knowledge()) for path in sorted((folder() / "scenarios" / "cases").glob("*.yaml"))
    }
