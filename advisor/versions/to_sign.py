"""A next version of the rules given out to be signed on a lead's own machine, before it is adopted.

What is signed is all that the version will be: the digest of its files, the version it follows by number and digest,
what changes in words, what fails and is signed for. Nothing of it hangs on the time or on the history's file, so the
signature can be made elsewhere; it fits no other step than this one.
"""

import json
from dataclasses import dataclass
from typing import Any

from ..casebook import json_within_limits, shape, signing
from ..casebook.signing import SignatureAsked, Signed
from ..errors import InputError, Position, StoreError
from ..knowledge import canonical, disk, signs

SCHEMA = "least-clutch version to sign 1"


@dataclass(frozen=True, slots=True)
class VersionAsked:
    """What a lead is asked to sign: ``body`` of the adoption, ``rules_before`` by digest, ``changes`` in words."""

    body: dict[str, Any]
    rules_before: str
    changes: tuple[str, ...]

    @property
    def record(self) -> str:
        """The changes as the history keeps them."""
        return json.dumps(list(self.changes), ensure_ascii=False)

    @property
    def digest(self) -> str:
        """The digest that is signed for the whole."""
        return signing.adoption_digest(self.body, self.rules_before, canonical.digest(self.record))

    def asked(self) -> SignatureAsked:
        """As what a key signs."""
        return SignatureAsked("", self.body["version"], self.digest, self.record)

    def data(self) -> str:
        """As JSON text."""
        parts = {"adoption": self.body, "rules_before": self.rules_before, "changes": list(self.changes)}
        return json.dumps({"schema": SCHEMA, **parts}, sort_keys=True, indent=2, ensure_ascii=False) + "\n"

    def lines(self) -> list[str]:
        """What goes under the signature, for the lead to read."""
        body = self.body
        back = f", which goes back to version {body['back_to']}" if body["back_to"] is not None else ""
        return [
            f"Version {body['version']} of the house rules{back}.",
            f"  it follows version {body['before']}, over {body['shipped']}",
            f"  digest of its files: {body['rules'][:16]}; of those before: {self.rules_before[:16]}",
            "What it changes:",
            *(f"  {change}" for change in self.changes),
            *(f"  signed for: {failure}" for failure in body["accepted"]),
        ]


def is_of_a_version(path: str) -> bool:
    """Whether a file says that it is what `VersionAsked` writes; whether it is whole, `read` says."""
    try:
        held = json.loads(disk.read(path, disk.DECISION))
    except (OSError, StoreError, ValueError, RecursionError):
        return False
    return isinstance(held, dict) and held.get("schema") == SCHEMA


def read(path: str) -> VersionAsked:
    """What stands in a file to be signed; InputError where it is none, or was changed into none."""
    held = json_within_limits.read(disk.read(path, disk.DECISION).decode("utf-8", "replace"))
    whole = isinstance(held, dict) and set(held) == {"schema", "adoption", "rules_before", "changes"}
    if (
        whole
        and held["schema"] == SCHEMA
        and shape.BODIES["adoption"](held["adoption"])
        and held["adoption"]["before"] is not None
    ):
        changes, before = held["changes"], held["rules_before"]
        listed = isinstance(changes, list) and all(
            isinstance(each, str) and not signs.first_odd(each) for each in changes
        )
        if listed and isinstance(before, str) and len(before) == 64:
            return VersionAsked(held["adoption"], before, tuple(changes))
    raise InputError(
        "this is not what is asked for here.",
        where=Position(path),
        remedy="It is made with: advisor rules to-sign --to FILE.",
    )


def held_against(asked: VersionAsked, signed: Signed) -> None:
    """InputError where a signature brought back is none on this version."""
    again = "Give it out again: advisor rules to-sign --to FILE"
    if signed.verdict != "sign_off":
        raise InputError("the lead objects to this version.", remedy=f"Mend the draft. {again}")
    if (signed.decision, signed.record_sha256) != (asked.digest, asked.asked().record_sha256):
        raise InputError(
            "the signature is on something else: the draft, what is in force, or the shipped rules were changed since "
            "it was given out to be signed.",
            remedy=again,
        )
    shaped = signing.is_public_key(signed.public_key) and signing.is_signature(signed.signature)
    message = signing.message(
        decision=signed.decision, record_sha256=signed.record_sha256, said=signed.said, verdict=signed.verdict
    )
    if not shaped or not signing.holds(signed.public_key, signed.signature, message):
        raise InputError("the signature does not hold: it, the name or the words were changed.", remedy=again)
