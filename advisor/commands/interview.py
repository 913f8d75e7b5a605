"""Asks what has to be known, the most useful question first, and recommends. Answers may come in any order and any
of them may be "don't know". Every answer is saved before the next question; leaving is always possible.

At a terminal it completes and shows how the case stands; with --plain, in a pipe or on a simple terminal it asks
line by line.

example:
  advisor interview
  advisor interview --case caller.yaml --plain-words
  advisor interview --resume
"""

import gc
import os
import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path

from ..knowledge import signs
from . import opening


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    group = parser.add_argument_group("the case")
    group.add_argument(
        "--case", metavar="FILE", help="keep the case in this file (default: a new file in the user's data folder)"
    )
    group.add_argument(
        "--resume",
        nargs="?",
        const="",
        metavar="NAME",
        help="go on with a saved interview: the last one, one by name, or the one of --case",
    )
    group.add_argument("--list", action="store_true", help="show the saved interviews and stop")
    group.add_argument(
        "--casebook",
        nargs="?",
        const="",
        metavar="FILE",
        help="keep the decision in the casebook as well (default: the one in your data folder)",
    )
    group.add_argument("--by", default="", metavar="NAME", help="who took the call, for the casebook")
    group.add_argument("--car", metavar="ID", help="the car, if it is known already; none if it is not on file")
    group = parser.add_argument_group("how it asks")
    group.add_argument("--plain", action="store_true", help="line by line, without colours or keys")
    group.add_argument("--plain-words", action="store_true", help="a customer's wording instead of the salesperson's")
    group.add_argument("--in-order", action="store_true", help="every question in the order of the rules")
    opening.add_output(parser)
    opening.add_sources(parser)


def run(arguments: Namespace) -> int:
    """The exit code: 0 recommended, 3 needs more answers or left early and saved, 4 no kit fits."""
    from ..interview import interview_file

    if arguments.list:
        return _list(interview_file)
    path, resuming = _path(arguments, interview_file)
    keep = None
    if arguments.casebook is not None:
        keep, decider = _open_with_casebook(arguments)
    else:
        decider = opening.open_decider(arguments)
    if arguments.case is None and not resuming:
        # Another interview may have begun, and taken the name, while the rules were read.
        path = interview_file.new_path()
    with interview_file.InterviewFile(path) as held:
        talk = _talk(arguments, decider, held, resuming)
        # Rules and records stay to the end: looking through them again and again for what can be let go costs a
        # tenth of the time to the next question.
        gc.freeze()
        say = _speaker(arguments)
        say(f"The case is kept in {path}.")
        ended = _converse(arguments, talk, say)
        if ended == "left":
            say(f"Saved. Go on with: {_resume_command(arguments, path)}")
            return 3
        return _advise(arguments, decider, talk, keep, say)


def _open_with_casebook(arguments):
    """(function that keeps a Case and gives what it is called and its record, Decider); the files are those the decider
    was made from.
    """
    from ..casebook import book as books
    from ..casebook.kept_files import Files
    from ..deciding.decide import decider_of
    from ..knowledge.sources import read

    sources = opening.sources_of(arguments)
    files = Files.of(sources)
    decider = decider_of(read(sources))
    with opening.book_of(arguments):
        pass  # a casebook that cannot be written to is known before anything is asked

    def keep(case):
        with opening.book_of(arguments) as book:
            kept = {"sources": sources, "book": book, "by": arguments.by, "note": case.note}
            number, record = books.keep(None, decider, case, files, **kept)
            return book.called(number), record

    return keep, decider


def _list(store):
    paths = store.saved()
    opening.say("\n".join(f"{path.stem}  {path}" for path in paths) if paths else "No interview is saved.")
    return 0


def _path(arguments, store):
    """(path of the case file, whether it is to be read)."""
    from ..errors import InputError

    if arguments.case is not None:
        path = Path(arguments.case)
        if arguments.resume is not None:
            if not path.is_file():
                raise InputError(
                    f"there is no case file {str(path)!r} to go on with.",
                    value=str(path),
                    remedy="Leave --resume out to begin it.",
                )
            return path, True
        if path.exists():
            raise InputError(
                f"the case file {str(path)!r} is there already.",
                value=str(path),
                remedy="Add --resume to go on with it, or name another file.",
            )
        return path, False
    if arguments.resume is None:
        return store.new_path(), False
    paths = store.saved()
    if arguments.resume:
        paths = [path for path in paths if path.stem == arguments.resume]
    if not paths:
        wanted = f"no saved interview {arguments.resume!r}" if arguments.resume else "no saved interview"
        raise InputError(
            f"there is {wanted}.", value=arguments.resume, remedy="advisor interview --list shows what there is."
        )
    return paths[0], True


def _talk(arguments, decider, held, resuming):
    from ..interview.conversation import Talk
    from ..interview.next_question import Chooser
    from ..interview.prompts import Teller
    from ..interview.reading import Reader
    from ..interview.sampling import Sampler
    from ..interview.state import State

    knowledge = decider.knowledge
    side = {}
    if resuming:
        state, side = held.load(knowledge)
    else:
        state = State(case_id(held.path))
    reader = Reader(knowledge, decider.shop.platforms)
    teller = Teller(knowledge, decider.shop, plain=arguments.plain_words, system=arguments.units)
    talk = Talk(
        Chooser(Sampler(decider), in_order=arguments.in_order),
        reader,
        teller,
        held,
        state,
        rules=knowledge.sha256,
        result_told=side.get("result_told") == "yes",
    )
    if not resuming:
        # Written at once, so that a folder that cannot be written to is known before anything is said.
        held.save(state, rules_sha256=knowledge.sha256)
    if side.get("rules_sha256") not in (None, knowledge.sha256):
        sys.stderr.write(
            "The rules have changed since this interview was left; the advice is worked out by the new ones.\n"
        )
    if arguments.car is not None and state.car is None:
        talk.take(f"car = {arguments.car}", opening.width())
        if talk.state.car is None:
            from ..interview.names import find_car

            find_car(arguments.car, decider.shop.platforms)  # raises with the nearest names
    return talk


def case_id(path: Path) -> str:
    """A case id from a file's name: small letters, digits and hyphens."""
    plain = "".join(char if char.isascii() and char.isalnum() else "-" for char in path.name.split(".")[0].casefold())
    return "-".join(part for part in plain.split("-") if part) or "caller"


def _plain(arguments):
    return (
        arguments.plain
        or arguments.json
        or os.environ.get("TERM", "dumb") in ("dumb", "")
        or not sys.stdin.isatty()
        or not sys.stdout.isatty()
    )


def _speaker(arguments):
    """Writes a text of the conversation; beside JSON it goes to standard error."""
    stream = sys.stderr if arguments.json else sys.stdout
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(errors="replace")

    def say(text):
        stream.write(signs.shown(text) + "\n")
        stream.flush()

    return say


def _converse(arguments, talk, say):
    if _plain(arguments):
        from ..interview import lines

        if hasattr(sys.stdin, "reconfigure"):
            # Bytes that are no text reach the reader as signs it refuses, instead of ending the program.
            sys.stdin.reconfigure(errors="surrogateescape")
        return lines.run(
            talk, lines.reader_of(sys.stdin, sys.stderr if arguments.json else sys.stdout), say, opening.width
        )
    from ..interview import terminal

    return terminal.run(talk, say, opening.width)


def _resume_command(arguments, path):
    import shlex

    named = (
        f"--case {shlex.quote(str(path))} --resume"
        if arguments.case is not None
        else f"--resume {shlex.quote(path.stem)}"
    )
    return f"advisor interview {named}"


def _advise(arguments, decider, talk, keep, say):
    from ..deciding.advise import advise
    from ..deciding.recording import to_json

    case = talk.state.as_case()
    if keep is not None:
        called, record = keep(case)
        say(f"Kept in the casebook as case {called}.")
    else:
        record = advise(decider, case)
    if arguments.json:
        opening.say_json(to_json(record))
    else:
        from ..explaining.card import card
        from ..explaining.sections import WORDS

        wording = decider.shop.wording(decider.knowledge, arguments.units)
        if record.pick:
            opening.say(_how_far(arguments, decider, case, record))
        more = f"More: {', '.join(WORDS)}; or ask in your own words."
        opening.say("\n" + card(record, wording, opening.width(), more))
        _talk_back(arguments, decider, case, record, say)
    return opening.EXIT[record.outcome]


def _talk_back(arguments, decider, case, record, say):
    """Answer what is asked of the advice, until an empty line or the end."""
    from ..explaining.answers_back import AnswersBack
    from ..explaining.layout import paragraph
    from ..explaining.sections import WORDS, section
    from ..explaining.worded import WordedRecord
    from ..interview import lines
    from ..interview.supposed import supposing

    wording = decider.shop.wording(decider.knowledge, arguments.units)
    answers = None

    def answer(text):
        nonlocal answers
        if text.strip().lower() in WORDS:
            return section(record, wording, text.strip().lower(), opening.width()).rstrip()
        if answers is None:
            suppose = supposing(decider.knowledge, decider.shop.platforms, case.platform, wording)
            answers = AnswersBack(WordedRecord(record, wording), decider, case, suppose)
        return paragraph(answers.answer(text), opening.width())

    if _plain(arguments):
        lines.talk_back(answer, lines.reader_of(sys.stdin, sys.stdout), say, opening.width(), typed=sys.stdin.isatty())
        return
    from ..interview import terminal

    lines.talk_back(answer, terminal.asker(), say, opening.width())


def _how_far(arguments, decider, case, record):
    """How far the engine may grow before the advice changes, and what moves it most."""
    from ..explaining.layout import block
    from ..explaining.sensitivity import sensitivity
    from ..explaining.worded import WordedRecord

    worded = WordedRecord(record, decider.shop.wording(decider.knowledge, arguments.units))
    sensitivity_data = sensitivity(worded, decider, case)
    assert sensitivity_data is not None, "there is a pick"
    lines = block("How near the edge", [" ".join(sensitivity_data["sentences"])], opening.width())
    if arguments.plain_words:
        from ..explaining.trade_words import PlainWords

        lines += block("", PlainWords().after(sensitivity_data["sentences"]), opening.width())[2:]
    return "\n".join(lines)
