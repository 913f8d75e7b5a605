"""Passwords: argon2id, few at a time, none that everybody takes, and a wait that grows with every wrong one.

A hash takes a tenth of a second and 64 MiB (the library's own settings, RFC 9106's second recommendation): two at a
time at the most, so that guessing cannot take all memory. Lengths after NIST SP 800-63B and OWASP ASVS 5.0, 6.2.
"""

import threading

from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error, InvalidHashError

from ..errors import InputError

SHORTEST, LONGEST = 12, 200
#: Wrong tries that cost nothing; every further one doubles the wait, up to the longest, in seconds.
FREE_TRIES, LONGEST_WAIT = 3, 900
#: Seconds after which tries are forgotten.
REMEMBERED = 3600
#: What people take instead of a password, and what it is put together from; compared without digits and signs.
_USUAL = frozenset(
    (
        *(
            "password",
            "passwort",
            "letmein",
            "welcome",
            "qwerty",
            "qwertyuiop",
            "asdfghjkl",
            "iloveyou",
            "administrator",
        ),
        *("admin", "changeme", "default", "secret", "master", "dragon", "football", "baseball", "sunshine", "princess"),
        *("clutch", "flywheel", "workshop", "counter", "shoplead", "leastclutch", "advisor", "abcdefghijkl", "abc"),
    )
)

hasher = PasswordHasher()
_few = threading.BoundedSemaphore(2)
_unknown: list[str] = []


def hashed(password: str) -> str:
    """The hash of a new password; InputError for one that is too short, too long or too usual."""
    if len(password) < SHORTEST:
        raise InputError(
            f"The password has fewer than {SHORTEST} signs.", remedy="Take a longer one, some words for example."
        )
    if len(password) > LONGEST:
        raise InputError(f"The password has more than {LONGEST} signs.", remedy="Take a shorter one.")
    letters = "".join(sign for sign in password.casefold() if sign.isalpha())
    parts = [usual for usual in _USUAL if letters and letters in (usual, usual * 2, usual * 3, usual * 4)]
    if parts or len(set(password)) < 5:
        raise InputError(
            "Everybody would try that password first.", remedy="Take some words that do not belong together."
        )
    with _few:
        return hasher.hash(password)


def fits(kept: str | None, password: str) -> bool:
    """Is it the password of which ``kept`` is the hash? It takes as long where there is none."""
    if len(password) > LONGEST:
        password = password[: LONGEST + 1]
    with _few:
        if kept is None and not _unknown:
            _unknown.append(hasher.hash("nobody's password"))
        try:
            return hasher.verify(kept or _unknown[0], password) and kept is not None
        except (Argon2Error, InvalidHashError):
            return False


def wait_after(tries: int) -> float:
    """Seconds to wait after so many wrong tries."""
    return 0.0 if tries < FREE_TRIES else float(min(2 ** (tries - FREE_TRIES + 1), LONGEST_WAIT))
