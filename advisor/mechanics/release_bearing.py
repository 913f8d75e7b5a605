"""Room for wear and stroke by kind of release bearing: fixed gap, sprung, conventional; push and pull."""

from .argument_checks import Numbers, not_negative, positive, result


def gap_for_wear(*, wear: Numbers, release_ratio: Numbers, heat_growth: Numbers) -> Numbers:
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


def stroke_left(
    *, bearing_stroke_max: Numbers, gap: Numbers, bearing_travel_needed: Numbers, reserve: Numbers
) -> Numbers:
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


def sprung_forward_room(*, fitted_compression: Numbers, bearing_travel_needed: Numbers) -> Numbers:
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


def fork_end_play(*, bearing_play: Numbers, fork_ratio: Numbers) -> Numbers:
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
