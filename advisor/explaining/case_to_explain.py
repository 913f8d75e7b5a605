"""A case to explain: from a case file, or from the decision record of one decided before."""

import json
from pathlib import Path

from ..deciding.decide import Shop
from ..deciding.decision_record import SCHEMA, DecisionRecord
from ..errors import InputError, Position
from ..knowledge import disk
from ..knowledge.model import Knowledge
from .worded import WordedRecord

HASHES = {"rules_sha256": "rules", "kits_sha256": "kits", "platforms_sha256": "platforms", "parts_sha256": "parts"}


def record_in(path: Path | str) -> DecisionRecord | None:
    """The `DecisionRecord` in a file, or None where the file holds none (a case file, say)."""
    try:
        text = disk.read(path, disk.DECISION).decode("utf-8")
    except (OSError, UnicodeDecodeError):
        return None
    if not text.lstrip().startswith("{"):
        return None
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        return None
    return DecisionRecord.of(data) if isinstance(data, dict) and data.get("schema") == SCHEMA else None


def worded_of(
    record: DecisionRecord, knowledge: Knowledge, shop: Shop, path: Path | str, system: str = "si"
) -> WordedRecord:
    """A stored `DecisionRecord` with its words.

    InputError where the rules or records at hand are not those it was made with.
    """
    here = {"rules_sha256": knowledge.sha256, **shop.hashes}
    other = [HASHES[name] for name in HASHES if name in here and record.knowledge.get(name) != here[name]]
    if other:
        raise InputError(
            f"this decision was made with other {' and other '.join(other)}.",
            where=Position(str(path)),
            remedy=f"Name the right ones ({', '.join('--' + name for name in other)}), or decide the case again.",
        )
    return WordedRecord(record, shop.wording(knowledge, system))
