"""The decision record: its schema, and the same bytes whatever the order of rules, kits and answers."""

import dataclasses
import json
import os
import random
import shutil
import subprocess
import sys

import pytest
import yaml
from jsonschema import Draft202012Validator

from advisor.deciding.advise import advise
from advisor.deciding.decide import decider_of
from advisor.deciding.recording import to_json
from advisor.knowledge import load
from advisor.knowledge.sources import Sources, read
from tests import shipped
from tests.callers import caller
from tests.conftest import ROOT
from tests.shipped import texts_of

CASES = sorted((ROOT / "scenarios" / "cases").glob("*.yaml"))
SEVEN = (
    "stock-tired-clutch",
    "mild-street-tune",
    "drag-never-bedded",
    "half-thrust-strong-single",
    "pack-over-stroke",
    "answers-missing",
    "nothing-fits",
)


def without_maker(made):
    """The record's text, made_by aside."""
    return json.dumps(
        {key: value for key, value in getattr(made, "data", made).items() if key != "made_by"}, sort_keys=True
    )


@pytest.fixture(scope="module", name="validator")
def validator_fixture():
    return validator_of_records()


def validator_of_records():
    """Holds a record against the schema, which is one."""
    schema = json.loads((ROOT / "schemas" / "decision.json").read_text())
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


@pytest.mark.parametrize("name", SEVEN)
def test_the_seven_cases_follow_the_schema(name, decider, validator):
    case = load.case(ROOT / "scenarios" / "cases" / f"{name}.yaml", decider.knowledge)
    made = shipped.record(name).data
    assert [error.message for error in validator.iter_errors(made)] == []
    assert made["outcome"] == case.expect["outcome"]
    if "pick" in case.expect:
        assert made["pick"]["kit"] == case.expect["pick"]


def test_random_callers_follow_the_schema(content, decider, validator):
    assert len(outcomes_by_schema(range(4), content, decider, validator)) >= 2


def outcomes_by_schema(seeds, content, decider, validator):
    """The outcomes of random callers, whose records all follow the schema."""
    outcomes = set()
    for seed in seeds:
        made = json.loads(to_json(advise(decider, caller(seed, content))))
        assert [error.message for error in validator.iter_errors(made)] == []
        outcomes.add(made["outcome"])
    return outcomes


def test_every_property_of_the_schema_is_described(validator):
    def walk(node, path):
        for name, child in node.get("properties", {}).items():
            assert child.get("description"), f"{path}.{name}"
            walk(child, f"{path}.{name}")
        if isinstance(node.get("items"), dict):
            walk(node["items"], f"{path}[]")

    walk(validator.schema, "record")


def test_two_engines_agree_is_recorded(decider):
    from advisor.engine.compare import available_engines

    case = load.case(ROOT / "scenarios" / "cases" / "mild-street-tune.yaml", decider.knowledge)
    assert advise(decider, case).made_by.engines_agreed is (len(available_engines()) > 1)


class _AsWritten(
    yaml.emitter.Emitter, yaml.serializer.Serializer, yaml.representer.SafeRepresenter, yaml.resolver.BaseResolver
):
    """Writes texts as plain as they came: no quotes around what only looks like a number or a flag."""

    def __init__(self, stream, **options):
        yaml.emitter.Emitter.__init__(self, stream, width=10**6, allow_unicode=True)
        yaml.serializer.Serializer.__init__(self)
        yaml.representer.SafeRepresenter.__init__(self, default_flow_style=False, sort_keys=False)
        yaml.resolver.BaseResolver.__init__(self)


def write_yaml(path, data):
    """Write parsed-as-text YAML data back."""
    with path.open("w", encoding="utf-8") as stream:
        dumper = _AsWritten(stream)
        dumper.open()
        dumper.represent(data)
        dumper.close()


def shuffled_copy(folder, key, target, pick):
    """A copy of a folder of YAML lists, entries in another order, spread over files in another order."""
    shutil.copytree(folder, target)
    for path in sorted(target.rglob("*.yaml")):
        if path.name.endswith(".tests.yaml"):
            continue
        data = texts_of(path)
        if not isinstance(data.get(key), list):
            continue
        pick.shuffle(data[key])
        for entry in data[key]:
            if isinstance(entry, dict) and isinstance(entry.get("table"), list):
                pick.shuffle(entry["table"])
        path.unlink()
        write_yaml(path.with_name(f"{pick.randrange(10**6):06d}-{path.name}"), data)
    return target


def test_same_bytes_from_shuffled_rules_kits_and_answers(tmp_path, content, decider):
    hold_shuffled(0, CASES[:3], tmp_path, content, decider)


def hold_shuffled(seed, paths, tmp_path, content, decider):
    """Cases decided from rules, kits, parts and answers in another order have the same bytes."""
    pick = random.Random(seed)
    rules = tmp_path / "rules"
    rules.mkdir()
    for path in (ROOT / "rules").glob("*.yaml"):
        shutil.copy(path, rules)
    for stage in ("case", "setup"):
        shuffled_copy(ROOT / "rules" / stage, "rules", rules / stage, pick)
    kits = shuffled_copy(ROOT / "scenarios" / "kits", "kits", tmp_path / "kits", pick)
    parts = shuffled_copy(ROOT / "scenarios" / "parts", "parts", tmp_path / "parts", pick)
    shuffled = dataclasses.replace(Sources.chosen(rules=rules, kits=kits, parts=parts), shop=content.shop)
    other = read(shuffled, cache=False)
    assert [rule.id for rule in other.knowledge.rules] != [rule.id for rule in content.knowledge.rules]
    assert other.knowledge.sha256 == content.knowledge.sha256 and other.hashes == content.hashes
    again = decider_of(other)
    for path in paths:
        text = texts_of(path)
        answers = list(text["answers"].items())
        pick.shuffle(answers)
        text["answers"] = dict(answers)
        moved = tmp_path / "case.yaml"
        write_yaml(moved, text)
        first = advise(decider, load.case(path, decider.knowledge))
        second = advise(again, load.case(moved, other.knowledge))
        assert without_maker(first) == without_maker(second), path.name


def test_same_bytes_over_some_runs():
    assert len(records_of_runs(2)) == 1


def records_of_runs(runs):
    """The different records of fresh processes, each with hashing of texts seeded anew, the last without the cache."""
    case = str(ROOT / "scenarios/cases/mild-street-tune.yaml")
    command = [sys.executable, "-m", "advisor", "recommend", case, "--json"]
    seen = set()
    for run in range(runs):
        environment = {**os.environ, "PYTHONHASHSEED": str(run + 1)}
        environment.pop("LEAST_CLUTCH_NO_CACHE", None)
        if run == runs - 1:
            environment["LEAST_CLUTCH_NO_CACHE"] = "1"
        done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, env=environment, check=True)
        seen.add(without_maker(json.loads(done.stdout)))
    return seen
