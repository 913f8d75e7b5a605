"""Says which answers would have to change for another kit to be picked: the fewest, with exact thresholds, what costs
nothing first. Without KIT: for the nearest gentler kit, or, where no kit fits, for any.

Facts about use, speed, racing or the crankshaft are never offered: nobody is to be talked out of what is so.

example:
  advisor what-would-change scenarios/cases/mild-street-tune.yaml
  advisor what-would-change scenarios/cases/mild-street-tune.yaml orrin-240-s2
  advisor what-would-change scenarios/cases/nothing-fits.yaml --units trade
"""

from argparse import ArgumentParser, Namespace

from . import explained, opening


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("case", metavar="CASE", help="case file, decision record, or - for a case on standard input")
    parser.add_argument("kit", metavar="KIT", nargs="*", help="id, title or words; the gentler one where none is given")
    explained.add(parser)


def run(arguments: Namespace) -> int:
    """The exit code 0; InputError where the words mean no kit, or nothing is decided yet."""
    from ..errors import InputError
    from ..explaining import kit_meant, what_would_change

    about = explained.named(arguments)
    worded, decider, case = about.worded, about.decider, about.case
    if not worded.kits:
        raise InputError("nothing is decided yet in this case.", remedy="See the missing answers with advisor why.")
    kit = None
    if arguments.kit:
        kit = kit_meant.meant(worded, " ".join(arguments.kit)).kit
    elif worded.pick:
        if not worded.record.next_down:
            raise InputError("the pick is the gentlest kit that fits the car already.", remedy="Name another kit.")
        kit = worded.record.next_down.kit
    change_data = what_would_change.what_would_change(worded, decider, decider.decide(case), kit)
    lines = (
        []
        if arguments.json
        else what_would_change.what_would_change_lines(
            worded, change_data, opening.width(), explained.plain_words(arguments)
        )
    )
    explained.show(arguments, worded, "what would change", change_data, lines)
    return 0
