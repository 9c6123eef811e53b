"""Tables as CSV for people who open them in a spreadsheet program: no text of the user becomes a formula there."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

_STARTS = "=+-@\t\r"
_NUMBER = re.compile(r"-?\d+(\.\d+)?")


def csv_text(rows: Iterable[Sequence[object]]) -> str:
    """Return rows as CSV; a text that a program takes for a formula gets an apostrophe before it."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([held(cell) for cell in row] for row in rows)
    return out.getvalue()


def held(cell: object) -> object:
    """Return a cell that stays text: one that begins like a formula with an apostrophe before it."""
    if isinstance(cell, str) and cell.lstrip(" ")[:1] in tuple(_STARTS) and not _NUMBER.fullmatch(cell):
        return f"'{cell}"
    return cell
