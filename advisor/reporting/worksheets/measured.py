"""Worksheets of what is measured on flywheel, housing and crankshaft: step height, run-out, end float."""

from ...errors import InputError
from .working import OPEN, OUTSIDE, WITHIN, Worked, at_most, ends, shown

_RUN_OUT_REMEDY = {
    "housing-bore": "Offset dowels by half of it.",
    "housing-face": "Clean the faces and look for burrs before machining.",
    "flywheel-face": "Clean the crankshaft's flange, then have the face machined.",
    "flywheel-bore": "Another flywheel.",
    "pilot-bore": "Another pilot bearing, then measure again.",
    "disc": "Another disc: a bent one drags.",
}


def _taken(sheet, stem, least=2):
    """Names of the numbered readings, in order."""
    names = [name for name in sheet.readings if name.rpartition("_")[0] == stem and name.rpartition("_")[2].isdigit()]
    if len(names) < least:
        raise InputError(
            f"the worksheet {sheet.name} needs at least {least} readings.",
            value=stem,
            remedy=f"Give {stem}_1='0.02 mm', {stem}_2='0.05 mm' and so on.",
        )
    return sorted(names, key=lambda name: int(name.rpartition("_")[2]))


def _extremes(sheet, names):
    """Lines for the highest and the lowest of several readings."""
    for name, function, best in (
        ("highest", "arithmetic.larger", max(names, key=sheet.value)),
        ("lowest", "arithmetic.smaller", min(names, key=sheet.value)),
    ):
        other = next(name for name in names if name != best)
        sheet.work(name, f"{name} reading", function, "mm", first=best, second=other)


def step_height(sheet: Worked) -> None:
    """How far the step is from the maker's, and how even it is."""
    _extremes(sheet, _taken(sheet, "step"))
    _, tolerance, basis = ends(sheet, "step_height")
    remedy = "Machine step and face by the same amount; a wrong step shifts the clamp load."
    for name, first, second, label in (
        ("highest_over", "highest", "step_specified", "highest step over the maker's"),
        ("lowest_under", "step_specified", "lowest", "maker's step over the lowest"),
        ("unevenness", "highest", "lowest", "highest step over the lowest"),
    ):
        sheet.work(name, label, "arithmetic.difference", "mm", first=first, second=second)
        at_most(sheet, name, tolerance, basis, remedy)


def run_out(sheet: Worked) -> None:
    """Total indicator reading against its limit; half of it for offset dowels."""
    where = sheet.readings["where"]
    _extremes(sheet, _taken(sheet, "reading"))
    sheet.work(
        "run_out", "run-out, highest less lowest", "arithmetic.difference", "mm", first="highest", second="lowest"
    )
    limit, basis = sheet.readings.get("limit"), "the maker's"
    if limit is None:
        limit, basis = _run_out_limit(sheet, where)
    if where == "housing-bore":
        sheet.work(
            "dowel_offset",
            "offset of the dowels that corrects it",
            "arithmetic.scaled",
            "mm",
            value="run_out",
            factor=(0.5, "1"),
        )
    at_most(sheet, "run_out", limit, basis, _RUN_OUT_REMEDY[where])


def _run_out_limit(sheet, where):
    if where != "flywheel-face":
        return ends(sheet, f"{where.replace('-', '_')}_run_out")[1:]
    if not sheet.has("diameter"):
        raise InputError(
            "the flywheel face needs diameter: its limit goes with it.",
            value="diameter",
            remedy="Give diameter='240 mm', or the maker's limit='0.08 mm'.",
        )
    _, share, basis = ends(sheet, "flywheel_face_run_out_share")
    limit = sheet.work(
        "run_out_limit",
        "most run-out at this diameter",
        "arithmetic.scaled",
        "mm",
        value="diameter",
        factor=(share, "1"),
    )
    return limit, basis


def end_float(sheet: Worked) -> None:
    """End float against what is usual, and how much it grew."""
    for name in ("before", "after"):
        if sheet.has(name):
            _judge_float(sheet, name)
    if not sheet.has("after"):
        sheet.judge("after", OPEN, "Measure again after bedding in, the same way.")
        return
    growth = sheet.work(
        "growth", "growth of the end float", "arithmetic.difference", "mm", first="after", second="before"
    )
    _, most, basis = ends(sheet, "end_float_growth")
    tail = "."
    if growth > most:
        tail = f", more than {shown(most)}: stop driving it and have the thrust bearing looked at."
    sheet.judge("growth", OUTSIDE if growth > most else WITHIN, f"grown by {shown(growth)}{tail}", basis)


def _judge_float(sheet, name):
    low, high, basis = ends(sheet, "end_float_new")
    served, _, served_basis = ends(sheet, "end_float_in_service")
    if sheet.has("limit"):
        served, served_basis = sheet.readings["limit"], "the maker's"
    value = sheet.readings[name]
    words = f"end float {name} {shown(value)}"
    if value < low:
        tail = f", at least {shown(low)}: too little for an oil film. Measure again, then ask a professional."
        sheet.judge(name, OUTSIDE, words + tail, basis)
    elif value > served:
        tail = f", at most {shown(served)} in service: a professional must look at the thrust bearing first."
        sheet.judge(name, OUTSIDE, words + tail, served_basis)
    else:
        usual = f", {shown(low)} to {shown(high)} is usual when new" if value > high else ""
        sheet.judge(name, WITHIN, f"{words}{usual}.", basis)
