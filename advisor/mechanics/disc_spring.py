"""Disc springs by EN 16984, and the slotted diaphragm of a clutch cover built on them.

Peak, valley, snap-through and work stand in `disc_spring_curve`, stresses in
`disc_spring_stress`, coefficients in `disc_spring_coefficients`, the diaphragm's
levers and the cushion in `diaphragm`.
"""

import numpy as np

from .checks import below, not_negative, positive, refuse_where, result, within
from .diaphragm import finger_bending, release_ratio
from .disc_spring_coefficients import coefficient_k1

__all__ = ["diaphragm_clamp", "diaphragm_release_load", "finger_bending", "flat_load", "load", "rate"]


def _deflection(deflection, cone_height):
    """Checked deflection; past twice the cone height no spring is meant to go."""
    (bent,) = not_negative(deflection=deflection)
    (cone,) = positive(cone_height=cone_height)
    refuse_where(bent > 2 * cone, "deflection", "must not be above twice cone_height", bent)
    return bent


def _stiffness(outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus, poisson_ratio,
               contact_flat_factor):
    """Rate when flat without the cone's part [N/m], thickness, cone height and the square of K4, after checking."""
    outer, inner, thick, cone, modulus = positive(
        outer_diameter=outer_diameter, inner_diameter=inner_diameter, thickness=thickness, cone_height=cone_height,
        youngs_modulus=youngs_modulus)
    below("outer_diameter", outer, inner_diameter=inner)
    (poisson,) = within(0, 0.49, poisson_ratio=poisson_ratio)
    (flats,) = within(1, 2, contact_flat_factor=contact_flat_factor)
    k1 = coefficient_k1(diameter_ratio=outer / inner)
    squared = flats**2
    return 4 * modulus / (1 - poisson**2) * thick**3 / (k1 * outer**2) * squared, thick, cone, squared


def load(*, deflection, outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus=206e9, poisson_ratio=0.3,
         contact_flat_factor=1.0):
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
        K4, see `disc_spring_coefficients.contact_flat_factor`; 1 without contact flats, [-]

    Returns
    -------
    load : float or array
        Axial force; negative where the spring has snapped through, [N]

    Validity
    --------
    0 <= deflection <= 2 * cone_height; 0 < inner_diameter < outer_diameter; thickness, cone_height and youngs_modulus
    above zero; poisson_ratio from 0 to 0.49; contact_flat_factor from 1 to 2.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
    stiffness, thick, cone, squared = _stiffness(outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus,
                                                 poisson_ratio, contact_flat_factor)
    return result(stiffness * bent * (squared * (cone - bent) * (cone - bent / 2) / thick**2 + 1))


def rate(*, deflection, outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus=206e9, poisson_ratio=0.3,
         contact_flat_factor=1.0):
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
        K4, see `disc_spring_coefficients.contact_flat_factor`; 1 without contact flats, [-]

    Returns
    -------
    rate : float or array
        Rate; negative between peak and valley, [N/m]

    Validity
    --------
    0 <= deflection <= 2 * cone_height; 0 < inner_diameter < outer_diameter; thickness, cone_height and youngs_modulus
    above zero; poisson_ratio from 0 to 0.49; contact_flat_factor from 1 to 2.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
    stiffness, thick, cone, squared = _stiffness(outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus,
                                                 poisson_ratio, contact_flat_factor)
    return result(stiffness * (squared * (cone**2 - 3 * cone * bent + 1.5 * bent**2) / thick**2 + 1))


def flat_load(*, outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus=206e9, poisson_ratio=0.3,
              contact_flat_factor=1.0):
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
        K4, see `disc_spring_coefficients.contact_flat_factor`; 1 without contact flats, [-]

    Returns
    -------
    flat_load : float or array
        Force, [N]

    Validity
    --------
    As `load`.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
    stiffness, _, cone, _ = _stiffness(outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus,
                                       poisson_ratio, contact_flat_factor)
    return result(stiffness * cone)


def _lever(plate_radius, pivot_radius, ring_outer_radius, ring_inner_radius):
    """Ring deflection over plate deflection, and the ring's diameters, after checking."""
    plate, pivot, outer, inner = positive(plate_radius=plate_radius, pivot_radius=pivot_radius,
                                          ring_outer_radius=ring_outer_radius, ring_inner_radius=ring_inner_radius)
    below("ring_outer_radius", outer, ring_inner_radius=inner)
    for name, radius in (("plate_radius", plate), ("pivot_radius", pivot)):
        refuse_where((radius < inner) | (radius > outer), name, "must lie on the unslotted ring", radius)
    refuse_where(plate == pivot, "pivot_radius", "must differ from plate_radius", pivot)
    return (outer - inner) / np.abs(plate - pivot), {"outer_diameter": 2 * outer, "inner_diameter": 2 * inner}


def diaphragm_clamp(*, wear, set_deflection, plate_radius, pivot_radius, ring_outer_radius, ring_inner_radius,
                    thickness, cone_height, youngs_modulus=206e9, poisson_ratio=0.3):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
    return result(lever * load(deflection=lever * (new - worn), thickness=thickness, cone_height=cone_height,
                               youngs_modulus=youngs_modulus, poisson_ratio=poisson_ratio, **spring))


def diaphragm_release_load(*, lift, wear, set_deflection, finger_radius, plate_radius, pivot_radius, ring_outer_radius,
                           ring_inner_radius, thickness, cone_height, youngs_modulus=206e9, poisson_ratio=0.3,
                           cushion_load=0.0):
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
        Load with which the cushion still presses the plate at this lift, see `diaphragm.cushion_load`; zero once
        released, [N]

    Returns
    -------
    diaphragm_release_load : float or array
        Load at the bearing, never below zero, [N]

    Validity
    --------
    As `diaphragm_clamp`; finger_radius inside pivot_radius; lift zero or above and not past twice the flat deflection.
    Pivot friction is left out: it adds 5 to 10 %.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
    plate_load = lever * load(deflection=deflection, thickness=thickness, cone_height=cone_height,
                              youngs_modulus=youngs_modulus, poisson_ratio=poisson_ratio, **spring)
    ratio = release_ratio(plate_radius=plate_radius, pivot_radius=pivot_radius, finger_radius=finger_radius)
    return result(np.maximum(0.0, (plate_load - cushion) / ratio))
