"""Files of somebody else that stand where a file of a build is to be written."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from takeoff.model.givens.inputs import BASE
from takeoff.model.order.cables import FILES, HEADINGS
from takeoff.text.problems import Problem, visible
from takeoff.workbook.columns import HEADINGS as COLUMN_HEADINGS
from takeoff.workbook.file.ours import begins_with, is_our_workbook, is_something

FOREIGN = "is there and was not written by this tool", "give another name, or move it away"
PERHAPS = "is there, and may be a schedule of your own", "give another name, or move it away"


def taken(
    workbook: Path | None, results: Path | None, order: Path | None, columns: Path | None, expanded: Path | None
) -> Iterator[Problem]:
    """Yield the files to write that somebody else wrote; of an expanded schedule, any: it begins like every schedule.

    Parameters
    ----------
    workbook, results, columns, expanded
        Files to write.
    order
        Folder of the order.
    """
    begins = [(results, '{\n "inputs"'), (columns, ",".join(COLUMN_HEADINGS[:3]))]
    if order:
        begins += [(order / name, ",".join(HEADINGS[name]) + "\n") for name in FILES]
    files = [(path, FOREIGN) for path, text in begins if path and not begins_with(path, text)]
    if workbook and not is_our_workbook(workbook, BASE):
        files.append((workbook, FOREIGN))
    if expanded and is_something(expanded):
        files.append((expanded, PERHAPS))
    yield from (Problem(visible(str(path)), None, "", "", *said) for path, said in files)
