"""The first stage of checking: keys and kinds of value, by the JSON Schemas in schemas/, in an author's words."""

import hashlib
import json
from functools import cache
from pathlib import Path
from typing import Any

from ..errors import AdvisorError, ErrorList, Position, StoreError
from .faults import Faults
from .near import did_you_mean, nearest
from .strict_yaml import Node

_KINDS = {"string": "text", "number": "a number", "integer": "a whole number", "array": "a list", "object": "a mapping"}
_HOW = {
    "string": "Put it in quotes.",
    "number": "Write a plain number, such as 2 or 0.5.",
    "integer": "Write a whole number.",
    "array": "Write it as a list: [first, second].",
    "object": "Write keys and values below it.",
}


def schemas_folder() -> Path:
    """The folder of the schemas: beside the package in a checkout, inside it once installed."""
    package = Path(__file__).resolve().parent.parent
    if (package.parent / "pyproject.toml").is_file() and (package.parent / "schemas").is_dir():
        return package.parent / "schemas"
    packed = package / "_data" / "schemas"
    return packed if packed.is_dir() else package.parent / "schemas"


#: Digests of what was held against its schema in this process and found right: a lead's desk reads the same rules a
#: dozen times, and a schema takes half of the time of reading.
MOST_REMEMBERED = 4096
_SOUND: set[bytes] = set()


@cache
def schema(kind: str) -> Any:
    """The schema of one kind of file, as plain data."""
    try:
        return json.loads((schemas_folder() / f"{kind}.json").read_text(encoding="utf-8"))
    except OSError:
        raise StoreError(f"the schema {kind}.json is not there.", remedy="Install the program again.") from None


@cache
def _validator(kind):
    # Imported here because reading knowledge that was checked before needs none of it.
    from jsonschema import Draft202012Validator
    from referencing import Registry
    from referencing.jsonschema import DRAFT202012

    # Others share parts of these: `common` is made for that, and a question is asked `when` a rule's conditions hold.
    shared = {f"{name}.json": DRAFT202012.create_resource(schema(name)) for name in {"common", "rules", kind}}
    registry = Registry().with_resources(shared.items())
    return Draft202012Validator(_written_out(schema(kind), kind, {}), registry=registry)


def _written_out(part: Any, kind: str, known: dict[str, Any]) -> Any:
    """A part of the schema of a kind with what it refers to put in: looking it up is half the time of a check.

    ``known``: place -> what stands there, written out; None while that is under way, where a part holds itself.
    """
    if isinstance(part, list):
        return [_written_out(member, kind, known) for member in part]
    if not isinstance(part, dict):
        return part
    refers = part.get("$ref")
    if not isinstance(refers, str):
        return {name: _written_out(member, kind, known) for name, member in part.items() if name != "$defs"}
    file, _, path = refers.partition("#")
    of_kind = file.removesuffix(".json") or kind
    place = f"{of_kind}.json#{path}"
    if place not in known:
        known[place] = None
        target = schema(of_kind)
        for step in path.strip("/").split("/"):
            target = target[step]
        known[place] = _written_out(target, of_kind, known)
    put_in = known[place]
    if put_in is None or not set(part) <= {"$ref", "description", "title"}:
        return {name: _written_out(member, kind, known) for name, member in part.items()} | {"$ref": place}
    # What stands here says what the key is for, what was put in how a value is written.
    return {**put_in, "$comment": part["description"]} if "description" in part else put_in


def check(root: Node, kind: str, error: type[AdvisorError]) -> None:
    """Raise an ErrorList with everything in ``root`` that the schema ``kind`` does not allow, each at its place."""
    plain = root.plain()
    digest = hashlib.sha256(f"{kind} {plain!r}".encode("utf-8", "surrogatepass")).digest()
    if digest in _SOUND:
        return
    faults, seen = Faults(error), set()
    for fault in _validator(kind).iter_errors(plain):
        node = root.at(fault.absolute_path)
        for what, where, remedy in _sentences(fault, node):
            place = getattr(where, "position", where)
            if (what, place) not in seen:
                seen.add((what, place))
                faults.add(what, place, remedy)
    if faults:
        raise ErrorList(sorted(faults.errors, key=_place))
    if len(_SOUND) >= MOST_REMEMBERED:
        _SOUND.clear()
    _SOUND.add(digest)


def _place(error: AdvisorError) -> tuple[int, int]:
    where = error.where or Position("")
    return where.line, where.column


def _name(fault):
    """What the value at fault is called: its key, or the list it is an entry of."""
    path = list(fault.absolute_path)
    key = next((step for step in reversed(path) if isinstance(step, str)), "the file")
    return f"an entry of {key}" if path and isinstance(path[-1], int) else key


def _sentences(fault, node):
    """(what, place, remedy) of one validator error."""
    name, value = _name(fault), fault.instance
    rule = fault.validator
    if rule == "not":  # {"not": {}} in a schema: this key must not be here
        yield f"{name} does not belong here.", node.key, "Take it out, or change what it stands beside."
    elif rule in ("additionalProperties", "unevaluatedProperties"):
        allowed = list(fault.schema.get("properties", {}))
        for key in [key for key in value if key not in allowed]:
            yield f"the key {_short(key)} is not known here.", node[key].key, _known_keys(key, allowed, value)
    elif rule == "required":
        missing = next(
            (key for key in fault.validator_value if key not in value and f"{key!r}" in fault.message), "a key"
        )
        described = fault.schema.get("properties", {}).get(missing, {})
        what = described.get("$comment", described.get("description", ""))
        yield f"{_of(name)}{missing} is missing.", node, f"Write {missing}: ..." + (f" ({what})" if what else "")
    elif rule == "type":
        wanted = fault.validator_value if isinstance(fault.validator_value, list) else [fault.validator_value]
        yield (
            f"{name} must be {' or '.join(_KINDS[kind] for kind in wanted)}, not {_what(value)}.",
            node,
            _HOW[wanted[0]],
        )
    elif rule in ("enum", "const"):
        choices = fault.validator_value if rule == "enum" else [fault.validator_value]
        yield f"{_short(value)} is not allowed for {name}.", node, _choices(value, choices)
    elif rule == "pattern":
        # A mapping's key is checked like a value; its place is the key's own.
        place = node[value].key if isinstance(node.value, dict) and value in node else node
        yield f"{_short(value)} is not written as {name} needs it.", place, _describe(fault, "Correct it.")
    elif rule in ("minItems", "minLength", "minProperties"):
        yield (
            f"{name} has too little in it ({len(value)}, at least {fault.validator_value}).",
            node,
            _describe(fault, "Add to it."),
        )
    elif rule in ("maxItems", "maxProperties"):
        yield (
            f"{name} has too much in it ({len(value)}, at most {fault.validator_value}).",
            node,
            _describe(fault, "Take some out."),
        )
    elif rule == "uniqueItems":
        yield f"{name} names something twice.", node, "Keep one of the two."
    elif rule in ("minimum", "maximum"):
        size = "small" if rule == "minimum" else "large"
        yield f"{name} is {value}, which is too {size}.", node, f"The limit is {fault.validator_value}."
    else:
        yield f"{name} is not written as it must be ({rule}).", node, _describe(fault, "Correct it.")


def _describe(fault, default):
    return fault.schema.get("description", default)


def _of(name):
    return "" if name == "the file" else f"{name}: "


def _known_keys(key, allowed, value):
    free = [name for name in allowed if name not in value]
    return did_you_mean(key, free) or (f"Known keys are {', '.join(allowed)}." if allowed else "Take it out.")


def _choices(value, choices):
    names = [str(choice) for choice in choices]
    near = nearest(value, names)
    listed = names[0] if len(names) == 1 else f"one of {', '.join(names)}"
    return (f"Did you mean {near[0]}? " if near else "") + f"Write {listed}."


def _what(value):
    if isinstance(value, dict):
        return "a mapping"
    return "a list" if isinstance(value, list) else "an empty value" if value is None else _short(value)


def _short(value):
    text = str(value)
    return repr(text if len(text) <= 60 else text[:57] + "...")
