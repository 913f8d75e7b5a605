"""Says why the kit was picked: one sentence for each requirement that decided (depth 1), the conditions with their
values and where those came from (depth 2), the whole derivation with its arithmetic and sources (depth 3).

CASE is a case file, or a decision record written by recommend --json, which is explained as it stands.

example:
  advisor why scenarios/cases/mild-street-tune.yaml
  advisor why scenarios/cases/mild-street-tune.yaml --depth 3 --requirement holds-worn-and-warm
  advisor why decided.json --depth 2 --units trade --plain-words
  advisor why decided.json --graph derivation.svg
"""

from argparse import ArgumentParser, Namespace

from ..knowledge import disk, signs
from . import explained, opening


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("case", metavar="CASE", help="case file, decision record, or - for a case on standard input")
    parser.add_argument("--depth", type=int, choices=(1, 2, 3), default=1, help="how deep (default 1)")
    parser.add_argument(
        "--requirement",
        action="append",
        default=[],
        metavar="ID",
        help="explain this one (again for more) in place of those that decided",
    )
    parser.add_argument(
        "--edge", action="store_true", help="also how far the engine can grow, and what moves the margin most"
    )
    parser.add_argument("--graph", metavar="FILE", help="draw the derivation into an SVG file as well")
    opening.add_replace(parser)
    explained.add(parser)


def run(arguments: Namespace) -> int:
    """The exit code 0; InputError for a requirement that is not posted."""
    from ..explaining import why

    about = explained.named(arguments)
    worded = about.worded
    _check(worded, arguments.requirement)
    why_data = why.why(worded, arguments.depth, tuple(arguments.requirement))
    plain = explained.plain_words(arguments)
    lines = [] if arguments.json else why.why_lines(worded, why_data, opening.width(), plain)
    if arguments.edge and worded.pick:
        from ..explaining import sensitivity

        why_data["edge"] = sensitivity.sensitivity(worded, about.decider, about.case)
        lines += sensitivity.sensitivity_lines(worded, why_data["edge"], opening.width(), plain)
    if arguments.graph:
        _draw(worded, arguments)
    explained.show(arguments, worded, "why", why_data, lines)
    return 0


def _check(worded, names):
    from ..errors import InputError
    from ..knowledge.near import nearest_are

    for name in names:
        if name not in worded.requirements:
            raise InputError(
                f"no requirement {name!r} was posted in this case.",
                value=name,
                remedy=nearest_are(name, worded.requirements, "See them with recommend --full.", 0.4),
            )


def _draw(worded, arguments):
    from ..errors import InputError
    from ..explaining import reason_graph, reason_nodes
    from ..explaining.made_from import made_from_lines

    if worded.pick is None:
        raise InputError("there is no pick to draw the derivation of.", remedy="Draw a case for which a kit is picked.")
    names = arguments.requirement or [check.requirement for check in worded.record.pick.because]
    title = f"{worded.wording.title(worded.pick)}, case {worded.record.case.id}"
    title = ". ".join([title, *(line.rstrip(".") for line in made_from_lines(worded.record))])
    text = reason_graph.drawing(reason_nodes.trace(worded, worded.pick, names), worded.wording, title)
    disk.may_write(
        arguments.graph,
        inputs=[arguments.case, *opening.read_from(arguments)],
        replace=arguments.replace,
        option="--graph",
    )
    disk.deliver(arguments.graph, signs.shown(text), replace=arguments.replace, option="--graph")
