"""Write the files of a build, each whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path
from tempfile import NamedTemporaryFile

from takeoff.build import Build, provenance_of
from takeoff.crew_pdf import print_crew_pages
from takeoff.problems import fail, visible
from takeoff.results import results_of
from takeoff.workbook.stream import NEW_FILE
from takeoff.workbook.writer import write_workbook


def write_outputs(build: Build, workbook: Path, results: Path | None, crew_pdf: Path | None = None) -> None:
    """Write the workbook and, where asked, results and crew pages, each beside its target and then moved into place.

    A target that is a link stays one: the file it leads to is written.

    Raises
    ------
    InputError
        A target cannot be written, or the crew pages cannot be printed.
    """
    workbook, results = workbook.resolve(), results and results.resolve()
    pending: dict[Path, Path] = {}
    try:
        if results:
            pending[results] = _pending_json(build, results)
        if crew_pdf:
            pending[crew_pdf.resolve()] = print_crew_pages(build.book, crew_pdf.resolve())
        write_workbook(build.book, provenance_of(build), workbook)
        for target, finished in pending.items():
            finished.replace(target)
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
        for finished in pending.values():
            finished.unlink(missing_ok=True)


def _pending_json(build: Build, path: Path) -> Path:
    """Write the results beside their target, to be moved into place with the workbook."""
    text = json.dumps(results_of(build), indent=1, ensure_ascii=False)
    with NamedTemporaryFile("w", encoding="utf-8", dir=path.absolute().parent, prefix=".takeoff-", delete=False) as out:
        out.write(text + "\n")
    pending = Path(out.name)
    pending.chmod(NEW_FILE)
    return pending
