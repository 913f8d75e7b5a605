"""Reads a sentence as a caller says it into facts: several at once, numbers in words or digits, ranges and "about",
everyday words for choices. It says back in one line what it took down, what must be asked, and what it did not
understand. Nothing is guessed between two facts, and nothing is evaluated.

example:
  advisor understand "420 Nm at the wheels, daily driver, my garage does it"
  advisor understand "four fifty" --about engine_torque
  advisor understand "it tows a caravan of 1.4 t" --car bramble-20t --json
"""

import json
from argparse import ArgumentParser, Namespace

from . import opening


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("text", metavar="TEXT", help="what was said")
    parser.add_argument("--about", metavar="FACT", default="", help="the fact that was asked for")
    parser.add_argument("--car", metavar="ID", default="", help="the car on file")
    opening.add_output(parser)
    opening.add_sources(parser)


def run(arguments: Namespace) -> int:
    """The exit code: 0; InputError for text that cannot be read and names that are not known."""
    from ..knowledge.wording import Wording
    from ..listening.saying import Saying
    from ..listening.understanding import Listener

    content = opening.open_content(arguments)
    understood = Listener(content.knowledge, content.platforms).understand(
        arguments.text, arguments.about, arguments.car
    )
    if arguments.json:
        opening.say_json(json.dumps(understood.as_json(), ensure_ascii=False, indent=2, sort_keys=True))
    else:
        opening.say(Saying(Wording(content.knowledge, arguments.units)).line(understood))
    return 0
