"""Every number on a sheet is in the decision record, in a record it names, or a limit that says where it comes from."""

import pytest

from advisor.reporting.sheet_blocks import Number, paragraph, walk

from . import made
from .tracing import Sheet


# The lead's long page in trade units stands in the long counts.
@pytest.mark.parametrize(
    "audience, system", [*((one, "si") for one in made.AUDIENCES), ("customer", "trade"), ("fitter", "trade")]
)
@pytest.mark.parametrize("name", made.CASES)
def test_every_digit_on_the_sheet_comes_from_where_it_says(name, audience, system):
    sheet = Sheet(made.html(name, audience, system), name, system, made.document(name, audience, system))
    assert sheet.walk() == []
    if made.record(name)["outcome"] == "recommended":
        assert sheet.numbers > 10


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
