"""What looks over pages: installed once for a run. Tests that use it say so with ``@pytest.mark.needs("npm")``."""

import fcntl
import subprocess

import pytest

from tests import shipped

#: Packages of the npm registry. Both are installed at once: to begin npm takes longer than to install another.
PACKAGES = ("axe-core@4.14.1", "html-validate@9.7.1")


def _installed(name):
    """The folder of a package: installed by the process of this run that asks first."""
    folder = shipped.run_folder("of-npm")
    with (folder / "one-at-a-time").open("w") as door:
        fcntl.flock(door, fcntl.LOCK_EX)
        there = folder / "node_modules" / name
        if not there.exists():
            # A version is what it is for ever: nobody need be asked whether it has changed.
            quick = ["--prefer-offline", "--no-package-lock", "--ignore-scripts"]
            command = ["npm", "install", "--silent", "--no-audit", "--no-fund", *quick, "--prefix", folder, *PACKAGES]
            ran = subprocess.run(command, capture_output=True, text=True)
            if ran.returncode:
                pytest.fail(f"npm could not install {' and '.join(PACKAGES)}: {ran.stderr[-500:]}", pytrace=False)
    return there


@pytest.fixture(scope="session")
def axe():
    """The script of axe-core, to be run in a page."""
    return (_installed("axe-core") / "axe.min.js").read_text(encoding="utf-8")


def html_validate_program():
    """The program that looks whether a page holds to the content model of HTML."""
    return _installed("html-validate").parent / ".bin" / "html-validate"


html_validate = pytest.fixture(scope="session")(html_validate_program)
