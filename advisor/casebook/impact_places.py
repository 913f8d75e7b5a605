"""Where the results of an impact run lie, by where its casebook stands."""

import contextlib

from ..knowledge.cache import folder
from . import server_place
from .impact_file import FileRuns
from .impact_store import RunStore
from .store import Store


def opened(book: Store, key: str) -> RunStore:
    """Where the results of the run ``key`` over a casebook are kept.

    On the casebook's server, so that several machines share one run, where this one may write there; else in a file of
    this machine's cache.
    """
    if server_place.is_server(book.place):
        from .impact_server import ServerRuns  # whose library only those need who have a server

        with contextlib.suppress(PermissionError):
            return ServerRuns(book.place)
    return FileRuns(folder() / f"impact-{key[:32]}.sqlite")
