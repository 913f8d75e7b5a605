"""Where no kit passes: which musts cannot be met together, and the smallest sets to give up.

Every kit that fits the car is described by the set of musts it does not pass. A set of musts conflicts when
every kit fails at least one of them (it hits every kit's set); a correction is a kit's own set when no other
kit's set is smaller. Safety is never given up, and a dimension is not an opinion.
"""

from collections.abc import Collection, Iterable, Mapping, Set

#: A shop has a hundred kits for a car at most; past this many partial sets the smallest ones are kept.
MOST_SETS = 2000


def minimal(sets: Iterable[Set[str]]) -> list[frozenset[str]]:
    """The sets that contain no other, in a stable order."""
    kept: list[frozenset[str]] = []
    for candidate in sorted(
        {frozenset(candidate) for candidate in sets}, key=lambda candidate: (len(candidate), sorted(candidate))
    ):
        if not any(other <= candidate for other in kept):
            kept.append(candidate)
    return kept


def minimal_conflicts(failing: Iterable[Set[str]]) -> list[frozenset[str]]:
    """Minimal sets of musts of which every kit fails one (minimal hitting sets of the kits' failing sets)."""
    hitting: list[frozenset[str]] = [frozenset()]
    for failed in minimal(failing):
        grown: list[frozenset[str]] = []
        for hitting_set in hitting:
            grown.extend([hitting_set] if hitting_set & failed else [hitting_set | {name} for name in sorted(failed)])
        hitting = minimal(grown)[:MOST_SETS]
    return hitting


def minimal_corrections(
    failing_by_kit: Mapping[str, Set[str]], never: Collection[str]
) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Pairs (set of musts to give up, kits that would pass), no set containing another; none touching ``never``."""
    allowed = {kit: frozenset(failed) for kit, failed in failing_by_kit.items() if not set(failed) & set(never)}
    return [
        (tuple(sorted(given_up)), tuple(sorted(kit for kit, failed in allowed.items() if failed <= given_up)))
        for given_up in minimal(allowed.values())
    ]
