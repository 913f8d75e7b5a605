"""Levers of the slotted diaphragm, the disc's cushion, and an estimate where no spring geometry is known."""

import numpy as np

from .checks import below, not_negative, positive, refuse_where, result, whole, within


def release_ratio(*, plate_radius, pivot_radius, finger_radius):
    """Bearing travel over plate lift of a diaphragm with rigid fingers.

    Formula
    -------
    release_ratio = (pivot_radius - finger_radius) / abs(plate_radius - pivot_radius)

    Parameters
    ----------
    plate_radius : float or array
        Radius at which the diaphragm presses the plate, [m]
    pivot_radius : float or array
        Radius of the pivot on the cover: inside plate_radius in a push cover, outside in a pull cover, [m]
    finger_radius : float or array
        Radius at which the bearing touches the fingers, [m]

    Returns
    -------
    release_ratio : float or array
        Ratio: push usually 2.3 to 4.5, pull 3.5 to 5, [-]

    Validity
    --------
    All above zero; finger_radius inside both others; plate_radius and pivot_radius apart.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    Push, and the same diaphragm as a pull cover:

    >>> round(release_ratio(plate_radius=0.114, pivot_radius=0.0935, finger_radius=0.026), 3)
    3.293
    >>> round(release_ratio(plate_radius=0.0935, pivot_radius=0.114, finger_radius=0.026), 3)
    4.293

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, diaphragm spring clutch (from memory, re-derived).
    """
    plate, pivot, tip = positive(plate_radius=plate_radius, pivot_radius=pivot_radius, finger_radius=finger_radius)
    below("pivot_radius", pivot, finger_radius=tip)
    below("plate_radius", plate, finger_radius=tip)
    refuse_where(plate == pivot, "pivot_radius", "must differ from plate_radius", pivot)
    return result((pivot - tip) / np.abs(plate - pivot))


def flat_plate_deflection(*, plate_radius, pivot_radius, ring_outer_radius, ring_inner_radius, cone_height):
    """Plate-side deflection at which the diaphragm's ring is flat.

    Formula
    -------
    flat_plate_deflection = cone_height * abs(plate_radius - pivot_radius) / (ring_outer_radius - ring_inner_radius)

    Parameters
    ----------
    plate_radius : float or array
        Radius at which the diaphragm presses the plate, [m]
    pivot_radius : float or array
        Radius of the pivot on the cover: inside plate_radius in a push cover, outside in a pull cover, [m]
    ring_outer_radius : float or array
        Outer radius of the unslotted ring, [m]
    ring_inner_radius : float or array
        Inner radius of the unslotted ring, at the slots' roots, [m]
    cone_height : float or array
        Cone height of the ring when free, [m]

    Returns
    -------
    flat_plate_deflection : float or array
        Deflection; new covers are set at 0.8 to 1.0 of it in the textbook, [m]

    Validity
    --------
    All above zero; ring_inner_radius below ring_outer_radius; plate_radius and pivot_radius apart.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(flat_plate_deflection(plate_radius=0.114, pivot_radius=0.0935, ring_outer_radius=0.116,
    ...                             ring_inner_radius=0.092, cone_height=4.70e-3) * 1000, 3)
    4.015

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, diaphragm spring clutch (from memory, re-derived).
    """
    plate, pivot, outer, inner, cone = positive(
        plate_radius=plate_radius, pivot_radius=pivot_radius, ring_outer_radius=ring_outer_radius,
        ring_inner_radius=ring_inner_radius, cone_height=cone_height)
    below("ring_outer_radius", outer, ring_inner_radius=inner)
    refuse_where(plate == pivot, "pivot_radius", "must differ from plate_radius", pivot)
    return result(cone * np.abs(plate - pivot) / (outer - inner))


def cushion_load(*, compression, full_travel, full_load, exponent):
    """Load of a disc's cushion springs part-way pressed.

    Formula
    -------
    cushion_load = full_load * min(1, compression / full_travel)**exponent

    Parameters
    ----------
    compression : float or array
        How far the cushion is pressed, [m]
    full_travel : float or array
        Cushion travel to flat, [m]
    full_load : float or array
        Load that presses it flat: the clamp load, [N]
    exponent : float or array
        2 to 3 for wavy segments, [-]

    Returns
    -------
    cushion_load : float or array
        Load, [N]

    Validity
    --------
    compression zero or above (past flat the load stays), exponent from 1 to 6, the others above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> cushion_load(compression=0.4e-3, full_travel=0.8e-3, full_load=5000, exponent=2)
    1250.0

    References
    ----------
    The power law is from memory.
    """
    (pressed,) = not_negative(compression=compression)
    whole_travel, load = positive(full_travel=full_travel, full_load=full_load)
    (power,) = within(1, 6, exponent=exponent)
    return result(load * np.minimum(1.0, pressed / whole_travel) ** power)


def peak_release_load(*, clamp_load, release_ratio, wear_rise, pivot_friction):
    """Estimate of the greatest bearing load of a cover known by clamp load and ratio only.

    Formula
    -------
    peak_release_load = clamp_load * wear_rise / release_ratio * (1 + pivot_friction)

    Parameters
    ----------
    clamp_load : float or array
        Clamp load, new, [N]
    release_ratio : float or array
        Bearing travel over plate lift, [-]
    wear_rise : float or array
        Peak over new load as the facings wear, 1.05 to 1.10, [-]
    pivot_friction : float or array
        Share added by friction at the pivot, 0.05 to 0.10, [-]

    Returns
    -------
    peak_release_load : float or array
        Load at the bearing, [N]

    Validity
    --------
    clamp_load and release_ratio above zero; wear_rise from 1 to 2; pivot_friction from 0 to 0.5.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(peak_release_load(clamp_load=5293, release_ratio=3.293, wear_rise=1.086, pivot_friction=0.07))
    1868

    References
    ----------
    Common practice, no source.
    """
    load, ratio = positive(clamp_load=clamp_load, release_ratio=release_ratio)
    (rise,) = within(1, 2, wear_rise=wear_rise)
    (friction,) = within(0, 0.5, pivot_friction=pivot_friction)
    return result(load * rise / ratio * (1 + friction))


def finger_bending(*, bearing_load, finger_radius, window_radius, ring_inner_radius, thickness, fingers, slot_width,
                   window_width, youngs_modulus=206e9):
    """Bearing travel lost in bending the fingers of a diaphragm.

    Formula
    -------
    root = window_radius / finger_radius
    ring = ring_inner_radius / finger_radius
    outer_part = 0.5 * (ring**2 - root**2) - 2 * (ring - root) + log(ring / root)
    inner_part = 0.5 * (root**2 - 1) - 2 * (root - 1) + log(root)
    inner_metal = 1 - slot_width * fingers / (pi * (finger_radius + window_radius))
    outer_metal = 1 - window_width * fingers / (pi * (ring_inner_radius + window_radius))
    compliance = 6 * finger_radius**2 / (pi * youngs_modulus * thickness**3)
    finger_bending = bearing_load * compliance * (inner_part / inner_metal + outer_part / outer_metal)

    Parameters
    ----------
    bearing_load : float or array
        Load at the bearing, [N]
    finger_radius : float or array
        Radius at which the bearing touches, [m]
    window_radius : float or array
        Radius at which the windows at the fingers' roots begin, [m]
    ring_inner_radius : float or array
        Inner radius of the unslotted ring, where the windows end, [m]
    thickness : float or array
        Thickness, [m]
    fingers : int or array
        Number of fingers, usually 18, [-]
    slot_width : float or array
        Width of the slots between fingers, 3.2 to 3.5 mm, [m]
    window_width : float or array
        Width of the windows at the roots, 9 to 10 mm, [m]
    youngs_modulus : float or array
        Young's modulus, 206e9 for spring steel in EN 16984, [Pa]

    Returns
    -------
    finger_bending : float or array
        Travel added at the bearing, not at the plate, [m]

    Validity
    --------
    0 < finger_radius < window_radius < ring_inner_radius; fingers a whole number from 3 to 60; slots and windows leave
    metal; small deflection.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    0.81 mm for 1000 N on the synthetic cover:

    >>> round(finger_bending(bearing_load=1000, finger_radius=0.026, window_radius=0.082, ring_inner_radius=0.092,
    ...                      thickness=2.7e-3, fingers=18, slot_width=3.3e-3, window_width=10e-3) * 1000, 2)
    0.81

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, diaphragm spring clutch (from memory, re-derived).
    """
    (force,) = not_negative(bearing_load=bearing_load)
    tip, window, ring_radius, thick, slot, opening, modulus = positive(
        finger_radius=finger_radius, window_radius=window_radius, ring_inner_radius=ring_inner_radius,
        thickness=thickness, slot_width=slot_width, window_width=window_width, youngs_modulus=youngs_modulus)
    (count,) = whole(3, 60, fingers=fingers)
    below("window_radius", window, finger_radius=tip)
    below("ring_inner_radius", ring_radius, window_radius=window)
    inner_metal = 1 - slot * count / (np.pi * (tip + window))
    outer_metal = 1 - opening * count / (np.pi * (ring_radius + window))
    refuse_where(inner_metal <= 0, "slot_width", "leaves no metal between the slots", slot)
    refuse_where(outer_metal <= 0, "window_width", "leaves no metal between the windows", opening)
    root, ring = window / tip, ring_radius / tip
    inner_part = 0.5 * (root**2 - 1) - 2 * (root - 1) + np.log(root)
    outer_part = 0.5 * (ring**2 - root**2) - 2 * (ring - root) + np.log(ring / root)
    compliance = 6 * tip**2 / (np.pi * modulus * thick**3)
    return result(force * compliance * (inner_part / inner_metal + outer_part / outer_metal))
