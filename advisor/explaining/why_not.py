"""Why not that kit: every must it fails, safety first; the dimension where it does not fit; the step that decided."""

from ..deciding.columns import look_up
from ..deciding.ladder import CAPACITY, HARSHNESS, PEDAL, PRICE, less_than_a_step, step_number
from . import support
from ..knowledge.sentences import aloud, capital, count, joined, sentence
from .layout import block, paragraph, wrap

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


def why_not(view, kit):
    """Why a kit is not the pick, as data.

    {kit, verdict, fits, failed, unknown, step, given_up, next, sentences}: ``failed`` holds every failed must, safety
    first, each enough by itself; ``step`` the one step of the ladder that put the pick before a kit that passes.
    """
    held = view.kits[kit]
    told = {
        "kit": kit,
        "verdict": held["verdict"],
        "fits": held["fits"],
        "failed": _failures(view, held["failed"]),
        "unknown": [_unknown(view, held, entry) for entry in held["unknown"]] if held["unknown"] else [],
        "step": _step(view, kit) if held["verdict"] == "passes" else None,
        "given_up": [one["requirement"] for one in held["given_up"]] if held["given_up"] else [],
    }
    told["sentences"] = _opening(view, told)
    return told


def _failures(view, entries):
    """The failed checks of a kit; many kits fail by the same value, and each such entry is put together once."""
    told, kept = [], view.kept.setdefault("failures", {})
    for entry in entries:
        key = (entry["requirement"], entry["actual"])
        one = kept.get(key)
        if one is None:
            one = _failure(view, entry)
            # A limit that is a field of the kit differs from kit to kit.
            if not isinstance(view.requirements[entry["requirement"]]["limit"], dict):
                kept[key] = one
        told.append(one)
    return told


def _failure(view, entry):
    name, needed, actual = entry["requirement"], entry["needed"], entry["actual"]
    one = view.requirements[name]
    return {
        "requirement": name,
        "measure": one["measure"],
        "needed": needed,
        "actual": actual,
        "safety": one["safety"],
        "dimension": one["topic"] == "fit",
        "near": near(one, needed, actual),
        "rule": one["rule"],
        "answers": behind(view, name),
    }


def behind(view, requirement):
    """Names of the given facts behind a requirement and its limit, nothing superfluous."""
    key = ("behind", requirement)
    if key not in view.kept:
        view.kept[key] = list(support.of_requirement(view, requirement).facts)
    return view.kept[key]


def near(requirement, needed, actual):
    """How near a failed number came: {difference, unit, percent of the limit, side: short or over}; None for others."""
    if actual.__class__ not in (float, int):
        return None
    if requirement["compare"] == "between":
        needed = needed[0] if actual < needed[0] else needed[1]
    if needed.__class__ not in (float, int):
        return None
    difference = round(actual - needed, 9)
    percent = None
    if needed and requirement["unit"] not in NO_PERCENT and not requirement["measure"].endswith("_class"):
        percent = round(100 * abs(difference / needed), 3)
    return {
        "difference": difference,
        "unit": requirement["unit"],
        "percent": percent,
        "side": "short" if difference < 0 else "over",
    }


def _unknown(view, held, entry):
    one = view.requirements[entry["requirement"]]
    return {
        **entry,
        "rule": one["rule"],
        "safety": one["safety"],
        "reason": held["unknown_figures"].get(one["measure"], ""),
        "answers": behind(view, entry["requirement"]),
    }


def ladder_key(view, kit):
    """The ladder key of a kit: pairs (step, value), the first difference decides."""
    lost = view.kits[kit]["concerns"]
    return [*((concern, concern in lost) for concern in view.knowledge.order.concerns), *gentle_key(view, kit)]


def gentle_key(view, kit):
    """The ladder key of a kit without the concerns, as pairs."""
    steps, shown = view.knowledge.order.steps, {name: _or_endless(value) for name, value in _shown(view, kit).items()}
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


def _shown(view, kit):
    """What stands behind each member of the key, as it is told; None where not known."""
    fields = view.fields(kit)
    total = view.figure(kit, PRICE)
    return {
        "harshness": look_up(view.knowledge.order.tables[HARSHNESS], fields),
        "discs": fields.get("discs"),
        "clamp_load": fields.get("clamp_load"),
        "pedal_force": view.figure(kit, PEDAL),
        "price": fields.get("price") if total is None else total,
        "stock": fields.get("stock") or 0.0,
        "capacity": view.figure(kit, CAPACITY),
        "id": kit,
    }


def is_gentler(view, kit):
    """Whether a kit that stands before the pick, wishes aside, does so by something a driver feels."""
    pairs = zip(gentle_key(view, kit), gentle_key(view, view.pick))
    return next((name for (name, other), (_, mine) in pairs if other != mine), "id") in FELT


def _or_endless(value):
    return float("inf") if value is None else value


def _step(view, kit):
    """The first step of the ladder at which the pick stands before a passing kit."""
    key = ("ladder", view.pick)
    if key not in view.kept:
        view.kept[key] = ladder_key(view, view.pick)
    for (name, mine), (_, other) in zip(view.kept[key], ladder_key(view, kit)):
        if mine != other:
            told = {"step": name, "pick": mine, "kit": other}
            if name not in view.knowledge.order.concerns:
                told |= {"pick": _shown(view, view.pick)[name], "kit": _shown(view, kit)[name]}
                told["near"] = _near(view, name, told["pick"], told["kit"])
            else:
                told["lost"] = [one["requirement"] for one in view.kits[kit]["given_up"] if one["concern"] == name]
            return told
    return None


def _near(view, name, mine, other):
    """Whether two values on either side of a step's edge lie less than a step apart."""
    steps = view.knowledge.order.steps
    return name in STEPPED and None not in (mine, other) and less_than_a_step(mine, other, steps[name])


def _opening(view, told):
    title = view.wording.title(told["kit"])
    if told["verdict"] == "picked":
        return [sentence(f"{title} is the pick")]
    if not told["fits"]:
        return [f"{title} does not fit this car."]
    if told["failed"]:
        failed = len(told["failed"])
        enough = "That is enough by itself." if failed == 1 else "Each is enough by itself."
        return [f"{title} fails {count(failed, 'requirement')}.", enough]
    if told["verdict"] == "unjudged":
        return [
            sentence(f"{title} cannot be judged"),
            f"{capital(count(len(told['unknown']), 'thing'))} about it is not known."
            if len(told["unknown"]) == 1
            else f"{len(told['unknown'])} things about it are not known.",
        ]
    return [
        sentence(f"{title} would do the job"),
        "The pick stands before it on the ladder.",
        *(sentence(one) for one in _because_of(view, told["step"])),
    ]


def _because_of(view, step):
    if "lost" in step:
        return (f"The pick gives up nothing about {step['step'].replace('_', ' ')}",)
    edge = ("They lie less than a step apart, on either side of its edge",) if step["near"] else ()
    return *STEPS[step["step"]], *edge


def failure_sentences(view, one):
    """One failed must as sentences: what is needed, what it has, how near it came, and the reason."""
    requirement = view.requirements[one["requirement"]]
    wording, measure = view.wording, requirement["measure"]
    told = [
        sentence(wording.demand(requirement["compare"], measure, one["needed"], one["actual"])),
        sentence(wording.has(measure, one["actual"], one["needed"]) + _how_near(one["near"], measure, wording)),
    ]
    if one["safety"]:
        told.insert(0, "This is about safety.")
    return told + aloud(view.because(one["rule"]))


def _how_near(held, measure, wording):
    if held is None:
        return ""
    side = "too little" if held["side"] == "short" else "too much"
    if measure.endswith("_class"):
        return f", {count(round(abs(held['difference'])), 'class', 'classes')} {side}"
    if held["percent"] is None:
        unit = "K" if held["unit"] in NO_PERCENT else held["unit"]
        return f", {wording.number(abs(held['difference']), unit)} {side}"
    shown = (
        "less than 0.1"
        if held["percent"] < 0.1
        else f"{held['percent']:.3g}"
        if held["percent"] < 10
        else f"{held['percent']:.0f}"
    )
    return f", {shown} % {side}"


def step_sentences(view, told):
    """The step of the ladder that decided, with both values."""
    step, wording = told["step"], view.wording
    if "lost" in step:
        said = []
        for name in step["lost"]:
            one = next(one for one in view.kits[told["kit"]]["given_up"] if one["requirement"] == name)
            requirement = view.requirements[name]
            needed = wording.needed(requirement["compare"], requirement["measure"], one["needed"], one["actual"])
            said.append(sentence(f"{wording.label(requirement['measure'])}: {needed} is wished"))
            said.append(sentence(wording.has(requirement["measure"], one["actual"], one["needed"])))
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


def why_not_lines(view, told, width=80, plain=None, full=False):
    """The data of `why_not` as lines. ``full``: what every requirement rests on, too."""
    lines = [paragraph(told["sentences"], width)]
    failed = [one for one in told["failed"] if one["dimension"]] if not told["fits"] else told["failed"]
    for one in failed:
        sentences = failure_sentences(view, one)
        lines += ["", wrap(" ".join(sentences), width, "  ", "  ")]
        lines += _rests_on(view, one, width, full)
        lines += _explained(plain, sentences, width)
    for one in told["unknown"] if told["fits"] else ():
        lines += ["", *_unknown_lines(view, one, width)]
    if told["step"]:
        lines += [paragraph(step_sentences(view, told), width, "  ")]
    return lines


def _unknown_lines(view, one, width):
    requirement = view.requirements[one["requirement"]]
    label = view.wording.label(requirement["measure"])
    text = sentence(
        f"{label}: {view.wording.needed(requirement['compare'], requirement['measure'], one['needed'])} is needed"
    )
    text += f" This kit's is not known. {' '.join(aloud(view.because(one['rule'])))}"
    return [wrap(text, width, "  ", "  ")]


def _rests_on(view, one, width, full):
    if not one["answers"]:
        return []
    shown = (
        one["answers"]
        if full
        else [name for name in one["answers"] if view.facts[name]["origin"] not in ("platform", "factory_kit")]
    )
    told = [view.fact_text(name) for name in shown]
    rest = len(one["answers"]) - len(shown)
    if rest:
        told.append(f"and {count(rest, 'figure')} on file for the car")
    return [wrap("Behind it: " + "; ".join(told) + ".", width, "    ", "    ")]


def _explained(plain, sentences, width):
    words = plain.after(sentences) if plain else []
    return [wrap(" ".join(words), width, "    ", "    ")] if words else []


def others_lines(view, kits, width):
    """One line for each other kit a description means."""
    told = []
    for kit in kits:
        held = view.kits[kit]
        labels = joined(
            [view.wording.label(view.requirements[one["requirement"]]["measure"]) for one in held["failed"][:3]]
        )
        fate = {
            "picked": "the pick",
            "passes": "would do, stands behind the pick",
            "unjudged": "cannot be judged",
        }.get(held["verdict"])
        told.append(f"{view.wording.title(kit)} ({kit}): {fate or f'fails {labels}'}.")
    return block("Others so described", told, width)
