"""The counter's pages: every question on one page, a line typed as it is heard, the card beside; cases found again.

The line takes what the terminal's interview takes, orders and questions included, and answers with the same words.
"""

import itertools
from typing import Any

from flask import Blueprint, abort, g, redirect, request, url_for

from ..casebook import book as books
from ..deciding.outcomes import IN_WORDS
from ..errors import AdvisorError, InputError
from ..explaining.card import card
from ..interview.names import CAR
from ..interview.state import Said
from . import answering, asking, codes
from .access import COUNTER, needs, site_of_request
from .answering import PagedInterview
from .register import WebCase
from .showing import WIDTH, only, shown
from .workplace import Workplace

pages = Blueprint("counter", __name__, url_prefix="/counter")
#: Columns of the line that says how it stands; cases shown after a search.
STATUS, MOST_SHOWN = 200, 50


@pages.get("/")
@needs(COUNTER)
def cases() -> Any:
    """Cases sent by customers, cases under way, and the search."""
    return _cases()


def _cases(words: str = "", hits: Any = None) -> Any:
    with site_of_request().register() as register:
        listed = register.cases()
    with site_of_request().casebook(write=False) as book:
        of_kept = _of_kept(book, [case.kept for case in listed if case.kept is not None])
    sent = [case for case in listed if case.sent and not case.held_by]
    mine = [case for case in listed if case.held_by]
    given = [case for case in listed if case.by and not case.held_by and not case.sent]
    return shown(
        "counter_cases.html",
        "Counter",
        sent=sent,
        of_kept=of_kept,
        mine=mine,
        given=given,
        words=words,
        hits=hits,
    )


def _of_kept(book: books.Casebook, numbers: list[int]) -> dict[int, dict[str, str]]:
    """Number -> what a kept case is ``called``; ``told``, of the first: whose it is, if known, and what came out."""
    first = numbers[:MOST_SHOWN]
    outcomes = {case["number"]: _outcome(case) for case in book.overview(numbers=first)} if first else {}
    of_kept = {number: {"called": book.called(number), "told": ""} for number in numbers}
    for number in first:
        names = [str(apart["name"]) for apart in book.private_of(number).values() if apart.get("name")]
        outcome = [outcomes[number]] if number in outcomes else []
        of_kept[number]["told"] = ", ".join([*names[-1:], *outcome])
    return of_kept


@pages.post("/find")
@needs(COUNTER)
def find() -> Any:
    """Cases of the casebook in which every word occurs; names and numbers too. Words are in no address."""
    only("words")
    words = " ".join(request.form.get("words", "").split())[:200]
    if not words:
        return redirect(url_for("counter.cases"), 303)
    with site_of_request().casebook(write=False) as book:
        numbers = _named_by(book, words)
        matching = itertools.islice(book.search_newest(words.split(), people=True), MOST_SHOWN)
        numbers += [number for number in matching if number not in numbers]
        hits = [_row(book, case) for case in book.overview(numbers=numbers[:MOST_SHOWN])] if numbers else []
    with site_of_request().register() as register:
        register.did(g.person.name, "searched the casebook")
    return _cases(words, hits)


def _named_by(book: books.Casebook, text: str) -> list[int]:
    """The case of that number, here or at its counter, or of that quote; none where there is no such."""
    try:
        return [book.number_of(text)]
    except InputError:
        return []


def _outcome(case: dict[str, Any]) -> str:
    decision = case["decision"]
    if decision is None:
        return "not decided"
    return str(decision.body["pick"] or IN_WORDS[decision.body["outcome"]])


def _row(book: books.Casebook, case: dict[str, Any]) -> dict[str, Any]:
    return {
        "number": case["number"],
        "called": book.called(case["number"]),
        "day": case["begun"][:10],
        "by": case["by"],
        "outcome": _outcome(case),
        "signed": case["signed"],
    }


@pages.post("/begin")
@needs(COUNTER)
def begin() -> Any:
    """A new case, taken by the counter."""
    only()
    site = site_of_request()
    place = site.mine()
    with site.register() as register:
        case = register.begin(g.person.name)
        answering.begin(site.path_of(case), case.name, place)
        register.did(g.person.name, "began", case.name)
    return redirect(url_for("counter.case", number=case.id), 303)


def _case(number: int) -> WebCase:
    with site_of_request().register() as register:
        case = register.case(number)
    if case is None:
        abort(404)
    g.case = case
    return case


@pages.get("/case/<int:number>")
@needs(COUNTER)
def case(number: int) -> Any:
    """All questions on one page, the card beside."""
    site, web_case = site_of_request(), _case(number)
    with answering.opened(site.path_of(web_case), site.mine(), short=True) as interview:
        with site.register() as register:
            register.did(g.person.name, "saw", web_case.name)
        return _case_page(web_case, interview, site.mine())


def _case_page(
    web_case: WebCase,
    interview: PagedInterview,
    place: Workplace,
    *,
    heard: str = "",
    reply: str = "",
    errors: Any = (),
    typed: Any = None,
    status: int = 200,
    code: str = "",
) -> Any:
    with site_of_request().register() as register:
        code_ends = register.code_ends(web_case.id)
    kept_as = ""
    if web_case.kept is not None:
        with site_of_request().casebook(write=False) as book:
            kept_as = book.called(web_case.kept)
    state, view = interview.state, interview.view
    typed = typed or {}
    topics: dict[str, list[dict[str, Any]]] = {}
    assumed = {item.fact: item.value for item in (view.known.assumptions if view.known else ())}
    for name, asked in place.knowledge.questions.items():
        held = state.said.get(name)
        topics.setdefault(asked.topic.replace("_", " "), []).append(
            {
                "name": name,
                "short": asked.short,
                "value": typed.get(name, "" if held is None else "?" if held.unknown else str(held.raw)),
                "taken": place.short.value(name, assumed[name]) if name in assumed else "",
                "choices": place.knowledge.facts[name].choices if place.knowledge.facts[name].kind == "choice" else (),
                "wrong": next((text for fact, text in errors if fact == name), ""),
            }
        )
    record = None
    if state.car is not None and not interview.trouble:
        record = place.record(state, with_changes=False)
    return shown(
        "counter_case.html",
        f"Case {web_case.name}",
        status=status,
        web_case=web_case,
        kept_as=kept_as,
        mine=web_case.held_by == g.person.name,
        topics=topics,
        cars=[(car.id, str(car.fields.get("title", car.id))) for car in place.decider.shop.platforms],
        car=state.car,
        revision=interview.revision,
        card=card(record, place.short.wording, WIDTH).rstrip() if record is not None else "",
        trouble=interview.trouble,
        question=interview.ask(WIDTH) if web_case.held_by else "",
        status_line=interview.status(STATUS),
        heard=heard,
        reply=reply,
        errors=errors,
        code=codes.shown(code) if code else "",
        spelled=codes.spelled(code),
        code_ends=code_ends,
    )


def _must_be_mine(web_case: WebCase) -> None:
    if web_case.held_by != g.person.name:
        abort(409)


def _must_not_be_anothers(web_case: WebCase) -> None:
    if web_case.held_by not in ("", g.person.name):
        abort(409)


@pages.post("/case/<int:number>/take-over")
@needs(COUNTER)
def take_over(number: int) -> Any:
    """From now on this person writes the case; the customer is told. Of two who take it over at once one has it."""
    only("held_by")
    web_case, site = _case(number), site_of_request()
    with site.register() as register:
        taken = register.taken_over(web_case.id, g.person.name, held_by=request.form.get("held_by", ""))
        if taken:
            register.did(g.person.name, "took over", web_case.name)
    if not taken and web_case.held_by != g.person.name:
        wrong = [
            ("", f"{web_case.held_by or 'The customer'} has this case since. Take it over from there, if you must.")
        ]
        with answering.opened(site.path_of(web_case), site.mine(), short=True) as interview:
            return _case_page(web_case, interview, site.mine(), errors=wrong, status=409)
    return redirect(url_for("counter.case", number=number), 303)


@pages.post("/case/<int:number>/give-back")
@needs(COUNTER)
def give_back(number: int) -> Any:
    """The customer goes on."""
    only()
    web_case = _case(number)
    _must_be_mine(web_case)
    with site_of_request().register() as register:
        register.taken_over(web_case.id, "", held_by=g.person.name)
        register.did(g.person.name, "gave back", web_case.name)
    return redirect(url_for("counter.cases"), 303)


@pages.post("/case/<int:number>/code")
@needs(COUNTER)
def code(number: int) -> Any:
    """A code to be read out, with which the customer opens the case on his own telephone; shown this once."""
    only()
    site, web_case = site_of_request(), _case(number)
    _must_not_be_anothers(web_case)
    with site.register() as register:
        given = register.give_code(number, site.secret_keys()[0])
        register.did(g.person.name, "gave a code for", web_case.name)
    with answering.opened(site.path_of(web_case), site.mine(), short=True) as interview:
        return _case_page(web_case, interview, site.mine(), code=given)


@pages.post("/case/<int:number>/code/end")
@needs(COUNTER)
def code_ended(number: int) -> Any:
    """The code opens nothing any more."""
    only()
    web_case = _case(number)
    _must_not_be_anothers(web_case)
    with site_of_request().register() as register:
        register.end_code(number)
        register.did(g.person.name, "ended the code for", web_case.name)
    return redirect(url_for("counter.case", number=number), 303)


@pages.post("/case/<int:number>/line")
@needs(COUNTER)
def line(number: int) -> Any:
    """One line as heard: answers, orders and questions, as the terminal takes them."""
    only("line", "revision")
    site, web_case = site_of_request(), _case(number)
    _must_be_mine(web_case)
    text, place = request.form.get("line", ""), site.mine()
    with answering.opened(site.path_of(web_case), place, write=True, short=True) as interview:
        reply = interview.take(text, WIDTH)
        if interview.ended is not None:
            reply = "Keep the case with the button below; it is saved as it stands."
        with site.register() as register:
            register.touched(web_case.id)
        return _case_page(web_case, interview, place, heard=text, reply=reply)


@pages.post("/case/<int:number>")
@needs(COUNTER)
def case_said(number: int) -> Any:
    """Whatever changed on the page, all of it or nothing."""
    site, web_case = site_of_request(), _case(number)
    _must_be_mine(web_case)
    place = site.mine()
    only(CAR, "revision", *place.knowledge.questions)
    with answering.opened(site.path_of(web_case), place, write=True, short=True) as interview:
        typed = {name: value.strip() for name, value in request.form.items() if name in place.knowledge.questions}
        if request.form.get("revision", "") != interview.revision:
            wrong = [
                (
                    "",
                    "The case was written to elsewhere since; nothing of this was taken. Look, and send again.",
                )
            ]
            return _case_page(web_case, interview, place, errors=wrong, typed=typed, status=409)
        answers, errors = _changed(interview, place, typed)
        if errors:
            return _case_page(web_case, interview, place, errors=errors, typed=typed, status=400)
        fresh = interview.answered(answers) if answers else ()
        with site.register() as register:
            register.touched(web_case.id)
        return _case_page(web_case, interview, place, reply="\n".join(f"Look: {sentence}" for sentence in fresh))


def _changed(
    interview: PagedInterview, place: Workplace, typed: dict[str, str]
) -> tuple[list[Said], list[tuple[str, str]]]:
    """(answers that are others than those held, (fact, what is wrong)); an emptied field changes nothing."""
    answers: list[Said] = []
    errors: list[tuple[str, str]] = []
    car = request.form.get(CAR)
    platforms = {platform.id for platform in place.decider.shop.platforms}
    if car and car != (interview.state.car or "none" if interview.state.car is not None else ""):
        if car != "none" and car not in platforms:
            errors.append((CAR, "This car is not on file."))
        answers.append(Said(CAR, car, "" if car == "none" else car))
    for name, text in typed.items():
        held = interview.state.said.get(name)
        if not text or (held is not None and text == ("?" if held.unknown else str(held.raw))):
            continue
        try:
            answers += [item for item in interview.reader.read(f"{name} = {text}", None) if isinstance(item, Said)]
        except AdvisorError as error:
            errors += [(name, fault) for fault in asking.faults(error, place, None)]
    return answers, errors


@pages.post("/case/<int:number>/keep")
@needs(COUNTER)
def keep(number: int) -> Any:
    """Decide it and keep it in the casebook."""
    only("name", "phone", "note")
    site, web_case = site_of_request(), _case(number)
    _must_be_mine(web_case)
    place = site.mine()
    who: dict[str, Any] = {part: request.form.get(part, "").strip() for part in ("name", "phone", "note")}
    with answering.opened(site.path_of(web_case), place, write=True, short=True) as interview, site.casebook() as book:
        if interview.state.car is None:
            return _case_page(web_case, interview, place, errors=[(CAR, "The car is not named yet.")], status=400)
        kept, _ = books.keep(
            None,
            place.decider,
            interview.state.as_case(),
            place.files,
            book=book,
            number=web_case.kept,
            by=g.person.name,
            **who,
        )
        with site.register() as register:
            register.sent(web_case.id, kept)
            register.did(g.person.name, "kept", book.called(kept))
    return redirect(url_for("counter.kept", number=kept), 303)
