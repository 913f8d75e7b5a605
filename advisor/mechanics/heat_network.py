"""Plate and skin temperatures over a whole schedule of starts, launches and shifts.

Flywheel, floaters and pressure plate are lumps in a row, coupled through the discs between them and each to the
air of the housing; `_heat_modes` solves the row exactly between the events.
"""

import inspect
from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from ._heat_modes import Network, highest_rises
from ._heat_schedule import PHASES, checked, like
from .argument_checks import Array, MechanicsError, Numbers, whole


def schedule_peaks(
    *,
    discs: Numbers,
    flywheel_mass: Numbers,
    pressure_plate_mass: Numbers,
    specific_heat: Numbers,
    facing_area: Numbers,
    facing_conductance: Numbers,
    air_heat_transfer: Numbers,
    flywheel_air_area: Numbers,
    pressure_plate_air_area: Numbers,
    air_temperature: Numbers,
    floater_mass: Numbers = 0.0,
    floater_air_area: Numbers = 0.0,
    flywheel_specific_heat: Numbers | None = None,
    traffic_start_energy: Numbers = 0.0,
    traffic_starts: Numbers = 0,
    traffic_interval: Numbers = 0.0,
    hill_start_energy: Numbers = 0.0,
    hill_starts: Numbers = 0,
    hill_interval: Numbers = 0.0,
    launch_energy: Numbers = 0.0,
    launches: Numbers = 0,
    launch_interval: Numbers = 0.0,
    shift_energy: Numbers = 0.0,
    shifts: Numbers = 0,
    shift_interval: Numbers = 0.0,
    rounds: Numbers = 1,
    rest: Numbers = 0.0,
    staging_energy: Numbers = 0.0,
    conductivity: Numbers = 48.0,
    density: Numbers = 7200.0,
    traffic_start_power: Numbers = 0.0,
    hill_start_power: Numbers = 0.0,
    launch_power: Numbers = 0.0,
    shift_power: Numbers = 0.0,
    hardest_launch_energy: Numbers = 0.0,
    hardest_launch_power: Numbers = 0.0,
    hardest_shift_energy: Numbers = 0.0,
    hardest_shift_power: Numbers = 0.0,
) -> Array:
    """Highest temperature of flywheel, floaters and pressure plate over a schedule of events, and of their skin.

    A round is traffic starts, then hill starts, then launches, then shifts (or kicks); rounds follow one another
    with a rest between. Each event heats its plates at once and is followed by its interval. What the plates
    still take over from each other after the last event counts.

    The skin of a plate in an event stands at what the plate was before that event and the rise of its face by that
    event alone (`heat_slab`), which holds the event's own mean rise: nothing counts twice. The hottest skin is the
    highest over all plates and all events.

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
    staging_energy goes into the plates with every launch, and has spread through them before it.
    A slip that begins with a power has a flux of power over 2 * discs * facing_area, which falls in a line to nothing
    in twice its energy over its power; its rise is that of slab_peak_rise. The depth is mass over density and
    facing_area for flywheel and pressure plate, half of that for a floater; the diffusivity is conductivity over
    density and specific_heat. Slips are traffic_start_energy with traffic_start_power, hill_start_energy with
    hill_start_power, launch_energy with launch_power, shift_energy with shift_power; hardest_launch_energy with
    hardest_launch_power and hardest_shift_energy with hardest_shift_power can take the place of any launch and shift
    for the skin alone.
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
    staging_energy : float or array
        Heat of creeping to the line before each launch, [J]
    conductivity : float or array
        Thermal conductivity of the plates, [W/(m K)]
    density : float or array
        Density of the plates, [kg/m3]
    traffic_start_power : float or array
        Rubbing power when a start in traffic begins, torque times slip speed; 0 leaves its skin out, [W]
    hill_start_power : float or array
        The same of a start on a hill, [W]
    launch_power : float or array
        The same of a launch, [W]
    shift_power : float or array
        The same of a shift or kick, [W]
    hardest_launch_energy : float or array
        Heat of the launch that is hardest on the skin, [J]
    hardest_launch_power : float or array
        Rubbing power when it begins; 0 if no launch differs, [W]
    hardest_shift_energy : float or array
        Heat of the shift or kick that is hardest on the skin, [J]
    hardest_shift_power : float or array
        Rubbing power when it begins; 0 if no shift differs, [W]

    Returns
    -------
    peaks : array
        Last axis: flywheel, hottest floater, pressure plate, hottest of all (a single disc has no floater and shows
        air_temperature there); then of the hottest skin the plate before its event, and the
        rise of the face by it [K], [degC]

    Validity
    --------
    One to eight discs; masses, areas and coefficients above zero; each plate one lump between events. All slip heat
    is booked to the metal, which is 7 to 25 % careful by facing. At most 10000 events of a kind in a round and 10000
    rounds.

    Examples
    --------
    >>> single = dict(discs=1, flywheel_mass=9, pressure_plate_mass=2.5, specific_heat=500, facing_area=0.026,
    ...               facing_conductance=110, air_heat_transfer=40, flywheel_air_area=0.1,
    ...               pressure_plate_air_area=0.06, air_temperature=80)
    >>> peaks = schedule_peaks(traffic_start_energy=17e3, traffic_starts=30, traffic_interval=25,
    ...                        hill_start_energy=26e3, hill_starts=5, hill_interval=25, **single)
    >>> [round(t) for t in peaks[:4].tolist()]
    [142, 80, 185, 185]
    >>> peaks = schedule_peaks(hill_start_energy=26e3, hill_starts=1, hill_start_power=25e3, **single)
    >>> [round(t, 1) for t in peaks.tolist()]
    [83.0, 80.0, 90.4, 90.4, 80.0, 28.1]

    References
    ----------
    .. [1] Lumped thermal network, as J. E. Shigley et al., Mechanical Engineering Design, ch. 16, for one lump;
       conductances between plates are judgement, no source.
    """
    given = dict(locals())
    network, (energies, counts, intervals, rounds, rest), air, skin, shape = checked(given)
    highest, before = highest_rises(network, energies, counts, intervals, rounds, rest, shape)
    befores = [_by_kind(network, rises, shape) for rises in before]
    plate_before, rise_of_skin = skin.hottest(befores, counts, shape)
    kinds = _by_kind(network, highest, shape)
    rises = np.stack([*kinds, np.maximum.reduce(kinds), plate_before], axis=-1)
    temperatures = np.broadcast_to(air, shape)[..., None] + rises
    return np.concatenate([temperatures, rise_of_skin[..., None]], axis=-1)


def _by_kind(network: Network, rises: Array, shape: tuple[int, ...]) -> list[Array]:
    """Rises of flywheel, hottest floater and pressure plate out of those of all plates."""
    rises = rises.reshape((*shape, -1))
    floaters = np.where(network.floaters, rises, 0.0).max(axis=-1)
    pressure = np.take_along_axis(rises, np.broadcast_to(network.last, shape)[..., None], axis=-1)[..., 0]
    return [rises[..., 0], floaters, pressure]


def _one(schedule: Mapping[str, Any], place: int) -> Numbers:
    peaks = schedule_peaks(**schedule)[..., place]
    return peaks.item() if peaks.ndim == 0 else peaks


@like(schedule_peaks)
def hottest_flywheel(**schedule: Any) -> Numbers:
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
def hottest_floater(**schedule: Any) -> Numbers:
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
def hottest_pressure_plate(**schedule: Any) -> Numbers:
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
def hottest_plate(**schedule: Any) -> Numbers:
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


@like(schedule_peaks)
def plate_before_skin(**schedule: Any) -> Numbers:
    """Temperature of the plate with the hottest skin when the event begins that heats it so, see `schedule_peaks`.

    Formula
    -------
    {formula}
    temperature = air_temperature + rise of that plate just before that event, staging_energy spread through it

    Parameters
    ----------
    {parameters}

    Returns
    -------
    temperature : float or array
        Temperature of that plate before the event; air_temperature where nothing happens, [degC]

    Validity
    --------
    {validity}

    Examples
    --------
    >>> twin = dict(discs=2, flywheel_mass=9, floater_mass=1.3, pressure_plate_mass=2.5, specific_heat=500,
    ...             facing_area=0.026, facing_conductance=110, air_heat_transfer=40, flywheel_air_area=0.1,
    ...             floater_air_area=0.02, pressure_plate_air_area=0.06, air_temperature=80)
    >>> round(plate_before_skin(launch_energy=60e3, launches=6, launch_interval=600, launch_power=150e3, **twin))
    89

    References
    ----------
    .. [1] As `schedule_peaks`.
    """
    return _one(schedule, 4)


@like(schedule_peaks)
def skin_rise(**schedule: Any) -> Numbers:
    """Rise of the hottest face of any plate by the event that heats it so, see `schedule_peaks`.

    Formula
    -------
    {formula}
    rise = rise of the face by that event alone, where plate before it and rise together are highest

    Parameters
    ----------
    {parameters}

    Returns
    -------
    rise : float or array
        Rise of the face over the plate before the event, mean over the ring, see `plate_before_skin`, [K]

    Validity
    --------
    {validity}

    Examples
    --------
    >>> twin = dict(discs=2, flywheel_mass=9, floater_mass=1.3, pressure_plate_mass=2.5, specific_heat=500,
    ...             facing_area=0.026, facing_conductance=110, air_heat_transfer=40, flywheel_air_area=0.1,
    ...             floater_air_area=0.02, pressure_plate_air_area=0.06, air_temperature=80)
    >>> round(skin_rise(launch_energy=60e3, launches=6, launch_interval=600, launch_power=150e3, **twin))
    55

    References
    ----------
    .. [1] As `schedule_peaks`, and `slab_peak_rise` for the face.
    """
    return _one(schedule, 5)


# What looks at several plates of one schedule can call `schedule_peaks` once and take these places of its last axis.
_PARTS = (hottest_flywheel, hottest_floater, hottest_pressure_plate, hottest_plate, plate_before_skin, skin_rise)
for _place, _function in enumerate(_PARTS):
    vars(_function)["part_of"] = (schedule_peaks, _place)


def _events(given: Mapping[str, Any]) -> list[tuple[float, float]]:
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


class _Course(NamedTuple):
    """One schedule to be drawn: its plates, the air [degC], points in each interval, (heat, time to the next event)."""

    network: Network
    air: float
    points: int
    events: list[tuple[float, float]]


def _one_schedule(points: int, schedule: Mapping[str, Any]) -> _Course:
    signature = inspect.signature(schedule_peaks)
    bound = signature.bind(**schedule)
    bound.apply_defaults()
    given = bound.arguments
    network, _, air, _, shape = checked(given)
    (steps,) = whole(1, 1000, points_per_interval=points)
    if shape != ():
        name = next(n for n, value in given.items() if value is not None and np.ndim(value))
        raise MechanicsError(name, "must be a single number: a course is drawn for one kit at a time")
    return _Course(network, float(air), int(steps), _events(given))


@like(schedule_peaks)
def schedule_times(*, points_per_interval: int = 4, **schedule: Any) -> Array:
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
        Names an argument that is an array.

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
def schedule_temperatures(*, points_per_interval: int = 4, **schedule: Any) -> Array:
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
        Names an argument that is an array.

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
