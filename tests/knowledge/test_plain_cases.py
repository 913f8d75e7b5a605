"""The short cut past the schema library for plain cases: it may never accept what the schema refuses."""

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry
from referencing.jsonschema import DRAFT202012

from advisor.errors import ErrorList, InputError
from advisor.knowledge import cases, shapes, strict_yaml
from tests import shipped
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


@pytest.fixture(scope="module")
def vocabulary():
    """The shipped knowledge."""
    return shipped.content().knowledge


def allowed(root):
    registry = Registry().with_resource("common.json", DRAFT202012.create_resource(shapes.schema("common")))
    return not list(Draft202012Validator(shapes.schema("case"), registry=registry).iter_errors(root.plain()))


def readings(text, vocabulary, monkeypatch):
    """What comes of a case with the schema library at hand, and without it: a Case, what is wrong, or no library."""
    found = []
    for at_hand in (True, False):
        with monkeypatch.context() as patched:
            if not at_hand:
                patched.setattr(shapes, "check", refuse)
            try:
                found.append(cases.case_text(text, vocabulary))
            except (InputError, ErrorList, LibraryMissed) as error:
                found.append(error)
    return found


class LibraryMissed(Exception):
    """The schema was asked."""


def refuse(*_):
    raise LibraryMissed


def test_without_the_schema_no_case_is_accepted_that_it_refuses(vocabulary, monkeypatch):
    shortcut = set()
    for text in TEXTS:
        with_it, without = readings(text, vocabulary, monkeypatch)
        if not isinstance(without, LibraryMissed):
            shortcut.add(text)
            assert str(with_it) == str(without), text
            assert allowed(strict_yaml.loads(text, "text", error=InputError, nulls=("expect",))), text
    assert 4 <= len(shortcut) < len(TEXTS)


def test_shipped_cases_do_without_the_schema(vocabulary, monkeypatch):
    paths = sorted((ROOT / "scenarios" / "cases").glob("*.yaml"))
    assert len(paths) > 100
    for path in paths[::3]:
        with_it, without = readings(path.read_text(encoding="utf-8"), vocabulary, monkeypatch)
        assert with_it == without, path.stem
        assert allowed(strict_yaml.load(path, error=InputError, nulls=("expect",))), path.stem
