"""Disc springs by EN 16984: coefficients, force, curve and stress; the slotted diaphragm of a clutch cover on them."""

import numpy as np

from ._series import artanh_excess
from .argument_checks import Array, Numbers, below, choice, not_negative, positive, refuse_where, result, whole, within


def _ratio(diameter_ratio: Numbers) -> tuple[Array, Array]:
    """Checked ratio, and u = (ratio - 1) / (ratio + 1), so that log(ratio) = 2 artanh(u)."""
    (ratio,) = positive(diameter_ratio=diameter_ratio)
    refuse_where(ratio <= 1, "diameter_ratio", "must be above 1 (outer over inner diameter)", ratio)
    return ratio, (ratio - 1) / (ratio + 1)


def coefficient_k1(*, diameter_ratio: Numbers) -> Numbers:
    """Shape coefficient K1 of a disc spring.

    Formula
    -------
    bracket = (diameter_ratio + 1) / (diameter_ratio - 1) - 2 / log(diameter_ratio)
    coefficient_k1 = ((diameter_ratio - 1) / diameter_ratio)**2 / pi / bracket

    Parameters
    ----------
    diameter_ratio : float or array
        Outer over inner diameter, [-]

    Returns
    -------
    coefficient_k1 : float or array
        K1, [-]

    Validity
    --------
    diameter_ratio above 1.

    Examples
    --------
    >>> round(coefficient_k1(diameter_ratio=1.75), 4)
    0.6301

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation (closed form from memory, checked numerically).
    """
    ratio, u = _ratio(diameter_ratio)
    # 1/u - 1/artanh(u) cancels in thin rings; the series does not.
    return result(((ratio - 1) / ratio) ** 2 / np.pi * np.arctanh(u) / (u**2 * artanh_excess(u)))


def coefficient_k2(*, diameter_ratio: Numbers) -> Numbers:
    """Stress coefficient K2 of a disc spring.

    Formula
    -------
    coefficient_k2 = 6 / pi * ((diameter_ratio - 1) / log(diameter_ratio) - 1) / log(diameter_ratio)

    Parameters
    ----------
    diameter_ratio : float or array
        Outer over inner diameter, [-]

    Returns
    -------
    coefficient_k2 : float or array
        K2, [-]

    Validity
    --------
    diameter_ratio above 1.

    Examples
    --------
    >>> round(coefficient_k2(diameter_ratio=2), 4)
    1.2198

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation (closed form from memory, checked numerically).
    """
    ratio, _ = _ratio(diameter_ratio)
    logarithm = np.log(ratio)
    return result(6 / np.pi * ((ratio - 1) / logarithm - 1) / logarithm)


def coefficient_k3(*, diameter_ratio: Numbers) -> Numbers:
    """Stress coefficient K3 of a disc spring.

    Formula
    -------
    coefficient_k3 = 3 / pi * (diameter_ratio - 1) / log(diameter_ratio)

    Parameters
    ----------
    diameter_ratio : float or array
        Outer over inner diameter, [-]

    Returns
    -------
    coefficient_k3 : float or array
        K3, [-]

    Validity
    --------
    diameter_ratio above 1.

    Examples
    --------
    >>> round(coefficient_k3(diameter_ratio=2), 4)
    1.3777

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation (closed form from memory, checked numerically).
    """
    ratio, _ = _ratio(diameter_ratio)
    return result(3 / np.pi * (ratio - 1) / np.log(ratio))


def contact_flat_factor(*, thickness: Numbers, reduced_thickness: Numbers, free_height: Numbers) -> Numbers:
    """Factor K4 of a disc spring with contact flats and reduced thickness (group 3, over 6 mm).

    Formula
    -------
    kept = reduced_thickness / thickness
    tall = free_height / thickness
    c1 = kept**2 / ((tall / 4 - kept + 3/4) * (5/8 * tall - kept + 3/8))
    c2 = c1 / kept**3 * (5/32 * (tall - 1)**2 + 1)
    contact_flat_factor = sqrt(-c1 / 2 + sqrt((c1 / 2)**2 + c2))

    Parameters
    ----------
    thickness : float or array
        Thickness before reduction, [m]
    reduced_thickness : float or array
        Reduced thickness, [m]
    free_height : float or array
        Free overall height, [m]

    Returns
    -------
    contact_flat_factor : float or array
        K4; to `disc_spring.load` then give the reduced thickness, and the free height less it as cone height, [-]

    Validity
    --------
    0 < reduced_thickness < thickness < free_height.

    Examples
    --------
    >>> round(contact_flat_factor(thickness=8e-3, reduced_thickness=7.5e-3, free_height=10.6e-3), 3)
    1.083

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation (closed form from memory, checked numerically).
    """
    thick, reduced, height = positive(thickness=thickness, reduced_thickness=reduced_thickness, free_height=free_height)
    below("thickness", thick, reduced_thickness=reduced)
    below("free_height", height, thickness=thick)
    kept, tall = reduced / thick, height / thick
    c1 = kept**2 / ((tall / 4 - kept + 3 / 4) * (5 * tall / 8 - kept + 3 / 8))
    c2 = c1 / kept**3 * (5 / 32 * (tall - 1) ** 2 + 1)
    return result(np.sqrt(-c1 / 2 + np.sqrt((c1 / 2) ** 2 + c2)))


def _deflection(deflection: Numbers, cone_height: Numbers) -> Array:
    """Checked deflection; past twice the cone height no spring is meant to go."""
    (bent,) = not_negative(deflection=deflection)
    (cone,) = positive(cone_height=cone_height)
    refuse_where(bent > 2 * cone, "deflection", "must not be above twice cone_height", bent)
    return bent


def _stiffness(
    outer_diameter: Numbers,
    inner_diameter: Numbers,
    thickness: Numbers,
    cone_height: Numbers,
    youngs_modulus: Numbers,
    poisson_ratio: Numbers,
    contact_flat_factor: Numbers,
) -> tuple[Array, Array, Array, Array]:
    """Rate when flat without the cone's part [N/m], thickness, cone height and the square of K4, after checking."""
    outer, inner, thick, cone, modulus = positive(
        outer_diameter=outer_diameter,
        inner_diameter=inner_diameter,
        thickness=thickness,
        cone_height=cone_height,
        youngs_modulus=youngs_modulus,
    )
    below("outer_diameter", outer, inner_diameter=inner)
    (poisson,) = within(0, 0.49, poisson_ratio=poisson_ratio)
    (flats,) = within(1, 2, contact_flat_factor=contact_flat_factor)
    k1 = coefficient_k1(diameter_ratio=outer / inner)
    squared = flats**2
    return 4 * modulus / (1 - poisson**2) * thick**3 / (k1 * outer**2) * squared, thick, cone, squared


def load(
    *,
    deflection: Numbers,
    outer_diameter: Numbers,
    inner_diameter: Numbers,
    thickness: Numbers,
    cone_height: Numbers,
    youngs_modulus: Numbers = 206e9,
    poisson_ratio: Numbers = 0.3,
    contact_flat_factor: Numbers = 1.0,
) -> Numbers:
    """Force of a disc spring or of an unslotted diaphragm ring at a deflection.

    Formula
    -------
    diameter_ratio = outer_diameter / inner_diameter
    bracket = (diameter_ratio + 1) / (diameter_ratio - 1) - 2 / log(diameter_ratio)
    k1 = ((diameter_ratio - 1) / diameter_ratio)**2 / pi / bracket
    modulus = 4 * youngs_modulus / (1 - poisson_ratio**2)
    stiffness = modulus * thickness**3 / (k1 * outer_diameter**2) * contact_flat_factor**2
    cone = cone_height / thickness
    bent = deflection / thickness
    load = stiffness * deflection * (contact_flat_factor**2 * (cone - bent) * (cone - bent / 2) + 1)

    Parameters
    ----------
    deflection : float or array
        Axial deflection from the free cone, [m]
    outer_diameter : float or array
        Outer diameter of the unslotted ring, [m]
    inner_diameter : float or array
        Inner diameter of the unslotted ring, [m]
    thickness : float or array
        Thickness; the reduced one where there are contact flats, [m]
    cone_height : float or array
        Free height less thickness, [m]
    youngs_modulus : float or array
        Young's modulus, 206e9 for spring steel in EN 16984, [Pa]
    poisson_ratio : float or array
        Poisson's ratio, 0.3 for steel in EN 16984, [-]
    contact_flat_factor : float or array
        K4, see `contact_flat_factor`; 1 without contact flats, [-]

    Returns
    -------
    load : float or array
        Axial force; negative where the spring has snapped through, [N]

    Validity
    --------
    0 <= deflection <= 2 * cone_height; 0 < inner_diameter < outer_diameter; thickness, cone_height and youngs_modulus
    above zero; poisson_ratio from 0 to 0.49; contact_flat_factor from 1 to 2.

    Examples
    --------
    Series B, 50 x 25.4 x 2, at three quarters of its cone height (4760 N in the table, from memory):

    >>> round(load(deflection=1.05e-3, outer_diameter=0.050, inner_diameter=0.0254, thickness=2e-3, cone_height=1.4e-3))
    4762

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation: force after Almen and Laszlo.
    """
    bent = _deflection(deflection, cone_height)
    stiffness, thick, cone, squared = _stiffness(
        outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus, poisson_ratio, contact_flat_factor
    )
    return result(stiffness * bent * (squared * (cone - bent) * (cone - bent / 2) / thick**2 + 1))


def rate(
    *,
    deflection: Numbers,
    outer_diameter: Numbers,
    inner_diameter: Numbers,
    thickness: Numbers,
    cone_height: Numbers,
    youngs_modulus: Numbers = 206e9,
    poisson_ratio: Numbers = 0.3,
    contact_flat_factor: Numbers = 1.0,
) -> Numbers:
    """Slope of a disc spring's force against deflection.

    Formula
    -------
    diameter_ratio = outer_diameter / inner_diameter
    bracket = (diameter_ratio + 1) / (diameter_ratio - 1) - 2 / log(diameter_ratio)
    k1 = ((diameter_ratio - 1) / diameter_ratio)**2 / pi / bracket
    modulus = 4 * youngs_modulus / (1 - poisson_ratio**2)
    stiffness = modulus * thickness**3 / (k1 * outer_diameter**2) * contact_flat_factor**2
    cone = cone_height / thickness
    bent = deflection / thickness
    rate = stiffness * (contact_flat_factor**2 * (cone**2 - 3 * cone * bent + 1.5 * bent**2) + 1)

    Parameters
    ----------
    deflection : float or array
        Axial deflection from the free cone, [m]
    outer_diameter : float or array
        Outer diameter of the unslotted ring, [m]
    inner_diameter : float or array
        Inner diameter of the unslotted ring, [m]
    thickness : float or array
        Thickness; the reduced one where there are contact flats, [m]
    cone_height : float or array
        Free height less thickness, [m]
    youngs_modulus : float or array
        Young's modulus, 206e9 for spring steel in EN 16984, [Pa]
    poisson_ratio : float or array
        Poisson's ratio, 0.3 for steel in EN 16984, [-]
    contact_flat_factor : float or array
        K4, see `contact_flat_factor`; 1 without contact flats, [-]

    Returns
    -------
    rate : float or array
        Rate; negative between peak and valley, [N/m]

    Validity
    --------
    0 <= deflection <= 2 * cone_height; 0 < inner_diameter < outer_diameter; thickness, cone_height and youngs_modulus
    above zero; poisson_ratio from 0 to 0.49; contact_flat_factor from 1 to 2.

    Examples
    --------
    >>> round(rate(deflection=0, outer_diameter=0.050, inner_diameter=0.0254, thickness=2e-3,
    ...            cone_height=1.4e-3) / 1000)
    6277

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation (closed form from memory, checked numerically).
    """
    bent = _deflection(deflection, cone_height)
    stiffness, thick, cone, squared = _stiffness(
        outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus, poisson_ratio, contact_flat_factor
    )
    return result(stiffness * (squared * (cone**2 - 3 * cone * bent + 1.5 * bent**2) / thick**2 + 1))


def flat_load(
    *,
    outer_diameter: Numbers,
    inner_diameter: Numbers,
    thickness: Numbers,
    cone_height: Numbers,
    youngs_modulus: Numbers = 206e9,
    poisson_ratio: Numbers = 0.3,
    contact_flat_factor: Numbers = 1.0,
) -> Numbers:
    """Force of a disc spring pressed flat.

    Formula
    -------
    diameter_ratio = outer_diameter / inner_diameter
    bracket = (diameter_ratio + 1) / (diameter_ratio - 1) - 2 / log(diameter_ratio)
    k1 = ((diameter_ratio - 1) / diameter_ratio)**2 / pi / bracket
    modulus = 4 * youngs_modulus / (1 - poisson_ratio**2)
    flat_load = modulus * thickness**3 * cone_height / (k1 * outer_diameter**2) * contact_flat_factor**2

    Parameters
    ----------
    outer_diameter : float or array
        Outer diameter of the unslotted ring, [m]
    inner_diameter : float or array
        Inner diameter of the unslotted ring, [m]
    thickness : float or array
        Thickness; the reduced one where there are contact flats, [m]
    cone_height : float or array
        Free height less thickness, [m]
    youngs_modulus : float or array
        Young's modulus, 206e9 for spring steel in EN 16984, [Pa]
    poisson_ratio : float or array
        Poisson's ratio, 0.3 for steel in EN 16984, [-]
    contact_flat_factor : float or array
        K4, see `contact_flat_factor`; 1 without contact flats, [-]

    Returns
    -------
    flat_load : float or array
        Force, [N]

    Validity
    --------
    As `load`.

    Examples
    --------
    The washer of [2]_, 4500 N there by a short form of K1:

    >>> round(flat_load(outer_diameter=0.154818, inner_diameter=0.154818 / 1.75, thickness=2.65298e-3,
    ...                 cone_height=3.97947e-3, youngs_modulus=207e9))
    4477

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation: force after Almen and Laszlo.
    .. [2] V. B. Bhandari, Design of Machine Elements, example 10.26.
    """
    stiffness, _, cone, _ = _stiffness(
        outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus, poisson_ratio, contact_flat_factor
    )
    return result(stiffness * cone)


def _lever(
    plate_radius: Numbers, pivot_radius: Numbers, ring_outer_radius: Numbers, ring_inner_radius: Numbers
) -> tuple[Array, dict[str, Array]]:
    """Ring deflection over plate deflection, and the ring's diameters, after checking."""
    plate, pivot, outer, inner = positive(
        plate_radius=plate_radius,
        pivot_radius=pivot_radius,
        ring_outer_radius=ring_outer_radius,
        ring_inner_radius=ring_inner_radius,
    )
    below("ring_outer_radius", outer, ring_inner_radius=inner)
    for name, radius in (("plate_radius", plate), ("pivot_radius", pivot)):
        refuse_where((radius < inner) | (radius > outer), name, "must lie on the unslotted ring", radius)
    refuse_where(plate == pivot, "pivot_radius", "must differ from plate_radius", pivot)
    return (outer - inner) / np.abs(plate - pivot), {"outer_diameter": 2 * outer, "inner_diameter": 2 * inner}


def diaphragm_clamp(
    *,
    wear: Numbers,
    set_deflection: Numbers,
    plate_radius: Numbers,
    pivot_radius: Numbers,
    ring_outer_radius: Numbers,
    ring_inner_radius: Numbers,
    thickness: Numbers,
    cone_height: Numbers,
    youngs_modulus: Numbers = 206e9,
    poisson_ratio: Numbers = 0.3,
) -> Numbers:
    """Clamp load of a slotted diaphragm at a wear of the facings.

    Formula
    -------
    lever = (ring_outer_radius - ring_inner_radius) / abs(plate_radius - pivot_radius)
    deflection = lever * (set_deflection - wear)
    ratio = ring_outer_radius / ring_inner_radius
    k1 = ((ratio - 1) / ratio)**2 / pi / ((ratio + 1) / (ratio - 1) - 2 / log(ratio))
    stiffness = 4 * youngs_modulus / (1 - poisson_ratio**2) * thickness**3 / (k1 * 4 * ring_outer_radius**2)
    bracket = (cone_height - deflection) * (cone_height - deflection / 2) / thickness**2 + 1
    diaphragm_clamp = lever * stiffness * deflection * bracket

    Parameters
    ----------
    wear : float or array
        Wear of all friction faces together, which is the plate's way back, [m]
    set_deflection : float or array
        Plate-side deflection with new facings, [m]
    plate_radius : float or array
        Radius at which the diaphragm presses the plate, [m]
    pivot_radius : float or array
        Radius of the pivot on the cover: inside plate_radius in a push cover, outside in a pull cover, [m]
    ring_outer_radius : float or array
        Outer radius of the unslotted ring, [m]
    ring_inner_radius : float or array
        Inner radius of the unslotted ring, at the slots' roots, [m]
    thickness : float or array
        Thickness, [m]
    cone_height : float or array
        Cone height of the ring when free, [m]
    youngs_modulus : float or array
        Young's modulus, 206e9 for spring steel in EN 16984, [Pa]
    poisson_ratio : float or array
        Poisson's ratio, 0.3 for steel in EN 16984, [-]

    Returns
    -------
    diaphragm_clamp : float or array
        Load on the plate, [N]

    Validity
    --------
    0 <= wear <= set_deflection; pivot and plate within the ring and apart; else as `load`. Fingers act as levers and
    do not stiffen the ring (first approximation); wear first raises the load to the peak, then loses it fast.

    Examples
    --------
    A synthetic 240 mm cover, worn by 1 mm:

    >>> round(diaphragm_clamp(wear=1.0e-3, set_deflection=3.814e-3,
    ...                       plate_radius=0.114, pivot_radius=0.0935, ring_outer_radius=0.116, ring_inner_radius=0.092,
    ...                       thickness=2.70e-3, cone_height=4.70e-3))
    5747

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation: force after Almen and Laszlo.
    .. [2] Wang Wangyu, Automobile Design, diaphragm spring clutch: shortened lever arm (from memory, re-derived).
    """
    lever, spring = _lever(plate_radius, pivot_radius, ring_outer_radius, ring_inner_radius)
    (worn,) = not_negative(wear=wear)
    (new,) = positive(set_deflection=set_deflection)
    refuse_where(worn > new, "wear", "must not be above set_deflection", worn)
    return result(
        lever
        * load(
            deflection=lever * (new - worn),
            thickness=thickness,
            cone_height=cone_height,
            youngs_modulus=youngs_modulus,
            poisson_ratio=poisson_ratio,
            **spring,
        )
    )


def diaphragm_release_load(
    *,
    lift: Numbers,
    wear: Numbers,
    set_deflection: Numbers,
    finger_radius: Numbers,
    plate_radius: Numbers,
    pivot_radius: Numbers,
    ring_outer_radius: Numbers,
    ring_inner_radius: Numbers,
    thickness: Numbers,
    cone_height: Numbers,
    youngs_modulus: Numbers = 206e9,
    poisson_ratio: Numbers = 0.3,
    cushion_load: Numbers = 0.0,
) -> Numbers:
    """Load at the bearing of a slotted diaphragm at a lift of the plate.

    Formula
    -------
    lever = (ring_outer_radius - ring_inner_radius) / abs(plate_radius - pivot_radius)
    deflection = lever * (set_deflection - wear + lift)
    ratio = ring_outer_radius / ring_inner_radius
    k1 = ((ratio - 1) / ratio)**2 / pi / ((ratio + 1) / (ratio - 1) - 2 / log(ratio))
    stiffness = 4 * youngs_modulus / (1 - poisson_ratio**2) * thickness**3 / (k1 * 4 * ring_outer_radius**2)
    bracket = (cone_height - deflection) * (cone_height - deflection / 2) / thickness**2 + 1
    release_ratio = (pivot_radius - finger_radius) / abs(plate_radius - pivot_radius)
    diaphragm_release_load = max(0, (lever * stiffness * deflection * bracket - cushion_load) / release_ratio)

    Parameters
    ----------
    lift : float or array
        Lift of the plate from its clamped place, [m]
    wear : float or array
        Wear of all friction faces together, [m]
    set_deflection : float or array
        Plate-side deflection with new facings, [m]
    finger_radius : float or array
        Radius at which the bearing touches the fingers, [m]
    plate_radius : float or array
        Radius at which the diaphragm presses the plate, [m]
    pivot_radius : float or array
        Radius of the pivot on the cover: inside plate_radius in a push cover, outside in a pull cover, [m]
    ring_outer_radius : float or array
        Outer radius of the unslotted ring, [m]
    ring_inner_radius : float or array
        Inner radius of the unslotted ring, at the slots' roots, [m]
    thickness : float or array
        Thickness, [m]
    cone_height : float or array
        Cone height of the ring when free, [m]
    youngs_modulus : float or array
        Young's modulus, 206e9 for spring steel in EN 16984, [Pa]
    poisson_ratio : float or array
        Poisson's ratio, 0.3 for steel in EN 16984, [-]
    cushion_load : float or array
        Load with which the cushion still presses the plate at this lift; zero once
        released, [N]

    Returns
    -------
    diaphragm_release_load : float or array
        Load at the bearing, never below zero, [N]

    Validity
    --------
    As `diaphragm_clamp`; finger_radius inside pivot_radius; lift zero or above and not past twice the flat deflection.
    Pivot friction is left out: it adds 5 to 10 %.

    Examples
    --------
    The synthetic cover, new, 1.5 mm lifted:

    >>> round(diaphragm_release_load(lift=1.5e-3, wear=0, set_deflection=3.814e-3, finger_radius=0.026,
    ...                              plate_radius=0.114, pivot_radius=0.0935, ring_outer_radius=0.116,
    ...                              ring_inner_radius=0.092, thickness=2.70e-3, cone_height=4.70e-3))
    1387

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation: force after Almen and Laszlo.
    .. [2] Wang Wangyu, Automobile Design, diaphragm spring clutch: shortened lever arm (from memory, re-derived).
    """
    lever, spring = _lever(plate_radius, pivot_radius, ring_outer_radius, ring_inner_radius)
    worn, raised, cushion = not_negative(wear=wear, lift=lift, cushion_load=cushion_load)
    (new,) = positive(set_deflection=set_deflection)
    refuse_where(worn > new, "wear", "must not be above set_deflection", worn)
    (cone,) = positive(cone_height=cone_height)
    deflection = lever * (new - worn + raised)
    refuse_where(deflection > 2 * cone, "lift", "takes the ring past twice its flat deflection", raised)
    plate_load = lever * load(
        deflection=deflection,
        thickness=thickness,
        cone_height=cone_height,
        youngs_modulus=youngs_modulus,
        poisson_ratio=poisson_ratio,
        **spring,
    )
    ratio = release_ratio(plate_radius=plate_radius, pivot_radius=pivot_radius, finger_radius=finger_radius)
    return result(np.maximum(0.0, (plate_load - cushion) / ratio))


def _turning_points(thickness: Numbers, cone_height: Numbers) -> tuple[Array, Array]:
    """Cone height, and the distance of peak and valley from it."""
    thick, cone = positive(thickness=thickness, cone_height=cone_height)
    steep = (cone / thick) ** 2 - 2
    refuse_where(steep < 0, "cone_height", "must be at least sqrt(2) times thickness, else the force has no peak", cone)
    return cone, thick * np.sqrt(np.maximum(steep, 0) / 3)


def peak_deflection(*, thickness: Numbers, cone_height: Numbers) -> Numbers:
    """Deflection at the peak of a disc spring's force.

    Formula
    -------
    peak_deflection = cone_height * (1 - sqrt((cone_height / thickness)**2 - 2) / (sqrt(3) * cone_height / thickness))

    Parameters
    ----------
    thickness : float or array
        Thickness, [m]
    cone_height : float or array
        Free height less thickness, [m]

    Returns
    -------
    peak_deflection : float or array
        Deflection from the free cone, [m]

    Validity
    --------
    thickness above zero; cone_height at least sqrt(2) * thickness, else the force only rises; no contact flats.

    Examples
    --------
    >>> round(peak_deflection(thickness=1, cone_height=1.8) / 1.8, 3)
    0.643

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation (closed form from memory, checked numerically).
    """
    cone, turn = _turning_points(thickness, cone_height)
    return result(cone - turn)


def valley_deflection(*, thickness: Numbers, cone_height: Numbers) -> Numbers:
    """Deflection at the valley of a disc spring's force.

    Formula
    -------
    valley_deflection = cone_height * (1 + sqrt((cone_height / thickness)**2 - 2) / (sqrt(3) * cone_height / thickness))

    Parameters
    ----------
    thickness : float or array
        Thickness, [m]
    cone_height : float or array
        Free height less thickness, [m]

    Returns
    -------
    valley_deflection : float or array
        Deflection from the free cone, [m]

    Validity
    --------
    thickness above zero; cone_height at least sqrt(2) * thickness, else the force only rises; no contact flats.

    Examples
    --------
    >>> round(valley_deflection(thickness=1, cone_height=1.8) / 1.8, 3)
    1.357

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation (closed form from memory, checked numerically).
    """
    cone, turn = _turning_points(thickness, cone_height)
    return result(cone + turn)


POINTS = ("OM", "I", "II", "III", "IV")


def stress(
    *,
    deflection: Numbers,
    point: str,
    outer_diameter: Numbers,
    inner_diameter: Numbers,
    thickness: Numbers,
    cone_height: Numbers,
    youngs_modulus: Numbers = 206e9,
    poisson_ratio: Numbers = 0.3,
    contact_flat_factor: Numbers = 1.0,
) -> Numbers:
    """Stress at one of the five reckoning points of a disc spring.

    Formula
    -------
    diameter_ratio = outer_diameter / inner_diameter
    bracket = (diameter_ratio + 1) / (diameter_ratio - 1) - 2 / log(diameter_ratio)
    k1 = ((diameter_ratio - 1) / diameter_ratio)**2 / pi / bracket
    k2 = 6 / pi * ((diameter_ratio - 1) / log(diameter_ratio) - 1) / log(diameter_ratio)
    k3 = 3 / pi * (diameter_ratio - 1) / log(diameter_ratio)
    modulus = 4 * youngs_modulus / (1 - poisson_ratio**2)
    c = modulus * thickness * deflection / (k1 * outer_diameter**2) * contact_flat_factor
    cone = contact_flat_factor * (cone_height - deflection / 2) / thickness
    stress = -c * 3 / pi, where point is OM
    stress = -c * (k2 * cone + k3), where point is I
    stress = -c * (k2 * cone - k3), where point is II
    stress = -c / diameter_ratio * ((k2 - 2 * k3) * cone - k3), where point is III
    stress = -c / diameter_ratio * ((k2 - 2 * k3) * cone + k3), where point is IV

    Parameters
    ----------
    deflection : float or array
        Axial deflection from the free cone, [m]
    point : str
        OM (middle), I (upper inner edge), II (lower inner), III (lower outer) or IV (upper outer), [-]
    outer_diameter : float or array
        Outer diameter of the unslotted ring, [m]
    inner_diameter : float or array
        Inner diameter of the unslotted ring, [m]
    thickness : float or array
        Thickness; the reduced one where there are contact flats, [m]
    cone_height : float or array
        Free height less thickness, [m]
    youngs_modulus : float or array
        Young's modulus, 206e9 for spring steel in EN 16984, [Pa]
    poisson_ratio : float or array
        Poisson's ratio, 0.3 for steel in EN 16984, [-]
    contact_flat_factor : float or array
        K4, see `contact_flat_factor`; 1 without contact flats, [-]

    Returns
    -------
    stress : float or array
        Tangential stress, compression negative, [Pa]

    Validity
    --------
    As `load`.

    Examples
    --------
    Series B, 50 x 25.4 x 2; the standard lists 1140 N/mm2 at III (from memory):

    >>> round(stress(deflection=1.05e-3, point="III", outer_diameter=0.050, inner_diameter=0.0254, thickness=2e-3,
    ...              cone_height=1.4e-3) / 1e6)
    1140

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation (closed form from memory, checked numerically).
    """
    choice(POINTS, point=point)
    bent = _deflection(deflection, cone_height)
    stiffness, thick, cone, squared = _stiffness(
        outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus, poisson_ratio, contact_flat_factor
    )
    flats = np.sqrt(squared)
    ratio = np.asarray(outer_diameter, dtype=float) / np.asarray(inner_diameter, dtype=float)
    k2, k3 = coefficient_k2(diameter_ratio=ratio), coefficient_k3(diameter_ratio=ratio)
    c = stiffness * bent / (thick**2 * flats)
    rise = flats * (cone - bent / 2) / thick
    return result(
        -c
        * {
            "OM": 3 / np.pi,
            "I": k2 * rise + k3,
            "II": k2 * rise - k3,
            "III": ((k2 - 2 * k3) * rise - k3) / ratio,
            "IV": ((k2 - 2 * k3) * rise + k3) / ratio,
        }[point]
    )


def release_ratio(*, plate_radius: Numbers, pivot_radius: Numbers, finger_radius: Numbers) -> Numbers:
    """Bearing travel over plate lift of a diaphragm with rigid fingers.

    Formula
    -------
    release_ratio = (pivot_radius - finger_radius) / abs(plate_radius - pivot_radius)

    Parameters
    ----------
    plate_radius : float or array
        Radius at which the diaphragm presses the plate, [m]
    pivot_radius : float or array
        Radius of the pivot on the cover: inside plate_radius in a push cover, outside in a pull cover, [m]
    finger_radius : float or array
        Radius at which the bearing touches the fingers, [m]

    Returns
    -------
    release_ratio : float or array
        Ratio: push usually 2.3 to 4.5, pull 3.5 to 5, [-]

    Validity
    --------
    All above zero; finger_radius inside both others; plate_radius and pivot_radius apart.

    Examples
    --------
    Push, and the same diaphragm as a pull cover:

    >>> round(release_ratio(plate_radius=0.114, pivot_radius=0.0935, finger_radius=0.026), 3)
    3.293
    >>> round(release_ratio(plate_radius=0.0935, pivot_radius=0.114, finger_radius=0.026), 3)
    4.293

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, diaphragm spring clutch (from memory, re-derived).
    """
    plate, pivot, tip = positive(plate_radius=plate_radius, pivot_radius=pivot_radius, finger_radius=finger_radius)
    below("pivot_radius", pivot, finger_radius=tip)
    below("plate_radius", plate, finger_radius=tip)
    refuse_where(plate == pivot, "pivot_radius", "must differ from plate_radius", pivot)
    return result((pivot - tip) / np.abs(plate - pivot))


def peak_release_load(
    *, clamp_load: Numbers, release_ratio: Numbers, wear_rise: Numbers, pivot_friction: Numbers
) -> Numbers:
    """Estimate of the greatest bearing load of a cover known by clamp load and ratio only.

    Formula
    -------
    peak_release_load = clamp_load * wear_rise / release_ratio * (1 + pivot_friction)

    Parameters
    ----------
    clamp_load : float or array
        Clamp load, new, [N]
    release_ratio : float or array
        Bearing travel over plate lift, [-]
    wear_rise : float or array
        Peak over new load as the facings wear, 1.05 to 1.10, [-]
    pivot_friction : float or array
        Share added by friction at the pivot, 0.05 to 0.10, [-]

    Returns
    -------
    peak_release_load : float or array
        Load at the bearing, [N]

    Validity
    --------
    clamp_load and release_ratio above zero; wear_rise from 1 to 2; pivot_friction from 0 to 0.5.

    Examples
    --------
    >>> round(peak_release_load(clamp_load=5293, release_ratio=3.293, wear_rise=1.086, pivot_friction=0.07))
    1868

    References
    ----------
    Common practice, no source.
    """
    load, ratio = positive(clamp_load=clamp_load, release_ratio=release_ratio)
    (rise,) = within(1, 2, wear_rise=wear_rise)
    (friction,) = within(0, 0.5, pivot_friction=pivot_friction)
    return result(load * rise / ratio * (1 + friction))


def finger_bending(
    *,
    bearing_load: Numbers,
    finger_radius: Numbers,
    window_radius: Numbers,
    ring_inner_radius: Numbers,
    thickness: Numbers,
    fingers: Numbers,
    slot_width: Numbers,
    window_width: Numbers,
    youngs_modulus: Numbers = 206e9,
) -> Numbers:
    """Bearing travel lost in bending the fingers of a diaphragm.

    Formula
    -------
    root = window_radius / finger_radius
    ring = ring_inner_radius / finger_radius
    outer_part = 0.5 * (ring**2 - root**2) - 2 * (ring - root) + log(ring / root)
    inner_part = 0.5 * (root**2 - 1) - 2 * (root - 1) + log(root)
    inner_metal = 1 - slot_width * fingers / (pi * (finger_radius + window_radius))
    outer_metal = 1 - window_width * fingers / (pi * (ring_inner_radius + window_radius))
    compliance = 6 * finger_radius**2 / (pi * youngs_modulus * thickness**3)
    finger_bending = bearing_load * compliance * (inner_part / inner_metal + outer_part / outer_metal)

    Parameters
    ----------
    bearing_load : float or array
        Load at the bearing, [N]
    finger_radius : float or array
        Radius at which the bearing touches, [m]
    window_radius : float or array
        Radius at which the windows at the fingers' roots begin, [m]
    ring_inner_radius : float or array
        Inner radius of the unslotted ring, where the windows end, [m]
    thickness : float or array
        Thickness, [m]
    fingers : int or array
        Number of fingers, usually 18, [-]
    slot_width : float or array
        Width of the slots between fingers, 3.2 to 3.5 mm, [m]
    window_width : float or array
        Width of the windows at the roots, 9 to 10 mm, [m]
    youngs_modulus : float or array
        Young's modulus, 206e9 for spring steel in EN 16984, [Pa]

    Returns
    -------
    finger_bending : float or array
        Travel added at the bearing, not at the plate, [m]

    Validity
    --------
    0 < finger_radius < window_radius < ring_inner_radius; fingers a whole number from 3 to 60; slots and windows leave
    metal; small deflection.

    Examples
    --------
    0.81 mm for 1000 N on the synthetic cover:

    >>> round(finger_bending(bearing_load=1000, finger_radius=0.026, window_radius=0.082, ring_inner_radius=0.092,
    ...                      thickness=2.7e-3, fingers=18, slot_width=3.3e-3, window_width=10e-3) * 1000, 2)
    0.81

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, diaphragm spring clutch (from memory, re-derived).
    """
    (force,) = not_negative(bearing_load=bearing_load)
    tip, window, ring_radius, thick, slot, opening, modulus = positive(
        finger_radius=finger_radius,
        window_radius=window_radius,
        ring_inner_radius=ring_inner_radius,
        thickness=thickness,
        slot_width=slot_width,
        window_width=window_width,
        youngs_modulus=youngs_modulus,
    )
    (count,) = whole(3, 60, fingers=fingers)
    below("window_radius", window, finger_radius=tip)
    below("ring_inner_radius", ring_radius, window_radius=window)
    inner_metal = 1 - slot * count / (np.pi * (tip + window))
    outer_metal = 1 - opening * count / (np.pi * (ring_radius + window))
    refuse_where(inner_metal <= 0, "slot_width", "leaves no metal between the slots", slot)
    refuse_where(outer_metal <= 0, "window_width", "leaves no metal between the windows", opening)
    root, ring = window / tip, ring_radius / tip
    inner_part = 0.5 * (root**2 - 1) - 2 * (root - 1) + np.log(root)
    outer_part = 0.5 * (ring**2 - root**2) - 2 * (ring - root) + np.log(ring / root)
    compliance = 6 * tip**2 / (np.pi * modulus * thick**3)
    return result(force * compliance * (inner_part / inner_metal + outer_part / outer_metal))


def worn_clamp_factor(
    *,
    wear: Numbers,
    set_deflection: Numbers,
    plate_diameter: Numbers,
    pivot_diameter: Numbers,
    ring_outer_diameter: Numbers,
    ring_inner_diameter: Numbers,
    thickness: Numbers,
    cone_height: Numbers,
) -> Numbers:
    """Clamp load of a slotted diaphragm at a wear of the facings over that with new facings.

    Formula
    -------
    arm = max(plate_diameter, pivot_diameter) - min(plate_diameter, pivot_diameter)
    lever = (ring_outer_diameter - ring_inner_diameter) / arm
    new = lever * set_deflection
    worn = lever * (set_deflection - wear)
    new_load = new * ((cone_height - new) * (cone_height - new / 2) + thickness**2)
    worn_load = worn * ((cone_height - worn) * (cone_height - worn / 2) + thickness**2)
    factor = worn_load / new_load

    Parameters
    ----------
    wear : float or array
        Wear of all friction faces together, which is the plate's way back, [m]
    set_deflection : float or array
        Plate-side deflection with new facings, [m]
    plate_diameter : float or array
        Diameter at which the diaphragm presses the plate, [m]
    pivot_diameter : float or array
        Diameter of the pivot on the cover, [m]
    ring_outer_diameter : float or array
        Outer diameter of the unslotted ring, [m]
    ring_inner_diameter : float or array
        Inner diameter of the unslotted ring, at the slots' roots, [m]
    thickness : float or array
        Thickness, [m]
    cone_height : float or array
        Cone height of the ring when free, [m]

    Returns
    -------
    factor : float or array
        Above 1 up to the curve's peak, below it soon after; a ratio, so that the spring's modulus cancels, [-]

    Validity
    --------
    As `diaphragm_clamp`; the load with new facings above zero.

    Examples
    --------
    A synthetic 240 mm cover, worn by 1 mm and by 2.2 mm:

    >>> cover = dict(set_deflection=3.814e-3, plate_diameter=0.228, pivot_diameter=0.187, ring_outer_diameter=0.232,
    ...              ring_inner_diameter=0.184, thickness=2.70e-3, cone_height=4.70e-3)
    >>> round(worn_clamp_factor(wear=1.0e-3, **cover), 3), round(worn_clamp_factor(wear=2.2e-3, **cover), 2)
    (1.086, 0.96)

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation: force after Almen and Laszlo.
    .. [2] Wang Wangyu, Automobile Design, diaphragm spring clutch: shortened lever arm (from memory, re-derived).
    """
    plate, pivot, outer, inner = positive(
        plate_diameter=plate_diameter,
        pivot_diameter=pivot_diameter,
        ring_outer_diameter=ring_outer_diameter,
        ring_inner_diameter=ring_inner_diameter,
    )
    cover = dict(
        set_deflection=set_deflection,
        plate_radius=plate / 2,
        pivot_radius=pivot / 2,
        ring_outer_radius=outer / 2,
        ring_inner_radius=inner / 2,
        thickness=thickness,
        cone_height=cone_height,
    )
    worn = diaphragm_clamp(wear=wear, **cover)
    fresh = np.asarray(diaphragm_clamp(wear=0.0, **cover))
    refuse_where(fresh <= 0, "set_deflection", "leaves no clamp load with new facings", fresh)
    return result(worn / fresh)
