"""Write the files of a build, each whole or not at all."""

from __future__ import annotations

import json
import os
from pathlib import Path
from tempfile import NamedTemporaryFile

from takeoff.build import Build, provenance_of
from takeoff.problems import InputError, Problem, fail
from takeoff.results import results_of
from takeoff.workbook.stream import NEW_FILE
from takeoff.workbook.writer import write_workbook

MAX_LINES = 1_048_000
"""Lines that fit a worksheet under its headings."""


def write_outputs(build: Build, workbook: Path, results: Path | None) -> None:
    """Write the workbook and, where asked, the results JSON.

    Raises
    ------
    InputError
        A target cannot be written, is the schedule itself, or the job does not fit a worksheet.
    """
    lines = len(build.book.tables["results"])
    if lines > MAX_LINES:
        most = MAX_LINES // len(build.frame.compared)
        raise fail(
            build.options.schedule.name,
            f"has {len(build.job.boxes):,} boxes; {most:,} fit a worksheet with "
            f"{len(build.frame.compared)} constructions",
            "compare fewer constructions or split the job",
        )
    problems = [p for path in (workbook, results) if path for p in _unwritable(path, build.options.schedule)]
    if workbook.suffix.lower() != ".xlsx":
        problems.append(
            Problem(str(workbook), None, "", "", "does not end in .xlsx", "give the workbook a name that does")
        )
    if results and results.absolute() == workbook.absolute():
        problems.append(Problem(str(results), None, "", "", "is the workbook too", "two names for two files"))
    if problems:
        raise InputError(problems)
    pending = _pending_json(build, results) if results else None
    try:
        write_workbook(build.book, provenance_of(build), workbook)
        if results and pending:
            pending.replace(results)
    except PermissionError:
        raise fail(
            str(workbook), "may not be written; is it open in another program", "close it, or give another name"
        ) from None
    except OSError as reason:
        raise fail(
            str(workbook), f"cannot be written ({reason.strerror})", "free some space, or give another place"
        ) from None
    finally:
        if pending:
            pending.unlink(missing_ok=True)


def _unwritable(path: Path, schedule: Path) -> list[Problem]:
    """Return what forbids a target before anything is written."""

    def problem(message: str, accepted: str) -> list[Problem]:
        return [Problem(str(path), None, "", "", message, accepted)]

    if path.is_dir():
        return problem("is a folder", "give the name of a file")
    if not path.absolute().parent.is_dir():
        return problem("lies in a folder that does not exist", "make the folder first")
    if path.exists() and schedule.exists() and path.samefile(schedule):
        return problem("is the schedule itself", "give another name")
    if not os.access(path.absolute().parent, os.W_OK):
        return problem("lies in a folder that may not be written to", "give another place")
    if path.exists() and not os.access(path, os.W_OK):
        return problem("may not be written", "close it where it is open, or give another name")
    return []


def _pending_json(build: Build, path: Path) -> Path:
    """Write the results beside their target, to be moved into place with the workbook."""
    text = json.dumps(results_of(build), indent=1, ensure_ascii=False)
    with NamedTemporaryFile("w", encoding="utf-8", dir=path.absolute().parent, prefix=".takeoff-", delete=False) as out:
        out.write(text + "\n")
    pending = Path(out.name)
    pending.chmod(NEW_FILE)
    return pending
