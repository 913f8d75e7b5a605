"""Arguments of a heat schedule: checked, and put in the form `_heat_modes` works on; the hottest skin over it."""

import functools
import inspect
import itertools
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple, TypeVar

import numpy as np

from ._heat_modes import Network
from ._slab import peak_share
from .argument_checks import Array, finite, not_negative, positive, refuse_where, whole

Calculation = TypeVar("Calculation", bound=Callable[..., Any])

PHASES = (
    ("traffic_start_energy", "traffic_starts", "traffic_interval"),
    ("hill_start_energy", "hill_starts", "hill_interval"),
    ("launch_energy", "launches", "launch_interval"),
    ("shift_energy", "shifts", "shift_interval"),
)

# Slips whose skin counts: (phase of PHASES, heat, power when the slip begins). The hardest ones heat the skin only.
SLIPS = (
    (0, "traffic_start_energy", "traffic_start_power"),
    (1, "hill_start_energy", "hill_start_power"),
    (2, "launch_energy", "launch_power"),
    (2, "hardest_launch_energy", "hardest_launch_power"),
    (3, "shift_energy", "shift_power"),
    (3, "hardest_shift_energy", "hardest_shift_power"),
)


class Slip(NamedTuple):
    """Slips of one kind: the place of their phase in PHASES, heat of one, power when it begins."""

    phase: int
    energy: Array
    power: Array


class Skin:
    """What the skin of the plates needs beside the schedule: checked arguments of `schedule_peaks`."""

    def __init__(self, given: Mapping[str, Any], discs: Array) -> None:
        self.discs = discs
        self.conductivity, density = positive(conductivity=given["conductivity"], density=given["density"])
        heat, area = np.asarray(given["specific_heat"], float), np.asarray(given["facing_area"], float)
        self.ring_area, self.volume_heat = area, density * heat
        self.diffusivity = self.conductivity / self.volume_heat
        flywheel, floater, pressure = (
            np.asarray(given[name], float) for name in ("flywheel_mass", "floater_mass", "pressure_plate_mass")
        )
        floater = np.where(discs > 1, floater, 1.0)
        # A floater is heated on both faces: each has half of it behind.
        self.depths = [mass / (density * area * faces) for mass, faces in ((flywheel, 1), (floater, 2), (pressure, 1))]
        (self.staging,) = not_negative(staging_energy=given["staging_energy"])
        self.slips = [
            Slip(phase, *not_negative(**{energy: given[energy], power: given[power]})) for phase, energy, power in SLIPS
        ]

    def shapes(self) -> list[tuple[int, ...]]:
        """Shapes of the arguments beside those of the schedule."""
        return [
            self.diffusivity.shape,
            self.staging.shape,
            *(a.shape for slip in self.slips for a in (slip.energy, slip.power)),
        ]

    def hottest(
        self, befores: Sequence[Sequence[Array]], counts: Sequence[Array], shape: tuple[int, ...]
    ) -> tuple[Array, Array]:
        """(rise over the air before the event, rise by the event) of the hottest skin, each of ``shape``.

        befores: for each phase the rises of flywheel, hottest floater and pressure plate when an event begins.
        """
        faces = 2 * self.discs * self.ring_area
        sums, rises = [np.zeros(shape)], [np.zeros(shape)]
        for phase, energy, power in self.slips:
            if not (counts[phase] > 0).any() or not (power > 0).any():
                continue
            flux = power / faces
            time = np.where(power > 0, 2 * energy / np.where(power > 0, power, 1.0), 0.0)
            # Creeping to the line has heated the plates through by the time of the launch.
            staged = self.staging / faces if phase == 2 else 0.0
            for place, depth in enumerate(self.depths):
                there = (counts[phase] > 0) & (power > 0) & ((place != 1) | (self.discs > 1))
                before = befores[phase][place] + staged / (self.volume_heat * depth)
                rise = flux * depth / self.conductivity * peak_share(self.diffusivity * time / depth**2)
                sums.append(np.where(there, before + rise, 0.0))
                rises.append(np.broadcast_to(rise, shape))
        first = np.argmax(sums, axis=0)[None]
        highest, rise = (np.take_along_axis(np.stack(of), first, axis=0)[0] for of in (sums, rises))
        return highest - rise, rise


class Events(NamedTuple):
    """Heat, number and interval of the events of each phase, then the rounds and the rest between them."""

    energies: list[Array]
    counts: list[Array]
    intervals: list[Array]
    rounds: Array
    rest: Array


class CheckedSchedule(NamedTuple):
    """Checked arguments of `schedule_peaks`, in the form the modes are worked out from."""

    network: Network
    events: Events
    air: Array
    skin: Skin
    shape: tuple[int, ...]


def checked(given: Mapping[str, Any]) -> CheckedSchedule:
    """Check the arguments of `schedule_peaks`."""
    (discs,) = whole(1, 8, discs=given["discs"])
    names = (
        "flywheel_mass",
        "pressure_plate_mass",
        "specific_heat",
        "facing_area",
        "facing_conductance",
        "air_heat_transfer",
        "flywheel_air_area",
        "pressure_plate_air_area",
    )
    flywheel, pressure, heat, area, conductance, air_transfer, flywheel_air, pressure_air = positive(
        **{name: given[name] for name in names}
    )
    flywheel_heat = heat
    if given["flywheel_specific_heat"] is not None:
        (flywheel_heat,) = positive(flywheel_specific_heat=given["flywheel_specific_heat"])
    floater_names = ("floater_mass", "floater_air_area")
    floater, floater_air = not_negative(**{name: given[name] for name in floater_names})
    for name, value in zip(floater_names, (floater, floater_air)):
        refuse_where((discs > 1) & (value == 0), name, "must be above zero where there is more than one disc", value)
    (air,) = finite(air_temperature=given["air_temperature"])
    energies, intervals = ([*not_negative(**{phase[k]: given[phase[k]] for phase in PHASES})] for k in (0, 2))
    counts = whole(0, 10_000, **{phase[1]: given[phase[1]] for phase in PHASES})
    (rounds,) = whole(1, 10_000, rounds=given["rounds"])
    (rest,) = not_negative(rest=given["rest"])
    # A single disc has no floater: any capacity will do, it gets no heat.
    floater, floater_air = (np.where(discs > 1, value, 1.0) for value in (floater, floater_air))
    network = Network(
        discs,
        [flywheel * flywheel_heat, floater * heat, pressure * heat],
        conductance * area,
        [air_transfer * flywheel_air, air_transfer * floater_air, air_transfer * pressure_air],
    )
    skin = Skin(given, discs)
    energies[2] = energies[2] + skin.staging  # the plates get the heat of creeping to the line as well
    schedule = Events(energies, counts, intervals, rounds, rest)
    shape = np.broadcast_shapes(
        network.rates.shape[:-1],
        air.shape,
        rounds.shape,
        rest.shape,
        *(array.shape for group in schedule[:3] for array in group),
        *skin.shapes(),
    )
    return CheckedSchedule(network, schedule, air, skin, shape)


def like(model: Callable[..., Any]) -> Callable[[Calculation], Calculation]:
    """Make a decorator that gives a function of ``**schedule`` the signature of ``model``, own keywords after it.

    {formula}, {parameters} and {validity} in its docstring stand for those sections of the model's, so that
    the many arguments are written once. The last line of the model's formula is its own result and is left out.
    """
    sections, modelled = _sections(model), inspect.signature(model).parameters.values()

    def decorate(function: Calculation) -> Calculation:
        text = inspect.getdoc(function) or ""
        for heading, section in sections.items():
            text = text.replace("{" + heading.lower() + "}", section)
        function.__doc__ = text
        signature = inspect.signature(function)
        own = [p for p in signature.parameters.values() if p.kind is p.KEYWORD_ONLY]
        vars(function)["__signature__"] = signature.replace(parameters=[*modelled, *own])
        return function

    return decorate


@functools.cache
def _sections(model):
    """Heading -> text of the sections of a function's docstring."""
    lines = (inspect.getdoc(model) or "").split("\n")
    starts = [n - 1 for n, line in enumerate(lines) if line and set(line) == {"-"}] + [len(lines)]
    sections = {lines[a]: "\n".join(lines[a + 2 : b]).strip("\n") for a, b in itertools.pairwise(starts)}
    sections["Formula"] = sections["Formula"].rpartition("\n")[0]
    return sections
