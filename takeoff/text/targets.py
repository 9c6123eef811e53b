"""The files a build writes: whether each may be written, before anything is read at length or written."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from takeoff.text.problems import Problem, visible

TAKEN = "is another output too", "two names for two files"


def check_targets(targets: Iterable[tuple[Path, str]], reads: Iterable[Path]) -> list[Problem]:
    """Return what forbids to write the files of a build.

    Parameters
    ----------
    targets
        Paths to write, each with the ending its name must have, or none.
    reads
        Files the build reads, and folders with such files: they stay as they are.
    """
    found: list[Problem] = []
    seen: set[Path] = set()
    for path, ending in targets:
        said = _wrong(path, ending, list(reads))
        if not said:
            said = [TAKEN] if path.resolve() in seen else []
            seen.add(path.resolve())
        found += [Problem(visible(str(path)), None, "", "", *words) for words in said]
    return found


def check_folder(
    folder: Path, names: Iterable[str], reads: Iterable[Path], others: Iterable[Path] = ()
) -> list[Problem]:
    """Return what forbids to write files of certain names into a folder, which need not be there yet.

    Parameters
    ----------
    folder, names
        The folder, and the files in it.
    reads
        Files the build reads, and folders with such files: they stay as they are.
    others
        Other files that the build writes.
    """
    shown = visible(str(folder))
    try:
        return _wrong_folder(folder, names, list(reads), others)
    except (OSError, RuntimeError, ValueError) as reason:
        return [Problem(shown, None, "", "", *_refused(reason))]


def _wrong_folder(folder: Path, names: Iterable[str], reads: list[Path], others: Iterable[Path]) -> list[Problem]:
    shown, taken = visible(str(folder)), {place for other in others if (place := _resolved(other))}
    if folder.exists() and not folder.is_dir():
        return [Problem(shown, None, "", "", "is a file, not a folder", "give the name of a folder")]
    if folder.is_dir():
        found = [(folder / n, words) for n in names for words in _wrong(folder / n, "", reads)]
        found += [(folder / n, TAKEN) for n in names if (folder / n).resolve() in taken]
        return [Problem(visible(str(path)), None, "", "", *words) for path, words in found]
    if not folder.resolve().parent.is_dir():
        return [Problem(shown, None, "", "", "lies in a folder that does not exist", "make the folder first")]
    if not os.access(folder.resolve().parent, os.W_OK):
        return [Problem(shown, None, "", "", "lies in a folder that may not be written to", "give another place")]
    return []


def _wrong(path: Path, ending: str, reads: list[Path]) -> list[tuple[str, str]]:
    """Return what forbids to write a file; a path that the system refuses is one."""
    try:
        return list(_wrong_file(path, ending, reads))
    except (OSError, RuntimeError, ValueError) as reason:  # links in a circle, names too long, folders closed to us
        return [_refused(reason)]


def _resolved(path: Path) -> Path | None:
    """Return where a path leads; nothing where it leads nowhere, which is reported where it is written."""
    try:
        return path.resolve()
    except (OSError, RuntimeError, ValueError):
        return None


def _refused(reason: Exception) -> tuple[str, str]:
    return f"cannot be used ({getattr(reason, 'strerror', None) or reason})", "give another name"


def _wrong_file(path: Path, ending: str, reads: list[Path]) -> Iterator[tuple[str, str]]:
    folder = path.resolve().parent
    if ending and path.suffix.lower() != ending:
        yield f"does not end in {ending}", "give a name that does"
    if path.is_dir():
        yield "is a folder", "give the name of a file"
    elif path.exists() and not path.is_file():
        yield "is a device or a pipe, not a file", "give the name of a file"
    elif not folder.is_dir():
        yield "lies in a folder that does not exist", "make the folder first"
    elif any(_is_read(path, read) for read in reads):
        yield "is read by this build", "give another name"
    elif not os.access(folder, os.W_OK):
        yield "lies in a folder that may not be written to", "give another place"
    elif path.exists() and not os.access(path, os.W_OK):
        yield "may not be written", "close it where it is open, or give another name"


def _is_read(path: Path, read: Path) -> bool:
    """Say whether a path is a file that is read, or is a table in a folder that is read."""
    try:
        read.stat()
    except (OSError, RuntimeError, ValueError):
        return False  # what cannot be read is said where it is read
    if read.is_dir():
        return path.resolve().parent == read.resolve() and path.suffix.casefold() == ".csv"
    return path.exists() and path.samefile(read)
