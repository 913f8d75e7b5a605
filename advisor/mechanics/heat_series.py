"""Course of the plate temperatures over one schedule, for a plot."""

import inspect

import numpy as np

from ._heat_schedule import PHASES, checked, like
from .checks import MechanicsError, whole
from .heat_network import schedule_peaks


def _events(given):
    """(heat, time to the next event) of every event in order."""
    events = []
    for number in range(int(given["rounds"])):
        for energy, count, interval in PHASES:
            heat = float(given[energy]) + (float(given["staging_energy"]) if energy == "launch_energy" else 0.0)
            events += [(heat, float(given[interval]))] * int(given[count])
        if events and number < given["rounds"] - 1:
            heat, wait = events[-1]
            events[-1] = (heat, wait + float(given["rest"]))
    return events


def _one_schedule(points, schedule):
    signature = inspect.signature(schedule_peaks)
    bound = signature.bind(**schedule)
    bound.apply_defaults()
    given = bound.arguments
    network, _, air, _, shape = checked(given)
    (points,) = whole(1, 1000, points_per_interval=points)
    if shape != ():
        name = next(n for n, value in given.items() if value is not None and np.ndim(value))
        raise MechanicsError(name, "must be a single number: a course is drawn for one kit at a time")
    return network, float(air), int(points), _events(given)


@like(schedule_peaks)
def schedule_times(*, points_per_interval=4, **schedule):
    """Moments of the course drawn by `schedule_temperatures`.

    Formula
    -------
    {formula}
    times = 0, then for each event the moment it happens and points_per_interval equal steps to the next

    Parameters
    ----------
    {parameters}
    points_per_interval : int
        Moments in the time after each event, its end included, [-]

    Returns
    -------
    times : array
        Time since the first event, one for each row of `schedule_temperatures`, [s]

    Validity
    --------
    {validity}
    All arguments single numbers: one kit and one case. The rest after the last round is not drawn.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity, or one that is an array.

    Examples
    --------
    >>> plates = dict(discs=1, flywheel_mass=9, pressure_plate_mass=2.5, specific_heat=500, facing_area=0.026,
    ...               facing_conductance=110, air_heat_transfer=40, flywheel_air_area=0.1,
    ...               pressure_plate_air_area=0.06, air_temperature=80)
    >>> schedule_times(launch_energy=60e3, launches=2, launch_interval=100, points_per_interval=2, **plates).tolist()
    [0.0, 0.0, 50.0, 100.0, 100.0, 150.0, 200.0]

    References
    ----------
    .. [1] As `schedule_peaks`.
    """
    _, _, points, events = _one_schedule(points_per_interval, schedule)
    times, now = [np.zeros(1)], 0.0
    for _, wait in events:
        times.append(now + np.linspace(0, wait, points + 1))
        now += wait
    return np.concatenate(times)


@like(schedule_peaks)
def schedule_temperatures(*, points_per_interval=4, **schedule):
    """Temperature of every plate over the course of one schedule.

    Formula
    -------
    {formula}
    temperatures = air_temperature + rise at 0, then for each event just after it and at points_per_interval steps

    Parameters
    ----------
    {parameters}
    points_per_interval : int
        Moments in the time after each event, its end included, [-]

    Returns
    -------
    temperatures : array
        One row for each of `schedule_times`; columns flywheel, floaters in order, pressure plate, [degC]

    Validity
    --------
    {validity}
    All arguments single numbers: one kit and one case. The rest after the last round is not drawn.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity, or one that is an array.

    Examples
    --------
    >>> plates = dict(discs=1, flywheel_mass=9, pressure_plate_mass=2.5, specific_heat=500, facing_area=0.026,
    ...               facing_conductance=110, air_heat_transfer=40, flywheel_air_area=0.1,
    ...               pressure_plate_air_area=0.06, air_temperature=80)
    >>> course = schedule_temperatures(launch_energy=60e3, launches=2, launch_interval=100, **plates)
    >>> course[1].round(1).tolist()
    [86.7, 104.0]

    References
    ----------
    .. [1] As `schedule_peaks`.
    """
    network, air, points, events = _one_schedule(points_per_interval, schedule)
    amplitudes = np.zeros_like(network.rates)
    rows = [amplitudes[None, :]]
    for heat, wait in events:
        amplitudes = amplitudes + network.gains * heat
        rows.append(amplitudes * np.exp(-np.linspace(0, wait, points + 1)[:, None] * network.rates))
        amplitudes = rows[-1][-1]
    return air + np.concatenate(rows) @ network.vectors.T
