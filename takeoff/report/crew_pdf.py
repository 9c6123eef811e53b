"""The crew pages as a PDF, printed by LibreOffice where it is installed."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory

from takeoff.engine.tables import Book
from takeoff.text.problems import InputError, Problem, fail, visible
from takeoff.workbook.writer import write_crew_book

OPTION = "--crew-pdf"
PROGRAMS = ("soffice", "libreoffice")
LONGEST_S = 300
"""Seconds after which a conversion is given up."""

WITHOUT = "leave the option out: the crew pages stand on the sheet Crew of the workbook too"


def stop_unless_printable(target: Path | None) -> None:
    """Stop a build that is to print the crew pages where nothing can, before anything is computed.

    Raises
    ------
    InputError
        A file is wanted, and LibreOffice is missing.
    """
    if target and not _program():
        raise _missing()


def _missing() -> InputError:
    message = "needs LibreOffice Calc, which is not found (soffice)"
    return InputError([Problem(OPTION, None, "", "", message, f"install it, or {WITHOUT}")])


def print_crew_pages(book: Book, target: Path, staged: Path) -> None:
    """Print the crew pages into a file that is moved into place with the other files of the build.

    Parameters
    ----------
    book
        Every table and input.
    target
        The PDF wanted, for messages.
    staged
        The file to write.

    Raises
    ------
    InputError
        LibreOffice is missing, or gave no page.
    """
    program = _program()
    if not program:
        raise _missing()
    with TemporaryDirectory(prefix="takeoff-") as name:
        folder = Path(name).resolve()
        source = folder / "crew.xlsx"
        write_crew_book(book, source)
        profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
        command = [program, profile, "--headless", "--convert-to", "pdf", "--outdir", str(folder), str(source)]
        try:
            # the program is the one found on the search path, the files are our own
            done = subprocess.run(command, capture_output=True, timeout=LONGEST_S, check=False)  # noqa: S603
            said = f"LibreOffice gave no page (exit code {done.returncode})"
        except subprocess.TimeoutExpired:
            said = f"LibreOffice gave no page within {LONGEST_S} s"
        printed = source.with_suffix(".pdf")
        if not printed.is_file():
            raise fail(visible(str(target)), said, f"end other runs of it and try again, or {WITHOUT}")
        shutil.copyfile(printed, staged)


def _program() -> str | None:
    return next((found for found in map(shutil.which, PROGRAMS) if found), None)
