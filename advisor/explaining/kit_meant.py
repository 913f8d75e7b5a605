"""Which kit is meant: an id, a title, or words such as "a twin", "a cheaper one", "the one I have in mind"."""

import re
from typing import TYPE_CHECKING

from ..deciding.ladder import CAPACITY
from ..errors import InputError
from ..frozen import frozen
from ..knowledge.near import nearest

if TYPE_CHECKING:
    from .worded import WordedRecord

#: Words that say nothing about which kit is meant.
FILLERS = frozenset(
    [
        "a",
        "an",
        "the",
        "one",
        "kit",
        "clutch",
        "that",
        "this",
        "why",
        "not",
        "for",
        "with",
        "of",
        "or",
        "and",
        "is",
        "it",
        "i",
        "have",
        "in",
        "mind",
        "my",
        "our",
        "me",
        "please",
        "just",
        "some",
        "any",
        "seller",
        "sellers",
        "maker",
        "makers",
        "disc",
        "discs",
        "plate",
        "plates",
        "face",
        "full",
        "hub",
        "form",
        "is",
        "want",
        "wanted",
        "rather",
        "instead",
    ]
)
DISCS = {"single": 1, "twin": 2, "double": 2, "triple": 3}
FORMS = {
    "paddle": ("disc_form", "paddle"),
    "paddles": ("disc_form", "paddle"),
    "sprung": ("hub", "sprung"),
    "solid": ("hub", "solid"),
}
FACINGS = {
    "organic": ("organic",),
    "aramid": ("aramid",),
    "ceramic": ("ceramic",),
    "cermet": ("ceramic",),
    "carbon": ("carbon_organic", "carbon_carbon"),
    "sintered": ("sintered_iron",),
    "iron": ("sintered_iron",),
    "metal": ("sintered_iron", "ceramic"),
}
#: Words that compare with the pick.
COMPARED = (
    "cheaper",
    "dearer",
    "gentler",
    "smoother",
    "harsher",
    "stronger",
    "weaker",
    "lighter",
    "quieter",
    "nearest",
    "favourite",
    "favorite",
    "highest",
    "rated",
    "factory",
    "stock",
    "standard",
    "original",
)
KNOWN_WORDS = (
    "single, twin, triple, organic, aramid, carbon, ceramic, sintered, paddle, sprung, solid, cheaper, gentler, "
    "stronger, lighter, quieter, factory, seller's favourite"
)


@frozen
class Meant:
    """``kit``: the one to explain; ``others``: further kits so described; ``said``: how it was understood."""

    kit: str
    others: tuple = ()
    said: str = ""


def meant(worded: "WordedRecord", text: str) -> "Meant":
    """The kit meant by a text, as `Meant`; InputError where none is, with the words that are understood."""
    words = text.strip()
    if words in worded.kits:
        return Meant(words)
    by_title = [kit for kit in worded.kits if worded.wording.title(kit).casefold() == words.casefold()]
    if by_title:
        return Meant(by_title[0])
    tokens = [
        word
        for word in re.findall(r"[a-z0-9]+(?:-[a-z0-9]+)*", words.casefold().replace("'s", ""))
        if word not in FILLERS
    ]
    if not tokens:
        return _nothing_said(worded, text)
    kits = [kit.id for kit in worded.record.fitting]
    for token in tokens:
        kept = _matching(worded, token, kits)
        if kept is None:
            near = nearest(words, [*worded.kits, *(worded.wording.title(kit) for kit in worded.kits)], 3, 0.5)
            hint = f"Nearest: {'; '.join(near)}. " if near else ""
            raise InputError(
                f"no kit is known by {token!r}.",
                value=text,
                remedy=f"{hint}Give an id, or words such as {KNOWN_WORDS}.",
            )
        kits = kept
    others = [kit for kit in kits if kit != worded.pick] or kits
    if not others:
        raise InputError(
            f"no kit that fits this car is {text.strip()!r}.",
            value=text,
            remedy="Give fewer words, or the id of a kit.",
        )
    ranked = sorted(others, key=lambda kit: _nearness(worded, kit))
    said = f"Taken as {worded.wording.title(ranked[0])}."
    return Meant(ranked[0], tuple(ranked[1:]), said)


def _nothing_said(worded, text):
    """ "the one I have in mind" and no more: the nearest gentler kit, which is what callers hope for."""
    down = worded.record.next_down
    others = [kit.id for kit in worded.record.fitting if kit.id != worded.pick]
    kit = down.kit if down else min(others, key=lambda other: _nearness(worded, other), default=None)
    if kit is None:
        raise InputError(
            f"{text.strip()!r} does not say which kit.",
            value=text,
            remedy=f"Give an id, or words such as {KNOWN_WORDS}.",
        )
    which = "the nearest gentler kit" if down else "the nearest other kit"
    return Meant(kit, (), f"Taken as {which}, {worded.wording.title(kit)}. Say more to mean another.")


def _nearness(worded, kit):
    """Kits that pass first, then those that fail least, then the gentlest."""
    held = worded.kits[kit]
    return (held.place or 10**6, len(held.refused_by), held.gentleness)


def _matching(worded, token, kits):
    """Those of ``kits`` a word describes; None for a word that describes nothing at all."""
    fields = worded.fields
    if token in DISCS:
        return [kit for kit in kits if fields(kit).get("discs") == DISCS[token]]
    if token in FORMS:
        field, value = FORMS[token]
        return [kit for kit in kits if fields(kit).get(field) == value]
    if token in FACINGS:
        return [kit for kit in kits if fields(kit).get("facing") in FACINGS[token]]
    if token in COMPARED:
        return _compared(worded, token, kits)
    # Anything else must stand in an id or a title: a seller's name, a size.
    all_known = [
        kit for kit in worded.kits if token in re.split(r"[\s,-]+", f"{kit} {worded.wording.title(kit)}".casefold())
    ]
    if not all_known:
        return None
    among = [kit for kit in kits if kit in all_known]
    return among or ([] if any(worded.kits[kit].fits for kit in all_known) else all_known)


def _compared(worded, token, kits):
    fields, pick = worded.fields, worded.pick
    if token in ("factory", "stock", "standard", "original"):
        return [kit for kit in kits if fields(kit).get("factory")]
    if token in ("favourite", "favorite", "highest", "rated"):
        return sorted(kits, key=lambda kit: (-(fields(kit).get("seller_rating") or 0), kit))[:1]
    if pick is None or token == "nearest":
        return kits

    def than(value, sign):
        mine = value(pick)
        return [
            kit
            for kit in kits
            if kit != pick and mine is not None and value(kit) is not None and sign * (value(kit) - mine) > 0
        ]

    if token in ("cheaper", "dearer"):
        return than(lambda kit: fields(kit).get("price"), -1 if token == "cheaper" else 1)
    if token in ("stronger", "weaker"):
        return than(lambda kit: worded.record.figure(kit, CAPACITY), 1 if token == "stronger" else -1)
    if token == "lighter":
        return than(lambda kit: worded.record.figure(kit, "pedal_force_n"), -1)
    if token == "quieter":
        return than(lambda kit: worded.record.figure(kit, "noise_class"), -1)
    return than(lambda kit: worded.kits[kit].gentleness, 1 if token == "harsher" else -1)
