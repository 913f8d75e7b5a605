"""Oil film on the crankshaft's thrust face, where it has ramps.

Film grows with speed, so idle with the pedal down is the worst case.
"""

import numpy as np

from ._series import artanh_excess
from .checks import positive, refuse_where, result, share, within


def incline_coefficient(*, gap_ratio):
    """Load coefficient of an infinitely wide fixed-incline pad.

    Formula
    -------
    incline_coefficient = 6 / (gap_ratio - 1)**2 * (log(gap_ratio) - 2 * (gap_ratio - 1) / (gap_ratio + 1))

    Parameters
    ----------
    gap_ratio : float or array
        Inlet over outlet film thickness, [-]

    Returns
    -------
    incline_coefficient : float or array
        Coefficient, zero for parallel faces, at most 0.1602 at a ratio of 2.19, [-]

    Validity
    --------
    gap_ratio from 1 to 100.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(incline_coefficient(gap_ratio=2.19), 4)
    0.1602

    References
    ----------
    .. [1] Reynolds equation for a plane slider, found in lubrication textbooks (from memory).
    """
    (ratio,) = within(1, 100, gap_ratio=gap_ratio)
    # log(k) - 2(k-1)/(k+1) loses all digits near k = 1; its series in u = (k-1)/(k+1) does not.
    u = (ratio - 1) / (ratio + 1)
    return result(12 * u * artanh_excess(u) / (ratio + 1) ** 2)


def film_thickness(*, thrust_load, viscosity, sliding_speed, pad_length, pad_width, gap_ratio, leakage_factor=1.0):
    """Least oil film under a fixed-incline thrust pad.

    Formula
    -------
    coefficient = 6 / (gap_ratio - 1)**2 * (log(gap_ratio) - 2 * (gap_ratio - 1) / (gap_ratio + 1))
    load_times_film_squared = leakage_factor * coefficient * viscosity * sliding_speed * pad_length**2 * pad_width
    film_thickness = sqrt(load_times_film_squared / thrust_load)

    Parameters
    ----------
    thrust_load : float or array
        Load on the pad, [N]
    viscosity : float or array
        Dynamic viscosity of the oil, [Pa s]
    sliding_speed : float or array
        Rubbing speed; that of idle is the worst case, [m/s]
    pad_length : float or array
        Length of the ramp in the direction of sliding, [m]
    pad_width : float or array
        Width across it, [m]
    gap_ratio : float or array
        Inlet over outlet film thickness, see `incline_coefficient`, [-]
    leakage_factor : float or array
        Share left after side leakage, 0.1 to 0.5 for width over length of 0.25 to 1, [-]

    Returns
    -------
    film_thickness : float or array
        Outlet film thickness, [m]

    Validity
    --------
    All above zero; gap_ratio above 1 and at most 100 (parallel faces carry no film by this relation).

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    Halving the speed costs 29 % of the film:

    >>> fast = film_thickness(thrust_load=200, viscosity=0.01, sliding_speed=11, pad_length=0.03, pad_width=0.01,
    ...                       gap_ratio=2, leakage_factor=0.2)
    >>> slow = film_thickness(thrust_load=200, viscosity=0.01, sliding_speed=5.5, pad_length=0.03, pad_width=0.01,
    ...                       gap_ratio=2, leakage_factor=0.2)
    >>> round(slow / fast, 3)
    0.707

    References
    ----------
    .. [1] Reynolds equation for a plane slider, found in lubrication textbooks (from memory).
    """
    load, oil, velocity, length, width = positive(
        thrust_load=thrust_load, viscosity=viscosity, sliding_speed=sliding_speed, pad_length=pad_length,
        pad_width=pad_width)
    (kept,) = share(leakage_factor=leakage_factor)
    (gap,) = within(1, 100, gap_ratio=gap_ratio)
    refuse_where(gap == 1, "gap_ratio", "must be above 1", gap)
    coefficient = incline_coefficient(gap_ratio=gap)
    return result(np.sqrt(kept * coefficient * oil * velocity * length**2 * width / load))


def film_left(*, load_ratio, speed_ratio):
    """Share of a known film left at another load and speed, geometry and oil unchanged.

    Formula
    -------
    film_left = sqrt(speed_ratio / load_ratio)

    Parameters
    ----------
    load_ratio : float or array
        Load over the load at which the film is known, [-]
    speed_ratio : float or array
        Speed over the speed at which it is known; idle over that speed in the worst case, [-]

    Returns
    -------
    film_left : float or array
        Film thickness over the known one, [-]

    Validity
    --------
    Both above zero; film as the inverse square root of load, as under a fixed incline.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    A release load 1.4 times the factory's costs 15 % of the film at the same speed:

    >>> round(film_left(load_ratio=1.4, speed_ratio=1), 2)
    0.85

    References
    ----------
    .. [1] Reynolds equation for a plane slider, found in lubrication textbooks (from memory).
    """
    load, velocity = positive(load_ratio=load_ratio, speed_ratio=speed_ratio)
    return result(np.sqrt(velocity / load))
