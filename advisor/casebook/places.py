"""Where casebooks lie, and which store stands behind a place: the path of a file is SQLite's."""

from .file_store import FileRemains, FileStore
from .store import Place, Remains, Store


def opened(place: Place, *, write: bool = True) -> Store:
    """The casebook at a place, opened; made where there is none yet and it is to be written to."""
    return FileStore(place, write=write)


def remains_of(place: Place) -> Remains:
    """What is left of the casebook at a place; StoreError where nothing there ever was one."""
    return FileRemains(place)
