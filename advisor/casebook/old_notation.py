"""The notation rules were written in before, read into today's: for stored knowledge alone.

Cases keep the files they were decided with, byte for byte. Before those are read, each file of rules in the old
notation is written anew here; nothing else reads the old one. What each part becomes:

    when: {all: [{fact: f, is: x}, {any: [...]}]}           when: {f: x, any: [...]}
    in, is_not, not_in, known: yes, absent: yes             [..], {not: x}, {not: [..]}, known, not known
    conclude: [{fact: f, value: {fact: g}}]                 conclude: {f: g}
    require: {figure: m, at_most: {fact: g}, level: must}   require: {m: {at_most: g}, level: must}
    table: rows that ask the same and only conclude         table: {when: [..], conclude: [..], rows: {id: [..]}}
    table: other rows                                       group: rows; a single row becomes a rule
"""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..errors import AdvisorError, KnowledgeError
from ..knowledge import strict_yaml
from . import rule_text

if TYPE_CHECKING:
    from ..knowledge.strict_yaml import Node

_SHARED = ("title", "because", "basis", "owner", "reviewed")
_BOUNDS = ({"above", "at_least"}, {"below", "at_most"})


def converted(body: bytes) -> bytes:
    """A file of rules in today's notation; as it is where it is not in the old one, or cannot be read at all."""
    try:
        root = strict_yaml.loads(body, "stored", error=KnowledgeError)
    except AdvisorError:
        return body  # whoever reads it next says what is wrong, with its place
    entries = root.many("rules")
    if not any(is_old(part) for entry in entries for part in (entry, *_rows(entry))):
        return body
    written = {**root.value, "rules": [part for entry in entries for part in _entry(entry)]}
    return rule_text.write(written, body.decode("utf-8"), root).encode("utf-8")


def is_old(node: "Node") -> bool:
    """Whether a rule or row is in the old notation."""
    plain = node.plain()
    if not isinstance(plain, dict):
        return False
    when, parts = plain.get("when"), [plain.get(key) for key in ("conclude", "require")]
    parts = [part_of for part in parts for part_of in (part if isinstance(part, list) else [part])]
    return (
        (isinstance(when, dict) and isinstance(when.get("all"), list))
        or isinstance(plain.get("table"), list)
        or any(isinstance(part, dict) and {"fact", "figure", "kit"} & part.keys() for part in parts)
    )


def _rows(node):
    return tuple(node["table"]) if "table" in node and isinstance(node["table"].value, list) else ()


def _entry(node):
    """The entries one entry becomes: itself written anew."""
    rows = _rows(node)
    if not rows:
        return [_rule(node)]
    own = _rule(node, leave=("table",))
    if len(rows) == 1 and "when" not in own:
        (row,) = rows
        rule = _rule(row)
        return [
            rule_text.RuleEntry({"id": row["id"], **_without(own, "id"), **rule}, own.line, {**own.lines, **rule.lines})
        ]
    parts = [_rule(row) for row in rows]
    table = _table(parts)
    if table:
        own["table"] = table
    else:
        own["group"] = parts
    return [own]


def _without(entry, *names):
    return {name: value for name, value in entry.items() if name not in names}


def _rule(node, leave=()):
    """One rule or row, each part a plain value or a node that stays as it is."""
    change = {"when": _when, "conclude": _conclude, "require": _require}
    return rule_text.RuleEntry(
        {name: change.get(name, lambda part: part)(part) for name, part in node.items() if name not in leave},
        node.position.line,
        {name: part.key.line for name, part in node.items()},
    )


def _when(node):
    if "all" not in node:
        return node
    asked: dict[str, Any] = {}
    any_ = None
    for entry in node["all"]:
        if "any" in entry:
            any_ = [dict([_condition(branch)]) for branch in entry["any"]]
            continue
        name, value = _condition(entry)
        if name in asked:
            value = _together(name, asked[name], value)
        asked[name] = value
    return {**asked, **({"any": any_} if any_ else {})}


def _together(name, first, second):
    """Two bounds of one fact as one mapping."""
    both = [part if isinstance(part, dict) else {} for part in (first, second)]
    sides = [[bool(bound & part.keys()) for bound in _BOUNDS] for part in both]
    if sorted(sides) != [[False, True], [True, False]] or any(len(part) != 1 for part in both):
        raise KnowledgeError(
            f"{name} is asked of twice in a way that today's notation cannot say.",
            remedy="Use the program the case was decided with.",
        )
    return {**both[0], **both[1]}


def _condition(node):
    """(fact, what it must be) of a condition."""
    name = node.get("fact")
    ((test, limit),) = ((key, part) for key, part in node.items() if key != "fact")
    if test in ("is", "in"):
        return name, limit.plain()
    if test in ("is_not", "not_in"):
        return name, {"not": limit.plain()}
    if test in ("known", "absent", "answered"):
        return name, {"absent": "not known"}.get(test, test)
    return name, {test: _limit(limit)}


def _limit(node):
    """A literal, a fact's name, {kit: field}, or a list of them."""
    if isinstance(node.value, list):
        return [_limit(member) for member in node]
    return node.get("fact") if "fact" in node else node.plain()


def _conclude(node):
    if not any("fact" in part for part in node):
        return node
    return {part.get("fact"): _limit(part["value"]) for part in node}


def _require(node):
    parts = [_requirement(part) for part in node]
    return parts if isinstance(node.value, list) and len(parts) > 1 else parts[0]


def _requirement(node):
    if "figure" not in node and "kit" not in node:
        return node
    measure = node.get("figure") or node.get("kit")
    beside = ("id", "level", "concern", "safety", "of_kits")
    ((compare, limit),) = ((key, part) for key, part in node.items() if key not in (*beside, "figure", "kit"))
    if compare == "is" and isinstance(limit.value, dict):
        wanted = {"same_as": _limit(limit)}
    elif compare in ("is", "in"):
        wanted = limit.plain()
    else:
        wanted = {"not" if compare == "not_in" else compare: _limit(limit)}
    written = {"id": node.get("id")} if "id" in node else {}
    return {**written, measure: wanted, **{name: node.get(name) for name in beside[1:] if name in node}}


def _table(rows):
    """Rows as a table, or None where they do not all ask the same facts or do more than conclude."""
    heads = {(tuple(row.get("when", ())), tuple(row.get("conclude", ()))) for row in rows}
    if len(heads) != 1 or any({*row} - {"id", "when", "conclude", *_SHARED} for row in rows):
        return None
    ((asks, gives),) = heads
    if not asks or not gives or "any" in asks:
        return None
    written = {}
    for row in rows:
        cells = [row["when"][name] for name in asks] + [row["conclude"][name] for name in gives]
        beside = {name: row[name] for name in _SHARED if name in row}
        written[row["id"].value] = rule_text.Row(cells, beside, row.line)
    return {"when": list(asks), "conclude": list(gives), "rows": written}


def main(folders: list[str]) -> int:
    """Write every file of rules under the folders anew where it is in the old notation; how many were."""
    changed = 0
    for folder in folders:
        for path in sorted(Path(folder).rglob("*.yaml")):
            if path.parent.name not in ("case", "setup") or path.name.endswith(".tests.yaml"):
                continue
            before = path.read_bytes()
            after = converted(before)
            if after != before:
                path.write_bytes(after)
                changed += 1
    return changed


if __name__ == "__main__":
    print(f"{main(sys.argv[1:])} files written in today's notation.")
