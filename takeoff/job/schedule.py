"""Read the schedule: one row per box, together with the run that feeds it.

Everything is read as text, each named column is converted by its own rule, and everything wrong is
reported in one pass. What the columns mean stands in the README.
"""

from __future__ import annotations

from pathlib import Path

from takeoff.catalog.rows import Catalogs
from takeoff.job.records import BOX_COLUMNS, CIRCUIT_COLUMNS, Schedule
from takeoff.job.rows import RowReader
from takeoff.text.headings import plain, read_header
from takeoff.text.problems import Problems, nearest
from takeoff.text.read import RawTable, read_table

MOST_EXTRA = 200
"""Columns carried through: more are no schedule."""


def read_schedule(path: Path, catalogs: Catalogs) -> Schedule:
    """Read a schedule; problems of single rows are collected in it, so that wiring can add its own.

    Raises
    ------
    InputError
        The file cannot be read, or its header cannot be used.
    """
    return parse_schedule(read_table(path), catalogs)


def parse_schedule(table: RawTable, catalogs: Catalogs) -> Schedule:
    """Convert and validate a table read as text; see read_schedule."""
    problems = Problems(table.file)
    places, extra = _header(table, problems)
    problems.found += table.problems
    if any(p.row in (None, table.header_row) for p in problems.errors()):
        problems.stop_on_errors()
    reader = RowReader(places, extra, catalogs, problems)
    for number, cells in table.rows:
        reader.read(number, cells, len(table.header))
    if not table.rows:
        problems.error(table.header_row + 1, "box", "", "no row follows the header", "one row for each box")
        problems.stop_on_errors()
    wrong = {p.row for p in problems.errors()}
    broken = {b.circuit for b in reader.boxes if b.row in wrong}
    return Schedule(
        table.file, table.sha256, reader.boxes, reader.circuits, [name for name, _ in extra], problems, broken
    )


def _header(table: RawTable, problems: Problems) -> tuple[dict[str, int], list[tuple[str, int]]]:
    places, extra = read_header(table, {plain(c): c for c in BOX_COLUMNS + CIRCUIT_COLUMNS}, problems)
    _needed(table, places, [name for name, _ in extra], problems)
    row = table.header_row
    if len(extra) > MOST_EXTRA:
        problems.error(row, "", str(len(extra)), "columns that are not used:", f"at most {MOST_EXTRA}")
    elif extra:
        names = ", ".join(name for name, _ in extra)
        problems.notice(row, "", names, "columns carried through to the workbook but not used:")
    return places, extra


def _needed(table: RawTable, places: dict[str, int], extra: list[str], problems: Problems) -> None:
    """Report the columns that must be there and are not, or that stand beside one another."""
    for name in ("box", "circuit", "device"):
        if name not in places:
            close = nearest(name, extra) if extra else f"found: {', '.join(table.header)}"
            problems.error(table.header_row, name, "", "is missing from the header", close)
    if "run_ft" in places and "run_m" in places:
        problems.error(table.header_row, "run_m", "", "stands beside run_ft", "the length in one unit only")
    elif "run_ft" not in places and "run_m" not in places:
        problems.error(table.header_row, "run_ft", "", "is missing from the header", "a column run_ft or run_m")
