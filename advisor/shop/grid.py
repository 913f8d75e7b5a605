"""A spreadsheet as rows of cells, whatever program saved it: CSV, TSV or XLSX; within limits that hold while reading.

Nothing in a file is run or worked out: a formula is told with its place and refused, and so are macros, links to
other files and entities. Text that is not UTF-8 is read by the encoding charset-normalizer finds, and that is said.
"""

import csv
import datetime
import io
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from ..errors import AdvisorError, ErrorList, InputError, Position, StoreError
from ..knowledge import canonical, disk, signs

#: Bytes of the largest file, and of everything packed in an XLSX once unpacked; rows, columns and letters of a cell.
LARGEST, UNPACKED, ROWS, COLUMNS, LETTERS = 20_000_000, 200_000_000, 200_000, 256, 2_000
#: Files packed in an XLSX.
MEMBERS = 2_000
#: Formulas named one by one; the rest is counted.
NAMED = 20
_DELIMITERS = (";", "\t", ",", "|")
_ZIP, _OLD = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"


@dataclass(frozen=True, slots=True)
class Cell:
    """Text of a cell; ``exact``: a number as the spreadsheet itself holds it, its decimal mark a point."""

    text: str
    exact: bool = False


EMPTY = Cell("")


@dataclass(frozen=True, slots=True)
class Grid:
    """``rows``: pairs (row number as the spreadsheet counts, cells), blank rows left out; ``said``: how it was read;
    ``sha256``: hex, of the file's bytes.
    """

    name: str
    rows: tuple[tuple[int, tuple[Cell, ...]], ...]
    said: tuple[str, ...] = field(default=())
    sha256: str = ""


def read(path: str | Path, sheet: str | None = None, limit: int = LARGEST) -> Grid:
    """The grid of a file; ``sheet``: name of the sheet in a file of several.

    StoreError where it cannot be read, InputError or ErrorList where it is not what a spreadsheet should be.
    """
    data = disk.read_or_tell(path, limit)
    name = str(path)
    if not data.strip():
        raise InputError("the file is empty.", where=Position(name), remedy="Name the right file.")
    if data.startswith(_OLD):
        raise InputError(
            "this is a spreadsheet of the old binary kind, or one that is locked.",
            where=Position(name),
            remedy="Save it as XLSX without a password, or as CSV.",
        )
    if data.startswith(_ZIP):
        grid = _xlsx(data, name, sheet)
    elif sheet:
        raise InputError("a text file has no sheets.", where=Position(name), remedy="Leave --sheet out.")
    else:
        grid = _text(data, name)
    return replace(grid, sha256=canonical.digest(data))


# --- text ------------------------------------------------------------------------------------------------------------


def _text(data, name):
    text, said = _decoded(data, name)
    if "\0" in text:
        raise InputError("the file holds NUL signs.", where=Position(name), remedy="Save it as CSV in UTF-8.")
    delimiter = _delimiter(text)
    rows = _limited(_csv_rows(text, delimiter, name), name)
    shown = {"\t": "tab", ";": "semicolon", ",": "comma", "|": "bar"}[delimiter]
    return Grid(name, rows, (*said, f"Cells are parted by a {shown}."))


def _decoded(data, name):
    for mark, encoding in ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if data.startswith(mark):
            try:
                return data.decode(encoding), ()
            except UnicodeDecodeError:
                break
    try:
        return data.decode("utf-8"), ()
    except UnicodeDecodeError:
        pass
    try:
        from charset_normalizer import from_bytes
    except ImportError:
        raise StoreError(
            "the text is not UTF-8, and charset-normalizer, which finds other encodings, is not installed.",
            where=Position(name),
            remedy='Save it as CSV in UTF-8, or: pip install "least-clutch[spreadsheets]".',
        ) from None

    # Only what spreadsheets write: a guess among all there is would be a guess.
    usual = ["cp1252", "cp1250", "cp1251", "cp1253", "cp1254", "mac_roman", "utf_16_le", "utf_16_be", "shift_jis"]
    best = from_bytes(data[:500_000], cp_isolation=usual).best()
    if best is None:
        raise InputError(
            "no encoding fits the text of the file.", where=Position(name), remedy="Save it as CSV in UTF-8."
        )
    try:
        text = data.decode(best.encoding)
    except UnicodeDecodeError as fault:
        line = data[: fault.start].count(b"\n") + 1
        raise InputError(
            f"the text is not all {best.encoding}.", where=Position(name, line, 1), remedy="Save it as CSV in UTF-8."
        ) from None
    return text, (f"The text is not UTF-8; it was read as {best.encoding}.",)


def _delimiter(text):
    """The one that parts most lines of the beginning alike."""
    lines = [line for line in text[:100_000].splitlines()[:60] if line.strip()]
    best, worth = ",", (0, 0)
    for delimiter in _DELIMITERS:
        counts = [len(cells) for cells in csv.reader(lines, delimiter=delimiter)] if lines else []
        wide = [count for count in counts if count > 1]
        if wide:
            usual = max(set(wide), key=lambda count: (wide.count(count), count))
            worthy = (wide.count(usual) * (usual - 1), usual)
            if worthy > worth:
                best, worth = delimiter, worthy
    return best


def _csv_rows(text, delimiter, name) -> Iterator[tuple[int, list[Cell]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=False)
    start = 1
    try:
        for cells in reader:
            yield start, [Cell(signs.from_cell(cell.strip())) for cell in cells]
            start = reader.line_num + 1
    except csv.Error as fault:
        raise InputError(
            f"the text cannot be parted into cells: {fault}.",
            where=Position(name, reader.line_num, 1),
            remedy="Look for a quotation mark that is not closed.",
        ) from None


def _limited(rows: Iterable[tuple[int, list[Cell]]], name: str) -> tuple[tuple[int, tuple[Cell, ...]], ...]:
    """Rows with something in them, empty cells at their ends cut off; refused as soon as a limit is passed."""
    kept: list[tuple[int, tuple[Cell, ...]]] = []
    formulas: list[AdvisorError] = []
    many = 0
    for seen, (number, cells) in enumerate(rows, 1):
        if seen > ROWS:
            raise InputError(
                f"there are more than {ROWS} rows.", where=Position(name, number), remedy="Split the file."
            )
        while cells and not cells[-1].text:
            cells.pop()
        if len(cells) > COLUMNS:
            raise InputError(
                f"the row has more than {COLUMNS} columns.",
                where=Position(name, number, COLUMNS + 1),
                remedy="Take out what does not belong to the list.",
            )
        for column, cell in enumerate(cells, 1):
            if len(cell.text) > LETTERS:
                raise InputError(
                    f"the cell holds more than {LETTERS} letters.",
                    where=Position(name, number, column),
                    remedy="Look for a quotation mark that is not closed, or shorten the text.",
                )
            if cell.text[:1] in "=@" and len(cell.text) > 1:
                many += 1
                if len(formulas) < NAMED:
                    formulas.append(_formula(cell.text, Position(name, number, column)))
        if cells:
            kept.append((number, tuple(cells)))
    if formulas:
        if many > len(formulas):
            formulas.append(InputError(f"and {many - len(formulas)} formulas more.", where=Position(name)))
        raise ErrorList(formulas)
    if not kept:
        raise InputError("there is nothing in the file.", where=Position(name), remedy="Name the right file.")
    return tuple(kept)


def _formula(text, place) -> AdvisorError:
    return InputError(
        f"the cell holds a formula ({signs.line(text)[:40]}), which is not worked out here.",
        where=place,
        value=text[:80],
        remedy="Copy the column and paste it as values.",
    )


# --- XLSX ------------------------------------------------------------------------------------------------------------


def _xlsx(data, name, sheet):
    _harmless(data, name)
    try:
        import openpyxl
    except ImportError:
        raise StoreError(
            "reading XLSX needs the library openpyxl, which is not installed.",
            where=Position(name),
            remedy='Install it with: pip install "least-clutch[spreadsheets]". Or save the file as CSV.',
        ) from None
    try:
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=False, keep_links=False)
        names = [worksheet.title for worksheet in book.worksheets if worksheet.sheet_state == "visible"]
        chosen, said = _sheet(names, sheet, name)
        page = book[chosen]
        page.reset_dimensions()  # what the file says of its own size is not believed
        return Grid(name, _limited(_sheet_rows(page, name), name), said)
    except AdvisorError:
        raise
    except Exception as fault:  # whatever the library makes of a file that is none
        raise InputError(
            f"the file is not a whole XLSX ({type(fault).__name__}).",
            where=Position(name),
            remedy="Open it in a spreadsheet program and save it again, or save it as CSV.",
        ) from None


def _harmless(data, name):
    """Refuse what unpacks to too much, and whatever could do something."""
    where = Position(name)
    try:
        packed = zipfile.ZipFile(io.BytesIO(data))
        members = packed.infolist()
    except Exception:  # a damaged archive brings up errors of zipfile, of every unpacker and of parting bytes
        raise InputError("the file is not a whole XLSX.", where=where, remedy="Save it again, or as CSV.") from None
    names = [member.filename.lower() for member in members]
    if len(members) > MEMBERS or len(set(names)) < len(names):
        raise InputError(
            "there is too much packed in the file, or the same thing twice.", where=where, remedy="Save it as CSV."
        )
    if any(
        "vbaproject" in name or (name.endswith((".bin", ".vbs")) and "printersettings" not in name) for name in names
    ):
        raise InputError(
            "the file holds macros, which are never run here.", where=where, remedy="Save it as XLSX without macros."
        )
    if any("externallink" in name or "/embeddings/" in name or "connections.xml" in name for name in names):
        raise InputError(
            "the file draws on other files or sources.", where=where, remedy="Paste the list as values into a new file."
        )
    if "xl/workbook.xml" not in names:
        raise InputError("this is a packed file, but no XLSX.", where=where, remedy="Name the spreadsheet itself.")
    if sum(member.file_size for member in members) > UNPACKED:
        raise _bomb(where)
    left = UNPACKED
    for member in members:
        if member.flag_bits & 1:
            raise InputError("the file is locked by a password.", where=where, remedy="Save it without one.")
        left = _looked_through(packed, member, left, where)


def _looked_through(packed, member, left, where):
    """Unpack one member piece by piece; bytes still allowed. What is stated of its size is not believed."""
    text = member.filename.lower().endswith((".xml", ".rels"))
    before = b""
    try:
        with packed.open(member) as stream:
            while piece := stream.read(1 << 16):
                left -= len(piece)
                if left < 0:
                    raise _bomb(where)
                if text:
                    if not before and not piece.lstrip(b"\xef\xbb\xbf \r\n\t").startswith(b"<"):
                        raise InputError(
                            "a part of the file is not XML in UTF-8.", where=where, remedy="Save it again."
                        )
                    if b"<!DOCTYPE" in (seen := before[-16:] + piece) or b"<!ENTITY" in seen:
                        raise InputError(
                            "the file defines entities, which no spreadsheet needs.",
                            where=where,
                            remedy="Save it as CSV.",
                        )
                before = piece
    except AdvisorError:
        raise
    except Exception as fault:  # as above
        raise InputError(
            f"the file is damaged ({type(fault).__name__}).", where=where, remedy="Save it again, or as CSV."
        ) from None
    return left


def _bomb(where):
    return InputError(
        f"the file unpacks to more than {UNPACKED // 1_000_000} MB.",
        where=where,
        remedy="Paste the list alone into a new file.",
    )


def _sheet(names, wanted, file):
    if wanted:
        if wanted not in names:
            raise InputError(
                f"there is no sheet {wanted!r}.", where=Position(file), remedy=f"There are {', '.join(names)}."
            )
        return wanted, (f"Read from the sheet {wanted}.",)
    if not names:
        raise InputError(
            "no sheet of the file is visible.", where=Position(file), remedy="Show the sheet, and save it."
        )
    if len(names) > 1:
        return names[0], (f"Read from the first sheet, {names[0]}; --sheet names another of {', '.join(names[1:])}.",)
    return names[0], ()


def _sheet_rows(page, name) -> Iterator[tuple[int, list[Cell]]]:
    for number, row in enumerate(page.iter_rows(), 1):
        yield number, [_cell(cell, name) for cell in row]


def _cell(raw, name):
    value = raw.value
    if value is None:
        return EMPTY
    if isinstance(value, bool):
        return Cell("yes" if value else "no")
    if isinstance(value, int):
        return Cell(str(value), exact=True)
    if isinstance(value, float):
        # As the program that saved it shows it: fifteen digits, beyond which binary fractions end in noise.
        short = f"{value:.15g}"
        return Cell(short if "e" not in short else f"{value:.12f}".rstrip("0").rstrip("."), exact=True)
    if isinstance(value, (datetime.datetime, datetime.date, datetime.time, datetime.timedelta)):
        return Cell(f"{value} (a date)")
    if isinstance(value, str):
        return Cell(value.strip())
    # Formulas of several cells come as objects of their own.
    return Cell(f"={getattr(value, 'text', type(value).__name__)}")
