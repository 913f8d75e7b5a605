"""Coming in and leaving: the people of ``shop.toml`` with a password of their own.

Nobody has one to begin with: the first is set on the command line, and must be changed when it is first used. A wrong
name and a wrong password get the same answer after the same time; every further wrong one costs a longer wait.
"""

import secrets
from typing import Any

from flask import Blueprint, g, redirect, request, session, url_for

from ..errors import InputError
from . import passwords
from .access import ANYONE, LEAD, STAFF, needs, site_of_request, too_often
from .showing import only, shown

pages = Blueprint("people", __name__, url_prefix="/shop")
#: Tries of one address in ten minutes, whatever the name.
TRIES = 60
_WRONG = "Name and password do not go together. Both count as written; passwords may be pasted."


@pages.get("/")
@needs(ANYONE)
def door() -> Any:
    """To the counter, or to the door."""
    if g.person is None:
        return redirect(url_for("people.come_in"), 303)
    return redirect(url_for("lead.desk" if "counter" not in g.person.roles else "counter.cases"), 303)


@pages.get("/come-in")
@needs(ANYONE)
def come_in() -> Any:
    """Name and password."""
    return shown("come_in.html", "Come in", errors=[], name="")


@pages.post("/come-in")
@needs(ANYONE)
def come_in_said() -> Any:
    """Let somebody in, under a new secret."""
    only("name", "password")
    site = site_of_request()
    name, password = " ".join(request.form.get("name", "").split())[:200], request.form.get("password", "")
    wait = site.allowance.used_up(f"come in {request.remote_addr}", TRIES, 600.0)
    if wait:
        too_often(wait)
    known = {person.name: person for person in site.about.people if {"counter", "lead"} & set(person.roles)}
    # By name and address: who guesses from elsewhere makes nobody of the shop wait.
    tries_of = f"{name.casefold()} {request.remote_addr}"
    with site.register() as register:
        count, since = register.tries(tries_of, passwords.REMEMBERED)
        wait = passwords.wait_after(count) - since
        if wait > 0:
            too_often(wait)
        kept = register.password(name) if name in known else None
        if not passwords.fits(kept[0] if kept else None, password) or kept is None:
            register.tried(tries_of)
            register.did("", "was turned away at the door")
            return shown("come_in.html", "Come in", status=400, errors=[_WRONG], name=name)
        register.forget_tries(tries_of)
        _let_in(register, name, kept[0])
        register.did(name, "came in")
    return redirect(url_for("people.change" if kept[1] else "people.door"), 303)


def _let_in(register: Any, name: str, hashed: str) -> None:
    old = session.get("staff", "")
    if isinstance(old, str):
        register.end_visit(old)
    session.pop("staff", None)
    session.pop("csrf_token", None)
    session["staff"] = register.let_in(person=name, password=hashed[-16:])


@pages.post("/leave")
@needs(STAFF)
def leave() -> Any:
    """Leave: the visit ends on the server."""
    only()
    with site_of_request().register() as register:
        register.end_visit(g.visit_secret)
        register.did(g.person.name, "left")
    session.pop("staff", None)
    session.pop("csrf_token", None)
    answer = redirect(url_for("people.come_in"), 303)
    if site_of_request().served.https:
        answer.headers["Clear-Site-Data"] = '"cache"'
    return answer


@pages.get("/password")
@needs(STAFF)
def change() -> Any:
    """Change one's own password."""
    return shown("password.html", "A new password", errors=[], first=g.must_change)


@pages.post("/password")
@needs(STAFF)
def changed() -> Any:
    """The present one, then the new one twice."""
    only("password", "new", "again")
    present, new, again = (request.form.get(part, "") for part in ("password", "new", "again"))
    with site_of_request().register() as register:
        kept = register.password(g.person.name)
        errors = confirmed(register, present)
        if not errors and new != again:
            errors = ["The new password was typed in two ways."]
        if not errors and new == present:
            errors = ["The new password is the present one."]
        if not errors:
            try:
                hashed = passwords.hashed(new)
            except InputError as error:
                errors = [f"{error.what} {error.remedy}"]
        if errors:
            return shown("password.html", "A new password", status=400, errors=errors, first=bool(kept and kept[1]))
        register.set_password(g.person.name, hashed, first=False)
        _let_in(register, g.person.name, hashed)
        register.did(g.person.name, "changed the password")
    return redirect(url_for("people.door"), 303)


def confirmed(register: Any, password: str) -> list[str]:
    """Errors where the present password is not the one typed; wrong ones count as at the door."""
    tries_of = f"{g.person.name.casefold()} {request.remote_addr}"
    count, since = register.tries(tries_of, passwords.REMEMBERED)
    wait = passwords.wait_after(count) - since
    if wait > 0:
        too_often(wait)
    kept = register.password(g.person.name)
    if passwords.fits(kept[0] if kept else None, password):
        register.forget_tries(tries_of)
        return []
    register.tried(tries_of)
    return ["The present password is another one."]


@pages.get("/people")
@needs(LEAD)
def people() -> Any:
    """Who has a password, and a first one for who has none."""
    return _people()


def _people(name: str = "", password: str = "") -> Any:
    site = site_of_request()
    with site.register() as register:
        listed = []
        for person in site.about.people:
            kept = register.password(person.name)
            state = "none" if kept is None else "a first one" if kept[1] else "an own one"
            listed.append((person.name, ", ".join(person.roles), state, bool({"counter", "lead"} & set(person.roles))))
    return shown("people.html", "People", listed=listed, given_to=name, password=password)


@pages.post("/people")
@needs(LEAD)
def first_password() -> Any:
    """A first password, shown once, to be changed when it is used."""
    only("name")
    name = request.form.get("name", "")
    site = site_of_request()
    if name == g.person.name or name not in {
        person.name for person in site.about.people if {"counter", "lead"} & set(person.roles)
    }:
        return _people()
    password = secrets.token_urlsafe(15)
    with site.register() as register:
        register.set_password(name, passwords.hashed(password), first=True)
        register.did(g.person.name, f"gave {name} a first password")
    return _people(name, password)


@pages.get("/doings")
@needs(LEAD)
def doings() -> Any:
    """Who saw and did what."""
    with site_of_request().register() as register:
        return shown("doings.html", "Who saw and did what", doings=register.doings())
