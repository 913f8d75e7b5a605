"""Driveline behind the clutch: the peak of a dumped clutch, its caps, tyre grip, torsional vibration, synchroniser."""

import numpy as np

from .argument_checks import Numbers, choice, finite, not_negative, positive, refuse_where, result, share, whole, within


def peak_torque_on_dump(
    *,
    engine_torque: Numbers,
    speed_drop: Numbers,
    stiffness: Numbers,
    engine_inertia: Numbers,
    vehicle_inertia: Numbers,
) -> Numbers:
    """Peak torque when the clutch is dumped and does not slip.

    Formula
    -------
    reduced = engine_inertia * vehicle_inertia / (engine_inertia + vehicle_inertia)
    peak = engine_torque + speed_drop * sqrt(stiffness * reduced)

    Parameters
    ----------
    engine_torque : float or array
        Torque of the engine meanwhile, [N m]
    speed_drop : float or array
        Engine less gearbox speed when the clutch bites, [rad/s]
    stiffness : float or array
        Torsional stiffness of the driveline at clutch speed; 30 soft shafts, 200 stiff, [N m/rad]
    engine_inertia : float or array
        Engine, flywheel and cover, [kg m2]
    vehicle_inertia : float or array
        Vehicle as an inertia at clutch speed, [kg m2]

    Returns
    -------
    peak : float or array
        Peak torque at the gearbox input, [N m]

    Validity
    --------
    No damping, no tyre slip: an upper bound that clutch and tyres cap, see `gearbox_peak_torque`.

    Examples
    --------
    3000 rpm dropped on soft shafts:

    >>> from math import pi
    >>> round(peak_torque_on_dump(engine_torque=0, speed_drop=3000 * pi / 30, stiffness=30, engine_inertia=0.2,
    ...                           vehicle_inertia=0.74))
    683

    References
    ----------
    .. [1] Two inertias on a torsion spring; no source needed.
    """
    torque, drop = not_negative(engine_torque=engine_torque, speed_drop=speed_drop)
    k, first, second = positive(stiffness=stiffness, engine_inertia=engine_inertia, vehicle_inertia=vehicle_inertia)
    return result(torque + drop * np.sqrt(k * first * second / (first + second)))


def clutch_cap(*, capacity: Numbers, static_over_dynamic: Numbers, shock_factor: Numbers = 1.0) -> Numbers:
    """Peak torque a slipping clutch lets through to the gearbox.

    Formula
    -------
    cap = capacity * static_over_dynamic * shock_factor

    Parameters
    ----------
    capacity : float or array
        Torque capacity, new and bedded, [N m]
    static_over_dynamic : float or array
        Static over sliding friction: organic 1.10, metallic 1.15 to 1.20, [-]
    shock_factor : float or array
        Overshoot of the shafts: 1 at the clutch itself, 1.5 to 1.8 further down, [-]

    Returns
    -------
    cap : float or array
        Peak torque, [N m]

    Validity
    --------
    Capacity above zero; static_over_dynamic from 1 to 1.5; shock_factor from 1 to 2.

    Examples
    --------
    >>> round(clutch_cap(capacity=500, static_over_dynamic=1.1, shock_factor=1.8))
    990

    References
    ----------
    .. [1] M. J. Neale (ed.), The Tribology Handbook, table 7.4 (sintered metal 0.36 static, 0.30 sliding); shock
       factor common practice, no source.
    """
    (torque,) = positive(capacity=capacity)
    (grip,) = within(1, 1.5, static_over_dynamic=static_over_dynamic)
    (shock,) = within(1, 2, shock_factor=shock_factor)
    return result(torque * grip * shock)


def gearbox_peak_torque(*, clutch_cap: Numbers, dump_peak: Numbers, tyre_cap: Numbers) -> Numbers:
    """Peak torque at the gearbox input: the least of what clutch, shafts and tyres allow.

    Formula
    -------
    peak = min(clutch_cap, dump_peak, tyre_cap)

    Parameters
    ----------
    clutch_cap : float or array
        What the clutch lets through, see `clutch_cap`, [N m]
    dump_peak : float or array
        Peak without any slip, see `peak_torque_on_dump`, [N m]
    tyre_cap : float or array
        What the tyres let through, see `grip_limited_torque`, [N m]

    Returns
    -------
    peak : float or array
        Peak torque at the gearbox input, [N m]

    Validity
    --------
    All zero or above.

    Examples
    --------
    >>> gearbox_peak_torque(clutch_cap=990, dump_peak=683, tyre_cap=350)
    350.0

    References
    ----------
    .. [1] Common practice, no source.
    """
    clutch, spike, tyre = not_negative(clutch_cap=clutch_cap, dump_peak=dump_peak, tyre_cap=tyre_cap)
    return result(np.minimum(np.minimum(clutch, spike), tyre))


def disc_speed_on_down_shift(
    *, vehicle_speed: Numbers, tyre_radius: Numbers, gear_ratio: Numbers, final_drive: Numbers
) -> Numbers:
    """Speed the road gives the disc when a gear is engaged with the pedal down: the facings may be thrown off.

    Formula
    -------
    disc_speed = vehicle_speed / tyre_radius * gear_ratio * final_drive

    Parameters
    ----------
    vehicle_speed : float or array
        Speed of the vehicle, [m/s]
    tyre_radius : float or array
        Rolling radius of the driven tyres, [m]
    gear_ratio : float or array
        Ratio of the gear taken, [-]
    final_drive : float or array
        Final drive ratio, [-]

    Returns
    -------
    disc_speed : float or array
        Speed of the disc, with the engine not following, [rad/s]

    Validity
    --------
    Vehicle speed zero or above, the others above zero; no tyre slip.

    Examples
    --------
    160 km/h into first, in rpm:

    >>> from math import pi
    >>> w = disc_speed_on_down_shift(vehicle_speed=160 / 3.6, tyre_radius=0.31, gear_ratio=3.5, final_drive=4.1)
    >>> round(w * 30 / pi, -1)
    19650.0

    References
    ----------
    .. [1] Gear kinematics; no source needed.
    """
    (v,) = not_negative(vehicle_speed=vehicle_speed)
    radius, gear, final = positive(tyre_radius=tyre_radius, gear_ratio=gear_ratio, final_drive=final_drive)
    return result(v / radius * gear * final)


def driven_axle_load(
    *,
    mass: Numbers,
    weight_on_driven: Numbers,
    wheelbase: Numbers,
    cg_height: Numbers,
    tyre_friction: Numbers,
    driven_axle: str,
    gravity: Numbers = 9.80665,
) -> Numbers:
    """Load on the driven axle at the grip limit, weight transfer included.

    Formula
    -------
    transfer = tyre_friction * cg_height / wheelbase
    axle_load = min(weight_on_driven / (1 - transfer), 1) * mass * gravity, where driven_axle is rear
    axle_load = weight_on_driven / (1 + transfer) * mass * gravity, where driven_axle is front
    axle_load = mass * gravity, where driven_axle is all

    Parameters
    ----------
    mass : float or array
        Mass of the vehicle, [kg]
    weight_on_driven : float or array
        Share of the weight on the driven axle at rest; not read for "all", [-]
    wheelbase : float or array
        Wheelbase, [m]
    cg_height : float or array
        Height of the centre of gravity, [m]
    tyre_friction : float or array
        Friction of tyre on road: economy or summer 0.9, sport 1.1, semi-slick 1.3 to 1.5, drag slick 1.8 to 2.5,
        [-]
    driven_axle : str
        "front", "rear" or "all", [-]
    gravity : float or array
        Acceleration of free fall, [m/s2]

    Returns
    -------
    axle_load : float or array
        Load on the driven axle, [N]

    Validity
    --------
    weight_on_driven above 0, at most 1; tyre friction up to 5; tyre_friction * cg_height below wheelbase. A rear
    axle carries at most the whole weight (front wheels in the air).

    Examples
    --------
    >>> round(driven_axle_load(mass=1500, weight_on_driven=0.5, wheelbase=2.5, cg_height=0.5, tyre_friction=0.9,
    ...                        driven_axle="rear"))
    8969

    References
    ----------
    .. [1] Moments about the tyre contacts; the same form in university lecture slides on load transfer.
    """
    m, base, height, mu, g = positive(
        mass=mass, wheelbase=wheelbase, cg_height=cg_height, tyre_friction=tyre_friction, gravity=gravity
    )
    (part,) = share(weight_on_driven=weight_on_driven)
    within(0, 5, tyre_friction=tyre_friction)
    choice(("front", "rear", "all"), driven_axle=driven_axle)
    transfer = mu * height / base
    if driven_axle == "rear":
        refuse_where(transfer >= 1, "tyre_friction", "times cg_height must be below wheelbase", mu)
        on_axle = np.minimum(part / (1 - transfer), 1.0)
    elif driven_axle == "front":
        on_axle = part / (1 + transfer)
    else:
        on_axle = np.ones(np.broadcast_shapes(part.shape, transfer.shape))
    return result(on_axle * m * g)


def grip_limited_torque(
    *,
    mass: Numbers,
    weight_on_driven: Numbers,
    wheelbase: Numbers,
    cg_height: Numbers,
    tyre_friction: Numbers,
    driven_axle: str,
    tyre_radius: Numbers,
    total_ratio: Numbers,
    efficiency: Numbers,
    gravity: Numbers = 9.80665,
) -> Numbers:
    """Torque at the clutch at which the driven tyres let go.

    For launch heat and shock only: never a reason to hold less than the engine gives.

    Formula
    -------
    transfer = tyre_friction * cg_height / wheelbase
    axle_load = min(weight_on_driven / (1 - transfer), 1) * mass * gravity, where driven_axle is rear
    axle_load = weight_on_driven / (1 + transfer) * mass * gravity, where driven_axle is front
    axle_load = mass * gravity, where driven_axle is all
    torque = tyre_friction * axle_load * tyre_radius / (total_ratio * efficiency)

    Parameters
    ----------
    mass : float or array
        Mass of the vehicle, [kg]
    weight_on_driven : float or array
        Share of the weight on the driven axle at rest; not read for "all", [-]
    wheelbase : float or array
        Wheelbase, [m]
    cg_height : float or array
        Height of the centre of gravity, [m]
    tyre_friction : float or array
        Friction of tyre on road: economy or summer 0.9, sport 1.1, semi-slick 1.3 to 1.5, drag slick 1.8 to 2.5,
        [-]
    driven_axle : str
        "front", "rear" or "all", [-]
    tyre_radius : float or array
        Rolling radius of the driven tyres, [m]
    total_ratio : float or array
        Gear ratio times final drive, [-]
    efficiency : float or array
        Efficiency from clutch to wheels, [-]
    gravity : float or array
        Acceleration of free fall, [m/s2]

    Returns
    -------
    torque : float or array
        Steady torque at the clutch when the tyres slip, [N m]

    Validity
    --------
    weight_on_driven above 0, at most 1; tyre friction up to 5; tyre_friction * cg_height below wheelbase. A rear
    axle carries at most the whole weight (front wheels in the air).

    Examples
    --------
    >>> round(grip_limited_torque(mass=1500, weight_on_driven=0.5, wheelbase=2.5, cg_height=0.5, tyre_friction=0.9,
    ...                           driven_axle="rear", tyre_radius=0.31, total_ratio=3.5 * 4.1, efficiency=0.92))
    190

    References
    ----------
    .. [1] Moments about the tyre contacts; the same form in university lecture slides on load transfer.
    """
    load = driven_axle_load(
        mass=mass,
        weight_on_driven=weight_on_driven,
        wheelbase=wheelbase,
        cg_height=cg_height,
        tyre_friction=tyre_friction,
        driven_axle=driven_axle,
        gravity=gravity,
    )
    radius, ratio = positive(tyre_radius=tyre_radius, total_ratio=total_ratio)
    (eta,) = share(efficiency=efficiency)
    return result(np.asarray(tyre_friction, dtype=float) * load * radius / (ratio * eta))


def two_inertia_frequency(*, stiffness: Numbers, first_inertia: Numbers, second_inertia: Numbers) -> Numbers:
    """Natural frequency of two inertias on a torsion spring.

    Formula
    -------
    frequency = sqrt(stiffness * (first_inertia + second_inertia) / (first_inertia * second_inertia)) / (2 * pi)

    Parameters
    ----------
    stiffness : float or array
        Stiffness of damper or shafts, [N m/rad]
    first_inertia : float or array
        Engine, flywheel and cover, [kg m2]
    second_inertia : float or array
        Disc and gearbox input, or the vehicle, [kg m2]

    Returns
    -------
    frequency : float or array
        Natural frequency, [Hz]

    Validity
    --------
    All arguments above zero; no damping.

    Examples
    --------
    Damper of 15 N m/deg:

    >>> round(two_inertia_frequency(stiffness=859.4, first_inertia=0.2, second_inertia=0.012), 1)
    43.9

    References
    ----------
    .. [1] Two inertias on a torsion spring; no source needed.
    """
    k, first, second = positive(stiffness=stiffness, first_inertia=first_inertia, second_inertia=second_inertia)
    return result(np.sqrt(k * (first + second) / (first * second)) / (2 * np.pi))


def firing_frequency(*, speed: Numbers, cylinders: Numbers, strokes: Numbers = 4) -> Numbers:
    """Firing frequency of an engine at a speed.

    Formula
    -------
    frequency = speed / (2 * pi) * cylinders * 2 / strokes

    Parameters
    ----------
    speed : float or array
        Engine speed, [rad/s]
    cylinders : int or array
        Number of cylinders, firing evenly, [-]
    strokes : int or array
        Strokes of the cycle, [-]

    Returns
    -------
    frequency : float or array
        Firings in a second, [Hz]

    Validity
    --------
    Even firing; 1 to 16 cylinders; strokes 2 or 4.

    Examples
    --------
    >>> from math import pi
    >>> round(firing_frequency(speed=800 * pi / 30, cylinders=4), 1)
    26.7

    References
    ----------
    .. [1] Definition; no source needed.
    """
    (w,) = not_negative(speed=speed)
    (number,) = whole(1, 16, cylinders=cylinders)
    (cycle,) = whole(2, 4, strokes=strokes)
    refuse_where(cycle == 3, "strokes", "must be 2 or 4", cycle)
    return result(w / (2 * np.pi) * number * 2 / cycle)


def resonance_speed(*, frequency: Numbers, cylinders: Numbers, strokes: Numbers = 4) -> Numbers:
    """Engine speed at which firing meets a natural frequency.

    Formula
    -------
    speed = 2 * pi * frequency * strokes / (2 * cylinders)

    Parameters
    ----------
    frequency : float or array
        Natural frequency, see `two_inertia_frequency`, [Hz]
    cylinders : int or array
        Number of cylinders, firing evenly, [-]
    strokes : int or array
        Strokes of the cycle, [-]

    Returns
    -------
    speed : float or array
        Engine speed, [rad/s]

    Validity
    --------
    Even firing; 1 to 16 cylinders; strokes 2 or 4.

    Examples
    --------
    >>> from math import pi
    >>> round(resonance_speed(frequency=43.9, cylinders=4) * 30 / pi)
    1317

    References
    ----------
    .. [1] Definition; no source needed.
    """
    (f,) = positive(frequency=frequency)
    (number,) = whole(1, 16, cylinders=cylinders)
    (cycle,) = whole(2, 4, strokes=strokes)
    refuse_where(cycle == 3, "strokes", "must be 2 or 4", cycle)
    return result(2 * np.pi * f * cycle / (2 * number))


def damper_stop_share(*, damper_stop_torque: Numbers, demand_torque: Numbers) -> Numbers:
    """Likely demand over the stop torque of the hub damper.

    Formula
    -------
    share = demand_torque / damper_stop_torque

    Parameters
    ----------
    damper_stop_torque : float or array
        Torque at which the springs of the hub are solid, [N m]
    demand_torque : float or array
        Likely torque the clutch has to hold, [N m]

    Returns
    -------
    share : float or array
        Above 1 the springs go solid in normal drive, [-]

    Validity
    --------
    Both above zero; sprung hubs only.

    Examples
    --------
    >>> damper_stop_share(damper_stop_torque=500, demand_torque=400)
    0.8

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design (from memory): stop torque 1.5 to 2.0 times engine torque; 1.3 as hard
       minimum is common practice, no source.
    """
    stop, demand = positive(damper_stop_torque=damper_stop_torque, demand_torque=demand_torque)
    return result(demand / stop)


def cone_torque(
    *, force: Numbers, friction_coefficient: Numbers, cone_radius: Numbers, cone_angle: Numbers, cones: Numbers = 1
) -> Numbers:
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


def sleeve_force_for_torque(
    *, torque: Numbers, friction_coefficient: Numbers, cone_radius: Numbers, cone_angle: Numbers, cones: Numbers = 1
) -> Numbers:
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


def synchroniser_inertia(*, gearbox_inertia: Numbers, disc_inertia: Numbers, gear_ratio: Numbers) -> Numbers:
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


def synchroniser_speed_difference(*, input_speed: Numbers, ratio_from: Numbers, ratio_to: Numbers) -> Numbers:
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


def synchroniser_time(
    *,
    cone_torque: Numbers,
    reflected_inertia: Numbers,
    speed_difference: Numbers,
    drag_torque: Numbers = 0.0,
    shift: str = "up",
) -> Numbers:
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
        Names cone_torque where drag eats it up: the shift never ends.

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


def synchroniser_time_ratio(
    *, gearbox_inertia: Numbers, disc_inertia: Numbers, factory_disc_inertia: Numbers
) -> Numbers:
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


def synchroniser_energy(*, reflected_inertia: Numbers, speed_difference: Numbers) -> Numbers:
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
