"""The schemas themselves: valid, described, and built so that their messages can be understood."""

import json

import pytest
from jsonschema import Draft202012Validator

from advisor.knowledge import shapes

KINDS = (
    "vocabulary",
    "questions",
    "calculations",
    "facings",
    "order",
    "workshop",
    "rules",
    "rule_tests",
    "complaint_rules",
    "causes",
    "symptoms",
    "experience",
    "kits",
    "platforms",
    "parts",
    "case",
    "common",
)
NAMES = [path.stem for path in sorted(shapes.schemas_folder().glob("*.json"))]


def walk(part):
    yield part
    for child in part.values() if isinstance(part, dict) else part if isinstance(part, list) else ():
        yield from walk(child)


def test_all_kinds_are_there():
    assert set(KINDS) <= set(NAMES)


@pytest.mark.parametrize("name", KINDS)
def test_schema_is_valid_described_and_free_of_one_of(name):
    schema = json.loads((shapes.schemas_folder() / f"{name}.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    properties = 0
    for part in walk(schema):
        if isinstance(part, dict):
            assert not {"oneOf", "anyOf"} & set(part)
            # Inside if and then a property only adds to one that is described where it is declared.
            for key, child in part.get("properties", {}).items() if "type" in part else ():
                assert child.get("description"), (name, key)
                properties += 1
    assert properties or name == "common"


@pytest.mark.parametrize("name", KINDS)
def test_every_reference_leads_somewhere(name):
    schema, *shared = (
        json.loads((shapes.schemas_folder() / f"{one}.json").read_text(encoding="utf-8"))
        for one in (name, "common", "rules")
    )
    shared = dict(zip(("common.json", "rules.json"), shared, strict=True))
    for part in walk(schema):
        if isinstance(part, dict) and isinstance(part.get("$ref"), str):
            file, _, pointer = part["$ref"].partition("#/$defs/")
            assert file == "" or file in shared
            assert pointer in (shared[file] if file else schema)["$defs"], part["$ref"]
