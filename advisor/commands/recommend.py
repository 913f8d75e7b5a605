"""Reads one case and says which kit to sell (or that the factory clutch is enough), why, why not the gentler
one, and what has to go with it.

example:
  advisor recommend scenarios/cases/mild-hatch.yaml
  advisor recommend caller.yaml --show why --units trade
  advisor recommend caller.yaml --json
  advisor recommend caller.yaml --save --by "counter 2"
"""

import sys
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from ..errors import InputError
from . import opening

if TYPE_CHECKING:
    from ..deciding.decide import Decider
    from ..deciding.decision_record import DecisionRecord
    from ..knowledge.wording import Wording


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("case", metavar="CASE", help="case file, or - for standard input")
    parser.add_argument(
        "--show",
        choices=("why", "not", "next", "parts", "fitting", "assumptions", "cautions", "settled", "all"),
        action="append",
        default=[],
        metavar="WORD",
        help="what stands behind the card: why, not (why not another), next (one step up, what wishes cost), parts,"
        " fitting, assumptions, cautions, settled (what stands whatever else is answered), or all",
    )
    parser.add_argument("--full", action="store_true", help="everything, the complete derivation as well")
    keeping = parser.add_argument_group("keeping it")
    keeping.add_argument("--save", action="store_true", help="keep case and decision in the casebook")
    keeping.add_argument("--by", default="", metavar="WHO", help="who took the call")
    keeping.add_argument("--casebook", metavar="FILE", help="the casebook (default: in the user's data folder)")
    opening.add_output(parser)
    opening.add_sources(parser)


def run(arguments: Namespace) -> int:
    """The exit code: 0 recommended, 3 needs more answers, 4 no kit fits."""
    called = None
    if arguments.save:
        from .case_answers import keep_case

        kept = keep_case(arguments, by=arguments.by)
        called, record, decider = kept.called, kept.record, kept.decider
    else:
        from ..deciding.advise import advise

        if arguments.by or arguments.casebook:
            raise InputError("--by and --casebook say how a case is kept.", remedy="Add --save, or leave them out.")
        decider = opening.open_decider(arguments)
        record = advise(decider, opening.read_case(arguments.case, decider.knowledge))
    if arguments.json:
        from ..deciding.recording import to_json

        opening.say_json(to_json(record))
    else:
        wording = decider.shop.wording(decider.knowledge, arguments.units)
        _say(arguments, record, wording, _settled(arguments, record, decider, wording))
    if called is not None:
        sys.stderr.write(f"Kept as case {called}.\n")  # beside the output, which may be JSON data
    return opening.EXIT[record.outcome]


def _settled(arguments: Namespace, record: "DecisionRecord", decider: "Decider", wording: "Wording") -> str:
    """What is proved to stand whatever else is answered, where that is asked for: it is no part of the record."""
    if "settled" not in arguments.show:
        return ""
    from ..proving.standing import standing_lines, standing_of

    decision = decider.decide(record.case.as_case())
    return "\n".join(standing_lines(standing_of(decision), decision, wording, opening.width())) + "\n"


def _say(arguments: Namespace, record: "DecisionRecord", wording: "Wording", settled: str) -> None:
    """What was asked for, then the card, which stands last."""
    from ..explaining.card import card
    from ..explaining.sections import WORDS, section, sections

    width = opening.width()
    if arguments.full:
        from ..reporting.screens import derivation

        opening.say(derivation.derivation(record, wording, width) + "\n")
    if arguments.full or "all" in arguments.show:
        opening.say(sections(record, wording, width) + "\n")
    else:
        for word in dict.fromkeys(arguments.show):
            opening.say((settled if word == "settled" else section(record, wording, word, width)) + "\n")
    more = "" if arguments.full or arguments.show else f"More: --show {', '.join(WORDS)} or all."
    opening.say(card(record, wording, width, more))
