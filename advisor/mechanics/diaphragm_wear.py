"""What wear of the facings leaves of a diaphragm's clamp load."""

import numpy as np

from .checks import positive, refuse_where, result
from .disc_spring import diaphragm_clamp


def worn_clamp_factor(*, wear, set_deflection, plate_diameter, pivot_diameter, ring_outer_diameter, ring_inner_diameter,
                      thickness, cone_height):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
    plate, pivot, outer, inner = positive(plate_diameter=plate_diameter, pivot_diameter=pivot_diameter,
                                          ring_outer_diameter=ring_outer_diameter,
                                          ring_inner_diameter=ring_inner_diameter)
    cover = dict(set_deflection=set_deflection, plate_radius=plate / 2, pivot_radius=pivot / 2,
                 ring_outer_radius=outer / 2, ring_inner_radius=inner / 2, thickness=thickness, cone_height=cone_height)
    worn = diaphragm_clamp(wear=wear, **cover)
    fresh = np.asarray(diaphragm_clamp(wear=0.0, **cover))
    refuse_where(fresh <= 0, "set_deflection", "leaves no clamp load with new facings", fresh)
    return result(worn / fresh)
