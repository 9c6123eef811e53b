"""Read the schedule: one row for each box, or for several, together with the run that feeds it.

Everything is read as text, each named column is converted by its own rule, and everything wrong is
reported in one pass. What the columns mean stands in the README.
"""

from __future__ import annotations

from pathlib import Path

from takeoff.catalog.rows import Catalogs
from takeoff.job.columns import check_carried, read_columns
from takeoff.job.records import Reading, Schedule
from takeoff.job.rows import RowReader
from takeoff.job.words import Words, load_words
from takeoff.text.odd import is_date
from takeoff.text.problems import Problems
from takeoff.text.read import RawTable, read_table


def read_schedule(path: Path, catalogs: Catalogs, reading: Reading | None = None) -> Schedule:
    """Read a schedule; problems of single rows are collected in it, so that wiring can add its own.

    Raises
    ------
    InputError
        The file cannot be read, or its header cannot be used.
    """
    return parse_schedule(read_table(path), load_words(catalogs), reading or Reading())


def parse_schedule(table: RawTable, words: Words, reading: Reading) -> Schedule:
    """Convert and validate a table read as text; see read_schedule."""
    problems = Problems(table.file)
    places, extra = read_columns(table, words, reading, problems)
    own = {name for name, at in extra if at not in places.values()}
    problems.found += [p for p in table.problems if not (is_date(p) and p.column in own)]
    if any(p.row in (None, table.header_row) for p in problems.errors()):
        problems.stop_on_errors()
    check_carried(table, extra, words, reading, problems)
    reader = RowReader(places, extra, words, problems, reading)
    for number, cells in table.rows:
        reader.read(number, cells, len(table.header))
    reader.finish()
    if not table.rows:
        problems.error(table.header_row + 1, "box", "", "no row follows the header", "one row for each box")
        problems.stop_on_errors()
    wrong = {p.row for p in problems.errors()}
    broken = {b.circuit for b in reader.boxes if b.row in wrong}
    return Schedule(
        table.file,
        table.sha256,
        reader.boxes,
        reader.circuits,
        [name for name, _ in extra],
        problems,
        broken,
        len(table.rows),
        reader.counts,
        table.receipt,
    )
