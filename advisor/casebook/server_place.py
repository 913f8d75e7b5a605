"""The place of a casebook on a PostgreSQL server, as people write it: ``postgresql://counter@db.example/chain``.

Everything PostgreSQL's own programs understand in such an address is passed on to it. Two things are this program's:
``schema=NAME`` says under which name the tables stand in the database, and a password is refused, for whoever looks at
the list of running programs, at a shell's memory or at a settings file could read it there.
"""

import re
from dataclasses import dataclass
from urllib.parse import SplitResult, parse_qsl, quote, unquote, urlencode, urlsplit

from ..errors import InputError

SCHEMES = ("postgresql", "postgres")
#: The schema of the tables where the address names none.
SCHEMA = "least_clutch"
_NAME = re.compile("[a-z_][a-z0-9_]{0,62}")
#: Parts of an address that are secrets, or name one in plain sight.
_SECRET = ("password", "sslpassword", "oauth_client_secret")
_LOCAL = ("", "localhost", "127.0.0.1", "::1")


@dataclass(frozen=True, slots=True)
class ServerPlace:
    """An address taken apart. ``address``: for PostgreSQL's library; ``shown``: as people wrote it, without secrets."""

    shown: str
    address: str
    schema: str
    options: dict[str, str]
    #: Whether everything stays on this machine: a socket in a folder, or the machine's own address.
    local: bool
    hosts: str


def is_server(place: object) -> bool:
    """Whether a place is the address of a server, not the path of a file."""
    return str(place).split("://", 1)[0] in SCHEMES and "://" in str(place)


def read(place: object) -> ServerPlace:
    """The `ServerPlace` of an address; InputError where it is none, or holds a password."""
    text = str(place)
    try:
        parts = urlsplit(text)
        # Looked at here, for a wrong port raises only when it is asked for.
        _ = [urlsplit(f"//{host}").port for host in _host_part(parts).split(",") if not host.startswith("%2F")]
    except ValueError:
        raise InputError("this is no address of a database.", value=_hidden(text), remedy=_HOW) from None
    options = dict(parse_qsl(parts.query, keep_blank_values=True))
    if ":" in parts.netloc.rpartition("@")[0] or any(name.casefold() in _SECRET for name in options):
        raise InputError(
            "a password does not belong into the address of a casebook: everybody on this machine can read it there.",
            value=_hidden(text),
            remedy="Put it into a password file that only you can read (~/.pgpass, or one named in PGPASSFILE), or name"
            " a service (service=NAME); then leave it out of the address.",
        )
    schema = options.pop("schema", SCHEMA)
    if not _NAME.fullmatch(schema) or schema.startswith("pg_"):
        raise InputError(
            f"{schema[:80]!r} is no name for the schema of a casebook.",
            value=schema,
            remedy="Use small letters, digits and underscores, beginning with a letter.",
        )
    hosts = unquote(options.get("host", "") or _host_part(parts))
    local = all(is_local(_name_of(host)) for host in hosts.split(","))
    bare = parts._replace(scheme=SCHEMES[0], netloc=parts.netloc, query=urlencode(options, quote_via=quote))
    return ServerPlace(text, _joined(bare), schema, options, local, hosts)


_HOW = "Write postgresql://USER@HOST/DATABASE, or postgresql:///DATABASE for a server on this machine."


def is_local(host: str) -> bool:
    """Whether a host is this machine itself: a folder with a socket, or its own address."""
    return host in _LOCAL or host.startswith(("/", "@"))


def _name_of(host: str) -> str:
    """A host without its port."""
    if host.startswith("["):
        return host[1:].partition("]")[0]
    return host if host.count(":") > 1 else host.partition(":")[0]


def _host_part(parts: SplitResult) -> str:
    return parts.netloc.rpartition("@")[2]


def _joined(parts: SplitResult) -> str:
    # Written out, for an address without a host keeps its two strokes only this way.
    query = f"?{parts.query}" if parts.query else ""
    return f"{parts.scheme}://{parts.netloc}{parts.path}{query}"


def _hidden(text: str) -> str:
    """An address without anything that could be a password."""
    scheme, _, rest = text.partition("://")
    return f"{scheme}://...{'@' + rest.rpartition('@')[2].split('?')[0] if '@' in rest else ''}"
