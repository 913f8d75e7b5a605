"""The crankshaft's thrust face: area, pressure, handbook limits, rubbing.

The whole release load stands on one side of the thrust flange while the pedal is
down. The oil film is in `thrust_film`.
"""

import numpy as np

from .checks import below, not_negative, positive, refuse_where, result, within


def face_area(*, outer_diameter, inner_diameter, arc_deg, groove_share):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def face_pressure(*, thrust_load, face_area):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def handbook_load_limit(*, pressure_limit, face_area):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def grooved_washer_load_limit(*, outer_diameter, inner_diameter, load_coefficient=0.3e6):
    """Continuous load a plain grooved thrust washer may carry by the tribology handbook.

    Formula
    -------
    load_limit = load_coefficient * (outer_diameter**2 - inner_diameter**2)

    Parameters
    ----------
    outer_diameter : float or array
        Outer diameter of the washer, [m]
    inner_diameter : float or array
        Inner diameter of the washer, [m]
    load_coefficient : float or array
        0.3 N/mm2 in the handbook, [Pa]

    Returns
    -------
    load_limit : float or array
        Load, [N]

    Validity
    --------
    0 <= inner_diameter < outer_diameter; load_coefficient above zero; full washer, continuous running.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(grooved_washer_load_limit(outer_diameter=0.080, inner_diameter=0.060))
    840

    References
    ----------
    .. [1] M. J. Neale (ed.), The Tribology Handbook, section A15, plain thrust bearings.
    """
    outer, coefficient = positive(outer_diameter=outer_diameter, load_coefficient=load_coefficient)
    (inner,) = not_negative(inner_diameter=inner_diameter)
    below("outer_diameter", outer, inner_diameter=inner)
    return result(coefficient * (outer - inner) * (outer + inner))


def sliding_speed(*, outer_diameter, inner_diameter, speed):
    """Rubbing speed at the mean diameter of a thrust face.

    Formula
    -------
    sliding_speed = speed * (outer_diameter + inner_diameter) / 4

    Parameters
    ----------
    outer_diameter : float or array
        Outer diameter of the face, [m]
    inner_diameter : float or array
        Inner diameter of the face, [m]
    speed : float or array
        Crankshaft speed, [rad/s]

    Returns
    -------
    sliding_speed : float or array
        Speed, [m/s]

    Validity
    --------
    0 <= inner_diameter < outer_diameter; speed zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    80/60 mm at 3000 rpm:

    >>> round(sliding_speed(outer_diameter=0.080, inner_diameter=0.060, speed=314.16), 2)
    11.0

    References
    ----------
    .. [1] Elementary kinematics: circumference of the mean diameter times revolutions in unit time.
    """
    (outer,) = positive(outer_diameter=outer_diameter)
    inner, turning = not_negative(inner_diameter=inner_diameter, speed=speed)
    below("outer_diameter", outer, inner_diameter=inner)
    return result(turning * (outer + inner) / 4)


def pressure_speed(*, face_pressure, sliding_speed):
    """Pressure times rubbing speed (PV), to rank dry or starved running.

    Formula
    -------
    pressure_speed = face_pressure * sliding_speed

    Parameters
    ----------
    face_pressure : float or array
        Pressure, see `face_pressure`, [Pa]
    sliding_speed : float or array
        Rubbing speed, see `sliding_speed`, [m/s]

    Returns
    -------
    pressure_speed : float or array
        Product; 1e6 is 1 MPa m/s, [Pa m/s]

    Validity
    --------
    Both zero or above. Limits for it (leaded bronze 1.75e6 to 2.63e6, white metal 0.8e6 to 1.1e6) hold for boundary
    running only, such as starting the engine with the pedal down; a fed face runs well above them.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(pressure_speed(face_pressure=0.856e6, sliding_speed=11.0) / 1e6, 1)
    9.4

    References
    ----------
    .. [1] PV method of plain-bearing handbooks; limits from memory.
    """
    pressure, velocity = not_negative(face_pressure=face_pressure, sliding_speed=sliding_speed)
    return result(pressure * velocity)


def washer_power_loss(*, thrust_load, mean_diameter, speed, loss_coefficient=0.07):
    """Heat made by a plain grooved thrust washer under load.

    Formula
    -------
    power_loss = loss_coefficient * speed / (2 * pi) * mean_diameter * thrust_load

    Parameters
    ----------
    thrust_load : float or array
        Load, [N]
    mean_diameter : float or array
        Mean of outer and inner diameter, [m]
    speed : float or array
        Crankshaft speed, [rad/s]
    loss_coefficient : float or array
        70e-6 with millimetres and revolutions a second in the handbook, so 0.07 with metres, [-]

    Returns
    -------
    power_loss : float or array
        Power, [W]

    Validity
    --------
    thrust_load and speed zero or above, the others above zero; oil-fed running.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    1600 N at 3000 rpm on a mean diameter of 70 mm:

    >>> round(washer_power_loss(thrust_load=1600, mean_diameter=0.070, speed=314.16))
    392

    References
    ----------
    .. [1] M. J. Neale (ed.), The Tribology Handbook, section A15, plain thrust bearings.
    """
    load, turning = not_negative(thrust_load=thrust_load, speed=speed)
    diameter, coefficient = positive(mean_diameter=mean_diameter, loss_coefficient=loss_coefficient)
    return result(coefficient * turning / (2 * np.pi) * diameter * load)
