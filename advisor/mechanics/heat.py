"""Heat of slip in plates and facings: shares, rise by one event, and load on the facing area.

Cooling and repeated events stand in `cooling`, the surface in `heat_flash` and `heat_slab`; their names are offered here too.
"""

import numpy as np

from .checks import not_negative, positive, result, whole
from .cooling import (
    cooled_temperature,
    cooling_time_constant,
    launches_until,
    neighbour_time_constant,
    peak_rise_after,
    repeated_peak_rise,
    ring_air_area,
)
from .heat_slab import heated_depth, slab_peak_rise, slab_rise_constant, slab_rise_falling_at
from .heat_flash import (
    effusivity,
    flash_rise,
    flash_rise_falling,
    flash_rise_falling_at,
    metal_heat_share,
    surface_temperature,
)

__all__ = [
    "cooled_temperature", "cooling_time_constant", "effusivity", "energy_per_area", "flash_rise", "flash_rise_falling",
    "flash_rise_falling_at", "floater_heat_share", "heat_share", "heated_depth", "launches_until", "metal_heat_share",
    "neighbour_time_constant", "peak_rise_after", "power_per_area", "repeated_peak_rise", "ring_air_area",
    "slab_peak_rise", "slab_rise_constant", "slab_rise_falling_at", "surface_temperature", "temperature_rise",
]


def heat_share(*, discs):
    """Share of the slip heat that one metal friction surface takes.

    Every one of the two surfaces of each disc makes the same heat; all of it is booked to the metal, the careful
    choice, because a facing conducts little.

    Formula
    -------
    share = 1 / (2 * discs)

    Parameters
    ----------
    discs : int or array
        Number of clutch discs, [-]

    Returns
    -------
    share : float or array
        Share for one metal surface, also for flywheel or pressure plate, [-]

    Validity
    --------
    Whole number of discs from 1 to 8; equal torque on every surface.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> heat_share(discs=2)
    0.25

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design (from memory): 0.5 for a single, 0.25 and 0.5 for a twin; triples derived.
    """
    (number,) = whole(1, 8, discs=discs)
    return result(1 / (2 * number))


def floater_heat_share(*, discs):
    """Share of the slip heat that one floater takes: it has two hot faces.

    Formula
    -------
    share = min(1, discs - 1) / discs

    Parameters
    ----------
    discs : int or array
        Number of clutch discs, [-]

    Returns
    -------
    share : float or array
        Share for one floater; 0 for a single disc, which has none, [-]

    Validity
    --------
    Whole number of discs from 1 to 8; equal torque on every surface.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> floater_heat_share(discs=2)
    0.5
    >>> floater_heat_share(discs=1)
    0.0

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design (from memory): 0.5 for a single, 0.25 and 0.5 for a twin; triples derived.
    """
    (number,) = whole(1, 8, discs=discs)
    return result(np.where(number > 1, 1 / number, 0.0))


def temperature_rise(*, energy, mass, specific_heat):
    """Rise of a plate that takes in heat faster than it can lose it.

    Formula
    -------
    rise = energy / (mass * specific_heat)

    Parameters
    ----------
    energy : float or array
        Heat the plate takes, already times its share, [J]
    mass : float or array
        Mass of the plate, [kg]
    specific_heat : float or array
        Specific heat, iron 480 to 540, steel 480, aluminium 900, [J/(kg K)]

    Returns
    -------
    rise : float or array
        Mean rise of the plate, [K]

    Validity
    --------
    One event shorter than the time constant of the plate.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    A 1.27 kg floater of a twin, half of 40 kJ:

    >>> round(temperature_rise(energy=20000, mass=1.27, specific_heat=480), 1)
    32.8

    References
    ----------
    .. [1] J. E. Shigley et al., Mechanical Engineering Design, ch. 16 (from memory).
    """
    (heat,) = not_negative(energy=energy)
    m, c = positive(mass=mass, specific_heat=specific_heat)
    return result(heat / (m * c))


def energy_per_area(*, energy, facing_area):
    """Heat of one event over the whole facing area.

    Formula
    -------
    density = energy / facing_area

    Parameters
    ----------
    energy : float or array
        Heat of one event, [J]
    facing_area : float or array
        Area of all friction surfaces together, [m2]

    Returns
    -------
    density : float or array
        Heat per area; 1 J/mm2 is 1e6 of this, [J/m2]

    Validity
    --------
    Energy zero or above, area above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    Textbook start of a 1500 kg car on 240/155 mm facings, 0.31 J/mm2:

    >>> round(energy_per_area(energy=16.1e3, facing_area=0.05274) / 1e6, 2)
    0.31

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design (from memory): at most 0.40 J/mm2 for cars.
    """
    (heat,) = not_negative(energy=energy)
    (area,) = positive(facing_area=facing_area)
    return result(heat / area)


def power_per_area(*, clutch_torque, slip_speed, facing_area):
    """Friction power over the facing area at one moment of the slip.

    Formula
    -------
    density = clutch_torque * slip_speed / facing_area

    Parameters
    ----------
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    slip_speed : float or array
        Driving less driven speed, [rad/s]
    facing_area : float or array
        Area of all friction surfaces together, [m2]

    Returns
    -------
    density : float or array
        Power per area; 1 W/mm2 is 1e6 of this, [W/m2]

    Validity
    --------
    Highest at the start of a slip under constant torque.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> power_per_area(clutch_torque=300, slip_speed=300, facing_area=0.05) / 1e6
    1.8

    References
    ----------
    .. [1] M. J. Neale (ed.), The Tribology Handbook, table 7.4, lists 0.3 to 4 W/mm2 by facing.
    """
    torque, area = positive(clutch_torque=clutch_torque, facing_area=facing_area)
    (slip,) = not_negative(slip_speed=slip_speed)
    return result(torque * slip / area)
