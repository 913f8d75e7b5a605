"""Why this kit: one sentence for each requirement that decided, then its conditions, then the whole derivation."""

from ..deciding.upstream import limit_facts
from . import support
from ..knowledge.sentences import aloud, capital, count, joined, sentence
from .layout import block, paragraph, title_lines, wrap
from .no_fit import no_fit, no_fit_lines
from .sureness import sureness, sureness_lines
from .tracing import trace
from .why_not import is_gentler

DEPTHS = (1, 2, 3)


def why(view, depth=1, requirements=()):
    """Why the pick, as data: {outcome, pick, decisive: [...], given_up, sure, ...}, deeper with ``depth``.

    ``requirements``: ids to explain in place of the decisive ones. Where no kit is picked: why not, and what to ask.
    """
    made = view.made
    told = {
        "outcome": made["outcome"],
        "pick": view.pick,
        "depth": depth,
        "decisive": [],
        "given_up": [],
        "sentences": [],
    }
    if view.pick is None:
        told["asks"] = [{"fact": name, "question": _question(view, name)} for name in made["asks"]]
        told["no_fit"] = no_fit(view)
        return told
    chosen = requirements or [one["requirement"] for one in made["pick"]["because"]]
    told["sentences"] = _opening(view)
    told["decisive"] = [_decisive(view, name, depth) for name in chosen]
    told["given_up"] = [_given_up(view, one) for one in made["pick"]["given_up"]]
    told["assumed"] = [view.fact_text(one["fact"]) for one in made["assumptions"] if one["matters"]]
    told["sure"] = sureness(view)
    if depth >= 3:
        told["nodes"] = trace(view, view.pick, chosen)
    return told


def _question(view, name):
    question = view.knowledge.questions.get(name)
    return question.plain if question else sentence(view.wording.label(name))


def _opening(view):
    title = view.wording.title(view.pick)
    gentler = [one for one in view.fitting() if one["gentleness"] < view.kits[view.pick]["gentleness"]]
    if view.fields(view.pick).get("factory"):
        first = "No upgrade is needed. The factory clutch is enough."
    else:
        first = f"{title} is the least clutch that does the job."
    if not gentler:
        return [*aloud(first), "No gentler kit on file fits the car."]
    felt = [one for one in gentler if is_gentler(view, one["id"])]
    told = [*aloud(first), *_refused(len(felt), "gentler kit")]
    return told + _refused(len(gentler) - len(felt), "kit that feels the same and costs no more", "kits that feel the same and cost no more")


def _refused(number, one, many=None):
    if not number:
        return []
    return [sentence(f"{capital(count(number, one, many))} {'fits' if number == 1 else 'fit'} the car and {'is' if number == 1 else 'are'} refused")]


def _decisive(view, name, depth):
    one = view.requirements[name]
    wording, measure = view.wording, one["measure"]
    actual = view.fields(view.pick).get(measure) if one["source"] == "kit" else view.figure(view.pick, measure)
    limit = one["limit"] if not isinstance(one["limit"], dict) else view.fields(view.pick).get(one["limit"]["kit"])
    reason = aloud(view.because(one["rule"]))
    refused = [
        kit["id"]
        for kit in view.fitting()
        if kit["gentleness"] < view.kits[view.pick]["gentleness"]
        and name in [failed["requirement"] for failed in kit["failed"] + kit["unknown"] + kit["given_up"]]
    ]
    told = {
        "requirement": name,
        "rule": one["rule"],
        "level": one["level"],
        "safety": one["safety"],
        "measure": measure,
        "compare": one["compare"],
        "needed": limit,
        "actual": actual,
        "refuses": refused,
        "sentences": reason[:1],
    }
    if wording.value(measure, limit) not in reason[0]:
        told["sentences"].append(sentence(wording.demand(one["compare"], measure, limit, actual)))
    told["sentences"].append(sentence(wording.has(measure, actual, limit)))
    if refused:
        felt = all(is_gentler(view, kit) for kit in refused)
        told["sentences"].append(
            sentence(f"That refuses {count(len(refused), 'gentler kit' if felt else 'kit')}{'' if felt else ' before it'}")
        )
    if depth >= 2:
        rule = view.rules[one["rule"]]
        held = support.of_requirement(view, name)
        behind = [
            fact
            for fact in (support.of_figure(view, measure) if one["source"] == "figure" else ())
            if fact not in held.facts
        ]
        told |= {
            "title": rule.title,
            "because": reason,
            "conditions": conditions(view, view.fired[one["rule"]]),
            "limit": [_limit(view, fact) for fact in limit_facts(view.requirement(name))],
            "answers": list(held.facts),
            "answers_of_the_figure": behind,
            "demand_text": wording.demand(one["compare"], measure, limit, actual),
            "actual_text": wording.has(measure, actual, limit),
            "label": wording.label(measure),
        }
    return told


def conditions(view, firing):
    """The conditions under which a rule fired, each with its value, unit and where that came from: list of dicts."""
    rule = view.rules[firing["rule"]]
    told = []
    for condition in [*rule.all, *(rule.any[place] for place in firing["branches"])]:
        name, held = condition.fact, view.facts.get(condition.fact)
        value = firing["facts"].get(name)
        text = f"{view.wording.label(name)}: {view.wording.value(name, value)}"
        compared = _compared(view, condition)
        if compared:
            text += f", {compared}"
        if held is not None:
            text += f" ({view.wording.origin(held['origin'])})"
        told.append(
            {
                "fact": name,
                "test": condition.test,
                "value": value,
                "text": text,
                "origin": held["origin"] if held else ("figure" if value is not None else "not known"),
            }
        )
    return told


def _compared(view, condition):
    """ "above the torque rating of the gearbox, 335 N m": only for comparisons."""
    if condition.test not in ("above", "at_least", "below", "at_most", "between"):
        return ""
    words = {"above": "above", "at_least": "at least", "below": "below", "at_most": "at most", "between": "between"}
    limits = condition.limit if condition.test == "between" else (condition.limit,)
    told = [
        f"{view.wording.label(limit.name)} {view.wording.value(limit.name, view.value(limit.name))}"
        if hasattr(limit, "name")
        else view.wording.value(condition.fact, limit)
        for limit in limits
    ]
    return f"{words[condition.test]} {joined(told)}"


def _limit(view, name):
    """Where a limit comes from: the fact with the calculation or rule that gave it."""
    held = view.facts.get(name)
    by = []
    for number in held["producer"] if held else ():
        firing = view.firings[number]
        source = view.calculations if firing["kind"] == "calculation" else view.rules
        by.append({"kind": firing["kind"], "id": firing["rule"], "title": source[firing["rule"]].title})
    return {
        "fact": name,
        "text": view.fact_text(name),
        "by": by,
        "rests_on": list(support.of_fact(view, name).facts) if held else [],
    }


def _given_up(view, one):
    requirement = view.requirements[one["requirement"]]
    needed = view.wording.needed(requirement["compare"], requirement["measure"], one["needed"], one["actual"])
    return {
        "requirement": one["requirement"],
        "concern": one["concern"],
        "sentences": [
            sentence(f"{view.wording.label(requirement['measure'])}: {needed} is wished"),
            sentence(view.wording.has(requirement["measure"], one["actual"], one["needed"])),
        ],
    }


def why_lines(view, told, width=80, plain=None):
    """The data of `why` as lines of text. ``plain``: a PlainWords, to explain trade words."""
    if told["pick"] is None:
        lines = []
        if told["asks"]:
            lines.append(wrap("Nothing is decided yet. These answers are missing:", width))
            lines += [wrap(one["question"], width, "  ", "    ") for one in told["asks"]]
        if told["no_fit"]:
            lines += no_fit_lines(view, told["no_fit"], width, plain)
        return lines
    lines = [paragraph(told["sentences"], width)]
    for one in told["decisive"]:
        lines += ["", paragraph(one["sentences"], width, "  ")]
        lines += _explained(plain, one["sentences"], width)
        if told["depth"] >= 2:
            lines += _second(view, one, width)
    given = [sentence_ for one in told["given_up"] for sentence_ in [" ".join(one["sentences"])]]
    lines += block("Given up", given, width)
    lines += block(
        "Assumed, and another answer would change the advice", [capital(one) for one in told["assumed"]], width
    )
    lines += sureness_lines(view, told["sure"], width, plain)
    if told["depth"] >= 3:
        lines += ["", *title_lines("The whole derivation, each value before what is made of it", width)]
        lines += derivation_lines(told["nodes"], width)
    return lines


def _explained(plain, sentences, width):
    words = plain.after(sentences) if plain else []
    return [paragraph(words, width, "    ")] if words else []


def _second(view, one, width):
    lines = [wrap(f"{capital(one['demand_text'])}, {one['actual_text']}.", width, "    ", "      ")]
    lines.append(wrap(f"Rule: {one['title']}.", width, "    ", "      "))
    if one["because"][1:]:
        lines.append(paragraph(one["because"][1:], width, "    "))
    for title, entries in (
        ("It applies because", [condition["text"] for condition in one["conditions"]]),
        (
            "The limit",
            [
                f"{limit['text']}, by: {joined([by['title'] for by in limit['by']])}"
                if limit["by"]
                else limit["text"]
                for limit in one["limit"]
            ],
        ),
        ("It rests on", [view.fact_text(name) for name in one["answers"]]),
        ("This kit's figure rests on these as well", [view.fact_text(name) for name in one["answers_of_the_figure"]]),
    ):
        if entries:
            lines.append(wrap(title + ":", width, "    ", "    "))
            lines += [wrap(capital(entry) + ".", width, "      ", "        ") for entry in entries]
    return lines


def derivation_lines(nodes, width):
    """The nodes of a trace as numbered lines, each with its arithmetic, its reason and its basis."""
    numbers = {key: place for place, key in enumerate(nodes, 1)}
    lines = []
    for key, node in nodes.items():
        head = (
            f"{numbers[key]}. {capital(node['label'])}: {node['text']}"
            if node["kind"] != "rule"
            else f"{numbers[key]}. Rule {node['value']}: {node['label']}"
        )
        origin = node["origin"].replace("_", " ")
        lines.append(wrap(head + (f" ({origin})" if origin else ""), width, "  ", "     "))
        why_node = node["why"] or {}
        if node["from"]:
            lines.append(
                wrap("from " + ", ".join(str(numbers[other]) for other in node["from"]), width, "     ", "     ")
            )
        lines += [wrap(f"{label} is not known", width, "     ", "     ") for label in why_node.get("not_known", ())]
        if "formula" in why_node:
            lines += _arithmetic(why_node, width)
        if why_node.get("because"):
            lines.append(wrap(why_node["because"], width, "     ", "     "))
        if why_node.get("basis"):
            lines.append(wrap(f"Basis: {why_node['basis']}", width, "     ", "       "))
        lines += [
            wrap(f"Source of the formula: {reference}", width, "     ", "       ")
            for reference in why_node.get("references", ())
        ]
    return lines


def _arithmetic(node, width):
    lines = [wrap(f"{node['title']}. {node['summary']}", width, "     ", "       ")]
    lines += [wrap(line, width, "       ", "         ") for line in node["formula"]]
    if node["lines"]:
        lines += [wrap(line, width, "       ", "         ") for line in node["lines"]]
    else:
        lines += [wrap(f"{one['meaning']}: {one['text']}", width, "       ", "         ") for one in node["inputs"]]
    if node["result"] is not None:
        lines.append(wrap(f"{node['result_name']} = {node['result']}", width, "       ", "         "))
    return lines
