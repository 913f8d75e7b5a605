"""Stress and bursting of spinning discs; mass, inertia and energy stand in `rotor_mass`, offered here too.

These figures rank parts and show what is at stake. They certify nothing: only a
part proved by its maker, inside a proper shield, may be called safe at a speed.
"""

import numpy as np

from .checks import below, not_negative, positive, result, within
from .rotor_mass import (
    disc_inertia,
    fragment_energy,
    gyration_inertia,
    imbalance_force,
    ring_inertia,
    ring_mass,
    rotor_energy,
)

__all__ = ["burst_margin", "disc_inertia", "disc_stress", "fragment_energy", "gyration_inertia", "imbalance_force",
           "mean_disc_stress", "rim_speed", "ring_inertia", "ring_mass", "ring_stress", "rotor_energy",
           "speed_at_stress"]


def _disc(density, outer_radius, inner_radius, poisson_ratio):
    """Checked density, radii and Poisson's ratio of a disc."""
    mass, outer = positive(density=density, outer_radius=outer_radius)
    (inner,) = not_negative(inner_radius=inner_radius)
    below("outer_radius", outer, inner_radius=inner)
    (poisson,) = within(0, 0.5, poisson_ratio=poisson_ratio)
    return mass, outer, inner, poisson


def _peak(outer, inner, poisson):
    """Greatest stress by density and square of speed; without a bore it is half of that with the least bore."""
    bored = ((3 + poisson) * outer**2 + (1 - poisson) * inner**2) / 4
    return np.where(inner > 0, bored, bored / 2)


def ring_stress(*, density, radius, speed):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def disc_stress(*, density, poisson_ratio, outer_radius, inner_radius, speed):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def mean_disc_stress(*, density, outer_radius, inner_radius, speed):
    """Tangential stress averaged over a disc's section, on which ductile discs burst.

    Formula
    -------
    mean_disc_stress = density * speed**2 * (outer_radius**2 + outer_radius * inner_radius + inner_radius**2) / 3

    Parameters
    ----------
    density : float or array
        Density: grey iron 7200, steel 7850, aluminium 2700, [kg/m3]
    outer_radius : float or array
        Outer radius, [m]
    inner_radius : float or array
        Radius of the bore, zero for none, [m]
    speed : float or array
        Speed of rotation, [rad/s]

    Returns
    -------
    mean_disc_stress : float or array
        Stress; ductile discs burst at 0.75 to 1.0 of the tensile strength, [Pa]

    Validity
    --------
    0 <= inner_radius < outer_radius; density above zero; speed zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(mean_disc_stress(density=7850, outer_radius=0.15, inner_radius=0.02, speed=1047.198) / 1e6, 1)
    74.3

    References
    ----------
    .. [1] Robinson's average-stress rule for bursting discs (from memory).
    """
    mass, outer, inner, _ = _disc(density, outer_radius, inner_radius, 0.0)
    (turning,) = not_negative(speed=speed)
    return result(mass * turning**2 * (outer**2 + outer * inner + inner**2) / 3)


def speed_at_stress(*, stress_limit, density, poisson_ratio, outer_radius, inner_radius, stress_concentration=1.0):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def burst_margin(*, burst_speed, highest_speed):
    """Speed a rotor stands over the highest speed it can meet.

    Formula
    -------
    burst_margin = burst_speed / highest_speed

    Parameters
    ----------
    burst_speed : float or array
        Speed at which it would burst, or was proved, see `speed_at_stress`, [rad/s]
    highest_speed : float or array
        Highest speed, over-revving on a down-shift included, [rad/s]

    Returns
    -------
    burst_margin : float or array
        Margin; stress goes with its square, [-]

    Validity
    --------
    Both above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(burst_margin(burst_speed=778, highest_speed=733), 2)
    1.06

    References
    ----------
    Common practice, no source.
    """
    burst, highest = positive(burst_speed=burst_speed, highest_speed=highest_speed)
    return result(burst / highest)


def rim_speed(*, outer_radius, speed):
    """Speed of a rotor's rim.

    Formula
    -------
    rim_speed = outer_radius * speed

    Parameters
    ----------
    outer_radius : float or array
        Outer radius, [m]
    speed : float or array
        Speed of rotation, [rad/s]

    Returns
    -------
    rim_speed : float or array
        Speed, [m/s]

    Validity
    --------
    outer_radius above zero; speed zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    300 mm at 7000 rpm:

    >>> round(rim_speed(outer_radius=0.15, speed=733.038))
    110

    References
    ----------
    .. [1] Elementary kinematics.
    """
    (outer,) = positive(outer_radius=outer_radius)
    (turning,) = not_negative(speed=speed)
    return result(outer * turning)
