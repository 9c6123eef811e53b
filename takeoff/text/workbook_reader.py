"""Read the sheets of an .xlsx as texts: streamed, within stated limits, nothing dropped unsaid.

One pass over the parts that matter: sheets, texts, number formats. Source of the format: ECMA-376 Part 1, 18.2 (the
book), 18.4 (texts), 18.8 (styles).
"""

from __future__ import annotations

import datetime as dt
import io
import struct
import zipfile
import zlib
from xml.parsers import expat

from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900

from takeoff.text.problems import fail
from takeoff.text.workbook_parts import DAMAGED, MAX_UNPACKED, PartError, Parts
from takeoff.text.workbook_sheet import Book, Counted, Sheet, SheetReader, unescaped


def read_sheets(name: str, data: bytes, max_rows: int, budget: int = MAX_UNPACKED) -> list[Sheet]:
    """Return every sheet of a workbook in its order, hidden ones too.

    Parameters
    ----------
    name
        Of the file, for messages.
    data
        The file.
    max_rows
        Rows with entries of all sheets together.
    budget
        Bytes that the parts may unpack to.

    Raises
    ------
    InputError
        One sentence: damaged, protected, or beyond a limit.
    """
    try:
        parts = Parts(io.BytesIO(data), budget)
        book_part = next((part for kind, part in parts.links("").values() if kind == "officeDocument"), "")
        links = parts.links(book_part)
        titles, first_day = _titles(parts, book_part)
        of_kind = dict(links.values())
        texts = _texts(parts, of_kind["sharedStrings"]) if "sharedStrings" in of_kind else []
        dated = _dated(parts, of_kind["styles"]) if "styles" in of_kind else []
        book = Book(texts, dated, first_day)
        counted = Counted(max_rows)
        sheets = []
        for title, state, link in titles:
            if link not in links:  # else the rows of a sheet would be lost unsaid
                raise DAMAGED
            kind, part = links[link]
            if kind == "worksheet":
                reader = SheetReader(Sheet(title, state), book, counted)
                parts.parse(part, reader.start, reader.end, reader.text)
                sheets.append(reader.sheet)
        if not sheets:
            raise DAMAGED
        return sheets
    except PartError as wrong:
        raise fail(name, wrong.said, wrong.accepted) from None
    except (zipfile.BadZipFile, struct.error, zlib.error, expat.ExpatError, LookupError, ValueError, OverflowError,
            OSError, EOFError, RuntimeError, NotImplementedError):  # fmt: skip
        # the ways in which a damaged or protected archive fails are many, and all mean the same to the user
        raise fail(name, DAMAGED.said, DAMAGED.accepted) from None


def _titles(parts: Parts, part: str) -> tuple[list[tuple[str, bool, str]], dt.datetime]:
    """Return title, whether hidden, and link of every sheet, and the day from which dates are counted."""
    found: list[tuple[str, bool, str]] = []
    day = [CALENDAR_WINDOWS_1900]

    def start(element: str, given: dict[str, str]) -> None:
        if element == "sheet":
            link = next((value for key, value in given.items() if key.rpartition(":")[2] == "id"), "")
            found.append((unescaped(given.get("name", "")), given.get("state", "visible") != "visible", link))
        elif element == "workbookPr" and given.get("date1904", "0") in ("1", "true"):
            day[0] = CALENDAR_MAC_1904

    parts.parse(part, start)
    return found, day[0]


def _texts(parts: Parts, part: str) -> list[str]:
    """Return the texts that cells share; how to pronounce them is left out."""
    found: list[str] = []
    pieces: list[str] = []
    at = {"t": False, "rPh": False}

    def start(element: str, _: dict[str, str]) -> None:
        if element in at:
            at[element] = True
        elif element == "si":
            pieces.clear()

    def end(element: str) -> None:
        if element in at:
            at[element] = False
        elif element == "si":
            found.append(unescaped("".join(pieces)))

    parts.parse(part, start, end, lambda text: pieces.append(text) if at["t"] and not at["rPh"] else None)
    return found


def _dated(parts: Parts, part: str) -> list[bool]:
    """Return which cell styles show a date or a time."""
    formats: dict[str, str] = {str(number): text for number, text in BUILTIN_FORMATS.items()}
    found: list[bool] = []
    inside = [False]

    def start(element: str, given: dict[str, str]) -> None:
        if element == "numFmt":
            formats[given.get("numFmtId", "")] = given.get("formatCode", "")
        elif element == "cellXfs":
            inside[0] = True
        elif element == "xf" and inside[0]:
            found.append(bool(is_date_format(formats.get(given.get("numFmtId", "0"), ""))))

    def end(element: str) -> None:
        if element == "cellXfs":
            inside[0] = False

    parts.parse(part, start, end)
    return found
