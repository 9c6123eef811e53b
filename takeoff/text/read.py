"""Read the table in a text file or in the sheets of an .xlsx, as text, without guessing types."""

from __future__ import annotations

import codecs
import csv
import hashlib
import io
import re
import stat
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from takeoff.text.problems import Gather, Problem, fail, visible

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

    `sha256` is that of the bytes read; `problems` are entries of a workbook that are no text, and what was left out;
    `receipt` says what was read, sheet by sheet. `rooms` are the room types on a sheet of their own.
    """

    file: str
    header: list[str]
    rows: list[tuple[int, list[str]]]
    header_row: int = 1
    sha256: str = ""
    problems: tuple[Problem, ...] = ()
    receipt: tuple[str, ...] = ()
    rooms: RawTable | None = None


Rows = list[tuple[int, list[str]]]


def read_table(path: Path, row_for: str = "each box") -> RawTable:
    """Read a table from a CSV-like text file or from the sheets of an .xlsx.

    Parameters
    ----------
    path
        UTF-8 or UTF-16 text with commas, semicolons or tabs, or a workbook.
    row_for
        What each row stands for, said where the file is empty.

    Raises
    ------
    InputError
        One sentence: missing, a folder, a device, unreadable, too large, empty, not text, wrong encoding,
        a quote that never ends, too many rows, or a workbook that is damaged or beyond a limit.
    """
    return parse_table(visible(path.name), read_bytes(path), row_for)


def parse_table(name: str, data: bytes, row_for: str = "each box") -> RawTable:
    """Return the table in the bytes of a file; see read_table."""
    if data.startswith(_OLD_WORKBOOK):
        raise fail(
            name,
            "is a workbook of the old binary kind, or has a password",
            "save it as .xlsx without one, or as CSV UTF-8",
        )
    problems: list[Problem] = []
    rooms: RawTable | None = None
    if data.startswith(WORKBOOK):
        from takeoff.text.sheets import one_table, rooms_apart
        from takeoff.text.workbook_reader import read_sheets

        sheets, of_rooms = rooms_apart(read_sheets(name, data, MAX_ROWS))
        rows, problems, receipt = one_table(name, sheets)
        for sheet in of_rooms:
            file = f"{name}, sheet {sheet.title}"
            types, odd, said = one_table(file, of_rooms)
            rooms = _table(file, types, data, odd, said)
            receipt += [f"{line}, of room types" for line in said]
    else:
        rows, lines = _text_rows(name, data)
        blank = f", {lines} blank lines" if lines else ""
        receipt = [f"{len(rows)} rows with entries, the heading one of them{blank}"]
    if not rows:
        raise fail(name, "is empty", f"a header row and one row for {row_for}")
    return replace(_table(name, rows, data, problems, receipt), rooms=rooms)


def _table(name: str, rows: Rows, data: bytes, problems: list[Problem], receipt: list[str]) -> RawTable:
    (header_row, header), *rest = rows
    return RawTable(name, header, rest, header_row, hashlib.sha256(data).hexdigest(), tuple(problems), tuple(receipt))


def unreadable(paths: Iterable[Path]) -> list[Problem]:
    """Return why files cannot be read, for those that cannot."""
    gather = Gather()
    for path in paths:
        gather.result_of(partial(read_bytes, path))
    return gather.found


def read_bytes(path: Path) -> bytes:
    """Return the content of a file, or raise InputError with one sentence saying why not."""
    shown = visible(str(path))
    try:
        if path.is_dir():
            raise fail(shown, "is a folder, not a file", "give the path of a CSV or .xlsx file")
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            raise fail(shown, "is a device or a pipe, not a file", "save its content as a file and give that")
        size = found.st_size
        if size <= MAX_BYTES:
            with path.open("rb") as file:
                data = file.read(MAX_BYTES + 1)  # it may have grown since
            size = len(data)
        if size > MAX_BYTES:
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


def _text_rows(name: str, data: bytes) -> tuple[Rows, int]:
    """Return the rows with entries, and how many lines had none."""
    text = decode(name, data)
    mark = re.match(r"sep=(.)\r?\n", text, re.IGNORECASE)  # a first line that some programs write to name the delimiter
    skipped, delimiter = (1, mark[1]) if mark else (0, _delimiter(text))
    reader = csv.reader(io.StringIO(text[mark.end() :] if mark else text, newline=""), delimiter=delimiter, strict=True)
    rows: Rows = []
    blank = 0
    try:
        for number, cells in enumerate(reader, start=1 + skipped):
            if any(c.strip() for c in cells):
                rows.append((number, cells))
                _check_count(name, rows)
            else:
                blank += 1
    except csv.Error as reason:
        place = f"row {len(rows) + blank + skipped + 1} or later"
        if "field larger" in str(reason):
            said = f"{place} has an entry of more than {csv.field_size_limit():,} characters"
            raise fail(name, said, "shorten it, or close a quote that was left open") from None
        raise fail(name, f"{place} has a quote that does not end properly ({reason})", "close the quote") from None
    return rows, blank


def _delimiter(text: str) -> str:
    first = next((line for line in text.splitlines() if line.strip()), "")
    bare = re.sub(r'"[^"]*"', "", first)
    return max(",;\t", key=bare.count)


def _check_count(name: str, rows: Rows) -> None:
    if len(rows) > MAX_ROWS + 1:
        raise fail(name, f"has more than {MAX_ROWS:,} rows", "split the job, for example by panel")
