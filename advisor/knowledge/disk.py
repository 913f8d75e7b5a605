"""Files as the program reads and writes them: read up to a limit, written whole or not at all.

Nothing is read that is not a plain file, and never more than the limit, whatever size the system states. Written is
beside the place, forced to the disk and then named in one step; a file that stands there is replaced only when told.
"""

import contextlib
import itertools
import os
import stat
from collections.abc import Collection, Iterable, Iterator
from pathlib import Path
from typing import BinaryIO

from ..errors import InputError, Position, StoreError

#: Bytes of the largest file of each kind: one file of rules or one case; a file of records or a spreadsheet; a
#: decision record, which with 20,000 kits is 34 MB.
RULES, RECORDS, DECISION = 512_000, 4_000_000, 64_000_000
#: Files and folders below one folder that is read.
ENTRIES = 20_000
_KINDS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
)


def read(path: str | Path, limit: int, *, follow: bool = True) -> bytes:
    """The bytes of a plain file of at most ``limit`` bytes. OSError as the system gives it; StoreError for anything
    else than a plain file, or a larger one. ``follow``: a link is followed.
    """
    # Without waiting: a pipe nobody writes to must not hold the program up.
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
    descriptor = os.open(path, flags | (0 if follow else getattr(os, "O_NOFOLLOW", 0)))
    with open(descriptor, "rb") as file:
        mode = os.fstat(descriptor).st_mode
        if not stat.S_ISREG(mode):
            kind = next((name for is_kind, name in _KINDS if is_kind(mode)), "something else")
            raise StoreError(f"this is {kind}, not a file.", where=Position(str(path)), remedy="Name a file.")
        return within(file, limit, str(path))


def read_or_tell(path: str | Path, limit: int) -> bytes:
    """As `read`; StoreError with its remedy also where the system refuses."""
    try:
        return read(path, limit)
    except OSError as error:
        raise StoreError(
            f"the file cannot be read ({error.strerror}).",
            where=Position(str(path)),
            remedy="Check the name and the rights.",
        ) from None


def text(path: str | Path, limit: int, save_as: str = "UTF-8") -> str:
    """A file of UTF-8 text. StoreError where it cannot be read, InputError at the line that is not UTF-8."""
    data = read_or_tell(path, limit)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data[: fault.start].count(b"\n") + 1
        raise InputError(
            "the file is not UTF-8 text.", where=Position(str(path), line, 1), remedy=f"Save it as {save_as}."
        ) from None


def within(stream: BinaryIO, limit: int, name: str) -> bytes:
    """Everything in an open stream of bytes; StoreError as soon as it is more than ``limit``."""
    data = stream.read(limit + 1)
    if len(data) > limit:
        raise StoreError(
            f"there is more than {limit // 1000} kB to read here.",
            where=Position(name),
            remedy="Name the right file, or split it.",
        )
    return data


def below(folder: str | Path, suffixes: Collection[str]) -> list[Path]:
    """Every plain file below a folder whose name ends so, in order of name; StoreError for far too many."""
    paths = list(itertools.islice(Path(folder).rglob("*"), ENTRIES + 1))
    if len(paths) > ENTRIES:
        raise StoreError(
            f"there are more than {ENTRIES} files below this folder.",
            where=Position(str(folder)),
            remedy="Name the folder that holds nothing else.",
        )
    return sorted(path for path in paths if path.suffix in suffixes and path.is_file())


def home(variable: str, *below: str) -> Path:
    """The user's folder for data or the cache: what an absolute ``variable`` names, else ``below`` the home folder.

    StoreError where this user has no home folder.
    """
    named = os.environ.get(variable, "")
    if os.path.isabs(named):
        return Path(named)
    place = os.path.expanduser("~") if os.environ.get("HOME", "~") else "~"
    if not os.path.isabs(place):
        raise StoreError(
            "this user has no home folder to keep things in.",
            remedy=f"Set HOME or {variable} to a folder, or name the file with an option.",
        )
    return Path(place, *below)


def may_write(
    path: str | Path, *, inputs: Iterable[str | Path] = (), replace: bool = False, option: str = "--out"
) -> None:
    """Raise InputError where ``path`` is one of the ``inputs``, or a file that stands there is not to be replaced."""
    remedy = f"Name another with {option}."
    for other in inputs:
        if _same(path, other):
            raise InputError(f"{str(path)!r} is read here, and would be lost.", value=str(path), remedy=remedy)
    if not replace and os.path.lexists(path) and not _passes_on(path):
        raise InputError(
            f"there is a file {str(path)!r} already.", value=str(path), remedy=f"{remedy[:-1]}, or say --replace."
        )


def _same(path, other):
    """Whether two paths are one file, or would be."""
    try:
        if os.path.samefile(path, other):
            return True
    except OSError:
        pass
    if os.path.isdir(other):
        return Path(os.path.realpath(path)).is_relative_to(os.path.realpath(other)) and os.path.exists(path)
    return os.path.realpath(path) == os.path.realpath(other)


def _passes_on(path):
    """Whether what stands there is a device or a pipe, which nothing can be lost in."""
    try:
        mode = os.stat(path).st_mode
    except OSError:
        return False
    return stat.S_ISCHR(mode) or stat.S_ISFIFO(mode)


def write(path: str | Path, data: bytes | str, *, replace: bool = False, private: bool = False) -> None:
    """Write a whole file (bytes, or text as UTF-8); otherwise as `writing`."""
    with writing(path, replace=replace, private=private) as file:
        file.write(data.encode("utf-8") if isinstance(data, str) else data)


@contextlib.contextmanager
def writing(path: str | Path, *, replace: bool = False, private: bool = False) -> Iterator[BinaryIO]:
    """An open binary file that takes the name ``path`` once all of it is written, and is gone where anything fails.

    OSError as the system gives it; FileExistsError where a file stands there and is not to be replaced. ``private``:
    for its owner alone.
    """
    if _passes_on(path):
        with open(path, "wb") as file:
            yield file
        return
    # Behind a link lies what is meant.
    place = Path(os.path.realpath(path))
    if place.is_dir():
        raise IsADirectoryError(21, os.strerror(21), str(path))
    draft = place.with_name(f".{place.name[:100]}.{os.urandom(6).hex()}.draft")
    try:
        descriptor = os.open(
            draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600 if private else 0o666
        )
        with open(descriptor, "wb") as file:
            if replace and not private:
                with contextlib.suppress(OSError):
                    os.chmod(draft, stat.S_IMODE(place.stat().st_mode))
            yield file
            file.flush()
            os.fsync(file.fileno())
        put_in_place(draft, place, replace=replace)
    finally:
        with contextlib.suppress(OSError):
            os.unlink(draft)


def put_in_place(draft: str | Path, place: str | Path, *, replace: bool = False) -> None:
    """Give a finished file its name in one step; FileExistsError where one stands there and is not to be replaced."""
    if replace:
        os.replace(draft, place)
    else:
        try:
            os.link(draft, place)
        except FileExistsError:
            raise
        except OSError:  # a file system without hard links
            if os.path.lexists(place):
                raise FileExistsError(17, os.strerror(17), str(place)) from None
            os.rename(draft, place)
    settle(Path(place).parent)


def settle(folder: str | Path) -> None:
    """Make sure that a new name survives a power cut, where the system can."""
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def deliver(path: str | Path, data: bytes | str, *, replace: bool = False, option: str = "--out") -> None:
    """As `write`, for a file a person asked for: StoreError or InputError with the remedy."""
    with delivering(path, replace=replace, option=option) as file:
        file.write(data.encode("utf-8") if isinstance(data, str) else data)


@contextlib.contextmanager
def delivering(
    path: str | Path, *, replace: bool = False, private: bool = False, option: str = "--out"
) -> Iterator[BinaryIO]:
    """As `writing`, for a file a person asked for: StoreError or InputError with the remedy."""
    try:
        with writing(path, replace=replace, private=private) as file:
            yield file
    except FileExistsError:
        may_write(path, option=option)
        raise
    except OSError as error:
        raise StoreError(
            f"the file cannot be written: {error.strerror or error}.",
            where=Position(str(path)),
            remedy=f"Make room or allow writing there, or name another with {option}.",
        ) from None
