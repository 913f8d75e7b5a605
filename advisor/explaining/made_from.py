"""Whose cars and kits an answer was made from, and by which rules: said on every screen and sheet."""

from ..deciding.decision_record import DecisionRecord
from ..deciding.recorded_origin import RecordedShop
from ..knowledge.experience import FACING_SPREAD, FACTOR
from ..knowledge.shop import About

INVENTED = "Invented shop, invented cars and kits: a demonstration."


def shop_sentence(shop: RecordedShop) -> str:
    """ "Demonstration shop, shipped rules 2026.11." """
    return f"{shop.name}, {shop.rules_version}."


def about_sentence(about: About, edition: str) -> str:
    """As `shop_sentence`, before there is a record; ``edition`` of the rules."""
    return f"{about.name}, {edition}." if edition else f"{about.name}."


def made_from_lines(record: DecisionRecord) -> list[str]:
    """That it is a demonstration where it is one, and shop and rules where the record names them."""
    shop = record.shop
    lines = [INVENTED] if record.case.invented or (shop is not None and shop.invented) else []
    lines += [shop_sentence(shop)] if shop else []
    return lines + experience_lines(record)


def experience_lines(record: DecisionRecord) -> list[str]:
    """That outcomes corrected the capacity of the pick, where a signed table did."""
    digest = record.knowledge.get("experience_sha256")
    factor = record.records.get(record.pick_id or "", {}).get(FACTOR)
    if not digest or not isinstance(factor, int | float):
        return []
    if factor < 1:
        said = f"{1 - factor:.0%} less than worked out, and it is judged by that"
    else:
        said = f"{factor - 1:.0%} more than worked out; only its chance of holding counts that"
    if FACING_SPREAD in record.records[record.pick_id or ""]:
        return [
            f"Nothing was heard of {record.pick_id} itself; by this shop's outcomes other kits with its facing hold"
            f" {said} (signed table {digest[:12]})."
        ]
    return [f"By this shop's outcomes {record.pick_id} holds {said} (signed table {digest[:12]})."]


def made_from_in_short(record: DecisionRecord) -> str:
    """The same in one sentence: "Invented shop, cars and kits: Demonstration shop, shipped rules 2026.11." """
    shop = record.shop
    named = shop_sentence(shop) if shop else ""
    if record.case.invented or (shop is not None and shop.invented):
        named = f"Invented shop, cars and kits: {named}" if named else "Invented shop, cars and kits."
    return " ".join([named, *experience_lines(record)] if named else experience_lines(record))
