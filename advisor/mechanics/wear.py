"""Wear of facings by the heat they take, and the life that follows.

The models hold below the facing's continuous temperature; above it wear rises
steeply (handbook curves), which no constant specific wear can show.
"""

from .argument_checks import Numbers, not_negative, positive, result


def wear_per_engagement(*, specific_wear: Numbers, slip_energy: Numbers, friction_area: Numbers) -> Numbers:
    """Thickness one engagement takes off each face.

    Formula
    -------
    wear_per_engagement = specific_wear * slip_energy / friction_area

    Parameters
    ----------
    specific_wear : float or array
        Volume worn by unit of heat; 1 mm3/MJ is 1e-15; organic 20 to 23 mm3/MJ at about 100 degC by judgement from
        usual lives, [m3/J]
    slip_energy : float or array
        Heat of one engagement, [J]
    friction_area : float or array
        Facing area of all faces together, [m2]

    Returns
    -------
    wear_per_engagement : float or array
        Mean thickness off each face, [m]

    Validity
    --------
    specific_wear and friction_area above zero; slip_energy zero or above; below the facing's continuous temperature,
    where wear does not run away.

    Examples
    --------
    An 8 kJ start on 52 740 mm2 of organic facing:

    >>> wear_per_engagement(specific_wear=21e-15, slip_energy=8000, friction_area=52740e-6) * 1e9  # doctest: +ELLIPSIS
    3.18...

    References
    ----------
    Energy model of wear; specific wear of dry facings is seldom published: common practice, no source.
    """
    volume, area = positive(specific_wear=specific_wear, friction_area=friction_area)
    (heat,) = not_negative(slip_energy=slip_energy)
    return result(volume * heat / area)


def life_distance(
    *, wear_thickness: Numbers, wear_per_engagement: Numbers, engagements_per_distance: Numbers
) -> Numbers:
    """Distance driven until a thickness of facing is worn off.

    Formula
    -------
    life_distance = wear_thickness / (wear_per_engagement * engagements_per_distance)

    Parameters
    ----------
    wear_thickness : float or array
        Thickness to wear on each face, [m]
    wear_per_engagement : float or array
        Thickness off each face by a usual engagement, [m]
    engagements_per_distance : float or array
        Starts and equal engagements by distance; 1.7 a kilometre is 1.7e-3, [1/m]

    Returns
    -------
    life_distance : float or array
        Distance, [m]

    Validity
    --------
    wear_thickness zero or above; the others above zero.

    Examples
    --------
    >>> round(life_distance(wear_thickness=0.8e-3, wear_per_engagement=3.2e-9, engagements_per_distance=1.7e-3) / 1000)
    147059

    References
    ----------
    Energy model of wear; specific wear of dry facings is seldom published: common practice, no source.
    """
    (thickness,) = not_negative(wear_thickness=wear_thickness)
    each, often = positive(wear_per_engagement=wear_per_engagement, engagements_per_distance=engagements_per_distance)
    return result(thickness / (each * often))


def life_years(
    *,
    wear_thickness: Numbers,
    wear_per_start: Numbers,
    starts_per_distance: Numbers,
    distance_per_year: Numbers,
    wear_per_launch: Numbers,
    launches_per_day: Numbers,
    launch_days: Numbers,
) -> Numbers:
    """Years until starts and launches have worn a thickness of facing off.

    Formula
    -------
    worn = wear_per_start * starts_per_distance * distance_per_year + wear_per_launch * launches_per_day * launch_days
    life_years = wear_thickness / worn

    Parameters
    ----------
    wear_thickness : float or array
        Thickness to wear on each face, [m]
    wear_per_start : float or array
        Thickness off each face by a usual start, [m]
    starts_per_distance : float or array
        Starts by distance, [1/m]
    distance_per_year : float or array
        Distance driven in a year, [m]
    wear_per_launch : float or array
        Thickness off each face by a hard launch, [m]
    launches_per_day : float or array
        Hard launches on a day of launches, [-]
    launch_days : float or array
        Days of launches in a year, [-]

    Returns
    -------
    life_years : float or array
        Years, [-]

    Validity
    --------
    wear_per_start, starts_per_distance and distance_per_year above zero, the others zero or above.

    Examples
    --------
    Ten launches on two days a year, and on each of 300 days:

    >>> use = {"wear_thickness": 0.8e-3, "wear_per_start": 3.2e-9, "starts_per_distance": 1.7e-3,
    ...        "distance_per_year": 15e6, "wear_per_launch": 4e-8, "launches_per_day": 10}
    >>> round(float(life_years(launch_days=2, **use)), 1), round(float(life_years(launch_days=300, **use)), 1)
    (9.7, 4.0)

    References
    ----------
    Energy model of wear; specific wear of dry facings is seldom published: common practice, no source.
    """
    thickness, each, launches, days = not_negative(
        wear_thickness=wear_thickness,
        wear_per_launch=wear_per_launch,
        launches_per_day=launches_per_day,
        launch_days=launch_days,
    )
    start, often, distance = positive(
        wear_per_start=wear_per_start, starts_per_distance=starts_per_distance, distance_per_year=distance_per_year
    )
    return result(thickness / (start * often * distance + each * launches * days))
