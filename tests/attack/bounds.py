"""Time and memory at every bound that the README states: `python -m tests.attack.bounds [NAME ...]`.

Each file stands at its bound and is read in a process of its own, schedule and wiring too where it is a schedule.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import openpyxl

from takeoff.build import Options, read_job
from takeoff.job.cells import LONGEST_TEXT
from takeoff.job.columns import MOST_EXTRA
from takeoff.text.problems import InputError
from takeoff.text.read import MAX_BYTES, MAX_ROWS
from takeoff.text.workbook_parts import MAX_ELEMENTS, MAX_UNPACKED
from takeoff.text.workbook_sheet import MAX_CELLS, MAX_COLUMNS

HEAD = "box,circuit,device,run_ft"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LONGEST_S, MOST_MB = 60, 1000
"""Processor time and memory that reading takes at most at any bound."""


def _csv(folder: Path, lines: Iterator[str], head: str = HEAD) -> Path:
    path = folder / "s.csv"
    with path.open("w", encoding="utf-8") as out:
        out.write(head + "\n")
        out.writelines(f"{line}\n" for line in lines)
    return path


def _row(number: int) -> str:
    return f"B{number},P-{number // 10},duplex,12"


def _cell(text: str) -> str:
    return f'<c t="inlineStr"><is><t>{text}</t></is></c>'


def _xlsx(folder: Path, rows: Iterator[str]) -> Path:
    """Write a workbook of one sheet whose rows are given as they stand, below the headings and one box."""
    openpyxl.Workbook().save(folder / "empty.xlsx")
    path, part = folder / "s.xlsx", "xl/worksheets/sheet1.xml"
    with zipfile.ZipFile(folder / "empty.xlsx") as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in (n for n in old.namelist() if n != part):
            new.writestr(name, old.read(name))
        with new.open(part, "w", force_zip64=True) as out:
            out.write(f'<worksheet xmlns="{MAIN}"><sheetData>'.encode())
            for line in (HEAD.split(","), _row(1).split(",")):
                out.write(f"<row>{''.join(map(_cell, line))}</row>".encode())
            out.writelines(f"<row>{row}</row>".encode() for row in rows)
            out.write(b"</sheetData></worksheet>")
    return path


def _bytes(folder: Path) -> Path:
    """Write a file of the most bytes: boxes with notes."""
    note = "x" * 2_000
    return _csv(folder, (f"{_row(n)},{note}" for n in range(MAX_BYTES // 2_040)), f"{HEAD},note")


CASES: dict[str, Callable[[Path], Path]] = {
    "bytes of a file": _bytes,
    "rows": lambda folder: _csv(folder, map(_row, range(MAX_ROWS))),
    "count of a row": lambda folder: _csv(folder, iter(["B,P-1,duplex,12,10000"]), f"{HEAD},count"),
    "repeat of a circuit": lambda folder: _csv(folder, iter(["B,P-1,duplex,12,10000"]), f"{HEAD},repeat"),
    "feet of a run": lambda folder: _csv(folder, iter(["B,P-1,duplex,10000"])),
    "gangs of a box": lambda folder: _csv(folder, iter(["B,P-1,junction,12,12"]), f"{HEAD},gangs"),
    "own columns": lambda folder: _csv(
        folder,
        (f"{_row(n)}{',x' * MOST_EXTRA}" for n in range(1_000)),
        HEAD + "".join(f",c{n}" for n in range(MOST_EXTRA)),
    ),
    "characters of an entry": lambda folder: _csv(
        folder, (f"{_row(n)},{'x' * LONGEST_TEXT}" for n in range(1_000)), f"{HEAD},note"
    ),
    "columns of a workbook": lambda folder: _xlsx(
        folder, (f'<c r="{_last()}{n + 3}"/>' for n in range(MAX_CELLS // 1_000))
    ),
    "cells of a workbook": lambda folder: _xlsx(folder, ('<c s="0"/>' * 100 for _ in range(MAX_CELLS // 100 - 1))),
    "elements of a part": lambda folder: _xlsx(folder, ("<x/>" * 1_000 for _ in range(MAX_ELEMENTS // 1_001 - 1))),
    "bytes unpacked": lambda folder: _xlsx(
        folder, (f"<!--{'x' * 1_000_000}-->" for _ in range(MAX_UNPACKED // 1_000_000 - 2))
    ),
}
"""A file at each bound."""


def _last() -> str:
    return openpyxl.utils.get_column_letter(MAX_COLUMNS)


def read_at(path: Path) -> dict[str, float | str]:
    """Read a file in this process and return seconds, megabytes and boxes, or what was said instead."""
    start = time.process_time()
    try:
        said = f"{len(read_job(Options(path)).job.boxes):,} boxes"
    except InputError as wrong:
        said = f"refused: {wrong.problems[0]}"
    seconds = time.process_time() - start
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
    return {"seconds": seconds, "megabytes": peak, "said": said}


def measured(name: str, folder: Path) -> dict[str, float | str]:
    """Return what reading the file at a bound takes, in a process of its own."""
    path = CASES[name](folder)
    done = subprocess.run(
        [sys.executable, "-m", "tests.attack.bounds", "--one", str(path)], capture_output=True, text=True, check=True
    )
    return dict(json.loads(done.stdout.splitlines()[-1]))


def main() -> int:
    """Print time and memory at the bounds named, or at all of them."""
    wrong = 0
    for name in sys.argv[1:] or CASES:
        with tempfile.TemporaryDirectory() as folder:
            found = measured(name, Path(folder))
        over = float(found["seconds"]) > LONGEST_S or float(found["megabytes"]) > MOST_MB
        wrong += over
        print(
            f"{name:<26}{found['seconds']:8.1f} s{found['megabytes']:8.0f} MB  {found['said']}{'  OVER' if over else ''}",
            flush=True,
        )
    return wrong


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        print(json.dumps(read_at(Path(sys.argv[2]))))
    else:
        sys.exit(main())
