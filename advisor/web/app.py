"""The application: settings, headers on every response, forms' tokens, errors as pages, a log without personal data."""

import datetime
import hashlib
import json
import secrets
import sys
import time
import traceback
from typing import Any

import jinja2
from flask import Flask, Response, abort, g, request, session
from flask_wtf.csrf import CSRFError, CSRFProtect, generate_csrf
from markupsafe import Markup
from werkzeug.exceptions import HTTPException, RequestEntityTooLarge, ServiceUnavailable
from werkzeug.middleware.proxy_fix import ProxyFix

from ..errors import AdvisorError, InputError, StoreError
from ..knowledge import signs
from ..knowledge.sentences import capital
from . import (
    access,
    answers_pages,
    counter,
    customer,
    kept_pages,
    lead,
    people,
    result_pages,
    rule_pages,
    sharing,
    shelf_pages,
)
from .block_pages import add_blocks
from .showing import WentWrong, problem_page
from .site import OWN_HOSTS, Site
from .waiting import TURNED_AWAY

#: Bytes of the largest request, and fields of the longest form (the counter's page holds every question).
LARGEST, MOST_FIELDS = 65_536, 160
#: Requests of one address in a minute; a decision takes a tenth of a second.
REQUESTS, WITHIN = 240, 60.0
#: Pages whose typed fields are never put into another page.
SECRET_FIELDS = ("password", "new", "again", "csrf_token", "code")

HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; img-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'; object-src 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "X-Robots-Tag": "noindex, nofollow",
}


def application(site: Site) -> Flask:
    """The application that serves a `Site`."""
    site.prepare()
    served, keys = site.served, site.secret_keys()
    app = Flask("advisor.web", static_folder="static", template_folder="templates")
    app.config.update(
        SECRET_KEY=keys[0],
        SECRET_KEY_FALLBACKS=keys[1:],
        # The prefix binds the cookie to this name and to encryption; without encryption a browser drops such a cookie
        # under any name but localhost, so that nobody could come in: then the plain one is all there is.
        SESSION_COOKIE_NAME="__Host-advisor" if served.https else "advisor",
        SESSION_COOKIE_SECURE=served.https,
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        PERMANENT_SESSION_LIFETIME=datetime.timedelta(days=served.link_days),
        MAX_CONTENT_LENGTH=LARGEST,
        MAX_FORM_MEMORY_SIZE=LARGEST,
        MAX_FORM_PARTS=MOST_FIELDS,
        TRUSTED_HOSTS=[*(served.hosts or OWN_HOSTS)],
        TEMPLATES_AUTO_RELOAD=False,
        # No page is lost because somebody pondered; and the check does not hang on a referrer, which is never sent.
        WTF_CSRF_TIME_LIMIT=None,
        WTF_CSRF_SSL_STRICT=False,
        WTF_CSRF_CHECK_DEFAULT=True,
    )
    app.jinja_env.undefined = jinja2.StrictUndefined
    app.jinja_env.finalize = _shown
    app.jinja_env.filters |= {
        "capital": capital,
        "day": _day,
        "clock": lambda seconds: _day(seconds)[-5:],
        "at": lambda texts, field: [(field, text) for text in texts],
    }
    app.jinja_env.globals["token"] = _token
    add_blocks(app.jinja_env)
    app.extensions["site"] = site
    # Host and rate come before the form is read, the form's token before the page is made.
    app.before_request(_begin)
    app.before_request(_within_limits)
    CSRFProtect(app)
    app.before_request(_not_too_many)
    app.before_request(lambda: access.admit(app))
    app.after_request(_headed)
    # Whose pages stand in several modules has one set of them, which each module adds to where it is read.
    parts = (customer, answers_pages, result_pages, sharing, people, counter, kept_pages, lead, rule_pages, shelf_pages)
    for pages in dict.fromkeys(part.pages for part in parts):
        app.register_blueprint(pages)
    app.add_url_rule("/healthz", "healthz", access.needs(access.ANYONE)(_healthz))
    app.context_processor(lambda: {"about": site.about, "person": g.get("person"), "now_case": g.get("case")})
    for fault in (HTTPException, AdvisorError, Exception):
        app.register_error_handler(fault, _problem)
    access.check_pages(app)
    if served.proxies:
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=served.proxies, x_proto=served.proxies)  # type: ignore[method-assign]
    return app


def _shown(value: Any) -> Any:
    """Nothing typed steers the direction of reading or hides in a page."""
    return signs.shown(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def _token() -> Markup:
    """The hidden field that shows that a form is ours."""
    return Markup('<input type="hidden" name="csrf_token" value="{}">').format(generate_csrf())


def _day(seconds: float) -> str:
    return time.strftime("%Y-%m-%d %H:%M", time.localtime(seconds))


def _healthz() -> Response:
    """Is everything there that an answer needs?"""
    site = access.site_of_request()
    with site.register() as register:
        register.case(0)
    site.mine()
    return Response("ok\n", mimetype="text/plain")


# --- before and after


def _begin() -> None:
    g.began = time.perf_counter()


def _within_limits() -> None:
    site = access.site_of_request()
    if request.endpoint != "static" and TURNED_AWAY not in request.environ:
        wait = site.allowance.used_up(f"all {request.remote_addr}", REQUESTS, WITHIN)
        if wait:
            access.too_often(wait)
    if request.method == "POST":
        # A browser that says where a form comes from is believed; one that does not has the token.
        if request.headers.get("Sec-Fetch-Site") in ("cross-site", "same-site"):
            abort(403)
        if len(request.form) > MOST_FIELDS or request.files:
            raise RequestEntityTooLarge


def _not_too_many() -> None:
    """Turn away whoever would wait too long; the server that counts them says so."""
    wait = request.environ.get(TURNED_AWAY, 0.0)
    if wait and request.endpoint is not None:
        raise ServiceUnavailable(retry_after=min(60, int(wait) + 1))


def _headed(response: Response) -> Response:
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if request.endpoint == "static":
        response.headers["Cache-Control"] = "public, max-age=3600"
    else:
        response.headers["Cache-Control"] = "no-store"
    site = access.site_of_request()
    if site.served.https:
        response.headers["Strict-Transport-Security"] = "max-age=31536000"
    _log(response.status_code)
    return response


def _log(status: int, **more: object) -> None:
    """One line: no answers, names, addresses, secrets, nor what stands behind the question mark."""
    case = g.get("case")
    line = {
        "at": datetime.datetime.now(datetime.UTC).isoformat(timespec="milliseconds"),
        "page": request.endpoint or "",
        "method": request.method if request.method in ("GET", "HEAD", "POST") else "other",
        "status": status,
        "ms": round(1000 * (time.perf_counter() - g.get("began", time.perf_counter()))),
        "case": hashlib.sha256(case.name.encode()).hexdigest()[:12] if case else "",
        "role": "staff" if g.get("person") else "customer" if case else "",
        **more,
    }
    sys.stderr.write(json.dumps(line, ensure_ascii=True) + "\n")


# --- errors


def _problem(error: Exception) -> tuple[str, int] | Response:
    """Any error as a page that says what is wrong and how to go on; what was typed is kept to be sent again."""
    if isinstance(error, HTTPException) and error.code is not None and error.code < 400:
        return error.get_response()  # type: ignore[return-value]
    status, what, remedy = (
        500,
        "Something went wrong here.",
        "Nothing was lost. Go back and try again; or ring the shop.",
    )
    mark = ""
    if isinstance(error, CSRFError):
        status, what, remedy = 400, "This page had lost its connection with what you said before.", ""
    elif isinstance(error, HTTPException):
        status = error.code or 500
        what, remedy = _WORDS.get(status, ("This cannot be shown.", "Go back to where you were."))
    elif isinstance(error, StoreError):
        status, what = 503, "It cannot be kept just now."
        remedy = "Nothing you said before is lost. Try again in a moment; or ring the shop."
        _log(503, fault=type(error).__name__)
    elif isinstance(error, InputError):
        status, what, remedy = 400, error.what[:1].upper() + error.what[1:], error.remedy
    else:
        mark = secrets.token_hex(4)
        places = [
            f"{frame.filename.rpartition('/')[2]}:{frame.lineno}" for frame in traceback.extract_tb(error.__traceback__)
        ]
        _log(500, fault=type(error).__name__, mark=mark, places=places[-6:])
    sent_again = isinstance(error, (CSRFError, StoreError, ServiceUnavailable))
    again = request.method == "POST" and sent_again and not request.files
    staff = (request.endpoint or "").split(".")[0] in ("people", "counter", "lead", "rules", "shelf")
    fields: list[tuple[str, str]] = []
    if again and not (staff and isinstance(error, CSRFError)) and len(request.form) <= MOST_FIELDS:
        fields = [(name, value) for name, value in request.form.items(multi=True) if name not in SECRET_FIELDS]
    try:
        page = problem_page(
            WentWrong(
                what=what,
                remedy=remedy,
                mark=mark,
                fields=fields,
                path=request.path,
                seconds=getattr(error, "retry_after", None) if status == 503 else None,
                retry=request.full_path.rstrip("?") if status == 503 and request.method == "GET" else "",
                staff=staff,
            )
        )
    except Exception:  # a request for another machine's name has no addresses, and something may be wrong with the page
        page = _BARE.format(what)
    response = Response(page, status)
    if isinstance(error, HTTPException):
        wait = getattr(error, "retry_after", None)
        if wait:
            response.headers["Retry-After"] = str(int(wait))
    elif status == 503:
        response.headers["Retry-After"] = "5"
    if isinstance(error, CSRFError):
        session.permanent = True
    return response


#: Where even the page of an error cannot be made.
_BARE = "<!DOCTYPE html><html lang=en><title>Error</title><h1>{}</h1><p>Go back to where you were.</p></html>"
_WORDS = {
    400: ("This request could not be read.", "Go back to where you were and try again."),
    403: ("This form did not come from our own page.", "Open our page itself and answer there."),
    404: ("There is nothing here.", "The address may be mistyped, or what it led to has ended."),
    405: ("This page is not asked for in that way.", "Go back to where you were."),
    409: ("This case is not yours to write to.", "Take it over first."),
    413: ("That is more than one page can take.", "Shorten it, and send it again."),
    429: ("That was very often in a short time.", "Wait a moment, and go on."),
    503: (
        "Many are being served just now.",
        "Nothing you said before is lost. Wait a little, and then try again; or ring the shop.",
    ),
}
