"""What the engines keep between starts is what they work out anew, and decides the same."""

import dataclasses

import pytest

from advisor.deciding.advise import advise
from advisor.deciding.decide import decider_of
from advisor.deciding.recording import to_json
from advisor.engine import prepared
from advisor.engine.compare import TwoEngines
from advisor.knowledge import load
from advisor.knowledge.model import STAGES
from advisor.knowledge.sources import Keyed


@pytest.fixture
def cache(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    return tmp_path / "least-clutch" / prepared.SHELF


def test_what_is_kept_is_what_is_worked_out(content, cache):
    engines = {stage: TwoEngines(content.knowledge, stage) for stage in STAGES}
    prepared.keep("key", {stage: engine.prepared for stage, engine in engines.items()})
    held = prepared.fetch("key")
    assert list(held) == list(STAGES)
    for stage, engine in engines.items():
        program = engine.prepared.program
        assert held[stage].program.as_data() == program.as_data()
        assert held[stage].program.actions == program.actions and len(program.actions) > 100
        again = TwoEngines(content.knowledge, stage, prepared=held[stage])
        assert again.base.rank == engine.base.rank and len(again.base.rank) > 100
        assert again.prepared.program.as_data() == program.as_data()


def test_a_second_start_decides_the_same(content, cache):
    kept = dataclasses.replace(content, keyed=Keyed("key", content.knowledge))
    texts = []
    for _ in range(2):
        decider = decider_of(kept)
        case = load.case("scenarios/cases/rollers-front.yaml", decider.knowledge)
        texts.append(to_json(advise(decider, case)))
        assert len(list(cache.glob("key*"))) == 1
    assert texts[0] == texts[1]


def test_what_was_read_without_a_cache_keeps_nothing(content, cache):
    decider_of(dataclasses.replace(content, keyed=None))
    assert not cache.exists() and prepared.fetch("") == {}


def test_of_other_knowledge_put_in_nothing_is_fetched_or_kept(content, cache):
    """What was prepared by the rules that were read would decide by those, and let other rules pass unchecked."""
    kept = dataclasses.replace(content, keyed=Keyed("key", content.knowledge))
    rules = [rule for rule in content.knowledge.rules if rule.stage != "setup"]
    other = dataclasses.replace(kept, knowledge=dataclasses.replace(content.knowledge, rules=tuple(rules)))
    assert (kept.knowledge_key, other.knowledge_key) == ("key", "")
    decider_of(other)
    assert not cache.exists()
    decider_of(kept)
    assert decider_of(other).bases["setup"].rank == {} != decider_of(kept).bases["setup"].rank


def test_what_somebody_put_there_is_not_taken(content, cache):
    engines = {stage: TwoEngines(content.knowledge, stage) for stage in STAGES}
    prepared.keep("key", {stage: engine.prepared for stage, engine in engines.items()})
    (file,) = cache.glob("key*")
    file.write_bytes(file.read_bytes().replace(b"$gte", b"$lte"))
    assert prepared.fetch("key") == {}
