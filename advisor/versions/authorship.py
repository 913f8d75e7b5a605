"""Which version of a shop's rules wrote each rule as it stands now."""

from collections.abc import Mapping, Sequence
from typing import Any

from ..errors import AdvisorError, ErrorList
from ..knowledge import canonical, strict_yaml
from ..reporting.sheets.rule_book import VersionListed
from .history import History, Version


def written(versions: Sequence[Version]) -> list[VersionListed]:
    """The versions as the book of rules tells them."""
    return [
        VersionListed(
            version.number,
            version.at[:10],
            version.by,
            version.why if version.number else "as the rules stood before any version was adopted",
            (*version.changes, *(f"signed for: {text}" for text in version.accepted)),
        )
        for version in versions
    ]


def since(history: History, versions: Sequence[Version]) -> dict[str, int]:
    """Rule -> the number of the version since which it says what it says in the last one."""
    numbers: dict[str, int] = {}
    before: dict[str, str] = {}
    for version in versions:
        now = _rules(history.bodies(version))
        numbers = {name: numbers[name] if before.get(name) == text else version.number for name, text in now.items()}
        before = now
    return numbers


def _rules(bodies: Mapping[str, bytes]) -> dict[str, str]:
    """Rule or row -> all that its file says of it, in one text."""
    rules: dict[str, str] = {}
    for path, body in bodies.items():
        if ("/" not in path and path != "consistency.yaml") or path.endswith(".tests.yaml"):
            continue
        try:
            root = strict_yaml.loads(body.decode("utf-8"), path).plain()
        except (AdvisorError, ErrorList, UnicodeDecodeError):  # of a version that this program no longer reads
            continue
        for entry in root.get("rules", ()) if isinstance(root, dict) else ():
            rules |= _members(entry)
    return rules


def _members(entry: Any) -> dict[str, str]:
    shared = {key: part for key, part in entry.items() if key not in ("group", "table")}
    rules = {entry["id"]: canonical.text(_plain(shared))} if "id" in entry else {}
    for member in entry.get("group", ()):
        rules[member["id"]] = canonical.text(_plain([shared, member]))
    table = entry.get("table", {})
    for name, row in table.get("rows", {}).items():
        rules[name] = canonical.text(_plain([shared, table["when"], table["conclude"], row]))
    return rules


def _plain(value):
    if isinstance(value, dict):
        return {str(key): _plain(part) for key, part in value.items()}
    if isinstance(value, list):
        return [_plain(part) for part in value]
    return value if isinstance(value, bool) or value is None else str(value)
