"""What a kit or part cost over time, as kept with the cases."""

from typing import TYPE_CHECKING, Any

from ..knowledge import strict_yaml
from . import entries, statements

if TYPE_CHECKING:
    from .book import Casebook


def prices(book: "Casebook", record_id: str) -> list[dict[str, Any]]:
    """[{price, currency, on_file, first, last, cases}] oldest first, equal neighbours put together.

    ``first`` and ``last`` are when cases were decided with it; [] where it was never on file.
    """
    spells: list[Any] = []
    read: dict[str, Any] = {}
    for knowledge, first, last, cases in list(book.store.rows(statements.KNOWLEDGE_OVER_TIME)):
        price, currency, on_file = _of(book, knowledge, record_id, read)
        held = {"price": price, "currency": currency, "on_file": on_file, "first": first, "last": last, "cases": cases}
        if spells and all(spells[-1][name] == held[name] for name in ("price", "currency", "on_file")):
            spells[-1] |= {"last": max(last, spells[-1]["last"]), "cases": spells[-1]["cases"] + cases}
        else:
            spells.append(held)
    return spells if any(spell["on_file"] for spell in spells) else []


def _of(book, knowledge, record_id, read):
    for place, _, content in list(book.store.rows(statements.FILES_OF_KNOWLEDGE, (knowledge,))):
        if place not in ("kits", "parts"):
            continue
        if content not in read:
            # Most files are the same from one day to the next, and are read once.
            read[content] = _listed(entries.fetch(book.store, content))
        if record_id in read[content]:
            return (*read[content][record_id], True)
    return None, None, False


def _listed(body):
    """Record id -> (price, currency) of one file of kits or parts."""
    whole = strict_yaml.loads(body, "stored", limit=strict_yaml.RECORDS_LIMIT).plain()
    records = [
        part_of for part in whole.values() if isinstance(part, list) for part_of in part if isinstance(part_of, dict)
    ]
    return {
        record["id"]: (_number(record.get("price")), record.get("currency")) for record in records if "id" in record
    }


def _number(value):
    return None if value is None else float(value)
