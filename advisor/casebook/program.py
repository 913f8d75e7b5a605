"""Which program made a decision: its version, its code and the libraries that decide with it."""

import functools
import hashlib
import importlib.metadata
import platform
from pathlib import Path

from .. import __version__

#: The rooms whose code a decision comes from.
ROOMS = ("mechanics", "knowledge", "engine", "deciding", "explaining")
LIBRARIES = ("numpy", "pyyaml", "durable-rules")


@functools.cache
def fingerprint():
    """{program, code_sha256, python, libraries}: equal for two decisions where the same program made them."""
    root = Path(__file__).resolve().parent.parent
    digest = hashlib.sha256()
    for room in ROOMS:
        for path in sorted((root / room).rglob("*.py")):
            digest.update(path.relative_to(root).as_posix().encode())
            digest.update(hashlib.sha256(path.read_bytes()).digest())
    return {
        "program": __version__,
        "code_sha256": digest.hexdigest(),
        "python": platform.python_version(),
        "libraries": {name: _version(name) for name in LIBRARIES},
    }


def _version(name):
    try:
        return importlib.metadata.version(name)
    except importlib.metadata.PackageNotFoundError:
        return None
