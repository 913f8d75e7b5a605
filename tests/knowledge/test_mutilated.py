"""Files with one part deleted, doubled or made something else at random: a clear error or nothing, never a crash."""

import copy
import random
import shutil

import yaml

from advisor.errors import AdvisorError
from advisor.knowledge import load, rule_tests, strict_yaml

from .broken_files import SMALL

FILES = sorted(path.relative_to(SMALL).as_posix() for path in SMALL.glob("**/*.yaml"))
JUNK = [
    "",
    "x",
    "yes",
    "no",
    "unknown",
    "430 Nm",
    "engine_torque",
    "{main_use}",
    "daily",
    0,
    -1,
    180,
    99999999,
    [],
    ["x"],
    [[1]],
    {},
    {"x": "y"},
]
JUNK += [
    {"fact": "engine_torque"},
    {"fact": "x"},
    {"kit": "hub"},
    {"do": "assume"},
    ["1 mm", "0 mm"],
    {"all": []},
    {"any": []},
]


class Quoting(yaml.SafeDumper):
    """Writes texts in quotes, and every part out."""

    def ignore_aliases(self, data):
        return True


Quoting.add_representer(str, lambda dumper, text: dumper.represent_scalar("tag:yaml.org,2002:str", text, style="'"))
Quoting.add_representer(
    strict_yaml.Decimal, lambda dumper, number: dumper.represent_scalar("tag:yaml.org,2002:float", f"{number:f}")
)


def parts(tree, path=()):
    """Every path to a part of a tree."""
    children = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for key, child in children:
        yield (*path, key)
        yield from parts(child, (*path, key))


def mutilate(tree, chance):
    """A copy of a tree with one part deleted, doubled, renamed, swapped for another part or for junk."""
    tree = copy.deepcopy(tree)
    paths = list(parts(tree))
    *way, last = chance.choice(paths)
    owner = tree
    for step in way:
        owner = owner[step]
    what = chance.choice(["delete", "junk", "junk", "swap", "rename", "double"])
    if what == "delete":
        del owner[last]
    elif what == "rename" and isinstance(owner, dict):
        owner[chance.choice(["x", "fact", "id", f"{last}x"])] = owner.pop(last)
    elif what == "double" and isinstance(owner, list):
        owner.append(copy.deepcopy(owner[last]))
    elif what == "swap":
        other = tree
        for step in chance.choice(paths):
            other = other[step]
        owner[last] = copy.deepcopy(other)
    else:
        owner[last] = copy.deepcopy(chance.choice(JUNK))
    return tree


def load_all(folder):
    knowledge = load.knowledge(folder / "rules")
    rule_tests.read_folder(folder / "rules", knowledge)
    kinds = ("kits", "platforms", "parts")
    load.check_together(*(getattr(load, kind)(folder / "scenarios" / kind, knowledge) for kind in kinds))
    for path in folder.glob("scenarios/cases/*.yaml"):
        load.case(path, knowledge)


def fuzz(folder, examples, seed=1):
    """Mutilate ``examples`` times; the count of those refused. Whatever is no AdvisorError comes through."""
    chance, refused = random.Random(seed), 0
    shutil.copytree(SMALL, folder, dirs_exist_ok=True)
    trees = {name: strict_yaml.load(SMALL / name, nulls=("expect",)).plain() for name in FILES}
    for _ in range(examples):
        name = chance.choice(FILES)
        (folder / name).write_text(yaml.dump(mutilate(trees[name], chance), Dumper=Quoting, sort_keys=False))
        try:
            load_all(folder)
        except AdvisorError as error:
            refused += 1
            for one in getattr(error, "errors", (error,)):
                assert one.what and one.where.file.startswith(str(folder))
        shutil.copyfile(SMALL / name, folder / name)
    return refused


def test_nothing_but_clear_errors(tmp_path):
    assert fuzz(tmp_path, 40) > 20
