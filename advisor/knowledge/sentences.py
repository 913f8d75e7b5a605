"""Plain text: sentences, lists and lines, a number never parted from its unit. Knows nothing of rules or records."""

import re
import textwrap
from collections.abc import Iterable

#: A sentence read aloud has this many words at most.
MOST_WORDS = 30
#: A number and its unit stay on one line.
_UNIT = re.compile(
    r"(?<=\d) (?=(?:N m|lb-ft|lbf|kN|N|mm2|mm|cm3|MPa|psi|kPa|bar|kW|hp|rpm|degC|degF|kg m2|kg|lb|km|mi|m|%|K|s|J|kJ"
    r"|deg|EUR)\b|%)"
)
_UNIT_OF_TWO = re.compile(r"(?<=\xa0N) (?=m\b)|(?<=\xa0kg) (?=m2\b)")
_END = re.compile(r"(?<=[.!?])\s+(?=[A-Z0-9\"(])|;\s+|(?<=[a-z)]):\s+(?=[a-z][^.;:]{25})")
_JOINT = re.compile(r", (?=(?:and|but|so|because|which|where|while|unless|until|for|or) )")


def capital(text: str) -> str:
    """``text`` with a capital first letter."""
    return text[:1].upper() + text[1:]


def lower_first(text: str) -> str:
    """``text`` as it goes on within a sentence; a first word in capitals, or of one letter, stays as it is."""
    return text[:1].lower() + text[1:] if text[1:2].islower() else text


def sentence(text: str) -> str:
    """``text`` as one sentence: capital first, full stop last."""
    text = capital(" ".join(text.split()))
    return text if text.endswith((".", "!", "?")) else text + "."


def before_known(label: str) -> str:
    """When that of which this is the label is not known yet: a noun, or a clause ("whether the car races").

    >>> before_known("engine torque"), before_known("how heavy a pedal the driver accepts")
    ('before the engine torque is known', 'before it is known how heavy a pedal the driver accepts')
    """
    if label.split(" ")[0] in ("whether", "how", "what", "where", "when"):
        return f"before it is known {label}"
    return f"before the {label} is known"


def first_sentence(text: str) -> str:
    """The first sentence of a text, its full stop kept."""
    match = re.match(r".*?[.!?](?=\s+[A-Z]|$)", text, re.DOTALL)
    return match[0] if match else text


def aloud(text: str) -> list[str]:
    """A text as short sentences: split at full stops, semicolons and colons, then at joints where too long."""
    sentences = []
    for part in _END.split(" ".join(text.split())):
        if part:
            sentences += [sentence(piece) for piece in _short(part)]
    return sentences


def _short(part: str) -> list[str]:
    words = part.split()
    joints = [match.start() for match in _JOINT.finditer(part)]
    if len(words) <= MOST_WORDS or not joints:
        return [part]
    middle = min(joints, key=lambda place: abs(place - len(part) // 2))
    return _short(part[:middle]) + _short(part[middle + 2 :])


def joined(names: Iterable[object], last: str = "and", most: int | None = None) -> str:
    """ "a", "a and b", "a, b and c"; cut after ``most``: "a, b and 3 more"."""
    parts = [str(name) for name in names]
    if most is not None and len(parts) > most:
        parts = [*parts[:most], f"{len(parts) - most} more"]
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"


def count(number: int, noun: str, plural: str = "") -> str:
    """ "one kit", "3 kits"."""
    return f"one {noun}" if number == 1 else f"{number} {plural or noun + 's'}"


def chance(probability: float) -> str:
    """A probability [-] in whole per cent, which is as fine as it is known: "93 %", "over 99 %", "under 1 %"."""
    whole = round(100 * probability)
    return "over 99 %" if whole == 100 and probability < 1 else "under 1 %" if whole == 0 else f"{whole} %"


def tied(text: str) -> str:
    """``text`` with blanks that do not break between a number and its unit."""
    return _UNIT_OF_TWO.sub("\xa0", _UNIT.sub("\xa0", text))


def wrap(text: str, width: int, first: str = "", rest: str | None = None) -> str:
    """``text`` wrapped to ``width`` with a prefix on the first line and an indent on the others."""
    rest = " " * len(first) if rest is None else rest
    text = tied(" ".join(text.split()))
    filled = textwrap.fill(text, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
    return filled.replace("\xa0", " ")
