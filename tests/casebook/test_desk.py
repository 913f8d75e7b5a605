"""The lead's desk: what waits for a signature, safety first, until a lead signs it off."""

import json

import pytest

from advisor.casebook import desk, sales
from advisor.casebook.book import Casebook
from advisor.cli import main
from tests import shipped
from tests.conftest import ROOT

from . import shelf
from .test_commands import LEAD


@pytest.fixture(scope="module")
def handed_over():
    """Name of a shipped case -> whether what hands it to the lead is a safety caution."""
    found = {}
    for name in reversed(shelf.names()):
        if len(found) == 2:
            break
        record = shipped.record(name)
        told = [caution.safety for caution in record.cautions if desk.HANDED_OVER in caution.text.casefold()]
        if told:
            found[name] = any(told)
    return found


def test_ask_the_shop_lead_puts_the_case_there(tmp_path, handed_over, capsys):
    path = tmp_path / "casebook.sqlite"
    assert handed_over, "no shipped case asks for the lead"
    names = [*sorted(handed_over)[:4], "mild-street-tune", "nothing-fits"]
    with Casebook(path) as book:
        for name in names:
            shelf.save(book, name)
        waiting = {on_desk.case["number"]: on_desk for on_desk in desk.desk(book)}
        by_name = {name: waiting.get(number) for number, name in enumerate(names, 1)}
        assert by_name["mild-street-tune"] is None and by_name["nothing-fits"] is not None
        for name in names[:-2]:
            assert by_name[name].safety >= handed_over[name]
            assert any(desk.HANDED_OVER in reason.text.casefold() for reason in by_name[name].reasons)
        order = [on_desk.safety for on_desk in desk.desk(book)]
        assert order == sorted(order, reverse=True)
        # Another kit sold, an objection: both are for the lead; a sign-off ends it.
        other = next(kit.id for kit in shelf.record("mild-street-tune").kits.values() if not kit.fits)
        number = names.index("mild-street-tune") + 1
        sales.sell(book, number, other, reason="had it on the shelf")
        (reason,) = next(one for one in desk.desk(book) if one.case["number"] == number).reasons
        assert reason.safety and "does not meet" in reason.text
        book.sign(number, by=LEAD, objection=True, text="take it back")
        assert any(one.case["number"] == number for one in desk.desk(book))
        book.sign(number, by=LEAD)
        assert not any(one.case["number"] == number for one in desk.desk(book))
    assert main(["case", "list", "--to-sign", "--casebook", str(path)]) == 0
    told = capsys.readouterr().out
    assert "nothing-fits" in told and "mild-street-tune" not in told and "no kit on file fits" in told
    assert main(["case", "list", "--to-sign", "--json", "--casebook", str(path)]) == 0
    rows = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert len(rows) == len(names) - 1 and all(row["to_sign"] for row in rows)


def test_every_rule_that_asks_for_the_lead_says_so_in_the_words_the_desk_reads():
    """Whatever a rule may call the lead: no text names a lead without the words that put the case on the desk."""
    import re

    for path in (ROOT / "rules").rglob("*.yaml"):
        text = " ".join(path.read_text(encoding="utf-8").split()).casefold()
        for found in re.finditer(r"\b(?:shop's|the|a) lead\b(?! time)", text):
            assert found[0].endswith("shop lead") or "shop lead" in text[found.start() - 12 : found.end()], (
                path,
                found,
            )


def test_a_complaint_and_a_slip_come_to_the_lead_until_he_signs(tmp_path):
    path = str(tmp_path / "casebook.sqlite")
    with Casebook(path) as book:
        shelf.save(book, "mild-street-tune")
        sales.sell(book, 1, shelf.record("mild-street-tune").pick_id, on="2026-02-01")
        sales.fit(book, 1, on="2026-02-02", km="84000", fitter="professional")
        book.sign(1, by=LEAD)
        assert desk.desk(book) == []
    said = "it slips in fourth when I floor it, since the remap"
    assert main(["case", "complaint", "--casebook", path, "--page", "1", said]) == 3
    with Casebook(path) as book:
        (waiting,) = desk.desk(book)
        assert not waiting.safety and "complaint (slips)" in waiting.reasons[0].text
    assert main(["case", "complaint", "--casebook", path, "--page", "--new", "1", "the pedal goes down by itself"]) == 3
    assert (
        main(["case", "outcome", "--casebook", path, "1", "slipped", "--cause", "leak_by", "--on", "2026-11-20"]) == 0
    )
    with Casebook(path) as book:
        (waiting,) = desk.desk(book)
        assert waiting.safety and [reason.safety for reason in waiting.reasons] == [True, False]
        assert "it slipped" in waiting.reasons[1].text
        book.sign(1, by=LEAD, text="master cylinder, no charge")
        assert desk.desk(book) == []
