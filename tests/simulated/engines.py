"""Engines: a torque curve over speed that has exactly its two peaks, the factory's figures and what changes do to them.

Speeds in rpm, torque in N m, power in kW, pressure in bar, displacement in cm3, mass in kg.
"""

import math
from dataclasses import dataclass

from .shares import choose, cut_lognormal, cut_normal, table

KW_PER_NM_RPM = math.pi / 30 / 1000
#: N m a litre of displacement at one bar, four-stroke: 100 / (4 pi).
NM_PER_LITRE_BAR = 100 / (4 * math.pi)
HP_KW = 0.745699872
LB_KG = 0.45359237
KMH_PER_MPH = 1.609344


@dataclass(frozen=True, slots=True)
class Curve:
    """Full-load torque: a rise to ``torque_speed``, a plateau at ``torque``, and a parabola through the power peak.

    The parabola starts where its power is greatest at ``power_speed`` exactly: with the drop D from the plateau to the
    torque at peak power Tp it spans 2 D n / Tp, for there d(T n)/dn = Tp - 2 D n / span = 0; torque falls and is
    concave from there on, so no other speed gives more power.
    """

    torque: float
    torque_speed: float
    power_torque: float
    power_speed: float
    red_line: float
    rise: float

    @property
    def power(self):
        """Peak power [kW]."""
        return self.power_torque * self.power_speed * KW_PER_NM_RPM

    @property
    def plateau_end(self):
        """Speed at which torque begins to fall [rpm]."""
        return self.power_speed * (1 - 2 * (self.torque - self.power_torque) / self.power_torque)

    def torque_at(self, speed):
        """Torque [N m] at a speed [rpm], not below a tenth of the peak."""
        if speed < self.torque_speed:
            return max(self.torque * (1 - self.rise * (1 - speed / self.torque_speed) ** 2), 0.1 * self.torque)
        if speed <= self.plateau_end:
            return self.torque
        along = (speed - self.plateau_end) / (self.power_speed - self.plateau_end)
        return max(self.torque - (self.torque - self.power_torque) * along**2, 0.1 * self.torque)

    def power_at(self, speed):
        """Power [kW] at a speed [rpm]."""
        return self.torque_at(speed) * speed * KW_PER_NM_RPM

    def scaled(self, factor):
        """The same curve with every torque times ``factor``."""
        return Curve(
            self.torque * factor,
            self.torque_speed,
            self.power_torque * factor,
            self.power_speed,
            self.red_line,
            self.rise,
        )


def curve(torque, torque_speed, power_torque, power_speed, red_line, boosted):
    """A `Curve`; the torque peak is moved down where it would lie beyond the end of the plateau.

    ValueError where the torque at peak power is not a little below the peak, or under two thirds of it.
    """
    if not 0.67 <= power_torque / torque < 1:
        raise ValueError(f"torque at peak power {power_torque} against peak torque {torque}")
    end = power_speed * (1 - 2 * (torque - power_torque) / power_torque)
    # A boosted engine has little before its turbo wakes; one that breathes by itself has half from the start.
    return Curve(torque, min(torque_speed, end), power_torque, power_speed, red_line, 0.8 if boosted else 0.5)


def factory_curve(fields):
    """The `Curve` of a platform's factory figures (canonical record fields)."""
    power_torque = fields["stock.power"] / (fields["stock.power_speed"] * KW_PER_NM_RPM)
    return curve(
        fields["stock.torque"],
        fields["stock.torque_speed"],
        power_torque,
        fields["stock.power_speed"],
        fields["engine.redline_rpm"],
        fields["engine.aspiration"] != "natural",
    )


@dataclass(frozen=True, slots=True)
class Engine:
    """An engine as it is now. ``change``: what was done to it, empty for one as it left the factory.

    ``boost``: bar above the air outside, 0 for one that breathes by itself. ``pressure``: what its cylinders would make
    without boost [bar mean effective pressure], ``charge``: the share of the boost that arrives.
    """

    curve: Curve
    factory: Curve
    displacement: float
    cylinders: int
    aspiration: str
    fuel: str
    change: str
    pressure: float
    charge: float

    @property
    def standard(self):
        """Is it as it left the factory?"""
        return not self.change

    @property
    def boost(self):
        """Boost [bar] that this torque takes: torque = natural torque x (1 + boost) x charge."""
        if self.aspiration == "natural":
            return 0.0
        return max(self.curve.torque / (self.natural_torque * self.charge) - 1, 0.1)

    @property
    def natural_torque(self):
        """Torque [N m] of these cylinders without boost."""
        return self.pressure * NM_PER_LITRE_BAR * self.displacement / 1000


def engine(pick, fields, standard_share):
    """An `Engine` in the car of these platform fields, drawn with a ``random.Random``."""
    spreads, factory = table()["spreads"], factory_curve(fields)
    fuel, aspiration = fields["engine.fuel"], fields["engine.aspiration"]
    kind = "diesel" if fuel == "diesel" else "natural" if aspiration == "natural" else "boosted"
    change = "" if pick.random() < standard_share else choose(pick, table()["changes"][kind])
    if not change:
        now = factory.scaled(cut_normal(pick, spreads["standard_engine"]))
    else:
        now = _changed(pick, factory, table()["effects"][kind][change], aspiration != "natural" or change in BOOSTS)
    return Engine(
        now,
        factory,
        fields["engine.displacement"],
        int(fields["engine.cylinders"]),
        BOOSTS.get(change, aspiration),
        fuel,
        change,
        cut_normal(pick, spreads[f"natural_pressure_{fuel}"]) if kind != "natural" else _pressure(factory, fields),
        cut_normal(pick, spreads["charge"]),
    )


#: Changes that make an engine breathe otherwise.
BOOSTS = {"supercharger": "supercharged", "turbo": "turbo"}


def _pressure(factory, fields):
    # An engine that breathes by itself shows its own mean effective pressure in its factory torque.
    return factory.torque / (NM_PER_LITRE_BAR * fields["engine.displacement"] / 1000)


def _changed(pick, factory, effect, boosted):
    torque = factory.torque * cut_lognormal(pick, effect["torque"], effect["spread"], effect["low"], effect["high"])
    rise = factory.torque / factory.power_torque * effect["rise"] * cut_normal(pick, table()["spreads"]["rise"])
    red_line = factory.red_line * effect["red_line"]
    power_speed = min(factory.power_speed * effect["power_speed"], 0.97 * red_line)
    return curve(
        torque,
        min(factory.torque_speed * effect["torque_speed"], 0.9 * power_speed),
        torque / min(max(rise, 1.01), 1.35),
        power_speed,
        red_line,
        boosted,
    )


def quarter_mile_speed(power, mass, constant):
    """Terminal speed [km/h] over a standing quarter mile from power at the clutch [kW] and mass with driver [kg].

    mph = constant x (hp / lb) ** (1/3): Huntington, Rod & Custom, December 1958, with 224; G. T. Fox, American Journal
    of Physics, 1973, derives the cube root and gives 230; Hale's calculator has 234. Read as quoted on public pages.

    >>> round(quarter_mile_speed(300 * HP_KW, 3000 * LB_KG, 230) / KMH_PER_MPH, 1)
    106.8
    """
    return constant * (power / HP_KW / (mass / LB_KG)) ** (1 / 3) * KMH_PER_MPH


def air_share(altitude):
    """Share of sea-level torque left at an altitude [m] to an engine that breathes by itself.

    International Standard Atmosphere (ISO 2533): pressure share over the square root of the temperature share.

    >>> round(air_share(1000), 3)
    0.897
    """
    warmth = 1 - 0.0065 * altitude / 288.15
    return warmth**5.25588 / math.sqrt(warmth)
