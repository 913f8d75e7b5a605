"""Every number on a sheet is in the decision record, or computed from readings by a function of the mechanics."""

import pytest

from advisor.reporting.sheets.blocks import Number, paragraph, walk
from tests.shipped import quick_yaml

from . import made
from .tracing import PINT, Sheet, pint_unit


# The lead's long page in trade units, and of every case, stands in the long counts; so do trade units of every case.
@pytest.mark.parametrize(
    "name, audience, system",
    [
        (name, audience, system)
        for name, audience in made.SHEETS
        for system in ("si", "trade")
        if system == "si" or (audience != "lead" and name in made.OF_THE_LEAD)
    ],
)
def test_every_digit_on_the_sheet_comes_from_where_it_says(name, audience, system):
    sheet = Sheet(made.html(name, audience, system), name, system, made.document(name, audience, system))
    assert sheet.walk() == []
    if made.record(name)["outcome"] == "recommended":
        assert sheet.numbers > 10


@pytest.mark.parametrize("audience", ["customer", "lead"])
def test_answers_not_known_exactly_stand_there_with_their_ends(audience):
    name = "torque-between"
    sheet = Sheet(made.html(name, audience, "si"), name, "si", made.document(name, audience, "si"))
    assert sheet.walk() == []
    for path, shown in (("low", "400 N m"), ("value", "425 N m"), ("high", "450 N m")):
        assert f'data-from="record/case/answers/engine_torque/{path}">{shown}</data>' in made.html(name, audience, "si")


def test_what_the_record_keeps_of_kits_is_what_stands_in_their_files():
    """Read again by PyYAML and converted by pint: every number of the pick and of the kits next to it."""
    counted = 0
    files = [quick_yaml(path.read_text())["kits"] for path in (made.ROOT / "scenarios" / "kits").glob("*.yaml")]
    written = {one["id"]: one for kits in files for one in kits}
    for name in made.CASES:
        record = made.record(name)
        named = {record[part]["kit"] for part in ("pick", "next_down", "next_up") if record[part]}
        named |= {one["kit"] for one in record["near_equals"]}
        for end in ("gentle_end", "careful_end") if record["span"] else ():
            named.add(record["span"][end]["kit"] or record["span"][end]["best"])
        named |= {one["without"]["kit"] for one in record["wishes"]}
        named |= {one["beside"]["kit"] for one in record["near_misses"]}
        named |= {one["becomes"] for one in record["close_calls"] if one["becomes"]}
        platform = record["case"]["platform"]
        assert set(record["records"]) == named | ({platform} if platform else set())
        for kit in named:
            for field, held in record["records"][kit].items():
                if isinstance(held, bool) or not isinstance(held, (int, float)) or field not in written[kit]:
                    continue
                unit = made.content().knowledge.kit_fields[field].unit or "1"
                number, _, spelled = str(written[kit][field]).partition(" ")
                value = float(number)
                if spelled:
                    value = PINT.Quantity(value, pint_unit(spelled)).to(pint_unit(unit)).magnitude
                assert held == pytest.approx(value, rel=1e-9), (kit, field)
                counted += 1
    assert counted > 100


def test_what_the_record_keeps_of_limits_is_what_stands_in_their_file():
    written = quick_yaml((made.ROOT / "rules" / "workshop.yaml").read_text())["limits"]
    kept = made.record("pack-over-stroke")["limits"]
    assert set(kept) == set(written)
    for name, one in kept.items():
        for end in ("low", "high"):
            number, _, unit = str(written[name][end]).partition(" ")
            value = PINT.Quantity(float(number), pint_unit(unit)).to(pint_unit(one["unit"])).magnitude
            assert one[end] == pytest.approx(value, rel=1e-9), (name, end)
        assert written[name]["basis"]["source"] in one["why"]
    assert made.record("nothing-fits")["limits"] == {}


def test_the_walk_finds_what_it_is_there_to_find():
    """A number changed, one without source, one from elsewhere, one rounded wrongly: each is found."""
    name, audience = "pack-over-stroke", "customer"
    text, document = made.html(name, audience), made.document(name, audience)
    held = '<data value="598.0" data-from="fact/required_torque">598 N m</data>'
    probe = "<main>\n<p>{}</p>"

    def faults(markup):
        return Sheet(text.replace("<main>", probe.format(markup), 1), name, "si", document).walk()

    assert faults(held) == []
    for wrong in (
        "598 N m",
        held.replace('"598.0"', '"599.0"'),
        held.replace("required_torque", "demand_torque"),
        held.replace(">598", ">600"),
        held.replace("fact/required_torque", "fact/nothing"),
        '<span data-said="label/required_torque">12 things</span>',
        held.replace("598 N m", "598 lb-ft"),
    ):
        assert len(faults(wrong)) == 1, wrong
    stray = "<svg><text>777 N m</text></svg>"
    assert len(faults(stray)) == 1


def test_the_sheets_own_words_cannot_hold_a_number():
    with pytest.raises(ValueError, match="without a source"):
        paragraph("at most 0.2 mm")


def test_trade_units_reach_the_sheet():
    units = {
        part.text.rpartition(" ")[2]
        for _, part in walk(made.document("pack-over-stroke", "customer", "trade"))
        if isinstance(part, Number)
    }
    assert {"lb-ft", "lbf", "degF", "lb"} <= units
    assert not units & {"N", "degC", "kg"}
