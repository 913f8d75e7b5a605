"""Where casebooks lie, and which store stands behind a place: a path is a file of SQLite, an address a server's."""

import os
from pathlib import Path

from ..errors import InputError
from . import server_place
from .file_store import FileRemains, FileStore
from .store import Place, Remains, Store


def opened(place: Place, *, write: bool = True) -> Store:
    """The casebook at a place, opened; made where there is none yet and it is to be written to."""
    return _server().ServerStore(place, write=write) if server_place.is_server(place) else FileStore(place, write=write)


def remains_of(place: Place) -> Remains:
    """What is left of the casebook at a place; StoreError where nothing there ever was one."""
    return _server().ServerRemains(place) if server_place.is_server(place) else FileRemains(place)


def copy(store: Store, target: Place) -> None:
    """A complete copy of an open casebook, as of one moment, at a place where there is none."""
    if server_place.is_server(target):
        _server().fill(store, target)
    else:
        store.copy_to(target)


def grant(place: Place, role: str, *, writes: bool) -> None:
    """Let a role of the server add to the casebook there, or only read it; made where there is none yet."""
    if not server_place.is_server(place):
        raise InputError(
            "this casebook is no server's.",
            value=str(place),
            remedy="Name one with --casebook postgresql://OWNER@HOST/DATABASE; a file is given away by its rights.",
        )
    _server().server_opening.grant(place, role, writes=writes)


def may_be_there(place: Place) -> bool:
    """Whether there can be a casebook at a place: not where it is a file that is missing."""
    return server_place.is_server(place) or Path(place).exists()


def from_folder(folder: Path, named: str) -> str:
    """A place as a file in a folder names it: an address as it is, a path from that folder on."""
    return named if server_place.is_server(named) else str(folder / os.path.expanduser(named))


def beside(place: Place, name: str, otherwise: Path) -> Path:
    """A file or folder beside a casebook; beside ``otherwise`` where that lies on a server."""
    return (otherwise if server_place.is_server(place) else Path(place)).with_name(name)


def _server():
    """The store on servers, whose library only those need who have one."""
    try:
        from . import server_store
    except ImportError as error:
        if not (error.name or "psycopg").startswith("psycopg"):
            raise
        raise InputError(
            "a casebook on a server needs a library that is not installed (psycopg).",
            remedy="Install the extra: pip install 'least-clutch[server]'.",
        ) from None
    return server_store
