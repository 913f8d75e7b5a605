"""Plate temperatures over a whole schedule of starts, launches and shifts.

Flywheel, floaters and pressure plate are lumps in a row, coupled through the discs between them and each to the
air of the housing; `heat_modes` solves the row exactly between the events.
"""

import inspect

import numpy as np

from .checks import finite, not_negative, positive, refuse_where, whole
from .heat_modes import Network, highest_rises

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


def schedule_peaks(
    *, discs, flywheel_mass, pressure_plate_mass, specific_heat, facing_area, facing_conductance, air_heat_transfer,
    flywheel_air_area, pressure_plate_air_area, air_temperature, floater_mass=0.0, floater_air_area=0.0,
    flywheel_specific_heat=None, traffic_start_energy=0.0, traffic_starts=0, traffic_interval=0.0,
    hill_start_energy=0.0, hill_starts=0, hill_interval=0.0, launch_energy=0.0, launches=0, launch_interval=0.0,
    shift_energy=0.0, shifts=0, shift_interval=0.0, rounds=1, rest=0.0
):
    """Highest temperature of flywheel, floaters and pressure plate over a schedule of events.

    A round is traffic starts, then hill starts, then launches, then shifts (or kicks); rounds follow one another
    with a rest between. Each event heats its plates at once and is followed by its interval. What the plates
    still take over from each other after the last event counts.

    Formula
    -------
    flow = facing_conductance * facing_area * differences + air_heat_transfer * air_area * rise
    mass * specific_heat * d(rise)/dt = heat - flow
    peaks = air_temperature + highest(rise)

    Parameters
    ----------
    discs : int or array
        Number of clutch discs, one floater fewer, [-]
    flywheel_mass : float or array
        Mass of the flywheel that takes part, [kg]
    pressure_plate_mass : float or array
        Mass of the pressure plate, [kg]
    specific_heat : float or array
        Specific heat of the plates, [J/(kg K)]
    facing_area : float or array
        Area of one friction surface, [m2]
    facing_conductance : float or array
        Conductance across one disc from plate to plate; organic 110, carbon 150, metallic 500 to 600, [W/(m2 K)]
    air_heat_transfer : float or array
        Heat transfer to the air of the housing, 20 to 60, [W/(m2 K)]
    flywheel_air_area : float or array
        Area of the flywheel the air reaches, [m2]
    pressure_plate_air_area : float or array
        Area of the pressure plate the air reaches, [m2]
    air_temperature : float or array
        Temperature of the air of the housing, and of all plates at the start, [degC]
    floater_mass : float or array
        Mass of each floater, not read for a single disc, [kg]
    floater_air_area : float or array
        Area of each floater the air reaches, not read for a single disc, [m2]
    flywheel_specific_heat : float or array
        Specific heat of the flywheel where it differs from the plates, [J/(kg K)]
    traffic_start_energy : float or array
        Heat of one start in traffic, [J]
    traffic_starts : int or array
        Number of them in a round, [-]
    traffic_interval : float or array
        Time after each, [s]
    hill_start_energy : float or array
        Heat of one start on a hill, [J]
    hill_starts : int or array
        Number of them in a round, [-]
    hill_interval : float or array
        Time after each, [s]
    launch_energy : float or array
        Heat of one hard launch, [J]
    launches : int or array
        Number of them in a round, [-]
    launch_interval : float or array
        Time after each, [s]
    shift_energy : float or array
        Heat of one gear shift or kick, [J]
    shifts : int or array
        Number of them in a round, [-]
    shift_interval : float or array
        Time after each, [s]
    rounds : int or array
        Number of rounds, [-]
    rest : float or array
        Time between rounds, on top of the last interval, [s]

    Returns
    -------
    peaks : array
        Last axis: flywheel, hottest floater, pressure plate, hottest of all; a single disc has no floater and
        shows air_temperature there, [degC]

    Validity
    --------
    One to eight discs; masses, areas and coefficients above zero; each plate one lump, so the surface stands
    higher by the flash of the last event, see `heat_flash`. At most 10000 events of a kind in a round and 10000
    rounds.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> single = dict(discs=1, flywheel_mass=9, pressure_plate_mass=2.5, specific_heat=500, facing_area=0.026,
    ...               facing_conductance=110, air_heat_transfer=40, flywheel_air_area=0.1,
    ...               pressure_plate_air_area=0.06, air_temperature=80)
    >>> peaks = schedule_peaks(traffic_start_energy=17e3, traffic_starts=30, traffic_interval=25,
    ...                        hill_start_energy=26e3, hill_starts=5, hill_interval=25, **single)
    >>> [round(t) for t in peaks.tolist()]
    [142, 80, 185, 185]

    References
    ----------
    .. [1] Lumped thermal network, as J. E. Shigley et al., Mechanical Engineering Design, ch. 16, for one lump;
       conductances between plates are judgement, no source.
    """
    given = dict(locals())
    network, (energies, counts, intervals, rounds, rest), air, shape = checked(given)
    rises = highest_rises(network, energies, counts, intervals, rounds, rest, shape).reshape(shape + (-1,))
    floaters = np.where(network.floaters, rises, 0.0).max(axis=-1)
    pressure = np.take_along_axis(rises, np.broadcast_to(network.last, shape)[..., None], axis=-1)[..., 0]
    rises = np.stack([rises[..., 0], floaters, pressure, rises.max(axis=-1)], axis=-1)
    return np.broadcast_to(air, shape)[..., None] + rises


def _one_plate(place):
    """Make a function of the arguments of `schedule_peaks` that gives one place of its last axis.

    Signature and the shared sections of the docstring are taken over, so they are written once.
    """
    shared = inspect.getdoc(schedule_peaks)
    parameters = shared[shared.index("Parameters\n"):shared.index("Returns\n")]
    after = shared[shared.index("Validity\n"):shared.index("Examples\n")]

    def decorate(function):
        def one_plate(**schedule):
            peaks = schedule_peaks(**schedule)[..., place]
            return peaks.item() if peaks.ndim == 0 else peaks

        text = inspect.getdoc(function).replace("Returns\n", parameters + "Returns\n")
        one_plate.__doc__ = text.replace("Examples\n", after + "Examples\n")
        one_plate.__name__ = one_plate.__qualname__ = function.__name__
        one_plate.__module__ = function.__module__
        one_plate.__signature__ = inspect.signature(schedule_peaks)
        return one_plate

    return decorate


@_one_plate(0)
def hottest_flywheel():
    """Highest temperature of the flywheel over a schedule of events.

    See `schedule_peaks` for the schedule.

    Formula
    -------
    temperature = schedule_peaks[..., 0]

    Returns
    -------
    temperature : float or array
        Highest bulk temperature of the flywheel, [degC]

    Examples
    --------
    >>> twin = dict(discs=2, flywheel_mass=9, floater_mass=1.3, pressure_plate_mass=2.5, specific_heat=500,
    ...             facing_area=0.026, facing_conductance=110, air_heat_transfer=40, flywheel_air_area=0.1,
    ...             floater_air_area=0.02, pressure_plate_air_area=0.06, air_temperature=80)
    >>> round(hottest_flywheel(launch_energy=60e3, launches=6, launch_interval=600, **twin))
    93

    References
    ----------
    .. [1] As `schedule_peaks`.
    """


@_one_plate(1)
def hottest_floater():
    """Highest temperature of any floater over a schedule of events.

    See `schedule_peaks` for the schedule.

    Formula
    -------
    temperature = schedule_peaks[..., 1]

    Returns
    -------
    temperature : float or array
        Highest bulk temperature of the floater; air_temperature where a single disc has none, [degC]

    Examples
    --------
    >>> twin = dict(discs=2, flywheel_mass=9, floater_mass=1.3, pressure_plate_mass=2.5, specific_heat=500,
    ...             facing_area=0.026, facing_conductance=110, air_heat_transfer=40, flywheel_air_area=0.1,
    ...             floater_air_area=0.02, pressure_plate_air_area=0.06, air_temperature=80)
    >>> round(hottest_floater(launch_energy=60e3, launches=6, launch_interval=600, **twin))
    135

    References
    ----------
    .. [1] As `schedule_peaks`.
    """


@_one_plate(2)
def hottest_pressure_plate():
    """Highest temperature of the pressure plate over a schedule of events.

    See `schedule_peaks` for the schedule.

    Formula
    -------
    temperature = schedule_peaks[..., 2]

    Returns
    -------
    temperature : float or array
        Highest bulk temperature of the pressure plate, [degC]

    Examples
    --------
    >>> twin = dict(discs=2, flywheel_mass=9, floater_mass=1.3, pressure_plate_mass=2.5, specific_heat=500,
    ...             facing_area=0.026, facing_conductance=110, air_heat_transfer=40, flywheel_air_area=0.1,
    ...             floater_air_area=0.02, pressure_plate_air_area=0.06, air_temperature=80)
    >>> round(hottest_pressure_plate(launch_energy=60e3, launches=6, launch_interval=600, **twin))
    101

    References
    ----------
    .. [1] As `schedule_peaks`.
    """


@_one_plate(3)
def hottest_plate():
    """Highest temperature of any plate over a schedule of events.

    See `schedule_peaks` for the schedule.

    Formula
    -------
    temperature = schedule_peaks[..., 3]

    Returns
    -------
    temperature : float or array
        Highest bulk temperature of the plate, [degC]

    Examples
    --------
    >>> twin = dict(discs=2, flywheel_mass=9, floater_mass=1.3, pressure_plate_mass=2.5, specific_heat=500,
    ...             facing_area=0.026, facing_conductance=110, air_heat_transfer=40, flywheel_air_area=0.1,
    ...             floater_air_area=0.02, pressure_plate_air_area=0.06, air_temperature=80)
    >>> round(hottest_plate(launch_energy=60e3, launches=6, launch_interval=600, **twin))
    135

    References
    ----------
    .. [1] As `schedule_peaks`.
    """
