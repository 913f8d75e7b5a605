"""Torque and power that other figures imply, against printed constants, pint and the functions they undo."""

import numpy as np
import pint
import pytest

from advisor.mechanics import engine, engine_routes
from advisor.mechanics.argument_checks import MechanicsError

UNITS = pint.UnitRegistry()


def test_quarter_mile_power_is_hales_formula():
    # v = 234 (P/m)^(1/3) in miles an hour, horsepower and pounds, P. Hale; common practice, no source in print here.
    for horses, pounds in ((200.0, 2800.0), (375.0, 3000.0), (700.0, 3600.0)):
        speed = UNITS.Quantity(234.0 * (horses / pounds) ** (1 / 3), "mile / hour").to("m / s").magnitude
        mass = UNITS.Quantity(pounds, "pound").to("kg").magnitude
        power = (
            UNITS.Quantity(engine_routes.quarter_mile_power(mass=mass, end_speed=speed), "W").to("horsepower").magnitude
        )
        assert power == pytest.approx(horses, rel=1e-6)


def test_mean_pressure_undoes_torque_from_it():
    pressures = np.array([7e5, 10.5e5, 25e5])
    torques = engine.torque_from_bmep(mean_pressure=pressures, displacement=2.0e-3)
    assert engine_routes.mean_pressure(torque=torques, displacement=2.0e-3) == pytest.approx(pressures)
    # An engineering encyclopaedia: 850 to 1050 kPa without boost; 167 N m from two litres is the upper end.
    assert engine_routes.mean_pressure(torque=167.1, displacement=2.0e-3) == pytest.approx(10.5e5, rel=1e-3)


def test_torque_from_boost_goes_with_the_absolute_pressure():
    none = engine_routes.torque_from_boost(displacement=2e-3, boost=0.0, natural_pressure=10e5, charge_factor=1.0)
    assert none == pytest.approx(10e5 * 2e-3 / (4 * np.pi))
    double = engine_routes.torque_from_boost(
        displacement=2e-3, boost=101325.0, natural_pressure=10e5, charge_factor=0.9
    )
    assert double == pytest.approx(2 * 0.9 * none)


@pytest.mark.parametrize(
    "call",
    [
        lambda: engine_routes.quarter_mile_power(mass=0.0, end_speed=50.0),
        lambda: engine_routes.mean_pressure(torque=-1.0, displacement=2e-3),
        lambda: engine_routes.torque_from_boost(displacement=2e-3, boost=9e5, natural_pressure=10e5, charge_factor=0.9),
    ],
)
def test_bad_values_are_refused(call):
    with pytest.raises(MechanicsError):
        call()
