"""No length is printed where something behind it was assumed; what stands behind is found apart from the program."""

import pytest

from advisor.reporting.sheets.blocks import Number, plain, walk
from tests.shipped import quick_yaml

from . import made

#: Rules that set a length of their own because nobody gave one, by reading rules/case/release.yaml.
FILLS = {"free-travel-usual": "free_travel_used", "stroke-measured": "stroke_loss"}
FIGURES = {one["gives"]: one for one in quick_yaml((made.ROOT / "rules/calculations.yaml").read_text())["figures"]}


def assumed(record, name, seen=()):
    """Whether a fact stands on something assumed, through the record's firings."""
    fact = next((one for one in record["facts"] if one["name"] == name), None)
    if fact is None or name in seen:
        return False
    if not fact["producer"]:
        return fact["origin"] == "assumed"
    firings = [record["firings"][number - 1] for number in fact["producer"]]
    return any(
        FILLS.get(one["rule"]) == name or any(assumed(record, read, (*seen, name)) for read in one["facts"])
        for one in firings
    )


def assumed_figure(record, fields, name):
    """The same for a kit's figure: a table or an estimate in place of the maker's figure counts as assumed."""
    found = False
    for given in FIGURES[name]["with"].values():
        choices = given.get("first_of", [given])
        for place, one in enumerate(choices):
            ((source, held),) = one.items()
            if source == "kit" and fields.get(held) is None:
                continue
            found |= place > 0 or source == "table"
            found |= source == "fact" and assumed(record, held)
            found |= source == "figure" and assumed_figure(record, fields, held)
            break
    return found


def stands_on_something_assumed(record, part):
    """Whether a length on a sheet does, by its source."""
    records = made.words().records
    head, _, rest = part.source.partition("/")
    if head == "fact":
        return assumed(record, rest)
    if head == "figure":
        kit, figure = rest.rsplit("/", 1)
        return assumed_figure(record, records[kit].fields, figure)
    if head in ("kit", "limit") or rest.startswith("assumptions/"):
        return False
    path = rest.split("/")
    place = record
    for key in path[:-1]:
        place = place[int(key)] if isinstance(place, list) else place[key]
    wanted = (
        place
        if "limit_facts" in place
        else next(one for one in record["requirements"] if one["id"] == place["requirement"])
    )
    if path[-1] in ("needed", "limit"):
        return any(assumed(record, name) for name in wanted["limit_facts"])
    kit = record["kits"][int(path[1])]["id"] if path[0] == "kits" else record[path[0]]["kit"]
    return wanted["source"] == "figure" and assumed_figure(record, records[kit].fields, wanted["measure"])


@pytest.mark.parametrize("audience", ["customer", "fitter"])
@pytest.mark.parametrize("name", made.CASES)
def test_no_length_stands_on_something_assumed(name, audience):
    record = made.record(name)
    lengths = [
        part for _, part in walk(made.document(name, audience)) if isinstance(part, Number) and part.unit == "mm"
    ]
    assert [part for part in lengths if stands_on_something_assumed(record, part)] == []
    assert audience == "customer" or len(lengths) > 5 or record["outcome"] != "recommended"


def stroke(name):
    """Words of the fitter's section on stroke and stop."""
    section = next(one for one in made.document(name, "fitter", drawn=False).sections if one.id == "stroke")
    return " ".join(plain(block.text) for block in section.blocks)


def test_the_procedure_stands_in_place_of_the_figure():
    """A car on file gets a figure to begin from; one whose free travel nobody gave gets the way to measure."""
    on_file, not_on_file = stroke("pack-over-stroke"), stroke("not-on-file-measured")
    assert "a stop is needed, at 117 mm" in on_file and "what is measured at the pedal counts" in on_file
    assert " mm" not in not_on_file
    assert "No figure is printed" in not_on_file and "free travel of the pedal used" in not_on_file
    assert "find clean release at the pedal, then work the stop out" in not_on_file
    for told in (on_file, not_on_file):
        assert "never bridge it" in told


def test_the_picture_leaves_out_what_is_assumed():
    def figure(name):
        return next(
            block
            for one in made.document(name, "fitter").sections
            for block in one.blocks
            if getattr(block, "name", "") == "release"
        )

    assert "pedal to the floor" in figure("pack-over-stroke").svg
    assert "pedal to the floor" not in figure("not-on-file-measured").svg
    assert "stands on something assumed and is not drawn" in plain(figure("not-on-file-measured").caption)
