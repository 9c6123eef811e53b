"""A build whose target was edited by hand since it was written stops before it is overwritten."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from takeoff.addendum.earlier import read_earlier
from takeoff.model.givens.inputs import BASE
from takeoff.text.problems import InputError, fail, visible
from takeoff.workbook.file.ours import is_our_workbook
from takeoff.workbook.file.reading import saved_by_another


def stop_if_edited(target: Path, carry: Path | None, reads: Sequence[Path] = ()) -> None:
    """Stop where a workbook that is to be overwritten holds what was changed by hand, unless that is carried over.

    Parameters
    ----------
    target
        The workbook to write, which need not be there.
    carry
        The workbook whose changes are carried over.
    reads
        Files that the build reads: that none of them is written is said elsewhere.

    Raises
    ------
    InputError
        One sentence that says how many changes would be lost, and what helps.
    """
    try:
        if not target.is_file() or any(path.exists() and path.samefile(target) for path in (carry, *reads) if path):
            return
    except OSError:
        return  # what cannot be looked at is told where it is to be written
    if not is_our_workbook(target, BASE):
        return  # a file of somebody else is told where it is to be written
    shown = visible(str(target))
    try:
        earlier = read_earlier(target, thorough=saved_by_another(target))
    except InputError as wrong:
        message = f"{wrong.problems[0].message}: what was typed into it would be lost"
        raise fail(shown, message, "give another name, or --replace it") from None
    if count := len(earlier.edits) + len(earlier.unread):
        said = "a change" if count == 1 else f"{count} changes"
        message = f"was edited by hand since it was written, {said} in its cells"
        raise fail(shown, message, f"--carry {shown} lays them over the new build, --replace drops them")
