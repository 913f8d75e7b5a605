"""Take-up: how far the pedal travels while a closing clutch comes to carry a torque."""

import numpy as np

from .checks import not_negative, positive, result, whole, within

__all__ = ["clamp_travel", "take_up_window"]


def clamp_travel(*, discs, cushion_travel, seating_travel, release_ratio, finger_bend, cover_flex):
    """Travel of the release bearing between first touch of the facings and full clamp load.

    Not what a foot feels as take-up: most of it lies above any torque the engine has, see `take_up_window`.

    Formula
    -------
    clamp_travel = discs * (cushion_travel + seating_travel) * release_ratio + finger_bend + cover_flex

    Parameters
    ----------
    discs : int or array
        Number of discs, [-]
    cushion_travel : float or array
        Cushion travel of one disc, zero without cushion, [m]
    seating_travel : float or array
        Travel of one disc in which plates and facings that are not quite flat seat, [m]
    release_ratio : float or array
        Bearing travel over plate lift of rigid fingers, [-]
    finger_bend : float or array
        Travel in bending fingers, [m]
    cover_flex : float or array
        Travel in the cover; with the bend about 1.5 mm full-size single, 0.9 to 1.2 mm packs, [m]

    Returns
    -------
    clamp_travel : float or array
        Travel at the bearing, [m]

    Validity
    --------
    discs a whole number from 1 to 4; release_ratio above zero; the others zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(clamp_travel(discs=1, cushion_travel=0.8e-3, seating_travel=0.05e-3, release_ratio=3.3,
    ...                    finger_bend=1.2e-3, cover_flex=0.3e-3) * 1000, 2)
    4.3

    References
    ----------
    Lever; the travel in fingers and cover is common practice, no source.
    """
    (plates,) = whole(1, 4, discs=discs)
    cushion, seating, bend, flex = not_negative(
        cushion_travel=cushion_travel, seating_travel=seating_travel, finger_bend=finger_bend, cover_flex=cover_flex
    )
    (fingers,) = positive(release_ratio=release_ratio)
    return result(plates * (cushion + seating) * fingers + bend + flex)


def take_up_window(
    *, first_torque, last_torque, capacity, discs, cushion_travel, seating_travel, release_ratio, finger_bend,
    cover_flex, overall_ratio, loss_share=0.0, cushion_exponent=2.5,
):
    """Pedal travel between two torques of a clutch that closes: first drag and the torque that moves the car off.

    Derivation: all discs carry one clamp force N, which is full at F. A cushion pressed by x of its travel c brings
    N = F (x / c)**n, so x = c (N / F)**(1 / n) in each disc, times the ratio of the fingers at the bearing; what is
    not quite flat seats in the same way. Fingers and cover give in proportion to N. Torque goes with N, so N / F is
    torque over capacity. The travel between two torques is the difference of that sum, times the linkage, and
    more where hose and pedal box swallow a share.

    So a stronger clutch has the narrower window with the same cushion, and a light car or a tall first gear, which
    need less torque to move off, narrow it as well.

    Formula
    -------
    plates = discs * (cushion_travel + seating_travel) * release_ratio
    first = min(first_torque / capacity, 1)
    last = min(last_torque / capacity, 1)
    cushioned = plates * (last**(1 / cushion_exponent) - first**(1 / cushion_exponent))
    travel = cushioned + (finger_bend + cover_flex) * (last - first)
    take_up_window = max(travel, 0) * overall_ratio / (1 - loss_share)

    Parameters
    ----------
    first_torque : float or array
        Torque that begins the window; 3 N m is where the input shaft starts to turn, [N m]
    last_torque : float or array
        Torque that ends it, see `engagement.move_off_torque`, [N m]
    capacity : float or array
        Torque of the slipping clutch at full clamp, [N m]
    discs : int or array
        Number of discs, [-]
    cushion_travel : float or array
        Cushion travel of one disc, zero without cushion, [m]
    seating_travel : float or array
        Travel of one disc in which plates and facings that are not quite flat seat, [m]
    release_ratio : float or array
        Bearing travel over plate lift of rigid fingers, [-]
    finger_bend : float or array
        Travel in bending fingers at full clamp, [m]
    cover_flex : float or array
        Travel in the cover at full clamp, [m]
    overall_ratio : float or array
        Pedal travel over bearing travel, see `overall_ratio`, [-]
    loss_share : float or array
        Share of the stroke that hose and pedal box swallow, [-]
    cushion_exponent : float or array
        How steeply the cushion stiffens: force goes with travel to this power, [-]

    Returns
    -------
    take_up_window : float or array
        Travel at the pedal; zero where last_torque is not above first_torque, [m]

    Validity
    --------
    Torques, capacity, ratios and the exponent above zero, discs a whole number from 1 to 4, loss_share from 0 to
    0.9, the others zero or above. A torque above the capacity counts as full clamp: the clutch then slips.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    A factory disc on a hatchback, flat road, and a solid pack of two small discs:

    >>> linkage = dict(first_torque=3, last_torque=21.4, seating_travel=0.05e-3, cover_flex=0, overall_ratio=16.68)
    >>> round(take_up_window(capacity=413, discs=1, cushion_travel=0.8e-3, release_ratio=3.8, finger_bend=1.5e-3,
    ...                      **linkage) * 1000, 1)
    10.1
    >>> round(take_up_window(capacity=669, discs=2, cushion_travel=0, release_ratio=4.6, finger_bend=1.05e-3,
    ...                      **linkage) * 1000, 1)
    1.5

    References
    ----------
    Balance of springs in series; exponents of 2 to 3 are from memory, 0.05 mm of seating is judgement. No print
    gives this travel for a car; measured pedals give heights and strokes only.
    """
    first, last, full, linkage, exponent = positive(
        first_torque=first_torque, last_torque=last_torque, capacity=capacity, overall_ratio=overall_ratio,
        cushion_exponent=cushion_exponent,
    )
    (lost,) = within(0, 0.9, loss_share=loss_share)
    plates = clamp_travel(
        discs=discs, cushion_travel=cushion_travel, seating_travel=seating_travel, release_ratio=release_ratio,
        finger_bend=0, cover_flex=0,
    )
    bend, flex = not_negative(finger_bend=finger_bend, cover_flex=cover_flex)
    start, end = np.minimum(first / full, 1), np.minimum(last / full, 1)
    travel = plates * (end ** (1 / exponent) - start ** (1 / exponent)) + (bend + flex) * (end - start)
    return result(np.maximum(travel, 0) * linkage / (1 - lost))
