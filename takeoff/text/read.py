"""Read the table in a text file or in the first sheet of an .xlsx, as text, without guessing types."""

from __future__ import annotations

import codecs
import csv
import datetime as dt
import hashlib
import io
import re
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from takeoff.text.problems import InputError, Problem, fail, visible

MAX_BYTES = 100_000_000
"""Larger files are refused before they are read: no schedule of one job comes near."""

MAX_ROWS = 150_000
"""Six plans of this many boxes fill a worksheet, whose limit is 1,048,576 rows."""

_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"
WORKBOOK = b"PK\x03\x04"
"""First bytes of an .xlsx."""


@dataclass(frozen=True)
class RawTable:
    """A table as text: the header, and each row with the number a spreadsheet program shows for it.

    `sha256` is that of the bytes read; `problems` are entries of a workbook that are no text.
    """

    file: str
    header: list[str]
    rows: list[tuple[int, list[str]]]
    header_row: int = 1
    sha256: str = ""
    problems: tuple[Problem, ...] = ()


Rows = list[tuple[int, list[str]]]
Odd = list[tuple[int, int, str, str, str]]
"""Entries of a workbook that are no text: row, place in the row, value, what is wrong, what is accepted."""


def read_table(path: Path, row_for: str = "each box") -> RawTable:
    """Read a table from a CSV-like text file or from the first sheet of an .xlsx.

    Parameters
    ----------
    path
        UTF-8 or UTF-16 text with commas, semicolons or tabs, or a workbook.
    row_for
        What each row stands for, said where the file is empty.

    Raises
    ------
    InputError
        One sentence: missing, a folder, unreadable, too large, empty, not text, wrong encoding,
        a quote that never ends, or too many rows.
    """
    return parse_table(visible(path.name), read_bytes(path), row_for)


def parse_table(name: str, data: bytes, row_for: str = "each box") -> RawTable:
    """Return the table in the bytes of a file; see read_table."""
    odd: Odd = []
    if data.startswith(_OLD_WORKBOOK):
        raise fail(
            name,
            "is a workbook of the old binary kind, or has a password",
            "save it as .xlsx without one, or as CSV UTF-8",
        )
    is_workbook = data.startswith(WORKBOOK)
    rows = _sheet_rows(name, data, odd) if is_workbook else _text_rows(name, data)
    if not rows:
        raise fail(name, "is empty", f"a header row and one row for {row_for}")
    (header_row, header), *rest = rows
    titles = {place: title.strip() for place, title in enumerate(header)}
    problems = tuple(Problem(name, row, titles.get(place) or f"column {place + 1}", *said) for row, place, *said in odd)
    return RawTable(name, header, rest, header_row, hashlib.sha256(data).hexdigest(), problems)


def read_bytes(path: Path) -> bytes:
    """Return the content of a file, or raise InputError with one sentence saying why not."""
    shown = visible(str(path))
    try:
        if path.is_dir():
            raise fail(shown, "is a folder, not a file", "give the path of a CSV or .xlsx file")
        size = path.stat().st_size
        data = b"" if size > MAX_BYTES else path.read_bytes()
        if max(size, len(data)) > MAX_BYTES:
            raise fail(
                visible(path.name), f"is {size / 1e6:.0f} MB, more than {MAX_BYTES // 1_000_000} MB", "split the job"
            )
        return data
    except FileNotFoundError:
        raise fail(shown, "does not exist", "check the path and the spelling") from None
    except PermissionError:
        raise fail(shown, "may not be read", "give yourself the right to read it") from None
    except OSError as reason:
        raise fail(shown, f"cannot be read ({reason.strerror})") from None


def decode(name: str, data: bytes) -> str:
    """Return the text of a file in UTF-8 or UTF-16, with or without its mark, or raise InputError."""
    encoding = next((e for mark, e in _BOMS if data.startswith(mark)), "utf-8")
    if encoding == "utf-8" and b"\x00" in data[:4096]:
        # UTF-16 without its mark shows as text with a zero in every second place
        head = data[: 4096 - len(data[:4096]) % 2]
        if head[1::2].count(0) > 0.8 * len(head) / 2:
            encoding = "utf-16-le"
        elif head[0::2].count(0) > 0.8 * len(head) / 2:
            encoding = "utf-16-be"
        else:
            raise fail(name, "is not a text file", "give a CSV file in UTF-8, or an .xlsx")
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as reason:
        line = data[: reason.start].count(b"\n") + 1
        raise fail(
            name,
            f"is not in {encoding.upper().removesuffix('-SIG')}: byte {reason.start + 1} on line {line} does not fit",
            "save it as CSV UTF-8",
        ) from None


def _text_rows(name: str, data: bytes) -> Rows:
    text = decode(name, data)
    mark = re.match(r"sep=(.)\r?\n", text, re.IGNORECASE)  # a first line that some programs write to name the delimiter
    skipped, delimiter = (1, mark[1]) if mark else (0, _delimiter(text))
    reader = csv.reader(io.StringIO(text[mark.end() :] if mark else text, newline=""), delimiter=delimiter, strict=True)
    rows: Rows = []
    try:
        for number, cells in enumerate(reader, start=1 + skipped):
            if any(c.strip() for c in cells):
                rows.append((number, cells))
            _check_count(name, rows)
    except csv.Error as reason:
        raise fail(
            name, f"row {len(rows) + 1} or later has a quote that does not end properly ({reason})", "close the quote"
        ) from None
    return rows


def _delimiter(text: str) -> str:
    first = next((line for line in text.splitlines() if line.strip()), "")
    bare = re.sub(r'"[^"]*"', "", first)
    return max(",;\t", key=bare.count)


def _check_count(name: str, rows: Rows) -> None:
    if len(rows) > MAX_ROWS + 1:
        raise fail(name, f"has more than {MAX_ROWS:,} rows", "split the job, for example by panel")


def _sheet_rows(name: str, data: bytes, odd: Odd) -> Rows:
    """Return the rows of the first sheet as texts; what is no text there is added to `odd`."""
    import openpyxl
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        sheets = [
            openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=values).worksheets[0]
            for values in (True, False)
        ]
        for sheet in sheets:
            sheet.reset_dimensions()  # the extent that a file claims may be wrong
        rows: Rows = []
        for number, (shown, typed) in enumerate(zip(*(s.iter_rows() for s in sheets), strict=True), start=1):
            texts = [_cell_text(number, n, *pair, odd) for n, pair in enumerate(zip(shown, typed, strict=True))]
            if any(t.strip() for t in texts):
                rows.append((number, texts))
            _check_count(name, rows)
        return rows
    except InputError:
        raise
    except (InvalidFileException, zipfile.BadZipFile, zlib.error, ElementTree.ParseError, LookupError, ValueError,
            TypeError, AttributeError, OSError, EOFError, RuntimeError):  # fmt: skip
        # the ways in which a damaged or protected archive fails are many, and all mean the same to the user
        raise fail(name, "is not a workbook that can be read", "give an .xlsx whose first sheet is the table") from None


def _cell_text(row: int, place: int, shown: Any, typed: Any, odd: Odd) -> str:
    value = shown.value
    if value is None and typed.value is not None:
        odd.append(
            (row, place, str(typed.value), "is a formula without a value:", "open and save the file, or type the value")
        )
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.date | dt.time | dt.timedelta):
        odd.append((row, place, str(value), "is a date or time:", "format the column as text and type the entry again"))
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)
