"""The command ``advisor``: finds the module of a command and runs it.

Exit codes: 0 recommended or done, 2 bad input or usage, 3 needs more answers (or an interview left early and
saved), 4 no kit fits, 5 rules invalid, 130 interrupted. Errors go to standard error and say what, where and how to
mend it.
"""

import argparse
import contextlib
import importlib
import os
import sys
from collections.abc import Collection, Sequence
from typing import NoReturn

from . import __version__
from .errors import AdvisorError, InputError, Position, StoreError

#: Command -> (module, one line of help). Only the module of the command that runs is imported.
COMMANDS = {
    "recommend": ("recommend", "the least clutch for one case, and every reason"),
    "why": ("why", "why this kit: one sentence each, the conditions, or the whole derivation"),
    "why-not": ("why_not", "why not another kit"),
    "what-if": ("what_if", "what changes with another answer"),
    "what-would-change": ("what_would_change", "which answers would have to change for another kit"),
    "ask": ("ask", "what is asked of the advice in plain words, answered from its record"),
    "interview": ("interview", "ask the questions, then recommend"),
    "understand": ("understand", "what a caller says, read into facts"),
    "rules": ("rules", "check, read and change the rules, and whom to ring for it"),
    "case": ("case", "saved cases: keep, find, quote, sell, audit, replay, sign"),
    "lead": ("lead", "a lead's key, and signing with it"),
    "complaint": ("complaint", "a complaint about a fitted clutch: its cause, and the next check"),
    "outcomes": ("outcomes", "how often what was sold slipped or came back"),
    "learn": ("learn", "what outcomes teach of computed capacity, for a lead to sign"),
    "sheet": ("sheet", "a sheet to send, to work from or to file"),
    "serve": ("serve", "pages in a browser: for customers, counter and lead"),
    "quote": ("quote", "a quote: what is certain, what depends on what is found, and kits beside the pick"),
    "worksheet": ("worksheet", "what the fitter measured, worked out and held against its limits"),
    "shop": ("shop", "a shop of one's own: its data, its lists, what is missing"),
    "calculate": ("calculate", "use one calculation of the mechanics alone"),
}


#: What is told whoever types the name of the program alone.
NOTHING_SAID = """advisor finds the least clutch a car needs, what goes in with it, and why.

  advisor interview         a caller, question by question
  advisor recommend CASE    a case that is written down
  advisor shop tutorial     a shop of your own, from a spreadsheet on
  advisor --help            every command
"""


class Parser(argparse.ArgumentParser):
    """Complains of what was typed without letting it steer the terminal."""

    def error(self, message: str) -> NoReturn:
        """Usage and one line to standard error; SystemExit 2."""
        from .commands.opening import told_in_one_line

        super().error(told_in_one_line(message))

    def _print_message(self, message, file=None):
        # The library lets a help text that cannot be written go without a word.
        if message:
            (file or sys.stderr).write(message)


def parser_for(names: Collection[str]) -> argparse.ArgumentParser:
    """The argument parser with the named commands' options; the others appear with their help line only."""
    parser = Parser(
        prog="advisor",
        description="Finds the least clutch a car needs, what goes in with it, and why.",
        epilog="advisor COMMAND --help shows the options of a command and an example.",
    )
    parser.add_argument("--help-all", action="store_true", help="show the help of every command, and exit")
    parser.add_argument("--version", action="version", version=f"least-clutch {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name, (module, line) in COMMANDS.items():
        sub = commands.add_parser(name, help=line, formatter_class=argparse.RawDescriptionHelpFormatter)
        if name in names:
            command = importlib.import_module(f"{__package__}.commands.{module}")
            sub.description = command.__doc__
            command.add(sub)
            sub.set_defaults(run=command.run)
    return parser


def reference() -> str:
    """The help of every command and of everything each can do, as one text."""
    parser = parser_for(COMMANDS)
    texts, waiting = [], [parser]
    while waiting:
        shown = waiting.pop(0)
        texts.append(shown.format_help().rstrip())
        below = [action for action in shown._actions if isinstance(action, argparse._SubParsersAction)]
        waiting = [sub for action in below for sub in action.choices.values()] + waiting
    return f"\n\n{'-' * 80}\n\n".join(texts) + "\n"


def _parsed(parser: argparse.ArgumentParser, argv: list[str]) -> argparse.Namespace:
    """The arguments; of a list of what was told, those too that stand behind an option."""
    arguments, rest = parser.parse_known_args(argv)
    if rest:
        signs = getattr(arguments, "told", None)
        if not isinstance(signs, list) or any(word.startswith("-") for word in rest):
            parser.error(f"unrecognized arguments: {' '.join(rest)}")
        arguments.told = [*signs, *rest]
    return arguments


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit code."""
    argv = sys.argv[1:] if argv is None else list(argv)
    named = {argument for argument in argv if argument in COMMANDS}
    try:
        if argv[:1] == ["--help-all"]:
            sys.stdout.write(reference())
            return 0
        if not argv:
            sys.stderr.write(NOTHING_SAID)
            return 2
        parser = parser_for(named)
        try:
            arguments = _parsed(parser, argv)
        except SystemExit as stop:
            return stop.code if isinstance(stop.code, int) else 2
        if "as_the_shop_does" in arguments:
            from .commands.opening import as_the_shop_does

            as_the_shop_does(arguments)
        code = arguments.run(arguments)
        sys.stdout.flush()
        return code
    except AdvisorError as error:
        return _report(error)
    except MemoryError:
        return _report(InputError("there is not enough memory for this.", remedy="Give it less at a time."))
    except KeyboardInterrupt:
        sys.stderr.write("advisor: stopped.\n")
        return 130
    except BrokenPipeError:
        # The reader went away (a pager closed, head had enough): nothing is wrong with the decision.
        with contextlib.suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except OSError as error:
        where = Position(str(error.filename)) if error.filename else None
        return _report(StoreError(f"the system refused to read or write: {error.strerror or error}.", where=where))


def _report(error):
    from .commands.opening import report

    return report(error)


if __name__ == "__main__":
    sys.exit(main())
