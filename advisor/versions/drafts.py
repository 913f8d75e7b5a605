"""Drafts: working copies of a shop's own rules, in its folder, which count for nothing until they are adopted.

Several may be under way at once, each with a name. A draft knows the version it was made from; where another has been
adopted since, `renewed` brings what that changed into it, line by line, and refuses where both changed the same lines.
"""

import difflib
import re
import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from ..casebook.rule_text import flow, scalar
from ..errors import InputError, KnowledgeError, Position, StoreError
from ..knowledge import disk, rules_in_force, strict_yaml
from ..knowledge.house_rules import SHORT
from ..knowledge.model import Knowledge, Rule
from ..knowledge.near import nearest_are
from .history import History, moved_on

FOLDER, FILE, USUAL = "drafts", "draft.toml", "draft"
_NAME = re.compile("[a-z][a-z0-9-]{0,39}")
#: What stands before the names of the version that a draft was made from.
_FROM = "from_"


@dataclass(frozen=True, slots=True)
class RulesDraft:
    """A draft: its ``name``, where it lies, and the version it was made from, by number and digest."""

    name: str
    folder: Path
    version: int
    sha256: str

    def bodies(self) -> dict[str, bytes]:
        """Its files, by path."""
        return rules_in_force.bodies(self.folder)


def standing(history: History) -> tuple[int, str, dict[str, bytes]]:
    """(number, digest, files) of the version in force; version 0, the loose files, where none was adopted."""
    held = rules_in_force.in_force(history.rules)
    bodies = rules_in_force.bodies(history.rules if held is None else held.folder)
    return (0, rules_in_force.digest(bodies), bodies) if held is None else (held.number, held.sha256, bodies)


def behind(history: History, draft: RulesDraft) -> InputError | None:
    """The error where what is in force is no longer what a draft was made from, else None."""
    number, sha256, _ = standing(history)
    if (draft.version, draft.sha256) == (number, sha256):
        return None
    versions = history.versions()
    if versions:
        return moved_on(versions[-1], draft.name)
    return InputError(
        "the house rules were edited by hand after the draft was made.",
        remedy=f"Bring that into the draft: advisor rules draft {draft.name} --renew",
    )


def all_of(shop: Path) -> list[RulesDraft]:
    """Every draft of a shop, by name."""
    return [named(shop, name) for name in _names(shop)]


def _names(shop):
    place = shop / FOLDER
    if not place.is_dir():
        return []
    return [path.name for path in sorted(place.iterdir()) if _NAME.fullmatch(path.name) and path.is_dir()]


def named(shop: Path, name: str) -> RulesDraft:
    """The draft of that name; InputError where there is none."""
    folder = shop / FOLDER / name
    if not _NAME.fullmatch(name) or not (folder / FILE).is_file():
        there = _names(shop)
        remedy = f"There are: {', '.join(there)}." if there else f"Begin one: advisor rules draft {USUAL}"
        raise InputError(f"there is no draft {name[:60]!r}.", value=name, remedy=remedy)
    said = rules_in_force.version_said(folder / FILE, _FROM)
    if said is not None:
        return RulesDraft(name, folder, *said)
    raise StoreError(
        "this does not say which version the draft was made from.",
        where=Position(str(folder / FILE)),
        remedy="Copy the files you changed elsewhere, and begin another draft.",
    )


def the_one(shop: Path, name: str | None) -> RulesDraft:
    """The draft of that name, or the only one where none is named; InputError where there is none, or several."""
    if name is not None:
        return named(shop, name)
    drafts = all_of(shop)
    if len(drafts) == 1:
        return drafts[0]
    if not drafts:
        raise InputError("there is no draft.", remedy=f"Begin one: advisor rules draft {USUAL}")
    names = ", ".join(draft.name for draft in drafts)
    raise InputError("there are several drafts.", remedy=f"Name one of {names}.")


def begin(shop: Path, history: History, name: str) -> RulesDraft:
    """Begin a draft from the version in force."""
    if not _NAME.fullmatch(name):
        raise InputError(
            f"{name[:60]!r} is no name for a draft.",
            value=name,
            remedy="Take small letters, digits and hyphens, as light-pedal.",
        )
    if (shop / FOLDER / name).exists():
        raise InputError(
            f"there is a draft {name!r} already.",
            value=name,
            remedy=f"Go on with it, name another, or let it go: advisor rules draft {name} --discard",
        )
    number, sha256, bodies = standing(history)
    _write_whole(shop / FOLDER / name, bodies, number, sha256)
    return named(shop, name)


def _write_whole(place, bodies, number, sha256):
    """A draft's folder, with the folders that rules go into."""
    said = rules_in_force.version_text(number, sha256, _FROM)
    text = f"# The program writes this: which version the draft was made from.\n{said}"
    with rules_in_force.telling(place, "draft"):
        rules_in_force.lay_whole(place, {**bodies, FILE: text.encode()})
        for name in ("case", "setup"):
            (place / name).mkdir(exist_ok=True)


def discard(draft: RulesDraft) -> None:
    """Let a draft go."""
    shutil.rmtree(draft.folder)


# --- a shipped rule to be changed


def take_in(draft: RulesDraft, rule: Rule, knowledge: Knowledge) -> tuple[Path, str]:
    """Write a shipped rule into a draft as a house rule in its place; (the file, the new rule's id).

    InputError where the draft has one in its place already.
    """
    assert rule.position is not None, "a rule that was read has a place"
    if rule.id in knowledge.replaced.values():
        own = next(new for new, old in knowledge.replaced.items() if old == rule.id)
        raise InputError(f"{rule.id} is replaced by the house rule {own} already.", remedy=f"Change {own}.")
    source = Path(rule.position.file)
    parts = _as_written(source, rule)
    ids = {known.id for known in knowledge.rules}
    new = f"{rule.id}-house"
    count = 2
    while new in ids:
        new, count = f"{rule.id}-house-{count}", count + 1
    parts = {"id": new, "title": parts.pop("title"), "replaces": {"rule": rule.id, "hash": rule.hash[:SHORT]}, **parts}
    name = "consistency.yaml" if rule.stage == "consistency" else f"{rule.stage}/{source.stem}.yaml"
    place = draft.folder / name
    lines = [
        f"  {'- ' if number == 0 else '  '}{key}: {_written(part)}" for number, (key, part) in enumerate(parts.items())
    ]
    before = disk.text(place, disk.RULES) if place.is_file() else f"topic: {rule.topic}\nstage: {rule.stage}\nrules:\n"
    text = before.rstrip("\n") + "\n" + ("\n" if place.is_file() else "") + "\n".join(lines) + "\n"
    place.parent.mkdir(parents=True, exist_ok=True)
    disk.deliver(place, text, replace=True)
    return place, new


def _written(part):
    return flow(part) if isinstance(part, (dict, list)) else scalar(part, within=False)


def _as_written(path, rule):
    """The parts of a rule as its file has them, those that a group or a table shares among them, its id aside."""
    root = strict_yaml.load(path, error=KnowledgeError)
    for node in root["rules"]:
        shared = {key: part for key, part in node.plain().items() if key not in ("id", "group", "table")}
        if node.get("id") == rule.id and "table" not in node:
            return shared
        for member in node.many("group"):
            if member.get("id") == rule.id:
                own = {key: part for key, part in member.plain().items() if key != "id"}
                if "when" in own and "when" in shared:
                    own["when"] = {**shared["when"], **own["when"]}
                return _in_order({**shared, **own})
        if "table" in node and rule.id in node["table"]["rows"]:
            row = node["table"]["rows"][rule.id].plain()
            cells, own = (
                (row["cells"], {k: v for k, v in row.items() if k != "cells"}) if isinstance(row, dict) else (row, {})
            )
            asks, gives = node["table"]["when"].plain(), node["table"]["conclude"].plain()
            when = {**shared.pop("when", {}), **dict(zip(asks, cells))}
            return _in_order({**shared, "when": when, "conclude": dict(zip(gives, cells[len(asks) :])), **own})
    raise InputError(f"{rule.id} does not stand in {path}.", remedy="Read the rules again: advisor rules check")


def _in_order(parts):
    first = ("title", "when", "conclude", "require", "caution", "add", "do", "fit_by")
    return {key: parts[key] for key in (*first, *parts) if key in parts}


def rule_of(knowledge: Knowledge, name: str) -> Rule:
    """The rule of that id; InputError with the nearest names where there is none."""
    rules = {rule.id: rule for rule in knowledge.rules}
    if name not in rules:
        raise InputError(
            f"there is no rule {name!r}.", value=name, remedy=nearest_are(name, rules, "See advisor rules list.")
        )
    return rules[name]


# --- another version adopted meanwhile


def renewed(shop: Path, history: History, draft: RulesDraft) -> list[str]:
    """Bring into a draft what was adopted since it was made; the files that were changed, in words.

    InputError, and nothing is written, where both changed the same lines of a file.
    """
    number, sha256, theirs = standing(history)
    if (number, sha256) == (draft.version, draft.sha256):
        return []
    base = history.bodies(history.version(draft.version)) if history.store is not None else {}
    if rules_in_force.digest(base) != draft.sha256:
        raise InputError(
            f"the version that draft {draft.name} was made from is not kept.",
            remedy="Begin another draft, and make the changes again.",
        )
    bodies, brought_in, clashing = _merged(base, theirs, draft.bodies())
    if clashing:
        raise InputError(
            f"version {number} changed the same lines as the draft: {'; '.join(clashing)}.",
            remedy=f"See what it changed: advisor rules compare {draft.version} {number}. "
            "Begin another draft, and make the changes again.",
        )
    _write_whole(draft.folder, bodies, number, sha256)
    return brought_in


def _merged(base: Mapping[str, bytes], theirs: Mapping[str, bytes], mine: Mapping[str, bytes]):
    bodies: dict[str, bytes] = {}
    brought_in, clashing = [], []
    for path in sorted({*base, *theirs, *mine}):
        old, there, here = base.get(path), theirs.get(path), mine.get(path)
        if there in (old, here):
            taken = here
        elif here == old:
            taken = there
            brought_in.append(f"{path}: as in the version in force")
        elif old is None or there is None or here is None:
            clashing.append(f"{path} as a whole")
            taken = here
        else:
            lines, places = merge(*(body.decode().splitlines(keepends=True) for body in (old, there, here)))
            taken = "".join(lines).encode()
            clashing += [f"{path}, line {line}" for line in places]
            brought_in.append(f"{path}: both changes")
        if taken is not None:
            bodies[path] = taken
    return bodies, brought_in, clashing


def merge(base: Sequence[str], theirs: Sequence[str], mine: Sequence[str]) -> tuple[list[str], list[int]]:
    """(the lines with both changes, lines of ``mine`` at which both changed the same lines of ``base`` otherwise).

    >>> merge(["a", "b", "c", "d"], ["A", "b", "c", "d"], ["a", "b", "c", "D"])
    (['A', 'b', 'c', 'D'], [])
    """
    changes = []
    for side in (theirs, mine):
        matcher = difflib.SequenceMatcher(None, base, side, autojunk=False)
        changes.append(
            [
                (low, high, list(side[start:end]), start)
                for tag, low, high, start, end in matcher.get_opcodes()
                if tag != "equal"
            ]
        )
    lines: list[str] = []
    clashing, place = [], 0
    theirs_left, mine_left = changes
    while theirs_left or mine_left:
        if theirs_left and mine_left and _touch(theirs_left[0], mine_left[0]):
            there, here = theirs_left.pop(0), mine_left.pop(0)
            if there[:3] != here[:3]:
                clashing.append(here[3] + 1)
            change = here
        elif not mine_left or (theirs_left and theirs_left[0][:2] < mine_left[0][:2]):
            change = theirs_left.pop(0)
        else:
            change = mine_left.pop(0)
        lines += base[place : change[0]]
        lines += change[2]
        place = max(place, change[1])
    return lines + list(base[place:]), clashing


def _touch(change, other):
    """Whether two changes are of the same lines, or of lines beside each other."""
    return change[0] <= other[1] and other[0] <= change[1]
