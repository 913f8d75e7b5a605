"""Reads one case and says which kit to sell (or that the factory clutch is enough), why, why not the gentler
one, and what has to go with it.

example:
  advisor recommend scenarios/cases/mild-hatch.yaml
  advisor recommend caller.yaml --units trade
  advisor recommend caller.yaml --json
"""

from . import common

EXIT = {"recommended": 0, "need_more_answers": 3, "no_kit_fits": 4}


def add(parser):
    """Options of the command."""
    parser.add_argument("case", metavar="CASE", help="case file, or - for standard input")
    parser.add_argument("--full", action="store_true", help="the complete derivation as well")
    common.add_output(parser)
    common.add_sources(parser)


def run(arguments):
    """The exit code: 0 recommended, 3 needs more answers, 4 no kit fits."""
    from ..deciding.advise import advise

    decider = common.open_decider(arguments)
    case = common.read_case(arguments.case, decider.knowledge)
    made = advise(decider, case)
    if arguments.json:
        from ..deciding.record import to_json

        common.say(to_json(made))
    else:
        from ..reporting import derivation, screen

        words = screen.Words(decider.knowledge, decider.shop, arguments.units)
        common.say(screen.screen(made, words, common.width(), arguments.full))
        if arguments.full:
            common.say("\n" + derivation.derivation(made, words, common.width()))
    return EXIT[made["outcome"]]
