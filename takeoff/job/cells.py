"""Convert the texts of one row, reporting what cannot be converted with its row and column."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from takeoff.catalog.rows import Catalogs
from takeoff.text.problems import Problems, nearest

YES = {
    **dict.fromkeys(("yes", "y", "true", "1"), True),
    **dict.fromkeys(("no", "n", "false", "0"), False),
}

LONGEST_TEXT = 32_000
"""Characters of an entry; a cell of a worksheet holds 32,767."""

CONTROL_SPACES = "\x0b\x0c\x1c\x1d\x1e\x1f\x85"
"""Control characters that Python takes for spaces."""


class CellReader:
    """Converts cells of the row it stands at; `quiet` converts without reporting."""

    def __init__(self, catalogs: Catalogs, problems: Problems) -> None:
        self.catalogs, self.problems = catalogs, problems
        self.row = 0

    def error(self, column: str, value: str, message: str, accepted: str, quiet: bool = False) -> None:
        """Report something wrong with a cell of the row."""
        if not quiet:
            self.problems.error(self.row, column, value, message, accepted)

    def check_row(self, cells: Sequence[str], width: int, columns: Mapping[int, str]) -> None:
        """Report cells with characters that cannot be shown, and cells beyond the header.

        Parameters
        ----------
        cells
            The texts of the row.
        width
            How many columns the header has.
        columns
            Names of the columns, by place.
        """
        for place, cell in enumerate(cells):
            self._characters(columns.get(place, f"column {place + 1}"), cell)
        if len(cells) > width:
            spill = ",".join(cells[width:])
            self.error(
                "",
                spill,
                f"has {len(cells)} cells, the header has {width}; too many:",
                "quote text that holds a delimiter",
            )

    def _characters(self, column: str, cell: str) -> None:
        if cell.isprintable() and len(cell) <= LONGEST_TEXT:
            return
        if len(cell) > LONGEST_TEXT:
            self.error(
                column, cell, f"has {len(cell):,} characters:", f"at most {LONGEST_TEXT:,}, a cell holds no more"
            )
        wrong = next((c for c in cell if not c.isprintable() and (not c.isspace() or c in CONTROL_SPACES)), "")
        if wrong:
            self.error(
                column, cell, f"holds the control character U+{ord(wrong):04X}:", "delete it and type the entry again"
            )

    def one_of(self, column: str, text: str, catalog: str, quiet: bool = False) -> str:
        """Return a key as the catalog spells it; nothing where the cell is blank or the key unknown."""
        known = self.catalogs[catalog]
        if text and text not in known:
            self.error(column, text, "is not in the catalog:", nearest(text, known.keys), quiet)
        return str(known[text]["key"]) if text in known else ""

    def number(self, column: str, text: str, low: float, high: float, quiet: bool = False) -> float | None:
        """Return a number within limits; None where the cell is blank or holds none."""
        if not text:
            return None
        if not re.fullmatch(r"\d+(\.\d*)?|\.\d+", text):
            self.error(
                column, text, "is not a number:", "digits with a decimal point, no unit and no thousands mark", quiet
            )
        elif not low <= float(text) <= high:
            self.error(column, text, "is out of range:", f"from {low:g} to {high:g}", quiet)
        else:
            return float(text)
        return None

    def whole(self, column: str, text: str, low: int, high: int, quiet: bool = False) -> int | None:
        """Return a whole number within limits; None where the cell is blank or holds none."""
        value = self.number(column, text, low, high, quiet)
        if value is not None and not value.is_integer():
            self.error(column, text, "is not a whole number:", f"from {low} to {high}", quiet)
            return None
        return None if value is None else int(value)

    def yes_no(self, column: str, text: str, quiet: bool) -> bool | None:
        """Return whether the cell says yes; None where it says neither."""
        if text.casefold() not in YES:
            self.error(column, text, "is neither yes nor no:", "yes or no", quiet)
        return YES.get(text.casefold())
