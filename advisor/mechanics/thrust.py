"""The crankshaft's thrust face: area, pressure, handbook limits.

The whole release load stands on one side of the thrust flange while the pedal is down.
"""

import numpy as np

from .argument_checks import Numbers, below, not_negative, positive, refuse_where, result, within


def face_area(*, outer_diameter: Numbers, inner_diameter: Numbers, arc_deg: Numbers, groove_share: Numbers) -> Numbers:
    """Bearing area of a thrust face.

    Formula
    -------
    face_area = pi/4 * (outer_diameter**2 - inner_diameter**2) * arc_deg/360 * (1 - groove_share)

    Parameters
    ----------
    outer_diameter : float or array
        Outer diameter of the face, [m]
    inner_diameter : float or array
        Inner diameter of the face, [m]
    arc_deg : float or array
        Arc on the loaded side: 180 where only one half shell has a flange, 360 for both, [deg]
    groove_share : float or array
        Share lost to oil grooves and chamfers, usually 0.10 to 0.20, [-]

    Returns
    -------
    face_area : float or array
        Area that carries load, [m2]

    Validity
    --------
    0 <= inner_diameter < outer_diameter; 0 < arc_deg <= 360; 0 <= groove_share <= 0.9.

    Examples
    --------
    >>> round(face_area(outer_diameter=0.080, inner_diameter=0.060, arc_deg=180, groove_share=0.15) * 1e6)
    935

    References
    ----------
    .. [1] Area of part of a ring, elementary geometry; the groove share is common practice, no source.
    """
    (outer,) = positive(outer_diameter=outer_diameter)
    (inner,) = not_negative(inner_diameter=inner_diameter)
    below("outer_diameter", outer, inner_diameter=inner)
    (arc,) = within(0, 360, arc_deg=arc_deg)
    refuse_where(arc == 0, "arc_deg", "must be above zero", arc)
    (lost,) = within(0, 0.9, groove_share=groove_share)
    return result(np.pi / 4 * (outer - inner) * (outer + inner) * arc / 360 * (1 - lost))


def face_pressure(*, thrust_load: Numbers, face_area: Numbers) -> Numbers:
    """Mean pressure on a thrust face.

    Formula
    -------
    face_pressure = thrust_load / face_area

    Parameters
    ----------
    thrust_load : float or array
        Load on the face: the bearing load, and any preload, [N]
    face_area : float or array
        Area that carries load, see `face_area`, [m2]

    Returns
    -------
    face_pressure : float or array
        Pressure, [Pa]

    Validity
    --------
    thrust_load zero or above; face_area above zero.

    Examples
    --------
    >>> round(face_pressure(thrust_load=1600, face_area=934.6e-6) / 1e6, 2)
    1.71

    References
    ----------
    .. [1] D. F. Wilcock and E. R. Booser, Bearing Design and Application, 1957 (unit load of thrust bearings).
    """
    (load,) = not_negative(thrust_load=thrust_load)
    (area,) = positive(face_area=face_area)
    return result(load / area)


def handbook_load_limit(*, pressure_limit: Numbers, face_area: Numbers) -> Numbers:
    """Load at which a thrust face reaches a handbook's unit load.

    Formula
    -------
    handbook_load_limit = pressure_limit * face_area

    Parameters
    ----------
    pressure_limit : float or array
        Unit load allowed. Flat face: 0.52e6 typical, 1.03e6 maximum; tapered land: 1.38e6 and 3.45e6 [1]_, [Pa]
    face_area : float or array
        Area that carries load, see `face_area`, [m2]

    Returns
    -------
    handbook_load_limit : float or array
        Load, [N]

    Validity
    --------
    Both arguments above zero. The printed unit loads are for steady running; a clutch loads the face for seconds.

    Examples
    --------
    >>> round(handbook_load_limit(pressure_limit=1.03e6, face_area=1869e-6))
    1925

    References
    ----------
    .. [1] D. F. Wilcock and E. R. Booser, Bearing Design and Application, 1957, table of thrust unit loads
       (75 and 150 lbf/in2 flat, 200 and 500 lbf/in2 tapered).
    """
    limit, area = positive(pressure_limit=pressure_limit, face_area=face_area)
    return result(limit * area)
