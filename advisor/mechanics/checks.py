"""Input checks shared by every calculation: one error type that names the argument.

A calculation takes SI floats or NumPy arrays and gives back a float when every
argument is a scalar, else an array of the broadcast shape.
"""

import numpy as np


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

    def __init__(self, argument, reason, value=None, elements=()):
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


def refuse_where(bad, argument, reason, value):
    """Raise MechanicsError for ``argument`` where the boolean ``bad`` holds."""
    if not np.any(bad):
        return
    bad, value = np.broadcast_arrays(bad, value)
    if bad.ndim == 0:
        raise MechanicsError(argument, reason, value[()].item())
    elements = [tuple(int(i) for i in index) for index in np.argwhere(bad)]
    raise MechanicsError(argument, reason, value[elements[0]].item(), elements)


def _number(argument, value):
    if isinstance(value, (bool, np.bool_)):
        raise MechanicsError(argument, "must be a number", value)
    try:
        array = np.asarray(value, dtype=float)
    except (TypeError, ValueError):
        raise MechanicsError(argument, "must be a number", value) from None
    refuse_where(~np.isfinite(array), argument, "must be a finite number", array)
    return array


def finite(**arguments):
    """Check that each argument is finite; give them back as float arrays, in order.

    >>> finite(speed=3)
    [array(3.)]
    """
    return [_number(name, value) for name, value in arguments.items()]


def positive(**arguments):
    """As `finite`, each above zero."""
    arrays = finite(**arguments)
    for name, array in zip(arguments, arrays):
        refuse_where(array <= 0, name, "must be above zero", array)
    return arrays


def not_negative(**arguments):
    """As `finite`, each zero or above."""
    arrays = finite(**arguments)
    for name, array in zip(arguments, arrays):
        refuse_where(array < 0, name, "must not be negative", array)
    return arrays


def within(low, high, **arguments):
    """As `finite`, each between low and high, both ends in."""
    arrays = finite(**arguments)
    for name, array in zip(arguments, arrays):
        refuse_where((array < low) | (array > high), name, f"must be between {low} and {high}", array)
    return arrays


def whole(low, high, **arguments):
    """As `within`, each a whole number."""
    arrays = within(low, high, **arguments)
    for name, array in zip(arguments, arrays):
        refuse_where(array != np.floor(array), name, "must be a whole number", array)
    return arrays


def result(value):
    """Give a zero-dimensional array back as a float, any other array as it is."""
    value = np.asarray(value, dtype=float)
    return value.item() if value.ndim == 0 else value
