"""The short cut past the schema library for plain cases: it may never accept what the schema refuses."""

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry
from referencing.jsonschema import DRAFT202012

from advisor.errors import InputError
from advisor.knowledge import cases, shapes, strict_yaml
from tests.conftest import ROOT

TEXTS = [
    "case: a\nanswers: {}\n",
    "case: a\nplatform: none\nanswers: {main_use: daily}\n",
    "case: A\nanswers: {}\n",
    "case: a-\nanswers: {}\n",
    "case: 7\nanswers: {}\n",
    "case: a\nanswers: [1]\n",
    "case: a\nanswer: {}\n",
    "case: a\nanswers: {Main_use: daily}\n",
    "case: a\nanswers: {main_use: {value: daily, from: measured}}\n",
    "case: a\nanswers: {main_use: {value: daily, from: heard}}\n",
    "case: a\nanswers: {main_use: {value: daily}}\n",
    "case: a\nanswers: {main_use: {value: daily, from: measured, by: me}}\n",
    "case: a\nanswers: {main_use: {value: {value: daily, from: measured}, from: measured}}\n",
    "case: a\nanswers: {main_use: [daily, drift]}\n",
    "case: a\nanswers: {main_use: ''}\n",
    "case: a\nanswers: {budget: 1000}\n",
    "case: a\ntitle: ''\nanswers: {}\n",
    "case: a\nnote: text\ninvented: yes\nanswers: {}\n",
    "case: a\ninvented: maybe\nanswers: {}\n",
    "case: a\nexpect: 3\nanswers: {}\n",
    "case: a\nexpect: {outcome: recommended}\nanswers: {}\n",
    "case: a\nextra: 3\nanswers: {}\n",
]


def allowed(root):
    registry = Registry().with_resource("common.json", DRAFT202012.create_resource(shapes.schema("common")))
    return not list(Draft202012Validator(shapes.schema("case"), registry=registry).iter_errors(root.plain()))


def test_accepts_only_what_the_schema_accepts():
    shortcut = set()
    for text in TEXTS:
        root = strict_yaml.loads(text, "text", error=InputError, nulls=("expect",))
        if cases._plainly_well_formed(root):
            shortcut.add(text)
            assert allowed(root), text
    assert 4 <= len(shortcut) < len(TEXTS)


@pytest.mark.parametrize("path", sorted((ROOT / "scenarios" / "cases").glob("*.yaml")), ids=lambda path: path.stem)
def test_shipped_cases_take_the_short_cut(path):
    root = strict_yaml.load(path, error=InputError, nulls=("expect",))
    assert cases._plainly_well_formed(root) and allowed(root)
