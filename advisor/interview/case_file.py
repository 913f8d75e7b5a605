"""The case file of an interview: written so that `recommend` and the interview read the same answers back."""

import json
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import InputError
from ..knowledge import cases, shapes, strict_yaml
from .state import Said, State

if TYPE_CHECKING:
    from ..knowledge.model import Knowledge

_ABOUT = ("title", "note", "invented", "expect")


def write(state: State) -> str:
    """The text of the case file: answers in the order they were told, don't know as unknown."""
    lines = [f"case: {state.case}"]
    if "title" in state.about:
        lines.append(f"title: {quoted(state.about['title'])}")
    if state.car is not None:
        lines.append(f"platform: {state.car or 'none'}")
    if state.insist:
        lines.append(f"insist: {_value(list(state.insist))}")
    lines.append("answers:" if state.said else "answers: {}")
    lines += [f"  {name}: {_answer(answer)}" for name, answer in state.said.items()]
    if state.changed:
        lines.append("changed:")
        lines += [f"  - {_value(_changed(change))}" for change in state.changed]
    for key in ("note", "invented", "expect"):
        if key in state.about:
            lines.append(f"{key}: {_value(state.about[key])}")
    return "\n".join(lines) + "\n"


def _answer(said):
    if said.unknown:
        return "unknown"
    if said.origin == "stated" and not said.ends:
        return quoted(said.raw)
    ends = "".join(f", {name}: {quoted(end)}" for name, end in zip(("low", "high"), said.ends))
    return f"{{value: {quoted(said.raw)}{ends}, from: {said.origin}}}"


def _changed(change):
    """An answer that was another one when a result was told, as the case file has it."""
    ends = {"before": change.before, "after": change.after}
    return {"fact": change.fact, **{name: held for name, held in ends.items() if held is not None}}


def quoted(text: str) -> str:
    """Any text as a YAML scalar that is read back as the same text."""
    if text.replace("_", "").isalpha() and text.isascii() and text.casefold() not in ("null", "unknown"):
        return text
    shown = json.dumps(text, ensure_ascii=False)
    return "".join(char if char.isprintable() else _escape(char) for char in shown)


def _escape(char):
    code = ord(char)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def _value(value):
    """Text, number, list or mapping in one line."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{quoted(key)}: {_value(member)}" for key, member in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(map(_value, value)) + "]"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value) if isinstance(value, (int, float, Decimal)) else quoted(value)


def read(path: Path | str, knowledge: "Knowledge") -> State:
    """The State in a case file. Raises InputError (or ErrorList of it) with its place."""
    root = strict_yaml.load(path, error=InputError, nulls=("expect",))
    shapes.check(root, "case", InputError)
    case = cases.read_case(root, knowledge)
    said = {}
    for name, node in root["answers"].items():
        answer = case.answers.get(name)
        if answer is None:
            said[name] = Said(name, "unknown", None)
        else:
            raw, ends = node.plain(), []
            if isinstance(raw, dict):
                ends = [str(raw[end]) for end in ("low", "high") if end in raw]
                raw = raw["value"]
            said[name] = Said.of(name, ", ".join(raw) if isinstance(raw, list) else str(raw), answer, ends=ends)
    about = {key: root[key].plain() for key in _ABOUT if key in root}
    return State(
        case.id,
        case.platform if "platform" in root else None,
        said,
        about=about,
        changed=case.changed,
        insist=case.insist,
    )
