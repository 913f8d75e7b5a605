"""Why this kit, why not that one: from the decision record of the answers so far."""

import difflib

from ..deciding.advise import advise
from ..errors import InputError
from .names import folded, shortened


def answer(word, rest, decider, state, teller, width):
    """The text for ``why`` and ``why-not KIT``. InputError for a kit nobody knows."""
    made = advise(decider, state.as_case())
    if rest:
        kit = _kit(rest, made, decider.shop.kits, teller)
        if not made["kits"]:
            return teller.wrap("No kit is judged yet: more answers are needed.", width)
        return _why_not(kit, made, teller, width)
    if not made["pick"]:
        return teller.wrap("There is no pick yet.", width)
    lines = [teller.wrap(f"Why {teller.kit(made['pick']['kit'])}", width)]
    lines += [teller.wrap(one["sentence"], width, "  ", "    ") for one in made["pick"]["because"]]
    return "\n".join(lines)


def _kit(text, made, kits, teller):
    """The id of the kit somebody means, by id or words of its title."""
    wanted = folded(text)
    ids = sorted(kit.id for kit in kits)
    fits = {kit["id"] for kit in made["kits"] if kit["fits"]}
    for holds in (
        lambda one: folded(one) == wanted,
        lambda one: folded(one).startswith(wanted),
        lambda one: all(word in folded(f"{one} {teller.titles.get(one, '')}").split("_") for word in wanted.split("_")),
    ):
        found = [one for one in ids if wanted and holds(one)]
        found = [one for one in found if one in fits] or found
        if len(found) == 1:
            return found[0]
        if found:
            raise InputError(f"{shortened(text)} can mean {' or '.join(found[:6])}.", value=text, remedy="Write one of them in full.")
    near = difflib.get_close_matches(wanted[:60], ids, 3, 0.4)
    raise InputError(f"no kit is called {shortened(text)}.", value=text, remedy=f"Did you mean {' or '.join(near)}?" if near else "")


def _why_not(kit_id, made, teller, width):
    kit = next(kit for kit in made["kits"] if kit["id"] == kit_id)
    requirements = {one["id"]: one for one in made["requirements"]}
    if kit["verdict"] == "picked":
        return teller.wrap(f"{teller.kit(kit_id)} is the pick.", width)
    lines = [teller.wrap(teller.kit(kit_id), width)]
    for kind, told in (("failed", "not enough, each by itself"), ("unknown", "cannot be judged")):
        for one in kit[kind]:
            lines.append(teller.wrap(f"{told}: {_failure(one, requirements[one['requirement']], teller)}", width, "  ", "    "))
    if kit["verdict"] == "passes":
        for one in kit["given_up"]:
            lines.append(teller.wrap(f"would give up {one['concern']}: {_failure(one, requirements[one['requirement']], teller)}", width, "  ", "    "))
        if len(lines) == 1:
            lines.append(teller.wrap("It would do, but the pick is gentler or cheaper.", width, "  ", "    "))
    return "\n".join(lines)


def _failure(entry, requirement, teller):
    word = teller.knowledge.figures.get(requirement["measure"]) or teller.knowledge.kit_fields[requirement["measure"]]
    ends = entry["needed"] if isinstance(entry["needed"], list) else [entry["needed"]]
    needed = (" and " if requirement["compare"] == "between" else ", ").join(_shown(teller, word, end) for end in ends)
    actual = "not known" if entry["actual"] is None else _shown(teller, word, entry["actual"])
    compare = requirement["compare"].replace("_", " ")
    return f"{word.label} must be {'' if compare == 'is' else compare + ' '}{needed}, it has {actual}."


def _shown(teller, word, value):
    from ..knowledge.quantities import show_value

    return show_value(word, value, teller.system)
