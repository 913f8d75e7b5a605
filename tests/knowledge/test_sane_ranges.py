"""Every number of a kit or a car has a sane range, and what lies outside it is refused with a remedy."""

import pytest

from advisor.errors import ErrorList
from advisor.knowledge import load
from advisor.knowledge.platform_fields import NUMBERS


def test_every_number_of_a_kit_has_a_range_or_its_choices(content):
    derived = {"friction_surfaces"}
    for name, field in content.knowledge.kit_fields.items():
        if field.kind == "number" and name not in derived:
            assert field.choices or (field.low is not None and field.low < field.high), name


def test_the_shipped_cars_lie_inside(content):
    for car in content.platforms:
        for path, number in NUMBERS.items():
            held = car.fields.get(path)
            if held is not None and not path.endswith(("arc_deg", "cylinders", "spring_stiffness")):
                assert number.low <= held <= number.high, (car.id, path)


@pytest.mark.parametrize("path", sorted(NUMBERS))
def test_a_number_of_a_car_outside_its_range_is_refused(path, content, tmp_path):
    unit = "" if NUMBERS[path].unit == "1" else f" {NUMBERS[path].unit}"
    low, high = NUMBERS[path].low, NUMBERS[path].high
    for value in (low - 0.01 * (high - low), high + 0.01 * (high - low)):
        held = f"{value:g}{unit}"
        if path == "gear_ratios":
            held = f"[{held}]"
        head, _, leaf = path.rpartition(".")
        line = f"{head}: {{{leaf}: {held}}}" if head else f"{path}: {held}"
        file = tmp_path / "car.yaml"
        file.write_text(f"platforms:\n  - id: a-car\n    title: A car\n    invented: yes\n    {line}\n")
        with pytest.raises(ErrorList) as caught:
            load.platforms(file, content.knowledge)
        assert all(error.remedy and error.where.line == 5 and leaf in error.what for error in caught.value.errors)
