"""A code to be read out: six signs that open a case on another device within ten minutes, once, with few tries.

No sign is taken for another when it is read or written (no 0, O, 1, I); letters are spelled out by the words of the
radiotelephony alphabet (ITU Radio Regulations, appendix 14). The first two signs say which code is meant, so that
wrong tries count against it; the other four are the secret: 20 bits, 5 tries. What is kept is a keyed digest.
"""

import hashlib
import hmac
import secrets

#: 32 signs: 5 bits each.
SIGNS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
#: Signs of a code, and how many of them say which code is meant.
LENGTH, NAMING = 6, 2
#: Minutes it holds; wrong tries after which it opens nothing any more.
MINUTES, TRIES = 10, 5
_WORDS = """Alfa Bravo Charlie Delta Echo Foxtrot Golf Hotel India Juliett Kilo Lima Mike November Oscar Papa Quebec
Romeo Sierra Tango Uniform Victor Whiskey X-ray Yankee Zulu"""
_SPELLED = {word[0]: word for word in _WORDS.split()}


def drawn() -> str:
    """A new code."""
    return "".join(secrets.choice(SIGNS) for _ in range(LENGTH))


def read(text: str) -> str | None:
    """The code in what was typed, however it was spaced and in small letters too; None where it can be none."""
    signs = "".join(text.split()).replace("-", "").upper()
    return signs if len(signs) == LENGTH and set(signs) <= set(SIGNS) else None


def shown(code: str) -> str:
    """A code in two halves."""
    return f"{code[: LENGTH // 2]} {code[LENGTH // 2 :]}"


def spelled(code: str) -> str:
    """A code as it is read out."""
    return ", ".join(_SPELLED.get(sign, sign) for sign in code)


def digest(code: str, key: str) -> str:
    """What is kept of a code: without the key, which stands elsewhere, its few bits cannot be tried out."""
    return hmac.new(key.encode(), code.encode(), hashlib.sha256).hexdigest()
