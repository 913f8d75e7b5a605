"""The customer's pages that ask: the car, his own words, one question at a time.

Nothing here names a case: the visit behind the cookie does. What is asked next follows from the answers alone; a page
is no position, so every page may be opened at any time and in any tab.
"""

import contextlib
import dataclasses
from collections.abc import Iterator
from typing import Any

from flask import Blueprint, Response, abort, g, redirect, render_template, request, session, url_for

from ..errors import AdvisorError, InputError
from ..interview.names import CAR, folded
from ..interview.state import Aside, Said
from . import answering, asking
from .access import ANYONE, CUSTOMER, let_customer_in, needs, site_of_request, too_often
from .answering import PagedInterview
from .asking import UNKNOWN, QuestionPage
from .showing import only, shown
from .workplace import Workplace

pages = Blueprint("customer", __name__)
#: Cars shown as a list without a search; letters of what may be searched for.
MOST_LISTED, LONGEST_SEARCH = 12, 80
#: New cases of one address in an hour, and answers to one case in a minute.
NEW_CASES, ANSWERS = 60, 120


# --- shared by the pages


@contextlib.contextmanager
def case_open(*, write: bool = False) -> Iterator[tuple[PagedInterview, Workplace]]:
    """The customer's interview and this thread's workplace; 409 where the counter has taken the case over."""
    site = site_of_request()
    if write:
        wait = site.allowance.used_up(f"case {g.case.id}", ANSWERS, 60.0)
        if wait:
            too_often(wait)
        if g.case.held_by:
            abort(Response(render_template("taken_over.html", title="The shop is working on this now"), 409))
        with site.register() as register:
            register.touched(g.case.id)
    place = site.mine()
    with answering.opened(site.path_of(g.case), place, write=write) as interview:
        yield interview, place


def standing(interview: PagedInterview, place: Workplace) -> dict[str, Any]:
    """What every page of a case shows of how it stands."""
    return {
        "leaning": asking.leaning(interview, place),
        "left": asking.left(interview),
        "rules_changed": interview.rules_changed,
    }


# --- begin


@pages.get("/")
@needs(ANYONE)
def start() -> Any:
    """What this is, and the beginning."""
    return shown(
        "start.html",
        "Which clutch does your car need?",
        again=bool(request.args.get("again")),
        under_way="customer" in session,
    )


@pages.post("/begin")
@needs(ANYONE)
def begin() -> Any:
    """A new case."""
    only()
    site = site_of_request()
    wait = site.allowance.used_up(f"begin {request.remote_addr}", NEW_CASES, 3600.0)
    if wait:
        too_often(wait)
    place = site.mine()
    with site.register() as register:
        case = register.begin()
        answering.begin(site.path_of(case), case.name, place)
        let_customer_in(register, case)
    return redirect(url_for("customer.car"), 303)


@pages.get("/car")
@needs(CUSTOMER)
def car() -> Any:
    """Which car it is."""
    with case_open() as (interview, place):
        return _car_page(interview, place, request.args.get("name", "")[:LONGEST_SEARCH])


def _car_page(
    interview: PagedInterview, place: Workplace, search: str = "", errors: Any = (), status: int = 200
) -> Any:
    platforms = place.decider.shop.platforms
    wanted = folded(search)
    cars = [
        (platform.id, str(platform.fields.get("title", platform.id)))
        for platform in platforms
        if wanted in folded(f"{platform.id} {platform.fields.get('title', '')}")
    ]
    return shown(
        "car.html",
        "Which car is it?",
        status=status,
        cars=cars[: MOST_LISTED * 3],
        searchable=len(platforms) > MOST_LISTED,
        search=search,
        chosen=interview.state.car,
        revision=interview.revision,
        errors=errors,
        invented=any(platform.fields.get("invented") for platform in platforms),
        **standing(interview, place),
    )


@pages.post("/car")
@needs(CUSTOMER)
def car_said() -> Any:
    """The car is named."""
    only("value", "revision")
    value = request.form.get("value", "")
    with case_open(write=True) as (interview, place):
        known = {platform.id for platform in place.decider.shop.platforms}
        if value != "none" and value not in known:
            return _car_page(interview, place, errors=["Choose your car, or that it is not listed."], status=400)
        said = Said(CAR, value, "" if value == "none" else value)
        present = interview.state.car
        if _is_older(interview) and present is not None and present != said.value:
            return _elsewhere(interview, place, CAR, value, said)
        first = present is None
        fresh = interview.answered([said])
        return redirect(url_for("customer.own_words"), 303) if first else _after(interview, fresh)


# --- in your own words


@pages.get("/own-words")
@needs(CUSTOMER)
def own_words() -> Any:
    """Tell it in a sentence, if you like."""
    with case_open() as (interview, place):
        return _words_page(interview, place)


def _words_page(
    interview: PagedInterview,
    place: Workplace,
    text: str = "",
    understood: Any = (),
    left_over: str = "",
    errors: Any = (),
    status: int = 200,
) -> Any:
    return shown(
        "own_words.html",
        "Is this right?" if understood else "In your own words",
        status=status,
        text=text,
        understood=understood,
        left_over=left_over,
        errors=errors,
        revision=interview.revision,
        **standing(interview, place),
    )


@pages.post("/own-words")
@needs(CUSTOMER)
def own_words_said() -> Any:
    """What was understood, to be confirmed; then taken down."""
    only("text", "take", "confirmed", "revision")
    text = " ".join(request.form.get("text", "").split())
    if not text:
        return redirect(url_for("customer.following"), 303)
    confirmed = "confirmed" in request.form
    with case_open(write=confirmed) as (interview, place):
        try:
            items = interview.reader.read(text, None)
            answers = [item for item in items if isinstance(item, Said) and item.fact != CAR]
            if not answers:
                raise InputError(
                    "Nothing in that was understood.", remedy="Say it otherwise, or go on to the questions."
                )
        except AdvisorError as error:
            return _words_page(interview, place, text, errors=asking.faults(error, place, None), status=400)
        if not confirmed:
            understood = [(item.fact, place.plain.label(item.fact), place.plain.said(item)) for item in answers]
            rest = " ".join(item.text for item in items if isinstance(item, Aside))
            return _words_page(interview, place, text, understood, place.plain.mended(rest, None))
        wanted = set(request.form.getlist("take"))
        taken = [item for item in answers if item.fact in wanted]
        older = [item for item in taken if item.fact in interview.state.said and _is_older(interview)]
        if older:
            return _elsewhere(interview, place, older[0].fact, older[0].raw, older[0])
        return _after(interview, interview.answered(taken) if taken else ())


# --- one question at a time


@pages.get("/next")
@needs(CUSTOMER)
def following() -> Any:
    """The next question, or the result."""
    with case_open() as (interview, _):
        return _follow(interview)


@pages.get("/question/<name>")
@needs(CUSTOMER)
def question(name: str) -> Any:
    """One question."""
    with case_open() as (interview, place):
        if name not in place.knowledge.questions:
            abort(404)
        if interview.state.car is None:
            return redirect(url_for("customer.car"), 303)
        return _question_page(interview, place, asking.question_page(interview, place, name))


def _question_page(
    interview: PagedInterview, place: Workplace, page: QuestionPage, errors: Any = (), status: int = 200
) -> Any:
    back = asking.before(interview.state, page.fact)
    return shown(
        "question.html",
        page.heading,
        status=status,
        page=page,
        errors=errors,
        revision=interview.revision,
        back=back,
        back_label=place.plain.label(back) if back else "",
        next_is_this=interview.question == page.fact,
        **standing(interview, place),
    )


@pages.post("/question/<name>")
@needs(CUSTOMER)
def question_said(name: str) -> Any:
    """An answer: on disk before the next page, or asked again with what is wrong."""
    only("value", "unit", "unknown", "revision", "instead")
    with case_open(write=True) as (interview, place):
        if name not in place.knowledge.questions:
            abort(404)
        fact, held = place.knowledge.facts[name], interview.state.said.get(name)
        units = asking.units_of(fact)
        value, unit = request.form.get("value", "").strip(), request.form.get("unit", "")
        unknown = "unknown" in request.form or value == UNKNOWN

        def asked_again(*faults: str) -> Any:
            """The page once more, with what was typed: worked out only where something is wrong."""
            page = asking.question_page(interview, place, name)
            if value:
                page = dataclasses.replace(page, typed=value, unit=unit if unit in dict(units) else page.unit)
            return _question_page(interview, place, page, faults, 400)

        if unknown and value not in ("", UNKNOWN) and (held is None or held.unknown):
            return asked_again(
                f"You typed {value[:60]} and said that you don't know. Empty the field, or press Continue."
            )
        if not unknown and not value:
            how = "Choose an answer, or" if asking.has_choices(fact) else "Type an answer, or press"
            return asked_again(f"{how} “I don't know”.")
        try:
            said = _said(interview, place, name, "" if unknown else asking.joined_answer(value, unit, units))
        except AdvisorError as error:
            return asked_again(*asking.faults(error, place, name))
        if _is_older(interview) and held is not None and held.meant != said[0].meant and "instead" not in request.form:
            return _elsewhere(interview, place, name, value if not unknown else UNKNOWN, said[0], unit)
        if held is not None and len(said) == 1 and held.meant == said[0].meant:
            return _follow(interview)
        return _after(interview, interview.answered(said))


def _said(interview: PagedInterview, place: Workplace, name: str, text: str) -> list[Said]:
    """The answers in a text; "" for don't know. InputError with how to mend it."""
    if not text:
        return [Said(name, "unknown", None)]
    said = [item for item in interview.reader.read(text, name) if isinstance(item, Said)]
    if not any(item.fact == name for item in said):
        label = place.plain.label(name)
        raise InputError(
            f"that does not tell the {label}.", remedy="Type the answer alone, or say that you don't know."
        )
    return said


def _is_older(interview: PagedInterview) -> bool:
    """Was the form made before the case was last written?"""
    return request.form.get("revision", "") != interview.revision


def _elsewhere(interview: PagedInterview, place: Workplace, name: str, value: str, said: Said, unit: str = "") -> Any:
    """Two tabs: both answers are shown, nothing is merged."""
    held = interview.state.said.get(name)
    present = (
        place.plain.wording.title(interview.state.car or "") if name == CAR else place.plain.said(held) if held else ""
    )
    return shown(
        "elsewhere.html",
        "You answered this elsewhere",
        status=409,
        name=name,
        label=place.plain.label(name),
        present=present or "not on file",
        typed=place.plain.said(said),
        value=value,
        unit=unit,
        revision=interview.revision,
    )


def _after(interview: PagedInterview, fresh: tuple[str, ...]) -> Any:
    """To the page after an answer: that of contradictions where there are new ones."""
    return redirect(url_for("customer.check"), 303) if fresh else _follow(interview)


def _follow(interview: PagedInterview) -> Any:
    """To the next question, or the result."""
    name = interview.question
    if name == CAR:
        return redirect(url_for("customer.car"), 303)
    return redirect(url_for("customer.question", name=name) if name else url_for("customer.result"), 303)


# --- somebody to speak to


@pages.get("/ask-a-person")
@needs(ANYONE)
def person() -> Any:
    """How the shop is reached."""
    return shown("person.html", "Ask a person")
