"""A result on one screen of a telephone: cost, delivery, feel, what to watch, from the record and its sheet alone."""

from ..deciding.decision_record import DecisionRecord
from ..explaining.priced_lines import all_there, priced_lines, sums_told
from ..explaining.spoken_reasons import NOISE, TAKE_UP, pedal_beside
from ..explaining.worded import WordedRecord
from ..knowledge.sentences import capital, first_sentence, sentence
from ..knowledge.wording import Wording
from ..reporting.sheets.blocks import Bullets, Document, Paragraph, plain
from ..reporting.sheets.page import Page
from .block_pages import section_of

#: Sections of the sheet whose first line is what to watch, the first that is there.
WATCHED = ("mend-first", "watch")


def brief(record: DecisionRecord, wording: Wording, sheet: Document) -> list[tuple[str, str]]:
    """(label, text) of what a customer wants to know first; empty where no kit is picked."""
    if record.pick_id is None:
        return []
    worded, page = WordedRecord(record, wording), Page(record, wording, guarded=True)
    lines = priced_lines(worded)
    cost = sums_told(lines, wording) if lines.total is not None else "to be asked"
    parts = [("Cost", sentence(cost)), ("Delivery", sentence(capital(all_there(lines))))]
    feel = []
    force, known = page.figure_value("pedal_force_n"), page.fact_value("factory_pedal_force")
    if force is not None:
        feel.append(f"Pedal {pedal_beside(force, known) if known else wording.value('pedal_force_n', force)}")
    for name, words, start in (("take_up_class", TAKE_UP, "takes up "), ("noise_class", NOISE, "noise: ")):
        value = page.figure_value(name)
        if value is not None:
            feel.append(start + words[int(value)].partition(";")[0])
    if feel:
        parts.append(("Feel", sentence("; ".join(feel))))
    watch = _watch(sheet)
    return [*parts, ("Watch", watch)] if watch else parts


def _watch(sheet: Document) -> str:
    """The first sentence of the weightiest caution."""
    for name in WATCHED:
        held = section_of(sheet, name)
        for block in held.blocks if held else ():
            if isinstance(block, Bullets) and block.items:
                return first_sentence(plain(block.items[0]))
            if isinstance(block, Paragraph):
                return first_sentence(plain(block.text))
    return ""
