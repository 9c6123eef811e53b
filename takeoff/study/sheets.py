"""Read the table of readings off a file: blank sheets have job, crew, observer and worker on top of it.

What stands on top is laid beside every row of its sheet, in columns of its own, so that one table comes out.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from takeoff.text.problems import fail, visible
from takeoff.text.read import MAX_ROWS, WORKBOOK, RawTable, parse_table, read_bytes
from takeoff.text.sheets import one_table
from takeoff.text.words import plain
from takeoff.text.workbook_reader import read_sheets
from takeoff.text.workbook_sheet import Sheet

ON_TOP = ("job", "crew", "observer", "date", "worker", "period")
"""What may stand on top of a sheet, a label and its entry beside it."""

BESIDE = " on top"
"""Ends the names of the columns that are made of it."""

LABELS = {**{plain(name): name for name in ON_TOP}, "beforeorafter": "period", "workercode": "worker"}

SEARCHED = 15
"""Rows at the begin of a sheet in which the headings are looked for."""

ENOUGH = 3
"""Known headings that make a row the row of headings; one of them says what was timed."""

Rows = list[tuple[int, list[str]]]


def read_sheets_of(path: Path, known: Mapping[str, str]) -> RawTable:
    """Return the table of readings in a file.

    Parameters
    ----------
    path
        CSV, or a workbook: sheets with the headings of readings are one table, others are not read and named.
    known
        Names of the columns of readings, by their plain headings.

    Raises
    ------
    InputError
        As read_table does.
    """
    name, data = visible(path.name), read_bytes(path)
    if not data.startswith(WORKBOOK):
        table = parse_table(name, data, "each reading")
        (header_row, header), *rows = _flat([(table.header_row, table.header), *table.rows], known)
        return replace(table, header=header, header_row=header_row, rows=rows)
    sheets = read_sheets(name, data, MAX_ROWS)
    with_readings = [sheet for sheet in sheets if not sheet.hidden and _headings_at(sheet.rows, known) is not None]
    for sheet in with_readings:
        sheet.rows = _flat(sheet.rows, known)
        first = sheet.rows[0][0]
        sheet.odd = [odd for odd in sheet.odd if odd.row >= first]  # a real date on top is a date
    rows, problems, receipt = one_table(name, _in_front(with_readings, sheets))
    if not rows:
        raise fail(name, "is empty", "a header row and one row for each reading")
    (header_row, header), *rest = rows
    digest = hashlib.sha256(data).hexdigest()
    return RawTable(name, header, rest, header_row, digest, tuple(problems), tuple(receipt))


def _in_front(chosen: list[Sheet], sheets: list[Sheet]) -> list[Sheet]:
    """Return the sheets with readings before all others; a page of advice, one text in a row, is no table."""
    others = [s for s in sheets if s not in chosen and not (chosen and _is_text(s))]
    return [*chosen, *others]


def _is_text(sheet: Sheet) -> bool:
    return all(sum(bool(c.strip()) for c in cells) <= 2 for _, cells in sheet.rows)


def _headings_at(rows: Rows, known: Mapping[str, str]) -> int | None:
    """Return the place of the row of headings among the first rows; None where there is none."""
    for place, (_, cells) in enumerate(rows[:SEARCHED]):
        names = {known.get(plain(c), "") for c in cells} - {""}
        if len(names) >= ENOUGH and names & {"operation", "construction"}:
            return place
    return None


def _flat(rows: Rows, known: Mapping[str, str]) -> Rows:
    """Return the table with what stands on top as columns beside it."""
    place = _headings_at(rows, known)
    if not place:
        return rows
    top = _entries_on_top(rows[:place])
    (number, header), *rest = rows[place:]
    width = len(header)
    wide = [(n, [*cells[:width], *[""] * (width - len(cells)), *top.values(), *cells[width:]]) for n, cells in rest]
    return [(number, [*header, *(name + BESIDE for name in top)]), *wide]


def _entries_on_top(rows: Rows) -> dict[str, str]:
    found: dict[str, str] = {}
    for _, cells in rows:
        label = ""
        for cell in (c.strip() for c in cells):
            known = LABELS.get(plain(cell.rstrip(":")), "")
            if known:
                label = known
                found.setdefault(label, "")
            elif cell and label:
                found[label] = found[label] or cell
                label = ""
    return found
