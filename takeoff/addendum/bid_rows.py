"""Changes of the lines of the bid and of the late changes, laid into the lists of an inputs file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from takeoff.job.bid_lines import BidLine, LateChange
from takeoff.text.dates import day_number, iso
from takeoff.workbook.file.reading import Formula

BLANK_ROWS: Mapping[str, Mapping[str, object]] = {"bid_lines": asdict(BidLine()), "late_changes": asdict(LateChange())}
"""Cells of a line that is still free."""

Row = Mapping[str, object]


def lay_line(listed: list[dict[str, Any]], shipped: Row, changed: Row, blank: Row) -> str:
    """Lay the changed cells of one line into a list of lines, or return why they have no place.

    A line is known by what it said when it was written: its number may be another one in another file.

    Parameters
    ----------
    listed
        Lines of the inputs file; changed here.
    shipped, changed
        Cells of the line as it was written, and those that were changed.
    blank
        Cells of a line that is free.
    """
    formulas = [value for value in changed.values() if isinstance(value, Formula)]
    if formulas:
        return formulas[0].why_not
    row = {**shipped, **changed}
    place = _place(listed, shipped, blank)
    if dict(shipped) != dict(blank) and place is None:
        return "the line is no more in the inputs file of the new build"
    if all(_same(row[n], blank[n]) for n in blank):
        if place is not None:
            listed.pop(place)
        return ""
    entry = entry_of(row, blank)
    if place is not None:
        listed[place] = entry
    elif entry not in listed:
        listed.append(entry)
    return ""


def entry_of(row: Row, blank: Row) -> dict[str, Any]:
    """Return a line as the inputs file has it: what is not as on a free line; kind, date and text always."""
    entry: dict[str, Any] = {}
    for name in blank:
        value: Any = row[name]
        if name == "date":
            entry[name] = iso(value) if isinstance(value, int | float) else value
        elif name in ("kind", "text") or not _same(value, blank[name]):
            entry[name] = int(value) if isinstance(value, float) and value.is_integer() else value
    return entry


def _place(listed: list[dict[str, Any]], shipped: Row, blank: Row) -> int | None:
    """Return the place of a line in a list: the one that says the same, else the one of its kind and text."""
    full = [_full(entry, blank) for entry in listed]
    for names in (list(blank), [n for n in ("kind", "text") if n in blank]):
        for place, row in enumerate(full):
            if all(_same(row[n], shipped[n]) for n in names) and any(not _same(row[n], blank[n]) for n in names):
                return place
    return None


def _full(entry: Mapping[str, Any], blank: Row) -> dict[str, object]:
    """Return every cell of a line of the inputs file."""
    row = {**blank, **{n: v for n, v in entry.items() if n in blank}}
    if isinstance(row.get("taken"), bool):
        row["taken"] = "yes" if row["taken"] else "no"
    if "date" in row:
        row["date"] = day_number(str(row["date"])) or 0
    return row


def _same(a: object, b: object) -> bool:
    numbers = [x for x in (a, b) if isinstance(x, int | float)]
    return float(numbers[0]) == float(numbers[1]) if len(numbers) == 2 else str(a).strip() == str(b).strip()
