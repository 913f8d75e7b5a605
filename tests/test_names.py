"""What a variable is called says what it holds."""

import ast
import re

from tests.conftest import ROOT
from tests.parsed import files, nodes

#: Names that say of a variable that it is there, and not what it holds.
SAY_NOTHING = ("one", "made", "told", "found")


def test_variables_say_what_they_hold():
    bound = set()
    for path in files():
        if any(map(says_nothing, nodes(path))):
            for function in nodes(path):
                for node in ast.walk(function) if isinstance(function, ast.FunctionDef | ast.Lambda) else ():
                    if name := says_nothing(node):
                        bound.add(f"{path.relative_to(ROOT)}:{node.lineno} {name}")
    assert sorted(bound) == []


def says_nothing(node):
    """The name that a node binds, where it is one of those; else nothing."""
    kind = type(node)
    name = node.id if kind is ast.Name else node.arg if kind is ast.arg else ""
    return name if name in SAY_NOTHING and (kind is ast.arg or type(node.ctx) is not ast.Load) else ""


def test_tests_reach_for_no_private_name():
    """What a test puts in the place of something has a public name: behaviour is tested, not how it is done."""
    patched = [
        f"{path.relative_to(ROOT)}: {line.strip()}"
        for path in sorted((ROOT / "tests").rglob("*.py"))
        for line in path.read_text(encoding="utf-8").splitlines()
        if re.search(r"setattr\([^,]+, *[\"']_[a-z]|setattr\([\"'][\w.]*\._[a-z]", line)
    ]
    assert patched == []
