"""Where a shop's own rules say otherwise than the shipped ones whose place they take.

A test beside a replaced rule names it and what it posts; it is read with the shipped rules, and asks the house's rule
by what it posts in their place. What then comes out otherwise may be meant so; whoever adopts it signs for it.
"""

import dataclasses
import functools
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from ..engine.plain import compile_plain
from ..engine.rule_test_runs import differences
from ..knowledge.model import Knowledge, Rule
from ..knowledge.rule_tests import RuleTest, renamed
from ..knowledge.sentences import capital, count, joined

#: Tests that are told of one rule before the rest is only counted.
SHOWN = 3


@dataclass(frozen=True, slots=True)
class Departure:
    """The house rule ``by`` in the place of the shipped ``of``, and what it says otherwise.

    ``less``: what it asks less, in words. ``tests``: of those beside the shipped rule which do not hold of it, pairs
    (name, what comes out otherwise). ``silent``: for whom it says nothing where that spoke, in words, or "".
    """

    by: str
    of: str
    less: tuple[str, ...]
    tests: tuple[tuple[str, str], ...]
    silent: str = ""

    @property
    def sentence(self) -> str:
        """As it is signed for: it stays the same while rules and tests do."""
        parts = [f"{self.by} stands in the place of the shipped {self.of}"]
        if self.less:
            parts.append(f"it asks less: {'; '.join(self.less)}")
        if self.tests:
            hold = "does not hold" if len(self.tests) == 1 else "do not hold"
            shown = "; ".join(f"{name!r}: {wrong}" for name, wrong in self.tests[:SHOWN])
            more = f"; and {len(self.tests) - SHOWN} more" if len(self.tests) > SHOWN else ""
            parts.append(f"{count(len(self.tests), 'test')} standing beside that one {hold} of it: {shown}{more}")
        if self.silent:
            parts.append(self.silent)
        return f"{'. '.join([parts[0], *map(capital, parts[1:])])}."


@dataclass(frozen=True, slots=True)
class ShippedTests:
    """What the tests beside the shipped rules came to: ``run`` of them, ``moved`` of these on a rule of the house.

    ``wrong``: replaced rule -> pairs (name, what comes out otherwise) of those beside it; ``others``: (test, what comes
    out otherwise) of the rest.
    """

    run: int
    moved: int
    wrong: Mapping[str, list[tuple[str, str]]]
    others: tuple[tuple[RuleTest, str], ...]


def shipped_tests(tests: Iterable[RuleTest], shipped: Knowledge, house: Knowledge) -> ShippedTests:
    """The tests read with the ``shipped`` rules, run with those of a ``house`` laid over them."""
    pairs = {of: by for by, of in house.replaced.items()}
    theirs, ours = ({rule.id: rule for rule in side.rules} for side in (shipped, house))
    # A list of what a topic posts is asked of the rule that took the place of one in it, whatever file that stands in.
    topics = {by: theirs[of].topic for of, by in pairs.items() if of in theirs and by in ours}
    rules = tuple(
        dataclasses.replace(rule, topic=topics[rule.id]) if rule.id in topics else rule for rule in house.rules
    )
    moved_house = dataclasses.replace(house, rules=rules)
    names = {of: _names(theirs[of], ours[by]) for of, by in pairs.items() if of in theirs and by in ours}
    runs: dict[str, Callable] = {}
    wrong: dict[str, list[tuple[str, str]]] = {}
    others, number, moved = [], 0, 0
    for test in tests:
        number += 1
        of = _replaced_in(test, names)
        asked = test
        for name in of:
            asked = renamed(asked, names[name])
        moved += bool(of)
        if test.stage not in runs:
            runs[test.stage] = compile_plain(moved_house, test.stage).derive
        otherwise = "; ".join(differences(asked, moved_house, runs[test.stage]))
        if otherwise and of:
            wrong.setdefault(of[0], []).append((test.name, otherwise))
        elif otherwise:
            others.append((test, otherwise))
    return ShippedTests(number, moved, wrong, tuple(others))


def _replaced_in(test: RuleTest, names: Mapping[str, Mapping[str, str]]) -> list[str]:
    """The replaced rules that a test names, or by what they post."""
    named = {*test.fired, *test.not_fired, *(test.requirements or ()), *(test.items or ()), *(test.cautions or ())}
    named |= {name for name, _ in (*test.passes, *test.fails)}
    return [of for of, mapped in names.items() if named & mapped.keys()]


def _names(shipped: Rule, house: Rule) -> dict[str, str]:
    """Id of the shipped rule, and of what it posts -> that in its place; an id of its own where nothing is."""
    names = {shipped.id: house.id}
    for pairs in (
        _requirements_in_place(shipped, house),
        _items_in_place(shipped, house),
        _in_place(shipped.cautions, house.cautions, lambda caution: caution.safety),
    ):
        for posted, there in pairs:
            names.setdefault(posted.id, posted.id if there is None else there.id)
    return names


def _requirements_in_place(shipped, house):
    return _in_place(shipped.require, house.require, lambda posted: (posted.source, posted.measure))


def _items_in_place(shipped, house):
    return _in_place(shipped.items, house.items, lambda item: (item.kind, item.part))


def _in_place(theirs, ours, alike):
    """Pairs (what a shipped rule posts, what stands in its place, or None): of the same id, else alike and still free.

    Of several alike the likest comes first: a rule may post a must and a wish of one measure.
    """
    same = {posted.id: posted for posted in ours}
    free = [posted for posted in ours if posted.id not in {each.id for each in theirs}]
    pairs = []
    for posted in theirs:
        there = same.get(posted.id)
        if there is None:
            like = [each for each in free if alike(each) == alike(posted)]
            there = min(like, key=functools.partial(_unlike, posted), default=None)
            free = [each for each in free if each is not there]
        pairs.append((posted, there))
    return pairs


def _unlike(posted, other):
    """In how much two that post the same kind of thing differ."""
    return sum(getattr(posted, part, None) != getattr(other, part, None) for part in ("compare", "level", "limit"))


def departures(
    shipped: Knowledge, house: Knowledge, tests: ShippedTests, silent: Callable[[Rule, Rule], str]
) -> list[Departure]:
    """Every `Departure` of the rules of a ``house`` from the shipped ones whose place they take.

    ``silent(shipped, house)``: for whom the one rule speaks and the other does not, in words; "" where for nobody.
    """
    ours, theirs = ({rule.id: rule for rule in side.rules} for side in (house, shipped))
    listed = []
    for by, of in house.replaced.items():
        if by not in ours or of not in theirs:
            continue
        less = asks_less(theirs[of], ours[by], house)
        apart = silent(theirs[of], ours[by])
        if less or apart or of in tests.wrong:
            listed.append(Departure(by, of, tuple(less), tuple(tests.wrong.get(of, ())), apart))
    return listed


def asks_less(before: Rule, after: Rule, knowledge: Knowledge) -> list[str]:
    """What a rule no longer asks of kits, work and cautions that another did, in words; [] where nothing."""
    from ..reporting.screens.rulebook import RuleWords

    words = RuleWords(knowledge, "si")
    said = [
        text for ours, there in _requirements_in_place(before, after) for text in _requires_less(ours, there, words)
    ]
    for item, there in _items_in_place(before, after):
        if item.level == "required" and (there is None or there.level != "required"):
            said.append(f"{(item.part or item.kind).replace('_', ' ')} is no longer required")
    if sum(caution.safety for caution in after.cautions) < sum(caution.safety for caution in before.cautions):
        said.append("a caution for safety is gone")
    return said


def _requires_less(ours, there, words):
    label = words.label(ours.measure)
    if there is None or (there.source, there.measure, there.compare) != (ours.source, ours.measure, ours.compare):
        yield f"{label} is no longer asked to be {words.test(ours.measure, ours.compare, ours.limit)}"
        return
    if ours.level == "must" and there.level != "must":
        yield f"{label} was a must and is a wish"
    if ours.safety and not there.safety:
        yield f"{label} is no longer asked for safety"
    if there.of_kits and there.of_kits != ours.of_kits:
        kits = joined([f"{words.label(name)} {words.value(name, values)}" for name, values in there.of_kits])
        yield f"{label} is asked only of kits with {kits}"
    before, limit = ours.limit, there.limit
    if isinstance(before, float) and isinstance(limit, float):
        lower = ours.compare in ("at_least", "above") and limit < before
        if lower or (ours.compare in ("at_most", "below") and limit > before):
            texts = [words.test(ours.measure, ours.compare, each) for each in (before, limit)]
            yield f"{label}: {texts[0]} becomes {texts[1]}"
    elif before != limit:
        texts = [words.test(ours.measure, ours.compare, each) for each in (before, limit)]
        yield f"{label} is held against something else: {texts[0]} becomes {texts[1]}"
