"""The lead's pages on rules: versions, drafts with what they change in words, a draft tried on past cases, adopted."""

import dataclasses
import os
import re
from pathlib import Path
from typing import Any

from flask import Blueprint, Response, abort, g, redirect, render_template, request, url_for

from ..casebook import entries
from ..errors import AdvisorError, InputError
from ..knowledge import disk, rules_in_force, shop as shops
from ..knowledge.sentences import capital
from ..knowledge.sources import Sources, read
from ..versions import drafts, history
from ..versions.compared import compared, lines
from . import jobs
from .access import LEAD, needs, site_of_request
from .people import confirmed
from .showing import WIDTH, only, shown

pages = Blueprint("rules", __name__, url_prefix="/lead")
#: The exit code of a trial in which a check fails; the short name of such a check; letters of a reason.
FAILS, FAILURE, LONGEST_REASON = 5, re.compile("[0-9a-f]{6}"), 2_000


def _folder() -> Path | None:
    """The folder of the shop that is served; None for the demonstration."""
    return shops.find(site_of_request().workplaces.shop)


def _jobs() -> Path:
    return site_of_request().folders.pages / "jobs"


@pages.get("/drafts")
@needs(LEAD)
def all_drafts() -> Any:
    """Versions and drafts."""
    folder = _folder()
    versions: list[history.Version] = []
    listed: list[drafts.RulesDraft] = []
    if folder is not None:
        with history.History(folder) as kept:
            versions = kept.versions()
        listed = drafts.all_of(folder)
    return shown(
        "drafts.html",
        "Drafts and versions of the rules",
        own=folder is not None,
        versions=versions[::-1],
        drafts=listed,
        at_work=jobs.running(_jobs()),
    )


def _draft(name: str) -> drafts.RulesDraft:
    folder = _folder()
    if folder is None:
        abort(404)
    try:
        return drafts.named(folder, name)
    except InputError:
        abort(404)


@pages.get("/drafts/<name>")
@needs(LEAD)
def draft(name: str) -> Any:
    """What a draft changes, in words; and, once it was tried as it is, the form to adopt it."""
    return _draft_page(_draft(name))


def _draft_page(held: drafts.RulesDraft, errors: Any = (), why: str = "", accept: str = "", status: int = 200) -> Any:
    place = site_of_request().mine()
    digest = rules_in_force.digest(held.bodies())
    try:
        after = read(_with(place.sources, held.folder), cache=not os.environ.get("LEAST_CLUTCH_NO_CACHE"))
        changes = compared(place.knowledge, after.knowledge, site_of_request().about.units)
        text = "\n".join(lines(changes, WIDTH)) if changes else "They say the same."
        fault = ""
    except AdvisorError as error:
        text, fault = "", str(error)
    title = f"What draft {held.name} changes"
    trials = _trials(held.name, digest)
    return shown(
        "draft.html",
        title,
        status=status,
        draft=held,
        text=text,
        fault=fault,
        at_work=jobs.running(_jobs()),
        digest=digest,
        trial=trials[0] if trials else None,
        by_key=bool(g.person.public_key),
        errors=errors,
        why=why,
        accept=accept,
    )


def _trials(name: str, digest: str) -> list[jobs.Job]:
    """Trials of a draft with these files that came to their end, those where nothing fails first."""
    ended = [held for held in jobs.with_purpose(_jobs(), f"try {name} {digest}") if held.code in (0, FAILS)]
    return sorted(ended, key=lambda held: held.code or 0)


def _with(sources: Sources, folder: Path) -> Sources:
    """The sources with a draft in the place of the shop's own rules."""
    if sources.shop is not None and sources.shop.rules.use == "alone":
        return dataclasses.replace(sources, rules=folder)
    return dataclasses.replace(sources, house=folder if disk.below(folder, (".yaml",)) else None)


@pages.post("/drafts/<name>/try")
@needs(LEAD)
def try_draft(name: str) -> Any:
    """Begin trying it on the cases of the casebook, in a process of its own."""
    only()
    held, site = _draft(name), site_of_request()
    where = ["--shop", str(_folder()), "--casebook", str(site.folders.casebook)]
    purpose = f"try {held.name} {rules_in_force.digest(held.bodies())}"
    command = ["rules", "try", held.name, *where, "--processes", "1"]
    return _begun(command, purpose, f"tried draft {held.name}")


def _begun(command: list[str], purpose: str, doing: str) -> Any:
    """To the page of the job that does this, begun where none is at work; ``doing``: what the lead did by it."""
    if at_work := jobs.running(_jobs()):
        return redirect(url_for("rules.job", number=at_work[0]), 303)
    number = jobs.begin(_jobs(), command, purpose)
    with site_of_request().register() as register:
        register.did(g.person.name, doing)
    return redirect(url_for("rules.job", number=number), 303)


@pages.post("/drafts/<name>/adopt")
@needs(LEAD)
def adopt(name: str) -> Any:
    """Begin adopting what was on the screen: refused, checked and kept as by the command, which is what does it."""
    only("digest", "why", "accept", "password")
    held, site, form = _draft(name), site_of_request(), request.form
    why, accept, digest = (form.get(part, "").strip() for part in ("why", "accept", "digest"))
    errors = []
    if digest != rules_in_force.digest(held.bodies()):
        errors = [("adopt", "The draft was changed since this page was shown. Look at it again, and try it.")]
    elif not _trials(held.name, digest):
        errors = [("adopt", "Try it on past cases first, and look at what comes out.")]
    elif g.person.public_key:
        errors = [("adopt", "You sign with a key: adopt it where the key is, with advisor rules adopt --key.")]
    else:
        why, errors = _reason(why)
        if not all(FAILURE.fullmatch(word) for word in accept.split()):
            errors.append(("accept", "Name failing checks by the short names in brackets that the trial showed."))
        if not errors:
            with site.register() as register:
                errors = [("password", text) for text in confirmed(register, form.get("password", ""))]
    if errors:
        return _draft_page(held, errors, why, accept, 400)
    command = _adoption(held.name, g.person.name, why, accept.split(), digest)
    return _begun(command, f"adopt {held.name}", f"began adopting draft {held.name}")


def _reason(why: str) -> tuple[str, list[tuple[str, str]]]:
    """(a reason as it is kept, what is wrong with it)."""
    try:
        return entries.paragraph(why, "reason", LONGEST_REASON), []
    except InputError as error:
        return why, [("why", capital(f"{error.what} {error.remedy}".strip()))]


def _adoption(name: str, by: str, why: str, accept: list[str], digest: str) -> list[str]:
    """The command that adopts; each value bound to its option, so that none can be taken for another."""
    signed_for = [f"--accept={failure}" for failure in accept]
    return [
        *("rules", "adopt", name, f"--shop={_folder()}", f"--by={by}", f"--why={why}", f"--digest={digest}"),
        *signed_for,
    ]


def _version(number: int) -> tuple[history.Version, int]:
    """(a version of the rules, the number of the one in force); 404 where there is none."""
    folder = _folder()
    if folder is None:
        abort(404)
    with history.History(folder) as kept:
        versions = kept.versions()
    if number not in {held.number for held in versions}:
        abort(404)
    return next(held for held in versions if held.number == number), versions[-1].number


@pages.get("/versions/<int:number>")
@needs(LEAD)
def version(number: int) -> Any:
    """A version: who adopted it, when and why, what it changed; and the form to go back to it."""
    return _version_page(*_version(number))


def _version_page(held: history.Version, last: int, errors: Any = (), why: str = "", status: int = 200) -> Any:
    return shown(
        "version.html",
        f"Version {held.number} of the rules",
        status=status,
        version=held,
        last=last,
        by_key=bool(g.person.public_key),
        errors=errors,
        why=why,
    )


@pages.post("/versions/<int:number>/back")
@needs(LEAD)
def back(number: int) -> Any:
    """Begin going back to a version, by the command; what was in force when the page was shown must still be."""
    only("last", "why", "password")
    (held, last), site, form = _version(number), site_of_request(), request.form
    why, errors = _reason(form.get("why", "").strip())
    if form.get("last", "") != str(last) or number == last:
        errors = [
            ("back", "Another version has come into force since this page was shown. Look at the versions again.")
        ]
    elif g.person.public_key:
        errors = [("back", "You sign with a key: go back where the key is, with advisor rules back --key.")]
    elif not errors:
        with site.register() as register:
            errors = [("password", text) for text in confirmed(register, form.get("password", ""))]
    if errors:
        return _version_page(held, last, errors, why, 400)
    command = ["rules", "back", str(number), f"--shop={_folder()}", f"--by={g.person.name}", f"--why={why}"]
    return _begun(command, f"back {number}", f"began going back to version {number} of the rules")


@pages.get("/jobs/<number>")
@needs(LEAD)
def job(number: str) -> Any:
    """How far it is; the page asks again by itself while it runs."""
    held = jobs.job(_jobs(), number)
    if held is None:
        abort(404)
    adopts = held.purpose.startswith(("adopt ", "back "))
    if adopts:
        ended = "Adopted" if held.code == 0 else "Not adopted" if (held.code or 0) > 0 else "Ended on the way"
        begun = "Adopting a draft" if held.purpose.startswith("adopt ") else "Going back to an earlier version"
        title = begun if held.runs else ended
    else:
        title = "Trying it on past cases" if held.runs else "Tried on past cases"
    tried = held.purpose.split()[1] if held.purpose.startswith("try ") else ""
    answer = Response(render_template("job.html", title=title, job=held, adopts=adopts, tried=tried))
    if held.runs:
        answer.headers["Refresh"] = "2"
    return answer


@pages.post("/jobs/<number>/stop")
@needs(LEAD)
def stop(number: str) -> Any:
    """End it before it is done."""
    only()
    if jobs.job(_jobs(), number) is None:
        abort(404)
    jobs.stop(_jobs(), number)
    with site_of_request().register() as register:
        register.did(g.person.name, "stopped a trial or an adoption of a draft")
    return redirect(url_for("rules.job", number=number), 303)
