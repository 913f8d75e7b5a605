"""Stresses of disc springs by EN 16984."""

import numpy as np

from .checks import choice, result
from .disc_spring import _deflection, _stiffness
from .disc_spring_coefficients import coefficient_k2, coefficient_k3

POINTS = ("OM", "I", "II", "III", "IV")


def stress(*, deflection, point, outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus=206e9,
           poisson_ratio=0.3, contact_flat_factor=1.0):
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
        K4, see `disc_spring_coefficients.contact_flat_factor`; 1 without contact flats, [-]

    Returns
    -------
    stress : float or array
        Tangential stress, compression negative, [Pa]

    Validity
    --------
    As `disc_spring.load`.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
    stiffness, thick, cone, squared = _stiffness(outer_diameter, inner_diameter, thickness, cone_height, youngs_modulus,
                                                 poisson_ratio, contact_flat_factor)
    flats = np.sqrt(squared)
    ratio = np.asarray(outer_diameter, dtype=float) / np.asarray(inner_diameter, dtype=float)
    k2, k3 = coefficient_k2(diameter_ratio=ratio), coefficient_k3(diameter_ratio=ratio)
    c = stiffness * bent / (thick**2 * flats)
    rise = flats * (cone - bent / 2) / thick
    return result(-c * {
        "OM": 3 / np.pi,
        "I": k2 * rise + k3,
        "II": k2 * rise - k3,
        "III": ((k2 - 2 * k3) * rise - k3) / ratio,
        "IV": ((k2 - 2 * k3) * rise + k3) / ratio,
    }[point])
