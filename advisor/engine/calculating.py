"""Calculations inside the engines: units in, one mechanics call, units out, rounded at once.

Every evaluator calls the same function here, so what they are compared on is the logic of the rules; the
arithmetic has its own checks against published figures.
"""

import functools
import math
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from ..errors import EngineError, KnowledgeError
from ..knowledge.model import Calculation

if TYPE_CHECKING:  # NumPy is slow to load and many commands never calculate
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

#: Digits kept of every calculated value, before any rule or check reads it.
DIGITS = 9
NOT_FINITE = "the result is not a finite number"


def round_digits(value: float) -> float:
    """``value`` rounded to 9 significant digits; minus zero becomes zero.

    >>> round_digits(0.1234567891234)
    0.123456789
    """
    return float(f"{value:.9g}") + 0.0


def round_digits_array(values: "ArrayLike") -> "NDArray[np.float64]":
    """`round_digits` of each element of a float array, to the same last bit.

    Scaling by an exact power of ten and one division or multiplication is correctly rounded; elements whose
    scaled value lies so near a tie that scaling itself might decide it, and very large or small ones, go the
    scalar way.
    """
    import numpy as np

    values = np.asarray(values, dtype=float)
    size = np.abs(values)
    usual = (size > 1e-12) & (size < 1e12)
    if not usual.all():
        size = np.where(usual, size, 1.0)
    ups, downs = _powers()
    # The decade of each element, from 1e-12 on.
    decade = np.floor(np.log10(size)).astype(int) + 12
    up, down = ups[decade], downs[decade]
    scaled = size * up / down
    whole = np.rint(scaled)
    # Outside these bounds the element lies near a tie, or log10 misjudged the decade by a rounding error.
    settled = usual & (np.abs(scaled - whole) < 0.5 - 1e-5)
    settled &= (scaled >= 10.0 ** (DIGITS - 1)) & (whole < 10.0**DIGITS)
    rounded = np.copysign(np.where(settled, whole * down / up, 0.0), values)
    left = ~settled & (values != 0)
    if left.any():
        few, which = np.unique(values[left], return_inverse=True)
        few_rounded = np.array([round_digits(value) if math.isfinite(value) else value for value in few.tolist()])
        rounded[left] = few_rounded[which.reshape(-1)]
    return rounded + 0.0


@functools.cache
def _powers() -> "tuple[NDArray[np.float64], NDArray[np.float64]]":
    """(times, over): the powers of ten that bring each decade from 1e-12 on to `DIGITS` digits before the point.

    From their decimal form: those up to 22 are exact, which a computed power need not be.
    """
    import numpy as np

    shifts = [DIGITS - 1 - exponent for exponent in range(-12, 13)]
    return (
        np.array([float(f"1e{max(shift, 0)}") for shift in shifts]),
        np.array([float(f"1e{max(-shift, 0)}") for shift in shifts]),
    )


def _function(calculation: Calculation) -> Callable[..., Any]:
    from ..knowledge.functions import function

    try:
        return function(calculation.function)
    except KnowledgeError:
        raise KnowledgeError(
            f"calculation {calculation.id} names the function {calculation.function!r}, which is not there.",
            where=calculation.position,
            value=calculation.function,
            remedy="Name a public function of the mechanics as module.function.",
        ) from None


def _converter(from_unit: str, to_unit: str) -> Callable[[Any], Any] | None:
    """A function from one unit to the other, or None where nothing changes."""
    if to_unit == "any" or from_unit == "any" or from_unit == to_unit:
        return None
    from ..knowledge.quantities import scale

    numerator, denominator, offset = scale(from_unit, to_unit)
    if (numerator, denominator, offset) == (1.0, 1.0, 0.0):
        return None
    if offset:
        return lambda value: value * numerator / denominator + offset
    return lambda value: value * numerator / denominator


class CompiledCalculation:
    """One calculation of stage case, ready to be called with facts.

    ``reads``: names of the facts it needs, sorted. Called with facts it gives (value, "") or (None, reason).
    ``refusal``: the error by which the mechanics refuse their arguments.
    """

    def __init__(self, calculation: Calculation) -> None:
        self.calculation = calculation
        self.id = calculation.id
        self.gives = calculation.gives
        self._function = _function(calculation)
        # Imported here, not above: NumPy is slow to load and many commands never calculate.
        import numpy as np

        from ..mechanics.argument_checks import MechanicsError

        self._quiet, self.refusal = np.errstate, MechanicsError
        wanted = dict(calculation.units)
        self._constants, self._facts = {}, []
        for keyword, given in calculation.inputs:
            convert = _converter(given.unit, wanted.get(keyword, "any"))
            if given.source == "fact":
                self._facts.append((keyword, given.name, convert))
            elif given.source == "value" and not isinstance(given.value, (str, bool)):
                self._constants[keyword] = convert(given.value) if convert else given.value
            elif given.source in ("value", "choice"):
                self._constants[keyword] = given.value
            else:
                raise KnowledgeError(
                    f"calculation {self.id} reads a {given.source} for {keyword}, which exists only for kits.",
                    where=calculation.position,
                    remedy="Use a fact, a value or a choice, or move the calculation under figures.",
                )
        self._out = _converter(calculation.result_unit, calculation.unit)
        self._last: tuple[Any, Any] = None, None
        self.reads = tuple(sorted({name for _, name, _ in self._facts}))

    def __reduce__(self) -> "tuple[type[CompiledCalculation], tuple[Calculation]]":
        return CompiledCalculation, (self.calculation,)

    def raw(self, facts: Mapping[str, Any]) -> Any:
        """The result before rounding, for floats or arrays of them; raises what the mechanics raise."""
        arguments = dict(self._constants)
        # A fact outside the mechanics' range is an answer ("unknown, because"), not an alarm.
        with self._quiet(all="ignore"):
            for keyword, name, convert in self._facts:
                value = facts[name]
                arguments[keyword] = convert(value) if convert else value
            value = self._function(**arguments)
            return self._out(value) if self._out else value

    def __call__(self, facts: Mapping[str, Any]) -> tuple[float | None, str]:
        """(value, "") or (None, why the mechanics give nothing for these facts)."""
        # The second engine asks the same again, and so does every re-run in which only other facts changed.
        inputs = tuple([facts[name] for name in self.reads])
        last_inputs, outcome = self._last
        if inputs != last_inputs:
            outcome = self._calculated(facts)
            self._last = inputs, outcome
        return outcome

    def _calculated(self, facts: Mapping[str, Any]) -> tuple[float | None, str]:
        try:
            value = float(self.raw(facts))
        except self.refusal as error:
            return None, str(error)
        except Exception as error:
            raise self._stopped(error, {name: facts[name] for name in self.reads}) from error
        if not math.isfinite(value):
            return None, NOT_FINITE
        return round_digits(value), ""

    def _stopped(self, error: Exception, values: dict[str, Any]) -> EngineError:
        return EngineError(
            f"calculation {self.id} ({self.calculation.function}) stopped with {type(error).__name__}: {error}.",
            where=self.calculation.position,
            value=values,
            remedy="Mend the calculation's inputs or the mechanics function; the case is not at fault.",
        )


def compile_calculation(calculation: Calculation) -> CompiledCalculation:
    """``calculation`` as a callable of facts; see `CompiledCalculation`."""
    return CompiledCalculation(calculation)
