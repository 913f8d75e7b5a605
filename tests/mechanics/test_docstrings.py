"""Docstrings of every calculation: sections, units, sources, examples; and the formula shown is the formula run."""

import doctest
import functools
import importlib
import inspect
import re

import numpy as np

from tests.each import each

from . import docstrings

CALCULATIONS = docstrings.calculations()
EACH = each(lambda: CALCULATIONS)


@functools.cache
def run_examples(function):
    """(failures, number of examples, calls) where calls are the (arguments, result) of the function itself."""
    calls = []
    signature = inspect.signature(function)

    def recorded(**arguments):
        value = function(**arguments)
        bound = signature.bind(**arguments)
        bound.apply_defaults()
        calls.append((bound.arguments, value))
        return value

    globs = dict(inspect.getmodule(function).__dict__)
    globs[function.__name__] = recorded
    tests = doctest.DocTestFinder(recurse=False).find(function, function.__name__, globs=globs)
    runner = doctest.DocTestRunner(verbose=False)
    for test in tests:
        runner.run(test)
    return runner.failures, runner.tries, calls


# Names and keywords others count on. More arguments may follow, with defaults or by need.
PROMISED = {
    "friction": {
        "mean_radius": "outer_radius inner_radius theory",
        "torque_capacity": "friction_coefficient clamp_load mean_radius friction_surfaces",
        "clamp_load_for_torque": "torque friction_coefficient mean_radius friction_surfaces",
        "facing_area": "outer_radius inner_radius coverage",
        "peak_pressure": "clamp_load outer_radius inner_radius theory coverage",
        "clamp_load_for_peak_pressure": "peak_pressure outer_radius inner_radius theory coverage",
        "outer_radius_for_torque": "torque friction_coefficient peak_pressure radius_ratio friction_surfaces theory",
        "friction_at_temperature": "friction_coefficient temperature curve_temperatures curve_factors",
    },
    "disc_spring": {
        "load": "deflection outer_diameter inner_diameter thickness cone_height youngs_modulus poisson_ratio",
        "rate": "",
        "flat_load": "",
        "diaphragm_clamp": "",
        "diaphragm_release_load": "",
        "finger_bending": "",
    },
    "release": dict.fromkeys(
        [
            "overall_ratio",
            "pedal_force",
            "bearing_travel",
            "lift_needed",
            "bearing_travel_needed",
            "take_up_window",
            "pedal_stop_position",
            "bearing_gap",
            "wear_room",
        ],
        "",
    ),
    "thrust": {
        "face_area": "outer_diameter inner_diameter arc_deg groove_share",
        "face_pressure": "",
        "handbook_load_limit": "",
    },
    "engagement": {
        "slip_time": "clutch_torque driving_inertia driven_inertia speed_difference",
        "slip_energy": "clutch_torque driving_inertia driven_inertia speed_difference",
        "common_speed": "driving_inertia driven_inertia driving_speed driven_speed",
        "vehicle_inertia": "",
        "launch": "",
    },
    "heat": {
        "heat_share": "discs",
        "temperature_rise": "energy mass specific_heat",
        "repeated_peak_rise": "",
        "launches_until": "",
        "flash_rise": "",
        "energy_per_area": "",
        "power_per_area": "",
    },
    "wear": {"wear_per_engagement": "", "life_distance": ""},
    "engine": {
        "torque_from_power": "power speed",
        "power_from_torque": "torque speed",
        "flywheel_from_wheels": "",
        "torque_from_bmep": "",
        "nitrous_torque": "",
        "altitude_factor": "",
    },
    "driveline": dict.fromkeys(
        [
            "grip_limited_torque",
            "peak_torque_on_dump",
            "two_inertia_frequency",
            "firing_frequency",
            "synchroniser_time",
        ],
        "",
    ),
    "rotor": dict.fromkeys(["ring_stress", "disc_stress", "speed_at_stress", "ring_inertia", "rotor_energy"], ""),
    "uncertainty": {"holding_probability": "capacity_median capacity_spread demand_median demand_spread", "band": ""},
    "arithmetic": {
        "scaled": "value factor",
        "larger": "first second",
        "smaller": "first second",
        "total": "first second third",
        "scaled_with_floor": "value factor floor",
        "grown_by_percent": "value percent",
        "difference": "",
        "ratio": "",
        "share": "",
    },
}


@each(lambda: [(f"{module}.{name}", (module, name)) for module, names in PROMISED.items() for name in names])
def test_promised_names_and_keywords(promised):
    module, name = promised
    function = getattr(importlib.import_module(f"advisor.mechanics.{module}"), name)
    assert set(PROMISED[module][name].split()) <= set(inspect.signature(function).parameters)
    assert function in [known for _, known in CALCULATIONS]


@EACH
def test_sections_are_complete_and_in_order(function):
    parts = docstrings.sections(function)
    headings = [heading for heading in parts if heading]
    assert headings == [name for name in docstrings.SECTIONS if name in headings or name not in docstrings.OPTIONAL]
    for heading in headings:
        assert any(line.strip() for line in parts[heading]), f"{heading} is empty"
    assert parts[""][0].strip().endswith("."), "the first line is a sentence"


@EACH
def test_errors_are_told_where_they_are_particular(function):
    """What holds for every function stands in the library's own docstring alone."""
    text = " ".join(docstrings.sections(function).get("Raises", ()))
    assert "outside the validity" not in text
    assert "MechanicsError" in docstrings.advisor.mechanics.__doc__


@EACH
def test_every_parameter_is_keyword_only_and_has_a_known_unit(function):
    documented = docstrings.entries(docstrings.sections(function)["Parameters"])
    signature = inspect.signature(function).parameters
    assert list(documented) == list(signature)
    assert all(parameter.kind is parameter.KEYWORD_ONLY for parameter in signature.values())
    for name, (kind, text) in documented.items():
        assert kind, f"{name} has no type"
        assert docstrings.unit(text) in docstrings.UNITS, f"{name}: {text}"


@EACH
def test_the_result_is_one_value_with_a_known_unit(function):
    returned = docstrings.entries(docstrings.sections(function)["Returns"])
    assert len(returned) == 1
    ((_, text),) = returned.values()
    assert docstrings.unit(text) in docstrings.UNITS, text
    if docstrings.unit(text) == "any":
        parameters = docstrings.entries(docstrings.sections(function)["Parameters"])
        assert any(docstrings.unit(text) == "any" for _, text in parameters.values())


@EACH
def test_a_source_is_numbered_or_its_lack_is_said(function):
    text = " ".join(" ".join(docstrings.sections(function)["References"]).split())
    numbered = re.search(r"\.\. \[1\] \S", text)
    assert numbered or any(phrase in text.lower() for phrase in docstrings.FREE_PHRASES), text
    for mark in re.findall(r"\[(\d+)\]_", inspect.getdoc(function)):
        assert f".. [{mark}]" in text, f"[{mark}]_ is cited but not listed"


@EACH
def test_examples_run(function):
    failures, tries, calls = run_examples(function)
    assert tries >= 1
    assert failures == 0
    assert calls, "no example calls the function itself"


def _names(lines):
    words = set()
    for _, expression, conditions in lines:
        words |= set(re.findall(r"[A-Za-z_]\w*", expression)) | set(conditions)
    return words


@EACH
def test_the_formula_names_the_result_and_every_number(function):
    parts = docstrings.sections(function)
    text = " ".join(parts["Formula"])
    (result,) = docstrings.entries(parts["Returns"])
    assert re.search(rf"\b{result}\b", text), f"the formula does not name {result}"
    for name in docstrings.entries(parts["Parameters"]):
        assert re.search(rf"\b{name}\b", text), f"the formula does not name {name}"


def formula_checked(function):
    """Hold the formula against the examples' results; False where it is a procedure in words."""
    parts = docstrings.sections(function)
    lines = docstrings.formula(parts["Formula"])
    (result,) = docstrings.entries(parts["Returns"])
    _, _, calls = run_examples(function)
    if lines is None or lines[-1][0] != result:
        return False
    for arguments, value in calls:
        try:
            shown = docstrings.evaluate(lines, arguments)[result]
        except NameError:
            return False
        np.testing.assert_allclose(np.asarray(shown, dtype=float), np.asarray(value, dtype=float), rtol=1e-8)
    return bool(calls)


@EACH
def test_the_formula_shown_is_not_contradicted_by_the_examples(function):
    assert formula_checked(function) or function.__module__.rsplit(".", 1)[1] not in docstrings.PLAIN_ARITHMETIC


def test_most_formulas_are_checked_by_their_numbers():
    checked = sum(formula_checked(function) for _, function in CALCULATIONS)
    assert checked >= 0.85 * len(CALCULATIONS)
