"""The interview line by line: for scripts, screen readers, pipes and simple terminals."""

from collections.abc import Callable
from typing import Any

from ..errors import InputError
from ..knowledge import signs
from ..knowledge.sentences import wrap
from .conversation import Talk
from .orders import DONE, LEFT
from .reading import clean
from .typed_orders import TypedOrder, order_in

#: Shown once the advice stands.
ASK_BACK = "Ask about it: how heavy is it, what does it cost, why not ..., what if ...; an empty line ends."
ASK_PROMPT = "question> "
_ENDS = (TypedOrder("done"), TypedOrder("leave"))


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
            if status_lines:
                write(talk.teller.words(width()))
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
        reply = talk.take(line, width())
        if reply:
            write(reply)
        if status_lines and talk.ended is None and talk.status(width() - 2) != status:
            status = talk.status(width() - 2)
            write(f"({status})")
        if talk.ended is None:
            write("")
    return talk.ended or LEFT


def talk_back(
    answer: Callable[[str], str],
    read: Callable[[str], str],
    write: Callable[[str], None],
    width: int,
    *,
    typed: bool = True,
) -> None:
    """Answer what is asked of the advice until an empty line, a word that ends it, or the end of what is typed.

    ``answer(text)`` gives the text. Where nobody is ``typed`` to, nothing is shown before there is a question.
    """
    if typed:
        write(wrap(ASK_BACK, width))
    while True:
        try:
            line = read(ASK_PROMPT if typed else "")
        except (EOFError, KeyboardInterrupt):
            break
        try:
            text = clean(line)
        except InputError as error:
            write(f"{error.what} {error.remedy}")
            continue
        if order_in(text) in _ENDS or not text:
            break
        write(answer(text))


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
