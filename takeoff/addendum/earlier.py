"""An earlier workbook: the build that wrote it, made again from its record, and what was changed in it by hand."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from takeoff.addendum.edits import GIVEN_SHEETS, Edit, Refused, find_edits, find_overwritten
from takeoff.build import Build, Options, compute
from takeoff.job.sources import CATALOGS, INPUTS, QUOTES, ROOMS, SCHEDULE, SHIPPED, Sources, sources_of_files, unfold
from takeoff.text.problems import InputError, Problem, fail, visible
from takeoff.text.record import unpack
from takeoff.workbook.file.reading import Rows, read_sheets
from takeoff.workbook.sheets.order import SHEETS
from takeoff.workbook.sheets.plan import ABOUT, CHANGED

NO_RECORD = "is no workbook of this tool, or has lost the record on its sheet About"


@dataclass(frozen=True)
class Earlier:
    """An earlier workbook: its build as it was written, what was changed since, and what of it cannot be read."""

    file: str
    build: Build
    edits: Sequence[Edit]
    unread: Sequence[Refused]


@contextmanager
def options_of(sources: Sources) -> Iterator[Options]:
    """Give the options of a build from sources, whose files are there as long as they are needed."""
    with tempfile.TemporaryDirectory(prefix="takeoff-") as folder:
        made = unfold(sources, Path(folder))
        (schedule,) = made[SCHEDULE]
        yield Options(
            schedule,
            Path(folder) / CATALOGS if CATALOGS in made else None,
            next(iter(made.get(INPUTS, [])), None),
            sources.sets,
            sources.plans,
            quotes=made.get(QUOTES, []),
            rooms=next(iter(made.get(ROOMS, [])), None),
            earlier_catalogs=Path(folder) / SHIPPED if SHIPPED in made else None,
        )


def rebuild(sources: Sources) -> Build:
    """Return the build of sources.

    Raises
    ------
    InputError
        What this version of the tool does not accept in them.
    """
    with options_of(sources) as options:
        return compute(options)


def read_earlier(path: Path, thorough: bool = True) -> Earlier:
    """Return an earlier workbook.

    Parameters
    ----------
    path
        An .xlsx that this tool wrote, saved since by any program.
    thorough
        Look on results and workings too for what was typed over a formula.

    Raises
    ------
    InputError
        It cannot be read, has no record, or this version of the tool does not accept what it was made from.
    """
    name = visible(path.name)
    computed = {CHANGED, *(plan.title for plan in SHEETS if plan.kind not in GIVEN_SHEETS)}
    sheets = read_sheets(path, () if thorough else computed - {ABOUT})
    files = record_of(sheets)
    if files is None:
        raise fail(name, NO_RECORD, "a workbook that takeoff build wrote")
    try:
        build = rebuild(sources_of_files(files))
    except InputError as wrong:
        message = f"was made from files that are not accepted today, {wrong.problems[0]}"
        raise InputError([Problem(name, None, "", "", message, "build it anew")]) from None
    edits, unread = find_edits(build, {title: rows for title, rows in sheets.items() if title not in computed})
    unread += find_overwritten(build, sheets) if thorough else []
    return Earlier(name, build, edits, unread)


def record_of(sheets: Mapping[str, Rows]) -> dict[str, str] | None:
    """Return the files of the record in a workbook; None where it is not whole."""
    values = (value for rows in sheets.values() for line in rows.values() for value in line.values())
    return unpack(value for value in values if isinstance(value, str))
