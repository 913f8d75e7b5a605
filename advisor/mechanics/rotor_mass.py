"""Mass, inertia and energy of spinning parts, and the forces of what is off centre or comes off."""

import numpy as np

from .checks import below, not_negative, positive, result


def ring_mass(*, density, outer_radius, inner_radius, thickness):
    """Mass of a ring or disc of even thickness.

    Formula
    -------
    ring_mass = density * pi * (outer_radius**2 - inner_radius**2) * thickness

    Parameters
    ----------
    density : float or array
        Density: grey iron 7200, steel 7850, aluminium 2700, [kg/m3]
    outer_radius : float or array
        Outer radius, [m]
    inner_radius : float or array
        Inner radius, zero for a solid disc, [m]
    thickness : float or array
        Thickness, [m]

    Returns
    -------
    ring_mass : float or array
        Mass, [kg]

    Validity
    --------
    0 <= inner_radius < outer_radius; density and thickness above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    A steel floater 215/130 x 7:

    >>> round(ring_mass(density=7850, outer_radius=0.1075, inner_radius=0.065, thickness=0.007), 2)
    1.27

    References
    ----------
    .. [1] Elementary geometry.
    """
    mass, outer, thick = positive(density=density, outer_radius=outer_radius, thickness=thickness)
    (inner,) = not_negative(inner_radius=inner_radius)
    below("outer_radius", outer, inner_radius=inner)
    return result(mass * np.pi * (outer - inner) * (outer + inner) * thick)


def ring_inertia(*, mass, outer_radius, inner_radius):
    """Moment of inertia of a ring or disc of even thickness about its axis.

    Formula
    -------
    ring_inertia = mass / 2 * (outer_radius**2 + inner_radius**2)

    Parameters
    ----------
    mass : float or array
        Mass of the ring, see `ring_mass`, [kg]
    outer_radius : float or array
        Outer radius, [m]
    inner_radius : float or array
        Inner radius, zero for a solid disc, [m]

    Returns
    -------
    ring_inertia : float or array
        Moment of inertia, [kg m2]

    Validity
    --------
    0 <= inner_radius < outer_radius; mass above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(ring_inertia(mass=1.27, outer_radius=0.1075, inner_radius=0.065), 4)
    0.01

    References
    ----------
    .. [1] Elementary dynamics: inertia of a hollow cylinder.
    """
    weight, outer = positive(mass=mass, outer_radius=outer_radius)
    (inner,) = not_negative(inner_radius=inner_radius)
    below("outer_radius", outer, inner_radius=inner)
    return result(weight / 2 * (outer**2 + inner**2))


def disc_inertia(*, density, outer_radius, inner_radius, thickness):
    """Moment of inertia of a ring or disc from its material and size.

    Formula
    -------
    disc_inertia = density * pi / 2 * (outer_radius**4 - inner_radius**4) * thickness

    Parameters
    ----------
    density : float or array
        Density: grey iron 7200, steel 7850, aluminium 2700, [kg/m3]
    outer_radius : float or array
        Outer radius, [m]
    inner_radius : float or array
        Inner radius, zero for a solid disc, [m]
    thickness : float or array
        Thickness, [m]

    Returns
    -------
    disc_inertia : float or array
        Moment of inertia, [kg m2]

    Validity
    --------
    0 <= inner_radius < outer_radius; density and thickness above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    An iron flywheel 280 x 22 with a 40 mm bore:

    >>> round(disc_inertia(density=7200, outer_radius=0.14, inner_radius=0.02, thickness=0.022), 3)
    0.096

    References
    ----------
    .. [1] Elementary dynamics: inertia of a hollow cylinder.
    """
    mass = ring_mass(density=density, outer_radius=outer_radius, inner_radius=inner_radius, thickness=thickness)
    return ring_inertia(mass=mass, outer_radius=outer_radius, inner_radius=inner_radius)


def gyration_inertia(*, mass, gyration_radius):
    """Moment of inertia from mass and radius of gyration.

    Formula
    -------
    gyration_inertia = mass * gyration_radius**2

    Parameters
    ----------
    mass : float or array
        Mass, [kg]
    gyration_radius : float or array
        Radius of gyration, [m]

    Returns
    -------
    gyration_inertia : float or array
        Moment of inertia, [kg m2]

    Validity
    --------
    Both above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(gyration_inertia(mass=150, gyration_radius=0.25), 3)
    9.375

    References
    ----------
    .. [1] V. B. Bhandari, Design of Machine Elements, ch. 11, example 11.11.
    """
    weight, gyration = positive(mass=mass, gyration_radius=gyration_radius)
    return result(weight * gyration**2)


def rotor_energy(*, inertia, speed):
    """Energy of a spinning rotor.

    Formula
    -------
    rotor_energy = inertia / 2 * speed**2

    Parameters
    ----------
    inertia : float or array
        Moment of inertia, [kg m2]
    speed : float or array
        Speed of rotation, [rad/s]

    Returns
    -------
    rotor_energy : float or array
        Energy, [J]

    Validity
    --------
    inertia above zero; speed zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    0.15 kg m2 at 8000 rpm:

    >>> round(rotor_energy(inertia=0.15, speed=837.758) / 1000, 1)
    52.6

    References
    ----------
    .. [1] Elementary dynamics.
    """
    (turned,) = positive(inertia=inertia)
    (turning,) = not_negative(speed=speed)
    return result(turned / 2 * turning**2)


def imbalance_force(*, mass, radius, speed):
    """Outward force of a mass carried round: of an imbalance, or needed to hold a fragment.

    Formula
    -------
    imbalance_force = mass * radius * speed**2

    Parameters
    ----------
    mass : float or array
        Mass, [kg]
    radius : float or array
        Radius of its centre of gravity, [m]
    speed : float or array
        Speed of rotation, [rad/s]

    Returns
    -------
    imbalance_force : float or array
        Force, [N]

    Validity
    --------
    mass and radius above zero; speed zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    10 g at 100 mm and 7000 rpm:

    >>> round(imbalance_force(mass=0.010, radius=0.100, speed=733.038))
    537

    References
    ----------
    .. [1] Elementary dynamics.
    """
    weight, size = positive(mass=mass, radius=radius)
    (turning,) = not_negative(speed=speed)
    return result(weight * size * turning**2)


def fragment_energy(*, mass, radius, speed):
    """Energy of a fragment that comes off a spinning rotor.

    Formula
    -------
    fragment_energy = mass / 2 * (radius * speed)**2

    Parameters
    ----------
    mass : float or array
        Mass of the fragment, [kg]
    radius : float or array
        Radius of its centre of gravity, [m]
    speed : float or array
        Speed of rotation, [rad/s]

    Returns
    -------
    fragment_energy : float or array
        Energy of its flight, its own spin left out, [J]

    Validity
    --------
    mass and radius above zero; speed zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    0.5 kg at 120 mm and 8000 rpm:

    >>> round(fragment_energy(mass=0.5, radius=0.120, speed=837.758) / 1000, 1)
    2.5

    References
    ----------
    .. [1] Elementary dynamics.
    """
    weight, size = positive(mass=mass, radius=radius)
    (turning,) = not_negative(speed=speed)
    return result(weight / 2 * (size * turning) ** 2)
