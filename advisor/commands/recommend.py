"""Reads one case and says which kit to sell (or that the factory clutch is enough), why, why not the gentler
one, and what has to go with it.

example:
  advisor recommend scenarios/cases/mild-hatch.yaml
  advisor recommend caller.yaml --units trade
  advisor recommend caller.yaml --json
  advisor recommend caller.yaml --save --by "counter 2"
"""

import sys
from argparse import ArgumentParser, Namespace

from ..errors import InputError
from . import opening


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("case", metavar="CASE", help="case file, or - for standard input")
    parser.add_argument("--full", action="store_true", help="the complete derivation as well")
    keeping = parser.add_argument_group("keeping it")
    keeping.add_argument("--save", action="store_true", help="keep case and decision in the casebook")
    keeping.add_argument("--by", default="", metavar="WHO", help="who took the call")
    keeping.add_argument("--casebook", metavar="FILE", help="the casebook (default: in the user's data folder)")
    opening.add_output(parser)
    opening.add_sources(parser)


def run(arguments: Namespace) -> int:
    """The exit code: 0 recommended, 3 needs more answers, 4 no kit fits."""
    number = None
    if arguments.save:
        from .case_answers import keep_case

        number, record, decider = keep_case(arguments, by=arguments.by)
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
        from ..reporting.screens import derivation, screen

        wording = decider.shop.wording(decider.knowledge, arguments.units)
        opening.say(screen.screen(record, wording, opening.width(), arguments.full))
        if arguments.full:
            opening.say("\n" + derivation.derivation(record, wording, opening.width()))
    if number is not None:
        sys.stderr.write(f"Kept as case {number}.\n")  # beside the output, which may be JSON data
    return opening.EXIT[record.outcome]
