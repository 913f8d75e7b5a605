"""A case with a type: what one caller answered, and how well it is known.

Values are canonical, as in `model`.
"""

from collections.abc import Mapping
from typing import Any

from ..frozen import frozen
from .model import Value

#: Who says an answer.
ORIGINS = ("measured", "stated", "looked_up")


@frozen
class Answer:
    """One answer of a case: canonical value and who said it (measured, stated, looked_up).

    ``low`` and ``high``: the ends of a vague answer ("400 to 450 Nm", "about 400 hp"), ``value`` lying between.
    """

    value: Value
    origin: str = "stated"
    low: float | None = None
    high: float | None = None


@frozen
class ChangedAnswer:
    """An answer that was another one, ``before`` (None: none), when a result was told."""

    fact: str
    before: Value | None
    after: Value | None


@frozen
class Case:
    """One caller's answers; ``unknown``: answered "don't know"; ``insist``: contradictions where the harder reading
    decides.

    ``changed``: answers on use, racing, speed or crankshaft that were others when a result was told.
    """

    id: str
    platform: str
    answers: Mapping[str, Answer]
    unknown: tuple[str, ...] = ()
    insist: tuple[str, ...] = ()
    expect: Mapping[str, Any] | None = None
    note: str = ""
    changed: tuple[ChangedAnswer, ...] = ()
