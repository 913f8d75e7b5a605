"""The rooms and their one-way arrows, as drawn in DEVELOPERS.md, held against the imports."""

import ast
import functools
import re

from tests.conftest import ROOT
from tests.parsed import files, nodes, text_of, tree

#: Room -> rooms it may import. errors and frozen (and the package itself) are open to all.
ARROWS = {
    "mechanics": (),
    "knowledge": ("mechanics",),
    "engine": ("mechanics", "knowledge"),
    "deciding": ("mechanics", "knowledge", "engine"),
    "proving": ("mechanics", "knowledge", "engine", "deciding"),
    "explaining": ("mechanics", "knowledge", "engine", "deciding"),
    "reporting": ("mechanics", "knowledge", "engine", "deciding", "explaining"),
    "casebook": ("mechanics", "knowledge", "engine", "deciding", "explaining"),
    "versions": ("mechanics", "knowledge", "engine", "deciding", "explaining", "reporting", "casebook"),
    "listening": ("mechanics", "knowledge"),
    "shop": ("mechanics", "knowledge", "engine", "deciding"),
    "complaints": ("mechanics", "knowledge", "engine", "deciding"),
    "learning": ("mechanics", "knowledge", "deciding", "casebook"),
    "interview": ("mechanics", "knowledge", "engine", "deciding", "proving", "explaining", "casebook", "listening"),
    "web": (
        "mechanics",
        "knowledge",
        "engine",
        "deciding",
        "explaining",
        "reporting",
        "casebook",
        "versions",
        "interview",
        "shop",
        "learning",
    ),
    "commands": (
        "mechanics",
        "knowledge",
        "engine",
        "deciding",
        "explaining",
        "reporting",
        "casebook",
        "interview",
        "listening",
        "shop",
        "complaints",
        "learning",
        "proving",
        "web",
        "versions",
    ),
    "cli": ("commands",),
    "__main__": ("cli",),
}
OPEN = ("errors", "frozen")


def room_of(path):
    """The room of a file: the folder under advisor/, or the module's own name."""
    parts = path.relative_to(ROOT / "advisor").parts
    return parts[0] if len(parts) > 1 else path.stem


@functools.cache
def imports(path):
    """(name as parts, line, whether annotations alone name it) of every import of this package in a file, those inside
    functions included.
    """
    package = ("advisor", *path.relative_to(ROOT / "advisor").parts[:-1])
    for_types = {
        inner
        for node in nodes(path)
        if isinstance(node, ast.If) and getattr(node.test, "id", "") == "TYPE_CHECKING"
        for inner in ast.walk(node)
    }
    imported = []
    for node in nodes(path):
        if isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else ()
            module = (*base, *(node.module.split(".") if node.module else ()))
            named = [(*module, alias.name) for alias in node.names]
        elif isinstance(node, ast.Import):
            named = [tuple(alias.name.split(".")) for alias in node.names]
        else:
            continue
        imported += [(name, node.lineno, node in for_types) for name in named if name[0] == "advisor" and len(name) > 1]
    return tuple(imported)


def test_imports_point_one_way():
    wrong = []
    for path in files():
        room = room_of(path)
        for (_, other, *_), line, _ in imports(path):
            if other not in (room, *OPEN, *ARROWS.get(room, ()), "__version__"):
                wrong.append(f"{path.relative_to(ROOT)}:{line} imports {other}")
    assert wrong == []


def test_no_modules_import_each_other_in_a_circle():
    """Rooms are one-way; within a room modules are too. What only annotations name does not count."""
    modules = {("advisor", *path.relative_to(ROOT / "advisor").with_suffix("").parts): path for path in files()}
    needs = {
        module: {
            other
            for name, _, for_types in imports(path)
            if not for_types
            for other in (name, name[:-1])
            if other in modules
        }
        for module, path in modules.items()
    }
    assert sum(map(len, needs.values())) > len(modules)
    while ready := [module for module, needed in needs.items() if not needed & needs.keys()]:
        for module in ready:
            del needs[module]
    assert not needs, "import each other: " + ", ".join(".".join(module) for module in sorted(needs))


def test_every_room_is_known():
    rooms = {room_of(path) for path in files()} - {*OPEN}
    assert rooms <= set(ARROWS), rooms - set(ARROWS)


def test_the_arrows_themselves_have_no_circle():
    done = []
    while len(done) < len(ARROWS):
        ready = [room for room, needs in ARROWS.items() if room not in done and set(needs) <= set(done)]
        assert ready, "the arrows go round in a circle"
        done += ready


def test_the_picture_shows_these_arrows():
    """DEVELOPERS.md draws every room, and in its table names exactly the rooms each may import."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = dict(re.findall(r"^\| `(\w+)` \| ([^|]*) \|", text, re.MULTILINE))
    assert set(rows) == set(ARROWS)
    for room, cell in rows.items():
        assert set(re.findall(r"`(\w+)`", cell)) == set(ARROWS[room]), room


def code_lines(path):
    """How many lines of a file are code: without blank lines, comments and docstrings."""
    documentation = set()
    for node in nodes(path):
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)) and ast.get_docstring(node, clean=False):
            documentation |= set(range(node.body[0].lineno, node.body[0].end_lineno + 1))
    lines = enumerate(text_of(path).splitlines(), 1)
    return sum(bool(line.strip()) and line.lstrip()[0] != "#" and number not in documentation for number, line in lines)


def test_modules_stay_small():
    """Documentation does not count: a module is as large as what it does."""
    counted = {str(path.relative_to(ROOT)): code_lines(path) for path in files()}
    assert {name: count for name, count in counted.items() if count > 400} == {}


def test_a_class_name_means_one_thing():
    """No two public classes of the program share a name."""
    places = {}
    for path in files():
        for node in tree(path).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                places.setdefault(node.name, []).append(str(path.relative_to(ROOT)))
    assert len(places) > 150
    assert {name: paths for name, paths in places.items() if len(paths) > 1} == {}


def test_the_engineers_page_stays_a_page():
    assert len((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").splitlines()) < 200


def test_the_engineers_page_names_what_there_is():
    """Every module it names is there, and each way through the code takes eight steps at the most."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = set(re.findall(r"`((?:advisor|tests|rules|schemas|\w+)/[\w/.]+\.(?:py|yaml|txt|json))`", text))
    assert len(named) > 30
    assert [name for name in sorted(named) if not any((ROOT / top / name).exists() for top in ("", "advisor"))] == []
    ways = text.split("## Three ways through the code")[1].split("## ")[0].split("**From ")[1:]
    assert len(ways) == 3
    assert all(0 < len(re.findall(r"^\d\. ", way, re.MULTILINE)) <= 8 for way in ways)
