"""What the rules of stage complaint work with: causes, symptoms, arguments."""

from collections.abc import Mapping
from dataclasses import field

from ..frozen import frozen
from .model import Basis, Calculation, Fact, Figure, KitField, Knowledge, Rule

#: What a cause can be, in the order a lead reads a year's complaints.
CLASSES = ("selection", "part", "fitting", "bedding-in", "driver", "another", "normal")
#: How a symptom is learned, the cheapest first.
HOW = ("record", "told", "car", "drive", "bench")
#: Those that were measured or seen by a fitter, not told.
MEASURED = ("car", "drive", "bench")
#: The symptom that says what is complained of.
COMPLAINED = "complaint"


@frozen
class Argument:
    """``points`` for or against (``sign``) a ``cause``; of one ``group`` only the strongest counts for a cause.

    Points are ten times the decimal logarithm of odds.
    """

    cause: str
    sign: str  # for, against
    points: float
    group: str

    @property
    def weight(self) -> float:
        """The points with their sign."""
        return self.points if self.sign == "for" else -self.points


@frozen
class ComplaintRule(Rule):
    """A rule of stage complaint: what it sees, and what that argues."""

    argue: tuple[Argument, ...] = ()


@frozen
class Cause:
    """Something that can be behind a complaint.

    ``kind``: one of CLASSES; ``means``: what goes on; ``check``: what confirms it, taking ``minutes``; ``inside``: only
    with the gearbox out; ``drive``: whether the car may be driven; ``likely``: complaint -> points before any sign.
    """

    id: str
    kind: str
    label: str
    means: str
    check: str
    minutes: float
    inside: bool
    drive: str
    remedy: str
    likely: Mapping[str, float]
    basis: Basis


@frozen
class Symptom:
    """One thing that can be told, seen or measured, taking ``minutes``.

    ``of``: complaints it is asked about; ``how``: one of HOW; ``words``: choice -> plain words; ``first``: asked before
    all others, for safety; ``said``: choice, or yes and no -> what people say for it.
    """

    fact: Fact
    ask: str
    of: tuple[str, ...]
    minutes: float
    how: str
    words: Mapping[str, str]
    tools: str = ""
    limit: str = ""
    first: bool = False
    said: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The name of its fact."""
        return self.fact.name

    @property
    def measured(self) -> bool:
        """Was it measured or seen by a fitter?"""
        return self.how in MEASURED


@frozen
class ComplaintKnowledge:
    """Everything for complaints, checked, in the form the engines take knowledge in; ``shop``: the case's knowledge.

    ``facts`` are those of the case and the kit, the symptoms and what is prepared from both.
    """

    facts: Mapping[str, Fact]
    figures: Mapping[str, Figure]
    kit_fields: Mapping[str, KitField]
    rules: tuple[ComplaintRule, ...]
    causes: Mapping[str, Cause]
    symptoms: Mapping[str, Symptom]
    gearbox_out_minutes: float
    sha256: str
    shop: Knowledge
    calculations: tuple[Calculation, ...] = ()

    def suspects(self, complaint: str) -> tuple[Cause, ...]:
        """The causes that can make a complaint by themselves, in file order."""
        return tuple(cause for cause in self.causes.values() if complaint in cause.likely)
