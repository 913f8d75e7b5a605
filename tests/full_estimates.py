"""Numbers nobody prints, by the thousand: `rows` is called by tests/full.py and gives (what, how many, result)."""

from advisor.knowledge.sources import Sources, read

from .deciding.knocked_out import measured

VARIANTS = 1000


def rows():
    """What the advice comes to where fields of kits are knocked out at random."""
    found, faults = measured(read(Sources.chosen(), cache=False), VARIANTS)
    yield "shops with fields knocked out", found["variants"], f"{found['fields']} fields"
    yield "values outside the ends of their estimate", found["outside"], ""
    yield "picks that stay, or stay within the span", found["picks"], f"{found['same']}, {found['within']}"
    yield "picks that rest on an estimate, and fail a must in truth", found["measured"], str(found["unfit"])
    yield "estimates of picks that a must reads, and that are measured first", found["read"], str(found["listed"])
    yield "picks that need none measured, and another once they are known", found["free"], str(found["moved"])
    yield "musts on safety that got easier", found["easier"], "FAILED" if faults else "never"
