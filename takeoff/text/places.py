"""Row numbers of a workbook with several sheets: shown with their sheet, told apart as numbers."""

from __future__ import annotations

_APART = 10_000_000
"""More rows than a sheet has: rows of two sheets never have one number."""


class SheetRow(int):
    """A row of one of several sheets, shown as `LP2!4`; as a number it is no row of another sheet."""

    sheet: str

    def __new__(cls, row: int, sheet: str, place: int) -> SheetRow:
        """Return a row.

        Parameters
        ----------
        row
            As a spreadsheet program counts it.
        sheet, place
            Name of the sheet, and its place among the sheets read, from 0.
        """
        made = super().__new__(cls, place * _APART + row)
        made.sheet = sheet
        return made

    def __str__(self) -> str:
        return f"{self.sheet}!{self.on_sheet}"

    def __add__(self, more: int) -> SheetRow:
        return SheetRow(self.on_sheet + more, self.sheet, int(self) // _APART)

    @property
    def on_sheet(self) -> int:
        """Return the row on its sheet."""
        return int(self) % _APART
