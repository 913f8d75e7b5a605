"""What a page is answered with: a page, a file to keep, a drawing; and a form held to the fields its page has."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from flask import Response, abort, render_template, request

#: Columns of a text: more than any sentence has, so that the browser alone breaks its lines.
WIDTH = 10_000


def only(*names: str) -> None:
    """400 for a form with anything in it that its page does not have."""
    if set(request.form) - {"csrf_token", *names}:
        abort(400)


def shown(template: str, title: str, *, status: int = 200, **parts: Any) -> tuple[str, int]:
    """A page; ``parts`` are all that its template names, no more and no less."""
    return render_template(template, title=title, **parts), status


@dataclass(frozen=True, slots=True)
class WentWrong:
    """What a page of an error says: ``what`` is wrong and its ``remedy``; ``mark``: by which the log names it.

    ``fields``: what was typed, to be sent to ``path`` again; ``seconds``: to wait; ``retry``: the page to ask for then.
    """

    what: str
    remedy: str
    mark: str = ""
    fields: Sequence[tuple[str, str]] = ()
    path: str = ""
    seconds: int | None = None
    retry: str = ""
    staff: bool = False


def problem_page(problem: WentWrong) -> str:
    """The page of an error."""
    return render_template("problem.html", title=problem.what, problem=problem)


def saved(page: str | bytes, name: str, kind: str = "text/html") -> Response:
    """A file to be saved under a name, never shown as a page of ours; ``kind``: its media type."""
    answer = Response(page, mimetype=kind)
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def drawn(svg: str) -> Response:
    """A drawing as an image."""
    answer = Response(svg, mimetype="image/svg+xml")
    # As an image it runs nothing; its own marks of style are its own.
    answer.headers["Content-Security-Policy"] = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"
    return answer
