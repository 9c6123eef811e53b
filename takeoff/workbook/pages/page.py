"""Single cells of a page: titles, sentences, formulas with their values, and what a build says of itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from openpyxl.worksheet.worksheet import Worksheet

from takeoff.engine.tables import Book
from takeoff.text.problems import Problem
from takeoff.workbook.file.rows import Cell, SheetRows
from takeoff.workbook.file.styles import Styles
from takeoff.workbook.references import References

MONEY = "#,##0;-#,##0;0"

TITLE_HEIGHT = 22
"""Points of the row with the title of a sheet."""


@dataclass(frozen=True)
class Provenance:
    """What a build says of itself: the file read, the options, the sources that rows cite.

    `record` are the files behind the build, packed into texts; see `text/record.py`.
    """

    version: str
    schedule_file: str
    schedule_sha256: str
    options: Sequence[tuple[str, str]]
    compared: Sequence[str]
    sources: Sequence[tuple[str, str]]
    cautions: Sequence[str]
    limits: Sequence[str]
    definitions: Sequence[tuple[str, str]]
    notices: Sequence[Problem]
    record: Sequence[str]


@dataclass(frozen=True)
class Live:
    """What a cell shows of the workbook: its value now, and the formula that keeps it so."""

    value: Any
    formula: str

    @property
    def text(self) -> str:
        """The value inside a sentence, as a spreadsheet program joins a whole number or a text."""
        return f"{self.value:.0f}" if isinstance(self.value, (int, float)) else str(self.value)

    def __sub__(self, other: Live) -> Live:
        """Return what is left when another cell's figure is taken off."""
        return Live(self.value - other.value, f"{self.formula}-{other.formula}")


@dataclass(frozen=True)
class Line:
    """A line of a page: a title, and right of it what it shows.

    `shows` has, by column when the title stands in the first one, table and name of a figure, or an input without a
    table; with a minus before its name its negative, for a cost among savings. A `loud` line is the sum that
    matters.
    """

    title: str
    shows: Mapping[int, tuple[str, str]]
    form: str = MONEY
    loud: bool = False


@dataclass(frozen=True)
class Page:
    """A sheet that is filled cell by cell."""

    sheet: Worksheet
    rows: SheetRows
    styles: Styles
    book: Book
    refs: References

    def put(
        self,
        row: int,
        column: int,
        value: object,
        style: str = "text",
        *,
        formula: str = "",
        form: str = "General",
        align: str = "",
    ) -> None:
        """Place a text, a number, or a formula with its value."""
        self.rows.put(row, column, Cell(value, self.styles.index(style, form, align), formula))

    def figure(
        self,
        row: int,
        column: int,
        table: str,
        name: str,
        form: str,
        style: str = "computed",
        align: str = "",
        line: int = 0,
    ) -> None:
        """Place a figure of a row of a table."""
        live = self.live(table, name, line)
        self.put(row, column, live.value, style, formula=live.formula, form=form, align=align)

    def given(self, row: int, column: int, name: str, form: str, style: str = "computed", align: str = "") -> None:
        """Place the value of an input."""
        live = self.live("", name)
        self.put(row, column, live.value, style, formula=live.formula, form=form, align=align)

    def line(self, row: int, line: Line, first: int = 1, align: str = "right", lead: str = "") -> None:
        """Place a line, its title in the column `first`; `align` of its figures and `lead` of its title are words."""
        self.put(row, first, line.title, "heading" if line.loud else "key", align=lead)
        for column, (table, name) in line.shows.items():
            live, style = self.live(table, name.removeprefix("-")), "status" if line.loud else "computed"
            if name.startswith("-"):
                live = Live(-live.value, f"-{live.formula}")
            self.put(row, column + first - 1, live.value, style, formula=live.formula, form=line.form, align=align)

    def live(self, table: str, name: str, line: int = 0) -> Live:
        """Return a figure of a row of a table, of the only one it may have, or without a table an input."""
        if not table:
            return Live(self.book.inputs[name], name)
        return Live(self.book.values(table, name)[line], self.refs.cell(table, name, line, self.sheet.title))

    def total(self, table: str, name: str) -> Live:
        """Return the sum of a column."""
        return Live(self.book.values(table, name).sum(), f"SUM({self.refs.column(table, name, self.sheet.title)})")

    def sentence(self, row: int, column: int, *parts: str | Live, style: str = "note") -> None:
        """Place a sentence of words and figures; what it says and its formula come from the same parts."""
        said = "".join(part if isinstance(part, str) else part.text for part in parts)
        formula = "&".join(f'"{part}"' if isinstance(part, str) else part.formula for part in parts)
        self.put(row, column, said, style, formula=formula)

    def head(self, title: str, intro: str) -> None:
        """Write the three lines on top of every sheet: title, what it is, and whether all proofs hold."""
        self.put(1, 1, title, "title")
        self.rows.heights[1] = TITLE_HEIGHT
        self.put(2, 1, intro, "note")
        self.status(3)

    def status(self, row: int) -> None:
        """Write the master check: how many proofs fail and how many inputs are not accepted."""
        self.put(row, 1, self.book.values("master", "says")[0], "said", formula="master.status")
