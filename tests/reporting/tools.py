"""Programs the tests of sheets need besides Python: they fail, and say what to install, where one is missing."""

import shutil
import subprocess

import pytest

PACKAGES = ("axe-core@4.14.1", "html-validate@9.7.1")


def program(name, package):
    """The path of a program."""
    found = shutil.which(name)
    if found is None:
        pytest.fail(f"{name} is not installed: apt-get install {package}", pytrace=False)
    return found


@pytest.fixture(scope="session")
def node_tools(tmp_path_factory):
    """A folder with axe-core and html-validate, installed from the npm registry."""
    folder = tmp_path_factory.mktemp("node")
    npm = program("npm", "nodejs npm")
    ran = subprocess.run(
        [npm, "install", "--silent", "--no-audit", "--no-fund", "--prefix", folder, *PACKAGES],
        capture_output=True,
        text=True,
    )
    if ran.returncode:
        pytest.fail(f"npm could not install {' '.join(PACKAGES)}: {ran.stderr[-500:]}", pytrace=False)
    return folder
