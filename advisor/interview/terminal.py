"""The interview at a terminal, through prompt_toolkit. Nothing essential is in the status line or on a key alone."""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

from prompt_toolkit import PromptSession
from prompt_toolkit.completion import Completer, Completion
from prompt_toolkit.filters import has_validation_error, to_filter
from prompt_toolkit.history import InMemoryHistory
from prompt_toolkit.key_binding import KeyBindings
from prompt_toolkit.layout import ConditionalContainer, Window, walk
from prompt_toolkit.validation import ValidationError, Validator

from ..knowledge.sentences import wrap
from . import lines
from .names import CAR, folded
from .typed_orders import ORDERS

if TYPE_CHECKING:
    from .conversation import Talk

#: Key -> the order it types.
KEYS = {"f1": "help", "f2": "why", "f3": "now", "f4": "answers", "f5": "back", "f6": "later", "f7": "done"}


def run(
    talk: "Talk", write: Callable[[str], None], width: Callable[[], int], *, input: Any = None, output: Any = None
) -> str:
    """Ask until the talk ends; returns done or left. ``input`` and ``output`` are for tests."""
    session: PromptSession[str] = PromptSession(
        completer=Suggestions(talk),
        complete_while_typing=False,
        validator=Check(talk, width),
        validate_while_typing=False,
        history=InMemoryHistory(),
        key_bindings=keys(),
        bottom_toolbar=lambda: f"{talk.status(width())}\n{talk.teller.keys(width())}",
        enable_history_search=False,
        input=input,
        output=output,
    )
    _show_complaints_whole(session)
    return lines.run(talk, session.prompt, write, width, status_lines=False)


def asker() -> Callable[[str], str]:
    """Reads a line at the terminal once the advice stands."""
    return PromptSession(history=InMemoryHistory()).prompt


def _show_complaints_whole(session):
    """Let what is wrong with a line take the rows it needs: cut off at one, it would not say how to mend it."""
    for part in walk(session.layout.container):
        if isinstance(part, ConditionalContainer) and part.filter is has_validation_error:
            line = part.content
            assert isinstance(line, Window)
            line.height, line.wrap_lines = None, to_filter(True)
            line.dont_extend_height = to_filter(True)


def keys() -> KeyBindings:
    """Every key does what its typed word does."""
    bindings = KeyBindings()

    def bind(key, word):
        @bindings.add(key)
        def _(event):
            event.app.exit(result=word)

    for key, word in KEYS.items():
        bind(key, word)

    @bindings.add("c-d")
    def _(event):
        # Leaving must not hang on the line being empty: nothing typed but not sent is an answer.
        event.app.exit(exception=EOFError)

    return bindings


class Check(Validator):
    """Refuses a line with what is wrong and how to mend it; the line stays to be mended."""

    def __init__(self, talk: "Talk", width: Callable[[], int] | None = None) -> None:
        self.talk, self.width = talk, width

    def validate(self, document: Any) -> None:
        """Raise ValidationError with the complaint, in lines that fit the screen, in one where nobody says how wide."""
        complaint = self.talk.complaint(document.text)
        if complaint:
            message = " ".join(complaint.split())
            message = message if self.width is None else wrap(message, self.width())
            raise ValidationError(message=message, cursor_position=len(document.text))


class Suggestions(Completer):
    """Choices of the question asked, then orders, then names of everything that can be answered."""

    def __init__(self, talk: "Talk") -> None:
        self.talk = talk

    def get_completions(self, document: Any, complete_event: Any) -> Iterator[Completion]:
        """Completions of the piece of the line before the cursor."""
        piece = document.text_before_cursor.rpartition(";")[2].lstrip()
        for text, note in completions(self.talk, piece):
            yield Completion(
                text,
                start_position=-len(piece.rpartition("=")[2].lstrip() if "=" in piece else piece),
                display_meta=note,
            )


def completions(talk: "Talk", piece: str) -> Iterator[tuple[str, str]]:
    """(text, note) for a piece of a line: what could stand there."""
    if "=" in piece:
        name, _, begun = piece.partition("=")
        try:
            yield from _values(talk, talk.reader.names.find(name), begun.strip())
        except Exception:  # half a name completes to nothing
            return
        return
    if talk.question is not None:
        yield from _values(talk, talk.question, piece)
    for word in ORDERS:
        if piece and word.startswith(piece.casefold()):
            yield word, "order"
    if piece:
        for name in talk.reader.names.beginning(piece)[:12]:
            yield f"{name} = ", "" if name == CAR else talk.knowledge.facts[name].label


def _values(talk, name, begun):
    if name == CAR:
        for platform in talk.reader.platforms:
            if folded(begun) in folded(f"{platform.id} {platform.fields.get('title', '')}"):
                yield platform.id, platform.fields.get("title", "")
        return
    fact = talk.knowledge.facts[name]
    choices = ("yes", "no") if fact.kind == "flag" else fact.choices if fact.kind == "choice" else ()
    for choice in choices:
        if choice.startswith(folded(begun)):
            yield choice, ""
    held = talk.state.former.get(name) or talk.state.said.get(name)
    if held is not None and not held.unknown and held.raw.startswith(begun) and held.raw not in choices:
        yield held.raw, "said before"
