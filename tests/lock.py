"""Renews the locked dependencies: ``python -m tests.lock``. They stand in ``.locked/``, one file for each purpose.

Every package that an installation brings, direct or not, is there with the digest of each of its files, for every
system and Python that the program runs on. The resolver is ``uv`` (`pip install uv`; it is needed for nothing else). A
version that is locked stays as it is unless pyproject.toml asks for another; ``--upgrade`` takes the newest of all.
"""

import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
FOLDER = ROOT / ".locked"
#: File -> the extras of pyproject.toml that it holds beside the plain dependencies.
FILES = {
    "install.txt": (),
    "install-sheets.txt": ("graph", "sheets", "spreadsheets"),
    "install-server.txt": ("server",),
    "test.txt": ("bench", "test"),
}
#: What builds the program itself, and what comes as source: nothing is fetched unlocked while it is built.
BUILD = ("editables", "setuptools", "wheel")
BUILD_FILE = "build.txt"
#: Packages that come as source for want of a file that is built already, and must be compiled.
COMPILED = ("durable-rules",)
HEAD = "# Locked by `python -m tests.lock`; not written by hand.\n"
_PACKAGE = re.compile(r"^([A-Za-z0-9._-]+)==(\S+?)( ;.*?)? \\$", re.MULTILINE)


def normal(name: str) -> str:
    """The name of a package as it is compared."""
    return re.sub(r"[-_.]+", "-", name).lower()


def locked(text: str) -> dict[str, str]:
    """Package -> version in the text of a lock."""
    return {normal(name): version for name, version, _ in _PACKAGE.findall(text)}


def wanted(extras: tuple[str, ...]) -> dict[str, str]:
    """Package -> version that pyproject.toml asks for, with some of its extras."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = list(project["dependencies"])
    todo, done = list(extras), set()
    while todo:
        extra = todo.pop()
        done.add(extra)
        for text in project["optional-dependencies"][extra]:
            own = re.fullmatch(rf"{project['name']}\[(.*)\]", text)
            if own:
                todo += [name.strip() for name in own[1].split(",") if name.strip() not in done]
            else:
                asked.append(text)
    pairs = (text.partition(";")[0].split("==") for text in asked)
    return {normal(name.strip()): version.strip() for name, version in pairs}


def build_requirements() -> tuple[str, ...]:
    """What pyproject.toml builds the program with, and what that needs."""
    system = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["build-system"]
    return (*system["requires"], *BUILD)


def renew(*more: str) -> None:
    """Write every lock anew."""
    FOLDER.mkdir(exist_ok=True)
    for name, extras in FILES.items():
        _resolve("pyproject.toml", name, [part for extra in extras for part in ("--extra", extra)], more)
    source = FOLDER / "build.in"
    source.write_text("\n".join(build_requirements()) + "\n", encoding="utf-8")
    try:
        _resolve(str(source), BUILD_FILE, [], more)
    finally:
        source.unlink()


def _resolve(source, name, options, more):
    uv = shutil.which("uv") or str(Path(sys.executable).with_name("uv"))
    out = FOLDER / name
    command = [uv, "pip", "compile", source, "--universal", "--python-version", "3.11", "--generate-hashes"]
    command += ["--no-header", "--no-annotate", "--no-emit-index-url", "--system-certs", "--quiet"]
    command += [*options, *more, "--output-file", str(out)]
    subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
    lines = out.read_text(encoding="utf-8").splitlines(keepends=True)
    out.write_text(HEAD + "".join(line for line in lines if not line.startswith(("#", "--"))), encoding="utf-8")


if __name__ == "__main__":
    renew(*sys.argv[1:])
