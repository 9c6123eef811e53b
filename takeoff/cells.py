"""Convert the texts of one row, reporting what cannot be converted with its row and column."""

from __future__ import annotations

import re

from takeoff.catalog_rows import Catalogs
from takeoff.problems import Problems, nearest

YES = {
    **dict.fromkeys(("yes", "y", "true", "1"), True),
    **dict.fromkeys(("no", "n", "false", "0"), False),
}


class CellReader:
    """Converts cells of the row it stands at; `quiet` converts without reporting."""

    def __init__(self, catalogs: Catalogs, problems: Problems) -> None:
        self.catalogs, self.problems = catalogs, problems
        self.row = 0

    def error(self, column: str, value: str, message: str, accepted: str, quiet: bool = False) -> None:
        """Report something wrong with a cell of the row."""
        if not quiet:
            self.problems.error(self.row, column, value, message, accepted)

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
