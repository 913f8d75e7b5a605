"""The wheel's contents, and the command from an empty folder after a plain and after an editable install."""

import os
import pathlib
import shutil
import subprocess
import sys
import tomllib
import zipfile

import pytest

from tests.conftest import ROOT

CASE = ROOT / "scenarios" / "cases" / "mild-street-tune.yaml"
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "pyproject.toml",
    "advisor",
    "rules",
    "schemas",
    "tests",
    "scenarios",
}


def command(*arguments, cwd, **environment):
    """Run and give back the finished process; its output in the assertion where it fails."""
    done = subprocess.run(
        [str(one) for one in arguments],
        capture_output=True,
        text=True,
        cwd=cwd,
        env={**os.environ, **environment},
        timeout=300,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done


@pytest.fixture(scope="module")
def source(tmp_path_factory):
    """A copy of what is tracked, so that building leaves nothing behind here."""
    folder = tmp_path_factory.mktemp("source") / "least-clutch"
    ignore = shutil.ignore_patterns(
        ".git", ".venv", "__pycache__", "build", "dist", "*.egg-info", ".hypothesis", ".pytest_cache", "tests"
    )
    shutil.copytree(ROOT, folder, ignore=ignore)
    return folder


#: Builds both by the hooks every installer calls (PEP 517, PEP 660), with nothing in reach but what they ask for.
BUILD = """
import sys
sys.path.insert(0, sys.argv[1])
import hatchling.build
hatchling.build.build_wheel(sys.argv[2])
hatchling.build.build_editable(sys.argv[3])
"""


@pytest.fixture(scope="module")
def built(source, tmp_path_factory):
    """(the wheel, the editable wheel), built in one process by what pyproject.toml says builds it."""
    place = tmp_path_factory.mktemp("built")
    described = tomllib.loads((source / "pyproject.toml").read_text())["build-system"]
    assert described["build-backend"] == "hatchling.build"
    # `editables` is what its hook get_requires_for_build_editable asks for besides.
    wanted = [*described["requires"], "editables"]
    tools = ["--no-compile", "--disable-pip-version-check", "--target", place / "tools"]
    command(sys.executable, "-m", "pip", "install", "--quiet", *tools, *wanted, cwd=place)
    command(sys.executable, "-I", "-S", "-c", BUILD, *(place / name for name in ("tools", "plain", "edit")), cwd=source)
    (plain,), (editable,) = (list((place / name).glob("*.whl")) for name in ("plain", "edit"))
    return plain, editable


@pytest.fixture(scope="module")
def wheel(built):
    """The built wheel."""
    return built[0]


def test_top_level_holds_exactly_the_agreed(source):
    names = {path.name for path in ROOT.iterdir()}
    if (ROOT / ".git").exists() and shutil.which("git"):
        tracked = command("git", "ls-files", cwd=ROOT).stdout
        names = {line.split("/")[0] for line in tracked.splitlines()}
    assert {name for name in names if not name.startswith(".")} == TOP_LEVEL


def test_nothing_lands_beside_the_package(wheel):
    names = zipfile.ZipFile(wheel).namelist()
    tops = {name.split("/")[0] for name in names}
    assert tops == {"advisor", next(top for top in tops if top.endswith(".dist-info"))}
    for wanted in (
        "advisor/_data/rules/vocabulary.yaml",
        "advisor/_data/rules/case/thrust.yaml",
        "advisor/_data/schemas/decision.json",
        "advisor/_data/scenarios/kits/factory.yaml",
        "advisor/_data/scenarios/platforms/bramble-20t.yaml",
        "advisor/cli.py",
    ):
        assert wanted in names, wanted
    assert not [name for name in names if "__pycache__" in name or name.startswith("advisor/tests")]


def test_plain_install_from_an_empty_folder(wheel, tmp_path):
    site, empty = tmp_path / "site", tmp_path / "empty"
    empty.mkdir()
    # What is compiled of it is compiled when it is used.
    installing = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-compile"]
    command(*installing, "--disable-pip-version-check", "--target", site, wheel, cwd=empty)
    where = command(sys.executable, "-c", "import advisor; print(advisor.__file__)", cwd=empty, PYTHONPATH=str(site))
    assert where.stdout.startswith(str(site))
    done = command(
        sys.executable,
        "-m",
        "advisor",
        "recommend",
        CASE,
        cwd=empty,
        PYTHONPATH=str(site),
        XDG_CACHE_HOME=str(tmp_path / "cache"),
    )
    assert "Invented shop" in done.stdout
    assert list(empty.iterdir()) == []


def test_editable_install_sees_an_edited_rule(source, built, tmp_path):
    environment, empty = tmp_path / "venv", tmp_path / "empty"
    empty.mkdir()
    command(sys.executable, "-m", "venv", "--without-pip", environment, cwd=empty)
    python = environment / "bin" / "python"
    # Whatever this run finds its libraries through serves as the dependencies, this tree apart: a line to a folder in
    # such a file adds that folder, not the folders its own files name. Only the package itself is installed anew.
    site = pathlib.Path(
        command(python, "-c", "import sysconfig; print(sysconfig.get_paths()['purelib'])", cwd=empty).stdout.strip()
    )
    libraries = [place for place in sys.path if "site-packages" in place or "dist-packages" in place]
    (site / "libraries.pth").write_text("\n".join(libraries) + "\n")
    # By the installer among those libraries, which by itself would leave a package that it finds there as it is.
    installing = [python, "-m", "pip", "install", "--quiet", "--no-deps", "--ignore-installed"]
    command(*installing, "--disable-pip-version-check", built[1], cwd=empty)
    advisor = environment / "bin" / "advisor"
    quiet = {"XDG_CACHE_HOME": str(tmp_path / "cache")}
    rule = source / "rules" / "case" / "holding.yaml"
    before = rule.read_text()
    assert before.count("The clutch must hold") == 1
    rule.write_text(before.replace("The clutch must hold", "This clutch has got to hold"))
    after = command(advisor, "rules", "show", "holds-worn-and-warm", cwd=empty, **quiet).stdout
    assert "This clutch has got to hold" in after and "The clutch must hold" not in after


def test_the_run_of_the_tests_takes_its_commands_from_the_readme():
    """The script's own lines that read the README, run here, against the block under the mark read by hand."""
    script = (ROOT / ".ci" / "run").read_text()
    reading = script[script.index("commands=$(") : script.index("[ -n ")]
    done = command("bash", "-c", f'{reading}printf "%s" "$commands"', cwd=ROOT)
    after = (ROOT / "README.md").read_text().split("<!-- the test command -->\n", 1)[1]
    lines = after.splitlines()
    assert lines[0].startswith("```")
    assert done.stdout.splitlines() == lines[1 : lines.index("```", 1)]
    assert any("pytest" in line for line in lines[1:7])
