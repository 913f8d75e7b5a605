"""Why this kit: one sentence for each requirement that decided, then its conditions, then the whole derivation."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ..deciding.upstream import limit_facts
from ..knowledge.model import conditions_of
from ..knowledge.sentences import aloud, capital, count, joined, sentence
from .contradictions_told import contradiction_sentences
from .layout import block, paragraph, title_lines, wrap
from .no_fit import no_fit, no_fit_lines
from .reason_nodes import trace
from .stand_ins_told import if_measured, stand_in_sentences
from .sureness import sureness, sureness_lines
from .why_not import is_gentler

if TYPE_CHECKING:
    from ..deciding.recorded_rules import RecordedFiring
    from .trade_words import PlainWords
    from .worded import WordedRecord

DEPTHS = (1, 2, 3)


def why(worded: "WordedRecord", depth: int = 1, requirements: Sequence[str] = ()) -> dict[str, Any]:
    """Why the pick, as data: {outcome, pick, decisive: [...], given_up, sure, ...}, deeper with ``depth``.

    ``requirements``: ids to explain in place of the decisive ones. Where no kit is picked: why not, and what to ask.
    """
    record = worded.record
    data: dict[str, Any] = {
        "outcome": record.outcome,
        "pick": worded.pick,
        "depth": depth,
        "decisive": [],
        "given_up": [],
        "sentences": [],
    }
    if worded.pick is None or record.pick is None:
        data["asks"] = [{"fact": name, "question": _question(worded, name)} for name in record.asks]
        data["no_fit"] = no_fit(worded)
        return data
    chosen = requirements or [check.requirement for check in record.pick.because]
    data["sentences"] = _opening(worded)
    data["decisive"] = [_decisive(worded, name, depth) for name in chosen]
    data["given_up"] = [_given_up(worded, check) for check in record.pick.given_up]
    data["assumed"] = [worded.fact_text(assumption.fact) for assumption in record.assumptions if assumption.matters]
    data["stand_ins"] = stand_in_sentences((*worded.kits[worded.pick].stand_ins, *record.stand_ins), worded.wording)
    data["sure"] = sureness(worded)
    if depth >= 3:
        data["nodes"] = trace(worded, worded.pick, chosen)
    return data


def _question(worded, name):
    question = worded.knowledge.questions.get(name)
    return question.plain if question else sentence(worded.wording.label(name))


def _opening(worded):
    title = worded.wording.title(worded.pick)
    gentler = [kit for kit in worded.record.fitting if kit.gentleness < worded.kits[worded.pick].gentleness]
    if worded.fields(worded.pick).get("factory"):
        first = "No upgrade is needed. The factory clutch is enough."
    else:
        first = f"{title} is the least clutch that does the job."
    opening = [*aloud(first), *if_measured(worded.kits[worded.pick], worded.record)]
    if not gentler:
        return [*opening, "No gentler kit on file fits the car."]
    felt = [kit for kit in gentler if is_gentler(worded, kit.id)]
    sentences = [*opening, *_refused(len(felt), "gentler kit")]
    return sentences + _refused(
        len(gentler) - len(felt),
        "kit that feels the same and costs no more",
        "kits that feel the same and cost no more",
    )


def _refused(number, noun, many=None):
    if not number:
        return []
    fit, are = ("fits", "is") if number == 1 else ("fit", "are")
    return [sentence(f"{capital(count(number, noun, many))} {fit} the car and {are} refused")]


def _decisive(worded, name, depth):
    posted = worded.requirements[name]
    wording, measure = worded.wording, posted.measure
    actual = (
        worded.fields(worded.pick).get(measure)
        if posted.source == "kit"
        else worded.record.figure(worded.pick, measure)
    )
    limit = worded.fields(worded.pick).get(posted.kit_field) if posted.kit_field else posted.limit
    reason = aloud(worded.because(posted.rule))
    refused = [
        kit.id
        for kit in worded.record.fitting
        if kit.gentleness < worded.kits[worded.pick].gentleness
        and name in [check.requirement for check in kit.refused_by + kit.given_up]
    ]
    data = {
        "requirement": name,
        "rule": posted.rule,
        "level": posted.level,
        "safety": posted.safety,
        "measure": measure,
        "compare": posted.compare,
        "needed": limit,
        "actual": actual,
        "refuses": refused,
        "sentences": reason[:1],
    }
    if wording.value(measure, limit) not in reason[0]:
        data["sentences"].append(sentence(wording.demand(posted.compare, measure, limit, actual)))
    data["sentences"].append(sentence(wording.has(measure, actual, limit)))
    if refused:
        felt = all(is_gentler(worded, kit) for kit in refused)
        data["sentences"].append(
            sentence(
                f"That refuses {count(len(refused), 'gentler kit' if felt else 'kit')}{'' if felt else ' before it'}"
            )
        )
    if depth >= 2:
        rule = worded.rules[posted.rule]
        held = worded.provenance.of_requirement(name)
        behind = [
            fact
            for fact in (worded.provenance.of_figure(measure) if posted.source == "figure" else ())
            if fact not in held.facts
        ]
        data |= {
            "title": rule.title,
            "because": reason,
            "conditions": conditions(worded, worded.record.fired[posted.rule]),
            "limit": [_limit(worded, fact) for fact in limit_facts(worded.provenance.requirement(name))],
            "answers": list(held.facts),
            "answers_of_the_figure": behind,
            "demand_text": wording.demand(posted.compare, measure, limit, actual),
            "actual_text": wording.has(measure, actual, limit),
            "label": wording.label(measure),
        }
    return data


def conditions(worded: "WordedRecord", firing: "RecordedFiring") -> list[dict[str, Any]]:
    """The conditions under which a rule fired, each with its value, unit and where that came from: list of dicts."""
    rule = worded.rules[firing.rule]
    met = []
    for condition in conditions_of(rule, firing.branches):
        name, held = condition.fact, worded.record.facts.get(condition.fact)
        value = firing.facts.get(name)
        text = f"{worded.wording.label(name)}: {worded.wording.value(name, value)}"
        compared = _compared(worded, condition)
        if compared:
            text += f", {compared}"
        if held is not None:
            text += f" ({worded.origin(name, held.origin)})"
        met.append(
            {
                "fact": name,
                "test": condition.test,
                "value": value,
                "text": text,
                "origin": held.origin if held else ("figure" if value is not None else "not known"),
            }
        )
    return met


def _compared(worded, condition):
    """ "above the torque rating of the gearbox, 335 N m": only for comparisons."""
    if condition.test not in ("above", "at_least", "below", "at_most", "between"):
        return ""
    words = {"above": "above", "at_least": "at least", "below": "below", "at_most": "at most", "between": "between"}
    limits = condition.limit if condition.test == "between" else (condition.limit,)
    limit_texts = [
        f"{worded.wording.label(limit.name)} {worded.wording.value(limit.name, worded.record.value(limit.name))}"
        if hasattr(limit, "name")
        else worded.wording.value(condition.fact, limit)
        for limit in limits
    ]
    return f"{words[condition.test]} {joined(limit_texts)}"


def _limit(worded, name):
    """Where a limit comes from: the fact with the calculation or rule that gave it."""
    held = worded.record.facts.get(name)
    by = []
    for firing in worded.provenance.producers(name) if held else ():
        source = worded.provenance.calculations if firing.kind == "calculation" else worded.rules
        by.append({"kind": firing.kind, "id": firing.rule, "title": source[firing.rule].title})
    return {
        "fact": name,
        "text": worded.fact_text(name),
        "by": by,
        "rests_on": list(worded.provenance.of_fact(name).facts) if held else [],
    }


def _given_up(worded, check):
    return {
        "requirement": check.requirement,
        "concern": check.concern,
        "sentences": [sentence(worded.demand(check)), sentence(worded.has(check))],
    }


def _contradicted(worded, width):
    contradiction_texts = [
        " ".join(contradiction_sentences(contradiction, worded.wording))
        for contradiction in worded.record.contradictions
    ]
    return (
        [
            "",
            wrap("Answers that cannot all be true:", width),
            *(wrap(contradiction_text, width, "  ", "    ") for contradiction_text in contradiction_texts),
        ]
        if contradiction_texts
        else []
    )


def why_lines(
    worded: "WordedRecord", data: Mapping[str, Any], width: int = 80, plain: "PlainWords | None" = None
) -> list[str]:
    """The data of `why` as lines of text. ``plain``: a PlainWords, to explain trade words."""
    if data["pick"] is None:
        lines = []
        if data["asks"]:
            lines.append(wrap("Nothing is decided yet. These answers are missing:", width))
            lines += [wrap(ask["question"], width, "  ", "    ") for ask in data["asks"]]
        lines += _contradicted(worded, width)
        if data["no_fit"]:
            lines += no_fit_lines(worded, data["no_fit"], width, plain)
        return lines
    lines = [paragraph(data["sentences"], width)]
    for reason in data["decisive"]:
        lines += ["", paragraph(reason["sentences"], width, "  ")]
        lines += _explained(plain, reason["sentences"], width)
        if data["depth"] >= 2:
            lines += _second(worded, reason, width)
    given = [sentence_ for verdict in data["given_up"] for sentence_ in [" ".join(verdict["sentences"])]]
    lines += block("Given up", given, width)
    lines += block(
        "Assumed, and another answer would change the advice",
        [capital(assumption) for assumption in data["assumed"]],
        width,
    )
    lines += block("Taken, because it is not on file", data["stand_ins"], width)
    lines += sureness_lines(worded, data["sure"], width, plain) + _contradicted(worded, width)
    if data["depth"] >= 3:
        lines += ["", *title_lines("The whole derivation, each value before what is made of it", width)]
        lines += derivation_lines(data["nodes"], width)
    return lines


def _explained(plain, sentences, width):
    words = plain.after(sentences) if plain else []
    return [paragraph(words, width, "    ")] if words else []


def _second(worded, reason, width):
    lines = [wrap(f"{capital(reason['demand_text'])}, {reason['actual_text']}.", width, "    ", "      ")]
    lines.append(wrap(f"Rule: {reason['title']}.", width, "    ", "      "))
    if reason["because"][1:]:
        lines.append(paragraph(reason["because"][1:], width, "    "))
    for title, entries in (
        ("It applies because", [condition["text"] for condition in reason["conditions"]]),
        (
            "The limit",
            [
                f"{limit['text']}, by: {joined([by['title'] for by in limit['by']])}" if limit["by"] else limit["text"]
                for limit in reason["limit"]
            ],
        ),
        ("It rests on", [worded.fact_text(name) for name in reason["answers"]]),
        (
            "This kit's figure rests on these as well",
            [worded.fact_text(name) for name in reason["answers_of_the_figure"]],
        ),
    ):
        if entries:
            lines.append(wrap(title + ":", width, "    ", "    "))
            lines += [wrap(capital(entry) + ".", width, "      ", "        ") for entry in entries]
    return lines


def derivation_lines(nodes: Mapping[str, Any], width: int) -> list[str]:
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
        lines += [
            wrap(f"{given['meaning']}: {given['text']}", width, "       ", "         ") for given in node["inputs"]
        ]
    if node["result"] is not None:
        lines.append(wrap(f"{node['result_name']} = {node['result']}", width, "       ", "         "))
    return lines
