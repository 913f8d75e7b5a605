"""What a decision came to, as plain data, and whether it is what the case file expects.

Keys of ``expect`` in a case file, all optional but ``because``:

because      why a practitioner would agree
outcome      recommended, need_more_answers or no_kit_fits
pick         id of the kit
pick_is      field or figure -> value, list of values, or {at_least: , at_most: }
given_up     exactly these shoulds are failed or not known for the pick
next_down    the nearest gentler kit; next_up: the next one with more in hand; none where there is none
refused      kit -> musts it fails, others allowed
unjudged     kits with a must that nobody can judge
setup        items that go with the pick, at any level; setup_required: at level required; setup_not: must not
cautions     cautions shown with the pick (or with the case where there is none); cautions_not: must not
facts        fact -> value that must be derived; advice: members the advice must have, advice_not: must not
fires        rules that must fire, for the case or for the set-up of the pick; silent: must not
contradictions  exactly these among the answers
asks         facts that are asked for; asks_maker: kit fields to ask the maker for
"""

from collections.abc import Collection, Mapping
from typing import Any

from ..errors import AdvisorError
from ..knowledge.quantities import read, read_value
from .decide import Decision
from .neighbours import next_down, next_up, statuses


def fired(decision: Decision) -> set[str]:
    """Ids of the rules that fired for the case and, where there is a pick, for its set-up."""
    names = set(decision.derivation.fired())
    if decision.pick is not None:
        names |= set(decision.setup_derivations[decision.pick].fired())
    return names


def cautions(decision: Decision) -> list[str]:
    """Ids of the cautions shown, sorted."""
    names = fired(decision)
    return sorted(caution.id for rule in decision.knowledge.rules if rule.id in names for caution in rule.cautions)


def given_up(decision: Decision) -> list[str]:
    """Ids of the shoulds the pick fails or nobody can judge, sorted; empty without a pick."""
    if decision.pick is None:
        return []
    standing = statuses(decision, decision.pick)
    return sorted(checked.requirement.id for checked in standing.given_up + standing.not_known)


def items(decision: Decision) -> dict[str, str]:
    """Set-up items of the pick: id -> level."""
    if decision.pick is None:
        return {}
    return {chosen.item.id: chosen.item.level for chosen in decision.setups[decision.pick]}


def name(decision: Decision, index: int | None) -> str:
    """Id of a kit by index, none for None."""
    return "none" if index is None else decision.kits.ids[index]


def differences(decision: Decision, expect: Mapping[str, Any]) -> list[str]:
    """Everything in which a decision differs from what is expected, as a list of sentences; [] where nothing does.

    What is expected of something that is not there (a fact, a kit, a value nobody can read) is a difference too.
    """
    wrong = [f"expect has the unknown key {key}" for key in sorted(set(expect) - KEYS)]
    for part, compare in _PARTS.items():
        if part in expect:
            try:
                wrong += compare(decision, expect[part])
            except AdvisorError as error:
                wrong.append(f"{part}: {error.what.rstrip('.')}")
            except (AttributeError, TypeError, ValueError):
                wrong.append(f"{part}: it cannot be read")
    return wrong


def _same(part, wanted, there):
    return [] if wanted == there else [f"{part}: expected {_shown(wanted)}, found {_shown(there)}"]


def _inside(part, wanted: Collection[str], there):
    missing = sorted(set(wanted) - set(there))
    return [f"{part}: {_shown(missing)} is not among {_shown(sorted(there))}"] if missing else []


def _outside(part, unwanted: Collection[str], there):
    among = sorted(set(unwanted) & set(there))
    return [f"{part}: {_shown(among)} should not be there"] if among else []


def _shown(value):
    if isinstance(value, (list, tuple)):
        return ", ".join(map(str, value)) or "none"
    return "yes" if value is True else "no" if value is False else "absent" if value is None else str(value)


def _contradictions(decision):
    clashes = decision.known.clashes.clashes if decision.known.clashes is not None else ()
    return [clash.id for clash in clashes]


def _every_fired(decision):
    clashes = decision.known.clashes
    found_out = clashes.derivation.fired() if clashes is not None and clashes.derivation is not None else set()
    return fired(decision) | found_out


def _facts(decision, expected):
    wrong, derived = [], decision.derivation.facts
    for fact, value in expected.items():
        if fact not in decision.knowledge.facts:
            wrong.append(f"facts: there is no fact {fact}")
            continue
        wanted = None if value == "absent" else read_value(decision.knowledge.facts[fact], value)
        wrong += [f"facts: {text}" for text in _same(fact, wanted, derived.get(fact))]
    return wrong


def _advice(decision):
    return decision.derivation.facts.get("advice", ())


def _given_up(decision, expected):
    return _same("given_up", sorted(expected), given_up(decision))


def _refused(decision, expected):
    wrong = []
    for kit, musts in expected.items():
        if kit not in decision.kits.index:
            wrong.append(f"refused: there is no kit {kit}")
            continue
        failed = {checked.requirement.id for checked in statuses(decision, decision.kits.index[kit]).failed}
        if not set(musts) <= failed:
            wrong.append(f"refused: {kit} fails {_shown(sorted(failed))}, expected {_shown(musts)}")
    return wrong


def _unjudged(decision, expected):
    wrong = [f"unjudged: there is no kit {kit}" for kit in expected if kit not in decision.kits.index]
    judged = [kit for kit in expected if kit in decision.kits.index]
    return wrong + [
        f"unjudged: {kit} is judged" for kit in judged if not decision.unjudged[0, decision.kits.index[kit]]
    ]


def _pick_is(decision, expected):
    return [
        f"pick_is: {field} is not {_shown(wanted)}"
        for field, wanted in expected.items()
        if not _is(decision, field, wanted)
    ]


def _judged(compare):
    """The comparison of what only a decision that looked at kits has."""
    return lambda decision, expected: [] if decision.figures is None else compare(decision, expected)


def _required(decision):
    return {item for item, level in items(decision).items() if level == "required"}


#: Part of ``expect`` -> differences of a decision from it.
_PARTS = {
    "outcome": lambda decision, wanted: _same("outcome", wanted, decision.outcome),
    "pick": lambda decision, wanted: _same("pick", wanted, name(decision, decision.pick)),
    "asks": lambda decision, wanted: _inside("asks", wanted, decision.asks),
    "fires": lambda decision, wanted: _inside("fires", wanted, _every_fired(decision)),
    "silent": lambda decision, unwanted: _outside("silent", unwanted, _every_fired(decision)),
    "contradictions": lambda decision, wanted: _same("contradictions", wanted, _contradictions(decision)),
    "facts": _facts,
    "advice": lambda decision, wanted: _inside("advice", wanted, _advice(decision)),
    "advice_not": lambda decision, unwanted: _outside("advice_not", unwanted, _advice(decision)),
    "cautions": lambda decision, wanted: _inside("cautions", wanted, cautions(decision)),
    "cautions_not": lambda decision, unwanted: _outside("cautions_not", unwanted, cautions(decision)),
    "next_down": _judged(lambda decision, wanted: _same("next_down", wanted, name(decision, next_down(decision)))),
    "next_up": _judged(lambda decision, wanted: _same("next_up", wanted, name(decision, next_up(decision)))),
    "given_up": _judged(_given_up),
    "asks_maker": _judged(
        lambda decision, wanted: _inside("asks_maker", wanted, {field for _, field in decision.ask_maker})
    ),
    "setup": _judged(lambda decision, wanted: _inside("setup", wanted, items(decision))),
    "setup_required": _judged(lambda decision, wanted: _inside("setup_required", wanted, _required(decision))),
    "setup_not": _judged(lambda decision, unwanted: _outside("setup_not", unwanted, items(decision))),
    "refused": _judged(_refused),
    "unjudged": _judged(_unjudged),
    "pick_is": _judged(_pick_is),
}
KEYS = {"because", *_PARTS}


def _is(decision, field, wanted):
    known = decision.knowledge
    if field not in known.kit_fields and field not in known.figures:
        return False
    if decision.pick is None:
        return False
    of_kit = field in known.kit_fields
    word = known.kit_fields[field] if of_kit else known.figures[field]
    if of_kit:
        actual = decision.kits.kits[decision.pick].fields.get(field)
    else:
        actual = decision.figures.value(field, 0, decision.pick)
    if actual is None:
        return False

    def value(raw):
        return read_value(word, raw) if of_kit else read(raw, word.unit)

    if isinstance(wanted, dict):
        return ("at_least" not in wanted or actual >= value(wanted["at_least"])) and (
            "at_most" not in wanted or actual <= value(wanted["at_most"])
        )
    return actual in [value(each) for each in (wanted if isinstance(wanted, list) else [wanted])]
