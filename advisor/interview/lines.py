"""The interview line by line: for scripts, screen readers, pipes and simple terminals."""

from collections.abc import Callable
from typing import Any

from ..knowledge import signs
from .conversation import DONE, LEFT, Talk


def run(
    talk: Talk,
    read: Callable[[str], str],
    write: Callable[[str], None],
    width: Callable[[], int],
    *,
    status_lines: bool = True,
) -> str:
    """Ask until the talk ends. ``read(prompt)`` gives a line or raises EOFError; ``write(text)`` shows a text.

    ``status_lines``: say how it stands whenever that changes, where no status line shows it.
    """
    asked: tuple[str | None, str] | None = None
    status = ""
    while talk.ended is None:
        if asked != (talk.question, talk.trouble):
            # The question stands above the prompt once; after an order or a slip the prompt alone comes again.
            asked = (talk.question, talk.trouble)
            write(talk.ask(width()))
        try:
            line = read(talk.prompt())
        except EOFError:
            # The end of a script after the last question is no leaving: everything was said.
            talk.ended = DONE if talk.question is None and talk.view.known is not None else LEFT
            write("")
            break
        except KeyboardInterrupt:
            talk.ended = LEFT
            write("")
            break
        told = talk.take(line, width())
        if told:
            write(told)
        if status_lines and talk.ended is None and talk.status(width() - 2) != status:
            status = talk.status(width() - 2)
            write(f"({status})")
        if talk.ended is None:
            write("")
    return talk.ended or LEFT


def reader_of(stream: Any, out: Any) -> Callable[[str], str]:
    """A ``read`` for `run` on a text stream, the prompt written to ``out``; what is not typed there is shown there."""
    typed = stream.isatty()

    def read(prompt):
        out.write(prompt)
        out.flush()
        line = stream.readline()
        if not line:
            raise EOFError
        line = line.rstrip("\r\n")
        if not typed:
            out.write(signs.shown(line[:200]) + "\n")
        return line

    return read
