"""Rules in the notation of before, written from the typed model: the converter must lead back to the same model.

Written as JSON, which is YAML too. Text in quotes is what the loader reads an unquoted yes or no as as well. To ask for
what nobody answered, and for several things in one branch of any, came with today's notation, and no stored file asks
so in the old one: of a rule that does, the conditions alone stand in today's.
"""

import json
from collections.abc import Mapping

from advisor.knowledge.model import FactRef, KitRef, Knowledge, Rule
from advisor.knowledge.vocabulary import PLAIN_WORDS


def files_of(knowledge: Knowledge) -> dict[str, str]:
    """Path within the rules folder -> text, one file for each stage and topic, rules in their order."""
    files: dict[tuple[str, str], list] = {}
    for rule in knowledge.rules:
        files.setdefault((rule.stage, rule.topic), []).append(_rule(rule, knowledge))
    return {
        f"{stage}/{topic}.yaml": json.dumps({"topic": topic, "stage": stage, "rules": rules}, ensure_ascii=False)
        for (stage, topic), rules in files.items()
    }


def tabled(rules: list[Mapping]) -> dict:
    """Rules in the old form as rows of one table with what they share above them."""
    shared = {key: rules[0][key] for key in ("title", "because", "basis")}
    rows = [{key: part for key, part in rule.items() if shared.get(key) != part} for rule in rules]
    return {"id": "a-table", **shared, "table": rows}


def _rule(rule: Rule, knowledge: Knowledge) -> dict:
    written = {"id": rule.id, "title": rule.title}
    if rule.all or rule.any:
        of_today = any(one.test == "not_answered" for one in rule.conditions) or any(len(one) > 1 for one in rule.any)
        written["when"] = (_when_today if of_today else _when)(rule, knowledge)
    if rule.conclude:
        written["conclude"] = [
            {"fact": one.fact, "value": _value(one.value, knowledge.facts[one.fact])} for one in rule.conclude
        ]
    if rule.require:
        written["require"] = [_requirement(one, knowledge) for one in rule.require]
    if rule.cautions:
        written["caution"] = [
            {
                "id": one.id,
                "text": one.text,
                "safety": _flag(one.safety),
                "audience": one.audience,
                "weight": one.weight,
            }
            for one in rule.cautions
        ]
    for item in rule.items:
        key = {"part": "add", "fitted_by": "fit_by"}.get(item.kind, "do")
        own = {"part": {"part": item.part}, "fitted_by": {"who": item.who}}.get(item.kind, {"kind": item.kind})
        text = {"text": item.text} if item.text else {}
        in_short = {"in_short": item.in_short} if item.in_short else {}
        likely = {"likely": True} if item.likely else {}
        part = {"id": item.id, **own, "level": item.level, **likely, **text, **in_short}
        if key == "fit_by":
            written[key] = part
        else:
            written.setdefault(key, []).append(part)
    basis = {key: part for key in ("kind", "source", "caution") if (part := getattr(rule.basis, key))}
    more = {key: part for key in ("owner", "reviewed") if (part := getattr(rule, key))}
    return {**written, "because": rule.because, "basis": basis, **more}


def _when(rule, knowledge):
    conditions = [_condition(one, knowledge) for one in rule.all]
    if rule.any:
        conditions.append({"any": [_condition(one, knowledge) for (one,) in rule.any]})
    return {"all": conditions}


def _when_today(rule, knowledge):
    written = {one.fact: _asked_today(one, knowledge) for one in rule.all}
    if len(written) < len(rule.all):
        raise ValueError(f"{rule.id} asks of one fact twice")
    if rule.any:
        written["any"] = [{one.fact: _asked_today(one, knowledge) for one in branch} for branch in rule.any]
    return written


def _asked_today(one, knowledge):
    words = {test: words for words, test in PLAIN_WORDS.items()}
    if one.test in words:
        return words[one.test]
    limit = one.limit.name if isinstance(one.limit, FactRef) else _value(one.limit, knowledge.facts[one.fact])
    if one.test in ("is", "in"):
        return limit
    return {"not" if one.test in ("is_not", "not_in") else one.test: limit}


def _condition(one, knowledge):
    fact = knowledge.facts[one.fact]
    limit = "yes" if one.limit is None else _value(one.limit, fact, member=one.test == "has")
    return {"fact": one.fact, one.test: limit}


def _requirement(one, knowledge):
    measure = (knowledge.figures if one.source == "figure" else knowledge.kit_fields)[one.measure]
    written = {
        "id": one.id,
        one.source: one.measure,
        one.compare: _value(one.limit, measure),
        "level": one.level,
        "safety": _flag(one.safety),
    }
    if one.concern:
        written["concern"] = one.concern
    if one.of_kits:
        written["of_kits"] = {
            name: [_value(value, knowledge.kit_fields[name]) for value in values] for name, values in one.of_kits
        }
    return written


def _value(value, word, member=False):
    if isinstance(value, FactRef):
        return {"fact": value.name}
    if isinstance(value, KitRef):
        return {"kit": value.name}
    if isinstance(value, tuple):
        return [_value(one, word) for one in value]
    if isinstance(value, bool):
        return _flag(value)
    if isinstance(value, float) and not member:
        unit = "" if word.unit in ("", "1") else f" {word.unit}"
        return f"{value!r}{unit}"
    return value


def _flag(value):
    return "yes" if value else "no"
