"""One screen for the phone: what to sell, why, what is next to it, what goes in with it, what to say."""

from .words import Words, wrap

__all__ = ["Words", "screen"]

INVENTED = "Invented shop, invented cars and kits: a demonstration."


def screen(made, words, width=80, full=False):
    """The screen for one decision record, ``width`` columns wide at most; ``full`` with all that goes with the kit."""
    lines = _head(made, words, width)
    if made["outcome"] == "recommended":
        lines += _pick(made, words, width) + _neighbours(made, words, width) + _setup(made, words, width, full)
        lines += _given_up(made, words, width)
    elif made["outcome"] == "need_more_answers":
        lines += _asks(made, words, width)
    else:
        lines += _no_kit(made, words, width)
    lines += _cautions(made, width) + _assumed(made, words, width) + _denials(made, words, width)
    return "\n".join(lines) + "\n"


def _block(title, entries, width):
    """A heading and entries under it, each wrapped with a hanging indent."""
    return ["", title, *(wrap(entry, width, "  ", "    ") for entry in entries)] if entries else []


def _head(made, words, width):
    case = made["case"]
    car = words.title(case["platform"]) if case["platform"] else "a car that is not on file"
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


def _pick(made, words, width):
    kit = next(kit for kit in made["kits"] if kit["verdict"] == "picked")
    fields = words.records[kit["id"]].fields
    figures = kit["figures"]
    currency = fields.get("currency", "")
    factory = fields.get("factory")
    told = "No upgrade is needed: the factory clutch is enough." if factory else "The least clutch that does the job:"
    lines = ["", wrap(told, width), wrap(words.title(kit["id"]), width, "  ", "    ")]
    price = f"{kit['id']}: {words.money(fields.get('price'), currency)}"
    total = figures.get("total_price")
    if total is not None and total != fields.get("price"):
        price += f", {words.money(total, currency)} with what must go with it"
    lines.append(wrap(f"{price}; {_stock(fields)}.", width, "  ", "    "))
    lines += _block("Why this one", [_reason(made, words, reason) for reason in made["pick"]["because"]], width)
    feel = []
    for name in ("holding_margin", "holding_probability", "pedal_force_n", "take_up_window_mm", "thrust_pressure_mpa"):
        if name in figures:
            feel.append(f"{words.label(name)} {words.value(name, figures[name])}")
    return lines + _block("In figures", ["; ".join(feel) + "."], width)


def _reason(made, words, reason):
    requirement = next(one for one in made["requirements"] if one["id"] == reason["requirement"])
    sentence = words.sentence(made, requirement["rule"])
    if requirement["source"] == "figure" and reason["actual"] is not None:
        return f"{sentence} It has {words.value(requirement['measure'], reason['actual'])}."
    return sentence


def _neighbours(made, words, width):
    lines = []
    down, up = made["next_down"], made["next_up"]
    if down:
        entries = [words.failure(made, failed) + "." for failed in down["fails"][:3]]
        if len(down["fails"]) > 3:
            entries.append(f"and {len(down['fails']) - 3} more; see --full.")
        lines += _block(f"Why not the gentler one, {words.title(down['kit'])} ({down['kit']})", entries, width)
        lines[1] = wrap(lines[1], width, "", "  ")
    if up:
        changes = [f"{words.label(one['figure'])} {_signed(words, one)}" for one in up["adds"]]
        head = wrap(f"One step up, {words.title(up['kit'])} ({up['kit']})", width, "", "  ")
        lines += ["", head, wrap("; ".join(changes) + ".", width, "  ", "    ")]
    return lines


def _signed(words, one):
    if one["figure"] == "total_price":
        return f"{one['difference']:+,.2f}"
    if one["figure"].endswith("_class"):
        return f"{one['pick']:.0f} to {one['kit']:.0f}"
    sign = "+" if one["difference"] > 0 else "-"
    return sign + words.value(one["figure"], abs(one["difference"]))


def _setup(made, words, width, full):
    setup = made["setup"]
    required = [part for part in setup["parts"] if part["level"] == "required"]
    lines = _block("Must go with it", [_part(part, words) for part in required], width)
    others = (("check", "Check, and replace unless like new"), ("optional", "Worth having"))
    done = [one for kind in ("measurements", "steps") for one in setup[kind] if one["level"] == "required"]
    who = [f"{one['who'].replace('_', ' ')}: {one['text']}" for one in setup["fitted_by"]]
    bedding = [one["text"] for one in setup["bedding_in"]]
    if full:
        for level, head in others:
            lines += _block(head, [_part(part, words) for part in setup["parts"] if part["level"] == level], width)
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


def _part(part, words):
    if part["part"] is None:
        return f"{part['kind'].replace('_', ' ')}: {part['text']} None on file for this car: ask."
    stock = f"{part['stock']:.0f} in stock" if part["stock"] else "not in stock"
    return f"{part['title']} ({part['part']}), {words.money(part['price'], part['currency'])}, {stock}. {part['text']}"


def _given_up(made, words, width):
    given = [words.failure(made, one) + "." for one in made["pick"]["given_up"]]
    return _block("Given up", given or ["Nothing."], width)


def _asks(made, words, width):
    lines = ["", wrap("Needs more answers before anything can be sold:", width)]
    for name in made["asks"]:
        question = words.knowledge.questions.get(name)
        lines.append(wrap(question.plain if question else words.label(name), width, "  ", "    "))
    return lines


def _no_kit(made, words, width):
    lines = ["", wrap("No kit on file fits this case. Ask the shop lead.", width)]
    for number, conflict in enumerate(made["no_fit"]["conflicts"][:3], 1):
        entries = [_demand(made, words, name) for name in conflict]
        lines += _block(f"Cannot be had together ({number})" if len(conflict) > 1 else f"Cannot be had ({number})", entries, width)
    changes = [change["sentence"] for change in made["no_fit"]["changes"][:4]]
    lines += _block("What would have to change", changes, width)
    near = [_correction(made, words, one) for one in made["no_fit"]["corrections"][:3]]
    lines += _block("Nearest kits", near, width)
    maker = [f"{one['kit']}: {words.label(one['field'])}" for one in made["ask_maker"][:5]]
    return lines + _block("Ask the maker", maker, width)


def _demand(made, words, name):
    requirement = next(one for one in made["requirements"] if one["id"] == name)
    return f"{words.label(requirement['measure'])}: {words.needed(requirement, requirement['limit'])}."


def _correction(made, words, one):
    kit = next(kit for kit in made["kits"] if kit["id"] == one["kits"][0])
    failed = [words.failure(made, entry) for entry in kit["failed"] + kit["unknown"]]
    return f"{words.title(kit['id'])} ({kit['id']}) would do but for this. " + "; ".join(failed) + "."


def _cautions(made, width):
    return _block("Cautions", [caution["text"] for caution in made["cautions"]], width)


def _assumed(made, words, width):
    told = []
    for one in made["assumptions"]:
        if one["matters"]:
            told.append(f"{words.label(one['fact'])}: {words.value(one['fact'], one['value'])}. Ask: another answer changes the advice.")
    return _block("Assumed, and it matters", told, width)


def _denials(made, words, width):
    told = [
        f"{words.label(one['fact'])}: {words.value(one['fact'], one['answer'])} as answered, "
        f"{words.value(one['fact'], one['platform'])} on file. The answer counts."
        for one in made["denials"]
    ]
    return _block("Different from the car on file", told, width)
