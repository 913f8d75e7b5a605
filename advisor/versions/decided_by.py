"""Which version of a shop's rules a kept case was decided by: who adopted it, when and why."""

from pathlib import Path

from ..casebook.kept_files import Files
from ..errors import AdvisorError
from ..knowledge import rules_in_force
from .history import History, Version

#: Places of the shop's own rules among the files kept with a case.
PLACES = ("house", "rules")


def version_kept(files: Files) -> int | None:
    """The number of the version that the files kept with a case say; None where they are of none."""
    for place in PLACES:
        body = files.bodies.get((place, rules_in_force.NUMBER))
        text = (body or b"").decode("utf-8", "replace").partition(":")[2].strip()
        if text.isascii() and text.isdigit():
            return int(text)
    return None


def sentence(files: Files, shop: Path | None) -> str:
    """ "House rules version 2, adopted ... by ...: why." "" where no house rules were in it.

    What the files kept with the case say is held against the sealed history of the shop in the folder ``shop``.
    """
    number = version_kept(files)
    if number is None:
        loose = any(place == "house" for place, _ in files.bodies)
        return "House rules that nobody had adopted as a version." if loose else ""
    named = f"House rules version {number}"
    version = _version(number, shop)
    if isinstance(version, str):
        return f"{named}; {version}."
    adopted, kept = version
    if not _same(kept, files):
        return f"{named}; the history has other rules under this number, so who adopted these is not known."
    return f"{named}, {adopted.adopted.rstrip('.')}."


def _version(number: int, shop: Path | None) -> "tuple[Version, dict[str, bytes]] | str":
    if shop is None or not (shop / "rules").is_dir():
        return "its history is not at hand here: name the shop in LEAST_CLUTCH_SHOP"
    try:
        with History(shop) as history:
            version = history.version(number)
            return version, history.bodies(version)
    except AdvisorError as fault:
        return f"its history cannot be read: {fault.what.rstrip('.')}"


def _same(adopted, files):
    place = "house" if any(kept == "house" for kept, _ in files.bodies) else "rules"
    held = {
        path: body for (kept, path), body in files.bodies.items() if kept == place and path != rules_in_force.NUMBER
    }
    return held == {path: body for path, body in adopted.items() if not path.endswith(".tests.yaml")}
