"""Changed picks put down to single rules: exact, and none of what is named idle."""

import dataclasses
import shutil
from itertools import chain, combinations

import pytest

from advisor.casebook import attributing, impact, impact_work
from advisor.casebook.book import Casebook
from advisor.casebook.kept_files import Files
from advisor.casebook.rule_changes import changes
from advisor.knowledge import load
from tests.callers import plain_decider_of
from tests.casebook import shelf
from tests.casebook.impacts import DRAG, STREET

EDITS = (
    ("case/demand.yaml", " 1.15]", " 1.25]"),
    ("facings.yaml", "bedded_median: {value: 0.33", "bedded_median: {value: 0.31"),
    ("order.yaml", "noise, take_up, pedal", "pedal, take_up, noise"),
)


@pytest.fixture(scope="module")
def new(tmp_path_factory):
    folder = tmp_path_factory.mktemp("several") / "rules"
    shutil.copytree(shelf.folder() / "rules", folder)
    for name, before, after in EDITS:
        text = (folder / name).read_text()
        assert before in text
        (folder / name).write_text(text.replace(before, after))
    return load.knowledge(folder), Files.of(shelf.sources(rules=folder))


def picked(knowledge, name):
    decision = plain_decider_of(dataclasses.replace(shelf.content(), knowledge=knowledge)).decide(shelf.cases()[name])
    return decision.kits.ids[decision.pick] if decision.pick is not None else None


def test_every_set_that_accounts_for_a_pick_and_no_other(tmp_path, new):
    """Held against every subset of the changes, each decided by the plain chainer one case at a time."""
    knowledge, files = new
    old = shelf.content().knowledge
    listed = changes(old, knowledge)
    assert {change.kind for change in listed} == {"rule", "facing", "concerns"} and len(listed) == 3
    with Casebook(tmp_path / "book.sqlite") as book:
        for name in (STREET, DRAG):
            shelf.save(book, name)
        found = impact.run(book, knowledge, files, processes=1, fresh=True)
        results = [result for result in found.state.results() if result.kind == "other pick"]
        found.state.close()
        with impact_work.Worker(book.store.place, knowledge) as worker:
            attributed = attributing.attribute(worker, results)
    assert set(attributed) == {result.number for result in results} and results
    wanted = picked(knowledge, STREET)
    names = [change.name for change in listed]
    every = chain.from_iterable(combinations(listed, size) for size in range(len(listed) + 1))
    give = [
        frozenset(change.name for change in chosen)
        for chosen in every
        if picked(attributing.between(old, knowledge, chosen), STREET) == wanted
    ]
    least = {each for each in give if not any(other < each for other in give)}
    assert frozenset() not in give and frozenset(names) in give
    assert {frozenset(each) for each in attributed[1].sets} == least and attributed[1].whole
    assert attributed[1].sentence.startswith("by ")


def test_what_was_not_tried_is_said(tmp_path, new):
    knowledge, files = new
    with Casebook(tmp_path / "book.sqlite") as book:
        shelf.save(book, STREET)
        found = impact.run(book, knowledge, files, processes=1, fresh=True)
        results = list(found.state.results())
        found.state.close()
        with impact_work.Worker(book.store.place, knowledge) as worker:
            attributed = attributing.attribute(worker, results, most=1)
    assert not attributed[1].whole


def test_a_house_rule_and_the_shipped_one_it_replaces_are_one_change():
    old = shelf.content().knowledge
    rules = tuple(
        dataclasses.replace(rule, id="pedal-light-house", hash="other") if rule.id == "pedal-light" else rule
        for rule in old.rules
    )
    new = dataclasses.replace(old, rules=rules, replaced={"pedal-light-house": "pedal-light"})
    (unit,) = attributing.units(changes(old, new), old, new)
    assert unit.name == "rule pedal-light-house" and len(unit.changes) == 2
