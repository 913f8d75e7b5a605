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
        for function in nodes(path):
            for node in ast.walk(function) if isinstance(function, ast.FunctionDef | ast.Lambda) else ():
                name = node.arg if isinstance(node, ast.arg) else getattr(node, "id", "")
                if name in SAY_NOTHING and not isinstance(getattr(node, "ctx", None), ast.Load):
                    bound.add(f"{path.relative_to(ROOT)}:{node.lineno} {name}")
    assert sorted(bound) == []


def test_tests_reach_for_no_private_name():
    """What a test puts in the place of something has a public name: behaviour is tested, not how it is done."""
    patched = [
        f"{path.relative_to(ROOT)}: {line.strip()}"
        for path in sorted((ROOT / "tests").rglob("*.py"))
        for line in path.read_text(encoding="utf-8").splitlines()
        if re.search(r"setattr\([^,]+, *[\"']_[a-z]|setattr\([\"'][\w.]*\._[a-z]", line)
    ]
    assert patched == []
