"""Who may see and do what: every page says so, and nothing is served that does not.

A page names a role; the server looks it up with every request: the visit behind the cookie, whether it has ended, the
roles ``shop.toml`` gives the person now. A customer's visit belongs to one case, and no address of a customer's page
holds a number: there is nothing of another's to ask for. What is not somebody's is not there: 404, not 403.
"""

import time
from collections.abc import Callable
from typing import Any, NoReturn, TypeVar

from flask import Flask, abort, current_app, g, redirect, request, session, url_for
from werkzeug.exceptions import TooManyRequests
from werkzeug.wrappers import Response

from ..knowledge.shop import Person
from .register import Register, Visit, WebCase
from .site import Site

ANYONE, CUSTOMER, COUNTER, LEAD, STAFF = "anyone", "customer", "counter", "lead", "staff"
ROLES = (ANYONE, CUSTOMER, COUNTER, LEAD, STAFF)
#: Seconds until a visit ends that is not used, and that it lasts at the most: a counter's day; a lead at the desk of an
#: open shop; a customer's are the days the shop keeps what he said.
IDLE = {COUNTER: 12 * 3600, LEAD: 30 * 60}
LASTS = {COUNTER: 24 * 3600, LEAD: 12 * 3600}
#: Seconds between two notes of when a visit was last used.
NOTED_EVERY = 20

View = TypeVar("View", bound=Callable[..., Any])


def needs(role: str) -> Callable[[View], View]:
    """Marks a page with the role it needs."""
    assert role in ROLES, role

    def mark(view: View) -> View:
        view.needs_role = role  # type: ignore[attr-defined] # functions take attributes
        return view

    return mark


def role_of(app: Flask, endpoint: str) -> str:
    """The role a page needs."""
    return getattr(app.view_functions[endpoint], "needs_role", "")


def check_pages(app: Flask) -> None:
    """Every page says whom it is for; AssertionError at the start, not in service, where one does not."""
    for rule in app.url_map.iter_rules():
        assert role_of(app, rule.endpoint) or rule.endpoint == "static", f"{rule.rule} says nothing of whom it is for"


def site_of(app: Flask) -> Site:
    """The Site an application serves."""
    return app.extensions["site"]


def site_of_request() -> Site:
    """The Site of the request under way."""
    return current_app.extensions["site"]


def too_often(wait: float) -> NoReturn:
    """Turn a request away that comes too often; ``wait``: seconds."""
    raise TooManyRequests(retry_after=int(wait) + 1)


def admit(app: Flask) -> Response | None:
    """Before every request: find out who asks, and turn away who may not. None where the page may be made."""
    g.person, g.case, g.visit_secret = None, None, ""
    if request.endpoint is None or request.endpoint == "static":
        return None
    role = role_of(app, request.endpoint)
    site = site_of(app)
    with site.register() as register:
        if role == CUSTOMER:
            g.case = _customers_case(site, register)
            if g.case is None:
                return redirect(url_for("customer.start", again="1"), 303)
            return None
        g.person = _person(site, register)
    if role in (COUNTER, LEAD, STAFF):
        if g.person is None:
            return redirect(url_for("people.come_in"), 303)
        if role != STAFF and role not in g.person.roles:
            abort(404)
        if g.must_change and request.endpoint not in ("people.change", "people.changed", "people.leave"):
            return redirect(url_for("people.change"), 303)
    return None


def _customers_case(site: Site, register: Register) -> WebCase | None:
    secret = session.get("customer", "")
    visit = register.visit(secret) if isinstance(secret, str) else None
    if visit is None or visit.person or visit.case_id is None or _over(visit, *(86400 * site.served.link_days,) * 2):
        return None
    _note(register, secret, visit)
    return register.case(visit.case_id)


def _person(site: Site, register: Register) -> Person | None:
    """The person of the shop who is logged in, as ``shop.toml`` lists him now."""
    g.must_change = False
    secret = session.get("staff", "")
    visit = register.visit(secret) if isinstance(secret, str) else None
    if visit is None or not visit.person:
        return None
    person = next((person for person in site.about.people if person.name == visit.person), None)
    kept = register.password(visit.person)
    role = LEAD if person is not None and person.leads else COUNTER
    if person is None or kept is None or kept[0][-16:] != visit.password or _over(visit, IDLE[role], LASTS[role]):
        register.end_visit(secret)
        return None
    _note(register, secret, visit)
    g.visit_secret, g.must_change = secret, kept[1]
    return person


def _over(visit: Visit, idle: float, lasts: float) -> bool:
    now = time.time()
    return now - visit.seen > idle or now - visit.begun > lasts


def _note(register: Register, secret: str, visit: Visit) -> None:
    if time.time() - visit.seen > NOTED_EVERY:
        register.seen(secret)


def let_customer_in(register: Register, case: WebCase) -> None:
    """From now on this browser is the customer of a case."""
    old = session.get("customer", "")
    if isinstance(old, str):
        register.end_visit(old)
    session.permanent = True
    session["customer"] = register.let_in(case=case.id)
