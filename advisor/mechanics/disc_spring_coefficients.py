"""Coefficients K1 to K4 of the disc spring formulas in EN 16984."""

import numpy as np

from ._series import artanh_excess
from .checks import below, positive, refuse_where, result


def _ratio(diameter_ratio):
    """Checked ratio, and u = (ratio - 1) / (ratio + 1), so that log(ratio) = 2 artanh(u)."""
    (ratio,) = positive(diameter_ratio=diameter_ratio)
    refuse_where(ratio <= 1, "diameter_ratio", "must be above 1 (outer over inner diameter)", ratio)
    return ratio, (ratio - 1) / (ratio + 1)


def coefficient_k1(*, diameter_ratio):
    """Shape coefficient K1 of a disc spring.

    Formula
    -------
    bracket = (diameter_ratio + 1) / (diameter_ratio - 1) - 2 / log(diameter_ratio)
    coefficient_k1 = ((diameter_ratio - 1) / diameter_ratio)**2 / pi / bracket

    Parameters
    ----------
    diameter_ratio : float or array
        Outer over inner diameter, [-]

    Returns
    -------
    coefficient_k1 : float or array
        K1, [-]

    Validity
    --------
    diameter_ratio above 1.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(coefficient_k1(diameter_ratio=1.75), 4)
    0.6301

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation (closed form from memory, checked numerically).
    """
    ratio, u = _ratio(diameter_ratio)
    # 1/u - 1/artanh(u) cancels in thin rings; the series does not.
    return result(((ratio - 1) / ratio) ** 2 / np.pi * np.arctanh(u) / (u**2 * artanh_excess(u)))


def coefficient_k2(*, diameter_ratio):
    """Stress coefficient K2 of a disc spring.

    Formula
    -------
    coefficient_k2 = 6 / pi * ((diameter_ratio - 1) / log(diameter_ratio) - 1) / log(diameter_ratio)

    Parameters
    ----------
    diameter_ratio : float or array
        Outer over inner diameter, [-]

    Returns
    -------
    coefficient_k2 : float or array
        K2, [-]

    Validity
    --------
    diameter_ratio above 1.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(coefficient_k2(diameter_ratio=2), 4)
    1.2198

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation (closed form from memory, checked numerically).
    """
    ratio, _ = _ratio(diameter_ratio)
    logarithm = np.log(ratio)
    return result(6 / np.pi * ((ratio - 1) / logarithm - 1) / logarithm)


def coefficient_k3(*, diameter_ratio):
    """Stress coefficient K3 of a disc spring.

    Formula
    -------
    coefficient_k3 = 3 / pi * (diameter_ratio - 1) / log(diameter_ratio)

    Parameters
    ----------
    diameter_ratio : float or array
        Outer over inner diameter, [-]

    Returns
    -------
    coefficient_k3 : float or array
        K3, [-]

    Validity
    --------
    diameter_ratio above 1.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(coefficient_k3(diameter_ratio=2), 4)
    1.3777

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation (closed form from memory, checked numerically).
    """
    ratio, _ = _ratio(diameter_ratio)
    return result(3 / np.pi * (ratio - 1) / np.log(ratio))


def contact_flat_factor(*, thickness, reduced_thickness, free_height):
    """Factor K4 of a disc spring with contact flats and reduced thickness (group 3, over 6 mm).

    Formula
    -------
    kept = reduced_thickness / thickness
    tall = free_height / thickness
    c1 = kept**2 / ((tall / 4 - kept + 3/4) * (5/8 * tall - kept + 3/8))
    c2 = c1 / kept**3 * (5/32 * (tall - 1)**2 + 1)
    contact_flat_factor = sqrt(-c1 / 2 + sqrt((c1 / 2)**2 + c2))

    Parameters
    ----------
    thickness : float or array
        Thickness before reduction, [m]
    reduced_thickness : float or array
        Reduced thickness, [m]
    free_height : float or array
        Free overall height, [m]

    Returns
    -------
    contact_flat_factor : float or array
        K4; to `disc_spring.load` then give the reduced thickness, and the free height less it as cone height, [-]

    Validity
    --------
    0 < reduced_thickness < thickness < free_height.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(contact_flat_factor(thickness=8e-3, reduced_thickness=7.5e-3, free_height=10.6e-3), 3)
    1.083

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation (closed form from memory, checked numerically).
    """
    thick, reduced, height = positive(thickness=thickness, reduced_thickness=reduced_thickness, free_height=free_height)
    below("thickness", thick, reduced_thickness=reduced)
    below("free_height", height, thickness=thick)
    kept, tall = reduced / thick, height / thick
    c1 = kept**2 / ((tall / 4 - kept + 3 / 4) * (5 * tall / 8 - kept + 3 / 8))
    c2 = c1 / kept**3 * (5 / 32 * (tall - 1) ** 2 + 1)
    return result(np.sqrt(-c1 / 2 + np.sqrt((c1 / 2) ** 2 + c2)))
