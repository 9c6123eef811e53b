"""Type over every input cell of a workbook, one at a time: no total is wrong under a line that stays clear.

`python -m tests.attack.typed_over` does all of them in every way, with a number N one cell in N; the suite clears every
cell, and does the other ways to one cell of each column.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

import openpyxl

from takeoff.build import Options, compute
from takeoff.report.output import write_outputs
from tests.attack.jobs import DIRECT, LINES
from tests.conftest import SAMPLES
from tests.typing_over import CLEARED, FORMULA, NUMBER, TEXT, Read, Typed, type_over

LINE = ("Summary", "A3")
TOTALS = [("Summary", f"{letter}{row}") for row in (11, 12, 13) for letter in "BCDEFGHI"]
"""What every sheet says, and the totals of the three plans: counts, hours, material, installed, bid."""

WAYS = (
    (CLEARED, ""),
    (TEXT, "abc"),
    (TEXT, "5"),
    (TEXT, "*"),
    (NUMBER, "-1000000000000"),
    (NUMBER, "1000000000000"),
    (FORMULA, "=NA()"),
    (FORMULA, "=1/0"),
)
"""What is done to a cell."""

NOT_AN_INPUT = ("About",)
"""Sheets with a cell that only shows how an input looks."""


def book_of(folder: Path) -> Path:
    """Return the workbook of the small sample, with lines of the bid and a quote."""
    (folder / "lines.toml").write_text(DIRECT + LINES)
    options = Options(SAMPLES / "small.csv", None, folder / "lines.toml", quotes=(SAMPLES / "quote-current.csv",))
    write_outputs(compute(options), folder / "b.xlsx", None)
    return folder / "b.xlsx"


def columns_of(path: Path) -> Iterator[tuple[str, list[str]]]:
    """Yield the open cells of every column of inputs, with their sheet."""
    for sheet in openpyxl.load_workbook(path):
        if sheet.title not in NOT_AN_INPUT:
            for table in sheet.tables.values():
                for heading, *column in zip(*sheet[table.ref], strict=True):
                    cells = [c.coordinate for c in column if not c.protection.locked]
                    assert len(cells) in (0, len(column)), heading.value
                    if cells:
                        yield sheet.title, cells


def wrong(typed: Sequence[Typed], read: Sequence[Sequence[Read]]) -> list[str]:
    """Return what went wrong: a total that changed under a clear line, and a line that is an error."""
    before, *found, after = read
    said = [] if before == after else ["the workbook did not come back to what it was"]
    for one, (line, *totals) in zip(typed, found, strict=True):
        name = f"{one.sheet}!{one.cell} {one.kind} {one.value}"
        if line.is_error or not line.shown:
            said.append(f"{name}: the line on every sheet is an error")
        elif line == before[0] and totals != list(before[1:]):
            said.append(f"{name}: a total moved, the line did not")
    return said


def main(step: int = 1) -> None:
    """Do everything to every cell, or to one in so many."""
    start = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        path = book_of(Path(folder))
        columns = list(columns_of(path))
        chosen = [(sheet, cell) for sheet, cells in columns for cell in cells][::step]
        typed = [Typed(sheet, cell, *way) for sheet, cell in chosen for way in WAYS]
        said = wrong(typed, type_over(Path(folder), path, typed, [LINE, *TOTALS], 7200))
    for line in said:
        print(line)
    print(f"{len(typed)} times typed over {len(chosen)} cells in {time.perf_counter() - start:.0f} s")
    sys.exit(bool(said))


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
