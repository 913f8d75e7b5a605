"""Surface of a plate of finite thickness during one slip: heated on one face or on both.

Derivation
----------
Heat flows into the face x = 0 of a plate whose far face lets none out. ``depth`` is the thickness behind one hot
face: the whole thickness of a flywheel or pressure plate, half of it for a floater, where both faces get the same
and no heat crosses the middle. With diffusivity alpha = conductivity / (density * specific_heat):

    tau = alpha * t / depth**2,  F = alpha * slip_time / depth**2,  u = rise of the face * conductivity / (flux * depth)

A steady flux gives, by separation of variables (long times) or by images of the half-space in the two faces (short
times), one and the same function:

    c(tau) = tau + 1/3 - 2 * sum exp(-n**2 pi**2 tau) / (n pi)**2                     n = 1, 2, ...
           = 2 sqrt(tau) * sum ierfc(|m| / sqrt(tau))                                 m = 0, +-1, +-2, ...

A flux that falls in a straight line from its start to zero is the steady one less a ramp, and the answer to a ramp is
the integral of the answer to a step (Duhamel):

    u(tau) = c(tau) - C(tau) / F,  C = integral of c from 0 to tau
    C(tau) = tau**2/2 + tau/3 - 1/45 + 2 * sum exp(-n**2 pi**2 tau) / (n pi)**4
           = 8 tau**1.5 * sum i3erfc(|m| / sqrt(tau))

The face is hottest where du/dtau = 0, F * c'(tau) = c(tau), between half the slip and its end. Small F is the
half-space, u_max = (2/3) sqrt(2 F / pi) at half the slip; large F has lost its transient: tau = F - 1/3 and
u_max = F/2 + 7/(90 F), which tends to the lumped plate, F/2.
"""

from ._slab import peak_share, steady
from .argument_checks import Numbers, not_negative, positive, refuse_where, result


def slab_rise_constant(
    *, flux: Numbers, time: Numbers, depth: Numbers, conductivity: Numbers, diffusivity: Numbers
) -> Numbers:
    """Rise of the heated face of a plate under a steady heat flux.

    Formula
    -------
    tau = diffusivity * time / depth**2
    rise = flux * depth / conductivity * (tau + 1/3 - 2 * sum over n from 1 of exp(-n**2 * pi**2 * tau) / (n * pi)**2)

    Parameters
    ----------
    flux : float or array
        Heat flux into the face, over the swept ring, [W/m2]
    time : float or array
        Time the flux has lasted, [s]
    depth : float or array
        Thickness behind one hot face, as above, [m]
    conductivity : float or array
        Thermal conductivity of the metal, [W/(m K)]
    diffusivity : float or array
        Conductivity over density and specific heat, [m2/s]

    Returns
    -------
    rise : float or array
        Rise of the face since the flux began, [K]

    Validity
    --------
    Heat in one direction, far face (or middle) lets none through, metal constant.

    Examples
    --------
    >>> round(slab_rise_constant(flux=1e6, time=1, depth=0.006, conductivity=48, diffusivity=1.3333e-5), 1)
    87.3

    References
    ----------
    .. [1] H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, slab under constant flux (from memory); derived
       again in the head of this module.
    """
    q, t = not_negative(flux=flux, time=time)
    thick, k, alpha = positive(depth=depth, conductivity=conductivity, diffusivity=diffusivity)
    return result(q * thick / k * steady(alpha * t / thick**2)[0])


def slab_rise_falling_at(
    *,
    flux_start: Numbers,
    time: Numbers,
    slip_time: Numbers,
    depth: Numbers,
    conductivity: Numbers,
    diffusivity: Numbers,
) -> Numbers:
    """Rise of the heated face at one moment while the flux falls in a straight line to zero.

    Formula
    -------
    tau = diffusivity * time / depth**2
    c = tau + 1/3 - 2 * sum over n from 1 of exp(-n**2 * pi**2 * tau) / (n * pi)**2
    integral = tau**2 / 2 + tau / 3 - 1/45 + 2 * sum over n from 1 of exp(-n**2 * pi**2 * tau) / (n * pi)**4
    rise = flux_start * depth / conductivity * (c - integral * depth**2 / (diffusivity * slip_time))

    Parameters
    ----------
    flux_start : float or array
        Heat flux into the face when the slip begins, over the swept ring, [W/m2]
    time : float or array
        Time since the slip began, at most slip_time, [s]
    slip_time : float or array
        Time until the flux is zero, [s]
    depth : float or array
        Thickness behind one hot face, as above, [m]
    conductivity : float or array
        Thermal conductivity of the metal, [W/(m K)]
    diffusivity : float or array
        Conductivity over density and specific heat, [m2/s]

    Returns
    -------
    rise : float or array
        Rise of the face over its temperature before the slip, [K]

    Validity
    --------
    time from 0 to slip_time; heat in one direction, far face (or middle) lets none through, metal constant.

    Examples
    --------
    >>> round(slab_rise_falling_at(flux_start=1e6, time=1, slip_time=1, depth=0.006, conductivity=48,
    ...                            diffusivity=1.3333e-5), 1)
    29.8

    References
    ----------
    .. [1] Steady flux less a ramp (Duhamel), derived in the head of this module.
    """
    q, t = not_negative(flux_start=flux_start, time=time)
    total, thick, k, alpha = positive(
        slip_time=slip_time, depth=depth, conductivity=conductivity, diffusivity=diffusivity
    )
    refuse_where(t > total, "time", "must not be above slip_time", t)
    course, integral = steady(alpha * t / thick**2)
    return result(q * thick / k * (course - integral * thick**2 / (alpha * total)))


def slab_peak_rise(
    *, flux_start: Numbers, slip_time: Numbers, depth: Numbers, conductivity: Numbers, diffusivity: Numbers
) -> Numbers:
    """Highest rise of the heated face of a plate in one slip at constant torque: the flux falls in a line to zero.

    The rise counts from before the slip and holds what the plate as a whole takes up: it is never added to a plate
    that has been heated by the same slip already.

    Formula
    -------
    F = diffusivity * slip_time / depth**2
    rise = flux_start * depth / conductivity * (highest of u over the slip, derived in the head of this module)
    half-space, F small: rise = 2 / 3 * sqrt(2 * F / pi) * flux_start * depth / conductivity
    settled, F large: rise = (F / 2 + 7 / (90 * F)) * flux_start * depth / conductivity

    Parameters
    ----------
    flux_start : float or array
        Heat flux into the face when the slip begins, over the swept ring, [W/m2]
    slip_time : float or array
        Time until the flux is zero, [s]
    depth : float or array
        Thickness behind one hot face, as above, [m]
    conductivity : float or array
        Thermal conductivity of the metal, [W/(m K)]
    diffusivity : float or array
        Conductivity over density and specific heat, [m2/s]

    Returns
    -------
    rise : float or array
        Highest rise of the face over its temperature before the slip, [K]

    Validity
    --------
    Constant torque; heat in one direction, far face (or middle) lets none through, metal constant; mean over the
    ring, so that hot bands stand higher.

    Examples
    --------
    A floater of 6 mm, 5.4 W/mm2 falling to nothing in 0.93 s, where a half-space would show 211 K:

    >>> round(slab_peak_rise(flux_start=5.41e6, slip_time=0.926, depth=0.003, conductivity=48, diffusivity=1.3333e-5))
    251

    References
    ----------
    .. [1] Derived in the head of this module; no printed number for the falling flux in a plate was found.
    """
    q, total = not_negative(flux_start=flux_start, slip_time=slip_time)
    thick, k, alpha = positive(depth=depth, conductivity=conductivity, diffusivity=diffusivity)
    return result(q * thick / k * peak_share(alpha * total / thick**2))
