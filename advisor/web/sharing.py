"""A private link: the case goes on on another device, until it expires or is revoked.

The link holds the only secret; what is kept of it is its digest. Opening it shows a button, since mail programs open
links by themselves; pressing it sets the cookie and leads to an address that holds nothing secret.
"""

from typing import Any

from flask import Blueprint, abort, g, redirect, request, url_for

from .access import ANYONE, CUSTOMER, let_customer_in, needs, site_of_request, too_often
from .customer import only, shown

pages = Blueprint("sharing", __name__)
#: Links that one address may open in a minute.
OPENED = 20


@pages.get("/link")
@needs(CUSTOMER)
def link() -> Any:
    """Make a link, or end the one there is."""
    with site_of_request().register() as register:
        there = register.linked(g.case.id)
    return shown("link.html", "Go on elsewhere", there=there, address="", days=site_of_request().served.link_days)


@pages.post("/link")
@needs(CUSTOMER)
def link_made() -> Any:
    """A new link, shown once; the one before ends."""
    only()
    site = site_of_request()
    with site.register() as register:
        secret = register.link(g.case.id, site.served.link_days)
    address = url_for("sharing.behind", secret=secret, _external=True)
    return shown("link.html", "Go on elsewhere", there=True, address=address, days=site.served.link_days)


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
