"""What a decision came to, as plain data, and whether it is what a case expects.

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
contradictions  exactly these among the answers
asks         facts that are asked for; asks_maker: kit fields to ask the maker for
"""

from advisor.deciding.decide import next_down, next_up, statuses
from advisor.knowledge.quantities import read_value

KEYS = {
    "because",
    "outcome",
    "pick",
    "pick_is",
    "given_up",
    "next_down",
    "next_up",
    "refused",
    "unjudged",
    "setup",
    "setup_required",
    "setup_not",
    "cautions",
    "cautions_not",
    "facts",
    "advice",
    "advice_not",
    "contradictions",
    "asks",
    "asks_maker",
}


def fired(decision):
    """Ids of the rules that fired for the case and, where there is a pick, for its set-up."""
    names = set(decision.derivation.fired())
    if decision.pick is not None:
        names |= set(decision.setup_derivations[decision.pick].fired())
    return names


def cautions(decision):
    """Ids of the cautions shown, sorted."""
    names = fired(decision)
    return sorted(one.id for rule in decision.knowledge.rules if rule.id in names for one in rule.cautions)


def given_up(decision):
    """Ids of the shoulds the pick fails or nobody can judge, sorted; empty without a pick."""
    if decision.pick is None:
        return []
    _, _, failed, unknown = statuses(decision, decision.pick)
    return sorted(one.requirement.id for one in failed + unknown)


def items(decision):
    """Set-up items of the pick: id -> level."""
    if decision.pick is None:
        return {}
    return {one.item.id: one.item.level for one in decision.setups[decision.pick]}


def name(decision, index):
    """Id of a kit by index, none for None."""
    return "none" if index is None else decision.kits.ids[index]


def complaints(decision, expect):
    """Everything in which a decision differs from what is expected, as a list of sentences."""
    wrong = [f"expect has the unknown key {key}" for key in sorted(set(expect) - KEYS)]

    def same(key, found):
        if key in expect and expect[key] != found:
            wrong.append(f"{key}: expected {expect[key]}, found {found}")

    def inside(key, found):
        missing = sorted(set(expect.get(key, ())) - set(found))
        if missing:
            wrong.append(f"{key}: {missing} not among {sorted(found)}")

    def outside(key, found):
        there = sorted(set(expect.get(key, ())) & set(found))
        if there:
            wrong.append(f"{key}: {there} should not be there")

    same("outcome", decision.outcome)
    same("pick", name(decision, decision.pick))
    inside("asks", decision.asks)
    clashes = decision.known.clashes.clashes if decision.known.clashes is not None else ()
    same("contradictions", [one.id for one in clashes])
    derived = decision.derivation.facts
    for fact, value in expect.get("facts", {}).items():
        wanted = None if value == "absent" else read_value(decision.knowledge.facts[fact], value)
        if derived.get(fact) != wanted:
            wrong.append(f"facts: {fact} expected {wanted}, found {derived.get(fact)}")
    inside("advice", derived.get("advice", ()))
    outside("advice_not", derived.get("advice", ()))
    found = cautions(decision)
    inside("cautions", found)
    outside("cautions_not", found)
    if decision.figures is None:
        return wrong
    same("next_down", name(decision, next_down(decision)))
    same("next_up", name(decision, next_up(decision)))
    if "given_up" in expect and sorted(expect["given_up"]) != given_up(decision):
        wrong.append(f"given_up: expected {sorted(expect['given_up'])}, found {given_up(decision)}")
    inside("asks_maker", {field for _, field in decision.ask_maker})
    chosen = items(decision)
    inside("setup", chosen)
    inside("setup_required", {one for one, level in chosen.items() if level == "required"})
    outside("setup_not", chosen)
    for kit, musts in expect.get("refused", {}).items():
        failed = {one.requirement.id for one in statuses(decision, decision.kits.index[kit])[0]}
        if not set(musts) <= failed:
            wrong.append(f"refused: {kit} fails {sorted(failed)}, expected {musts}")
    for kit in expect.get("unjudged", ()):
        if not decision.unjudged[0, decision.kits.index[kit]]:
            wrong.append(f"unjudged: {kit} is judged")
    for field, wanted in expect.get("pick_is", {}).items():
        if not _is(decision, field, wanted):
            wrong.append(f"pick_is: {field} is not {wanted}")
    return wrong


def _is(decision, field, wanted):
    if decision.pick is None:
        return False
    known = decision.knowledge
    if field in known.kit_fields:
        word = known.kit_fields[field]
        actual = decision.kits.kits[decision.pick].fields.get(field)
    else:
        word = known.figures[field]
        actual = decision.figures.value(field, 0, decision.pick)
    if actual is None:
        return False
    read = (lambda raw: read_value(word, raw)) if field in known.kit_fields else (lambda raw: _number(raw, word))
    if isinstance(wanted, dict):
        return ("at_least" not in wanted or actual >= read(wanted["at_least"])) and (
            "at_most" not in wanted or actual <= read(wanted["at_most"])
        )
    return actual in [read(one) for one in (wanted if isinstance(wanted, list) else [wanted])]


def _number(raw, figure):
    from advisor.knowledge.quantities import read

    return read(raw, figure.unit)
