"""The shipped rules, shop and cases for all tests: read once, and each case's record worked out once in a run.

The processes of one run share a folder: what one of them has read and checked, or advised, the others take from there.
"""

import functools
import json
import os
import tempfile
from pathlib import Path

import yaml

ROOT = Path(__file__).resolve().parent.parent
#: Variable of the environment that names the folder of this run; the process that made it removes it.
RUN = "LEAST_CLUTCH_TEST_RUN"
if RUN not in os.environ:
    MADE = tempfile.TemporaryDirectory(prefix="least-clutch-tests-")
    os.environ[RUN] = MADE.name

#: Every twelfth shipped case and these stand for all where whole records are looked at; ``tests.full`` takes all.
EVERY = 12
NAMED = (
    "mild-street-tune",
    "half-thrust-strong-single",
    "stock-tired-clutch",
    "nothing-fits",
    "drag-never-bedded",
    "answers-missing",
    "pack-over-stroke",
    "drag-strip-v8",
    "lorry-declined",
)


def run_folder(name: str) -> Path:
    """A folder within that of this run."""
    place = Path(os.environ[RUN], name)
    place.mkdir(exist_ok=True, mode=0o700)
    return place


def quick_yaml(text):
    """The data of a YAML text, by the C parser where there is one: the other takes ten times as long."""
    return yaml.load(text, getattr(yaml, "CSafeLoader", yaml.SafeLoader))


def texts_of(path):
    """The data of a YAML file, every value as it is written; by the C parser where there is one."""
    return yaml.load(path.read_text(encoding="utf-8"), getattr(yaml, "CBaseLoader", yaml.BaseLoader))


@functools.cache
def content():
    """Knowledge, kits, platforms and parts as shipped."""
    from advisor.knowledge.sources import Sources, read

    return read(Sources.chosen())


@functools.cache
def plain_decider():
    """Decides with the plain chainer alone: for tests that decide by the hundred."""
    from tests.callers import plain_decider_of

    return plain_decider_of(content())


@functools.cache
def cases():
    """The shipped cases by id, in the order of their files."""
    from advisor.knowledge import load

    paths = sorted((ROOT / "scenarios" / "cases").glob("*.yaml"))
    return {case.id: case for case in (load.case(path, content().knowledge) for path in paths)}


def some():
    """Ids of the cases that stand for all of them."""
    return [name for place, name in enumerate(cases()) if place % EVERY == 0 or name in NAMED]


def record(name):
    """The `DecisionRecord` of a shipped case by the plain chainer, as stored: no test changes another's."""
    from advisor.deciding.advise import advise
    from advisor.deciding.decision_record import DecisionRecord

    file = run_folder("records") / f"{name}.json"
    if not file.exists():
        made = advise(plain_decider(), cases()[name])
        draft = file.with_suffix(f".{os.getpid()}")
        draft.write_text(json.dumps(made.data), encoding="utf-8")
        draft.replace(file)
    return DecisionRecord.of(json.loads(file.read_text(encoding="utf-8")))
