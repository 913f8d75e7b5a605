"""What README.md shows of a session is what the program prints today."""

import contextlib
import io
import os
import re
import shlex

import pytest

from advisor.cli import main
from tests import readme
from tests.conftest import ROOT
from tests.readme import PARTS

#: What is another at every run: the digest of a decision, the minute of an adoption, the day a case was kept.
OTHERS = re.compile(
    r"(?<=decision )[0-9a-f]{12}|(?<=adopted )[-0-9]{10} [0-9:]{5}|(?<=^    1  )[-0-9]{10}", re.MULTILINE
)


@pytest.fixture
def in_this_process(monkeypatch, tmp_path):
    """The commands run here: a process of its own prints the same, and beginning it costs more than it does."""

    def ran(command, cwd=ROOT, **environment):
        out, err = io.StringIO(), io.StringIO()
        there = {"COLUMNS": "80", "XDG_CONFIG_HOME": str(tmp_path / "config"), **environment}
        with monkeypatch.context() as patch:
            patch.chdir(cwd)
            patch.delenv("LEAST_CLUTCH_SHOP", raising=False)
            for name, value in there.items():
                if name != "XDG_CACHE_HOME":  # what the rules were read to is kept for the whole run of the tests
                    patch.setenv(name, value)
            with open(os.devnull, encoding="utf-8") as nothing:
                patch.setattr("sys.stdin", nothing)
                with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
                    code = main(shlex.split(command))
        assert code in readme.ends(command), err.getvalue()
        return out.getvalue().rstrip()

    monkeypatch.setattr(readme, "ran", ran)


@pytest.mark.parametrize("mark", PARTS)
def test_a_part_is_what_is_printed(mark, in_this_process):
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = text.split(f"<!-- {mark} -->\n", 1)[1].split("\n<!-- end -->", 1)[0]
    assert OTHERS.sub("...", shown) == OTHERS.sub("...", PARTS[mark]()), "renew it: python -m tests.readme"
