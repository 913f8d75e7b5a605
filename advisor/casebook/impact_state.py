"""What an impact run has found so far, in a file beside the cache, so that a stopped run goes on where it was.

It holds nothing that cannot be worked out again; the casebook itself is only read. Results are kept by the digest of
the decision they are about, so new cases add to an earlier run instead of starting it over.
"""

import dataclasses
import json
import sqlite3
import zlib
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from ..errors import Position, StoreError
from ..knowledge.cache import folder as cache_folder

if TYPE_CHECKING:
    from ..knowledge.model import Value
    from .rule_changes import RuleChange

UNCHANGED, REASONS, PICK, NO_KIT, ASKS, LOST = (
    "unchanged",
    "same pick, other reasons",
    "other pick",
    "newly no kit",
    "newly needs an answer",
    "cannot be replayed",
)
CLASSES = (UNCHANGED, REASONS, PICK, NO_KIT, ASKS, LOST)
KEPT_RUNS = 4


@dataclass
class Result:
    """What the new rules would have told in one stored case: a row of the run's file.

    ``digest``: of the decision it is about. ``set_up``: only parts, steps or cautions differ. ``program``: the stored
    rules give it too, so the program made the difference. Prices in ``currency``, margins as ratios; None where there
    is none. ``in_play``: names of the changes that came into play. ``why``: of a case that cannot be replayed.
    ``sides``: both decisions and their difference, where they differ. ``sold``: the kit sold and not returned, on the
    day ``sold_on``; ``ring``: the safety musts that it fails under the new rules, as `ringing.reasons` has them.
    """

    digest: str
    number: int
    kind: str
    currency: str | None = None
    set_up: bool = False
    program: bool = False
    price_old: float | None = None
    price_new: float | None = None
    margin_old: float | None = None
    margin_new: float | None = None
    in_play: list[str] = field(default_factory=list)
    why: str = ""
    sides: dict | None = None
    sold: str | None = None
    sold_on: str | None = None
    ring: dict = field(default_factory=dict)

    def plain(self) -> dict:
        """As JSON data."""
        data = dataclasses.asdict(self)
        return data | {"class": data.pop("kind"), "decision": data.pop("digest")}

    def row(self) -> list:
        """Values in the order of the fields, as they are stored."""
        stored = {
            "set_up": int(self.set_up),
            "program": int(self.program),
            "in_play": json.dumps(self.in_play),
            "sides": pack(self.sides),
            "ring": json.dumps(self.ring),
        }
        return [stored.get(name, getattr(self, name)) for name in COLUMNS]

    @classmethod
    def of_row(cls, row: Iterable) -> "Result":
        """The result of a stored row."""
        stored = dict(zip(COLUMNS, row))
        stored["in_play"], stored["sides"] = json.loads(stored["in_play"]), unpack(stored["sides"])
        stored["ring"] = json.loads(stored["ring"])
        return cls(**stored | {name: bool(stored[name]) for name in ("set_up", "program")})


COLUMNS = tuple(field.name for field in dataclasses.fields(Result))
_TABLES = """
CREATE TABLE IF NOT EXISTS result (
    digest TEXT PRIMARY KEY, number INTEGER, kind TEXT, currency TEXT, set_up INTEGER, program INTEGER,
    price_old REAL, price_new REAL, margin_old REAL, margin_new REAL, in_play TEXT, why TEXT, sides BLOB,
    sold TEXT, sold_on TEXT, ring TEXT
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS change (
    rules TEXT, kind TEXT, id TEXT, how TEXT, PRIMARY KEY (rules, kind, id)
) WITHOUT ROWID;
CREATE TEMP TABLE chosen (digest TEXT PRIMARY KEY, number INTEGER) WITHOUT ROWID;
"""


class ImpactResults:
    """Results of one run. ``key`` names the new rules, the program and the casebook; ``fresh`` forgets earlier ones."""

    def __init__(self, key: str, *, fresh: bool = False) -> None:
        folder = cache_folder()
        self.path = folder / f"impact-{key[:32]}.sqlite"
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            for old in sorted(folder.glob("impact-*.sqlite"), key=lambda path: path.stat().st_mtime)[:-KEPT_RUNS]:
                old.unlink(missing_ok=True)
            if fresh:
                self.path.unlink(missing_ok=True)
            self.connection = self._open()
        except (OSError, sqlite3.Error) as error:
            raise StoreError(
                f"the results of an impact run cannot be kept: {error}.",
                where=Position(str(self.path)),
                remedy="Make the cache folder writable, or set XDG_CACHE_HOME to one that is.",
            ) from error

    def _open(self):
        try:
            return self._connected()
        except sqlite3.OperationalError:
            raise
        except sqlite3.DatabaseError:
            self.path.unlink(missing_ok=True)  # damaged: nothing in it is worth mending
            return self._connected()

    def _connected(self):
        connection = sqlite3.connect(self.path, isolation_level=None, timeout=60.0)
        try:
            connection.executescript(_TABLES)
        except sqlite3.DatabaseError:
            connection.close()
            raise
        return connection

    def close(self) -> None:
        """Close the file."""
        self.connection.close()

    def choose(self, decisions: Iterable[tuple[str, int]]) -> None:
        """Note which decisions this run is about: pairs (digest, case number)."""
        with self.connection:
            self.connection.execute("BEGIN")
            self.connection.execute("DELETE FROM chosen")
            self.connection.executemany("INSERT INTO chosen VALUES (?, ?)", decisions)

    def done(self) -> set[str]:
        """Digests of the chosen decisions that have a result."""
        return {row[0] for row in self.connection.execute("SELECT digest FROM chosen JOIN result USING (digest)")}

    def add(self, results: Iterable[Result]) -> None:
        """Keep results in one transaction."""
        with self.connection:
            self.connection.execute("BEGIN")
            self.connection.executemany(
                f"INSERT OR REPLACE INTO result ({', '.join(COLUMNS)}) VALUES ({', '.join('?' * len(COLUMNS))})",
                [result.row() for result in results],
            )

    def note_changes(self, rules: str, rule_changes: "Iterable[RuleChange]") -> None:
        """Keep the `RuleChange`s from the stored rules of that hash to the new ones."""
        with self.connection:
            self.connection.execute("BEGIN")
            self.connection.executemany(
                "INSERT OR REPLACE INTO change VALUES (?, ?, ?, ?)",
                [(rules, rule_change.kind, rule_change.id, rule_change.how) for rule_change in rule_changes],
            )

    # --- what comes of it; memory does not grow with the cases

    def counts(self) -> dict[str, dict[str, int | dict[str, Any] | None]]:
        """Class -> {cases, set_up, program, prices, margins}: how many, and the differences old to new."""
        by_class = {}
        sql = (
            "SELECT kind, count(*), sum(set_up), sum(program), count(price_new - price_old),"
            " avg(price_new - price_old), min(price_new - price_old), max(price_new - price_old),"
            " avg(margin_new - margin_old), min(margin_new - margin_old),"
            " max(margin_new - margin_old) FROM chosen JOIN result USING (digest) GROUP BY kind"
        )
        for name, cases, set_up, program, priced, *spread in self.connection.execute(sql):
            price, margin = spread[:3], spread[3:]
            by_class[name] = {
                "cases": cases,
                "other_set_up": set_up,
                "program_alone": program,
                "priced": priced,
                "price_difference": dict(zip(("mean", "least", "most"), price)) if priced else None,
                "margin_difference": dict(zip(("mean", "least", "most"), margin)) if margin[0] is not None else None,
            }
        return by_class

    def changes(self, rules: set[str]) -> "list[dict[str, Value]]":
        """[{kind, id, how, cases}]: every change from any of the stored rule sets, and how many cases it came into."""
        marks = ", ".join("?" * len(rules))
        played = dict(
            self.connection.execute(
                "SELECT value, count(*) FROM chosen JOIN result USING (digest), json_each(in_play) GROUP BY value"
            )
        )
        sql = (
            f"SELECT kind, id, group_concat(DISTINCT how) FROM change WHERE rules IN ({marks})"
            " GROUP BY kind, id ORDER BY kind, id"
        )
        return [
            {"kind": kind, "id": name, "how": how.replace(",", " or "), "cases": played.get(f"{kind} {name}", 0)}
            for kind, name, how in self.connection.execute(sql, sorted(rules))
        ]

    def results(
        self, classes: Collection[str] = CLASSES, limit: int = -1, numbers: Collection[int] | None = None
    ) -> Iterator[Result]:
        """Results of some classes, the largest price difference first."""
        marks = ", ".join("?" * len(classes))
        only = "" if numbers is None else f"AND result.number IN ({', '.join(str(int(number)) for number in numbers)})"
        sql = (
            f"SELECT {', '.join(COLUMNS)} FROM (SELECT result.* FROM chosen JOIN result USING (digest)) AS result"
            f" WHERE kind IN ({marks}) {only} ORDER BY abs(coalesce(price_new - price_old, 0)) DESC, number LIMIT ?"
        )
        for row in self.connection.execute(sql, (*classes, limit)):
            yield Result.of_row(row)

    def to_ring(self) -> Iterator[Result]:
        """Results of cases whose clutch fails a safety must under the new rules, the last sold first."""
        sql = (
            f"SELECT {', '.join(COLUMNS)} FROM (SELECT result.* FROM chosen JOIN result USING (digest))"
            " WHERE ring <> '{}' ORDER BY sold_on DESC, number DESC"
        )
        for row in self.connection.execute(sql):
            yield Result.of_row(row)


def pack(data: Mapping[str, Any] | None) -> bytes | None:
    """JSON data as compressed bytes, None as None."""
    return None if data is None else zlib.compress(json.dumps(data, ensure_ascii=False).encode())


def unpack(body: bytes | None) -> dict[str, Any] | None:
    """The data of `pack`."""
    return None if body is None else json.loads(zlib.decompress(body))
