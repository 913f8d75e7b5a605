"""Decides the case again with other answers and says what changes: the pick, its figures, what goes with it, the
cautions. The case itself stays as it is. Write fact=unknown to take an answer back.

example:
  advisor what-if scenarios/cases/mild-street-tune.yaml engine_torque=420Nm
  advisor what-if scenarios/cases/mild-street-tune.yaml pedal_tolerance=heavy noise_tolerance=any
  advisor what-if decided.json "engine_torque=310 lb-ft" --units trade
"""

from argparse import ArgumentParser, Namespace

from . import explained, opening


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("case", metavar="CASE", help="case file, decision record, or - for a case on standard input")
    parser.add_argument("change", metavar="FACT=VALUE", nargs="+", help="another answer, as in engine_torque=420Nm")
    explained.add(parser)


def run(arguments: Namespace) -> int:
    """The exit code 0; InputError for a change that cannot be read."""
    from ..explaining import what_if

    worded, decider, case = explained.worded_of(arguments, decide=True)
    answers = what_if.read_changes(arguments.change, decider.knowledge)
    told, _, after = what_if.what_if(decider, case, answers, arguments.units, before=worded.record)
    lines = (
        [] if arguments.json else what_if.what_if_lines(after, told, opening.width(), explained.plain_words(arguments))
    )
    explained.show(arguments, worded, "what if", told, lines)
    return 0
