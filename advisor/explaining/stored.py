"""A case to explain: from a case file, or from the decision record of one decided before."""

import json

from ..errors import InputError, Position
from ..knowledge.model import Answer, Case
from .view import View

SCHEMA = "least-clutch decision 1"
HASHES = {"rules_sha256": "rules", "kits_sha256": "kits", "platforms_sha256": "platforms", "parts_sha256": "parts"}


def record_in(path):
    """The decision record in a file, or None where the file holds none (a case file, say)."""
    try:
        with open(path, encoding="utf-8") as file:
            text = file.read()
    except (OSError, UnicodeDecodeError):
        return None
    if not text.lstrip().startswith("{"):
        return None
    try:
        made = json.loads(text)
    except json.JSONDecodeError:
        return None
    return made if isinstance(made, dict) and made.get("schema") == SCHEMA else None


def view_of(made, knowledge, shop, path, system="si"):
    """A View of a stored record; InputError where the rules or records at hand are not those it was made with."""
    here = {"rules_sha256": knowledge.sha256, **shop.hashes}
    other = [HASHES[name] for name in HASHES if name in here and made["knowledge"].get(name) != here[name]]
    if other:
        raise InputError(
            f"this decision was made with other {' and other '.join(other)}.",
            where=Position(str(path)),
            remedy=f"Name the right ones ({', '.join('--' + name for name in other)}), or decide the case again.",
        )
    return View(made, shop.wording(knowledge, system))


def case_of(made):
    """The Case a record answers."""
    held = made["case"]
    answers = {
        name: Answer(tuple(one["value"]) if isinstance(one["value"], list) else one["value"], one["from"])
        for name, one in held["answers"].items()
    }
    return Case(held["id"], held["platform"] or "", answers, tuple(held["unknown"]))
