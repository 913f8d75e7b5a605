"""A lead's signature: Ed25519 (RFC 8032) over what was decided, with a key that only the lead can use.

The private key lies in a file of the lead's own, under a passphrase (scrypt, RFC 7914; ChaCha20-Poly1305, RFC 8439),
never on the machine of a counter; the public half stands in ``shop.toml``. What is signed is text: the digest of the
decision with its record, who signs, whether he agrees, and the digest of what he says. It is taken to the lead's
machine and the signature brought back, or signed in place where the casebook lies on a machine of his.

The library is imported only where something is signed or a signature is looked at.
"""

import base64
import binascii
import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..errors import InputError, Position, StoreError
from ..knowledge import canonical, disk, signs

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

KEY_SCHEMA = "least-clutch lead key 1"
ASKED_SCHEMA = "least-clutch to sign 1"
SIGNED_SCHEMA = "least-clutch signature 1"
#: Letters of the shortest passphrase.
SHORTEST = 12
#: Cost of one guess at a passphrase: 128 MiB and some tenths of a second (RFC 7914; common practice for keys at rest).
COST = {"n": 2**17, "r": 8, "p": 1}
_MOST_MEMORY = 256 * 2**20
_LARGEST = 200_000
VERDICTS = ("sign_off", "objection")


@dataclass(frozen=True, slots=True)
class SignatureAsked:
    """What a lead is asked to sign: the digest of one ``decision`` of one casebook, and its ``record`` as stored."""

    casebook: str
    case: int
    decision: str
    record: str

    @property
    def record_sha256(self) -> str:
        """The digest under which the record is stored."""
        return canonical.digest(self.record)

    def data(self) -> str:
        """As JSON text."""
        return _data(self, ASKED_SCHEMA)


@dataclass(frozen=True, slots=True)
class Signed:
    """A signature brought back: what it is on, who signs, as what, with which words.

    ``salt`` goes into the digest of name and words, so that once both are erased nobody can guess them from it.
    """

    casebook: str
    case: int
    decision: str
    record_sha256: str
    by: str
    verdict: str
    text: str
    salt: str
    public_key: str
    signature: str

    @property
    def said(self) -> str:
        """The digest that stands for name and words in what is signed."""
        return said_digest(self.salt, self.by, self.text)

    def data(self) -> str:
        """As JSON text."""
        return _data(self, SIGNED_SCHEMA)


def _data(held, schema):
    parts = {name: getattr(held, name) for name in held.__slots__}
    return json.dumps({"schema": schema, **parts}, sort_keys=True, indent=2, ensure_ascii=False) + "\n"


def said_digest(salt: str, by: str, text: str) -> str:
    """The digest of who signs and what he says."""
    return canonical.sha256([salt, by, text])


def message(*, decision: str, record_sha256: str, said: str, verdict: str) -> bytes:
    """The bytes that are signed."""
    signed = {"decision": decision, "record_sha256": record_sha256, "said": said, "verdict": verdict}
    return f"{SIGNED_SCHEMA}\n{canonical.text(signed)}".encode()


def adoption_digest(body: Mapping[str, Any], rules_before: str, record_sha256: str) -> str:
    """The digest that a lead signs on his own machine before a version is adopted, so without time and place in it.

    ``body`` of the adoption; ``rules_before``: digest of the version it follows; ``record_sha256`` of its changes.
    """
    return canonical.sha256(["adoption", dict(body), rules_before, record_sha256])


# --- keys


def new_key(passphrase: str) -> str:
    """The text of a new key file; InputError for a passphrase that is too short."""
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305

    if len(passphrase) < SHORTEST:
        raise InputError(
            f"the passphrase is shorter than {SHORTEST} letters.", remedy="Take a longer one, some words for example."
        )
    private = Ed25519PrivateKey.generate()
    raw = private.private_bytes(
        serialization.Encoding.Raw, serialization.PrivateFormat.Raw, serialization.NoEncryption()
    )
    head: dict[str, Any] = {"schema": KEY_SCHEMA, "public_key": _public_of(private), "cost": COST}
    head |= {"salt": os.urandom(16).hex(), "nonce": os.urandom(12).hex()}
    box = ChaCha20Poly1305(_stretched(passphrase, head))
    closed = box.encrypt(bytes.fromhex(head["nonce"]), raw, canonical.text(head).encode())
    return json.dumps({**head, "closed": _written(closed)}, indent=2) + "\n"


def public_key(path: str) -> str:
    """The public half in a key file, as it goes into ``shop.toml``."""
    return _key_file(path)["public_key"]


def open_key(path: str, passphrase: str) -> "Ed25519PrivateKey":
    """The private key in a file; InputError for another passphrase, or a file that was changed."""
    from cryptography.exceptions import InvalidTag
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305

    held = _key_file(path)
    closed = held.pop("closed")
    try:
        box = ChaCha20Poly1305(_stretched(passphrase, held))
        raw = box.decrypt(bytes.fromhex(held["nonce"]), _read(closed), canonical.text(held).encode())
        private = Ed25519PrivateKey.from_private_bytes(raw)
    except (InvalidTag, ValueError, TypeError):
        raise InputError(
            "the key does not open with this passphrase.",
            where=Position(path),
            remedy="Try again; nobody can open it without.",
        ) from None
    if _public_of(private) != held["public_key"]:
        raise InputError("the two halves of the key do not belong together.", where=Position(path))
    return private


def _key_file(path):
    try:
        body = disk.read(path, _LARGEST)
    except OSError as error:
        raise StoreError(
            f"the key cannot be read: {error.strerror or error}.", where=Position(path), remedy="Check the name."
        ) from None
    try:
        held = json.loads(body)
        texts = all(isinstance(held[name], str) for name in ("public_key", "salt", "nonce", "closed"))
        if held["schema"] == KEY_SCHEMA and held["cost"] == COST and texts:
            return held
    except (ValueError, KeyError, TypeError, RecursionError):
        pass
    raise InputError(
        "this is no key of a lead.", where=Position(path), remedy="Make one with: advisor lead key --out FILE."
    )


def _stretched(passphrase, head):
    return hashlib.scrypt(
        passphrase.encode("utf-8", "surrogateescape"),
        salt=bytes.fromhex(head["salt"]),
        maxmem=_MOST_MEMORY,
        dklen=32,
        **COST,
    )


def _public_of(private):
    from cryptography.hazmat.primitives import serialization

    public = private.public_key()
    return _written(public.public_bytes(serialization.Encoding.Raw, serialization.PublicFormat.Raw))


def _written(raw):
    return base64.b64encode(raw).decode()


def _read(text):
    return base64.b64decode(text, validate=True)


# --- signing, and looking at signatures


def sign(asked: SignatureAsked, private: "Ed25519PrivateKey", *, by: str, verdict: str, text: str) -> Signed:
    """A lead's signature on what he was asked."""
    salt, record = os.urandom(16).hex(), asked.record_sha256
    said = said_digest(salt, by, text)
    value = private.sign(message(decision=asked.decision, record_sha256=record, said=said, verdict=verdict))
    whose = _public_of(private)
    return Signed(asked.casebook, asked.case, asked.decision, record, by, verdict, text, salt, whose, _written(value))


def holds(public: str, signature: str, signed: bytes) -> bool:
    """Whether a signature on some bytes was made with the private half of ``public``."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    try:
        Ed25519PublicKey.from_public_bytes(_read(public)).verify(_read(signature), signed)
    except (InvalidSignature, ValueError, binascii.Error):
        return False
    return True


def is_public_key(text: object) -> bool:
    """Whether a text has the form of a public key: 32 bytes in base64."""
    return _is_base64(text, 32)


def is_signature(text: object) -> bool:
    """Whether a text has the form of a signature: 64 bytes in base64."""
    return _is_base64(text, 64)


def fault(body: dict, verdict: str, record_sha256: str | None) -> str:
    """What is wrong with the signature in the body of an entry, in words; "" where nothing is, or there is none.

    ``record_sha256``: the record of the decision it is on.
    """
    held = body.get("signature")
    if held is None:
        return ""
    signed = message(decision=body["decision"], record_sha256=record_sha256 or "", said=held["said"], verdict=verdict)
    if holds(held["public_key"], held["value"], signed):
        return ""
    return "carries a signature that was not made with the key it names, or on something else"


def _is_base64(text, count):
    try:
        return isinstance(text, str) and len(_read(text)) == count
    except (ValueError, UnicodeError):
        return False


def read_asked(path: str) -> SignatureAsked:
    """What stands in a file to be signed."""
    return SignatureAsked(
        **_read_file(path, ASKED_SCHEMA, SignatureAsked.__slots__, disk.DECISION, "advisor case to-sign ID --to FILE")
    )


def read_signed(path: str) -> Signed:
    """The signature in a file."""
    signed = Signed(**_read_file(path, SIGNED_SCHEMA, Signed.__slots__, _LARGEST, "advisor lead sign FILE"))
    if signed.verdict not in VERDICTS:
        raise InputError("the signature is neither a sign-off nor an objection.", where=Position(path))
    return signed


def _read_file(path, schema, names, limit, maker):
    try:
        body = disk.read(path, limit)
    except OSError as error:
        raise StoreError(
            f"the file cannot be read: {error.strerror or error}.", where=Position(path), remedy="Check the name."
        ) from None
    try:
        held = json.loads(body)
        whole = held.pop("schema") == schema and set(held) == set(names)
        kinds = {name: int if name == "case" else str for name in names}
        typed = whole and all(type(held[name]) is kinds[name] for name in names)
        if typed and not any(isinstance(part, str) and signs.first_odd(part) for part in held.values()):
            return held
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        pass
    raise InputError("this is not what is asked for here.", where=Position(path), remedy=f"It is made with: {maker}.")
