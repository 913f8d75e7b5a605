"""What the explaining commands share: the case or decision record they are about, and how their answer is shown."""

import json
from argparse import ArgumentParser, Namespace
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from . import opening

if TYPE_CHECKING:
    from ..explaining.trade_words import PlainWords
    from ..explaining.worded import WordedRecord
    from ..knowledge.model import Case


def add(parser: ArgumentParser) -> None:
    """Options of every explaining command."""
    opening.add_output(parser)
    parser.add_argument("--plain-words", action="store_true", help="explain each trade word once")
    opening.add_sources(parser)


def worded_of(arguments: Namespace, decide: bool = False) -> "tuple[WordedRecord, Any, Case]":
    """(WordedRecord, Decider or None, Case) of the case file or decision record named; a Decider where ``decide`` or
    needed.
    """
    from ..explaining import case_to_explain
    from ..explaining.worded import WordedRecord

    content = opening.open_content(arguments)
    record = case_to_explain.record_in(arguments.case) if arguments.case != "-" else None
    decider: Any = None
    if record is None or decide:
        from ..deciding.decide import decider_of

        decider = decider_of(content)
    if record is not None:
        worded = case_to_explain.worded_of(record, content.knowledge, _shop(content), arguments.case, arguments.units)
        return worded, decider, record.case.as_case()
    from ..deciding.advise import advise

    case = opening.read_case(arguments.case, content.knowledge)
    return WordedRecord(advise(decider, case), decider.shop.wording(content.knowledge, arguments.units)), decider, case


def _shop(content):
    from ..deciding.decide import Shop

    return Shop.of(content)


def plain_words(arguments: Namespace) -> "PlainWords | None":
    """A PlainWords where trade words are to be explained, else None."""
    from ..explaining.trade_words import PlainWords

    return PlainWords() if arguments.plain_words else None


def show(
    arguments: Namespace, worded: "WordedRecord", question: str, told: Mapping[str, Any], lines: Sequence[str]
) -> None:
    """Print an answer: as JSON data, or as ``lines`` under the car and the case."""
    case = worded.record.case
    if arguments.json:
        data = {
            "question": question,
            "case": case.id,
            "invented": case.invented,
            "knowledge": worded.record.knowledge,
            "shop": worded.record.data.get("shop"),
            **told,
        }
        opening.say_json(json.dumps(data, sort_keys=True, indent=2, ensure_ascii=False))
        return
    from ..explaining.declined import not_on_file
    from ..explaining.layout import wrap
    from ..explaining.made_from import made_from_lines

    width = opening.width()
    car = worded.wording.title(case.platform) if case.platform else not_on_file(worded.record).capitalize()
    head = [wrap(f"{car}, case {case.id}", width)]
    head += [wrap(line, width) for line in made_from_lines(worded.record)]
    opening.say("\n".join([*head, "", *lines]))
