"""Read the readings of a time study: one row for each reading, everything wrong in one pass.

What the columns mean stands in the README. A line may hold several readings of the same work, `seconds_1` and on. A
reading is left out only by a written reason.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field, replace
from pathlib import Path

from takeoff.catalog.rows import NAME, Catalogs
from takeoff.job.cells import CellReader
from takeoff.study.columns import (
    ALL,
    ALL_TITLE,
    MOST_ON_A_LINE,
    NEEDED,
    WHOLE_BOX,
    WHOLE_BOX_TITLE,
    headings,
)
from takeoff.study.entries import date_of, period_of, reason_of, seconds_each_of
from takeoff.study.sheets import BESIDE, read_sheets_of
from takeoff.study.statistics import normal_time
from takeoff.text.headings import plain, read_header
from takeoff.text.problems import Problem, Problems, nearest
from takeoff.text.read import RawTable

LONGEST_CODE, LONGEST_CREW = 12, 40

INVENTED = ("synthetic", "illustrative")
"""Words in a note that mark a reading as made up; what is calibrated from it says so too."""


@dataclass(frozen=True)
class Observation:
    """One reading: seconds for one of the operation's driver, without interruptions; rating in percent.

    `count` is how many the seconds were for; `crew` and `period` are blank where nobody wrote them.
    """

    row: int
    operation: str
    construction: str
    box: str
    worker: str
    date: dt.date
    seconds_each: float
    rating: float
    invented: bool
    count: float = 1
    crew: str = ""
    period: str = ""

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
    crews: dict[str, str] = field(default_factory=dict)


def read_observations(path: Path, catalogs: Catalogs) -> Observations:
    """Read the readings of a time study.

    Parameters
    ----------
    path
        CSV, or a workbook with sheets of readings.
    catalogs
        Give the operations and constructions that may be named.

    Raises
    ------
    InputError
        Everything that is wrong, in one pass.
    """
    return parse_observations(read_sheets_of(path, headings()), catalogs)


def parse_observations(table: RawTable, catalogs: Catalogs) -> Observations:
    """Convert and validate a table read as text; see read_observations."""
    problems = Problems(table.file)
    known = headings()
    places, extra = read_header(table, known, problems)
    for name in (n for n in NEEDED if not _has(places, n)):
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


def _has(places: dict[str, int], name: str) -> bool:
    """Say whether a needed column is there, on top of the sheet or several times on the line too."""
    on_top = {"worker_code": "worker", "date": "date"}.get(name)
    several = name == "seconds" and any(place.startswith("seconds_") for place in places)
    return name in places or several or (on_top is not None and on_top + BESIDE in places)


def _read_row(reader: _Reader, texts: dict[str, str]) -> None:
    cell, row = reader.cell, reader.cell.row
    operation = _operation(reader, texts["operation"])
    construction = _construction(reader, texts["construction"])
    number, reason = reason_of(cell, texts.get("leave_out", ""))
    box = " ".join(texts.get("box", "").split())
    box = reader.boxes.setdefault(box.casefold(), box)
    if operation == WHOLE_BOX and not box:
        cell.error("box", "", f"is blank for {WHOLE_BOX}", "which box or mock-up was timed, the same words each time")
    pairs = [("seconds", "interruptions_s")] if "seconds" in texts else []
    several = [(f"seconds_{n}", f"interruptions_{n}_s") for n in range(1, MOST_ON_A_LINE + 1)]
    pairs += [pair for pair in several if texts.get(pair[0]) or texts.get(pair[1])]
    if not any(texts.get(name) for name in ("date", "leave_out", *(n for pair in pairs for n in pair))):
        reader.untimed.append(row)
        return
    if len(pairs) > 1 and not any(map(texts.get, pairs[0])):
        pairs = pairs[1:]
    pairs = pairs or [("seconds_1", "interruptions_1_s")]
    worker = _worker(reader, texts.get("worker_code") or texts.get("worker" + BESIDE, ""))
    date = date_of(cell, texts.get("date") or texts.get("date" + BESIDE, ""))
    crew, period = _crew(reader, texts), period_of(cell, texts)
    rating = cell.number("rating", texts.get("rating", ""), 40, 200)
    count = cell.number("count", texts.get("count", ""), 0.01, 10_000)
    if number and f"seconds_{number}" not in [seconds for seconds, _ in pairs]:
        cell.error("leave_out", texts["leave_out"], "names a reading that is not there:", "the number of a time")
    invented = any(word in texts.get("note", "").casefold() for word in INVENTED)
    for seconds, interruptions in pairs:
        if reason and number in ("", seconds.removeprefix("seconds_")):
            reader.left_out.append(LeftOut(row, operation, construction, texts.get(seconds, ""), reason))
            continue
        each = seconds_each_of(cell, texts, seconds, interruptions, count)
        if operation and construction and worker and date and each and period is not None:
            where = box if operation == WHOLE_BOX else ""
            made = Observation(row, operation, construction, where, worker, date, each, rating or 100, invented)
            reader.used.append(replace(made, count=count or 1, crew=crew, period=period))


def _operation(reader: _Reader, text: str) -> str:
    operations = reader.catalogs["operations"]
    known = {" ".join(str(r["title"]).casefold().split()): str(r["operation"]) for r in operations}
    known |= {WHOLE_BOX_TITLE: WHOLE_BOX, WHOLE_BOX: WHOLE_BOX}
    known |= {o.casefold(): o for o in operations.texts("operation")}
    said = " ".join(text.casefold().split())
    if not text:
        reader.cell.error("operation", "", "is blank", f"an operation of the catalog, or {WHOLE_BOX}")
    elif said not in known:
        accepted = nearest(text, [*operations.texts("operation"), WHOLE_BOX])
        reader.cell.error("operation", text, "is not an operation of the catalog:", accepted)
    return known.get(said, "")


def _construction(reader: _Reader, text: str) -> str:
    said = " ".join(text.casefold().split())
    if said in (ALL, ALL_TITLE):
        return ALL
    for row in reader.catalogs["constructions"]:
        if said and said == " ".join(str(row["title"]).casefold().split()):
            return str(row["construction"])
    if not text:
        accepted = f"a construction, or {ALL} where it makes no difference"
        reader.cell.error("construction", "", "is blank", accepted)
    return reader.cell.one_of("construction", text, "constructions")


def _crew(reader: _Reader, texts: dict[str, str]) -> str:
    text = " ".join((texts.get("crew") or texts.get("crew" + BESIDE, "")).split())
    if len(text) > LONGEST_CREW:
        reader.cell.error("crew", text, "is too long:", f"at most {LONGEST_CREW} characters")
    return reader.crews.setdefault(text.casefold(), text)


def _worker(reader: _Reader, text: str) -> str:
    accepted = f"a code such as W3, at most {LONGEST_CODE} letters, digits and . _ / -, and no name"
    if not text:
        reader.cell.error("worker_code", "", "is blank", accepted)
    elif not NAME.fullmatch(text) or len(text) > LONGEST_CODE:
        reader.cell.error("worker_code", text, "is not a code:", accepted)
    else:
        return reader.workers.setdefault(text.casefold(), text)
    return ""


def _notices(reader: _Reader, problems: Problems) -> None:
    if reader.untimed:
        rows = ", ".join(map(str, reader.untimed[:8])) + (", ..." if len(reader.untimed) > 8 else "")
        message = f"{len(reader.untimed)} rows hold neither seconds nor a date and were passed over:"
        problems.notice(None, "seconds", f"rows {rows}", message)
    for code in reader.workers.values():
        if len(code) > 3 and code.isalpha():
            problems.notice(None, "worker_code", code, "looks like a name:", "codes keep readings apart from people")
