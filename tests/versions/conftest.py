"""Shops to change rules in, with folders of their own for data and cache."""

import shutil

import pytest

from advisor.cli import main
from tests.casebook import shelf
from tests.conftest import ROOT

PEOPLE = """
[[people]]
name = "The Lead"
roles = ["lead"]

[[people]]
name = "The Counter"
roles = ["counter"]
"""


@pytest.fixture(autouse=True)
def own_folders(monkeypatch, tmp_path):
    """A cache for the test process and a data folder for each test; no shop but the one a test names."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(shelf.cache()))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.delenv("LEAST_CLUTCH_SHOP", raising=False)


@pytest.fixture
def shop(tmp_path):
    """A shop with a lead, the demonstration's records and no rules of its own."""
    folder = tmp_path / "shop"
    for kind in ("kits", "platforms", "parts"):
        shutil.copytree(ROOT / "scenarios" / kind, folder / kind)
    (folder / "rules").mkdir()
    (folder / "shop.toml").write_text(f'name = "Test Works"\ncasebook = "cases.sqlite"\n{PEOPLE}')
    return folder


@pytest.fixture
def bare(tmp_path):
    """A shop's folder with nothing but one loose rule file that is never read as rules."""
    folder = tmp_path / "bare"
    (folder / "rules/case").mkdir(parents=True)
    (folder / "rules/case/use.yaml").write_text("one: 1\ntwo: 2\nthree: 3\nfour: 4\nfive: 5\n")
    return folder


@pytest.fixture
def rules(shop, capsys):
    """Run ``advisor rules ...`` in the shop; (code, out, err), blanks folded."""

    def running(*arguments):
        code = main(["rules", *arguments, "--shop", str(shop)])
        told = capsys.readouterr()
        return code, " ".join(told.out.split()), " ".join(told.err.split())

    return running
