"""Puts one broken file in its place among the small rules and records, and loads what it belongs to."""

import shutil
from pathlib import Path

from advisor.knowledge import load, rule_tests

HERE = Path(__file__).resolve().parent
SMALL = HERE / "small"
BROKEN = HERE.parent / "broken"

#: Area (folder under tests/broken) -> where its file goes in a copy of the small folder.
PLACES = {
    "yaml": "rules/case/broken.yaml",
    "rules": "rules/case/broken.yaml",
    "consistency": "rules/consistency.yaml",
    "setup": "rules/setup/broken.yaml",
    "vocabulary": "rules/vocabulary.yaml",
    "questions": "rules/questions.yaml",
    "calculations": "rules/calculations.yaml",
    "facings": "rules/facings.yaml",
    "order": "rules/order.yaml",
    "workshop": "rules/workshop.yaml",
    "rule_tests": "rules/case/broken.tests.yaml",
    "kits": "scenarios/kits/broken.yaml",
    "platforms": "scenarios/platforms/broken.yaml",
    "parts": "scenarios/parts/broken.yaml",
    "cases": "scenarios/cases/broken.yaml",
}


def put(name, folder):
    """Copy the small folder to ``folder`` with the broken file ``area/mistake.yaml`` in its place; the place."""
    shutil.copytree(SMALL, folder, dirs_exist_ok=True)
    place = Path(folder) / PLACES[name.split("/")[0]]
    shutil.copyfile(BROKEN / name, place)
    return place


def load_everything(folder, area):
    """Load all that a broken file of an area can spoil."""
    folder = Path(folder)
    knowledge = load.knowledge(folder / "rules")
    if area == "rule_tests":
        rule_tests.read_folder(folder / "rules", knowledge)
    elif area == "cases":
        load.case(folder / PLACES[area], knowledge)
    elif area in ("kits", "platforms", "parts"):
        records = [
            getattr(load, kind)(folder / "scenarios" / kind, knowledge) for kind in ("kits", "platforms", "parts")
        ]
        load.check_together(*records)
