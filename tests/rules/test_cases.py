"""Every shipped case comes out as its file says, decided with both engines."""

import pytest

from advisor.deciding.expectations import differences

from .shop import cases, decided


@pytest.mark.parametrize("name", list(cases()))
def test_a_shipped_case_comes_out_as_expected(name):
    case = cases()[name]
    assert differences(decided(name), case.expect) == []


def test_every_case_says_what_is_expected_and_why_a_practitioner_would_agree():
    for case in cases().values():
        assert case.expect and "outcome" in case.expect, case.id
        assert len(case.expect.get("because", "").split()) >= 8, case.id
