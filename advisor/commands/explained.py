"""What the explaining commands share: the case or decision record they are about, and how their answer is shown."""

import json
from argparse import ArgumentParser, Namespace
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from . import opening

if TYPE_CHECKING:
    from ..deciding.decide import Decider
    from ..explaining.trade_words import PlainWords
    from ..explaining.worded import WordedRecord
    from ..knowledge.case_model import Case
    from ..knowledge.sources import Content


def add(parser: ArgumentParser) -> None:
    """Options of every explaining command."""
    opening.add_output(parser)
    parser.add_argument("--plain-words", action="store_true", help="explain each trade word once")
    opening.add_sources(parser)


@dataclass
class Explained:
    """What an explaining command is about: a worded record, the case in it, and the content to decide it with."""

    worded: "WordedRecord"
    case: "Case"
    content: "Content"
    opened: "Decider | None" = None

    @property
    def decider(self) -> "Decider":
        """A Decider over the content, made when first asked for: most questions are answered from the record."""
        if self.opened is None:
            from ..deciding.decide import decider_of

            self.opened = decider_of(self.content)
        return self.opened


def named(arguments: Namespace) -> Explained:
    """The `Explained` of the case file, decided now, or decision record named."""
    from ..explaining import case_to_explain
    from ..explaining.worded import WordedRecord

    if getattr(arguments, "stored", False):
        return _stored(arguments)
    content = opening.open_content(arguments)
    record = case_to_explain.record_in(arguments.case) if arguments.case != "-" else None
    if record is not None:
        from ..deciding.decide import Shop

        shop = Shop.of(content)
        worded = case_to_explain.worded_of(record, content.knowledge, shop, arguments.case, arguments.units)
        return Explained(worded, record.case.as_case(), content)
    from ..deciding.advise import advise
    from ..deciding.decide import decider_of

    decider, case = decider_of(content), opening.read_case(arguments.case, content.knowledge)
    wording = decider.shop.wording(content.knowledge, arguments.units)
    return Explained(WordedRecord(advise(decider, case), wording), case, content, decider)


def _stored(arguments):
    """The `Explained` of a case in the casebook, by what was kept with it: the decision that was told or sold."""
    from ..casebook import kept_back, kept_files
    from ..casebook.stored_form import named as called
    from ..deciding.decide import Shop
    from ..errors import InputError
    from ..explaining.worded import WordedRecord

    given = [name for name in ("shop", "rules", "kits", "platforms", "parts") if getattr(arguments, name, None)]
    if given:
        raise InputError(
            "a stored case is explained by what was kept with it.", remedy=f"Leave out --{', --'.join(given)}."
        )
    with opening.book_of(arguments, write=False) as book:
        number = book.number_of(arguments.case)
        decision = book.told(number) or book.standing(number)[1]
        if decision is None:
            raise InputError(
                f"case {book.called(number)} has no decision to explain.",
                remedy=f"Decide it first: advisor case decide {book.called(number)}.",
            )
        words = kept_back.shown(book, number, people=False)
        record = book.record(decision)
        record = called(record, words.name(record.case.id))
        content = kept_files.content(book.files_of(decision))
    wording = Shop.of(content).wording(content.knowledge, arguments.units)
    return Explained(WordedRecord(record, wording), record.case.as_case(), content)


def plain_words(arguments: Namespace) -> "PlainWords | None":
    """A PlainWords where trade words are to be explained, else None."""
    from ..explaining.trade_words import PlainWords

    return PlainWords() if arguments.plain_words else None


def show(
    arguments: Namespace, worded: "WordedRecord", question: str, answer: Mapping[str, Any], lines: Sequence[str]
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
            **answer,
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
