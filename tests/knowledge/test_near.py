"""The nearest name: one way to say what somebody probably meant, in every room."""

import re

from advisor.knowledge.near import LONGEST, did_you_mean, nearest, nearest_are
from tests.conftest import ROOT

NAMES = ["engine_torque", "engine_power", "budget"]


def test_the_nearest_comes_first_whatever_the_case_of_its_letters():
    assert nearest("ENGINE_TORK", NAMES, 2) == ["engine_torque", "engine_power"]
    assert nearest("xyz", NAMES) == []
    assert nearest("budge" + "t" * 100_000, NAMES) == []
    assert nearest("b" * LONGEST, ["b" * LONGEST]) == ["b" * LONGEST]


def test_a_remedy_names_it_or_says_where_to_look():
    assert did_you_mean("budgt", NAMES) == "Did you mean budget?"
    assert did_you_mean("xyz", NAMES) == "Known are engine_torque, engine_power, budget."
    assert did_you_mean("xyz", [*NAMES, *map(str, range(20))]) == "Check the spelling."
    assert did_you_mean("xyz", NAMES, "Look there.") == "Look there."
    assert nearest_are("engine", NAMES, "Look there.") == "Nearest: engine_power, engine_torque."
    assert nearest_are("xyz", NAMES, "Look there.") == "Look there."


def test_nobody_looks_for_the_nearest_in_another_way():
    users = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "advisor").rglob("*.py")
        if re.search(r"\bget_close_matches\b", path.read_text(encoding="utf-8"))
    }
    assert users == {"advisor/knowledge/near.py"}
