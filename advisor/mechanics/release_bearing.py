"""Room for wear and stroke by kind of release bearing: fixed gap, sprung, conventional; push and pull."""

from .checks import choice, not_negative, positive, refuse_where, result


def finger_rise(*, wear, release_ratio, action):
    """Movement of the finger tips as the facings wear, towards the gearbox.

    Formula
    -------
    finger_rise = wear * release_ratio, where action is push
    finger_rise = -wear * release_ratio, where action is pull

    Parameters
    ----------
    wear : float or array
        Wear of all faces together, [m]
    release_ratio : float or array
        Bearing travel over plate lift, [-]
    action : str
        push or pull: with push fingers rise to the gearbox, with pull they move to the engine, [-]

    Returns
    -------
    finger_rise : float or array
        Movement, negative towards the engine, [m]

    Validity
    --------
    wear zero or above; release_ratio above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(finger_rise(wear=1.5e-3, release_ratio=3.3, action="push") * 1000, 2)
    4.95

    References
    ----------
    .. [1] Lever geometry of a push and a pull diaphragm, elementary statics.
    """
    choice(("push", "pull"), action=action)
    (worn,) = not_negative(wear=wear)
    (ratio,) = positive(release_ratio=release_ratio)
    return result(worn * ratio if action == "push" else -worn * ratio)


def gap_for_wear(*, wear, release_ratio, heat_growth):
    """Gap a bearing without spring needs when new, so that all wear and heat growth fit in.

    Formula
    -------
    gap_for_wear = wear * release_ratio + heat_growth

    Parameters
    ----------
    wear : float or array
        Wear of all faces together until the facings are done, [m]
    release_ratio : float or array
        Bearing travel over plate lift, [-]
    heat_growth : float or array
        Allowance for growth by heat, 0.5 to 1 mm, [m]

    Returns
    -------
    gap_for_wear : float or array
        Gap, [m]

    Validity
    --------
    wear and heat_growth zero or above; release_ratio above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(gap_for_wear(wear=1.0e-3, release_ratio=3.3, heat_growth=0.7e-3) * 1000, 2)
    4.0

    References
    ----------
    Lever geometry; the allowance is common practice, no source.
    """
    worn, growth = not_negative(wear=wear, heat_growth=heat_growth)
    (ratio,) = positive(release_ratio=release_ratio)
    return result(worn * ratio + growth)


def stroke_left(*, bearing_stroke_max, gap, bearing_travel_needed, reserve):
    """Stroke left of a concentric bearing set with a fixed gap.

    Formula
    -------
    stroke_left = bearing_stroke_max - gap - bearing_travel_needed - reserve

    Parameters
    ----------
    bearing_stroke_max : float or array
        Greatest stroke the bearing allows before its piston leaves the seal, [m]
    gap : float or array
        Gap set, see `release.bearing_gap`, [m]
    bearing_travel_needed : float or array
        Bearing travel at clean release, [m]
    reserve : float or array
        Reserve kept, usually 1 mm, [m]

    Returns
    -------
    stroke_left : float or array
        Stroke left; below zero the piston may leave its seal, [m]

    Validity
    --------
    bearing_stroke_max and bearing_travel_needed above zero; gap and reserve zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(stroke_left(bearing_stroke_max=15e-3, gap=3.5e-3, bearing_travel_needed=8e-3, reserve=1e-3) * 1000, 2)
    2.5

    References
    ----------
    Common practice, no source.
    """
    stroke, needed = positive(bearing_stroke_max=bearing_stroke_max, bearing_travel_needed=bearing_travel_needed)
    clearance, spare = not_negative(gap=gap, reserve=reserve)
    return result(stroke - clearance - needed - spare)


def sprung_retract_room(*, bearing_stroke_max, fitted_compression):
    """Distance a sprung concentric bearing can still be pushed back after fitting.

    Formula
    -------
    retract_room = bearing_stroke_max - fitted_compression

    Parameters
    ----------
    bearing_stroke_max : float or array
        Whole stroke of the bearing, [m]
    fitted_compression : float or array
        How far fitting pushed the bearing back against its spring, [m]

    Returns
    -------
    retract_room : float or array
        Room to be given to `release.wear_room`, [m]

    Validity
    --------
    bearing_stroke_max above zero; fitted_compression from zero to that stroke.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    A stroke of 25.4 mm compressed by 16.5 mm leaves 8.9 mm for wear:

    >>> round(sprung_retract_room(bearing_stroke_max=25.4e-3, fitted_compression=16.5e-3) * 1000, 1)
    8.9

    References
    ----------
    Common practice, no source.
    """
    (stroke,) = positive(bearing_stroke_max=bearing_stroke_max)
    (back,) = not_negative(fitted_compression=fitted_compression)
    refuse_where(back > stroke, "fitted_compression", "must not be above bearing_stroke_max", back)
    return result(stroke - back)


def sprung_forward_room(*, fitted_compression, bearing_travel_needed):
    """Stroke left of a sprung concentric bearing at clean release.

    Formula
    -------
    forward_room = fitted_compression - bearing_travel_needed

    Parameters
    ----------
    fitted_compression : float or array
        How far fitting pushed the bearing back against its spring, [m]
    bearing_travel_needed : float or array
        Bearing travel at clean release, [m]

    Returns
    -------
    forward_room : float or array
        Stroke left; below zero the bearing cannot release the clutch, [m]

    Validity
    --------
    fitted_compression zero or above; bearing_travel_needed above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(sprung_forward_room(fitted_compression=14e-3, bearing_travel_needed=8e-3) * 1000, 1)
    6.0

    References
    ----------
    Common practice, no source.
    """
    (back,) = not_negative(fitted_compression=fitted_compression)
    (needed,) = positive(bearing_travel_needed=bearing_travel_needed)
    return result(back - needed)


def fork_end_play(*, bearing_play, fork_ratio):
    """Free play to feel at the fork's end for a free play at the bearing.

    Formula
    -------
    fork_end_play = bearing_play * fork_ratio

    Parameters
    ----------
    bearing_play : float or array
        Free play at a conventional bearing, 1.5 to 3 mm, [m]
    fork_ratio : float or array
        Fork's outer over inner arm, [-]

    Returns
    -------
    fork_end_play : float or array
        Play at the fork's end, [m]

    Validity
    --------
    bearing_play zero or above; fork_ratio above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(fork_end_play(bearing_play=2e-3, fork_ratio=1.6) * 1000, 1)
    3.2

    References
    ----------
    Lever ratio; the play is from memory.
    """
    (play,) = not_negative(bearing_play=bearing_play)
    (ratio,) = positive(fork_ratio=fork_ratio)
    return result(play * ratio)
