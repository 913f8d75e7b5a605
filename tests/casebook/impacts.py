"""Edited rules, stored cases under them, and the class each case must come to, decided one at a time."""

import dataclasses
import functools
import os
import shutil
from collections import Counter

import pytest

from advisor.casebook import impact, impact_result, impact_work, stored_form, untouched
from advisor.casebook.book import Casebook
from advisor.casebook.carrying_over import carried_over
from advisor.casebook.difference import difference
from advisor.casebook.kept_files import Files
from advisor.deciding.recording import record
from advisor.errors import AdvisorError
from advisor.knowledge import load

from ..callers import plain_decider_of
from . import shelf

STREET, DRAG, NOTHING, MISSING = "mild-street-tune", "drag-never-bedded", "nothing-fits", "answers-missing"
NAMES = (STREET, DRAG, NOTHING, MISSING)

HOLDING, DEMAND, WORDS = "case/holding.yaml", "case/demand.yaml", "vocabulary.yaml"
EDITS = {
    "nothing": (),
    "words of a rule": ((HOLDING, "The clutch must hold", "This clutch must hold"),),
    "a factor": ((DEMAND, " 1.15]", " 1.32]"),),
    "a factor nothing meets": ((DEMAND, " 1.15]", " 9.5]"),),
    "a rule nobody meets": (
        (
            "case/routes.yaml",
            "demand_spread: 0.25, torque_route: displacement_and_boost",
            "demand_spread: 0.27, torque_route: displacement_and_boost",
        ),
    ),
    "a fact that must be answered": (
        (
            WORDS,
            'if_unknown: {do: assume, value: no, others: [yes], basis: "factory pedals have none, judgement"}',
            "if_unknown: {do: stop}",
        ),
    ),
    "a range": (
        (WORDS, "range: [20 N m, 3000 N m]", "range: [20 N m, 365 N m]"),
        (WORDS, "band: [130 N m, 320 N m, 700 N m]", "band: [130 N m, 320 N m, 360 N m]"),
    ),
    "a facing": (("facings.yaml", "bedded_median: {value: 0.33", "bedded_median: {value: 0.32"),),
    "a set-up text": (("setup/bedding.yaml", "500 to 800 km in stop-and-go", "600 to 900 km in stop-and-go"),),
    "a caution less": (
        (
            "setup/bedding.yaml",
            "when: {kit_facing: sintered_iron}\n",
            "when: {bedding_in_possible: yes, kit_facing: sintered_iron}\n",
        ),
    ),
    "the order": (("order.yaml", "noise, take_up, pedal", "pedal, take_up, noise"),),
    "a rule less": ((HOLDING, "  - id: holds-unbedded", "  - id: holds-unbedded-and-fresh"),),
    "a factor, and a rule for another answer": (
        (DEMAND, " 1.15]", " 1.32]"),
        (
            "case/racing.yaml",
            "  - id: speed-limit\n",
            "  - id: nothing-outside-racing\n    title: For a test\n    when: {sanctioned_racing: no}\n"
            "    require: {max_speed_rpm: {at_least: 90000 rpm}, level: must, safety: yes}\n"
            "    because: For a test.\n    basis: {kind: judgement}\n\n  - id: speed-limit\n",
        ),
    ),
    "a calculation": (("calculations.yaml", "constant: {value: 230}", "constant: {value: 236}"),),
    "a calculation contradictions are found by": (
        ("calculations.yaml", "natural_pressure: {value: 9 bar}", "natural_pressure: {value: 5 bar}"),
    ),
    "a contradiction": (("consistency.yaml", "power_torque_ratio: {above: 1.18}", "power_torque_ratio: {above: 0.8}"),),
    "an estimate": (("estimates.yaml", "likely: 4.1", "likely: 4.3"),),
    "a step": (("order.yaml", "share: 0.10\n    start: 1000 N", "share: 0.25\n    start: 1000 N"),),
    "a row of a table": (
        ("order.yaml", "hub: [sprung], cushioned: [no], value: 1}", "hub: [sprung], cushioned: [no], value: 2}"),
    ),
    "a should": (
        (
            "case/gearbox.yaml",
            "require: {gearbox_peak_share: {at_most: 2.5}",
            "require: {gearbox_peak_share: {at_most: 1.4}",
        ),
    ),
    "a must": (
        (
            "case/heat_limits.yaml",
            "hottest_pressure_plate_c: {at_most: 350 degC}",
            "hottest_pressure_plate_c: {at_most: 220 degC}",
        ),
    ),
    "a new rule for some": (
        (
            "case/racing.yaml",
            "  - id: speed-limit\n",
            "  - id: fast-for-drag\n    title: For a test\n    when: {main_use: [drag_only, street_and_drag, drift]}\n"
            "    require: {max_speed_rpm: {at_least: 8600 rpm}, level: must, safety: yes}\n"
            "    because: For a test.\n    basis: {kind: judgement}\n\n  - id: speed-limit\n",
        ),
    ),
    "an owner": (
        (
            HOLDING,
            "    title: It must hold worn and warm\n",
            "    title: It must hold worn and warm\n    owner: the lead\n",
        ),
    ),
}

EDITS["a rule nobody meets, and an owner"] = (*EDITS["a rule nobody meets"], *EDITS["an owner"])
EDITS["a caution less, and a set-up text"] = (*EDITS["a caution less"], *EDITS["a set-up text"])


@functools.cache
def edited(what):
    """(folder, Knowledge, Files) of the rules with one edit."""
    return rules_with(what.replace(" ", "-"), EDITS[what])


def rules_with(name, edits):
    """(folder, Knowledge, Files) of the rules with some edits, each (file, text before, text after).

    All such rules are read under one name, at which they stand by turns: so files that were not edited are read once.
    """
    folder = shelf.own_folder() / "edited" / name
    shutil.copytree(shelf.folder() / "rules", folder)
    for file, before, after in edits:
        text = (folder / file).read_text(encoding="utf-8")
        assert before in text, (file, before)
        (folder / file).write_text(text.replace(before, after), encoding="utf-8")
    by_turns = shelf.own_folder() / "edited" / "by-turns"
    by_turns.unlink(missing_ok=True)
    by_turns.symlink_to(folder, target_is_directory=True)
    return folder, load.knowledge(by_turns), Files.of(shelf.sources(rules=folder))


def four(book):
    """Save the four cases."""
    for name in NAMES:
        shelf.save(book, name)


@functools.cache
def seen(what):
    """`look` at a casebook with the four cases and nothing else, once for each edit."""
    folder = shelf.own_folder() / "impact"
    before = os.environ.get("XDG_CACHE_HOME")
    os.environ["XDG_CACHE_HOME"] = str(folder / "cache")
    try:
        if not (folder / "casebook.sqlite").exists():
            folder.mkdir(exist_ok=True)
            shelf.filled(folder / "casebook.sqlite", four)
        with Casebook(folder / "casebook.sqlite", write=False) as book:
            return look(book, what)
    finally:
        os.environ.pop("XDG_CACHE_HOME")
        os.environ.update({} if before is None else {"XDG_CACHE_HOME": before})


def look(book, what, **options):
    """({case name: result}, summary) of one edit; one process unless told otherwise."""
    _, knowledge, files = edited(what)
    found = impact.run(book, knowledge, files, **{"processes": 1, **options})
    names = {case["number"]: case["answers"].body["case"]["id"] for case in book.overview()}
    summary = found.summary()
    with impact_work.Worker(book.store.place, knowledge) as worker:
        results = {names[one.number]: found.in_full(worker, one) for one in list(found.state.results())}
    found.state.close()
    return results, summary


def classes(results):
    """{case name: class}."""
    return {name: one.kind for name, one in results.items()}


@functools.cache
def plain(what):
    """A Decider on the plain chainer over edited rules, and the shipped shop read by them."""
    return plain_decider_of(dataclasses.replace(shelf.content(), knowledge=edited(what)[1]))


def both_ways(book, what):
    """[(rows, summary)] of one edit: cases left out that nothing touches, then all of them decided by both rules."""
    ways = []
    for may_be in (untouched.Untouched.may_be, lambda *_: False):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(untouched.Untouched, "may_be", may_be)
            results, summary = look(book, what, fresh=True)
        # How a row was worked out is what differs.
        rows = {name: result.plain() | {"worked_out": ""} for name, result in results.items()}
        ways.append((rows, summary | {"worked_out": {}}))
    return ways


def compare_rows(path, pool, what):
    """{class: rows} of one edit over a casebook of `large` with that pool: every row by both ways, and what it says by
    the new rules against deciding the case by itself.
    """
    with Casebook(path) as book:
        (quick, told), (whole, of_whole) = both_ways(book, what)
        numbers = {case["answers"].body["case"]["id"]: case["number"] for case in book.overview()}
    assert quick == whole and told == of_whole, what
    alone = {}
    for name, row in quick.items():
        which = numbers[name] % len(pool)
        if which not in alone:
            try:
                alone[which] = record(plain(what).decide(carried(pool[which][0], what)), [])
            except AdvisorError as error:
                alone[which] = error
        now = alone[which]
        if isinstance(now, AdvisorError):
            assert row["class"] == impact_result.LOST, (what, name, now)
            continue
        expected = expected_class(pool[which][1], now)
        if row["class"] == impact_result.REASONS and what in ORDERS:
            expected = impact_result.REASONS if expected == impact_result.UNCHANGED else expected
        assert row["class"] == expected, (what, name, row["class"], row["why"])
        told_now = [*stored_form.outcome(now), now.asks]
        if row["new"] is None:
            assert told_now[:4] == stored_form.outcome(pool[which][1]), (what, name)
        else:
            assert list(row["new"].values()) == told_now, (what, name)
        figures = now.picked.figures if now.picked else {}
        assert [row["price_new"], row["margin_new"]] == [figures.get("total_price"), figures.get("holding_margin")], (
            name
        )
    return Counter(row["class"] for row in quick.values())


def carried(case, what):
    """A case in the words of edited rules."""
    return carried_over(case, shelf.content().knowledge, edited(what)[1])


EXACT = ("words of a rule", "a factor", "a facing", "the order")
#: Edits by which kits that fit the car may stand in another order among those that fail, of which no record tells.
ORDERS = ("a step", "a row of a table")
#: No change, words and owners alone, and edits of two parts of which one stands by itself as well.
_NOT_VARIED = (
    *("nothing", "an owner", "a set-up text", "words of a rule"),
    *("a rule nobody meets, and an owner", "a caution less, and a set-up text"),
)
VARIED = tuple(name for name in EDITS if name not in _NOT_VARIED)
EVERY = (*EXACT, "a rule nobody meets", "a set-up text", "a rule less", "a caution less", "a factor nothing meets")


@functools.cache
def decided(name, what):
    """The record of a shipped case by edited rules, one case at a time."""
    return record(plain(what).decide(shelf.cases()[name]), [])


def compare_one_by_one(path, names, edits):
    """(results looked at, classes seen): AssertionError where a class is not that of deciding one case at a time."""
    count, met = 0, set()
    with Casebook(path) as book:
        for name in names:
            begun = book.begin(shelf.cases()[name], shelf.files())
            book.decided(begun, decided(name, "nothing"))
        for what in edits:
            results, _ = look(book, what)
            assert set(results) == set(names)
            for name, one in results.items():
                old, new = decided(name, "nothing"), decided(name, what)
                assert one.kind == expected_class(old, new), (what, name, difference(old, new).keys())
                met.add(one.kind)
                count += 1
    return count, met


def expected_class(old, new):
    """The class of a case from its two records alone."""
    before, after = stored_form.outcome(old), stored_form.outcome(new)
    if before[0] != after[0]:
        return {
            "need_more_answers": impact_result.ASKS,
            "no_kit_fits": impact_result.NO_KIT,
            "recommended": impact_result.PICK,
        }[after[0]]
    if before[1] != after[1]:
        return impact_result.PICK
    return (
        impact_result.REASONS
        if set(difference(old, new)) - {"wording"} or _figures(old) != _figures(new)
        else impact_result.UNCHANGED
    )


def _figures(record):
    return {kit.id: kit.figures for kit in record.kits.values() if kit.fits}
