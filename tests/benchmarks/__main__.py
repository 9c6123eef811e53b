"""Time and memory of a build by stage, and the ratio to writing the same cells with plain openpyxl.

Run `python -m tests.benchmarks` for 1,000 and 10,000 boxes, or name sizes: `python -m tests.benchmarks 100000`.
Each size runs in a process of its own, so that its peak memory is its own. The plain writing is openpyxl's
write-only mode with bare cells: no styles, no tables and no values beside the formulas.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from takeoff.workbook.file.pieces import formula_pieces, row_by_row
from tests.benchmarks.generate import write_schedule

if TYPE_CHECKING:
    from takeoff.engine.tables import Column, Field
    from takeoff.workbook.layout import Spot
    from takeoff.workbook.references import References

PLAIN_UP_TO = 20_000
"""Boxes up to which the same cells are also written plainly; beyond it takes too long to be of use."""


def timed(title: str, call: Callable[[], Any]) -> tuple[Any, float]:
    """Call a stage, print its time and the peak memory so far."""
    start = time.perf_counter()
    result = call()
    seconds = time.perf_counter() - start
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(f"  {title:<34}{seconds:9.2f} s{peak:9.2f} GB peak")
    return result, seconds


def run(boxes: int) -> None:
    """Measure one size."""
    from takeoff.build import Options, compute, provenance_of, read_job
    from takeoff.wiring.types import find_types
    from takeoff.workbook.writer import references_of, write_workbook

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_schedule(folder / "s.csv", boxes)
        options = Options(folder / "s.csv")
        read, reading = timed("read and wire", lambda: read_job(options))
        timed("sort into make-up types", partial(find_types, read.job, read.catalogs))
        del read  # the computation reads again: what it holds is its own
        build, computing = timed("whole computation, reading included", lambda: compute(options))
        _, writing = timed(
            "write the workbook", lambda: write_workbook(build.book, provenance_of(build), folder / "o.xlsx")
        )
        refs = references_of(build.book)
        cells = sum(len(spot.table) * len(spot.shown) for spot in refs.spots.values())
        whole = computing + writing
        size = (folder / "o.xlsx").stat().st_size / 1e6
        print(
            f"  {cells:,} cells, {size:.0f} MB; {cells / whole / 1e6:.2f} M cells/s whole, {cells / writing / 1e6:.2f} writing"
        )
        if boxes <= PLAIN_UP_TO:
            _, plain = timed("the same cells, plain openpyxl", lambda: write_plainly(refs, folder / "p.xlsx"))
            print(f"  ratio of the whole build to the plain writing: {whole / plain:.2f}")
        print(
            f"  reading takes {reading / boxes * 1e6:.0f} us a box, the whole build {whole / boxes * 1e3:.2f} ms a box"
        )


def write_plainly(refs: References, path: Path) -> None:
    """Write the same cells with openpyxl's write-only mode, formulas without values."""
    from openpyxl import Workbook

    plain = Workbook(write_only=True)
    for name, spot in refs.spots.items():
        sheet = plain.create_sheet(name)
        sheet.append([column.name for column in spot.shown])
        formulas = refs.formulas(name)
        columns = [_entries(refs, spot, column, formulas) for column in spot.shown]
        for line in zip(*columns, strict=True):
            sheet.append(line)
    plain.save(path)


def _entries(refs: References, spot: Spot, column: Field | Column, formulas: Mapping[str, Any]) -> Sequence[object]:
    """Return what stands in a column: formulas as they are in the file, or facts."""
    if column.name not in formulas:
        return list(refs.book.values(spot.table.name, column.name))
    text, fills = formulas[column.name]
    pieces = formula_pieces(f"={text}", fills, spot.first_row, slice(0, len(spot.table)))
    return list(map("".join, row_by_row(pieces, len(spot.table))))


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        run(int(sys.argv[2]))
    else:
        for size in sys.argv[1:] or ["1000", "10000"]:
            print(f"{int(size):,} boxes, the plans compared by default", flush=True)
            subprocess.run([sys.executable, "-m", "tests.benchmarks", "--one", size], check=True)
