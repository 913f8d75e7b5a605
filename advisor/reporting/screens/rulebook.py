"""One rule in words, for whoever reads the rules without opening the files."""

import dataclasses

from ...knowledge.model import WITHOUT_VALUE, FactRef, KitRef
from ...knowledge.sentences import wrap
from ...knowledge.wording import COMPARES, Wording

_TESTS = {
    "is": "is", "is_not": "is not", "in": "is one of", "not_in": "is none of", "has": "has", "known": "is known",
    "absent": "is not known", "answered": "is answered", "not_answered": "is not answered",
    **{name: text.partition("{")[0].rstrip() for name, text in COMPARES.items()},
}


def rule_as_data(rule):
    """A rule as JSON data."""

    def plain(value):
        if isinstance(value, FactRef):
            return {"fact": value.name}
        if isinstance(value, KitRef):
            return {"kit": value.name}
        if dataclasses.is_dataclass(value):
            return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
        if isinstance(value, tuple):
            return [plain(one) for one in value]
        return value

    data = plain(rule)
    data["position"] = str(rule.position) if rule.position else None
    return data


def rule_as_text(rule, knowledge, system="si", width=80):
    """A rule in words, ``width`` columns wide."""

    wording = Wording(knowledge, system)
    label = wording.label

    def value(name, limit):
        if isinstance(limit, FactRef):
            return label(limit.name)
        if isinstance(limit, KitRef):
            return f"the kit's {label(limit.name)}"
        if isinstance(limit, tuple):
            return " and ".join(value(name, one) for one in limit) if len(limit) == 2 and any(
                isinstance(one, (FactRef, KitRef, float)) for one in limit
            ) else ", ".join(value(name, one) for one in limit)
        return wording.value(name, limit)

    def condition(one):
        test = _TESTS[one.test]
        tail = "" if one.limit is None or one.test in ("known", "answered", *WITHOUT_VALUE) else f" {value(one.fact, one.limit)}"
        return f"{label(one.fact)} {'lies ' if one.test == 'between' else 'is ' if one.test in ('at_least', 'at_most', 'above', 'below') else ''}{test}{tail}"

    lines = [f"{rule.id}: {rule.title}", f"{rule.topic.replace('_', ' ')}, {'case' if rule.stage == 'case' else 'set-up'}", "", "When"]
    lines += [wrap(condition(one), width, "  ", "    ") for one in rule.all]
    if rule.any:
        lines += ["  and at least one of"] + [wrap(condition(one), width, "    ", "      ") for one in rule.any]
    lines.append("Then")
    for one in rule.conclude:
        lines.append(wrap(f"{label(one.fact)} is {value(one.fact, one.value)}", width, "  ", "    "))
    for one in rule.require:
        level = ("must, for safety" if one.safety else one.level) + (f", {one.concern}" if one.concern else "")
        kits = "; ".join(f"{label(name)} {', '.join(wording.value(name, each) for each in values)}" for name, values in one.of_kits)
        lines.append(wrap(f"{label(one.measure)}: {_TESTS.get(one.compare) or 'is'} {value(one.measure, one.limit)} ({level})" + (f", for kits with {kits}" if kits else ""), width, "  ", "    "))
    lines += [wrap(f"say: {one.text}" + (" (safety)" if one.safety else ""), width, "  ", "    ") for one in rule.cautions]
    for one in rule.items:
        what = one.part or one.kind
        lines.append(wrap(f"{what.replace('_', ' ')} ({one.level}): {one.text}", width, "  ", "    "))
    lines += ["Because", wrap(rule.because, width, "  ", "  ")]
    basis = rule.basis.kind.replace("_", " ") + (f": {rule.basis.source}" if rule.basis.source else "")
    lines += ["Basis", wrap(basis + (f" ({rule.basis.caution})" if rule.basis.caution else ""), width, "  ", "  ")]
    if rule.owner or rule.reviewed:
        lines.append(wrap(f"Owner {rule.owner or 'none'}, reviewed {rule.reviewed or 'never'}", width))
    return "\n".join(lines) + "\n"
