"""Write the files of a build, each whole or not at all."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from takeoff.build import Build, provenance_of
from takeoff.report.crew_pdf import print_crew_pages
from takeoff.report.order_files import order_texts
from takeoff.report.results import results_of
from takeoff.text.problems import fail, visible
from takeoff.text.write import pending_text
from takeoff.workbook.columns import columns_text
from takeoff.workbook.writer import write_workbook


def write_outputs(
    build: Build,
    workbook: Path,
    results: Path | None,
    order: Path | None = None,
    crew_pdf: Path | None = None,
    columns: Path | None = None,
) -> None:
    """Write the workbook and, where asked, results, order and crew pages, each whole before it is moved into place.

    A target that is a link stays one: the file it leads to is written.

    Parameters
    ----------
    build
        What is written.
    workbook, results
        Files to write.
    order
        Folder of the order; it is made where it is missing.
    crew_pdf
        The crew pages as a PDF.
    columns
        The list of every computed column, as CSV.

    Raises
    ------
    InputError
        A target cannot be written, or the crew pages cannot be printed.
    """
    workbook = workbook.resolve()
    pending: list[tuple[Path, Path]] = []
    made = order is not None and not order.exists()
    try:
        for target, text in _texts(build, results, order, columns):
            pending.append((pending_text(target, text), target))
        if crew_pdf:
            pending.append((print_crew_pages(build.book, crew_pdf.resolve()), crew_pdf.resolve()))
        write_workbook(build.book, provenance_of(build), workbook)
        for ready, target in pending:
            ready.replace(target)
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
        for ready, _ in pending:
            ready.unlink(missing_ok=True)
        if order and made and order.is_dir() and not any(order.iterdir()):
            order.rmdir()  # nothing was written: no empty folder stays behind


def _texts(build: Build, results: Path | None, order: Path | None, columns: Path | None) -> Iterator[tuple[Path, str]]:
    """Yield the text files to write, each with its text."""
    if results:
        yield results.resolve(), json.dumps(results_of(build), indent=1, ensure_ascii=False) + "\n"
    if columns:
        yield columns.resolve(), columns_text(build.book)
    if order:
        order.mkdir(exist_ok=True)
        for name, text in order_texts(build).items():
            yield (order / name).resolve(), text
