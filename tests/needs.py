"""Programs and libraries beside Python that some tests need: ``@pytest.mark.needs("browser")``.

Where one is missing such a test is skipped, and the run's last lines say what to install. With
``LEAST_CLUTCH_NO_SKIPS=1``, as .ci/run sets it after installing all of them, it fails instead.
"""

import importlib
import os
import shutil
from collections.abc import Callable
from dataclasses import dataclass

import pytest

from advisor.engine.compare import available_engines
from tests import database

NO_SKIPS = "LEAST_CLUTCH_NO_SKIPS"


def _prints() -> bool:
    """Whether the printing library finds Pango; its own import is what looks for it."""
    try:
        importlib.import_module("weasyprint")
    except OSError:
        return False
    return True


@dataclass(frozen=True)
class Need:
    """Something to be installed by the system."""

    what: str
    packages: tuple[str, ...]  # of Debian
    is_there: Callable[[], bool]
    otherwise: str = ""  # how to get it where no package brings it

    @property
    def advice(self) -> str:
        """The one line that says what is missing and how to get it."""
        return f"needs {self.what}: {self.otherwise or 'apt-get install ' + ' '.join(self.packages)}"


NEEDS = {
    "browser": Need("a browser", ("chromium",), lambda: shutil.which("chromium") is not None),
    "pango": Need("Pango", ("libpango-1.0-0", "libpangoft2-1.0-0"), _prints),
    "poppler": Need("poppler", ("poppler-utils",), lambda: shutil.which("pdftoppm") is not None),
    "server": Need("PostgreSQL", ("postgresql",), database.is_there),
    # It does not build on Python 3.13 and later, where the plain chainer decides alone.
    "durable-rules": Need("durable-rules", (), lambda: len(available_engines()) > 1, "Python 3.11 or 3.12"),
    "npm": Need("npm", ("nodejs", "npm"), lambda: shutil.which("npm") is not None),
}


def provide(names) -> None:
    """Go on where all of these are there; else skip the test that asks, or fail it where nothing may be skipped."""
    for name in names:
        need = NEEDS[name]
        if not need.is_there():
            if os.environ.get(NO_SKIPS):
                pytest.fail(need.advice, pytrace=False)
            pytest.skip(need.advice)


def advice(reasons) -> str | None:
    """One line for all tests skipped with these reasons, however many; nothing where none was skipped for a need."""
    missing = [(need, reasons.count(need.advice)) for need in NEEDS.values() if need.advice in reasons]
    if not missing:
        return None
    packages = " ".join(package for need, _ in missing for package in need.packages)
    ways = [f"{need.what} on {need.otherwise}" for need, _ in missing if need.otherwise]
    ways += [f"apt-get install {packages}"] if packages else []
    what = ", ".join(need.what for need, _ in missing)
    return f"{sum(count for _, count in missing)} skipped for want of {what}; to run them: {'; '.join(ways)}"
