"""Single cells of a page: titles, sentences, formulas with their values, and what a build says of itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from openpyxl.worksheet.worksheet import Worksheet

from takeoff.engine.tables import Book
from takeoff.text.problems import Problem
from takeoff.workbook.file.rows import Cell, SheetRows
from takeoff.workbook.file.styles import Styles
from takeoff.workbook.references import References


@dataclass(frozen=True)
class Provenance:
    """What a build says of itself: the file read, the options, the sources of every catalog."""

    version: str
    schedule_file: str
    schedule_sha256: str
    options: Sequence[tuple[str, str]]
    compared: Sequence[str]
    sources: Sequence[tuple[str, str, int]]
    cautions: Sequence[str]
    limits: Sequence[str]
    definitions: Sequence[tuple[str, str]]
    notices: Sequence[Problem]


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
        self, row: int, column: int, table: str, name: str, form: str, style: str = "computed", align: str = ""
    ) -> None:
        """Place a figure of a table that has one row."""
        value = self.book.values(table, name)[0]
        self.put(
            row, column, value, style, formula=self.refs.cell(table, name, 0, self.sheet.title), form=form, align=align
        )

    def given(self, row: int, column: int, name: str, form: str, style: str = "computed", align: str = "") -> None:
        """Place the value of an input."""
        self.put(row, column, self.book.inputs[name], style, formula=name, form=form, align=align)

    def head(self, title: str, intro: str) -> None:
        """Write the three lines on top of every sheet: title, what it is, and whether all proofs hold."""
        self.put(1, 1, title, "title")
        self.rows.heights[1] = 22
        self.put(2, 1, intro, "note")
        self.status(3)

    def status(self, row: int) -> None:
        """Write the master check: how many proofs fail and how many inputs are not accepted."""
        self.put(row, 1, self.book.values("master", "says")[0], "status", formula="master.status")
