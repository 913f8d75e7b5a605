"""Clutch hydraulics: areas, ratios and line pressure."""

import numpy as np

from .checks import below, not_negative, positive, result


def bore_area(*, bore):
    """Area of a cylinder bore.

    Formula
    -------
    bore_area = pi/4 * bore**2

    Parameters
    ----------
    bore : float or array
        Bore of the cylinder, [m]

    Returns
    -------
    bore_area : float or array
        Area, [m2]

    Validity
    --------
    bore above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(bore_area(bore=0.01905) * 1e6, 1)
    285.0

    References
    ----------
    .. [1] Area of a circle, elementary geometry.
    """
    (diameter,) = positive(bore=bore)
    return result(np.pi / 4 * diameter**2)


def concentric_area(*, outer_bore, inner_bore):
    """Area of a concentric slave cylinder.

    Formula
    -------
    concentric_area = pi/4 * (outer_bore**2 - inner_bore**2)

    Parameters
    ----------
    outer_bore : float or array
        Outer diameter of the pressure space, [m]
    inner_bore : float or array
        Inner diameter of the pressure space, [m]

    Returns
    -------
    concentric_area : float or array
        Area; cars 900 to 1200 mm2, [m2]

    Validity
    --------
    0 < inner_bore < outer_bore.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(concentric_area(outer_bore=0.0545, inner_bore=0.040) * 1e6)
    1076

    References
    ----------
    .. [1] Area of a ring, elementary geometry; the range is common practice, no source.
    """
    outer, inner = positive(outer_bore=outer_bore, inner_bore=inner_bore)
    below("outer_bore", outer, inner_bore=inner)
    return result(np.pi / 4 * (outer - inner) * (outer + inner))


def hydraulic_ratio(*, slave_area, master_area):
    """Ratio of a pair of clutch cylinders: master travel over slave travel.

    Formula
    -------
    hydraulic_ratio = slave_area / master_area

    Parameters
    ----------
    slave_area : float or array
        Area of the slave cylinder, see `bore_area` or `concentric_area`, [m2]
    master_area : float or array
        Area of the master cylinder, [m2]

    Returns
    -------
    hydraulic_ratio : float or array
        Ratio, [-]

    Validity
    --------
    Both above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(hydraulic_ratio(slave_area=1075e-6, master_area=285e-6), 2)
    3.77

    References
    ----------
    .. [1] Volume balance of a closed line, elementary hydraulics.
    """
    slave, master = positive(slave_area=slave_area, master_area=master_area)
    return result(slave / master)


def hydraulic_ratio_of_bores(*, slave_bore, master_bore):
    """Ratio of a pair of plain clutch cylinders by their bores.

    Formula
    -------
    hydraulic_ratio = (slave_bore / master_bore)**2

    Parameters
    ----------
    slave_bore : float or array
        Bore of the slave cylinder, [m]
    master_bore : float or array
        Bore of the master cylinder, [m]

    Returns
    -------
    hydraulic_ratio : float or array
        Ratio, [-]

    Validity
    --------
    Both above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(hydraulic_ratio_of_bores(slave_bore=0.02064, master_bore=0.01587), 3)
    1.691

    References
    ----------
    .. [1] Volume balance of a closed line, elementary hydraulics.
    """
    slave, master = positive(slave_bore=slave_bore, master_bore=master_bore)
    return result((slave / master) ** 2)


def line_pressure(*, bearing_load, slave_area, fork_ratio=1.0):
    """Pressure in the clutch line.

    Formula
    -------
    line_pressure = bearing_load / (fork_ratio * slave_area)

    Parameters
    ----------
    bearing_load : float or array
        Load at the release bearing, [N]
    slave_area : float or array
        Area of the slave cylinder, [m2]
    fork_ratio : float or array
        Fork's outer over inner arm; 1 for a concentric cylinder, [-]

    Returns
    -------
    line_pressure : float or array
        Gauge pressure, [Pa]

    Validity
    --------
    bearing_load zero or above, the others above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(line_pressure(bearing_load=1600, slave_area=1075e-6) / 1e6, 2)
    1.49

    References
    ----------
    .. [1] Force over area, elementary hydraulics.
    """
    (load,) = not_negative(bearing_load=bearing_load)
    area, fork = positive(slave_area=slave_area, fork_ratio=fork_ratio)
    return result(load / (fork * area))
