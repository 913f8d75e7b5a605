"""Worksheets of the release system: gap or room of the bearing, and where the pedal stop stands."""

from ...errors import InputError
from .working import OPEN, OUTSIDE, WITHIN, Worked, at_least_zero, ends, shown, within

_SHIM_OUT = "take shims out from behind the bearing, or fit a shorter one."


def _needs(sheet, *names):
    """InputError where a reading that is optional in general is needed here."""
    for name in names:
        if not sheet.has(name):
            reading = next(reading for reading in sheet.worksheet.readings if reading.name == name)
            remedy = f"{reading.how} Then give {name}='12.5 mm'."
            raise InputError(f"a bearing of this kind needs {name} ({reading.what}).", value=name, remedy=remedy)


def bearing_gap(sheet: Worked) -> None:
    """Gap or free room of the bearing, the wear it swallows, and the stroke that is left."""
    kind = sheet.readings["bearing"]
    room = {"fixed": "bearing_gap", "sprung": "retract_room", "fork": "bearing_play"}[kind]
    if kind == "fork":
        _fork(sheet)
    else:
        _needs(sheet, "housing_to_bearing", "block_to_fingers")
        sheet.work(
            room,
            "gap between bearing and fingers" if kind == "fixed" else "distance the bearing can still be pushed back",
            "release.bearing_gap",
            "mm",
            housing_to_bearing="housing_to_bearing",
            block_to_fingers="block_to_fingers",
            spacer_thickness="spacer_thickness",
        )
        (_fixed if kind == "fixed" else _sprung)(sheet)
    if sheet.has("release_ratio"):
        _wear(sheet, room)


def _own(sheet: Worked, name: str) -> tuple[float, float, str]:
    """A workshop range, each end replaced by the maker's where it is given; and where it comes from."""
    low, high, basis = ends(sheet, name)
    own = [sheet.readings.get("gap_low"), sheet.readings.get("gap_high")]
    if any(end is not None for end in own):
        basis = "the maker's" if all(end is not None for end in own) else f"the maker's; else {basis}"
    return (low if own[0] is None else own[0], high if own[1] is None else own[1], basis)


def _fork(sheet):
    _needs(sheet, "bearing_play")
    low, high, basis = _own(sheet, "bearing_play")
    within(sheet, "bearing_play", low, high, basis, "Adjust cable or push rod.", "Adjust cable or push rod.")
    if sheet.has("fork_ratio"):
        sheet.work(
            "fork_end_play",
            "play to feel at the fork's end",
            "release_bearing.fork_end_play",
            "mm",
            bearing_play="bearing_play",
            fork_ratio="fork_ratio",
        )


def _fixed(sheet):
    least, _, _ = ends(sheet, "fixed_bearing_gap_in_service")
    low, high, basis = _own(sheet, "fixed_bearing_gap")
    within(
        sheet,
        "bearing_gap",
        low,
        high,
        basis,
        f"The bearing would hold the clutch open as the facings wear: {_SHIM_OUT} "
        f"In service it is set again before it comes to {shown(least)}.",
        "The piston would run out of its seal: shim the bearing towards the engine.",
    )
    if sheet.has("bearing_stroke_max", "bearing_travel_needed") and sheet.value("bearing_gap") >= 0:
        reserve, _, basis = ends(sheet, "bearing_stroke_reserve")
        sheet.work(
            "stroke_left",
            "stroke left at clean release",
            "release_bearing.stroke_left",
            "mm",
            bearing_stroke_max="bearing_stroke_max",
            gap="bearing_gap",
            bearing_travel_needed="bearing_travel_needed",
            reserve=(reserve, "mm"),
        )
        at_least_zero(sheet, "stroke_left", "The piston can leave its seal: another bearing or a smaller gap.", basis)


def _sprung(sheet):
    if not sheet.has("bearing_stroke_max"):
        return
    sheet.work(
        "fitted_compression",
        "how far fitting pushes the bearing back",
        "arithmetic.difference",
        "mm",
        first="bearing_stroke_max",
        second="retract_room",
    )
    low, high, basis = _own(sheet, "sprung_bearing_compression")
    within(
        sheet,
        "fitted_compression",
        low,
        high,
        basis,
        "Too little stroke forward: shim the bearing towards the engine.",
        f"Little room for the fingers to rise as the facings wear: {_SHIM_OUT}",
    )
    if sheet.has("bearing_travel_needed") and sheet.value("fitted_compression") >= 0:
        sheet.work(
            "forward_room",
            "stroke left at clean release",
            "release_bearing.sprung_forward_room",
            "mm",
            fitted_compression="fitted_compression",
            bearing_travel_needed="bearing_travel_needed",
        )
        at_least_zero(sheet, "forward_room", "The bearing cannot release this clutch.")


def _wear(sheet, room):
    kept = sheet.readings["heat_growth"] if sheet.has("heat_growth") else ends(sheet, "heat_growth")[0]
    growth = (kept, "mm")
    swallowed = sheet.work(
        "wear_room",
        "facing wear, all faces together, that the room swallows",
        "release.wear_room",
        "mm",
        free_distance=room,
        release_ratio="release_ratio",
        heat_growth=growth,
    )
    if not sheet.has("wear"):
        words = f"The room swallows {shown(swallowed)} of wear; set it against the wear the maker allows."
        sheet.judge("wear_room", OPEN, words)
        return
    wanted = sheet.work(
        "gap_for_wear",
        "room needed for all the wear",
        "release_bearing.gap_for_wear",
        "mm",
        wear="wear",
        release_ratio="release_ratio",
        heat_growth=growth,
    )
    short = sheet.value(room) < wanted
    words = f"The facings may wear {shown(sheet.value('wear'))}, the room swallows {shown(swallowed)}"
    tail = ": set the gap again before they are worn that far, or the clutch slips." if short else "."
    sheet.judge("wear_room", OUTSIDE if short else WITHIN, words + tail, ends(sheet, "heat_growth")[2])


def pedal_stop(sheet: Worked) -> None:
    """From pedal to plate: ratio, travel, over-stroke, where it releases and where the stop stands."""
    _ratio(sheet)
    _travel(sheet)
    if sheet.has("bearing_load"):
        sheet.work(
            "pedal_force",
            "force at the pedal",
            "release.pedal_force",
            "N",
            bearing_load="bearing_load",
            overall_ratio="overall_ratio",
            efficiency="efficiency",
        )
    _lift(sheet)
    if not sheet.known("bearing_travel_needed"):
        words = "Without bearing_travel_needed or pedal_at_release it cannot be told whether it releases."
        sheet.judge("bearing_travel", OPEN, words)
        return
    travel = {name: name for name in ("bearing_travel_needed", "overall_ratio", "free_travel", "loss_share")}
    if not sheet.has("pedal_at_release"):
        sheet.work("pedal_at_release", "pedal travel at clean release", "release.pedal_at_release", "mm", **travel)
    if sheet.has("bearing_travel_max"):
        _stop(sheet, travel)
    else:
        words = "Without bearing_travel_max no stop is worked out: ask the maker of the clutch."
        sheet.judge("pedal_at_release", OPEN, words)


def _ratio(sheet):
    if sheet.has("overall_ratio"):
        return
    if not sheet.has("pedal_ratio"):
        raise InputError(
            "the worksheet pedal-stop needs overall_ratio or pedal_ratio.",
            value="pedal_ratio",
            remedy="Measure the pedal: pad arm over push-rod arm, like pedal_ratio=5.8.",
        )
    hydraulic: str | tuple[float, str] = (1.0, "1")
    if sheet.has("slave_bore", "master_bore"):
        hydraulic = "hydraulic_ratio"
        sheet.work(
            "hydraulic_ratio",
            "slave area over master area",
            "hydraulics.hydraulic_ratio_of_bores",
            "1",
            slave_bore="slave_bore",
            master_bore="master_bore",
        )
    elif sheet.has("slave_area", "master_bore"):
        hydraulic = "hydraulic_ratio"
        sheet.work("master_area", "area of the master cylinder", "hydraulics.bore_area", "mm2", bore="master_bore")
        sheet.work(
            "hydraulic_ratio",
            "slave area over master area",
            "hydraulics.hydraulic_ratio",
            "1",
            slave_area="slave_area",
            master_area="master_area",
        )
    sheet.work(
        "overall_ratio",
        "ratio from pedal to release bearing",
        "release.overall_ratio",
        "1",
        pedal_ratio="pedal_ratio",
        hydraulic_ratio=hydraulic,
        fork_ratio="fork_ratio",
    )


def _travel(sheet):
    sheet.work(
        "bearing_travel",
        "bearing travel the pedal gives, nothing lost",
        "release.bearing_travel",
        "mm",
        pedal_travel="pedal_travel",
        free_travel="free_travel",
        overall_ratio="overall_ratio",
    )
    if sheet.has("pedal_at_release") and not sheet.has("bearing_travel_needed"):
        sheet.work(
            "bearing_travel_needed",
            "bearing travel at the pedal's clean release",
            "release.bearing_travel",
            "mm",
            pedal_travel="pedal_at_release",
            free_travel="free_travel",
            overall_ratio="overall_ratio",
            loss_share="loss_share",
        )


def _lift(sheet):
    if not sheet.has("discs", "gap", "cushion_travel", "release_ratio"):
        return
    sheet.work(
        "lift",
        "lift of the pressure plate at which every disc runs free",
        "release.lift_needed",
        "mm",
        discs="discs",
        gap="gap",
        cushion_travel="cushion_travel",
    )
    if not sheet.known("bearing_travel_needed"):
        sheet.work(
            "bearing_travel_needed",
            "bearing travel at clean release",
            "release.bearing_travel_needed",
            "mm",
            lift="lift",
            release_ratio="release_ratio",
            finger_bend="finger_bend",
        )


def _stop(sheet, travel):
    over = sheet.work(
        "over_stroke",
        "bearing travel beyond what the maker allows",
        "release.overstroke",
        "mm",
        bearing_travel="bearing_travel",
        bearing_travel_max="bearing_travel_max",
    )
    limits = dict(**travel, bearing_travel_max="bearing_travel_max", pedal_travel="pedal_travel")
    room = sheet.work("stop_room", "pedal travel in which a stop can stand", "release.pedal_stop_room", "mm", **limits)
    if room < 0:
        words = (
            "The pedal ends, or the maker's limit is passed, before clean release: no stop can be set. "
            "Other bores or another clutch; ask the shop lead."
        )
        sheet.judge("stop_room", OUTSIDE, words)
        return
    at = sheet.work(
        "pedal_stop",
        "pedal travel at which the stop stands",
        "release.pedal_stop_position",
        "mm",
        **limits,
        reserve="reserve",
    )
    sheet.work(
        "bearing_travel_at_stop",
        "bearing travel at the stop",
        "release.bearing_travel",
        "mm",
        pedal_travel="pedal_stop",
        free_travel="free_travel",
        overall_ratio="overall_ratio",
    )
    if over > 0:
        words = f"Without a stop the pedal pushes the bearing {shown(over)} too far: the stop is needed and stays."
    else:
        words = "The pedal cannot push the bearing past what the maker allows."
    sheet.judge("over_stroke", WITHIN, words)
    words = (
        f"Set the stop at {shown(at)} of pedal travel from rest, lock it, and check that the start switch still closes."
    )
    sheet.judge("pedal_stop", WITHIN, words, ends(sheet, "pedal_stop_reserve")[2])
