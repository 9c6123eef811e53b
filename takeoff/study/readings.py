"""Read the readings of a time study: one row for each reading, everything wrong in one pass.

What the columns mean stands in the README. A reading is left out only by a written reason.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass, field
from pathlib import Path

from takeoff.catalog.rows import NAME, Catalogs
from takeoff.job.cells import YES, CellReader
from takeoff.study.statistics import normal_time
from takeoff.text.headings import plain, read_header
from takeoff.text.problems import Problem, Problems, nearest
from takeoff.text.read import RawTable, read_table

WHOLE_BOX = "whole-box"
"""Stands for an operation where a box was timed from first to last; it is compared, and calibrates nothing."""

ALL = "all"
"""Stands for every construction, as in the catalog of operations."""

COLUMNS = (
    *("date", "worker_code", "construction", "operation", "box", "count", "seconds", "interruptions_s"),
    *("rating", "leave_out", "note"),
)
SHEET_COLUMNS = ("start_stop", "count_of")
"""Columns of the blank sheets that guide the observer; they may stay where they are."""

ALIASES = {"worker": "worker_code", "interruptions": "interruptions_s", "remark": "note"}
NEEDED = ("operation", "construction", "seconds", "worker_code", "date")

SHORTEST_S = 0.01
"""Seconds for one piece of work; less is a count or a unit that slipped."""

DAY_S = 86_400
LONGEST_CODE = 12
SHORTEST_REASON = 5
"""Characters of a reason: a cross or a yes is none."""

INVENTED = ("synthetic", "illustrative")
"""Words in a note that mark a reading as made up; what is calibrated from it says so too."""


@dataclass(frozen=True)
class Observation:
    """One reading: seconds for one of the operation's driver, without interruptions; rating in percent."""

    row: int
    operation: str
    construction: str
    box: str
    worker: str
    date: dt.date
    seconds_each: float
    rating: float
    invented: bool

    @property
    def normal_s(self) -> float:
        """Seconds for one at a normal pace."""
        return normal_time(self.seconds_each, self.rating)


@dataclass(frozen=True)
class LeftOut:
    """A reading that its row leaves out, and why."""

    row: int
    operation: str
    construction: str
    seconds: str
    reason: str


@dataclass(frozen=True)
class Observations:
    """The readings of one file in its order, those left out, and what the user should know."""

    file: str
    used: list[Observation]
    left_out: list[LeftOut]
    notices: list[Problem]


@dataclass
class _Reader:
    """Converts row after row; keeps how each worker code and each box was spelled first."""

    places: dict[str, int]
    catalogs: Catalogs
    cell: CellReader
    used: list[Observation] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)
    untimed: list[int] = field(default_factory=list)
    workers: dict[str, str] = field(default_factory=dict)
    boxes: dict[str, str] = field(default_factory=dict)


def read_observations(path: Path, catalogs: Catalogs) -> Observations:
    """Read the readings of a time study.

    Parameters
    ----------
    path
        CSV, or a workbook whose first sheet is the table.
    catalogs
        Give the operations and constructions that may be named.

    Raises
    ------
    InputError
        Everything that is wrong, in one pass.
    """
    return parse_observations(read_table(path, "each reading"), catalogs)


def parse_observations(table: RawTable, catalogs: Catalogs) -> Observations:
    """Convert and validate a table read as text; see read_observations."""
    problems = Problems(table.file)
    known = {plain(c): c for c in (*COLUMNS, *SHEET_COLUMNS)} | {plain(a): c for a, c in ALIASES.items()}
    places, extra = read_header(table, known, problems)
    for name in (n for n in NEEDED if n not in places):
        found = [title for title, _ in extra]
        close = nearest(name, found) if found else f"found: {', '.join(table.header)}"
        problems.error(table.header_row, name, "", "is missing from the header", close)
    problems.stop_on_errors()
    if extra:
        names = ", ".join(title for title, _ in extra)
        problems.notice(table.header_row, "", names, "columns that are not used:")
    # a date is what the column of dates should hold, whatever its form in a workbook
    problems.found += [p for p in table.problems if known.get(plain(p.column)) != "date"]
    reader = _Reader(places, catalogs, CellReader(catalogs, problems))
    columns = {place: name for name, place in [*places.items(), *extra]}
    for number, cells in table.rows:
        reader.cell.row = number
        reader.cell.check_row(cells, len(table.header), columns)
        _read_row(reader, {n: cells[p].strip() if p < len(cells) else "" for n, p in places.items()})
    _notices(reader, problems)
    if not reader.used and not list(problems.errors()):
        problems.error(table.header_row + 1, "seconds", "", "no row holds a reading that counts", "one row each")
    problems.stop_on_errors()
    return Observations(table.file, reader.used, reader.left_out, problems.found)


def _read_row(reader: _Reader, texts: dict[str, str]) -> None:
    cell, row = reader.cell, reader.cell.row
    operation, construction = _operation(reader, texts["operation"]), _construction(reader, texts["construction"])
    reason = _reason(cell, texts.get("leave_out", ""))
    box = " ".join(texts.get("box", "").split())
    box = reader.boxes.setdefault(box.casefold(), box)
    if operation == WHOLE_BOX and not box:
        cell.error("box", "", f"is blank for {WHOLE_BOX}", "which box or mock-up was timed, the same words each time")
    if not any(texts.get(name) for name in ("seconds", "date", "interruptions_s", "leave_out")):
        reader.untimed.append(row)
        return
    worker, date = _worker(reader, texts["worker_code"]), _date(cell, texts["date"])
    if reason:
        reader.left_out.append(LeftOut(row, operation, construction, texts["seconds"], reason))
        return
    rating = cell.number("rating", texts.get("rating", ""), 40, 200)
    seconds_each = _seconds_each(cell, texts)
    if operation and construction and worker and date and seconds_each:
        invented = any(word in texts.get("note", "").casefold() for word in INVENTED)
        box = box if operation == WHOLE_BOX else ""
        rating = 100 if rating is None else rating
        reader.used.append(Observation(row, operation, construction, box, worker, date, seconds_each, rating, invented))


def _operation(reader: _Reader, text: str) -> str:
    known = {o.casefold(): o for o in [*reader.catalogs["operations"].texts("operation"), WHOLE_BOX]}
    if not text:
        reader.cell.error("operation", "", "is blank", f"an operation of the catalog, or {WHOLE_BOX}")
    elif text.casefold() not in known:
        accepted = nearest(text, known.values())
        reader.cell.error("operation", text, "is not an operation of the catalog:", accepted)
    return known.get(text.casefold(), "")


def _construction(reader: _Reader, text: str) -> str:
    if text.casefold() == ALL:
        return ALL
    if not text:
        accepted = f"a construction, or {ALL} where it makes no difference"
        reader.cell.error("construction", "", "is blank", accepted)
    return reader.cell.one_of("construction", text, "constructions")


def _reason(cell: CellReader, text: str) -> str:
    if text and (text.casefold() in YES or len(text) < SHORTEST_REASON):
        cell.error("leave_out", text, "is no reason:", "why the reading is left out, or nothing where it counts")
    return text


def _worker(reader: _Reader, text: str) -> str:
    accepted = f"a code such as W3, at most {LONGEST_CODE} letters, digits and . _ / -, and no name"
    if not text:
        reader.cell.error("worker_code", "", "is blank", accepted)
    elif not NAME.fullmatch(text) or len(text) > LONGEST_CODE:
        reader.cell.error("worker_code", text, "is not a code:", accepted)
    else:
        return reader.workers.setdefault(text.casefold(), text)
    return ""


def _date(cell: CellReader, text: str) -> dt.date | None:
    accepted = "year-month-day, such as 2026-03-02"
    if not text:
        cell.error("date", "", "is blank", accepted)
        return None
    day = re.fullmatch(r"(\d{4}-\d{2}-\d{2})( 00:00:00)?", text)
    try:
        return dt.date.fromisoformat(day[1] if day else "")
    except ValueError:
        cell.error("date", text, "is not a date:", accepted)
        return None


def _seconds_each(cell: CellReader, texts: dict[str, str]) -> float | None:
    """Return the seconds for one, without interruptions; None where a figure is missing or wrong."""
    if not texts["seconds"]:
        cell.error("seconds", "", "is blank", "the seconds from start to stop, or a reason in leave_out")
    seconds = cell.number("seconds", texts["seconds"], 0.1, DAY_S)
    lost = cell.number("interruptions_s", texts.get("interruptions_s", ""), 0, DAY_S) or 0
    count = cell.number("count", texts.get("count", ""), 0.01, 10_000)
    if seconds is None or (texts.get("count") and count is None):
        return None
    if lost >= seconds:
        shown = texts["interruptions_s"]
        cell.error("interruptions_s", shown, "is not less than the seconds:", f"under {seconds:g}; it is taken off")
        return None
    each = (seconds - lost) / (count or 1)
    if each < SHORTEST_S:
        cell.error("count", texts.get("count", ""), f"leaves under {SHORTEST_S:g} s for one:", "how many were made")
        return None
    return each


def _notices(reader: _Reader, problems: Problems) -> None:
    if reader.untimed:
        rows = ", ".join(map(str, reader.untimed[:8])) + (", ..." if len(reader.untimed) > 8 else "")
        message = f"{len(reader.untimed)} rows hold neither seconds nor a date and were passed over:"
        problems.notice(None, "seconds", f"rows {rows}", message)
    for code in reader.workers.values():
        if len(code) > 3 and code.isalpha():
            problems.notice(None, "worker_code", code, "looks like a name:", "codes keep readings apart from people")
