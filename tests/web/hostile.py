"""Texts nobody types who only wants a clutch."""

WORDS = """<script> </textarea> <svg/onload=x> javascript: {{7*7}} ${7*7} %s%n "; ../../ %0d%0a &#60; =HYPERLINK( ٣٤٥
@SUM( ½ 1e999 -0 NaN Infinity 0x10 about {value: [1] unknown none İ ß 𝟜𝟛𝟘 430 Nm"""
SIGNS = (
    "' OR '1'='1",
    "\x00",
    "\x1b[31m",
    "\u202e",
    "\u200b",
    "\r\nSet-Cookie: a=b",
    "\ufeff",
    "\t",
    "9" * 40,
    "a" * 500,
)
PIECES = (*WORDS.split(), *SIGNS)


def texts(draw, count):
    """So many texts put together from hostile pieces."""
    return [" ".join(draw.choice(PIECES) for _ in range(draw.randint(1, 4))) for _ in range(count)]
