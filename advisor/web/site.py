"""One served shop: where its pages keep what they keep, its clock of limits, and what every page is given."""

import functools
import os
import secrets
from dataclasses import dataclass
from pathlib import Path

from ..casebook.book import Casebook
from ..casebook.store import Place
from ..errors import AdvisorError
from ..knowledge import disk
from ..knowledge.shop import About, PagesServed
from . import answering
from .allowance import Allowance
from .register import Register, WebCase
from .workplace import Workplace, Workplaces

#: Seconds to wait for another program that writes to the casebook.
WAITS = 10.0
#: Names by which a machine asks itself.
OWN_HOSTS = ("localhost", "127.0.0.1", "[::1]")


@dataclass(frozen=True, slots=True)
class Folders:
    """Where a served shop keeps things: the ``casebook``, and a folder for the ``pages``.

    ``counter``: the name of the counter whose own casebook this is, where it is one.
    """

    casebook: Place
    pages: Path
    counter: str = ""

    @property
    def register(self) -> Path:
        """The register's file."""
        return self.pages / "register.sqlite"

    @property
    def allowance(self) -> Path:
        """The file of how often things were asked for."""
        return self.pages / "allowance.sqlite"

    @property
    def cases(self) -> Path:
        """The folder of case files."""
        return self.pages / "cases"


class Site:
    """What all requests share. ``workplaces`` gives each thread its own decider."""

    def __init__(self, folders: Folders, workplaces: Workplaces) -> None:
        self.folders, self.workplaces = folders, workplaces

    @functools.cached_property
    def allowance(self) -> Allowance:
        """How often things were asked for, in all processes."""
        return Allowance(self.folders.allowance, self.secret_keys()[0])

    def prepare(self) -> None:
        """Make folders, register and casebook before anybody is served; drop what has outlived its days."""
        self.folders.cases.mkdir(parents=True, exist_ok=True, mode=0o700)
        with self.register() as register:
            register.make()
        self.allowance.make()
        for path in (self.folders.register, self.folders.allowance):
            os.chmod(path, 0o600)
        with self.casebook():
            pass
        self.tidy()

    def tidy(self) -> None:
        """Drop cases that nobody has touched for as long as they are kept."""
        with self.register() as register:
            for case in register.outlived(self.served.link_days):
                register.dropped(case.id)
                answering.drop(self.path_of(case))

    @property
    def about(self) -> About:
        """The shop."""
        return self.workplaces.about

    @property
    def served(self) -> PagesServed:
        """How its pages are reached."""
        return self.about.pages

    def mine(self) -> Workplace:
        """This thread's workplace."""
        return self.workplaces.mine()

    def register(self) -> Register:
        """The register, to be opened with ``with``."""
        return Register(self.folders.register)

    def casebook(self, *, write: bool = True) -> Casebook:
        """The casebook, opened; it does not wait long for other programs, since somebody waits for the page."""
        book = Casebook(self.folders.casebook, write=write, counter=self.folders.counter)
        book.store.patience = WAITS
        return book

    def path_of(self, case: WebCase) -> Path:
        """The case file of a case: its number is all that goes into the name."""
        return self.folders.cases / f"{case.name}.yaml"

    def secret_keys(self) -> list[str]:
        """The keys that sign cookies, the present one first; made at the first start, readable by its owner alone."""
        path = self.folders.pages / "secret"
        try:
            return disk.text(path, 10_000).split()
        except AdvisorError:
            self.folders.pages.mkdir(parents=True, exist_ok=True, mode=0o700)
            disk.write(path, secrets.token_urlsafe(48) + "\n", private=True)
            return disk.text(path, 10_000).split()
