"""Input checks shared by every calculation: one error type that names the argument.

A calculation takes SI floats or NumPy arrays and gives back a float when every
argument is a scalar, else an array of the broadcast shape.
"""

import math
from collections.abc import Collection, Iterable
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

#: Floats of any shape; a number that was checked is one of shape ().
Array = NDArray[np.float64]
#: What a calculation takes and gives: a float, or an array of them.
Numbers = float | Array


class MechanicsError(ValueError):
    """An argument outside what a calculation can answer for.

    Attributes
    ----------
    argument : str
        Name of the keyword argument at fault.
    reason : str
        What is wrong with it, as the end of a sentence ("must be above zero").
    value : float
        The first value at fault.
    elements : tuple of tuple of int
        Indices of the elements at fault, in the broadcast shape of ``argument``; empty for a scalar.
    """

    def __init__(self, argument: str, reason: str, value: Any = None, elements: Iterable[tuple[int, ...]] = ()) -> None:
        self.argument = argument
        self.reason = reason
        self.value = value
        self.elements = tuple(elements)
        where = ""
        if self.elements:
            shown = ", ".join(str(list(index)) for index in self.elements[:5])
            more = f" and {len(self.elements) - 5} more" if len(self.elements) > 5 else ""
            where = f" at element {shown}{more}"
        super().__init__(f"{argument} {reason}{where} (got {value!r})")


def refuse_where(bad: ArrayLike, argument: str, reason: str, value: ArrayLike) -> None:
    """Raise MechanicsError for ``argument`` where the boolean ``bad`` holds."""
    if not np.asarray(bad).any():
        return
    faults, values = np.broadcast_arrays(bad, value)
    if faults.ndim == 0:
        raise MechanicsError(argument, reason, values[()].item())
    elements = [tuple(int(i) for i in index) for index in np.argwhere(faults)]
    raise MechanicsError(argument, reason, values[elements[0]].item(), elements)


def _number(argument: str, value: Any) -> Array:
    if value.__class__ is float and math.isfinite(value):
        return np.array(value)
    array = np.asarray(value)
    if array.dtype.kind == "O" and not any(item is None for item in array.flat):
        try:
            array = array.astype(float)
        except (TypeError, ValueError):
            raise MechanicsError(argument, "must be a number", value) from None
    # Texts and truth values would convert silently; a "7200" or a yes in the place of a number is a slip.
    if array.dtype.kind not in "iuf":
        raise MechanicsError(argument, "must be a number", value)
    array = array.astype(float)
    if not np.isfinite(array).all():
        refuse_where(~np.isfinite(array), argument, "must be a finite number", array)
    return array


def finite(**arguments: Any) -> list[Array]:
    """Check that each argument is finite; give them back as float arrays, in order.

    >>> finite(speed=3)
    [array(3.)]
    """
    return [_number(name, value) for name, value in arguments.items()]


def positive(**arguments: Any) -> list[Array]:
    """As `finite`, each above zero."""
    arrays = finite(**arguments)
    for name, array in zip(arguments, arrays):
        refuse_where(array <= 0, name, "must be above zero", array)
    return arrays


def not_negative(**arguments: Any) -> list[Array]:
    """As `finite`, each zero or above."""
    arrays = finite(**arguments)
    for name, array in zip(arguments, arrays):
        refuse_where(array < 0, name, "must not be negative", array)
    return arrays


def within(low: float, high: float, **arguments: Any) -> list[Array]:
    """As `finite`, each between low and high, both ends in."""
    arrays = finite(**arguments)
    for name, array in zip(arguments, arrays):
        refuse_where((array < low) | (array > high), name, f"must be between {low} and {high}", array)
    return arrays


def share(**arguments: Any) -> list[Array]:
    """As `finite`, each above zero and at most one."""
    arrays = positive(**arguments)
    for name, array in zip(arguments, arrays):
        refuse_where(array > 1, name, "must be at most 1", array)
    return arrays


def whole(low: int, high: int, **arguments: Any) -> list[Array]:
    """As `within`, each a whole number."""
    arrays = within(low, high, **arguments)
    for name, array in zip(arguments, arrays):
        refuse_where(array != np.floor(array), name, "must be a whole number", array)
    return arrays


def below(larger_name: str, larger: Array, **smaller: Array) -> None:
    """Check that each of the arrays given by name is below ``larger``; the smaller is the one named.

    >>> below("outer_radius", np.array(0.10), inner_radius=np.array(0.12))
    Traceback (most recent call last):
        ...
    advisor.mechanics.argument_checks.MechanicsError: inner_radius must be below outer_radius (got 0.12)
    """
    for name, array in smaller.items():
        refuse_where(array >= larger, name, f"must be below {larger_name}", array)


def choice(allowed: Collection[str], **arguments: Any) -> None:
    """Check that each argument is one of the texts allowed; one text holds for all elements.

    >>> choice(("push", "pull"), action="pull")
    """
    for name, text in arguments.items():
        if not isinstance(text, str) or text not in allowed:
            raise MechanicsError(name, "must be " + " or ".join(allowed), text)


def result(value: ArrayLike) -> Numbers:
    """Give a zero-dimensional array back as a float, any other array as it is."""
    array = np.asarray(value, dtype=float)
    return array.item() if array.ndim == 0 else array
