"""Serves the shop's pages to browsers: the customer's questions and result, the counter, the lead's desk.

It is reached from this machine alone unless --address says otherwise; names by which others may ask for it stand under
[pages] in shop.toml. For use outside, put a program before it that encrypts, and say so there: https = true,
proxies = 1. Nobody has a password to begin with: set the first lead's here, and change it when it is first used.

A page that decides keeps a processor busy for a tenth of a second to half a second, so take as many processes as the
machine has processors, and no more: --processes 2 on two. Reckon with 250 MB of memory for each, and with eight
customers who answer at once. Where a page would be waited for longer than 10 seconds, the customer is told at once when
to try again, and what he typed is kept on that page. A process that dies is started again. On a system without fork
there is one.

Another server of WSGI serves the same pages, with single-threaded processes and the application made before they fork:
  gunicorn --preload --workers 2 --threads 1 --no-control-socket 'advisor.commands.serve:served(shop="my-shop")'
Links, visits and limits hold in all its processes. That server lets everybody wait in its own line.

example:
  advisor serve --set-password "Cleo Invented"
  advisor serve --shop my-shop --port 8000
  advisor serve --shop my-shop --address 0.0.0.0 --processes 2
"""

import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import InputError
from . import opening

if TYPE_CHECKING:
    from flask import Flask

    from ..web.site import Site


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("--port", type=int, default=8000, metavar="N", help="port to listen on (default 8000)")
    parser.add_argument("--address", default="127.0.0.1", help="address to listen on (default 127.0.0.1: this machine)")
    parser.add_argument("--processes", type=int, default=1, metavar="N", help="how many processes answer (default 1)")
    parser.add_argument(
        "--set-password",
        metavar="NAME",
        help="set a first password of somebody in shop.toml, read from the keyboard or standard input, and stop",
    )
    parser.add_argument(
        "--pages", metavar="FOLDER", help="where cases under way are kept (default: beside the casebook)"
    )
    parser.add_argument("--casebook", metavar="PLACE", help="the casebook, where it is not the usual one")
    opening.add_sources(parser)


def run(arguments: Namespace) -> int:
    """The exit code: 0 when it was stopped."""
    try:
        import argon2  # noqa: F401  # only to tell early what is missing
        import flask_wtf  # noqa: F401
        import waitress  # noqa: F401
    except ImportError as error:
        raise InputError(
            f"a part that serves pages is not installed ({error.name}).",
            remedy="Install the extra: pip install 'least-clutch[web]'.",
        ) from None
    if not 0 <= arguments.port < 65536 or not 1 <= arguments.processes <= 64:
        raise InputError(
            "the port or the number of processes is out of range.", remedy="Ports go to 65535, processes to 64."
        )
    site = _site(arguments)
    if arguments.set_password is not None:
        return _set_password(site, arguments.set_password)
    from ..web.serving import serve

    return serve(site, arguments.address, arguments.port, arguments.processes)


def served(shop: str | None = None, casebook: str | None = None, pages: str | None = None) -> "Flask":
    """The application for another server of WSGI (PEP 3333); what is left out is as with the command.

    That server makes it before it forks, so that folders, casebook and the key of cookies are there once.
    """
    from ..web.app import application

    parser = ArgumentParser()
    add(parser)
    arguments = parser.parse_args([])
    arguments.shop, arguments.casebook, arguments.pages = shop, casebook, pages
    app = application(_site(arguments))
    assert not app.debug
    return app


def _site(arguments: Namespace) -> "Site":
    from ..casebook import places
    from ..casebook.store import default_path
    from ..knowledge.sources import NAMES
    from ..web.site import Folders, Site
    from ..web.workplace import Workplaces

    chosen = opening.casebook_of(arguments)
    casebook = chosen or default_path()
    folder = Path(arguments.pages) if arguments.pages else places.beside(casebook, "pages", default_path())
    options = {name: getattr(arguments, name) for name in NAMES}
    return Site(Folders(casebook, folder, opening.counter_of(arguments, chosen)), Workplaces(arguments.shop, **options))


def _set_password(site: "Site", name: str) -> int:
    from ..web import passwords
    from .lead import passphrase

    listed = [person.name for person in site.about.people if {"counter", "lead"} & set(person.roles)]
    if name not in listed:
        raise InputError(
            f"shop.toml lists no {name!r} for the counter or as a lead.",
            value=name,
            remedy=f"It lists: {', '.join(listed) or 'nobody'}.",
        )
    password = passphrase(f"First password for {name}: ")
    if sys.stdin is not None and sys.stdin.isatty() and password != passphrase("The same again: "):
        raise InputError("the two passwords differ.", remedy="Try again.")
    hashed = passwords.hashed(password)
    site.prepare()
    with site.register() as register:
        register.set_password(name, hashed, first=True)
        register.did("command line", f"gave {name} a first password")
    opening.say(f"{name} has a first password; it must be changed when it is first used.")
    return 0
