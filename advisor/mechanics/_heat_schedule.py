"""Arguments of a heat schedule: checked, and put in the form `_heat_modes` works on."""

import inspect

import numpy as np

from ._heat_modes import Network
from .checks import finite, not_negative, positive, refuse_where, whole

PHASES = (
    ("traffic_start_energy", "traffic_starts", "traffic_interval"),
    ("hill_start_energy", "hill_starts", "hill_interval"),
    ("launch_energy", "launches", "launch_interval"),
    ("shift_energy", "shifts", "shift_interval"),
)


def checked(given):
    """Check the arguments of `schedule_peaks`; give (network, phases with rounds and rest, air, shape)."""
    (discs,) = whole(1, 8, discs=given["discs"])
    names = ("flywheel_mass", "pressure_plate_mass", "specific_heat", "facing_area", "facing_conductance",
             "air_heat_transfer", "flywheel_air_area", "pressure_plate_air_area")
    flywheel, pressure, heat, area, conductance, air_transfer, flywheel_air, pressure_air = positive(
        **{name: given[name] for name in names}
    )
    flywheel_heat = heat
    if given["flywheel_specific_heat"] is not None:
        (flywheel_heat,) = positive(flywheel_specific_heat=given["flywheel_specific_heat"])
    floater_names = ("floater_mass", "floater_air_area")
    floater, floater_air = not_negative(**{name: given[name] for name in floater_names})
    for name, value in zip(floater_names, (floater, floater_air)):
        refuse_where((discs > 1) & (value == 0), name, "must be above zero where there is more than one disc", value)
    (air,) = finite(air_temperature=given["air_temperature"])
    energies, intervals = ([*not_negative(**{phase[k]: given[phase[k]] for phase in PHASES})] for k in (0, 2))
    counts = whole(0, 10_000, **{phase[1]: given[phase[1]] for phase in PHASES})
    (rounds,) = whole(1, 10_000, rounds=given["rounds"])
    (rest,) = not_negative(rest=given["rest"])
    # A single disc has no floater: any capacity will do, it gets no heat.
    floater, floater_air = (np.where(discs > 1, value, 1.0) for value in (floater, floater_air))
    network = Network(
        discs, [flywheel * flywheel_heat, floater * heat, pressure * heat], conductance * area,
        [air_transfer * flywheel_air, air_transfer * floater_air, air_transfer * pressure_air],
    )
    schedule = (energies, counts, intervals, rounds, rest)
    shape = np.broadcast_shapes(
        network.rates.shape[:-1], air.shape, rounds.shape, rest.shape,
        *(array.shape for group in schedule[:3] for array in group),
    )
    return network, schedule, air, shape


def like(model):
    """Make a decorator that gives a function of ``**schedule`` the signature of ``model``, own keywords after it.

    {formula}, {parameters}, {validity} and {raises} in its docstring stand for those sections of the model's, so that
    the many arguments are written once. The last line of the model's formula is its own result and is left out.
    """
    lines = inspect.getdoc(model).split("\n")
    starts = [n - 1 for n, line in enumerate(lines) if line and set(line) == {"-"}] + [len(lines)]
    sections = {lines[a]: "\n".join(lines[a + 2:b]).strip("\n") for a, b in zip(starts, starts[1:])}
    sections["Formula"] = sections["Formula"].rpartition("\n")[0]

    def decorate(function):
        text = inspect.getdoc(function)
        for heading, section in sections.items():
            text = text.replace("{" + heading.lower() + "}", section)
        function.__doc__ = text
        own = [p for p in inspect.signature(function).parameters.values() if p.kind is p.KEYWORD_ONLY]
        function.__signature__ = inspect.Signature([*inspect.signature(model).parameters.values(), *own])
        return function

    return decorate
