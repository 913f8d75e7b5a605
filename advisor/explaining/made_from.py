"""Whose cars and kits an answer was made from, and by which rules: said on every screen and sheet."""

from ..deciding.decision_record import DecisionRecord
from ..deciding.recorded_origin import RecordedShop
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
    return [*lines, shop_sentence(shop)] if shop else lines


def made_from_in_short(record: DecisionRecord) -> str:
    """The same in one sentence: "Invented shop, cars and kits: Demonstration shop, shipped rules 2026.11." """
    shop = record.shop
    named = shop_sentence(shop) if shop else ""
    if not (record.case.invented or (shop is not None and shop.invented)):
        return named
    return f"Invented shop, cars and kits: {named}" if named else "Invented shop, cars and kits."
