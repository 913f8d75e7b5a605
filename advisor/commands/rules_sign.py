"""Who adopts a version of the rules: a lead by name, by a key that is here, or by a signature he made elsewhere.

A lead's key is never on a machine that a counter works at. There ``rules to-sign`` writes what the next version will
be; on his own machine he reads it and signs it (``lead sign``); with the signature the version is adopted.
"""

from argparse import ArgumentParser, Namespace
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..errors import InputError
from . import opening

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    from ..casebook.signing import Signed


@dataclass(frozen=True, slots=True)
class Signer:
    """A lead who adopts, and why; his ``key``, opened, or what he ``signed`` elsewhere."""

    by: str
    why: str
    key: "Ed25519PrivateKey | None" = None
    signed: "Signed | None" = None


def add_signer(parser: ArgumentParser) -> None:
    """The options that say who adopts, and why."""
    parser.add_argument("--by", metavar="LEAD", help="the lead who adopts it, as in shop.toml")
    parser.add_argument("--why", metavar="TEXT", help="why the rules change")
    parser.add_argument("--key", metavar="KEY", help="the lead's key, where shop.toml lists one and it is here")
    parser.add_argument("--signature", metavar="SIGNED", help="what he signed elsewhere: who and why stand in it")


def add_to_sign(parser: ArgumentParser) -> None:
    """The options of ``to-sign``."""
    parser.add_argument("name", nargs="?", metavar="NAME", help="the draft; not needed where there is one")
    parser.add_argument("--to", required=True, metavar="FILE", help="write here")
    parser.add_argument("--back", type=int, metavar="VERSION", help="of going back to that version, not of a draft")
    parser.add_argument(
        "--accept", action="append", default=[], metavar="FAILURE", help="a check that fails, to be signed for"
    )
    opening.add_replace(parser)


def signer_of(arguments: Namespace) -> Signer:
    """The lead who adopts; InputError where the name is no lead's, or he signs with a key that is not here."""
    from ..casebook import entries, signing
    from .case_sign import leads_of, listed
    from .lead import passphrase

    leads = leads_of(arguments)
    if arguments.signature:
        if arguments.by or arguments.why or arguments.key or arguments.accept:
            raise InputError(
                "the signature says by itself who adopts it, why, and what is signed for.",
                remedy="Leave out --by, --why, --key and --accept.",
            )
        signed = signing.read_signed(arguments.signature)
        listed(leads, signed.by, signed.public_key)
        return Signer(signed.by, signed.text, signed=signed)
    if arguments.by is None or arguments.why is None:
        raise InputError(
            "a version is adopted by a lead, for a reason.",
            remedy='Say both: --by LEAD --why "...". Or bring what he signed elsewhere: --signature SIGNED',
        )
    by, why = entries.line(arguments.by, "name of the lead"), entries.paragraph(arguments.why, "reason", 2_000)
    if arguments.key is None:
        if listed(leads, by).public_key:
            raise InputError(
                f"{by} signs with a key.",
                remedy="Where the key is, add --key with its file. Anywhere else, write what is to be signed with "
                "advisor rules to-sign, have it signed there, and come back with --signature.",
            )
        return Signer(by, why)
    listed(leads, by, signing.public_key(arguments.key))
    return Signer(by, why, key=signing.open_key(arguments.key, passphrase(f"Passphrase of {arguments.key}: ")))
