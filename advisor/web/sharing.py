"""A private link, or a code read out by the shop: the case goes on on another device, until it expires or is revoked.

The link holds the only secret; what is kept of it is its digest. Opening it shows a button, since mail programs open
links by themselves; pressing it sets the cookie and leads to an address that holds nothing secret.
"""

import datetime
import secrets
from typing import Any

from flask import Blueprint, abort, g, redirect, request, url_for

from . import codes
from .access import ANYONE, CUSTOMER, let_customer_in, needs, site_of_request, too_often
from .calendar_file import reminder
from .showing import only, saved, shown

pages = Blueprint("sharing", __name__)
#: Links that one address may open in a minute; codes that it may try in ten.
OPENED, CODES_TRIED = 20, 10
_NO_CODE = (
    f"This code opens nothing. It has {codes.LENGTH} signs, holds for {codes.MINUTES} minutes and opens once: "
    "look at it again, or ask the shop for a new one."
)


@pages.get("/link")
@needs(CUSTOMER)
def link() -> Any:
    """Make a link, or end the one there is."""
    return _page()


def _page(address: str = "", errors: Any = (), on: str = "", status: int = 200) -> Any:
    site = site_of_request()
    with site.register() as register:
        there = register.linked(g.case.id)
    first, last = _days()
    usual = min(last, first + datetime.timedelta(days=6))
    return shown(
        "link.html",
        "Go on elsewhere",
        status=status,
        there=there,
        address=address,
        days=site.served.link_days,
        errors=errors,
        on=on or usual.isoformat(),
        first=first.isoformat(),
        last=last.isoformat(),
    )


def _days() -> tuple[datetime.date, datetime.date]:
    """(first, last) day to come back on: after the last one the answers are not kept."""
    today = datetime.date.today()
    days = site_of_request().served.link_days
    return today + datetime.timedelta(days=1), today + datetime.timedelta(days=max(1, days - 1))


@pages.post("/come-back")
@needs(CUSTOMER)
def come_back() -> Any:
    """The day to come back on, for the calendar."""
    only("on")
    on, (first, last) = request.form.get("on", "").strip(), _days()
    try:
        day = datetime.datetime.strptime(on, "%Y-%m-%d").date()  # as a browser sends a date (HTML, 2.3.5.2)
    except ValueError:
        day = None
    if day is None or not first <= day <= last:
        fault = f"Type a day from {first} to {last}, as {first}; your answers are kept till then."
        return _page(errors=[("on", fault)], on=on[:40], status=400)
    about = site_of_request().about
    ring = f" Or ring {about.contact.phone}." if about.contact.phone else ""
    text = reminder(
        day,
        f"{about.name}: the clutch for your car",
        f"Go on where you were, in the browser you used: {url_for('customer.answers', _external=True)}{ring}",
        address=url_for("customer.answers", _external=True),
        mark=secrets.token_hex(16),
        now=datetime.datetime.now(datetime.UTC),
    )
    return saved(text, "come-back.ics", "text/calendar")


@pages.post("/link")
@needs(CUSTOMER)
def link_made() -> Any:
    """A new link, shown once; the one before ends."""
    only()
    site = site_of_request()
    with site.register() as register:
        secret = register.link(g.case.id, site.served.link_days)
    address = url_for("sharing.behind", secret=secret, _external=True)
    return _page(address)


@pages.post("/link/end")
@needs(CUSTOMER)
def link_ended() -> Any:
    """The link opens nothing any more."""
    only()
    with site_of_request().register() as register:
        register.revoke(g.case.id)
    return redirect(url_for("sharing.link"), 303)


def _case_behind(secret: str) -> Any:
    site = site_of_request()
    wait = site.allowance.used_up(f"link {request.remote_addr}", OPENED, 60.0)
    if wait:
        too_often(wait)
    with site.register() as register:
        number = register.behind(secret)
        return register.case(number) if number is not None else None


@pages.get("/open/<secret>")
@needs(ANYONE)
def behind(secret: str) -> Any:
    """What the link leads to, behind a button."""
    if _case_behind(secret) is None:
        abort(404)
    return shown("open.html", "Go on where you were", secret=secret)


@pages.post("/open/<secret>")
@needs(ANYONE)
def opened(secret: str) -> Any:
    """This browser goes on with the case."""
    only()
    case = _case_behind(secret)
    if case is None:
        abort(404)
    with site_of_request().register() as register:
        let_customer_in(register, case)
    return redirect(url_for("customer.answers"), 303)


# --- a code that the shop read out


@pages.get("/code")
@needs(ANYONE)
def code() -> Any:
    """Where a code is typed."""
    return shown("code.html", "The code from the shop", errors=[])


@pages.post("/code")
@needs(ANYONE)
def code_said() -> Any:
    """This browser goes on with the case of the code; every try counts, for the address and against the code meant."""
    only("code")
    site = site_of_request()
    wait = site.allowance.used_up(f"code {request.remote_addr}", CODES_TRIED, 600.0)
    if wait:
        too_often(wait)
    typed = codes.read(request.form.get("code", ""))
    with site.register() as register:
        number = register.use_code(typed, site.secret_keys()[0]) if typed else None
        case = register.case(number) if number is not None else None
        if case is None:
            register.did("", "typed a code that opens nothing")
            return shown("code.html", "The code from the shop", status=400, errors=[_NO_CODE])
        let_customer_in(register, case)
        register.did("", "opened with a code", case.name)
    return redirect(url_for("customer.answers"), 303)
