"""Shape of a disc spring's curve: work stored, peak, valley, snap-through."""

import numpy as np

from .checks import positive, refuse_where, result
from .disc_spring import _deflection, _stiffness


def _turning_points(thickness, cone_height):
    """Cone height, and the distance of peak and valley from it."""
    thick, cone = positive(thickness=thickness, cone_height=cone_height)
    steep = (cone / thick) ** 2 - 2
    refuse_where(steep < 0, "cone_height", "must be at least sqrt(2) times thickness, else the force has no peak", cone)
    return cone, thick * np.sqrt(np.maximum(steep, 0) / 3)


def energy(*, deflection, outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus=206e9,
           poisson_ratio=0.3, contact_flat_factor=1.0):
    """Work stored in a disc spring at a deflection.

    Formula
    -------
    diameter_ratio = outer_diameter / inner_diameter
    bracket = (diameter_ratio + 1) / (diameter_ratio - 1) - 2 / log(diameter_ratio)
    k1 = ((diameter_ratio - 1) / diameter_ratio)**2 / pi / bracket
    modulus = 4 * youngs_modulus / (1 - poisson_ratio**2)
    stiffness = modulus * thickness**3 / (k1 * outer_diameter**2) * contact_flat_factor**2
    cone = cone_height / thickness
    bent = deflection / thickness
    energy = stiffness / 2 * deflection**2 * (contact_flat_factor**2 * (cone - bent / 2)**2 + 1)

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
    energy : float or array
        Work, [J]

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
    >>> round(energy(deflection=1.05e-3, outer_diameter=0.050, inner_diameter=0.0254, thickness=2e-3,
    ...              cone_height=1.4e-3), 2)
    2.77

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation (closed form from memory, checked numerically).
    """
    bent = _deflection(deflection, cone_height)
    stiffness, thick, cone, squared = _stiffness(outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus,
                                                 poisson_ratio, contact_flat_factor)
    return result(stiffness / 2 * bent**2 * (squared * (cone - bent / 2) ** 2 / thick**2 + 1))


def peak_deflection(*, thickness, cone_height):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def valley_deflection(*, thickness, cone_height):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def snap_through_ratio(*, thickness, cone_height):
    """Cone height over that at which a disc spring snaps through.

    Formula
    -------
    snap_through_ratio = cone_height / (sqrt(8) * thickness)

    Parameters
    ----------
    thickness : float or array
        Thickness, [m]
    cone_height : float or array
        Free height less thickness, [m]

    Returns
    -------
    snap_through_ratio : float or array
        Ratio; above 1 the force turns negative and the spring stays inverted, [-]

    Validity
    --------
    Both above zero; no contact flats.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(snap_through_ratio(thickness=2.7e-3, cone_height=4.7e-3), 3)
    0.615

    References
    ----------
    .. [1] EN 16984 (formerly DIN 2092), disc springs, calculation (closed form from memory, checked numerically).
    """
    thick, cone = positive(thickness=thickness, cone_height=cone_height)
    return result(cone / (np.sqrt(8) * thick))
