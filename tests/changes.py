"""Changes of inputs in a written workbook, and the same changes as input of a rebuild."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import openpyxl

from takeoff.build import Build, Options, compute
from takeoff.report.output import write_outputs
from takeoff.workbook.pages.crew import NOT_AS_DRAWN
from takeoff.workbook.pages.summary import BASE_CELL

INVENTED = "illustrative, invented for the demonstration: replace"
"""The source of invented figures: in the workbook it stays where only the figure changes, so the overlay repeats it."""


SCHEDULE = """box,circuit,device,run_ft,fed_from,wires,space,breaker_a,awg,repeat,box_style,construction
R1,KP-1,duplex,46,,,,,10,,,
R2,KP-1,duplex,12,,,,,,,device,
R3,KP-1,gfci,12,,,,,,,,
R4,KP-1,gfci,9,R2,,,,,,,
L1,KP-2,switch-3way,38,,A N,,,,2,,
L2,KP-2,switch-3way,27,,T1 T2 N,,,,,,
L3,KP-2,luminaire,11,,S1 N,damp,,,,,
L4,KP-2,luminaire,10,,S1 N,damp,,,,,
J1,"KP-3,5",junction,52,,A B N IG,,,,,,
J2,"KP-3,5",duplex-ig+duplex,8,J1,A N IG,,,,,,
J3,"KP-3,5",duplex,14,J1,B N,,,,,,
J4,"KP-3,5",junction,14,J1,B N,,,,,,
J5,"KP-3,5",duplex,14,J1,B N,,,,,,
P1,KP-4,duplex-hg,61,,,patient-care,,,,,
E1,KP-6,equipment-3p,48,,A B C,,30,10,,,emt-wire
H1,KP-8,equipment-3p,48,,A B C,,60,4,,,
"""


@dataclass(frozen=True)
class Change:
    """A change of one input in the workbook, and the same change as input of a rebuild."""

    name: str
    sheet: str
    row: str
    heading: str
    value: object
    sets: tuple[str, ...] = ()
    catalogs: dict[str, str] = field(default_factory=dict)
    schedule: tuple[str, str] = ("", "")


BUILT = {"Order", "Cable order", "Cutting plan", "Order workings", "Risk"}


BUILT_WORDS = ("risk.", NOT_AS_DRAWN)
"""Sheets and words of formulas on cutting plans, draws of the risk and drawings; what stands there is tested with each."""


def rebuilt(folder: Path, changes: Sequence[Change]) -> Build:
    """Build from the schedule above with changes as inputs."""
    folder.mkdir(parents=True, exist_ok=True)
    text = SCHEDULE
    sets = [s for change in changes for s in change.sets]
    overlay = folder / "catalogs"
    overlay.mkdir()
    for change in changes:
        text = text.replace(*change.schedule) if change.schedule[0] else text
        for name, rows in change.catalogs.items():
            assert not (overlay / f"{name}.csv").exists(), "two changes of one group change the same catalog"
            (overlay / f"{name}.csv").write_text(rows)
    (folder / "schedule.csv").write_text(text)
    return compute(Options(folder / "schedule.csv", overlay, None, sets, "ac,mc-wire,mc-armor"))


def written(build: Build) -> Path:
    """Write the workbook of a build beside its schedule."""
    path = build.options.schedule.with_name("built.xlsx")
    write_outputs(build, path, None)
    return path


def change_cells(source: Path, target: Path, changes: Sequence[Change]) -> None:
    """Change input cells, found by their row and heading, in a copy of a workbook."""
    book = openpyxl.load_workbook(source)
    for change in changes:
        sheet = book[change.sheet]
        if not change.heading:
            sheet[BASE_CELL.replace("$", "")].value = change.value
            continue
        headings = [cell for row in sheet.iter_rows() for cell in row if cell.value == change.heading]
        rows = (
            (row[0].row, cell.column)
            for cell in headings
            for row in sheet.iter_rows(min_row=cell.row + 1)
            if change.row in [c.value for c in row[:4]]
        )
        sheet.cell(*min(rows)).value = change.value
    book.save(target)


def live(cells: dict[tuple[str, str], str]) -> dict[tuple[str, str], str]:
    """Return the formulas without those on facts of the build, which a change makes stale and only a build renews."""
    return {p: f for p, f in cells.items() if p[0] not in BUILT and not any(word in f for word in BUILT_WORDS)}
