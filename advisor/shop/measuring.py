"""How a fitter finds a number that is not on file."""

from functools import cache

from ..errors import KnowledgeError
from ..knowledge import shapes, strict_yaml
from ..knowledge.model import Knowledge
from ..knowledge.sources import default_folder


@cache
def _told():
    path = default_folder("rules") / "measuring.yaml"
    root = strict_yaml.load(path, error=KnowledgeError)
    shapes.check(root, "measuring", KnowledgeError)
    return root.plain()["measuring"]


#: Minutes where nobody says how long it takes: by the effort a question names, else as for asking a maker. Judgement.
BY_EFFORT = {"memory": 2, "look": 5, "measure": 20}
USUAL = 15


def minutes(name: str, knowledge: Knowledge) -> int:
    """Minutes it takes to find a field of a kit, or a fact of a car."""
    entry = _told().get(name)
    if entry is not None:
        return int(entry["minutes"])
    question = knowledge.questions.get(name)
    return BY_EFFORT[question.effort] if question else USUAL


def how(name: str, knowledge: Knowledge) -> str:
    """Where and how a field of a kit, or a fact of a car, is measured, in sentences."""
    for estimate in knowledge.estimates:
        if estimate.field == name:
            return estimate.measure
    entry = _told().get(name)
    if entry is not None and "how" in entry:
        if entry["how"] == "maker":
            return "Ask its maker, in writing: nobody else can tell, and it is never estimated."
        return str(entry["how"])
    question = knowledge.questions.get(name)
    return question.help or question.plain if question else "Ask its maker, or read the maker's data sheet."
