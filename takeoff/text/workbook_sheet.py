"""One sheet of an .xlsx as texts: every row once, in order, within the limits of the format and of this project.

Source of the format: ECMA-376 Part 1, 18.3 (sheets), 22.9.2.19 (escapes in texts).
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from openpyxl.utils.datetime import from_excel

from takeoff.text.odd import BROKEN, DATED, UNREAD, Odd
from takeoff.text.workbook_parts import DAMAGED, SMALLER, PartError

LAST_ROW, LAST_COLUMN = 1_048_576, 16_384
"""Of a sheet of the format."""

MAX_COLUMNS = 1_000
"""An entry further to the right is no part of a table of ours."""

MAX_CELLS = 5_000_000
"""Cells of all sheets, styled empty ones too: more than the largest schedule with every column."""

MAX_ODD = 2_000
"""Entries that are no text: beyond so many the file is the wrong one."""

_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
_PLACE = re.compile(r"([A-Z]{1,3})([1-9]\d{0,9})")


@dataclass
class Sheet:
    """One sheet: rows with an entry, and what the reading of it did."""

    title: str
    hidden: bool = False
    rows: list[tuple[int, list[str]]] = field(default_factory=list)
    blank_rows: int = 0
    hidden_rows: list[int] = field(default_factory=list)
    hidden_columns: set[int] = field(default_factory=set)
    odd: list[Odd] = field(default_factory=list)
    truths: int = 0
    dates: int = 0
    formulas: int = 0


@dataclass(frozen=True)
class Book:
    """What the cells of all sheets refer to: shared texts, which styles show dates, the first day."""

    texts: Sequence[str]
    dated: Sequence[bool]
    first_day: dt.datetime


@dataclass
class Counted:
    """What all sheets of a file have together."""

    max_rows: int
    rows: int = 0
    cells: int = 0
    odd: int = 0


class SheetReader:
    """Takes the elements of one sheet as they come."""

    def __init__(self, sheet: Sheet, book: Book, counted: Counted) -> None:
        self.sheet, self.book, self.counted = sheet, book, counted
        self._row, self._column = 0, 0
        self._cells: dict[int, str] = {}
        self._kind, self._style, self._formula = "n", "0", ""
        self._value: str | None = None
        self._pieces: list[str] | None = None
        self._sounds = False

    def start(self, element: str, given: dict[str, str]) -> None:
        """Take the begin of an element."""
        if element == "c":
            self._start_cell(given)
        elif element in ("v", "f", "t"):
            self._pieces = None if self._sounds else []
        elif element == "row":
            self._start_row(given)
        elif element == "rPh":
            self._sounds = True
        elif element == "col" and given.get("hidden") in ("1", "true"):
            first, last = int(given.get("min", 1)), int(given.get("max", 1))
            self.sheet.hidden_columns |= set(range(first - 1, min(last, MAX_COLUMNS)))

    def text(self, text: str) -> None:
        """Take characters between elements."""
        if self._pieces is not None:
            self._pieces.append(text)

    def end(self, element: str) -> None:
        """Take the end of an element."""
        if element in ("v", "t") and self._pieces is not None:
            self._value = (self._value or "") + "".join(self._pieces) if element == "t" else "".join(self._pieces)
            self._pieces = None
        elif element == "f" and self._pieces is not None:
            self._formula, self._pieces = "=" + "".join(self._pieces), None
        elif element == "c":
            if self._value is not None or self._formula:
                self._end_cell()
        elif element == "rPh":
            self._sounds = False
        elif element == "row":
            self._end_row()

    def _start_row(self, given: dict[str, str]) -> None:
        row = _number(given["r"]) if "r" in given else self._row + 1
        if row <= self._row:
            said = f"has row {row} of the sheet {self.sheet.title} twice, or behind row {self._row}"
            raise PartError(said, "open the file in a spreadsheet program and save it again")
        if row > LAST_ROW:
            raise PartError(f"has a row {row:,}, and a sheet has {LAST_ROW:,}", DAMAGED.accepted)
        self._row, self._column, self._cells = row, 0, {}
        if given.get("hidden") in ("1", "true"):
            self.sheet.hidden_rows.append(row)

    def _start_cell(self, given: dict[str, str]) -> None:
        self.counted.cells += 1
        if self.counted.cells > MAX_CELLS:
            raise PartError(f"has more than {MAX_CELLS:,} cells", SMALLER)
        column = _column(given["r"], self._row) if "r" in given else self._column + 1
        if column <= self._column or column > LAST_COLUMN:
            said = f"has a cell twice or out of its order in row {self._row} of the sheet {self.sheet.title}"
            raise PartError(said, "open the file in a spreadsheet program and save it again")
        self._column, self._formula, self._value = column, "", None
        self._kind, self._style = given.get("t", "n"), given.get("s", "0")

    def _end_cell(self) -> None:
        text = self._text()
        if not text.strip():
            return
        if self._column > MAX_COLUMNS:
            said = f"has an entry in column {self._column:,} of row {self._row} of the sheet {self.sheet.title}"
            raise PartError(said, f"at most {MAX_COLUMNS:,} columns")
        self._cells[self._column] = text

    def _text(self) -> str:
        """Return the text of a cell; one that is no text is kept as odd."""
        kind, value = self._kind, self._value
        if self._formula:
            self.sheet.formulas += 1
            if not value and kind != "str":
                self._odd(self._formula, *UNREAD)
                return ""
        if not value:
            return ""
        if kind == "s":
            return self.book.texts[_number(value)]
        if kind in ("str", "inlineStr"):
            return unescaped(value)
        if kind == "b":
            self.sheet.truths += 1
            return "TRUE" if value.strip() == "1" else "FALSE"
        if kind == "e":
            self._odd(value, *BROKEN)
            return value
        if kind == "d":
            return self._date(value)
        return self._number_text(value)

    def _number_text(self, value: str) -> str:
        number = float(value)
        style = _number(self._style)
        if style and style >= len(self.book.dated):  # a lost style might say that the number is a date
            raise PartError(DAMAGED.said, DAMAGED.accepted)
        if style < len(self.book.dated) and self.book.dated[style]:
            try:
                moment = from_excel(number, self.book.first_day)
            except (ValueError, OverflowError):
                moment = value
            return self._date(str(moment))
        return str(int(number)) if number.is_integer() else str(number)

    def _date(self, shown: str) -> str:
        self.sheet.dates += 1
        self._odd(shown, *DATED)
        return shown.removesuffix(" 00:00:00")

    def _odd(self, value: str, said: str, accepted: str) -> None:
        self.counted.odd += 1
        if self.counted.odd > MAX_ODD:
            raise PartError(f"has more than {MAX_ODD:,} dates, error cells and formulas without a value", accepted)
        self.sheet.odd.append(Odd(self._row, self._column - 1, value, said, accepted))

    def _end_row(self) -> None:
        if not self._cells:
            self.sheet.blank_rows += 1
            return
        self.counted.rows += 1
        if self.counted.rows > self.counted.max_rows + 1:
            raise PartError(f"has more than {self.counted.max_rows:,} rows", "split the job, for example by panel")
        last = max(self._cells)
        self.sheet.rows.append((self._row, [self._cells.get(n, "") for n in range(1, last + 1)]))


def _number(text: str) -> int:
    """Return a whole number not under 0; one of many digits is no number of a row, a style or a text."""
    if not re.fullmatch(r"\d{1,10}", text):
        raise DAMAGED
    return int(text)


def _column(place: str, row: int) -> int:
    """Return the column of a cell, from 1; its row must be the one that it stands in."""
    match = _PLACE.fullmatch(place)
    if not match or int(match[2]) != row:
        raise DAMAGED
    column = 0
    for letter in match[1]:
        column = column * 26 + ord(letter) - 64
    return column


def unescaped(text: str) -> str:
    """Return a text with the escapes of the format undone."""
    return _ESCAPED.sub(lambda match: chr(int(match[1], 16)), text) if "_x" in text else text
