"""CPU seconds that LibreOffice takes for a workbook: to load it, to calculate it, to follow an input.

Run `python -m tests.benchmarks.recalculation` for the sample and for 500, 2,000 and 4,000 generated boxes, or name
sizes: `python -m tests.benchmarks.recalculation 1000 2000`. Seconds of all threads and processes of the office
program are added. A ratio near that of the boxes says that recalculation grows with the job, not with its square.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests import office
from tests.benchmarks.generate import write_schedule

SYSTEM_PYTHON = "/usr/bin/python3"
"""The interpreter that the office program's own module is installed for."""

CHANGED = "box_tail_ft"
"""The input that is changed: every run, its material, its labor and every total follow it."""

FOLLOWS = ("totals", "material_cost")
"""A total of the first sheet that grows with the input: where it stands still, nothing was measured."""

SIZES = (500, 2000, 4000)
SAMPLE = Path(__file__).parents[2] / "samples" / "two-story.csv"

STAGES = ("load", "first calculation", "input changed", "changed back", "hard recalculation")
"""The first calculation and the hard one compute every formula; after a change only what follows it is computed."""


KEEP_VALUES = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">
<value>1</value></prop></item></oor:items>"""
"""A profile that takes the values of the file on loading, so that loading and calculating are measured apart."""

SCRIPT = r"""
import os, signal, subprocess, sys, time
import uno
from com.sun.star.beans import PropertyValue
from com.sun.star.connection import NoConnectException

program, profile, book, name, sheet, place = sys.argv[1:]
pipe = f"takeoff{os.getpid()}"
office = subprocess.Popen(
    [program, f"-env:UserInstallation={profile}", "--headless", "--norestore", f"--accept=pipe,name={pipe};urp;"],
    start_new_session=True,
)

def spent():
    # user and system seconds of every process of the session of the office program
    ticks = 0
    for number in filter(str.isdigit, os.listdir("/proc")):
        try:
            fields = open(f"/proc/{number}/stat").read().rpartition(")")[2].split()
        except OSError:
            continue
        if int(fields[3]) == office.pid:
            ticks += int(fields[11]) + int(fields[12])
    return ticks / os.sysconf("SC_CLK_TCK")

def connected():
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstance("com.sun.star.bridge.UnoUrlResolver")
    for _ in range(240):
        try:
            return resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except NoConnectException:
            time.sleep(0.25)
    raise SystemExit("the office program does not answer")

def timed(call):
    start = spent()
    result = call()
    print(spent() - start, flush=True)
    return result

try:
    context = connected()
    desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
    hidden = PropertyValue("Hidden", 0, True, 0)
    document = timed(lambda: desktop.loadComponentFromURL(book, "_blank", 0, (hidden,)))
    timed(document.calculateAll)
    total = document.Sheets.getByName(sheet).getCellRangeByName(place)
    cell = document.NamedRanges.getByName(name).getReferredCells().getCellByPosition(0, 0)
    before, sum_before = cell.getValue(), total.getValue()

    def change(value):
        cell.setValue(value)
        document.calculate()

    timed(lambda: change(before + 1))
    assert total.getValue() > sum_before, "the input reached no total"
    timed(lambda: change(before))
    assert abs(total.getValue() - sum_before) < 1e-6, "the total did not come back"
    timed(document.calculateAll)
    document.close(True)
finally:
    os.killpg(office.pid, signal.SIGTERM)
    office.wait()
"""


@dataclass(frozen=True)
class Measured:
    """CPU seconds of one workbook by stage."""

    title: str
    boxes: int
    formulas: int
    seconds: Mapping[str, float]


def why_not() -> str:
    """Return why nothing can be measured here, or an empty text."""
    if not office.SOFFICE:
        return "LibreOffice is not installed"
    if not Path("/proc/self/stat").exists():
        return "this system does not show the CPU time of processes under /proc"
    try:
        found = subprocess.run([SYSTEM_PYTHON, "-c", "import uno"], capture_output=True, check=False).returncode == 0
    except OSError:
        found = False
    return "" if found else f"{SYSTEM_PYTHON} has no module uno; the package python3-uno brings it"


def measure(title: str, schedule: Path, folder: Path) -> Measured:
    """Build a schedule and measure its workbook in a fresh office program."""
    from takeoff.build import Options, compute, provenance_of
    from takeoff.workbook.writer import references_of, write_workbook

    build = compute(Options(schedule))
    book, profile = folder / f"{schedule.stem}.xlsx", folder / f"profile-{schedule.stem}"
    write_workbook(build.book, provenance_of(build), book)
    boxes, formulas = len(build.job.boxes), len(office.formulas(book))
    spot = references_of(build.book).spots[FOLLOWS[0]]
    total = f"{spot.letter(FOLLOWS[1])}{spot.first_row}"
    (profile / "user").mkdir(parents=True)
    (profile / "user" / "registrymodifications.xcu").write_text(KEEP_VALUES, encoding="utf-8")
    arguments = [str(office.SOFFICE), profile.as_uri(), book.as_uri(), CHANGED, spot.sheet, total]
    done = subprocess.run([SYSTEM_PYTHON, "-c", SCRIPT, *arguments], capture_output=True, text=True, check=False)
    if done.returncode:
        raise RuntimeError(f"{title} could not be measured: {done.stderr}")
    seconds = dict(zip(STAGES, map(float, done.stdout.split()), strict=True))
    return Measured(title, boxes, formulas, seconds)


def shown(lines: Sequence[Measured]) -> str:
    """Return the seconds as a table; under each generated size stands its ratio to the smallest."""
    head = f"{'':18}{'boxes':>8}{'formulas':>12}" + "".join(f"{stage:>20}" for stage in STAGES)
    texts = [head]
    base = min((m for m in lines[1:]), key=lambda m: m.boxes, default=None)
    for m in lines:
        cells = "".join(f"{m.seconds[stage]:18.2f} s" for stage in STAGES)
        texts.append(f"{m.title:18}{m.boxes:8,}{m.formulas:12,}{cells}")
        if base and m is not lines[0] and m is not base:
            ratios = "".join(f"{_ratio(m.seconds[s], base.seconds[s]):>18} x" for s in STAGES)
            texts.append(f"{'':18}{m.boxes / base.boxes:6.1f} x{m.formulas / base.formulas:10.1f} x{ratios}")
    return "\n".join(texts)


def _ratio(seconds: float, base: float) -> str:
    return f"{seconds / base:.1f}" if base else "-"


def main(sizes: Sequence[int]) -> None:
    """Measure the sample and every size, one after the other, and print them."""
    reason = why_not()
    if reason:
        print(f"nothing measured: {reason}")
        return
    print(f"CPU seconds of LibreOffice; the input changed is {CHANGED}; ratios are to the smallest size", flush=True)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        lines = [measure("sample", SAMPLE, folder)]
        for boxes in sizes:
            schedule = folder / f"generated-{boxes}.csv"
            write_schedule(schedule, boxes)
            lines.append(measure("generated", schedule, folder))
    print(shown(lines))


if __name__ == "__main__":
    main([int(size) for size in sys.argv[1:]] or SIZES)
