"""The fitter's work in its order: measurements with blanks and limits, the decision's own steps among them."""

from dataclasses import dataclass

from .blocks import Blank, Parts, bullets, paragraph, table
from .page import Page


@dataclass(frozen=True)
class Phase:
    """One stretch of the work."""

    id: str
    title: str
    blocks: tuple


#: Topic of the rule that asked for a piece of work -> the phase it belongs to; single items that belong elsewhere.
TOPICS = {
    "thrust_work": "before",
    "flywheel_work": "out",
    "halves": "out",
    "bearing": "bearing",
    "hydraulics": "bleed",
    "pedal_stop": "pedal",
    "packs": "bedding",
    "gear_change": "bedding",
    "heat_life": "bedding",
    "racing_work": "bedding",
}
ITEMS = {
    "run-out": "out",
    "disc-run-out": "out",
    "disc-on-spline": "out",
    "spline-solid": "out",
    "crank-flange": "before",
    "pedal-before-driving": "first-start",
    "clean-release": "first-start",
    "rev-limit": "first-start",
    "bed-before-event": "bedding",
}


def _place(page: Page, item):
    topic = page.worded.rules[item.rule].topic if item.rule in page.worded.rules else ""
    return ITEMS.get(item.id) or TOPICS.get(topic, "fitting")


def _own(page: Page, phase):
    """The decision's measurements and steps that belong to a phase, as items to tick."""
    own_items = []
    for kind in ("measurements", "steps"):
        for place, item in enumerate(page.record.setup.of(kind)):
            if _place(page, item) == phase:
                own_items.append((f"{item.level}: ", page.name(item.text, "setup", kind, place, "text")))
    return own_items


def _measured(page: Page, rows):
    """A table of measurements: where, limit and where the limit comes from, blank."""
    measure_rows = []
    for what, limit, why in rows:
        basis = (" (", page.limit_why(why), ")") if why else ""
        measure_rows.append((what, (limit, basis), Blank(f"reading of {what}", "mm")))
    return table(
        "Measure, in this order", ("what and where", "limit, and where it comes from", "reading"), measure_rows
    )


def measurements(page: Page) -> list[tuple[Parts, Parts, str | None]]:
    """Rows (what, limit, limit's name) of everything measured with the gearbox out."""
    rows: list[tuple[Parts, Parts, str | None]] = [
        (
            "bore of the bellhousing, run-out on the crankshaft's axis",
            ("at most ", page.limit("housing_bore_run_out")),
            "housing_bore_run_out",
        ),
        ("face of the bellhousing, run-out", ("at most ", page.limit("housing_face_run_out")), "housing_face_run_out"),
        (
            "face of the flywheel, run-out near the disc's outer edge, crankshaft pushed one way",
            ("at most ", page.limit("flywheel_face_run_out_share"), " of the diameter"),
            "flywheel_face_run_out_share",
        ),
        ("bore for the pilot bearing, run-out", ("at most ", page.limit("pilot_bore_run_out")), "pilot_bore_run_out"),
        (
            "each new disc on its hub, run-out near the outer edge",
            ("at most ", page.limit("disc_run_out")),
            "disc_run_out",
        ),
    ]
    if page.field_value("flywheel") != "included":
        rows.append(
            (
                "step of the flywheel, where it has one, at three places",
                ("within ", page.limit("step_height"), " of the maker's"),
                "step_height",
            )
        )
        rows.append(("thickness of the flywheel, where its least is stamped on it", "as stamped", None))
    return rows


def phases(page: Page) -> tuple[Phase, ...]:
    """Every `Phase`, in order."""
    concentric = page.fact_value("release_actuation") == "concentric"
    cable = page.fact_value("release_actuation") == "cable"
    return tuple(
        Phase(name, title, tuple(block for block in blocks if block is not None))
        for name, title, blocks in (
            ("before", "Before the gearbox comes out", _before(page)),
            ("out", "With the gearbox out", _out(page)),
            ("fitting", "Fitting the clutch", _fitting(page)),
            ("bearing", "Release bearing", _bearing(page, concentric)),
            ("bleed", "Cable" if cable else "Bleeding", _bleed(page, cable)),
            ("pedal", "At the pedal", _pedal(page)),
            ("first-start", "First start", _first_start(page)),
            ("bedding", "Bedding in and after", _bedding(page)),
        )
    )


def _before(page: Page):
    return (
        bullets(
            (*_own(page, "before"), "Eye protection on, battery off, car on stands, gearbox strapped to its jack."),
            "checks",
        ),
        _measured(
            page,
            [
                (
                    "end float of the crankshaft before the job, levered to and fro by hand",
                    (
                        page.limit("end_float_new", "low"),
                        " to ",
                        page.limit("end_float_new", "high"),
                        " new, at most ",
                        page.limit("end_float_in_service", "low"),
                        " in service",
                    ),
                    "end_float_in_service",
                )
            ],
        ),
        paragraph("Outside these: stop, and have a professional look at the thrust bearing before any clutch goes in."),
    )


def _out(page: Page):
    return (
        bullets(
            (
                *_own(page, "out"),
                "Oil at the crankshaft or input-shaft seal: replace the seal before the clutch goes in.",
            ),
            "checks",
        ),
        _measured(page, measurements(page)),
    )


def _fitting(page: Page):
    several = page.field_value("discs") > 1
    pack = (
        ("Keep discs and floaters in the maker's order and way round; mark them before anything is turned.",)
        if several
        else ()
    )
    items = (
        *_own(page, "fitting"),
        *pack,
        "Centre the discs with a proper aligning tool before the cover is tight.",
        "Torques and thread lock by the makers' instructions.",
    )
    return (
        bullets(items, "checks"),
        _measured(
            page,
            [
                (
                    "difference in height between the finger tips, clutch bolted up",
                    ("at most ", page.limit("finger_height_difference")),
                    "finger_height_difference",
                )
            ],
        ),
    )


def _bearing(page: Page, concentric):
    if page.field_value("action") == "pull":
        return (
            bullets(
                (
                    *_own(page, "bearing"),
                    "A pull bearing is locked into the fingers: pull on it to prove that it holds, by the "
                    "maker's instructions.",
                ),
                "checks",
            ),
        )
    if concentric:
        rows = [
            ("H: block face to the finger tips, clutch bolted up", "-", None),
            ("J: housing face to the bearing, piston fully back", "-", None),
            (
                "D: gap of a bearing without a spring, J and spacer less H",
                (page.limit("fixed_bearing_gap", "low"), " to ", page.limit("fixed_bearing_gap")),
                "fixed_bearing_gap",
            ),
            (
                "how far fitting pushes back a bearing with a spring",
                (page.limit("sprung_bearing_compression", "low"), " to ", page.limit("sprung_bearing_compression")),
                "sprung_bearing_compression",
            ),
        ]
    else:
        rows = [
            (
                "D: free play between bearing and fingers, where the maker wants any",
                (page.limit("bearing_play", "low"), " to ", page.limit("bearing_play")),
                "bearing_play",
            )
        ]
    return (
        bullets(
            (*_own(page, "bearing"), "The bearing slides freely on its sleeve and its face matches the fingers."),
            "checks",
        ),
        _measured(page, rows),
    )


def _bleed(page: Page, cable):
    if cable:
        return (
            bullets(
                (
                    *_own(page, "bleed"),
                    "Cable run without sharp bends, free of rust; set its play by the maker's instructions.",
                ),
                "checks",
            ),
        )
    return (
        bullets(
            (
                *_own(page, "bleed"),
                "Press the pedal gently at first: a concentric cylinder without load can leave its seal."
                if page.fact_value("release_actuation") == "concentric"
                else "No leak at master, hose and slave with the pedal held down.",
            ),
            "checks",
        ),
    )


def _pedal(page: Page):
    return (
        bullets(
            (
                *_own(page, "pedal"),
                "On stands, wheels chocked, nobody under the car while the engine can start.",
                "The engine starts only with the pedal down where the car has a start switch; it must still do so.",
            ),
            "checks",
        ),
        table(
            "Pedal travel from rest",
            ("what", "reading"),
            [
                (what, Blank(f"pedal travel, {what}", "mm"))
                for what in ("free travel, until it stiffens", "clean release", "stop, where one is set", "floor")
            ],
        ),
    )


def _first_start(page: Page):
    return (
        bullets(
            (
                *_own(page, "first-start"),
                "Housing closed, every bolt in, tools out; gear lever in neutral, wheels off the ground or chocked.",
                "Start, pedal up, at idle: listen. Press the pedal slowly: no scrape, no change of engine note "
                "beyond a little.",
                "Nobody stands in the plane of the clutch when it is first revved; rev gently.",
                "Select reverse from rest: it goes in without a graunch.",
            ),
            "checks",
        ),
    )


def _bedding(page: Page):
    texts = [
        page.name(item.text, "setup", "bedding_in", place, "text")
        for place, item in enumerate(page.record.setup.bedding_in)
    ]
    return (
        bullets(
            (*_own(page, "bedding"), *texts, "Give the customer the bedding-in log and say why it matters."), "checks"
        ),
        _measured(
            page,
            [
                (
                    "end float of the crankshaft after bedding in, the same way as before",
                    ("grown by at most ", page.limit("end_float_growth")),
                    "end_float_growth",
                )
            ],
        ),
    )
