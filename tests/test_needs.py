"""What tests need of the system: skipped with advice where it is missing, failed where nothing may be skipped."""

import os
import shutil
import subprocess
import sys

import pytest

from tests import needs
from tests.conftest import ROOT

#: A test behind each need.
BEHIND = {
    "browser": "tests/reporting/test_browser.py::test_on_paper_nothing_is_cut_off",
    "pango": "tests/reporting/test_command.py::test_a_pdf_to_a_file",
    "poppler": "tests/reporting/test_pdf.py::test_nothing_runs_off_the_paper",
    "server": "tests/casebook/test_server.py::test_counters_add_and_change_nothing_that_stands",
    "durable-rules": "tests/engine/test_compare.py::test_two_engines_agree_and_say_so",
    "npm": "tests/reporting/test_html.py::test_the_pages_hold_to_the_content_model_of_html",
}


@pytest.fixture(scope="module")
def bare(tmp_path_factory):
    """The environment of a machine with none of it: a path without programs, a printing library without Pango,
    durable-rules built for another Python.
    """
    folder = tmp_path_factory.mktemp("bare")
    (folder / "weasyprint.py").write_text("raise OSError('cannot load library libpango')\n")
    (folder / "durable_rules_engine.py").write_text("raise ImportError('undefined symbol: PyEval_CallObject')\n")
    kept = {name: value for name, value in os.environ.items() if name != needs.NO_SKIPS}
    return {**kept, "PATH": str(folder), "PYTHONPATH": str(folder)}


#: Runs the tests behind every need twice in one process: where they may be skipped, and where they may not.
TWICE = f"""
import os, pytest
command = ["-q", "-p", "no:cacheprovider", "-p", "no:xdist", *{list(BEHIND.values())!r}]
code = pytest.main(command)
os.environ[{needs.NO_SKIPS!r}] = "1"
print("\\n", "and again", int(code), flush=True)
raise SystemExit(pytest.main(command))
"""


@pytest.fixture(scope="module")
def runs(bare):
    """(exit code, output) where tests may be skipped, and where they may not."""
    done = subprocess.run([sys.executable, "-c", TWICE], cwd=ROOT, env=bare, capture_output=True, text=True)
    first, between, second = done.stdout.partition("and again ")
    assert between, done.stdout + done.stderr
    code, _, second = second.partition("\n")
    return (int(code), first), (done.returncode, second)


def test_on_a_bare_machine_they_are_skipped_and_one_line_says_how_to_get_what_is_missing(runs):
    code, out = runs[0]
    assert code == 0, out
    (line,) = [line for line in out.splitlines() if "apt-get install" in line]
    assert line.startswith("6 skipped for want of")
    for need in needs.NEEDS.values():
        assert need.what in line and set(need.packages) <= set(line.split())


def test_where_nothing_may_be_skipped_each_of_them_fails(runs):
    code, out = runs[1]
    assert code == 1, out
    for need in needs.NEEDS.values():
        assert need.advice in out, need
    assert out.rstrip().endswith("6 failed") or "skipped" not in out.splitlines()[-1]


def test_every_need_has_a_test_behind_it():
    assert set(BEHIND) == set(needs.NEEDS)


def test_the_run_that_installs_all_of_them_lets_nothing_be_skipped(tmp_path):
    """.ci/run on a machine that lacks everything, where the installer only writes down what it is asked for."""
    (tmp_path / ".ci").mkdir()
    shutil.copy(ROOT / ".ci" / "run", tmp_path / ".ci" / "run")
    for name in ("lint", "pythons"):
        (tmp_path / ".ci" / name).write_text(f"#!{shutil.which('bash')}\n")
        (tmp_path / ".ci" / name).chmod(0o755)
    (tmp_path / "README.md").write_text(f"<!-- the test command -->\n```\necho skips: ${needs.NO_SKIPS}\n```\n")
    programs = tmp_path / "bin"
    programs.mkdir()
    for name in ("bash", "awk", "dirname", "rm", "grep"):
        (programs / name).symlink_to(shutil.which(name))
    scripts = {"apt-get": f'echo "$@" >> {tmp_path}/installed', "ldconfig": ":", "python3": "echo /nowhere"}
    for name, does in scripts.items():
        (programs / name).write_text(f"#!{shutil.which('bash')}\n{does}\n")
        (programs / name).chmod(0o755)
    done = subprocess.run(
        [shutil.which("bash"), tmp_path / ".ci" / "run"],
        env={"PATH": str(programs), "HOME": str(tmp_path)},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == "skips: 1"
    asked_for = set((tmp_path / "installed").read_text().split())
    for need in needs.NEEDS.values():
        assert set(need.packages) <= asked_for, need
