"""Which program made a decision: its version, its code and the libraries that decide with it."""

import functools
import importlib.metadata
import platform
from pathlib import Path

from .. import __version__
from ..knowledge import canonical

#: The rooms whose code a decision comes from.
ROOMS = ("mechanics", "knowledge", "engine", "deciding", "explaining")
LIBRARIES = ("numpy", "pyyaml", "durable-rules")


@functools.cache
def fingerprint() -> dict[str, str | dict[str, str]]:
    """{program, code_sha256, python, libraries}: equal for two decisions where the same program made them."""
    root = Path(__file__).resolve().parent.parent
    code = [
        [path.relative_to(root).as_posix(), canonical.digest(path.read_bytes())]
        for room in ROOMS
        for path in sorted((root / room).rglob("*.py"))
    ]
    return {
        "program": __version__,
        "code_sha256": canonical.sha256(code),
        "python": platform.python_version(),
        "libraries": {name: _version(name) for name in LIBRARIES},
    }


def _version(name):
    try:
        return importlib.metadata.version(name)
    except importlib.metadata.PackageNotFoundError:
        return None
