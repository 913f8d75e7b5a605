"""A shop's own rules laid over the shipped ones: they add facts, questions, calculations and rules; a shipped rule is
replaced only by one that says so, with the hash of what it replaces.

After an upgrade that hash tells whether what was replaced has changed underneath.
"""

from collections.abc import Iterable, MutableMapping
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import AdvisorError, ErrorList, KnowledgeError, Position
from ..frozen import frozen
from . import shapes, strict_yaml
from .model import STAGES, Remark, Rule
from .near import did_you_mean
from .strict_yaml import Node

if TYPE_CHECKING:
    from .faults import Faults

#: Letters of a hash that are written down.
SHORT = 12
#: Files of which a house may have its own, with the parts that are laid over, and all that the form asks for.
MAPPINGS = {
    "vocabulary": (("facts",), ("facts", "figures", "kit_fields")),
    "questions": (("questions",), ("questions",)),
}
LISTS = {"calculations": ("consistency", "calculations", "figures")}


@frozen
class Replaced:
    """``by``: id of a house rule; ``id`` and ``hash`` of the shipped one it replaces, as written down."""

    by: str
    id: str
    hash: str
    position: Position


@frozen
class House:
    """``rule_files``: (stage, root) of the house's own; ``replaced``: what they say they replace."""

    rule_files: tuple[tuple[str, Node], ...] = ()
    replaced: tuple[Replaced, ...] = ()


def lay_over(roots: MutableMapping[str, Node], folder: Path) -> House:
    """Put the single files of a house into the shipped ``roots``; ErrorList with all that is wrong.

    What is laid over is a copy: the nodes of the shipped files stand as they were read.
    """
    errors: list[AdvisorError] = []
    files: list[tuple[str, Node]] = []
    replaced: list[Replaced] = []
    for name in (*MAPPINGS, *LISTS):
        path = folder / f"{name}.yaml"
        if path.is_file():
            try:
                roots[name] = _copy(roots[name])
                _single(roots[name], path, name, errors)
            except ErrorList as several:
                errors += several.errors
            except AdvisorError as error:
                errors.append(error)
    for stage in STAGES:
        for path in _rule_paths(folder, stage):
            try:
                root = strict_yaml.load(path, error=KnowledgeError)
                replaced += _taken_out(root, errors)
                shapes.check(root, "rules", KnowledgeError)
                files.append((stage, root))
            except ErrorList as several:
                errors += several.errors
            except AdvisorError as error:
                errors.append(error)
    if errors:
        raise ErrorList(errors)
    return House(tuple(files), tuple(replaced))


def _rule_paths(folder, stage):
    if stage == "consistency":
        return [path for path in (folder / "consistency.yaml",) if path.is_file()]
    return [path for path in sorted((folder / stage).glob("*.yaml")) if not path.name.endswith(".tests.yaml")]


def _single(shipped, path, name, errors):
    root = strict_yaml.load(path, error=KnowledgeError)
    parts, every = MAPPINGS.get(name) or (LISTS[name], LISTS[name])
    own = [part for part in root.value if part not in parts] if isinstance(root.value, dict) else []
    for part in own:
        errors.append(
            KnowledgeError(
                f"a house lays no {part} over the shipped ones.", where=root[part].key, remedy="Take it out."
            )
        )
    if own:
        return
    empty: dict | list = [] if name in LISTS else {}
    for part in every:
        root.value.setdefault(part, Node(type(empty)(), root.position, root.position))
    filled = Node({part: node for part, node in root.value.items() if node.value or part in parts[:1]}, *_places(root))
    shapes.check(_whole(filled, shipped, every), name, KnowledgeError)
    for part in parts:
        if name in LISTS:
            if part in shipped:
                shipped[part].value.extend(root[part].value)
            continue
        for key, node in root[part].items():
            if key in shipped[part]:
                errors.append(
                    KnowledgeError(
                        f"{key} is shipped; a house may only add.", where=node.key, remedy="Give it another name."
                    )
                )
            else:
                shipped[part].value[key] = node


def _copy(root):
    """A file's root whose parts may be added to."""
    return Node({part: Node(node.value.copy(), *_places(node)) for part, node in root.value.items()}, *_places(root))


def _places(root):
    return root.position, root.key


def _whole(root, shipped, every):
    """The house's file with the shipped parts it does without, so that its form can be held against the schema."""
    return Node({**{part: shipped[part] for part in every if part in shipped}, **{
        part: node for part, node in root.value.items() if node.value
    }}, *_places(root))  # fmt: skip


def _taken_out(root, errors):
    """What the rules of a file say they replace, taken out of the nodes: it is nothing a rule reads."""
    for node in root.many("rules"):
        for member in (node, *node.many("group")):
            if "replaces" not in member:
                continue
            said = member.value.pop("replaces")
            name, digest = said.get("rule"), said.get("hash", "")
            if not isinstance(name, str) or not isinstance(digest, str) or set(said.value) - {"rule", "hash"}:
                what = "what a rule replaces is written as {rule: its-id, hash: twelve letters}."
                errors.append(KnowledgeError(what, where=said.position, remedy="advisor rules show ID says the hash."))
                continue
            yield Replaced(str(member.get("id")), name, digest, said.position)


def without_replaced(shipped: Iterable[Rule], house: House, faults: "Faults") -> tuple[list[Rule], list[Remark]]:
    """(the shipped rules that are not replaced, remarks on what was replaced and has changed underneath)."""
    by_id = {rule.id: rule for rule in shipped}
    gone, remarks = set(), []
    for replaced in house.replaced:
        rule = by_id.get(replaced.id)
        if rule is None:
            near = did_you_mean(replaced.id, by_id, "")
            remarks.append(
                Remark(
                    f"the house rule {replaced.by} replaces {replaced.id}, which is no longer shipped. {near}".strip(),
                    replaced.position,
                    stale=True,
                )
            )
            continue
        now = rule.hash[:SHORT]
        if not replaced.hash:
            faults.add(
                f"the house rule {replaced.by} does not say which {replaced.id} it replaces.",
                replaced.position,
                f"Write hash: {now}.",
            )
        elif not rule.hash.startswith(replaced.hash) or len(replaced.hash) < SHORT:
            remarks.append(
                Remark(
                    f"the house rule {replaced.by} replaces {replaced.id}, which has changed: "
                    f"it was {replaced.hash}, it is {now}. "
                    "Look whether the house rule still says what is meant, then write the new hash.",
                    replaced.position,
                    stale=True,
                )
            )
        gone.add(replaced.id)
    return [rule for rule in by_id.values() if rule.id not in gone], remarks
