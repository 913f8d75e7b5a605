"""Which column of a list is which field: by its name, by the trade's words for it, or near one of them.

What is only near is never taken without being confirmed; what was confirmed stands in the supplier's mapping.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from ..errors import InputError, KnowledgeError
from ..knowledge import shapes, strict_yaml
from ..knowledge.model import KitField, Knowledge
from ..knowledge.records import record_fields
from ..knowledge.sources import default_folder
from ..knowledge.units import UNITS, find
from .grid import Cell

#: How alike, of 100, a heading must be to one of the words before it is worth a question.
NEAR = 82
_UNITS = tuple(
    map(
        re.compile,
        (r"[\[(]\s*([^\])]+?)\s*[\])]\s*$", r"\s+(?:in|IN)\s+(\S+)\s*$", r"[/,]\s*(\S+)\s*$", r"\s(\S+)\s*$"),
    )
)


def folded(text: object) -> str:
    """A heading or word as it is compared: its letters and digits, small, parted by single blanks."""
    plain = unicodedata.normalize("NFKC", str(text)).casefold().replace("ß", "ss")
    return " ".join(re.findall(r"[^\W_]+|ø", plain))


@dataclass(frozen=True, slots=True)
class TradeWords:
    """``columns``: kind -> folded word -> path; ``values``: path -> folded word -> choice; words of totals, blanks."""

    columns: Mapping[str, Mapping[str, str]]
    values: Mapping[str, Mapping[str, str]]
    totals: frozenset[str]
    blank: frozenset[str]

    def columns_of(self, kind: str) -> list[str]:
        """The fields that lists of a kind usually have, in the order of the file."""
        return list(dict.fromkeys(self.columns[kind].values()))


@cache
def trade_words(folder: Path | None = None) -> TradeWords:
    """The words of ``columns.yaml`` of a rules folder, else of the shipped one. KnowledgeError where it is at fault."""
    path = (folder or default_folder("rules")) / "columns.yaml"
    if not path.is_file():
        path = default_folder("rules") / "columns.yaml"
    root = strict_yaml.load(path, error=KnowledgeError)
    shapes.check(root, "columns", KnowledgeError)
    plain = root.plain()

    def by_word(fields, what):
        words: dict[str, str] = {}
        for name, said in fields.items():
            for word in (name, *said):
                first = words.setdefault(folded(word), name)
                if first != name and word != name:
                    raise KnowledgeError(
                        f"{what}: {word!r} stands for {first} and for {name}.",
                        where=root.position,
                        remedy="Take it out of one of the two.",
                    )
        return words

    return TradeWords(
        {kind: by_word(fields, kind) for kind, fields in plain["columns"].items()},
        {path: by_word(choices, path) for path, choices in plain["values"].items()},
        frozenset(map(folded, plain["totals"])),
        frozenset(str(word).strip().casefold() for word in plain["blank"]),
    )


@dataclass(frozen=True, slots=True)
class ListColumn:
    """A column of a list. ``path``: the field, empty where it is none; ``unit``: what its bare numbers are in.

    ``how``: name, words, said (by the mapping), left_out, near (``path`` is only near, and asked) or unknown.
    """

    place: int
    heading: str
    path: str
    unit: str = ""
    how: str = "name"

    @property
    def letter(self) -> str:
        """As spreadsheets name it: A, B, ... AA."""
        letters, number = "", self.place
        while number:
            number, rest = divmod(number - 1, 26)
            letters = chr(65 + rest) + letters
        return letters

    @property
    def counts(self) -> bool:
        """Is it read?"""
        return self.how in ("name", "words", "said")


def names(kind: str, knowledge: Knowledge, words: TradeWords) -> dict[str, str]:
    """Folded heading -> path of everything a record of this kind may hold."""
    paths: dict[str, str] = {}
    fields = record_fields(kind, knowledge)
    for path, field in fields.items():
        paths.setdefault(folded(path), path)
        paths.setdefault(folded(field.name), path)
    for word, path in words.columns[kind].items():
        paths.setdefault(word, path)
    for path, field in fields.items():
        paths.setdefault(folded(field.label), path)
    return paths


def unit_in(heading: str) -> tuple[str, str]:
    """(heading without its unit, the unit), the unit empty where there is none.

    >>> unit_in("Clamp load [N]"), unit_in("Durchmesser in mm"), unit_in("Price")
    (('Clamp load', 'N'), ('Durchmesser', 'mm'), ('Price', ''))
    """
    for pattern in _UNITS:
        match = pattern.search(heading.strip())
        if match:
            unit = find(match[1].strip("."))
            bare = heading.strip()[: match.start()].strip()
            if unit is not None and bare and unit.name != "1":
                return bare, unit.name
    return heading.strip(), ""


def head_row(rows: Sequence[tuple[int, tuple[Cell, ...]]], known: Mapping[str, str], said: Iterable[str]) -> int:
    """The index of the row that names the columns: of the first thirty the one most of whose cells are names.

    InputError where no row names two.
    """
    mine = {folded(answer) for answer in said}
    best, most = -1, 0
    for index, (_, cells) in enumerate(rows[:30]):
        texts = [cell.text for cell in cells if cell.text and not cell.exact]
        hits = sum(
            folded(text) in mine or folded(text) in known or folded(unit_in(text)[0]) in known for text in set(texts)
        )
        if hits > most:
            best, most = index, hits
    if most < 2:
        raise InputError(
            "no row of the first thirty names the columns.",
            remedy="Write the names of the columns in the first row: id, title, price and so on.",
        )
    return best


def matched(
    headings: Sequence[Cell],
    kind: str,
    knowledge: Knowledge,
    words: TradeWords,
    said: Mapping[str, str],
    left_out: Iterable[str],
    units: Mapping[str, str],
) -> list[ListColumn]:
    """A `ListColumn` for every heading; ``said``: heading -> path, ``units``: heading -> unit."""
    known = names(kind, knowledge, words)
    fields = record_fields(kind, knowledge)
    out = {folded(heading) for heading in left_out}
    mine = {folded(heading): path for heading, path in said.items()}
    in_unit = {folded(heading): unit for heading, unit in units.items()}
    columns: list[ListColumn] = []
    for place, cell in enumerate(headings, 1):
        heading = cell.text
        if not heading:
            continue
        bare, unit = unit_in(heading)
        unit = in_unit.get(folded(heading), unit)
        columns.append(_one(place, heading, bare, unit, known, fields, mine, out))
    return columns


def _one(place, heading, bare, unit, known, fields, mine, out) -> ListColumn:
    whole, short = folded(heading), folded(bare)
    if whole in out:
        return ListColumn(place, heading, "", unit, "left_out")
    if whole in mine:
        return ListColumn(place, heading, mine[whole], unit, "said")
    # Two things are called ID: a number of the list, and a length.
    if short == "id" and unit and "inner_diameter" in fields:
        return ListColumn(place, heading, "inner_diameter", unit, "words")
    for name in (whole, short):
        path = known.get(name)
        if path and not (unit and _other_dimension(unit, fields.get(path))):
            return ListColumn(place, heading, path, unit, "name" if name == folded(path) else "words")
    near = _near(short, known)
    return ListColumn(place, heading, near, unit, "near" if near else "unknown")


def _other_dimension(unit: str, field: KitField | None) -> bool:
    """Whether a column in this unit cannot be this field."""
    if field is None or field.kind != "number" or field.unit in ("", "1"):
        return unit != "%"
    return UNITS[unit].dimension != UNITS[field.unit].dimension


def _near(short, known) -> str:
    from rapidfuzz import fuzz, process

    if len(short) < 3:
        return ""
    close = process.extract(
        short, [name for name in known if len(name) > 2], scorer=fuzz.ratio, score_cutoff=NEAR, limit=3
    )
    paths = {known[name] for name, _, _ in close}
    return paths.pop() if len(paths) == 1 else ""
