"""What a proof came to, in the words of a shop lead."""

from collections.abc import Iterable
from dataclasses import dataclass

from ..errors import KnowledgeError, Position
from ..knowledge.model import Condition, Fact, FactRef, Knowledge
from ..knowledge.sentences import joined
from ..knowledge.wording import COMPARES, Wording, value_text
from .callers import Caller, in_words

#: How sure it is: no caller can; a caller, run through both engines, does; neither could be shown.
PROVED, SHOWN, OPEN = "proved", "shown", "open"
#: Kinds in the order a lead reads them: what stops a decision or leaves it without a limit comes first.
KINDS = (
    "measure without a must",
    "fact nobody concludes",
    "overlap",
    "musts that quarrel",
    "wrong order",
    "dead rule",
    "dead branch",
    "empty shelf",
    "kit that never passes",
    "subsumed",
    "uncovered choice",
    "no sane range",
    "idle condition",
)
#: Kinds that are wrong, not only worth a look.
WRONG = KINDS[:7]


@dataclass(frozen=True, slots=True)
class Finding:
    """``kind``: one of KINDS; ``sure``: PROVED, SHOWN or OPEN; ``names``: of the rules, facts, kits it is about."""

    kind: str
    sure: str
    names: tuple[str, ...]
    what: str
    remedy: str = ""
    caller: Caller | None = None
    position: Position | None = None

    @property
    def is_wrong(self) -> bool:
        """Is it a fault, and not a remark?"""
        return self.kind in WRONG and self.sure != OPEN

    def told(self, knowledge: Knowledge) -> str:
        """The finding, and the caller that shows it."""
        shown = f" Such a caller: {in_words(self.caller, knowledge)}." if self.caller is not None else ""
        return f"{self.what}{shown}"

    def as_error(self, knowledge: Knowledge) -> KnowledgeError:
        """The finding as a fault of the rules."""
        return KnowledgeError(self.told(knowledge), where=self.position, remedy=self.remedy)


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Findings as a lead reads them."""
    return sorted(findings, key=lambda finding: (KINDS.index(finding.kind), finding.names))


_TESTS = {"known": "known", "absent": "not known", "answered": "answered", "not_answered": "not answered"}


def condition_in_words(condition: Condition, knowledge: Knowledge) -> str:
    """One condition: "shift speed: above 7000 rpm"."""
    wording = Wording(knowledge)
    name, limit = condition.fact, condition.limit

    def value(each: object) -> str:
        return wording.label(each.name) if isinstance(each, FactRef) else wording.value(name, each)

    if condition.test in _TESTS:
        text = _TESTS[condition.test]
    elif condition.test == "between":
        text = COMPARES["between"].format(*map(value, limit))
    elif condition.test in ("in", "not_in"):
        listed = joined([value(each) for each in limit], last="or")
        text = listed if condition.test == "in" else f"not {listed}"
    else:
        text = COMPARES[condition.test].format(value(limit))
    return f"{wording.label(name)}: {text}"


def conditions_in_words(conditions: Iterable[Condition], knowledge: Knowledge) -> str:
    """Several conditions, parted by semicolons."""
    return "; ".join(condition_in_words(condition, knowledge) for condition in conditions) or "none at all"


def choice_in_words(fact: Fact, value: object) -> str:
    """A choice of a fact: "use: daily"."""
    return f"{fact.label}: {value_text(fact, value)}"
