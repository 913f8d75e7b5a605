"""What a variable is called says what it holds."""

import ast

from tests.conftest import ROOT

#: Names that say of a variable that it is there, and not what it holds.
SAY_NOTHING = ("one", "made", "told", "found")


def test_variables_say_what_they_hold():
    bound = set()
    for path in sorted((ROOT / "advisor").rglob("*.py")):
        for function in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            for node in ast.walk(function) if isinstance(function, ast.FunctionDef | ast.Lambda) else ():
                name = node.arg if isinstance(node, ast.arg) else getattr(node, "id", "")
                if name in SAY_NOTHING and not isinstance(getattr(node, "ctx", None), ast.Load):
                    bound.add(f"{path.relative_to(ROOT)}:{node.lineno} {name}")
    assert sorted(bound) == []
