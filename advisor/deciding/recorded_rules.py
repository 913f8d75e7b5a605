"""What the rules said of a case, as the decision record holds it: facts, firings, and the requirements posted."""

from collections.abc import Mapping
from dataclasses import field
from typing import Any

from ..frozen import frozen
from .recorded_kits import NO_BASIS, RecordedBasis


@frozen(eq=False)
class RecordedFact:
    """A fact of stage case; ``producer``: numbers of the firings that gave it, none for a given fact."""

    name: str
    value: Any
    unit: str = ""
    origin: str = ""
    producer: tuple[int, ...] = ()


@frozen(eq=False)
class RecordedFiring:
    """A rule (or calculation, by ``kind``) that fired; ``rule``: its id; ``facts``: what it read; ``reason``: why
    it concluded nothing; ``branches``: places of the alternatives that held.
    """

    id: int
    kind: str
    rule: str
    stage: str = "case"
    rule_hash: str = ""
    branches: tuple[int, ...] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)
    concluded: Mapping[str, Any] = field(default_factory=dict)
    because: str = ""
    basis: RecordedBasis = NO_BASIS
    reason: str = ""


@frozen(eq=False)
class PostedRequirement:
    """A requirement as a rule posted it. ``limit``: a value, a list, or {"kit": field}; ``limit_facts``: the facts it
    comes from; ``source``: figure or kit (a field); ``of_kits``: field -> values of the kits it is asked of.
    """

    id: str
    measure: str
    compare: str
    limit: Any
    rule: str
    level: str = "must"
    source: str = "figure"
    limit_facts: tuple[str, ...] = ()
    unit: str = ""
    concern: str | None = None
    safety: bool = False
    of_kits: Mapping[str, list] = field(default_factory=dict)
    topic: str = ""
    because: str = ""

    @property
    def kit_field(self) -> str | None:
        """The field of the kit its limit is, or None."""
        return self.limit["kit"] if isinstance(self.limit, dict) else None
