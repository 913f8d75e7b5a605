"""Covers with coil springs, as in textbooks: their clamp load only falls with wear."""

from .argument_checks import Numbers, not_negative, positive, refuse_where, result, whole


def coil_clamp(*, springs: Numbers, spring_rate: Numbers, fitted_compression: Numbers, wear: Numbers = 0.0) -> Numbers:
    """Clamp load of a cover with coil springs at a wear of the facings.

    Formula
    -------
    coil_clamp = springs * spring_rate * (fitted_compression - wear)

    Parameters
    ----------
    springs : int or array
        Number of springs, [-]
    spring_rate : float or array
        Rate of one spring, [N/m]
    fitted_compression : float or array
        Compression of each spring with new facings, [m]
    wear : float or array
        Wear of all friction faces together, [m]

    Returns
    -------
    coil_clamp : float or array
        Load on the plate, [N]

    Validity
    --------
    springs a whole number from 1 to 60; spring_rate and fitted_compression above zero; 0 <= wear <=
    fitted_compression.

    Examples
    --------
    >>> round(coil_clamp(springs=9, spring_rate=160e3, fitted_compression=5e-3))
    7200

    References
    ----------
    .. [1] V. B. Bhandari, Design of Machine Elements, ch. 11, example 11.6.
    """
    (count,) = whole(1, 60, springs=springs)
    stiffness, fitted = positive(spring_rate=spring_rate, fitted_compression=fitted_compression)
    (worn,) = not_negative(wear=wear)
    refuse_where(worn > fitted, "wear", "must not be above fitted_compression", worn)
    return result(count * stiffness * (fitted - worn))


def coil_compression(*, clamp_load: Numbers, springs: Numbers, spring_rate: Numbers) -> Numbers:
    """Compression at which a cover's coil springs give a clamp load.

    Formula
    -------
    coil_compression = clamp_load / (springs * spring_rate)

    Parameters
    ----------
    clamp_load : float or array
        Clamp load, [N]
    springs : int or array
        Number of springs, [-]
    spring_rate : float or array
        Rate of one spring, [N/m]

    Returns
    -------
    coil_compression : float or array
        Compression of each spring, [m]

    Validity
    --------
    springs a whole number from 1 to 60; the others above zero.

    Examples
    --------
    >>> round(coil_compression(clamp_load=3922, springs=8, spring_rate=40e3) * 1000, 2)
    12.26

    References
    ----------
    .. [1] R. S. Khurmi and J. K. Gupta, Theory of Machines, ch. 10 (eight-spring clutch).
    """
    (count,) = whole(1, 60, springs=springs)
    load, stiffness = positive(clamp_load=clamp_load, spring_rate=spring_rate)
    return result(load / (count * stiffness))


def coil_wear_allowed(
    *, clamp_load_needed: Numbers, springs: Numbers, spring_rate: Numbers, fitted_compression: Numbers
) -> Numbers:
    """Wear of all faces at which a coil-spring cover falls to a clamp load.

    Formula
    -------
    coil_wear_allowed = fitted_compression - clamp_load_needed / (springs * spring_rate)

    Parameters
    ----------
    clamp_load_needed : float or array
        Clamp load needed, see `friction.clamp_load_for_torque`, [N]
    springs : int or array
        Number of springs, [-]
    spring_rate : float or array
        Rate of one spring, [N/m]
    fitted_compression : float or array
        Compression of each spring with new facings, [m]

    Returns
    -------
    coil_wear_allowed : float or array
        Wear; below zero the springs never held the load, [m]

    Validity
    --------
    springs a whole number from 1 to 60; the others above zero.

    Examples
    --------
    >>> round(coil_wear_allowed(clamp_load_needed=3361.34, springs=9, spring_rate=160e3,
    ...                         fitted_compression=5e-3) * 1000, 3)
    2.666

    References
    ----------
    .. [1] V. B. Bhandari, Design of Machine Elements, ch. 11, example 11.6.
    """
    (count,) = whole(1, 60, springs=springs)
    needed, stiffness, fitted = positive(
        clamp_load_needed=clamp_load_needed, spring_rate=spring_rate, fitted_compression=fitted_compression
    )
    return result(fitted - needed / (count * stiffness))
