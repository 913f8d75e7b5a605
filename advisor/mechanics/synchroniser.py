"""Synchroniser: what a heavier disc costs at the gear lever."""

import numpy as np

from .checks import choice, finite, not_negative, positive, refuse_where, result, whole


def cone_torque(*, force, friction_coefficient, cone_radius, cone_angle, cones=1):
    """Friction torque of a synchroniser cone.

    Formula
    -------
    torque = cones * force * friction_coefficient * cone_radius / sin(cone_angle)

    Parameters
    ----------
    force : float or array
        Force on the sleeve, [N]
    friction_coefficient : float or array
        Friction on the cone, 0.08 to 0.12, [-]
    cone_radius : float or array
        Mean radius of the cone, [m]
    cone_angle : float or array
        Half angle of the cone, 6 to 7.5 degrees, [rad]
    cones : int or array
        Cones working together, [-]

    Returns
    -------
    torque : float or array
        Torque on the gear to be synchronised, [N m]

    Validity
    --------
    Angle above 0 and below pi / 2; 1 to 3 cones.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> from math import radians
    >>> round(cone_torque(force=600, friction_coefficient=0.10, cone_radius=0.033, cone_angle=radians(6.5)), 1)
    17.5

    References
    ----------
    .. [1] R. J. Socin, L. K. Walters, Manual Transmission Synchronizers, SAE 680008 (from memory).
    """
    f, mu, radius, angle = positive(
        force=force, friction_coefficient=friction_coefficient, cone_radius=cone_radius, cone_angle=cone_angle
    )
    refuse_where(angle >= np.pi / 2, "cone_angle", "must be below pi / 2", angle)
    (number,) = whole(1, 3, cones=cones)
    return result(number * f * mu * radius / np.sin(angle))


def sleeve_force_for_torque(*, torque, friction_coefficient, cone_radius, cone_angle, cones=1):
    """Force on the sleeve that gives a cone torque.

    Formula
    -------
    force = torque * sin(cone_angle) / (cones * friction_coefficient * cone_radius)

    Parameters
    ----------
    torque : float or array
        Cone torque wanted, [N m]
    friction_coefficient : float or array
        Friction on the cone, [-]
    cone_radius : float or array
        Mean radius of the cone, [m]
    cone_angle : float or array
        Half angle of the cone, [rad]
    cones : int or array
        Cones working together, [-]

    Returns
    -------
    force : float or array
        Force on the sleeve, [N]

    Validity
    --------
    Angle above 0 and below pi / 2; 1 to 3 cones.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    Cone clutch of [1]_:

    >>> from math import radians
    >>> round(sleeve_force_for_torque(torque=35.343, friction_coefficient=0.2, cone_radius=(0.177287 + 0.159086) / 4,
    ...                               cone_angle=radians(12.5)))
    455

    References
    ----------
    .. [1] V. B. Bhandari, Design of Machine Elements, ch. 11, example 11.11.
    """
    t, mu, radius, angle = positive(
        torque=torque, friction_coefficient=friction_coefficient, cone_radius=cone_radius, cone_angle=cone_angle
    )
    refuse_where(angle >= np.pi / 2, "cone_angle", "must be below pi / 2", angle)
    (number,) = whole(1, 3, cones=cones)
    return result(t * np.sin(angle) / (number * mu * radius))


def synchroniser_inertia(*, gearbox_inertia, disc_inertia, gear_ratio):
    """Inertia the synchroniser has to bring to speed, at the gear taken.

    Formula
    -------
    reflected = (gearbox_inertia + disc_inertia) * gear_ratio**2

    Parameters
    ----------
    gearbox_inertia : float or array
        Input shaft, countershaft and gears, at the input, [kg m2]
    disc_inertia : float or array
        All clutch discs together, [kg m2]
    gear_ratio : float or array
        Ratio of the gear taken, [-]

    Returns
    -------
    reflected : float or array
        Inertia at the output-side gear, [kg m2]

    Validity
    --------
    Inertias zero or above, ratio above zero; pedal down, synchroniser on the output shaft.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(synchroniser_inertia(gearbox_inertia=0.004, disc_inertia=0.008, gear_ratio=2.0), 6)
    0.048

    References
    ----------
    .. [1] R. J. Socin, L. K. Walters, Manual Transmission Synchronizers, SAE 680008 (from memory).
    """
    box, discs = not_negative(gearbox_inertia=gearbox_inertia, disc_inertia=disc_inertia)
    (ratio,) = positive(gear_ratio=gear_ratio)
    return result((box + discs) * ratio**2)


def synchroniser_speed_difference(*, input_speed, ratio_from, ratio_to):
    """Speed difference the synchroniser has to take out, at the gear taken.

    Formula
    -------
    difference = abs(input_speed * ratio_to / ratio_from - input_speed) / ratio_to

    Parameters
    ----------
    input_speed : float or array
        Speed of the gearbox input before the shift, [rad/s]
    ratio_from : float or array
        Ratio of the gear left, [-]
    ratio_to : float or array
        Ratio of the gear taken, [-]

    Returns
    -------
    difference : float or array
        Speed difference, [rad/s]

    Validity
    --------
    All above zero; road speed unchanged.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> from math import pi
    >>> round(synchroniser_speed_difference(input_speed=6000 * pi / 30, ratio_from=3.5, ratio_to=2.0), 1)
    134.6

    References
    ----------
    .. [1] R. J. Socin, L. K. Walters, Manual Transmission Synchronizers, SAE 680008 (from memory).
    """
    w, before, after = positive(input_speed=input_speed, ratio_from=ratio_from, ratio_to=ratio_to)
    return result(np.abs(w * after / before - w) / after)


def synchroniser_time(*, cone_torque, reflected_inertia, speed_difference, drag_torque=0.0, shift="up"):
    """Time a synchroniser needs.

    Formula
    -------
    time = reflected_inertia * speed_difference / (cone_torque + drag_torque), where shift is up
    time = reflected_inertia * speed_difference / (cone_torque - drag_torque), where shift is down

    Parameters
    ----------
    cone_torque : float or array
        Torque of the cone, see `cone_torque`, [N m]
    reflected_inertia : float or array
        See `synchroniser_inertia`, [kg m2]
    speed_difference : float or array
        See `synchroniser_speed_difference`, [rad/s]
    drag_torque : float or array
        Drag of the gearbox at the same gear (input drag times its ratio); a dragging clutch counts negative on an
        up-shift, [N m]
    shift : str
        "up" or "down", [-]

    Returns
    -------
    time : float or array
        Time until the gear can be pushed home; 0.15 to 0.30 in upper gears, [s]

    Validity
    --------
    Torque left over above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity; cone_torque where drag eats it up: the shift never ends.

    Examples
    --------
    >>> round(synchroniser_time(cone_torque=17.5, reflected_inertia=0.048, speed_difference=134.6), 3)
    0.369

    References
    ----------
    .. [1] R. J. Socin, L. K. Walters, Manual Transmission Synchronizers, SAE 680008 (from memory).
    """
    torque, inertia = positive(cone_torque=cone_torque, reflected_inertia=reflected_inertia)
    (gap,) = not_negative(speed_difference=speed_difference)
    (drag,) = finite(drag_torque=drag_torque)
    choice(("up", "down"), shift=shift)
    left = torque + drag if shift == "up" else torque - drag
    refuse_where(left <= 0, "cone_torque", "is eaten up by drag_torque: the shift never ends", torque)
    return result(inertia * gap / left)


def synchroniser_time_ratio(*, gearbox_inertia, disc_inertia, factory_disc_inertia):
    """How many times as long a synchroniser takes with another disc, at the same force on the lever.

    Formula
    -------
    ratio = (gearbox_inertia + disc_inertia) / (gearbox_inertia + factory_disc_inertia)

    Parameters
    ----------
    gearbox_inertia : float or array
        What the synchroniser brakes besides the disc: input shaft, countershaft and gears, at the input, [kg m2]
    disc_inertia : float or array
        All discs of the clutch together, [kg m2]
    factory_disc_inertia : float or array
        Disc of the factory clutch, [kg m2]

    Returns
    -------
    ratio : float or array
        1 with the factory's own disc, [-]

    Validity
    --------
    gearbox_inertia zero or above, the others above zero. Force, friction, radius and number of cones, ratios, speed
    and drag are the same for both discs and cancel in `synchroniser_time`; the time itself is known far less well.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    A twin of 0.0107 for a disc of 0.0062 kg m2:

    >>> round(synchroniser_time_ratio(gearbox_inertia=0.0025, disc_inertia=0.0107, factory_disc_inertia=0.0062), 2)
    1.52

    References
    ----------
    .. [1] R. J. Socin, L. K. Walters, Manual Transmission Synchronizers, SAE 680008 (from memory).
    """
    (box,) = not_negative(gearbox_inertia=gearbox_inertia)
    discs, factory = positive(disc_inertia=disc_inertia, factory_disc_inertia=factory_disc_inertia)
    return result((box + discs) / (box + factory))


def synchroniser_energy(*, reflected_inertia, speed_difference):
    """Heat of one shift in the synchroniser.

    Formula
    -------
    energy = reflected_inertia * speed_difference**2 / 2

    Parameters
    ----------
    reflected_inertia : float or array
        See `synchroniser_inertia`, [kg m2]
    speed_difference : float or array
        See `synchroniser_speed_difference`, [rad/s]

    Returns
    -------
    energy : float or array
        Heat in the cone, [J]

    Validity
    --------
    No drag; both zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(synchroniser_energy(reflected_inertia=0.048, speed_difference=134.6))
    435

    References
    ----------
    .. [1] R. J. Socin, L. K. Walters, Manual Transmission Synchronizers, SAE 680008 (from memory).
    """
    inertia, gap = not_negative(reflected_inertia=reflected_inertia, speed_difference=speed_difference)
    return result(inertia * gap**2 / 2)


def index_torque(*, force, pitch_radius, chamfer_angle, tooth_friction):
    """Torque with which the sleeve teeth turn the blocking ring aside: must stay under the cone torque.

    Formula
    -------
    turning = cos(chamfer_angle) - tooth_friction * sin(chamfer_angle)
    pushing = sin(chamfer_angle) + tooth_friction * cos(chamfer_angle)
    torque = force * pitch_radius * turning / pushing

    Parameters
    ----------
    force : float or array
        Force on the sleeve, [N]
    pitch_radius : float or array
        Radius of the blocking teeth, [m]
    chamfer_angle : float or array
        Half of the angle of the tooth chamfer, [rad]
    tooth_friction : float or array
        Friction between the chamfers, [-]

    Returns
    -------
    torque : float or array
        Index torque, [N m]

    Validity
    --------
    Angle above 0 and below pi / 2; friction zero or above and below cot(chamfer_angle).

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> from math import radians
    >>> round(index_torque(force=600, pitch_radius=0.036, chamfer_angle=radians(55), tooth_friction=0.1), 1)
    12.1

    References
    ----------
    .. [1] R. J. Socin, L. K. Walters, Manual Transmission Synchronizers, SAE 680008 (from memory).
    """
    f, radius, angle = positive(force=force, pitch_radius=pitch_radius, chamfer_angle=chamfer_angle)
    (mu,) = not_negative(tooth_friction=tooth_friction)
    refuse_where(angle >= np.pi / 2, "chamfer_angle", "must be below pi / 2", angle)
    sine, cosine = np.sin(angle), np.cos(angle)
    refuse_where(mu * sine >= cosine, "tooth_friction", "locks the teeth: must be below cot(chamfer_angle)", mu)
    return result(f * radius * (cosine - mu * sine) / (sine + mu * cosine))
