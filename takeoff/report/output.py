"""Write the files of a build, all or none."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from takeoff.build import Build, provenance_of
from takeoff.report.order_files import order_texts
from takeoff.report.results import results_of
from takeoff.text.transaction import Transaction
from takeoff.workbook.columns import columns_text
from takeoff.workbook.writer import write_workbook


def write_outputs(
    build: Build,
    workbook: Path,
    results: Path | None,
    order: Path | None = None,
    crew_pdf: Path | None = None,
    columns: Path | None = None,
    crew_paper: str = "letter",
) -> None:
    """Write the workbook and, where asked, results, order and crew pages, all or none.

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
    crew_paper
        Paper of the PDF, a name of `pdf.PAPERS`.
    columns
        The list of every computed column, as CSV.

    Raises
    ------
    InputError
        A target cannot be written.
    """
    with Transaction() as files:
        for target, text in _texts(build, results, columns):
            files.write_text(target, text)
        if order:
            files.folder(order)
            for name, text in order_texts(build).items():
                files.write_text(order / name, text)
        if crew_pdf:
            from takeoff.report.crew_pdf import print_crew_pages  # slow to import, and few builds print them

            with files.writing(crew_pdf) as staged:
                print_crew_pages(build, staged, crew_paper)
        with files.writing(workbook) as staged:
            write_workbook(build.book, provenance_of(build), staged)


def _texts(build: Build, results: Path | None, columns: Path | None) -> Iterator[tuple[Path, str]]:
    """Yield the text files to write, each with its text."""
    if results:
        yield results, json.dumps(results_of(build), indent=1, ensure_ascii=False) + "\n"
    if columns:
        yield columns, columns_text(build.book)
