"""The lead's pages on rules: versions, drafts with what they change in words, a draft tried on past cases."""

import dataclasses
import os
from pathlib import Path
from typing import Any

from flask import Blueprint, Response, abort, g, redirect, render_template, url_for

from ..errors import AdvisorError, InputError
from ..knowledge import disk, shop as shops
from ..knowledge.sources import Sources, read
from ..versions import drafts, history
from ..versions.compared import compared, lines
from . import jobs
from .access import LEAD, needs, site_of_request
from .customer import only, shown

pages = Blueprint("rules", __name__, url_prefix="/lead")
#: Columns of what differs; jobs at once.
WIDTH, MOST_JOBS = 10_000, 1


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
    """What a draft changes, in words."""
    held, place = _draft(name), site_of_request().mine()
    try:
        after = read(_with(place.sources, held.folder), cache=not os.environ.get("LEAST_CLUTCH_NO_CACHE"))
        changes = compared(place.knowledge, after.knowledge, site_of_request().about.units)
        text = "\n".join(lines(changes, WIDTH)) if changes else "They say the same."
        fault = ""
    except AdvisorError as error:
        text, fault = "", str(error)
    title = f"What draft {held.name} changes"
    return shown("draft.html", title, draft=held, text=text, fault=fault, at_work=jobs.running(_jobs()))


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
    at_work = jobs.running(_jobs())
    if len(at_work) >= MOST_JOBS:
        return redirect(url_for("rules.job", number=at_work[0]), 303)
    where = ["--shop", str(_folder()), "--casebook", str(site.folders.casebook)]
    number = jobs.begin(_jobs(), ["rules", "try", held.name, *where, "--processes", "1"])
    with site.register() as register:
        register.did(g.person.name, f"tried draft {held.name}")
    return redirect(url_for("rules.job", number=number), 303)


@pages.get("/jobs/<number>")
@needs(LEAD)
def job(number: str) -> Any:
    """How far it is; the page asks again by itself while it runs."""
    held = jobs.job(_jobs(), number)
    if held is None:
        abort(404)
    title = "Trying it on past cases" if held.runs else "Tried on past cases"
    answer = Response(render_template("job.html", title=title, job=held))
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
        register.did(g.person.name, "stopped a trial of a draft")
    return redirect(url_for("rules.job", number=number), 303)
