"""Spinning discs: stress and bursting, mass, inertia and energy.

These figures rank parts and show what is at stake. They certify nothing: only a
part proved by its maker, inside a proper shield, may be called safe at a speed.
"""

import numpy as np

from .argument_checks import Array, Numbers, below, not_negative, positive, result, within


def _disc(
    density: Numbers, outer_radius: Numbers, inner_radius: Numbers, poisson_ratio: Numbers
) -> tuple[Array, Array, Array, Array]:
    """Checked density, radii and Poisson's ratio of a disc."""
    mass, outer = positive(density=density, outer_radius=outer_radius)
    (inner,) = not_negative(inner_radius=inner_radius)
    below("outer_radius", outer, inner_radius=inner)
    (poisson,) = within(0, 0.5, poisson_ratio=poisson_ratio)
    return mass, outer, inner, poisson


def _peak(outer: Array, inner: Array, poisson: Array) -> Array:
    """Greatest stress by density and square of speed; without a bore it is half of that with the least bore."""
    bored = ((3 + poisson) * outer**2 + (1 - poisson) * inner**2) / 4
    return np.where(inner > 0, bored, bored / 2)


def ring_stress(*, density: Numbers, radius: Numbers, speed: Numbers) -> Numbers:
    """Hoop stress of a thin rotating ring.

    Formula
    -------
    ring_stress = density * (radius * speed)**2

    Parameters
    ----------
    density : float or array
        Density: grey iron 7200, steel 7850, aluminium 2700, [kg/m3]
    radius : float or array
        Mean radius of the ring, [m]
    speed : float or array
        Speed of rotation, [rad/s]

    Returns
    -------
    ring_stress : float or array
        Stress, [Pa]

    Validity
    --------
    density and radius above zero; speed zero or above; thickness small against the radius.

    Examples
    --------
    Steel, 150 mm, 10 000 rpm:

    >>> round(ring_stress(density=7850, radius=0.15, speed=1047.198) / 1e6, 1)
    193.7

    References
    ----------
    .. [1] Mechanical Engineer's Data Handbook, p. 15.
    """
    mass, size = positive(density=density, radius=radius)
    (turning,) = not_negative(speed=speed)
    return result(mass * (size * turning) ** 2)


def disc_stress(
    *, density: Numbers, poisson_ratio: Numbers, outer_radius: Numbers, inner_radius: Numbers, speed: Numbers
) -> Numbers:
    """Greatest stress of a rotating flat disc: at its centre, or at its bore.

    Formula
    -------
    bored = density * speed**2 / 4 * ((3 + poisson_ratio) * outer_radius**2 + (1 - poisson_ratio) * inner_radius**2)
    disc_stress = bored if inner_radius > 0 else bored / 2

    Parameters
    ----------
    density : float or array
        Density: grey iron 7200, steel 7850, aluminium 2700, [kg/m3]
    poisson_ratio : float or array
        Poisson's ratio, 0.3 for steel, [-]
    outer_radius : float or array
        Outer radius, [m]
    inner_radius : float or array
        Radius of the bore, zero for none; even a small bore doubles the stress, [m]
    speed : float or array
        Speed of rotation, [rad/s]

    Returns
    -------
    disc_stress : float or array
        Tangential stress, [Pa]

    Validity
    --------
    0 <= inner_radius < outer_radius; density above zero; poisson_ratio from 0 to 0.5; even thickness, no holes, cold.

    Examples
    --------
    Solid steel disc, 150 mm, 10 000 rpm:

    >>> round(disc_stress(density=7850, poisson_ratio=0.3, outer_radius=0.15, inner_radius=0, speed=1047.198) / 1e6, 1)
    79.9

    References
    ----------
    .. [1] Mechanical Engineer's Data Handbook, p. 15 (thin ring, solid disc).
    .. [2] J. E. Shigley, C. R. Mischke, Mechanical Engineering Design, 5th ed., as reprinted (disc with a bore).
    """
    mass, outer, inner, poisson = _disc(density, outer_radius, inner_radius, poisson_ratio)
    (turning,) = not_negative(speed=speed)
    return result(mass * turning**2 * _peak(outer, inner, poisson))


def speed_at_stress(
    *,
    stress_limit: Numbers,
    density: Numbers,
    poisson_ratio: Numbers,
    outer_radius: Numbers,
    inner_radius: Numbers,
    stress_concentration: Numbers = 1.0,
) -> Numbers:
    """Speed at which a disc's greatest stress, raised by holes and cracks, reaches a limit.

    Formula
    -------
    bored = density / 4 * ((3 + poisson_ratio) * outer_radius**2 + (1 - poisson_ratio) * inner_radius**2)
    stress_at_unit_speed = bored if inner_radius > 0 else bored / 2
    speed_at_stress = sqrt(stress_limit / (stress_concentration * stress_at_unit_speed))

    Parameters
    ----------
    stress_limit : float or array
        Tensile strength, or a share of it, [Pa]
    density : float or array
        Density: grey iron 7200, steel 7850, aluminium 2700, [kg/m3]
    poisson_ratio : float or array
        Poisson's ratio, 0.3 for steel, [-]
    outer_radius : float or array
        Outer radius, [m]
    inner_radius : float or array
        Radius of the bore, zero for none, [m]
    stress_concentration : float or array
        Peak over smooth stress: 2 to 3 at bolt holes, [-]

    Returns
    -------
    speed_at_stress : float or array
        Speed, [rad/s]

    Validity
    --------
    As `disc_stress`; stress_limit above zero; stress_concentration from 1 to 10.

    Examples
    --------
    A grey-iron wheel of 300 mm, 40 mm bore, bolt holes: about 7400 rpm

    >>> w = speed_at_stress(stress_limit=200e6, density=7200, poisson_ratio=0.26, outer_radius=0.15, inner_radius=0.02,
    ...                     stress_concentration=2.5)
    >>> round(w * 30 / 3.14159265, -1)
    7420.0

    References
    ----------
    .. [1] Mechanical Engineer's Data Handbook, p. 15 (thin ring, solid disc).
    .. [2] J. E. Shigley, C. R. Mischke, Mechanical Engineering Design, 5th ed., as reprinted (disc with a bore).
    """
    mass, outer, inner, poisson = _disc(density, outer_radius, inner_radius, poisson_ratio)
    (limit,) = positive(stress_limit=stress_limit)
    (raised,) = within(1, 10, stress_concentration=stress_concentration)
    return result(np.sqrt(limit / (raised * mass * _peak(outer, inner, poisson))))


def ring_mass(*, density: Numbers, outer_radius: Numbers, inner_radius: Numbers, thickness: Numbers) -> Numbers:
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


def ring_inertia(*, mass: Numbers, outer_radius: Numbers, inner_radius: Numbers) -> Numbers:
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


def disc_inertia(*, density: Numbers, outer_radius: Numbers, inner_radius: Numbers, thickness: Numbers) -> Numbers:
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


def rotor_energy(*, inertia: Numbers, speed: Numbers) -> Numbers:
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
