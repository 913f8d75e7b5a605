"""Release system: ratios, pedal force, the stroke from pedal to plate lift, bearing gap, stop, over-stroke, take-up.

Further: `hydraulics` (areas, ratios) and `release_bearing` (room for wear and stroke by kind of bearing).
"""

import numpy as np

from .argument_checks import Array, Numbers, finite, not_negative, positive, refuse_where, result, share, whole, within


def overall_ratio(*, pedal_ratio: Numbers, hydraulic_ratio: Numbers = 1.0, fork_ratio: Numbers = 1.0) -> Numbers:
    """Pedal travel over bearing travel.

    Formula
    -------
    overall_ratio = pedal_ratio * hydraulic_ratio * fork_ratio

    Parameters
    ----------
    pedal_ratio : float or array
        Pedal arm over push-rod arm; usually 4.5 to 6.5 hydraulic, 5 to 7 cable, [-]
    hydraulic_ratio : float or array
        Slave area over master area, see `hydraulics.hydraulic_ratio`; 1 for a cable, [-]
    fork_ratio : float or array
        Fork's outer over inner arm, usually 1.3 to 2.2; 1 for a concentric cylinder, [-]

    Returns
    -------
    overall_ratio : float or array
        Ratio, [-]

    Validity
    --------
    All above zero.

    Examples
    --------
    >>> round(overall_ratio(pedal_ratio=5.5, hydraulic_ratio=(20.64 / 15.87)**2, fork_ratio=1.6), 2)
    14.88

    References
    ----------
    .. [1] Lever and cylinder ratios, elementary statics.
    """
    pedal, hydraulic, fork = positive(pedal_ratio=pedal_ratio, hydraulic_ratio=hydraulic_ratio, fork_ratio=fork_ratio)
    return result(pedal * hydraulic * fork)


def pedal_force(
    *, bearing_load: Numbers, overall_ratio: Numbers, efficiency: Numbers, return_force: Numbers = 0.0
) -> Numbers:
    """Force at the pedal that holds a bearing load.

    Formula
    -------
    pedal_force = bearing_load / (overall_ratio * efficiency) + return_force

    Parameters
    ----------
    bearing_load : float or array
        Load at the release bearing, [N]
    overall_ratio : float or array
        Pedal travel over bearing travel, see `overall_ratio`, [-]
    efficiency : float or array
        Share of the work that arrives: 0.80 to 0.90 hydraulic, 0.70 to 0.80 cable or linkage, [-]
    return_force : float or array
        Force of the pedal's return spring, about 15 N, [N]

    Returns
    -------
    pedal_force : float or array
        Force on the pedal pad, [N]

    Validity
    --------
    bearing_load and return_force zero or above; overall_ratio above zero; 0 < efficiency <= 1.

    Examples
    --------
    >>> round(pedal_force(bearing_load=1600, overall_ratio=14.88, efficiency=0.85))
    127

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, clutch chapter (efficiencies, from memory).
    """
    load, spring = not_negative(bearing_load=bearing_load, return_force=return_force)
    (ratio,) = positive(overall_ratio=overall_ratio)
    (efficient,) = share(efficiency=efficiency)
    return result(load / (ratio * efficient) + spring)


def bearing_travel(
    *, pedal_travel: Numbers, free_travel: Numbers, overall_ratio: Numbers, loss_share: Numbers = 0.0
) -> Numbers:
    """Travel of the release bearing that the pedal's stroke yields.

    Formula
    -------
    bearing_travel = (pedal_travel - free_travel) * (1 - loss_share) / overall_ratio

    Parameters
    ----------
    pedal_travel : float or array
        Pedal travel from rest to its stop, [m]
    free_travel : float or array
        Pedal travel before the bearing moves: free play and bearing gap, [m]
    overall_ratio : float or array
        Pedal travel over bearing travel, see `overall_ratio`, [-]
    loss_share : float or array
        Share of the stroke lost to hose swell and flex of pedal box and fork, 0.05 to 0.15, [-]

    Returns
    -------
    bearing_travel : float or array
        Travel available at the bearing, [m]

    Validity
    --------
    0 <= free_travel <= pedal_travel; overall_ratio above zero; 0 <= loss_share <= 0.9.

    Examples
    --------
    A concentric cylinder of 1075 mm2, 19.05 mm master, pedal 6:1, 135 mm of pedal:

    >>> round(bearing_travel(pedal_travel=0.135, free_travel=0, overall_ratio=22.63) * 1000, 1)
    6.0

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, clutch chapter: pedal travel through lever arms and cylinder areas
       (structure seen in course reports, values from memory).
    """
    stroke, free = not_negative(pedal_travel=pedal_travel, free_travel=free_travel)
    refuse_where(free > stroke, "free_travel", "must not be above pedal_travel", free)
    (ratio,) = positive(overall_ratio=overall_ratio)
    (lost,) = within(0, 0.9, loss_share=loss_share)
    return result((stroke - free) * (1 - lost) / ratio)


def lift_needed(*, discs: Numbers, gap: Numbers, cushion_travel: Numbers, run_out: Numbers = 0.0) -> Numbers:
    """Lift of the pressure plate at which every disc runs free.

    Formula
    -------
    lift_needed = 2 * discs * gap + discs * cushion_travel + run_out

    Parameters
    ----------
    discs : int or array
        Number of discs, [-]
    gap : float or array
        Running gap at each friction face: 0.3 to 0.5 mm single, 0.20 to 0.40 mm packs, [m]
    cushion_travel : float or array
        Free height of one disc less its height under clamp, zero without cushion, [m]
    run_out : float or array
        Allowance for run-out and warp of all discs together, [m]

    Returns
    -------
    lift_needed : float or array
        Plate lift, [m]

    Validity
    --------
    discs a whole number from 1 to 4; gap above zero; cushion_travel and run_out zero or above.

    Examples
    --------
    A twin with 0.30 mm gaps and 0.8 mm cushions:

    >>> round(lift_needed(discs=2, gap=0.30e-3, cushion_travel=0.8e-3) * 1000, 2)
    2.8

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, clutch chapter (gaps, from memory); packs: common practice, no source.
    """
    (plates,) = whole(1, 4, discs=discs)
    (clearance,) = positive(gap=gap)
    cushion, warp = not_negative(cushion_travel=cushion_travel, run_out=run_out)
    return result(2 * plates * clearance + plates * cushion + warp)


def bearing_travel_needed(
    *, lift: Numbers, release_ratio: Numbers, finger_bend: Numbers, cover_flex: Numbers = 0.0
) -> Numbers:
    """Bearing travel that a plate lift asks for.

    Formula
    -------
    bearing_travel_needed = lift * release_ratio + finger_bend + cover_flex

    Parameters
    ----------
    lift : float or array
        Plate lift, see `lift_needed`, [m]
    release_ratio : float or array
        Bearing travel over plate lift of rigid fingers, [-]
    finger_bend : float or array
        Travel lost in bending fingers, see `disc_spring.finger_bending`, [m]
    cover_flex : float or array
        Travel lost in the cover, usually 0.2 to 0.5 mm, [m]

    Returns
    -------
    bearing_travel_needed : float or array
        Travel at the bearing, [m]

    Validity
    --------
    lift and release_ratio above zero; the others zero or above.

    Examples
    --------
    >>> round(bearing_travel_needed(lift=1.5e-3, release_ratio=3.293, finger_bend=1.12e-3) * 1000, 2)
    6.06

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, clutch chapter: pedal travel through lever arms and cylinder areas
       (structure seen in course reports, values from memory).
    """
    height, ratio = positive(lift=lift, release_ratio=release_ratio)
    bend, flex = not_negative(finger_bend=finger_bend, cover_flex=cover_flex)
    return result(height * ratio + bend + flex)


def bearing_gap(*, housing_to_bearing: Numbers, block_to_fingers: Numbers, spacer_thickness: Numbers = 0.0) -> Numbers:
    """Gap between a bearing bolted to the gearbox and the diaphragm fingers.

    Formula
    -------
    bearing_gap = housing_to_bearing + spacer_thickness - block_to_fingers

    Parameters
    ----------
    housing_to_bearing : float or array
        Depth from the bellhousing's engine face to the bearing face, piston fully back, [m]
    block_to_fingers : float or array
        Height of the finger tips over the block face, clutch bolted up; negative if below it, [m]
    spacer_thickness : float or array
        Gasket or mid-plate between block and bellhousing, [m]

    Returns
    -------
    bearing_gap : float or array
        Gap; negative means the bearing would press on the fingers, [m]

    Validity
    --------
    Finite numbers; spacer_thickness zero or above.

    Examples
    --------
    >>> round(bearing_gap(housing_to_bearing=52.0e-3, block_to_fingers=49.5e-3, spacer_thickness=0.8e-3) * 1000, 2)
    3.3

    References
    ----------
    Measuring scheme of fitting sheets: common practice, no source.
    """
    depth, height = finite(housing_to_bearing=housing_to_bearing, block_to_fingers=block_to_fingers)
    (spacer,) = not_negative(spacer_thickness=spacer_thickness)
    return result(depth + spacer - height)


def wear_room(*, free_distance: Numbers, release_ratio: Numbers, heat_growth: Numbers = 0.0) -> Numbers:
    """Facing wear, all faces together, that a free distance at the bearing swallows.

    Formula
    -------
    wear_room = (free_distance - heat_growth) / release_ratio

    Parameters
    ----------
    free_distance : float or array
        Distance the fingers may still move with wear before they are held: gap (fixed), travel still retractable
        (sprung), free play at the bearing (conventional). Push fingers move to the gearbox with wear, pull fingers to
        the engine, [m]
    release_ratio : float or array
        Bearing travel over plate lift, [-]
    heat_growth : float or array
        Distance kept for growth by heat, 0.5 to 1 mm, [m]

    Returns
    -------
    wear_room : float or array
        Wear that can be taken up; zero or less means none, [m]

    Validity
    --------
    free_distance finite; release_ratio above zero; heat_growth zero or above.

    Examples
    --------
    A fixed gap of 4 mm covers about 1 mm of wear:

    >>> round(wear_room(free_distance=4e-3, release_ratio=3.3, heat_growth=0.7e-3) * 1000, 2)
    1.0

    References
    ----------
    Lever geometry; the allowance is common practice, no source.
    """
    (distance,) = finite(free_distance=free_distance)
    (ratio,) = positive(release_ratio=release_ratio)
    (growth,) = not_negative(heat_growth=heat_growth)
    return result((distance - growth) / ratio)


def pedal_at_release(
    *, bearing_travel_needed: Numbers, free_travel: Numbers, overall_ratio: Numbers, loss_share: Numbers = 0.0
) -> Numbers:
    """Pedal travel at which the clutch is cleanly released.

    Formula
    -------
    pedal_at_release = free_travel + bearing_travel_needed * overall_ratio / (1 - loss_share)

    Parameters
    ----------
    bearing_travel_needed : float or array
        Bearing travel at clean release, see `bearing_travel_needed`, [m]
    free_travel : float or array
        Pedal travel before the bearing moves, [m]
    overall_ratio : float or array
        Pedal travel over bearing travel, see `overall_ratio`, [-]
    loss_share : float or array
        Share of the stroke lost to hose swell and flex, 0.05 to 0.15, [-]

    Returns
    -------
    pedal_at_release : float or array
        Pedal travel from rest, [m]

    Validity
    --------
    bearing_travel_needed and overall_ratio above zero; free_travel zero or above; 0 <= loss_share <= 0.9.

    Examples
    --------
    >>> round(pedal_at_release(bearing_travel_needed=6.2e-3, free_travel=0.012, overall_ratio=14.9) * 1000, 1)
    104.4

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, clutch chapter: pedal travel through lever arms and cylinder areas
       (structure seen in course reports, values from memory).
    """
    needed, ratio = positive(bearing_travel_needed=bearing_travel_needed, overall_ratio=overall_ratio)
    (free,) = not_negative(free_travel=free_travel)
    (lost,) = within(0, 0.9, loss_share=loss_share)
    return result(free + needed * ratio / (1 - lost))


def _pedal_limits(
    bearing_travel_needed: Numbers,
    bearing_travel_max: Numbers,
    pedal_travel: Numbers,
    free_travel: Numbers,
    overall_ratio: Numbers,
    loss_share: Numbers,
) -> tuple[Array, Array]:
    """Pedal travel at clean release, and the farthest the pedal may go, after checking."""
    needed, most, floor, ratio = positive(
        bearing_travel_needed=bearing_travel_needed,
        bearing_travel_max=bearing_travel_max,
        pedal_travel=pedal_travel,
        overall_ratio=overall_ratio,
    )
    (free,) = not_negative(free_travel=free_travel)
    (lost,) = within(0, 0.9, loss_share=loss_share)
    # Losses vary from day to day: they are counted where they hurt, not where they would help.
    return free + needed * ratio / (1 - lost), np.minimum(free + most * ratio, floor)


def pedal_stop_position(
    *,
    bearing_travel_needed: Numbers,
    bearing_travel_max: Numbers,
    pedal_travel: Numbers,
    free_travel: Numbers,
    overall_ratio: Numbers,
    reserve: Numbers,
    loss_share: Numbers = 0.0,
) -> Numbers:
    """Pedal travel at which a stop should stand: clean release and a reserve, never past the maker's maximum.

    Formula
    -------
    pedal_at_release = free_travel + bearing_travel_needed * overall_ratio / (1 - loss_share)
    farthest = min(free_travel + bearing_travel_max * overall_ratio, pedal_travel)
    pedal_stop_position = min(pedal_at_release + reserve, farthest)

    Parameters
    ----------
    bearing_travel_needed : float or array
        Bearing travel at clean release, see `bearing_travel_needed`, [m]
    bearing_travel_max : float or array
        Bearing travel the maker allows, [m]
    pedal_travel : float or array
        Pedal travel from rest to the floor or its own stop, [m]
    free_travel : float or array
        Pedal travel before the bearing moves, [m]
    overall_ratio : float or array
        Pedal travel over bearing travel, see `overall_ratio`, [-]
    reserve : float or array
        Pedal travel past clean release, usually 5 to 10 mm, [m]
    loss_share : float or array
        Share of the stroke lost to hose swell and flex, 0.05 to 0.15, [-]

    Returns
    -------
    pedal_stop_position : float or array
        Pedal travel from rest, [m]

    Validity
    --------
    All zero or above, ratio above zero, 0 <= loss_share <= 0.9. Clean release must lie within the maker's maximum and
    within the pedal's travel. The maximum is guarded as if no stroke were lost, the release as if loss_share were.

    Examples
    --------
    >>> round(pedal_stop_position(bearing_travel_needed=6.2e-3, bearing_travel_max=8e-3, pedal_travel=0.140,
    ...                           free_travel=0.012, overall_ratio=14.9, reserve=0.008) * 1000, 1)
    112.4

    References
    ----------
    Common practice, no source.
    """
    release, farthest = _pedal_limits(
        bearing_travel_needed, bearing_travel_max, pedal_travel, free_travel, overall_ratio, loss_share
    )
    (spare,) = not_negative(reserve=reserve)
    (floor,) = finite(pedal_travel=pedal_travel)
    refuse_where(release > floor, "pedal_travel", "ends before clean release, no stop can be set", floor)
    refuse_where(
        release > farthest,
        "bearing_travel_max",
        "is passed before clean release, no stop can be set",
        bearing_travel_max,
    )
    return result(np.minimum(release + spare, farthest))


def pedal_stop_room(
    *,
    bearing_travel_needed: Numbers,
    bearing_travel_max: Numbers,
    pedal_travel: Numbers,
    free_travel: Numbers,
    overall_ratio: Numbers,
    loss_share: Numbers = 0.0,
) -> Numbers:
    """Pedal travel between clean release and the farthest a stop may stand.

    Formula
    -------
    pedal_at_release = free_travel + bearing_travel_needed * overall_ratio / (1 - loss_share)
    pedal_stop_room = min(free_travel + bearing_travel_max * overall_ratio, pedal_travel) - pedal_at_release

    Parameters
    ----------
    bearing_travel_needed : float or array
        Bearing travel at clean release, see `bearing_travel_needed`, [m]
    bearing_travel_max : float or array
        Bearing travel the maker allows, [m]
    pedal_travel : float or array
        Pedal travel from rest to the floor or its own stop, [m]
    free_travel : float or array
        Pedal travel before the bearing moves, [m]
    overall_ratio : float or array
        Pedal travel over bearing travel, see `overall_ratio`, [-]
    loss_share : float or array
        Share of the stroke lost to hose swell and flex, 0.05 to 0.15, [-]

    Returns
    -------
    pedal_stop_room : float or array
        Room; below zero no stop can be set, [m]

    Validity
    --------
    As `pedal_stop_position`, but never refused for lack of room: this is the figure to set a limit on.

    Examples
    --------
    >>> round(pedal_stop_room(bearing_travel_needed=6.2e-3, bearing_travel_max=8e-3, pedal_travel=0.140,
    ...                       free_travel=0.012, overall_ratio=14.9) * 1000, 1)
    26.8

    References
    ----------
    Common practice, no source.
    """
    release, farthest = _pedal_limits(
        bearing_travel_needed, bearing_travel_max, pedal_travel, free_travel, overall_ratio, loss_share
    )
    return result(farthest - release)


def overstroke(*, bearing_travel: Numbers, bearing_travel_max: Numbers) -> Numbers:
    """Travel by which the pedal can push the bearing past the maker's maximum.

    Formula
    -------
    overstroke = max(0, bearing_travel - bearing_travel_max)

    Parameters
    ----------
    bearing_travel : float or array
        Travel available at the bearing with no losses, see `release.bearing_travel`, [m]
    bearing_travel_max : float or array
        Bearing travel the maker allows, [m]

    Returns
    -------
    overstroke : float or array
        Over-stroke, zero where none; above zero a pedal stop is needed, [m]

    Validity
    --------
    bearing_travel zero or above; bearing_travel_max above zero.

    Examples
    --------
    >>> round(overstroke(bearing_travel=9.2e-3, bearing_travel_max=8e-3) * 1000, 2)
    1.2

    References
    ----------
    Common practice, no source.
    """
    (available,) = not_negative(bearing_travel=bearing_travel)
    (most,) = positive(bearing_travel_max=bearing_travel_max)
    return result(np.maximum(0.0, available - most))


def release_work(*, bearing_load: Numbers, bearing_travel_needed: Numbers) -> Numbers:
    """Work of one release at the bearing.

    Formula
    -------
    release_work = bearing_load * bearing_travel_needed

    Parameters
    ----------
    bearing_load : float or array
        Load at the release bearing, [N]
    bearing_travel_needed : float or array
        Bearing travel at clean release, [m]

    Returns
    -------
    release_work : float or array
        Work; factory clutches ask 8 to 17 J, [J]

    Validity
    --------
    Both above zero; the load is taken as constant.

    Examples
    --------
    >>> round(release_work(bearing_load=1600, bearing_travel_needed=7.5e-3), 1)
    12.0

    References
    ----------
    Force times distance; the range is common practice, no source.
    """
    load, travel = positive(bearing_load=bearing_load, bearing_travel_needed=bearing_travel_needed)
    return result(load * travel)


def least_pedal_force(
    *, release_work: Numbers, efficiency: Numbers, usable_pedal_travel: Numbers, return_force: Numbers = 0.0
) -> Numbers:
    """Pedal force below which no choice of bores can go for a given release work.

    Formula
    -------
    least_pedal_force = release_work / (efficiency * usable_pedal_travel) + return_force

    Parameters
    ----------
    release_work : float or array
        Work at the bearing, see `release_work`, [J]
    efficiency : float or array
        Share of the work that arrives, 0.85 for a healthy hydraulic system, [-]
    usable_pedal_travel : float or array
        Pedal travel less free travel and reserve, [m]
    return_force : float or array
        Force of the pedal's return spring, about 15 N, [N]

    Returns
    -------
    least_pedal_force : float or array
        Force on the pedal pad, [N]

    Validity
    --------
    release_work and usable_pedal_travel above zero; 0 < efficiency <= 1; return_force zero or above.

    Examples
    --------
    >>> round(least_pedal_force(release_work=12, efficiency=0.85, usable_pedal_travel=0.12, return_force=15))
    133

    References
    ----------
    Energy balance of the release; efficiency from memory.
    """
    work, travel = positive(release_work=release_work, usable_pedal_travel=usable_pedal_travel)
    (efficient,) = share(efficiency=efficiency)
    (spring,) = not_negative(return_force=return_force)
    return result(work / (efficient * travel) + spring)


def clamp_travel(
    *,
    discs: Numbers,
    cushion_travel: Numbers,
    seating_travel: Numbers,
    release_ratio: Numbers,
    finger_bend: Numbers,
    cover_flex: Numbers,
) -> Numbers:
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
    *,
    first_torque: Numbers,
    last_torque: Numbers,
    capacity: Numbers,
    discs: Numbers,
    cushion_travel: Numbers,
    seating_travel: Numbers,
    release_ratio: Numbers,
    finger_bend: Numbers,
    cover_flex: Numbers,
    overall_ratio: Numbers,
    loss_share: Numbers = 0.0,
    cushion_exponent: Numbers = 2.5,
) -> Numbers:
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
        first_torque=first_torque,
        last_torque=last_torque,
        capacity=capacity,
        overall_ratio=overall_ratio,
        cushion_exponent=cushion_exponent,
    )
    (lost,) = within(0, 0.9, loss_share=loss_share)
    plates = clamp_travel(
        discs=discs,
        cushion_travel=cushion_travel,
        seating_travel=seating_travel,
        release_ratio=release_ratio,
        finger_bend=0,
        cover_flex=0,
    )
    bend, flex = not_negative(finger_bend=finger_bend, cover_flex=cover_flex)
    start, end = np.minimum(first / full, 1), np.minimum(last / full, 1)
    travel = plates * (end ** (1 / exponent) - start ** (1 / exponent)) + (bend + flex) * (end - start)
    return result(np.maximum(travel, 0) * linkage / (1 - lost))
