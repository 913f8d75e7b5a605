"""The case of a decision record: what was answered, as it was put."""

from collections.abc import Mapping
from dataclasses import field
from typing import Any

from ..frozen import frozen
from ..knowledge.case_model import Answer, Case, ChangedAnswer


@frozen(eq=False)
class RecordedAnswer:
    """An answer and how it is known: measured, stated or looked_up; ``low`` and ``high`` of a vague one."""

    value: Any
    origin: str
    low: float | None = None
    high: float | None = None

    @property
    def vague(self) -> bool:
        """Was it said as a range, or as about?"""
        return self.low is not None


@frozen(eq=False)
class RecordedChange:
    """An answer that was another one, or none, when a result was told."""

    fact: str
    before: Any = None
    after: Any = None


@frozen(eq=False)
class RecordedCase:
    """The case as it was put; ``platform``: id of the car or None; ``unknown``: facts said not to be known.

    ``changed``: answers on use, racing, speed or crankshaft that were others when a result was told.
    ``insist``: contradictions in which the harder reading shall decide.
    """

    id: str
    platform: str | None = None
    invented: bool = False
    answers: Mapping[str, RecordedAnswer] = field(default_factory=dict)
    unknown: tuple[str, ...] = ()
    changed: tuple[RecordedChange, ...] = ()
    insist: tuple[str, ...] = ()

    def as_case(self) -> Case:
        """The Case, to be decided again."""
        answers = {
            name: Answer(
                tuple(answer.value) if isinstance(answer.value, list) else answer.value,
                answer.origin,
                answer.low,
                answer.high,
            )
            for name, answer in self.answers.items()
        }
        changed = tuple(ChangedAnswer(change.fact, change.before, change.after) for change in self.changed)
        return Case(
            self.id,
            self.platform or "",
            answers,
            tuple(sorted(self.unknown)),
            tuple(sorted(self.insist)),
            changed=changed,
        )
