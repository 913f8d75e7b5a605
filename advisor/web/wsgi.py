"""The application for another server of WSGI (PEP 3333): ``advisor.web.wsgi:served()``, made where it is called.

A decider serves one at a time and keeps its processor busy: give that server single-threaded processes, and have it
make the application before it forks, so that folders, casebook and the key of cookies are there once.
"""

from pathlib import Path
from typing import TYPE_CHECKING

from ..casebook import places
from ..casebook.store import default_path
from .app import application
from .site import Folders, Site
from .workplace import Workplaces

if TYPE_CHECKING:
    from flask import Flask


def served(shop: str | None = None, casebook: str | None = None, pages: str | None = None) -> "Flask":
    """The application of a shop's folder; what is left out is as with ``advisor serve``."""
    kept = casebook or default_path()
    folder = Path(pages) if pages else places.beside(kept, "pages", default_path())
    app = application(Site(Folders(kept, folder), Workplaces(shop)))
    assert not app.debug
    return app
