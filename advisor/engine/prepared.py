"""What the engines work out of rules before any case, kept between starts beside the rules that were read.

That every rule is one they read alike was seen when it was worked out first. What durable-rules is told could not be
wrong unseen, since the plain chainer derives everything from the rules themselves.
"""

from collections.abc import Mapping

from ..frozen import frozen
from ..knowledge import cache
from .durable_program import DurableProgram, of_data

#: The shelf of the cache.
SHELF = "engines"


@frozen
class Prepared:
    """Of one stage: the keys of its `RuleBase.rank` in their order, and where durable-rules is there its program."""

    order: tuple[tuple[str, str], ...]
    program: DurableProgram | None = None


def fetch(key: str) -> dict[str, Prepared]:
    """Stage -> `Prepared`, as kept under a key; empty where nothing is."""
    held = cache.fetch(key, SHELF) if key else None
    return {
        stage: Prepared(tuple(tuple(rule) for rule in order), program and of_data(program))
        for stage, order, program in held or ()
    }


def keep(key: str, prepared: Mapping[str, Prepared]) -> None:
    """Keep it under a key."""
    held = [
        [stage, [list(rule) for rule in parts.order], parts.program and parts.program.as_data()]
        for stage, parts in prepared.items()
    ]
    cache.keep(key, held, SHELF)
