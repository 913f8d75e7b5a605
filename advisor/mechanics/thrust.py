"""The crankshaft's thrust face: area, pressure, handbook limits, rubbing, film.

The whole release load stands on one side of the thrust flange while the pedal is
down. At idle the film is thinnest, so idle with the pedal down is the worst case.
"""

import numpy as np

from .checks import below, not_negative, positive, refuse_where, result, share, within


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


def incline_coefficient(*, gap_ratio):
    """Load coefficient of an infinitely wide fixed-incline pad.

    Formula
    -------
    incline_coefficient = 6 / (gap_ratio - 1)**2 * (log(gap_ratio) - 2 * (gap_ratio - 1) / (gap_ratio + 1))

    Parameters
    ----------
    gap_ratio : float or array
        Inlet over outlet film thickness, [-]

    Returns
    -------
    incline_coefficient : float or array
        Coefficient, zero for parallel faces, at most 0.1602 at a ratio of 2.19, [-]

    Validity
    --------
    gap_ratio from 1 to 100.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(incline_coefficient(gap_ratio=2.19), 4)
    0.1602

    References
    ----------
    .. [1] Reynolds equation for a plane slider, found in lubrication textbooks (from memory).
    """
    (ratio,) = within(1, 100, gap_ratio=gap_ratio)
    # log(k) - 2(k-1)/(k+1) loses all digits near k = 1; its series in u = (k-1)/(k+1) does not.
    u = (ratio - 1) / (ratio + 1)
    safe = np.where(u < 0.1, 0.1, u)
    bracket = np.where(u < 0.1, u * (1 / 3 + u**2 / 5 + u**4 / 7 + u**6 / 9 + u**8 / 11),
                       (np.arctanh(safe) - safe) / safe**2)
    return result(12 * bracket / (ratio + 1) ** 2)


def film_thickness(*, thrust_load, viscosity, sliding_speed, pad_length, pad_width, gap_ratio, leakage_factor=1.0):
    """Least oil film under a fixed-incline thrust pad.

    Formula
    -------
    film_thickness = sqrt(leakage_factor * incline_coefficient * viscosity * sliding_speed * pad_length**2 * pad_width / thrust_load)

    Parameters
    ----------
    thrust_load : float or array
        Load on the pad, [N]
    viscosity : float or array
        Dynamic viscosity of the oil, [Pa s]
    sliding_speed : float or array
        Rubbing speed; that of idle is the worst case, [m/s]
    pad_length : float or array
        Length of the ramp in the direction of sliding, [m]
    pad_width : float or array
        Width across it, [m]
    gap_ratio : float or array
        Inlet over outlet film thickness, see `incline_coefficient`, [-]
    leakage_factor : float or array
        Share left after side leakage, 0.1 to 0.5 for width over length of 0.25 to 1, [-]

    Returns
    -------
    film_thickness : float or array
        Outlet film thickness, [m]

    Validity
    --------
    All above zero; gap_ratio above 1 and at most 100 (parallel faces carry no film by this relation).

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    Halving the speed costs 29 % of the film:

    >>> fast = film_thickness(thrust_load=200, viscosity=0.01, sliding_speed=11, pad_length=0.03, pad_width=0.01,
    ...                       gap_ratio=2, leakage_factor=0.2)
    >>> slow = film_thickness(thrust_load=200, viscosity=0.01, sliding_speed=5.5, pad_length=0.03, pad_width=0.01,
    ...                       gap_ratio=2, leakage_factor=0.2)
    >>> round(slow / fast, 3)
    0.707

    References
    ----------
    .. [1] Reynolds equation for a plane slider, found in lubrication textbooks (from memory).
    """
    load, oil, velocity, length, width = positive(
        thrust_load=thrust_load, viscosity=viscosity, sliding_speed=sliding_speed, pad_length=pad_length,
        pad_width=pad_width)
    (kept,) = share(leakage_factor=leakage_factor)
    (gap,) = within(1, 100, gap_ratio=gap_ratio)
    refuse_where(gap == 1, "gap_ratio", "must be above 1", gap)
    coefficient = incline_coefficient(gap_ratio=gap)
    return result(np.sqrt(kept * coefficient * oil * velocity * length**2 * width / load))


def film_left(*, load_ratio, speed_ratio):
    """Share of a known film left at another load and speed, geometry and oil unchanged.

    Formula
    -------
    film_left = sqrt(speed_ratio / load_ratio)

    Parameters
    ----------
    load_ratio : float or array
        Load over the load at which the film is known, [-]
    speed_ratio : float or array
        Speed over the speed at which it is known; idle over that speed in the worst case, [-]

    Returns
    -------
    film_left : float or array
        Film thickness over the known one, [-]

    Validity
    --------
    Both above zero; film as the inverse square root of load, as under a fixed incline.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    A release load 1.4 times the factory's costs 15 % of the film at the same speed:

    >>> round(film_left(load_ratio=1.4, speed_ratio=1), 2)
    0.85

    References
    ----------
    .. [1] Reynolds equation for a plane slider, found in lubrication textbooks (from memory).
    """
    load, velocity = positive(load_ratio=load_ratio, speed_ratio=speed_ratio)
    return result(np.sqrt(velocity / load))
