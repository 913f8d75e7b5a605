"""Decides the case again with other answers and says what changes: the pick, its figures, what goes with it, the
cautions. The case itself stays as it is. A change is fact=value, or said in words. Write fact=unknown to take an answer
back.

example:
  advisor what-if scenarios/cases/mild-street-tune.yaml engine_torque=420Nm
  advisor what-if scenarios/cases/mild-street-tune.yaml pedal_tolerance=heavy noise_tolerance=any
  advisor what-if scenarios/cases/mild-street-tune.yaml "he tows a caravan of 1.4 t next year"
  advisor what-if decided.json "engine_torque=310 lb-ft" --units trade
"""

from argparse import ArgumentParser, Namespace

from . import explained, opening


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("case", metavar="CASE", help="case file, decision record, or - for a case on standard input")
    parser.add_argument(
        "change", metavar="CHANGE", nargs="+", help="another answer, as in engine_torque=420Nm, or in words"
    )
    explained.add(parser)


def run(arguments: Namespace) -> int:
    """The exit code 0; InputError for a change that cannot be read."""
    from ..explaining import what_if

    about = explained.named(arguments)
    worded, decider, case = about.worded, about.decider, about.case
    answers = _changes(arguments.change, decider, case, worded.wording)
    what_if_data, _, after = what_if.what_if(decider, case, answers, arguments.units, before=worded.record)
    lines = (
        []
        if arguments.json
        else what_if.what_if_lines(after, what_if_data, opening.width(), explained.plain_words(arguments))
    )
    explained.show(arguments, worded, "what if", what_if_data, lines)
    return 0


def _changes(texts, decider, case, wording):
    """fact -> new value of several changes, those without an equals sign read as they are said."""
    from ..errors import InputError
    from ..explaining import what_if
    from ..interview.supposed import supposing

    new_values = what_if.read_changes([text for text in texts if "=" in text], decider.knowledge)
    suppose = supposing(decider.knowledge, decider.shop.platforms, case.platform, wording)
    for text in (text for text in texts if "=" not in text):
        supposed = suppose(_behind_what_if(text))
        if not supposed.answers:
            raise InputError(
                supposed.why or f"{text!r} says no change of an answer.",
                value=text,
                remedy="Write fact=value, as in engine_torque=420Nm, or say it with a number or a choice.",
            )
        for name, value in supposed.answers.items():
            if name in new_values:
                raise InputError(f"{name} is changed twice.", value=text, remedy="Change each answer once.")
            new_values[name] = value
    return new_values


def _behind_what_if(text):
    """What stands behind "what if", or the whole text."""
    from ..explaining import asked_back

    asked = asked_back.asking(text, {})
    return asked.rest if asked.about == asked_back.WHAT_IF else text
