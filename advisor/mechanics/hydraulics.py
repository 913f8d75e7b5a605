"""Clutch hydraulics: areas, ratios and line pressure."""

import numpy as np

from .argument_checks import Numbers, positive, result


def bore_area(*, bore: Numbers) -> Numbers:
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


def hydraulic_ratio(*, slave_area: Numbers, master_area: Numbers) -> Numbers:
    """Ratio of a pair of clutch cylinders: master travel over slave travel.

    Formula
    -------
    hydraulic_ratio = slave_area / master_area

    Parameters
    ----------
    slave_area : float or array
        Area of the slave cylinder, see `bore_area`, [m2]
    master_area : float or array
        Area of the master cylinder, [m2]

    Returns
    -------
    hydraulic_ratio : float or array
        Ratio, [-]

    Validity
    --------
    Both above zero.

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


def hydraulic_ratio_of_bores(*, slave_bore: Numbers, master_bore: Numbers) -> Numbers:
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
