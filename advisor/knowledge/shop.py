"""One place for a shop: a folder with ``shop.toml`` and, where it has any, kits, platforms, parts, rules and cases.

Everything in ``shop.toml`` but the name may be left out. What it says about people, contact, counter and casebook is
nobody's answer: it enters no decision, no digest and nothing that is kept with a case.

>>> shop_of('name = "Demonstration shop"').currency
'EUR'
"""

import os
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ..errors import ErrorList, InputError, Position, StoreError
from ..frozen import frozen
from . import canonical, disk, signs
from .near import did_you_mean

FILE = "shop.toml"
#: The environment variable that names the folder, and the user's own file that may.
VARIABLE = "LEAST_CLUTCH_SHOP"
CONFIGURATION = "config.toml"
#: Bytes of the largest ``shop.toml``.
LARGEST = 64_000
ROLES = ("counter", "fitter", "lead")
UNITS = ("si", "trade")
PAPERS = ("A4", "letter")
#: Whether the shop's rules are laid over the shipped ones, or are a whole set of their own.
RULE_USES = ("over_shipped", "alone")
#: A name or number under which a machine is asked for.
HOST = r"[A-Za-z0-9]([A-Za-z0-9.-]{0,251}[A-Za-z0-9])?"
#: Language of numbers -> (decimal mark, mark between thousands).
NUMBERS = {
    "en": (".", ","),
    "de": (",", "."),
    "es": (",", "."),
    "it": (",", "."),
    "nl": (",", "."),
    "pt": (",", "."),
    "da": (",", "."),
    "fr": (",", "\u202f"),
    "sv": (",", "\u00a0"),
    "pl": (",", "\u00a0"),
    "de-CH": (".", "’"),
}


@frozen
class Person:
    """Somebody of the shop; ``roles`` out of `ROLES`; ``public_key``: of a lead who signs, else empty."""

    name: str
    roles: tuple[str, ...]
    public_key: str = ""

    @property
    def leads(self) -> bool:
        """Is it a lead?"""
        return "lead" in self.roles


@frozen
class Contact:
    """How a customer reaches the shop; empty where it does not say."""

    address: str = ""
    phone: str = ""
    email: str = ""
    web: str = ""


@frozen
class Tax:
    """Tax on prices: its ``name``, ``percent`` and whether the prices on file have it in them."""

    name: str = ""
    percent: float = 0.0
    in_prices: bool = True


@frozen
class HouseRules:
    """How the shop's own rules count: over the shipped ones or alone; ``version`` as the shop counts them."""

    use: str = "over_shipped"
    version: str = ""


@frozen
class PagesServed:
    """How the shop's pages are reached in a browser; nothing of it enters a decision.

    ``hosts``: names under which they are asked for, none: this machine alone; ``https``: is it encrypted, by what
    stands before the program; ``proxies``: how many of those there are; ``link_days``: days a customer's link and what
    he has said are kept; ``counts_shown``: may a customer see how many are on the shelf?
    """

    hosts: tuple[str, ...] = ()
    https: bool = False
    proxies: int = 0
    link_days: int = 30
    counts_shown: bool = False


@frozen
class About:
    """What ``shop.toml`` says. ``folder``: where it lies, empty where it was read from elsewhere.

    ``numbers``: the language numbers are written in; ``quote_days``: days a quote holds; ``casebook``: path of the
    casebook or its address on a server, empty for the user's own; ``own_casebook``: path of the one that this counter
    writes to while that cannot be reached, empty where there is none; ``seal_key``: path of the key that seals it,
    empty for the user's own; ``counter``: which counter of the shop this is; ``pages``: how its pages are served.
    """

    name: str
    invented: bool = False
    currency: str = "EUR"
    units: str = "si"
    paper: str = "A4"
    numbers: str = "en"
    quote_days: int = 14
    tax: Tax = Tax()
    contact: Contact = Contact()
    people: tuple[Person, ...] = ()
    counter: str = ""
    casebook: str = ""
    own_casebook: str = ""
    seal_key: str = ""
    rules: HouseRules = HouseRules()
    pages: PagesServed = PagesServed()
    folder: str = ""

    @property
    def decimal_mark(self) -> str:
        """The sign before the decimals."""
        return NUMBERS[self.numbers][0]

    @property
    def thousands_mark(self) -> str:
        """The sign between thousands."""
        return NUMBERS[self.numbers][1]

    def of_role(self, role: str) -> tuple[Person, ...]:
        """The people who have a role."""
        return tuple(person for person in self.people if role in person.roles)

    def kept(self) -> dict[str, Any]:
        """What an answer rests on or shows, as `shop_of` reads it back: nothing about people, counter or casebook."""
        return {
            "name": self.name,
            "invented": self.invented,
            "currency": self.currency,
            "units": self.units,
            "paper": self.paper,
            "numbers": self.numbers,
            "quote_days": self.quote_days,
            "tax": {"name": self.tax.name, "percent": self.tax.percent, "in_prices": self.tax.in_prices},
            "rules": {"use": self.rules.use, "version": self.rules.version},
        }

    @property
    def sha256(self) -> str:
        """Hex SHA-256 over what `kept` gives."""
        return canonical.sha256(self.kept())


# --- finding it ------------------------------------------------------------------------------------------------------


def find(named: str | Path | None = None) -> Path | None:
    """The folder of the shop: as ``named`` (an option), as the environment says, as the user's configuration says.

    None where none of them names one. StoreError where what is named is no shop.
    """
    places = [(named, "--shop"), (os.environ.get(VARIABLE, ""), VARIABLE)]
    for place, by in places:
        if place:
            return _folder(Path(place), by)
    configured, file = _configured()
    return _folder(configured, str(file)) if configured else None


def _folder(place, by):
    folder = place.parent if place.name == FILE else place
    try:
        is_there = (folder / FILE).is_file()
    except (OSError, ValueError):  # a name too long, or one no system takes
        is_there = False
    if not is_there:
        raise StoreError(
            f"there is no shop here: {FILE} is missing.",
            where=Position(str(folder)),
            remedy=f"Name the folder that holds it ({by} names this one), or set one up: advisor shop new FOLDER.",
        )
    return folder


def _configured():
    """(folder, file) as the user's own configuration says, or (None, file)."""
    try:
        file = disk.home("XDG_CONFIG_HOME", ".config") / "least-clutch" / CONFIGURATION
        if not file.is_file():
            return None, file
    except (OSError, StoreError):
        return None, None
    text = disk.text(file, LARGEST)
    table = _Table(_parsed(text, str(file)), str(file), text)
    place = table.text("shop")
    table.finish(("shop",))
    return (file.parent / os.path.expanduser(place) if place else None), file


# --- reading it ------------------------------------------------------------------------------------------------------


def read(folder: str | Path) -> About:
    """What the ``shop.toml`` of a folder says. StoreError where it cannot be read; ErrorList with all its faults."""
    path = Path(folder, FILE)
    return shop_of(disk.text(path, LARGEST), str(path), folder=str(folder))


def shop_of(text: str, name: str = FILE, folder: str = "") -> About:
    """`About` of the text of a ``shop.toml``; ErrorList with all its faults, each with file, line and remedy."""
    table = _Table(_parsed(text, name), name, text)
    tax, contact, rules, pages = (table.table(name) for name in ("tax", "contact", "rules", "pages"))
    about = About(
        name=table.text("name", required=True),
        invented=table.flag("invented", False),
        currency=table.text("currency", "EUR", pattern="[A-Z]{3}", such_as="EUR"),
        units=table.choice("units", UNITS),
        paper=table.choice("paper", PAPERS),
        numbers=table.choice("numbers", tuple(NUMBERS), "en"),
        quote_days=int(table.number("quote_days", 14, 1, 365, whole=True)),
        tax=Tax(tax.text("name"), tax.number("percent", 0.0, 0, 100), tax.flag("in_prices", True)),
        contact=Contact(**{part: contact.text(part) for part in Contact.__dataclass_fields__}),
        people=tuple(_person(person) for person in table.tables("people")),
        counter=table.text("counter"),
        casebook=table.text("casebook"),
        own_casebook=table.text("own_casebook"),
        seal_key=table.text("seal_key"),
        rules=HouseRules(rules.choice("use", RULE_USES), rules.text("version")),
        pages=PagesServed(
            tuple(pages.texts("hosts", pattern=HOST, such_as="clutch.example") if "hosts" in pages.data else ()),
            pages.flag("https", False),
            int(pages.number("proxies", 0, 0, 5, whole=True)),
            int(pages.number("link_days", 30, 1, 365, whole=True)),
            pages.flag("counts_shown", False),
        ),
        folder=folder,
    )
    tax.known(tuple(Tax.__dataclass_fields__))
    contact.known(tuple(Contact.__dataclass_fields__))
    rules.known(tuple(HouseRules.__dataclass_fields__))
    pages.known(tuple(PagesServed.__dataclass_fields__))
    table.finish(tuple(part for part in About.__dataclass_fields__ if part != "folder"))
    return about


def _person(table):
    person = Person(table.text("name", required=True), tuple(table.texts("roles", ROLES)), table.text("public_key"))
    table.known(tuple(Person.__dataclass_fields__))
    return person


def _parsed(text, name):
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        place = re.search(r"\(at line (\d+), column (\d+)\)", str(fault))
        what = re.sub(r"\s*\(at [^)]*\)", "", str(fault))
        where = Position(name, int(place[1]), int(place[2])) if place else Position(name)
        remedy = 'Write each line as a name, "=" and a value; texts stand in quotes.'
        raise InputError(f"this is not TOML: {what[:1].lower()}{what[1:]}.", where=where, remedy=remedy) from None
    except RecursionError:
        raise InputError(
            "the values lie too deep in each other.", where=Position(name), remedy="Write it plainly."
        ) from None


class _Table:
    """A table of a TOML file, its values taken one by one; faults are gathered, not raised."""

    def __init__(self, data: Mapping[str, Any], file: str, text: str, path: str = "", faults=None, place: int = 0):
        self.data, self.file, self.lines, self.path, self.place = data, file, text.splitlines(), path, place
        self.faults: list[InputError] = [] if faults is None else faults

    # The library does not say where a value stands: the line is looked for by table and name.
    def _where(self, name):
        inside, seen, own = "", 0, 0
        for number, line in enumerate(self.lines, 1):
            head = re.match(r"\s*(\[\[?)\s*([\w.-]+)\s*\]", line)
            if head:
                inside = head[2]
                seen += inside == self.path
                own = number if inside == self.path and seen - 1 == self.place else own
            elif inside != self.path or (self.path and seen - 1 != self.place):
                continue
            elif re.match(rf"\s*[\"']?{re.escape(name)}[\"']?\s*=", line):
                return Position(self.file, number, 1)
        return Position(self.file, own or 1, 1)

    def _fault(self, name, what, remedy, value=None):
        shown = f"{self.path}.{name}" if self.path else name
        self.faults.append(InputError(f"{shown} {what}", where=self._where(name), value=value, remedy=remedy))

    def text(
        self, name: str, default: str = "", *, required: bool = False, pattern: str = "", such_as: str = ""
    ) -> str:
        """A line of text."""
        value = self.data.get(name)
        if value is None:
            if required:
                self._fault(name, "is missing.", f'Write {name} = "...".')
            return default
        if not isinstance(value, str) or (required and not value.strip()) or len(value) > 500:
            self._fault(name, f"is {value!r:.60}, not a line of text.", f'Write {name} = "...".', value)
            return default
        if signs.first_odd(value) or "\n" in value:
            self._fault(name, "holds a control or invisible sign.", "Take it out.", value)
            return default
        if pattern and not re.fullmatch(pattern, value):
            self._fault(name, f"is {value!r}.", f'Write it like "{such_as}".', value)
            return default
        return value.strip()

    def choice(self, name: str, choices: tuple[str, ...], default: str | None = None) -> str:
        """One of the choices; the first where it is not said."""
        value = self.data.get(name, default or choices[0])
        if value not in choices or not isinstance(value, str):
            remedy = did_you_mean(value, choices) if isinstance(value, str) else ""
            self._fault(name, f"is {value!r:.60}.", remedy or f"Write one of {', '.join(choices)}.", value)
            return choices[0]
        return value

    def flag(self, name: str, default: bool) -> bool:
        """Yes or no."""
        value = self.data.get(name, default)
        if not isinstance(value, bool):
            self._fault(name, f"is {value!r:.60}.", "Write true or false, without quotes.", value)
            return default
        return value

    def number(self, name: str, default: float, low: float, high: float, *, whole: bool = False) -> float:
        """A number within bounds."""
        value = self.data.get(name, default)
        kinds = (int,) if whole else (int, float)
        if isinstance(value, bool) or not isinstance(value, kinds) or not low <= value <= high:
            kind = "a whole number" if whole else "a number"
            self._fault(name, f"is {value!r:.60}.", f"Write {kind} from {low} to {high}, without quotes.", value)
            return default
        return value if whole else float(value)

    def texts(self, name: str, choices: tuple[str, ...] = (), *, pattern: str = "", such_as: str = "") -> list[str]:
        """Some of the choices, or texts like the ``pattern``; at least one."""
        value = self.data.get(name)

        def fits(member):
            return isinstance(member, str) and (bool(re.fullmatch(pattern, member)) if pattern else member in choices)

        if not isinstance(value, list) or not value or not all(map(fits, value)):
            such = ", ".join(f'"{choice}"' for choice in choices or (such_as,))
            self._fault(
                name, "is missing." if value is None else f"is {value!r:.60}.", f"Write some of [{such}].", value
            )
            return []
        return list(dict.fromkeys(value))

    def table(self, name: str) -> "_Table":
        """A table within this one, empty where there is none."""
        value = self.data.get(name, {})
        if not isinstance(value, dict):
            self._fault(name, f"is {value!r:.60}.", f"Write it as a table: [{name}].", value)
            value = {}
        return _Table(value, self.file, "\n".join(self.lines), name, self.faults)

    def tables(self, name: str) -> "list[_Table]":
        """Every table of a list of them."""
        value = self.data.get(name, [])
        if not isinstance(value, list) or not all(isinstance(member, dict) for member in value):
            self._fault(name, f"is {value!r:.60}.", f"Write each as a table: [[{name}]].", value)
            value = []
        text = "\n".join(self.lines)
        return [_Table(member, self.file, text, name, self.faults, place) for place, member in enumerate(value)]

    def known(self, names: tuple[str, ...]) -> None:
        """Whatever else is here is a fault."""
        for name in self.data:
            if name not in names:
                remedy = did_you_mean(name, names) or f"There are {', '.join(names)}."
                self._fault(name, "is nothing a shop has.", remedy, name)

    def finish(self, names: tuple[str, ...]) -> None:
        """Raise ErrorList where there is any fault, `known` included."""
        self.known(names)
        if self.faults:
            raise ErrorList(sorted(self.faults, key=lambda fault: fault.where.line if fault.where else 0))


# --- writing it ------------------------------------------------------------------------------------------------------


def written(data: Mapping[str, Any], head: str = "") -> str:
    """Data of texts, numbers, flags, lists of texts, tables and lists of tables as TOML.

    >>> print(written({"name": "Shop", "tax": {"percent": 19.0}}), end="")
    name = "Shop"
    <BLANKLINE>
    [tax]
    percent = 19.0
    """
    lines = [f"# {line}".rstrip() for line in head.splitlines()] + ([""] if head else [])
    plain = {key: value for key, value in data.items() if not _is_table(value)}
    lines += _pairs(plain)
    for key, value in data.items():
        if _is_table(value):
            for member in value if isinstance(value, (list, tuple)) else (value,):
                lines += ["", f"[[{key}]]" if isinstance(value, (list, tuple)) else f"[{key}]", *_pairs(member)]
    return "\n".join(lines).strip("\n") + "\n"


def _is_table(value):
    return isinstance(value, dict) or (isinstance(value, (list, tuple)) and bool(value) and isinstance(value[0], dict))


def _pairs(data):
    return [f"{key} = {_scalar(value)}" for key, value in data.items()]


def _scalar(value):
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(_scalar(member) for member in value)}]"
    text = "".join(
        {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r"}.get(sign)
        or (sign if sign.isprintable() else f"\\u{ord(sign):04x}" if ord(sign) < 0x10000 else f"\\U{ord(sign):08x}")
        for sign in value
    )
    return f'"{text}"'
