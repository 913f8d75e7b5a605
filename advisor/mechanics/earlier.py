"""Functions that no rule of today names, kept because rule sets kept with older cases do.

`knowledge.functions.RENAMED` leads there from the names these rule sets call them by. A rule written now has better:
`arithmetic.amount_along` for an amount that counts by degrees, `engagement.kick_energy_pulling` for a kick.
"""

import numpy as np

from .argument_checks import Numbers, finite, not_negative, positive, refuse_where, result


def amount_below(*, value: Numbers, threshold: Numbers, amount: Numbers) -> Numbers:
    """An amount that counts only where a value lies below a threshold, else zero.

    Formula
    -------
    counted = amount if value < threshold else 0

    Parameters
    ----------
    value : float or array
        What is looked at, [-]
    threshold : float or array
        Below it the amount counts, [-]
    amount : float or array
        What is counted, [-]

    Returns
    -------
    counted : float or array
        The amount, or zero, [-]

    Validity
    --------
    Finite arguments.

    Examples
    --------
    >>> amount_below(value=0.8, threshold=0.97, amount=0.08)
    0.08
    >>> amount_below(value=1.0, threshold=0.97, amount=0.08)
    0.0

    References
    ----------
    .. [1] Plain comparison.
    """
    looked_at, limit, counted = finite(value=value, threshold=threshold, amount=amount)
    return result(np.where(looked_at < limit, counted, 0.0))


def kick_energy(
    *, engine_inertia: Numbers, speed_rise: Numbers, clutch_torque: Numbers, engine_torque: Numbers = 0.0
) -> Numbers:
    """Heat of a clutch kick: the engine flares with the pedal down, then the clutch snaps shut.

    Formula
    -------
    energy = engine_inertia * speed_rise**2 / 2 * clutch_torque / (clutch_torque - engine_torque)

    Parameters
    ----------
    engine_inertia : float or array
        Engine, flywheel and cover, [kg m2]
    speed_rise : float or array
        Engine speed over disc speed when the clutch bites, [rad/s]
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    engine_torque : float or array
        Torque of the engine while the clutch slips, [N m]

    Returns
    -------
    energy : float or array
        Heat of one kick, [J]

    Validity
    --------
    Disc speed unchanged during the slip, which errs on the warm side; clutch_torque above engine_torque.

    Examples
    --------
    >>> kick_energy(engine_inertia=0.2, speed_rise=300, clutch_torque=600, engine_torque=300)
    18000.0

    References
    ----------
    .. [1] Energy balance of two inertias, the vehicle endless; as `engagement.slip_energy`.
    """
    (rise,) = not_negative(speed_rise=speed_rise)
    inertia, torque = positive(engine_inertia=engine_inertia, clutch_torque=clutch_torque)
    (driving,) = not_negative(engine_torque=engine_torque)
    refuse_where(torque <= driving, "clutch_torque", "must be above engine_torque, or the slip never ends", torque)
    return result(inertia * rise**2 / 2 * torque / (torque - driving))
