"""Which version of a shop's own rules is in force: a folder of its own for each, and one small file that names it.

A version's folder is never written again, so whoever began with one version ends with it, whatever is adopted
meanwhile. The file that names it is replaced in one step: there is no moment at which half of a version counts. A shop
that never adopted any keeps its rules loose in ``rules/``.
"""

import contextlib
import os
import re
import shutil
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path

from ..errors import Position, StoreError
from ..frozen import frozen
from . import canonical, disk

#: The file that names the version in force, and the one that stands beside it while a version is being adopted.
POINTER, NEXT = "in-force.toml", "in-force.next.toml"
#: The file within a version that says its number, kept with every case that is decided by it.
NUMBER = "version.yaml"
_FOLDER = re.compile(r"version-(\d{1,6})")
_LARGEST = 2_000


@frozen
class InForce:
    """The version in force: its ``number``, the digest of its files, and where they lie."""

    number: int
    sha256: str
    folder: Path


def folder_of(rules: Path, number: int) -> Path:
    """Where a version lies."""
    return rules / f"version-{number}"


def number_of(name: str) -> int | None:
    """The number of the version that lies in a folder of this name; None where it is another folder."""
    match = _FOLDER.fullmatch(name)
    return int(match[1]) if match else None


def bodies(folder: Path) -> dict[str, bytes]:
    """Every file of rules and of their tests below a folder, by path; the file with the number left out."""
    if not folder.is_dir():
        return {}
    paths = {path.relative_to(folder).as_posix(): path for path in disk.below(folder, (".yaml",))}
    return {
        name: disk.read_or_tell(path, disk.RECORDS)
        for name, path in paths.items()
        if name != NUMBER and not name.startswith(".") and number_of(name.split("/", 1)[0]) is None
    }


def digest(files: Mapping[str, bytes]) -> str:
    """The digest a version is known by: over paths and contents of its files."""
    return canonical.sha256([[name, canonical.digest(body)] for name, body in sorted(files.items())])


def lay_out(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files, by path, below a folder."""
    for name, body in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        disk.write(folder / name, body)


def lay_whole(place: Path, files: Mapping[str, bytes]) -> None:
    """A folder of files that takes its name once all of them are on the disk, in the place of one that stands there."""
    unfinished, gone = (place.with_name(f".{place.name}.{os.urandom(6).hex()}") for _ in range(2))
    try:
        unfinished.mkdir(parents=True)
        lay_out(unfinished, files)
        if place.exists():
            os.rename(place, gone)
        try:
            os.rename(unfinished, place)
        except BaseException:
            if gone.exists():
                os.rename(gone, place)
            raise
        disk.settle(place.parent)
        shutil.rmtree(gone, ignore_errors=True)
    finally:
        shutil.rmtree(unfinished, ignore_errors=True)


@contextlib.contextmanager
def telling(place: Path, what: str) -> Iterator[None]:
    """A refusal of the disk as one clear error; ``what`` was to be written there."""
    try:
        yield
    except OSError as error:
        raise StoreError(
            f"the {what} cannot be written: {error.strerror or error}.",
            where=Position(str(place)),
            remedy="Make room or allow writing there, and do it again; nothing was changed.",
        ) from None


def pointer_text(number: int, sha256: str) -> str:
    """What stands in the file that names the version in force."""
    return (
        "# Which version of the house rules is in force. The program writes this; rules are changed with:\n"
        f"# advisor rules draft\n{version_text(number, sha256)}"
    )


def version_text(number: int, sha256: str, before: str = "") -> str:
    """A version as the small files name it; ``before``: what stands before the names of both lines."""
    return f'{before}version = {number}\n{before}sha256 = "{sha256}"\n'


def version_said(path: Path, before: str = "") -> tuple[int, str] | None:
    """(number, digest) of the version that a small file names as `version_text` writes it; None where it names none."""
    try:
        held = tomllib.loads(disk.text(path, _LARGEST))
        number, sha256 = held[f"{before}version"], held[f"{before}sha256"]
    except (tomllib.TOMLDecodeError, KeyError):
        return None
    return (number, sha256) if type(number) is int and 0 <= number < 10**6 and isinstance(sha256, str) else None


def pointed(rules: Path, name: str = POINTER) -> tuple[int, str] | None:
    """(number, digest) as the file says; None where there is none. StoreError where it says neither."""
    path = rules / name
    if not path.is_file():
        return None
    said = version_said(path)
    if said is not None:
        return said
    raise StoreError(
        "this does not say which version of the house rules is in force.",
        where=Position(str(path)),
        remedy="Have it written again: advisor rules history --mend",
    )


def in_force(rules: Path) -> InForce | None:
    """The version in force, or None where the shop never adopted one.

    StoreError where its files are not those that were adopted, or where nothing says which counts.
    """
    held = pointed(rules)
    if held is None:
        if rules.is_dir() and any(number_of(path.name) is not None for path in rules.iterdir()):
            raise StoreError(
                "there are versions of the house rules, and nothing says which is in force.",
                where=Position(str(rules / POINTER)),
                remedy="Have it written again: advisor rules history --mend",
            )
        return None
    number, sha256 = held
    folder = folder_of(rules, number)
    if digest(bodies(folder)) != sha256:
        raise StoreError(
            f"version {number} of the house rules was changed by hand after it was adopted.",
            where=Position(str(folder)),
            remedy="Put it back with: advisor rules history --mend. Changes go by: advisor rules draft",
        )
    return InForce(number, sha256, folder)
