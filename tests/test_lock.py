"""The locked dependencies are those of pyproject.toml, whole and with digests; nothing in them names where they lie."""

import re

import pytest

from tests import lock
from tests.conftest import ROOT


@pytest.mark.parametrize("name", lock.FILES)
def test_the_lock_holds_what_is_asked_for(name):
    held = lock.locked((lock.FOLDER / name).read_text(encoding="utf-8"))
    asked = lock.wanted(lock.FILES[name])
    assert {package: held.get(package) for package in asked} == asked, "renew it: python -m tests.lock"


def test_what_builds_is_locked_too():
    held = lock.locked((lock.FOLDER / lock.BUILD_FILE).read_text(encoding="utf-8"))
    asked = [requirement.partition("==") for requirement in lock.build_requirements()]
    for name, _, version in asked:
        assert lock.normal(name) in held and version in ("", held[lock.normal(name)])


@pytest.mark.parametrize("name", [*lock.FILES, lock.BUILD_FILE])
def test_every_package_has_digests_and_no_place(name):
    text = (lock.FOLDER / name).read_text(encoding="utf-8")
    assert "://" not in text and "index" not in text.replace("importlib", "") and "@" not in text
    blocks = re.split(r"\n(?=\S)", text.removeprefix(lock.HEAD).strip())
    assert len(blocks) >= len(lock.locked(text)) > 3
    for block in blocks:
        head, *digests = block.split(" \\\n")
        assert re.fullmatch(r"[A-Za-z0-9._-]+==\S+( ; .+)?", head), head
        assert digests and all(re.fullmatch(r"    --hash=sha256:[0-9a-f]{64}", digest) for digest in digests), head


def test_what_is_locked_is_what_the_tests_run_on():
    """Each package that is installed here and locked is of the locked version."""
    from importlib import metadata

    held = lock.locked((lock.FOLDER / "test.txt").read_text(encoding="utf-8"))
    here = {lock.normal(one.metadata["Name"]): one.version for one in metadata.distributions()}
    assert {name: here[name] for name in lock.wanted(()) if name in here} == {
        name: held[name] for name in lock.wanted(()) if name in here
    }


def test_the_readme_installs_by_the_lock():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for name in (lock.BUILD_FILE, "install.txt", "test.txt", "install-sheets.txt", "install-server.txt"):
        assert f".locked/{name}" in text
    assert "--require-hashes" in text and all(name in text for name in lock.COMPILED)
