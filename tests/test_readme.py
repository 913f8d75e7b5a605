"""What README.md shows of a session is what the program prints today."""

import re

import pytest

from tests.conftest import ROOT
from tests.readme import PARTS

#: What is another at every run: the digest of a decision, the minute of an adoption, the day a case was kept.
OTHERS = re.compile(
    r"(?<=decision )[0-9a-f]{12}|(?<=adopted )[-0-9]{10} [0-9:]{5}|(?<=^    1  )[-0-9]{10}", re.MULTILINE
)


@pytest.mark.parametrize("mark", PARTS)
def test_a_part_is_what_is_printed(mark):
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = text.split(f"<!-- {mark} -->\n", 1)[1].split("\n<!-- end -->", 1)[0]
    assert OTHERS.sub("...", shown) == OTHERS.sub("...", PARTS[mark]()), "renew it: python -m tests.readme"
