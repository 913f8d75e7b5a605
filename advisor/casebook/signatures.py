"""Leads' signatures in a casebook: what is given out to be signed, what comes back, and whether it still holds."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ..errors import InputError
from . import counters, entries, shape, signing, statements
from .entries import Entry, line, paragraph

if TYPE_CHECKING:
    from .book import Casebook
    from .store import Connection

LONGEST_SALT = 100


def to_sign(book: "Casebook", number: int) -> signing.SignatureAsked:
    """What a lead signs of the standing decision of a case."""
    decision = book.to_be_signed(number)
    book.record(decision)  # held against what its entry says before it goes anywhere
    record = entries.fetch(book.store, decision.record).decode()
    return signing.SignatureAsked(book.store.row(statements.HEAD)[0], number, decision.digest, record)


def take(book: "Casebook", number: int, signed: signing.Signed) -> Entry:
    """Keep a lead's signature with the case it is on; InputError where it is on something else."""
    again = f"Have it signed again: advisor case to-sign {number} --to FILE."
    by, text = line(signed.by, "name of the lead"), paragraph(signed.text, "text") if signed.text else ""
    if (by, text) != (signed.by, signed.text) or len(signed.salt) > LONGEST_SALT:
        raise InputError("the signature's name or text is not as this program writes it.", remedy=again)

    def write(connection: "Connection") -> Entry:
        decision = book.to_be_signed(number)
        if not _on_case(book, number, signed):
            raise InputError("the signature is on another case.", remedy=again)
        # Given out where the case was handed over from, it names the decision by the digest it had there.
        if signed.decision not in shape.digests(decision) or signed.record_sha256 != decision.record:
            raise InputError("the case was decided again since it was given to sign.", remedy=again)
        key = {"public_key": signed.public_key, "value": signed.signature, "said": signed.said}
        body = {"of": decision.number, "decision": signed.decision, "text": text, "signature": key}
        shaped = signing.is_public_key(signed.public_key) and signing.is_signature(signed.signature)
        if not shaped or signing.fault(body, signed.verdict, decision.record):
            raise InputError("the signature is not one on this decision.", remedy=again)
        salt = {"salt": signed.salt}
        return entries.append(connection, number, signed.verdict, body, by=by, private=salt)

    return book.store.transact(write)


def _on_case(book, number, signed):
    """Whether a signature is on a case, as it is called here or by the counter that handed it over."""
    if (signed.casebook, signed.case) == (book.store.row(statements.HEAD)[0], number):
        return True
    if not counters.has_any(book.store):
        return False
    return book.store.row(statements.CASE_OF_LINK, (signed.casebook, signed.case)) == (number,)


def fault(entry: Entry, by_number: Mapping[int, Entry]) -> str:
    """What is wrong with the signature in an Entry, in words; "" where nothing is, or there is none.

    ``by_number``: the entries of its case, looked over already.
    """
    if "signature" not in entry.body:
        return ""
    words = [entry.kept[part] for part in ("salt", "by", "text") if part in entry.kept]
    # Once any of them was erased, the digest alone stands for what the lead said.
    if len(words) == 3 and signing.said_digest(*words) != entry.body["signature"]["said"]:
        return "carries a signature on other words"
    return signing.fault(entry.body, entry.kind, by_number[entry.body["of"]].record)
