"""Read the table in a text file or in the first sheet of an .xlsx, as text, without guessing types."""

from __future__ import annotations

import codecs
import csv
import datetime as dt
import io
import re
import zipfile
from dataclasses import dataclass
from pathlib import Path

from takeoff.problems import InputError, fail

MAX_BYTES = 100_000_000
"""Larger files are refused before they are read: no schedule of one job comes near."""

MAX_ROWS = 150_000
"""Six constructions of this many boxes fill a worksheet, whose limit is 1,048,576 rows."""

_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"


@dataclass(frozen=True)
class RawTable:
    """A table as text: the header, and each row with the number a spreadsheet program shows for it."""

    file: str
    header: list[str]
    rows: list[tuple[int, list[str]]]


def read_table(path: Path) -> RawTable:
    """Read a table from a CSV-like text file or from the first sheet of an .xlsx.

    Parameters
    ----------
    path
        UTF-8 or UTF-16 text with commas, semicolons or tabs, or a workbook.

    Raises
    ------
    InputError
        One sentence: missing, a folder, unreadable, too large, empty, not text, wrong encoding,
        a quote that never ends, or too many rows.
    """
    data = read_bytes(path)
    if data.startswith(_OLD_WORKBOOK):
        raise fail(path.name, "is a workbook of the old binary kind", "save it as .xlsx or as CSV UTF-8")
    rows = _sheet_rows(path.name, data) if data.startswith(b"PK\x03\x04") else _text_rows(path.name, data)
    if not rows:
        raise fail(path.name, "is empty", "a header row and one row for each box")
    return RawTable(path.name, rows[0][1], rows[1:])


def read_bytes(path: Path) -> bytes:
    """Return the content of a file, or raise InputError with one sentence saying why not."""
    try:
        if path.is_dir():
            raise fail(str(path), "is a folder, not a file", "give the path of a CSV or .xlsx file")
        if path.stat().st_size > MAX_BYTES:
            megabytes = path.stat().st_size / 1e6
            raise fail(path.name, f"is {megabytes:.0f} MB, more than {MAX_BYTES // 1_000_000} MB", "split the job")
        return path.read_bytes()
    except FileNotFoundError:
        raise fail(str(path), "does not exist", "check the path and the spelling") from None
    except PermissionError:
        raise fail(str(path), "may not be read", "give yourself the right to read it") from None
    except OSError as reason:
        raise fail(str(path), f"cannot be read ({reason.strerror})") from None


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


def _text_rows(name: str, data: bytes) -> list[tuple[int, list[str]]]:
    text = decode(name, data)
    mark = re.match(r"sep=(.)\r?\n", text)  # a first line that some programs write to name the delimiter
    skipped, delimiter = (1, mark[1]) if mark else (0, _delimiter(text))
    reader = csv.reader(io.StringIO(text[mark.end() :] if mark else text, newline=""), delimiter=delimiter, strict=True)
    rows: list[tuple[int, list[str]]] = []
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


def _check_count(name: str, rows: list[tuple[int, list[str]]]) -> None:
    if len(rows) > MAX_ROWS + 1:
        raise fail(name, f"has more than {MAX_ROWS:,} rows", "split the job, for example by panel")


def _sheet_rows(name: str, data: bytes) -> list[tuple[int, list[str]]]:
    import openpyxl
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        rows = []
        for number, cells in enumerate(sheet.iter_rows(values_only=True), start=1):
            texts = [_cell_text(name, number, c) for c in cells]
            if any(texts):
                rows.append((number, texts))
            _check_count(name, rows)
        return rows
    except InputError:
        raise
    except (InvalidFileException, zipfile.BadZipFile, KeyError, ValueError, OSError, IndexError):
        raise fail(name, "is not a workbook that can be read", "give an .xlsx whose first sheet is the table") from None


def _cell_text(name: str, row: int, value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.date | dt.time):
        raise fail(
            f"{name}:{row}", f"holds a date or time, {value}", "format the column as text and type the entry again"
        )
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)
