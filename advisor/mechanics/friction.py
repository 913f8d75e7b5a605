"""Torque capacity, pressure and sizing of dry friction faces."""

import numpy as np

from .checks import positive, result, whole


def torque_capacity(*, friction_coefficient, clamp_load, mean_radius, friction_surfaces):
    """Torque a stack of friction surfaces holds before it slips.

    Formula
    -------
    torque = friction_surfaces * friction_coefficient * clamp_load * mean_radius

    Parameters
    ----------
    friction_coefficient : float or array
        Friction coefficient of facing on iron or steel, [-]
    clamp_load : float or array
        Clamp load of the cover, [N]
    mean_radius : float or array
        Radius at which the friction force acts, see `mean_radius`, [m]
    friction_surfaces : int or array
        Number of friction surfaces, two for each disc, [-]

    Returns
    -------
    torque : float or array
        Torque capacity, [N m]

    Validity
    --------
    All arguments above zero; friction_surfaces a whole number from 1 to 64.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    The nine-spring clutch of [1]_, uniform wear, gives 2.142 times 250 N m:

    >>> round(torque_capacity(friction_coefficient=0.35, clamp_load=7200, mean_radius=0.10625, friction_surfaces=2), 2)
    535.5

    References
    ----------
    .. [1] V. B. Bhandari, Design of Machine Elements, ch. 11, example 11.6.
    """
    mu, load, radius = positive(friction_coefficient=friction_coefficient, clamp_load=clamp_load, mean_radius=mean_radius)
    (surfaces,) = whole(1, 64, friction_surfaces=friction_surfaces)
    return result(surfaces * mu * load * radius)
