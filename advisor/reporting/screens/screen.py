"""The whole screen of a decision: every section, then the card, which stands last."""

from collections.abc import Mapping

from ...deciding.decision_record import DecisionRecord
from ...explaining.card import card
from ...explaining.sections import sections
from ...knowledge.wording import Wording


def screen(record: DecisionRecord | Mapping[str, object], wording: Wording, width: int = 80) -> str:
    """All that is told of one `DecisionRecord` (or its JSON data), ``width`` columns wide at most."""
    return sections(record, wording, width) + "\n" + card(record, wording, width)
