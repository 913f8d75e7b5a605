"""From a casebook through a lead's signature into decisions, and back: old cases replay as they were."""

import contextlib
import dataclasses
import datetime
import io
import json
import math
import shutil

import pytest

from advisor import cli
from advisor.casebook import afterwards, book as books, sales
from advisor.deciding.advise import advise
from advisor.deciding.decide import decider_of
from advisor.errors import InputError
from advisor.explaining.made_from import made_from_lines
from advisor.knowledge import cases, experience
from advisor.knowledge.sources import Sources, default_folder, read
from advisor.learning import heard
from advisor.learning.experience_table import experience_table
from advisor.mechanics.uncertainty import holding_probability
from tests.casebook import shelf  # noqa: F401  where stored bytes are looked over once
from tests.conftest import ROOT

CASE = ROOT / "scenarios" / "cases" / "mild-street-tune.yaml"
KIT = "pellworth-240-s1"
UNTIL = "2026-11-28"


@pytest.fixture(scope="module")
def kits(tmp_path_factory):
    """A folder of kits of its own."""
    place = tmp_path_factory.mktemp("shop") / "kits"
    shutil.copytree(default_folder("kits"), place)
    return place


@pytest.fixture(scope="module")
def place(tmp_path_factory, kits):
    """A casebook with 30 sales of one kit: 12 slipped where it should have held, 16 held, two say nothing of it."""
    file = tmp_path_factory.mktemp("learning") / "book.sqlite"
    assert cli.main(["case", "save", str(CASE), "--casebook", str(file), "--kits", str(kits)]) == 0
    with books.Casebook(file) as book:
        base, decision = book.standing(1)
        record, files = book.record(decision), book.files_of(base)
        content = read(Sources.chosen(kits=kits))
        case = cases.case(CASE, content.knowledge)
        for _ in range(29):
            begun = book.begin(case, files)
            book.decided(begun, record, "EUR")
        for number in range(1, 31):
            sales.sell(book, number, KIT, on="2026-02-01")
            sales.fit(book, number, on="2026-02-02", km="50000", fitter="professional")
            more = {"torque": "370 Nm", "torque_at": "flywheel", "km": "60000", "source": f"bed {number % 3}"}
            if number <= 12:
                afterwards.write_outcome(book, number, "slipped", came="asked", cause="capacity_short", **more)
            elif number <= 28:
                afterwards.write_outcome(book, number, "held", came="asked", fitting="measured", **more)
            elif number == 29:
                afterwards.write_outcome(book, number, "slipped", came="himself", cause="oil_leak")
            else:
                afterwards.write_outcome(book, number, "held", fitting="known_bad")
    return file


@pytest.fixture(scope="module")
def table(place, kits):
    """What is learned: gives a copy of the data."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert cli.main(["learn", "--casebook", str(place), "--until", UNTIL, "--kits", str(kits), "--json"]) == 0
    return lambda: json.loads(out.getvalue())


def learned(capsys, place, kits, *more):
    capsys.readouterr()
    code = cli.main(["learn", "--casebook", str(place), "--until", UNTIL, "--kits", str(kits), *more])
    out = capsys.readouterr()
    return code, out.out, out.err


@pytest.fixture(scope="module")
def before(kits):
    """The decision without any table."""
    return decision(kits)


def test_what_says_nothing_of_the_kit_is_kept_out_and_shown(table):
    data = table()
    row = data["kits"][KIT]
    assert (row["held"], row["slipped"], row["sold"], row["answered"]) == (16, 12, 30, 30)
    assert row["kept_out"] == {"fitting known bad": 1, "slipped from oil leak": 1}
    assert row["noticed"]
    assert row["factor"][2] < 1
    assert row["used"]["factor"] == pytest.approx(row["factor"][1], abs=0.02)
    # At 370 N m on a computed 508 the load is ln(0.73): twelve slips of 28 are many.
    assert [change["kit"] for change in data["would_change"]] == [KIT] * 30


def test_the_page_says_all_of_it(capsys, place, kits):
    _, out, _ = learned(capsys, place, kits)
    text = " ".join(out.split())
    assert "2026: 30 of 30 (100%)" in text
    assert "16 of 28 held, 12 slipped" in text
    assert "OVERRATED" in text
    assert "1 kept out (slipped from oil leak)" in text
    assert "it would no longer count as holding" in text
    assert "Digest " in text


def test_signed_it_is_taken_by_decisions_and_old_ones_replay(capsys, place, kits, before, tmp_path, table):
    own = tmp_path / "kits"
    shutil.copytree(kits, own)
    data = table()
    out = str(own / experience.FILE)
    sign = ["--sign", "shop lead", "--out", out]
    for digest in (data["digest"][:4], "0" * 64):
        code, _, err = learned(capsys, place, kits, *sign, "--digest", digest)
        assert code == 2
        assert "digest" in err
    assert learned(capsys, place, kits, *sign, "--digest", data["digest"][:8])[0] == 0
    signed = experience.experience(own)
    assert (signed.signed_by, signed.digest) == ("shop lead", data["digest"])
    assert signed.signed_on == datetime.date.today().isoformat()

    after = decision(own)
    assert "experience_sha256" not in before.knowledge
    assert after.knowledge["experience_sha256"] == data["digest"]
    assert after.knowledge["kits_sha256"] == before.knowledge["kits_sha256"]
    factor = data["kits"][KIT]["used"]["factor"]
    then, now = (one.kits[KIT].figures for one in (before, after))
    assert now["capacity_working_nm"] == pytest.approx(then["capacity_working_nm"] * factor, rel=1e-6)
    assert now["holding_probability"] < then["holding_probability"]
    assert before.pick_id == KIT
    assert after.pick_id != KIT, "426 N m are asked and 457 times the factor is less"
    # Where more capacity is the danger nothing is lessened, and nothing of safety is loosened.
    for name in ("clutch_cap_nm", "static_capacity_nm", "bearing_load_n", "gearbox_peak_share", "flywheel_burst_rpm"):
        assert now[name] == then[name]
    others = [kit for kit in before.kits if kit != KIT]
    for kit in others:
        assert after.kits[kit].figures == before.kits[kit].figures

    with_it = tmp_path / "later.sqlite"
    assert cli.main(["case", "save", str(CASE), "--casebook", str(with_it), "--kits", str(own)]) == 0
    (own / experience.FILE).unlink()
    assert cli.main(["case", "replay", "1", "--casebook", str(with_it)]) == 0
    assert cli.main(["case", "replay", "1", "--casebook", str(place)]) == 0


def decision(kits):
    content = read(Sources.chosen(kits=kits))
    return advise(decider_of(content), cases.case(CASE, content.knowledge))


def test_a_pick_corrected_by_outcomes_says_so(capsys, place, kits, before, tmp_path, table):
    """A factor a little below one leaves the pick what it is; every page names the table."""
    own = tmp_path / "kits"
    shutil.copytree(kits, own)
    data = table()
    for name in ("digest", "refused", "wanted", "why_unused", "would_change"):
        data.pop(name)
    data["kits"][KIT]["used"] = {"factor": 0.98, "spread": 0.05}
    (own / experience.FILE).write_text(experience.written(data, "lead", UNTIL), encoding="utf-8")
    found = decision(own)
    assert found.pick_id == KIT
    assert any("holds 2% less than worked out" in line for line in made_from_lines(found))
    assert made_from_lines(before) == [line for line in made_from_lines(found) if "outcomes" not in line]
    cli.main(["recommend", str(CASE), "--kits", str(own)])
    assert "By this shop's outcomes" in " ".join(capsys.readouterr().out.split())


def test_a_kit_of_which_nothing_was_heard_takes_what_was_learned_of_its_facing(kits, before, place):
    """Only downward in what must hold; its own part of the spread stays; new figures of the facing make it void."""
    content = read(Sources.chosen(kits=kits), cache=False)
    facings = content.knowledge.facings
    factor = experience.Factor(0.93, 0.03)
    figures = {"organic": experience.facing_sha256(facings["organic"])}
    signed = experience.Experience({}, {}, "lead", UNTIL, "0" * 64, {"organic": factor}, frozenset({KIT}), figures)
    taken = {kit.id: kit.fields for kit in experience.experienced(content.kits, signed, facings)}
    organic = [kit.id for kit in content.kits if kit.fields["facing"] == "organic"]
    assert len(organic) > 10 and KIT in organic
    # Something was heard of one: it is judged by that or by nothing.
    assert {kit for kit, fields in taken.items() if experience.FACTOR in fields} == {*organic} - {KIT}
    changed = dataclasses.replace(facings["organic"], numbers={**facings["organic"].numbers, "bedded_spread": 0.1})
    for kit in experience.experienced(content.kits, signed, {**facings, "organic": changed}):
        assert experience.FACTOR not in kit.fields

    kits_with = experience.experienced(content.kits, signed, facings)
    hashes = {**content.hashes, "experience_sha256": signed.digest}
    found = advise(
        decider_of(dataclasses.replace(content, kits=kits_with, hashes=hashes)), cases.case(CASE, content.knowledge)
    )
    other = next(kit for kit in organic if kit != KIT and "holding_probability" in before.kits[kit].figures)
    then, now = before.kits[other].figures, found.kits[other].figures
    assert now["capacity_working_nm"] == pytest.approx(then["capacity_working_nm"] * 0.93, rel=1e-6)
    assert found.kits[KIT].figures == before.kits[KIT].figures
    for name in ("clutch_cap_nm", "static_capacity_nm", "bearing_load_n", "flywheel_burst_rpm"):
        assert now.get(name) == then.get(name)
    # The chance again by hand: the median times the factor; of the spread the facing's half of its variance of
    # friction is replaced by how well the factor is known.
    friction = facings["organic"].numbers["bedded_spread"]
    spread = math.sqrt(then["capacity_spread"] ** 2 - 0.5 * friction**2 + 0.03**2)
    chance = holding_probability(
        capacity_median=now["capacity_working_nm"],
        capacity_spread=spread,
        demand_median=found.value("demand_torque"),
        demand_spread=found.value("demand_spread"),
    )
    assert now["holding_probability"] == pytest.approx(float(chance), abs=1e-6)
    if found.pick_id != KIT:
        assert "Nothing was heard of" in " ".join(made_from_lines(found))


def test_a_table_edited_by_hand_is_refused(capsys, place, kits, table, tmp_path):
    own = tmp_path / "kits"
    shutil.copytree(kits, own)
    data = table()
    out = own / experience.FILE
    learned(capsys, place, kits, "--sign", "lead", "--out", str(out), "--digest", data["digest"])
    text = out.read_text(encoding="utf-8")
    used = f'"factor": {data["kits"][KIT]["used"]["factor"]}'
    assert used in text
    out.write_text(text.replace(used, '"factor": 1.05'), encoding="utf-8")
    with pytest.raises(InputError, match="not the one that was signed"):
        experience.experience(own)
    assert cli.main(["recommend", str(CASE), "--kits", str(own)]) == 2


def test_a_kit_revised_since_is_another_and_price_is_no_revision(place, kits):
    content = read(Sources.chosen(kits=kits))
    kit = next(one for one in content.kits if one.id == KIT)
    known = experience.technical_sha256(kit.fields)
    assert experience.technical_sha256({**kit.fields, "price": 1.0, "stock": 0.0, "title": "x"}) == known
    assert experience.technical_sha256({**kit.fields, "clamp_load": 7000.0}) != known
    signed = experience.Experience({KIT: experience.Factor(0.9, 0.05)}, {KIT: known}, "lead", UNTIL, "0" * 64)
    (taken,) = [one for one in experience.experienced(content.kits, signed) if one.id == KIT]
    assert taken.fields[experience.FACTOR] == 0.9
    revised = experience.Experience(signed.kits, {KIT: "1" * 64}, "lead", UNTIL, "0" * 64)
    (left,) = [one for one in experience.experienced(content.kits, revised) if one.id == KIT]
    assert experience.FACTOR not in left.fields


def test_before_it_was_due_nobody_was_to_be_asked(place):
    with books.Casebook(place, write=False) as book:
        assert heard.evidence_of(book, "2026-02-10").sales == ()
        assert len(heard.evidence_of(book, UNTIL).sales) == 30
        assert experience_table(heard.evidence_of(book, "2026-02-10"), "0" * 64).refused


def test_where_a_lead_looks_at_rates(capsys, place, tmp_path):
    capsys.readouterr()
    drawn = tmp_path / "rates.svg"
    assert cli.main(["outcomes", "--casebook", str(place), "--by", "kit", "--picture", str(drawn)]) == 0
    text = capsys.readouterr().out
    assert "slipped 13 of 30 that answered, 43%" in " ".join(text.split())
    assert drawn.read_text(encoding="utf-8").startswith("<svg")
    assert cli.main(["outcomes", "--casebook", str(place), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["fitter"][0]["name"] == "professional"
    assert data["rule"] == []
