"""Every public function and method of the program says what it takes and what it gives."""

import ast

from tests.conftest import ROOT


def public(tree: ast.Module) -> list[tuple[str, ast.FunctionDef | ast.AsyncFunctionDef]]:
    """(name, definition) of every public function and every public or magic method of a public class."""
    definitions = []
    for owner, body in [("", tree.body)] + [
        (f"{node.name}.", node.body)
        for node in tree.body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    ]:
        for node in body:
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and (
                not node.name.startswith("_") or node.name.startswith("__")
            ):
                definitions.append((owner + node.name, node))
    return definitions


def unsaid(name: str, function: ast.FunctionDef | ast.AsyncFunctionDef) -> list[str]:
    """What a definition does not say: parameters by name, "result"."""
    given = function.args
    parameters = [*given.posonlyargs, *given.args, given.vararg, *given.kwonlyargs, given.kwarg]
    kinds = {node.id for node in function.decorator_list if isinstance(node, ast.Name)}
    if "." in name and "staticmethod" not in kinds:
        parameters = parameters[1:]
    missing = [parameter.arg for parameter in parameters if parameter is not None and parameter.annotation is None]
    return missing if function.returns is not None else [*missing, "result"]


def faults(source: str) -> list[str]:
    """Each definition of a module that leaves something out, with what it leaves out."""
    return [
        f"{name}: {', '.join(missing)}"
        for name, function in public(ast.parse(source))
        if (missing := unsaid(name, function))
    ]


def test_public_functions_say_their_types() -> None:
    paths = sorted((ROOT / "advisor").rglob("*.py"))
    assert len(paths) > 200
    left_out = [f"{path.relative_to(ROOT)}: {fault}" for path in paths for fault in faults(path.read_text("utf-8"))]
    assert not left_out, "\n".join(left_out)


def test_what_is_left_out_is_found() -> None:
    source = """
def bare(first, *rest, second: int = 0, **more): ...
def whole(first: int, *rest: int, **more: int) -> None: ...
def _private(first): ...
class Public:
    def __init__(self, value): ...
    def method(self) -> int: ...
    @staticmethod
    def alone(value) -> int: ...
    @property
    def held(self): ...
    def _private(self, value): ...
class _Private:
    def method(self, value): ...
"""
    assert faults(source) == [
        "bare: first, rest, more, result",
        "Public.__init__: value, result",
        "Public.alone: value",
        "Public.held: result",
    ]
