"""What looks over pages: installed once for a run. Tests that use it say so with ``@pytest.mark.needs("npm")``."""

import subprocess

import pytest

PACKAGES = ("axe-core@4.14.1", "html-validate@9.7.1")


@pytest.fixture(scope="session")
def node_tools(tmp_path_factory):
    """A folder with axe-core and html-validate, installed from the npm registry."""
    folder = tmp_path_factory.mktemp("node")
    ran = subprocess.run(
        ["npm", "install", "--silent", "--no-audit", "--no-fund", "--prefix", folder, *PACKAGES],
        capture_output=True,
        text=True,
    )
    if ran.returncode:
        pytest.fail(f"npm could not install {' '.join(PACKAGES)}: {ran.stderr[-500:]}", pytrace=False)
    return folder
