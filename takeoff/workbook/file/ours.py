"""Whether a file that is to be replaced was written by this tool: nobody's own file is overwritten."""

from __future__ import annotations

import struct
import zipfile
import zlib
from pathlib import Path

MOST = 1 << 20
"""Bytes of a part that are looked at."""


def is_something(path: Path) -> bool:
    """Say whether a file is there and holds something."""
    return path.exists() and bool(path.stat().st_size)


def begins_with(path: Path, text: str) -> bool:
    """Say whether a file begins with a text; one that is empty or not there may be written too."""
    if not is_something(path):
        return True
    try:
        with path.open("rb") as file:
            return file.read(len(text.encode())) == text.encode()
    except OSError:
        return False


def is_our_workbook(path: Path, name: str) -> bool:
    """Say whether a workbook is ours: by its properties, or, saved since by another program, by a name defined in it.

    Parameters
    ----------
    path
        The file; one that is empty or not there may be written too.
    name
        A name that every workbook of a build defines.
    """
    if not is_something(path):
        return True
    wanted = (("docProps/app.xml", "<Application>takeoff</Application>"), ("xl/workbook.xml", f'"{name}"'))
    try:
        with zipfile.ZipFile(path) as archive:
            for part, text in wanted:
                with archive.open(part) as content:
                    if text.encode() in content.read(MOST):
                        return True
    except (zipfile.BadZipFile, zlib.error, struct.error, LookupError, ValueError, OSError, RuntimeError, EOFError):
        return False
    return False
