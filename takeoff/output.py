"""Write the files of a build, each whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path

from takeoff.build import Build, provenance_of
from takeoff.problems import fail, visible
from takeoff.results import results_of
from takeoff.textout import pending_text
from takeoff.workbook.writer import write_workbook


def write_outputs(build: Build, workbook: Path, results: Path | None) -> None:
    """Write the workbook and, where asked, the results JSON, each beside its target and then moved into place.

    A target that is a link stays one: the file it leads to is written.

    Raises
    ------
    InputError
        A target cannot be written.
    """
    workbook, results = workbook.resolve(), results and results.resolve()
    pending = _pending_json(build, results) if results else None
    try:
        write_workbook(build.book, provenance_of(build), workbook)
        if results and pending:
            pending.replace(results)
    except PermissionError:
        raise fail(
            visible(str(workbook)),
            "may not be written; is it open in another program",
            "close it, or give another name",
        ) from None
    except OSError as reason:
        raise fail(
            visible(str(workbook)), f"cannot be written ({reason.strerror})", "free some space, or give another place"
        ) from None
    finally:
        if pending:
            pending.unlink(missing_ok=True)


def _pending_json(build: Build, path: Path) -> Path:
    """Write the results beside their target, to be moved into place with the workbook."""
    text = json.dumps(results_of(build), indent=1, ensure_ascii=False)
    return pending_text(path, text + "\n")
