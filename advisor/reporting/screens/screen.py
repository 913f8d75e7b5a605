"""One screen for the phone: what to sell, why, what is next to it, what goes in with it, what to say."""

from ...explaining.beside import in_stock, kind_down, why_behind
from ...explaining.declined import no_kit_lines, not_on_file
from ...explaining.span_told import span_sentences
from ...explaining.view import View
from ...knowledge.sentences import wrap

INVENTED = "Invented shop, invented cars and kits: a demonstration."


def screen(made, wording, width=80, full=False):
    """The screen for one decision record, ``width`` columns wide at most; ``full`` with all that goes with the kit."""
    view = View(made, wording)
    lines = _head(view, width)
    if view.made["outcome"] == "recommended":
        lines += _pick(view, width) + _neighbours(view, width) + _setup(view, width, full)
        lines += _given_up(view, width)
        lines += _span(view, width)
    elif view.made["outcome"] == "need_more_answers":
        lines += _asks(view, width) + _span(view, width)
    else:
        lines += _span(view, width) + _no_kit(view, width)
    lines += _cautions(view, width) + _assumed(view, width) + _denials(view, width)
    return "\n".join(lines) + "\n"


def _block(title, entries, width):
    """A heading and entries under it, each wrapped with a hanging indent."""
    return ["", title, *(wrap(entry, width, "  ", "    ") for entry in entries)] if entries else []


def _head(view, width):
    case = view.made["case"]
    car = view.wording.title(case["platform"]) if case["platform"] else not_on_file(view.made)
    lines = [wrap(f"{car}, case {case['id']}", width)]
    if case["invented"]:
        lines.append(wrap(INVENTED, width))
    return lines


def _stock(fields):
    stock = fields.get("stock")
    if stock:
        return f"{stock:.0f} in stock"
    lead = fields.get("lead_time_days")
    return f"not in stock, {lead:.0f} days" if lead else "not in stock"


def _pick(view, width):
    kit = view.kits[view.pick]
    fields = view.wording.records[kit["id"]].fields
    figures = kit["figures"]
    currency = fields.get("currency", "")
    factory = fields.get("factory")
    told = "No upgrade is needed: the factory clutch is enough." if factory else "The least clutch that does the job:"
    lines = ["", wrap(told, width), wrap(view.wording.title(kit["id"]), width, "  ", "    ")]
    price = f"{kit['id']}: {view.wording.money(fields.get('price'), currency)}"
    total = figures.get("total_price")
    if total is not None and total != fields.get("price"):
        price += f", {view.wording.money(total, currency)} with what must go with it"
    lines.append(wrap(f"{price}; {_stock(fields)}.", width, "  ", "    "))
    lines += _block("Why this one", [_reason(view, reason) for reason in view.made["pick"]["because"]], width)
    feel = []
    for name in ("holding_margin", "holding_probability", "pedal_force_n", "take_up_window_mm", "thrust_pressure_mpa"):
        if name in figures:
            feel.append(f"{view.wording.label(name)} {view.wording.value(name, figures[name])}")
    return lines + _block("In figures", ["; ".join(feel) + "."], width)


def _reason(view, reason):
    requirement = view.requirements[reason["requirement"]]
    sentence = view.sentence(requirement["rule"])
    if requirement["source"] == "figure" and reason["actual"] is not None:
        return f"{sentence} It has {view.wording.value(requirement['measure'], reason['actual'])}."
    return sentence


def _neighbours(view, width):
    lines = []
    down, up = view.made["next_down"], view.made["next_up"]
    if down:
        entries = [view.failure(failed) + "." for failed in down["fails"][:3]]
        if len(down["fails"]) > 3:
            entries.append(f"and {len(down['fails']) - 3} more; see --full.")
        which = kind_down(down.get("before_by"))
        lines += _block(f"Why not the {which}, {view.wording.title(down['kit'])} ({down['kit']})", entries, width)
        lines[1] = wrap(lines[1], width, "", "  ")
    if up:
        changes = [f"{view.wording.label(one['figure'])} {view.wording.step(one['figure'], one['pick'], one['kit'])}" for one in up["adds"]]
        head = wrap(f"One step up, {view.wording.title(up['kit'])} ({up['kit']})", width, "", "  ")
        lines += ["", head, wrap("; ".join(changes) + ".", width, "  ", "    ")]
    return lines + _block("Nearly the same", [_near(near, view.wording) for near in view.made.get("near_equals", ())], width)


def _near(near, wording):
    told = [one for one in near["differences"] if wording.value(one["figure"], one["pick"]) != wording.value(one["figure"], one["kit"])]
    changes = [f"{wording.label(one['figure'])} {wording.step(one['figure'], one['pick'], one['kit'])}" for one in told]
    return f"{wording.title(near['kit'])} ({near['kit']}): {'; '.join([*changes, in_stock(near, 'kit')])}. {why_behind(near)}"


def _setup(view, width, full):
    setup = view.made["setup"]
    required = [part for part in setup["parts"] if part["level"] == "required"]
    lines = _block("Must go with it", [_part(part, view) for part in required], width)
    others = (("check", "Check, and replace unless like new"), ("optional", "Worth having"))
    done = [one for kind in ("measurements", "steps") for one in setup[kind] if one["level"] == "required"]
    who = [f"{one['who'].replace('_', ' ')}: {one['text']}" for one in setup["fitted_by"]]
    bedding = [one["text"] for one in setup["bedding_in"]]
    if full:
        for level, head in others:
            lines += _block(head, [_part(part, view) for part in setup["parts"] if part["level"] == level], width)
        lines += _block("Must be done", [one["text"] for one in done], width)
        return lines + _block("Bedding in", bedding, width) + _block("Who fits it", who, width)
    told = []
    for level, head in others:
        kinds = dict.fromkeys(part["kind"].replace("_", " ") for part in setup["parts"] if part["level"] == level)
        if kinds:
            told.append(f"{head}: {', '.join(kinds)}.")
    if done:
        told.append(f"{len(done)} measurements and steps for the fitter; --full lists them.")
    return lines + _block("With the fitting", told + bedding + who, width)


def _part(part, view):
    if part["part"] is None:
        return f"{part['kind'].replace('_', ' ')}: {part['text']} None on file for this car: ask."
    stock = f"{part['stock']:.0f} in stock" if part["stock"] else "not in stock"
    return f"{part['title']} ({part['part']}), {view.wording.money(part['price'], part['currency'])}, {stock}. {part['text']}"


def _given_up(view, width):
    given = [view.failure(one) + "." for one in view.made["pick"]["given_up"]]
    return _block("Given up", given or ["Nothing."], width)


def _asks(view, width):
    lines = ["", wrap("Needs more answers before anything can be sold:", width)]
    for name in view.made["asks"]:
        question = view.knowledge.questions.get(name)
        lines.append(wrap(question.plain if question else view.wording.label(name), width, "  ", "    "))
    return lines


def _no_kit(view, width):
    lines = ["", *(wrap(one, width) for one in no_kit_lines(view.made))]
    for number, conflict in enumerate(view.made["no_fit"]["conflicts"][:3], 1):
        entries = [_demand(view, name) for name in conflict]
        lines += _block(f"Cannot be had together ({number})" if len(conflict) > 1 else f"Cannot be had ({number})", entries, width)
    changes = [change["sentence"] for change in view.made["no_fit"]["changes"][:4]]
    lines += _block("What would have to change", changes, width)
    near = [_correction(view, one) for one in view.made["no_fit"]["corrections"][:3]]
    lines += _block("Nearest kits", near, width)
    car = [f"The record of this car lacks the {view.wording.label(name)}." for name in view.made["not_on_file"][:5]]
    lines += _block("Look up for this car", car, width)
    maker = [f"{one['kit']}: {view.wording.label(one['field'])}" for one in view.made["ask_maker"][:5]]
    return lines + _block("Ask the maker", maker, width)


def _span(view, width):
    return _block("How far it may lie", span_sentences(view.made["span"], view.wording, view.pick), width)


def _demand(view, name):
    requirement = view.requirements[name]
    return f"{view.wording.label(requirement['measure'])}: {view.needed(requirement)}."


def _correction(view, one):
    kit = view.kits[one["kits"][0]]
    failed = [view.failure(entry) for entry in kit["failed"] + kit["unknown"]]
    return f"{view.wording.title(kit['id'])} ({kit['id']}) would do but for this. " + "; ".join(failed) + "."


def _cautions(view, width):
    return _block("Cautions", [caution["text"] for caution in view.made["cautions"]], width)


def _assumed(view, width):
    told = []
    for one in view.made["assumptions"]:
        if one["matters"]:
            told.append(f"{view.wording.label(one['fact'])}: {view.wording.value(one['fact'], one['value'])}. Ask: another answer changes the advice.")
    return _block("Assumed, and it matters", told, width)


def _denials(view, width):
    told = [
        f"{view.wording.label(one['fact'])}: {view.wording.value(one['fact'], one['answer'])} as answered, "
        f"{view.wording.value(one['fact'], one['platform'])} on file. The answer counts."
        for one in view.made["denials"]
    ]
    return _block("Different from the car on file", told, width)
