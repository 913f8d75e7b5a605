"""Plate temperatures over a whole schedule of starts, launches and shifts.

Flywheel, floaters and pressure plate are lumps in a row, coupled through the discs between them and each to the
air of the housing; `_heat_modes` solves the row exactly between the events.
"""

import numpy as np

from ._heat_modes import highest_rises
from ._heat_schedule import checked, like

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
    A row of discs + 1 plates, rise is over air_temperature. For each, with its mass (flywheel_mass, floater_mass,
    pressure_plate_mass) and its area in the air (flywheel_air_area, floater_air_area, pressure_plate_air_area):
    mass * specific_heat * d(rise)/dt = heat
        - facing_conductance * facing_area * (rise - rise of the neighbour), for each neighbour
        - air_heat_transfer * air_area * rise
    with flywheel_specific_heat for the flywheel, where given. An event gives each plate energy / (2 * discs) for
    each of its faces. A round is traffic_starts of traffic_start_energy, traffic_interval after each; hill_starts
    of hill_start_energy, hill_interval after each; launches of launch_energy, launch_interval after each; shifts of
    shift_energy, shift_interval after each. There are rounds of it, with a rest between.
    peaks = air_temperature + highest rise

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


def _one(schedule, place):
    peaks = schedule_peaks(**schedule)[..., place]
    return peaks.item() if peaks.ndim == 0 else peaks


@like(schedule_peaks)
def hottest_flywheel(**schedule):
    """Highest temperature of the flywheel over a schedule of events, see `schedule_peaks`.

    Formula
    -------
    {formula}
    temperature = air_temperature + highest rise of the flywheel

    Parameters
    ----------
    {parameters}

    Returns
    -------
    temperature : float or array
        Highest bulk temperature of the flywheel, [degC]

    Validity
    --------
    {validity}

    Raises
    ------
    {raises}

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
    return _one(schedule, 0)


@like(schedule_peaks)
def hottest_floater(**schedule):
    """Highest temperature of any floater over a schedule of events, see `schedule_peaks`.

    Formula
    -------
    {formula}
    temperature = air_temperature + highest rise of any floater

    Parameters
    ----------
    {parameters}

    Returns
    -------
    temperature : float or array
        Highest bulk temperature of any floater; air_temperature for a single disc, which has none, [degC]

    Validity
    --------
    {validity}

    Raises
    ------
    {raises}

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
    return _one(schedule, 1)


@like(schedule_peaks)
def hottest_pressure_plate(**schedule):
    """Highest temperature of the pressure plate over a schedule of events, see `schedule_peaks`.

    Formula
    -------
    {formula}
    temperature = air_temperature + highest rise of the pressure plate

    Parameters
    ----------
    {parameters}

    Returns
    -------
    temperature : float or array
        Highest bulk temperature of the pressure plate, [degC]

    Validity
    --------
    {validity}

    Raises
    ------
    {raises}

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
    return _one(schedule, 2)


@like(schedule_peaks)
def hottest_plate(**schedule):
    """Highest temperature of any plate over a schedule of events, see `schedule_peaks`.

    Formula
    -------
    {formula}
    temperature = air_temperature + highest rise of any plate

    Parameters
    ----------
    {parameters}

    Returns
    -------
    temperature : float or array
        Highest bulk temperature of any plate, [degC]

    Validity
    --------
    {validity}

    Raises
    ------
    {raises}

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
    return _one(schedule, 3)


# What looks at several plates of one schedule can call `schedule_peaks` once and take these places of its last axis.
for _place, _function in enumerate((hottest_flywheel, hottest_floater, hottest_pressure_plate, hottest_plate)):
    _function.part_of = (schedule_peaks, _place)
