"""The program's own files as syntax trees, each parsed once in a run: several tests read all of them."""

import ast
import functools

from tests.shipped import ROOT


@functools.cache
def files():
    """Every module of the package, sorted; of those called __init__ the package's own aside."""
    return tuple(
        path
        for path in sorted((ROOT / "advisor").rglob("*.py"))
        if path.name != "__init__.py" or path.parent.name != "advisor"
    )


@functools.cache
def text_of(path):
    """What a file says."""
    return path.read_text(encoding="utf-8")


@functools.cache
def tree(path):
    """The syntax tree of a file."""
    return ast.parse(text_of(path))


@functools.cache
def nodes(path):
    """Every node of a file, outermost first."""
    return tuple(ast.walk(tree(path)))
