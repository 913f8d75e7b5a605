"""One calculation over many cases: a single call on arrays, and only what that refuses case by case."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from ..knowledge.model import Fact
from .calculating import CompiledCalculation, round_digits_array
from .fact_columns import FactColumn, Flags, kind_of, value


def calculate(
    calculation: CompiledCalculation, facts: Mapping[str, Fact], columns: Mapping[str, FactColumn], known: Flags
) -> tuple[NDArray[np.float64], Flags]:
    """(values, given): the results where ``known``, and where there is one; elsewhere NaN.

    Elements the mechanics refuse stay unknown; ``calculation(facts of the case)`` tells why. Choices and flags
    among the inputs split the cases, because one call takes one text.
    """
    results = np.full(len(known), np.nan)
    split = [name for name in calculation.reads if kind_of(facts[name]) != "number"]
    for rows in _alike(split, columns, np.flatnonzero(known)):
        fixed = {name: value(facts[name], columns[name], rows[0]) for name in split}
        _call(calculation, facts, columns, fixed, rows, results)
    given = known & np.isfinite(results)
    return results, given


def _alike(split, columns, rows):
    """``rows`` in groups within which all of the ``split`` facts have one value."""
    groups = [rows]
    for name in split:
        values = columns[name].values
        groups = [
            group[values[group] == element] for group in groups for element in dict.fromkeys(values[group].tolist())
        ]
    return groups


def _call(calculation, facts, columns, fixed, rows, results):
    while len(rows):
        given = {name: fixed[name] if name in fixed else columns[name].values[rows] for name in calculation.reads}
        try:
            raw = calculation.raw(given)
        except calculation.refusal as error:
            bad = [index[0] for index in error.elements if len(index) == 1 and index[0] < len(rows)]
            if not bad:
                break
            rows = np.delete(rows, bad)
            continue
        except Exception:  # the function may not take arrays at all; a single case then says what is wrong
            break
        raw = np.broadcast_to(np.asarray(raw, dtype=float), rows.shape)
        results[rows] = round_digits_array(raw)
        return
    for row in rows:
        result, _ = calculation({name: value(facts[name], columns[name], row) for name in calculation.reads})
        results[row] = np.nan if result is None else result
