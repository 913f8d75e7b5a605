"""Says why another kit was not picked: every must it fails, safety first, with what is needed, what it has, how near
it came and which answers stand behind; where it does not fit, the dimension; where it would do, the step of the
ladder that decided.

KIT is an id, a title, or words: a twin, a cheaper one, a gentler one, the seller's favourite, the one I have in mind.

example:
  advisor why-not scenarios/cases/mild-street-tune.yaml orrin-240-s2
  advisor why-not scenarios/cases/mild-street-tune.yaml a cheaper one
  advisor why-not decided.json the one I have in mind --units trade
"""

from argparse import ArgumentParser, Namespace

from . import explained, opening


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("case", metavar="CASE", help="case file, decision record, or - for a case on standard input")
    parser.add_argument("kit", metavar="KIT", nargs="+", help="id, title or words such as: a twin")
    parser.add_argument(
        "--full", action="store_true", help="everything behind each requirement, what is on file included"
    )
    explained.add(parser)


def run(arguments: Namespace) -> int:
    """The exit code 0; InputError where the words mean no kit."""
    from ..errors import InputError
    from ..explaining import kit_meant, why_not

    worded = explained.named(arguments).worded
    if not worded.kits:
        raise InputError(
            "nothing is decided yet in this case, so no kit was judged.",
            remedy="See the missing answers with advisor why.",
        )
    meaning = kit_meant.meant(worded, " ".join(arguments.kit))
    why_not_data = {**why_not.why_not(worded, meaning.kit), "others": list(meaning.others), "said": meaning.said}
    lines = []
    if not arguments.json:
        width = opening.width()
        if meaning.said:
            from ..explaining.layout import wrap

            lines += [wrap(meaning.said, width), ""]
        lines += why_not.why_not_lines(worded, why_not_data, width, explained.plain_words(arguments), arguments.full)
        lines += why_not.others_lines(worded, meaning.others, width)
    explained.show(arguments, worded, "why not", why_not_data, lines)
    return 0
