"""Why not that kit: every must it fails, safety first; the dimension where it does not fit; the step that decided."""

from collections.abc import Iterable
from typing import Any

from ..deciding.kit_columns import look_up
from ..deciding.ladder import CAPACITY, HARSHNESS, PEDAL, PRICE, less_than_a_step, step_number
from ..deciding.recorded_rules import PostedRequirement
from ..knowledge.sentences import aloud, capital, count, joined, sentence
from ..knowledge.wording import Wording
from .layout import block, paragraph, wrap
from .spoken_reasons import ABOUT
from .stand_ins_told import stand_in_sentences
from .trade_words import PlainWords
from .worded import WordedRecord

#: Units in which a percentage of a value means nothing.
NO_PERCENT = ("degC", "degF", "K")
STEPS = {
    "harshness": ("The pick is gentler to live with",),
    "discs": ("The pick has fewer discs",),
    "clamp_load": ("The pick stands a step lower in clamp load",),
    "pedal_force": ("In clamp load a driver feels no difference", "The pick's pedal stands a step lower"),
    "price": ("In clamp load and pedal a driver feels no difference", "The pick costs less"),
    "stock": ("A driver feels no difference, and both cost the same", "The pick is on the shelf"),
    "capacity": (
        "A driver feels no difference, and both cost the same",
        "The pick holds less torque bedded in, so no more than is needed",
    ),
    "id": ("Nothing tells them apart, so the id that comes first decides",),
}
#: Members of the key that a driver feels; the others are what is paid and what is on the shelf.
FELT = ("harshness", "discs", "clamp_load", "pedal_force")
#: Steps of the ladder that have edges: kits just beside one may lie less than a step apart.
STEPPED = {"clamp_load": "clamp_load", "pedal_force": PEDAL}


def why_not(worded: WordedRecord, kit: str) -> dict[str, Any]:
    """Why a kit is not the pick, as data.

    {kit, verdict, fits, failed, unknown, step, given_up, stand_ins, sentences}: ``failed`` holds every failed must,
    safety first, each enough by itself; ``step`` the one step of the ladder that put the pick before a kit that passes.
    """
    held = worded.kits[kit]
    data = {
        "kit": kit,
        "verdict": held.verdict,
        "fits": held.fits,
        "failed": _failures(worded, held.failed),
        "unknown": [_unknown(worded, held, check) for check in held.unknown],
        "step": _step(worded, kit) if held.verdict == "passes" else None,
        "given_up": [check.requirement for check in held.given_up],
        "stand_ins": stand_in_sentences(held.stand_ins, worded.wording),
    }
    data["sentences"] = _opening(worded, data)
    return data


def _failures(worded: WordedRecord, checks):
    """The failed checks of a kit; many kits fail by the same value, and each such entry is put together once."""
    failures, kept = [], worded.kept.setdefault("failures", {})
    for check in checks:
        key = (check.requirement, check.actual)
        failure = kept.get(key)
        if failure is None:
            failure = _failure(worded, check)
            # A limit that is a field of the kit differs from kit to kit.
            if worded.requirements[check.requirement].kit_field is None:
                kept[key] = failure
        failures.append(failure)
    return failures


def _failure(worded: WordedRecord, check):
    posted = worded.requirements[check.requirement]
    return {
        "requirement": posted.id,
        "measure": posted.measure,
        "needed": check.needed,
        "actual": check.actual,
        "safety": posted.safety,
        "dimension": posted.topic == "fit",
        "near": near(posted, check.needed, check.actual),
        "rule": posted.rule,
        "answers": behind(worded, posted.id),
    }


def behind(worded: WordedRecord, requirement: str) -> list[str]:
    """Names of the given facts behind a requirement and its limit, nothing superfluous."""
    key = ("behind", requirement)
    if key not in worded.kept:
        worded.kept[key] = list(worded.provenance.of_requirement(requirement).facts)
    return worded.kept[key]


def near(posted: PostedRequirement, needed: Any, actual: Any) -> dict[str, Any] | None:
    """How near a failed number came: {difference, unit, percent of the limit, side: short or over}; None for others."""
    if actual.__class__ not in (float, int):
        return None
    if posted.compare == "between":
        needed = needed[0] if actual < needed[0] else needed[1]
    if needed.__class__ not in (float, int):
        return None
    difference = round(actual - needed, 9)
    percent = None
    if needed and posted.unit not in NO_PERCENT and not posted.measure.endswith("_class"):
        percent = round(100 * abs(difference / needed), 3)
    return {
        "difference": difference,
        "unit": posted.unit,
        "percent": percent,
        "side": "short" if difference < 0 else "over",
    }


def _unknown(worded: WordedRecord, held, check):
    posted = worded.requirements[check.requirement]
    return {
        **check.as_data(),
        "rule": posted.rule,
        "safety": posted.safety,
        "reason": held.unknown_figures.get(posted.measure, ""),
        "lacks": [{"of": lack.of, "field": lack.field} for lack in check.lacks],
        "told": worded.has(check),
        "answers": behind(worded, posted.id),
    }


def ladder_key(worded: WordedRecord, kit: str) -> list[tuple[str, Any]]:
    """The ladder key of a kit: pairs (step, value), the first difference decides."""
    lost = worded.kits[kit].concerns
    return [*((concern, concern in lost) for concern in worded.knowledge.order.concerns), *gentle_key(worded, kit)]


def gentle_key(worded: WordedRecord, kit: str) -> list[tuple[str, Any]]:
    """The ladder key of a kit without the concerns, as pairs."""
    steps = worded.knowledge.order.steps
    shown = {name: _or_endless(value) for name, value in _shown(worded, kit).items()}
    return [
        ("harshness", shown["harshness"]),
        ("discs", shown["discs"]),
        ("clamp_load", float(step_number(shown["clamp_load"], steps["clamp_load"]))),
        ("pedal_force", float(step_number(shown["pedal_force"], steps["pedal_force"]))),
        ("price", shown["price"]),
        ("stock", not shown["stock"]),
        ("capacity", shown["capacity"]),
        ("id", kit),
    ]


def _shown(worded: WordedRecord, kit: str):
    """What stands behind each member of the key, as it is told; None where not known."""
    fields = worded.fields(kit)
    total = worded.record.figure(kit, PRICE)
    return {
        "harshness": look_up(worded.knowledge.order.tables[HARSHNESS], fields),
        "discs": fields.get("discs"),
        "clamp_load": fields.get("clamp_load"),
        "pedal_force": worded.record.figure(kit, PEDAL),
        "price": fields.get("price") if total is None else total,
        "stock": fields.get("stock") or 0.0,
        "capacity": worded.record.figure(kit, CAPACITY),
        "id": kit,
    }


def is_gentler(worded: WordedRecord, kit: str) -> bool:
    """Whether a kit that stands before the pick, wishes aside, does so by something a driver feels."""
    pairs = zip(gentle_key(worded, kit), gentle_key(worded, worded.picked))
    return next((name for (name, other), (_, mine) in pairs if other != mine), "id") in FELT


def _or_endless(value):
    return float("inf") if value is None else value


def _step(worded: WordedRecord, kit: str):
    """The first step of the ladder at which the pick stands before a passing kit."""
    key = ("ladder", worded.pick)
    if key not in worded.kept:
        worded.kept[key] = ladder_key(worded, worded.picked)
    for (name, mine), (_, other) in zip(worded.kept[key], ladder_key(worded, kit)):
        if mine != other:
            step_data = {"step": name, "pick": mine, "kit": other}
            if name not in worded.knowledge.order.concerns:
                step_data |= {"pick": _shown(worded, worded.picked)[name], "kit": _shown(worded, kit)[name]}
                step_data["near"] = _near(worded, name, step_data["pick"], step_data["kit"])
            else:
                step_data["lost"] = [check.requirement for check in worded.kits[kit].given_up if check.concern == name]
            return step_data
    return None


def _near(worded: WordedRecord, name, mine, other):
    """Whether two values on either side of a step's edge lie less than a step apart."""
    steps = worded.knowledge.order.steps
    return name in STEPPED and None not in (mine, other) and less_than_a_step(mine, other, steps[name])


def _opening(worded: WordedRecord, data):
    title = worded.wording.title(data["kit"])
    if data["verdict"] == "picked":
        return [sentence(f"{title} is the pick")]
    if not data["fits"]:
        return [f"{title} does not fit this car."]
    if data["failed"]:
        failed = len(data["failed"])
        enough = "That is enough by itself." if failed == 1 else "Each is enough by itself."
        return [f"{title} fails {count(failed, 'requirement')}.", enough]
    if data["verdict"] == "unjudged":
        return [
            sentence(f"{title} cannot be judged"),
            f"{capital(count(len(data['unknown']), 'thing'))} about it is not known."
            if len(data["unknown"]) == 1
            else f"{len(data['unknown'])} things about it are not known.",
        ]
    return [
        sentence(f"{title} would do the job"),
        "The pick stands before it on the ladder.",
        *(sentence(text) for text in _because_of(worded, data["step"])),
    ]


def _because_of(worded: WordedRecord, step):
    if "lost" in step:
        return (f"The pick gives up nothing about {ABOUT.get(step['step'], step['step'])}",)
    edge = ("They lie less than a step apart, on either side of its edge",) if step["near"] else ()
    return *STEPS[step["step"]], *edge


def failure_sentences(worded: WordedRecord, failure: dict[str, Any]) -> list[str]:
    """One failed must as sentences: what is needed, what it has, how near it came, and the reason."""
    requirement = worded.requirements[failure["requirement"]]
    wording, measure = worded.wording, requirement.measure
    sentences = [
        sentence(wording.demand(requirement.compare, measure, failure["needed"], failure["actual"])),
        sentence(
            wording.has(measure, failure["actual"], failure["needed"]) + _how_near(failure["near"], measure, wording)
        ),
    ]
    if failure["safety"]:
        sentences.insert(0, "This is about safety.")
    return sentences + aloud(worded.because(failure["rule"]))


def _how_near(near_by, measure, wording: Wording):
    if near_by is None:
        return ""
    side = "too little" if near_by["side"] == "short" else "too much"
    if measure.endswith("_class"):
        return f", {count(round(abs(near_by['difference'])), 'class', 'classes')} {side}"
    if near_by["percent"] is None:
        unit = "K" if near_by["unit"] in NO_PERCENT else near_by["unit"]
        return f", {wording.number(abs(near_by['difference']), unit)} {side}"
    shown = (
        "less than 0.1"
        if near_by["percent"] < 0.1
        else f"{near_by['percent']:.3g}"
        if near_by["percent"] < 10
        else f"{near_by['percent']:.0f}"
    )
    return f", {shown} % {side}"


def step_sentences(worded: WordedRecord, data: dict[str, Any]) -> list[str]:
    """The step of the ladder that decided, with both values."""
    step, wording = data["step"], worded.wording
    if "lost" in step:
        said = []
        for name in step["lost"]:
            check = next(check for check in worded.kits[data["kit"]].given_up if check.requirement == name)
            said += [sentence(worded.demand(check)), sentence(worded.has(check))]
        return said
    names = {
        HARSHNESS: "harshness_class",
        "discs": "discs",
        **STEPPED,
        "price": PRICE,
        "stock": "stock",
        "capacity": CAPACITY,
    }
    if step["step"] not in names:
        return ["Nothing else tells them apart."]
    name = names[step["step"]]
    mine, other = wording.pair(name, step["pick"], step["kit"])
    return [sentence(f"{wording.label(name)}: {mine} with the pick, {other} with this kit")]


def why_not_lines(
    worded: WordedRecord, data: dict[str, Any], width: int = 80, plain: PlainWords | None = None, full: bool = False
) -> list[str]:
    """The data of `why_not` as lines. ``full``: what every requirement rests on, too."""
    lines = [paragraph(data["sentences"], width)]
    failed = [verdict for verdict in data["failed"] if verdict["dimension"]] if not data["fits"] else data["failed"]
    for verdict in failed:
        sentences = failure_sentences(worded, verdict)
        lines += ["", wrap(" ".join(sentences), width, "  ", "  ")]
        lines += _rests_on(worded, verdict, width, full)
        lines += _explained(plain, sentences, width)
    for open_check in data["unknown"] if data["fits"] else ():
        lines += ["", *_unknown_lines(worded, open_check, width)]
    if data["step"]:
        lines += [paragraph(step_sentences(worded, data), width, "  ")]
    return lines + block("Taken, because it is not on file", data["stand_ins"], width)


def _unknown_lines(worded: WordedRecord, open_check, width: int):
    requirement = worded.requirements[open_check["requirement"]]
    text = sentence(worded.wording.demand(requirement.compare, requirement.measure, open_check["needed"]))
    text += f" {sentence(open_check['told'])} {' '.join(aloud(worded.because(open_check['rule'])))}"
    return [wrap(text, width, "  ", "  ")]


def _rests_on(worded: WordedRecord, failure, width: int, full):
    if not failure["answers"]:
        return []
    shown = (
        failure["answers"]
        if full
        else [
            name for name in failure["answers"] if worded.record.facts[name].origin not in ("platform", "factory_kit")
        ]
    )
    facts_told = [worded.fact_text(name) for name in shown]
    rest = len(failure["answers"]) - len(shown)
    if rest:
        facts_told.append(f"and {count(rest, 'figure')} on file for the car")
    return [wrap("Behind it: " + "; ".join(facts_told) + ".", width, "    ", "    ")]


def _explained(plain: PlainWords | None, sentences, width: int):
    words = plain.after(sentences) if plain else []
    return [wrap(" ".join(words), width, "    ", "    ")] if words else []


def others_lines(worded: WordedRecord, kits: Iterable[str], width: int) -> list[str]:
    """One line for each other kit a description means."""
    other_lines = []
    for kit in kits:
        other_lines.append(f"{worded.wording.title(kit)} ({kit}): {fate(worded, kit)}.")
    return block("Others so described", other_lines, width)


def fate(worded: WordedRecord, kit: str) -> str:
    """What became of a kit, in a few words: "fails noise class and pedal force"."""
    held = worded.kits[kit]
    measures = [worded.wording.label(worded.requirements[check.requirement].measure) for check in held.failed[:3]]
    fates = {"picked": "the pick", "passes": "would do, stands behind the pick", "unjudged": "cannot be judged"}
    return fates.get(held.verdict) or f"fails {joined(measures)}"
