"""Changes of inputs in a written workbook, and the same changes as input of a rebuild."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import openpyxl
from openpyxl.cell import Cell
from openpyxl.worksheet.worksheet import Worksheet

from takeoff.build import Build, Options, compute
from takeoff.report.output import write_outputs
from takeoff.workbook.pages.crew import NOT_AS_DRAWN
from tests import office
from tests.held import held_pages

INVENTED = "illustrative, invented for the demonstration: replace"
"""The source of invented figures: in the workbook it stays where only the figure changes, so the overlay repeats it."""


SCHEDULE = """box,circuit,device,run_ft,fed_from,wires,space,breaker_a,awg,repeat,box_style,construction
R1,KP-1,duplex,46,,,,,10,,,
R2,KP-1,duplex,12,,,,,12,,device,
R3,KP-1,gfci,12,,,,,12,,,
R4,KP-1,gfci,9,R2,,,,12,,,
L1,KP-2,switch-3way,38,,A N,,,12,2,,
L2,KP-2,switch-3way,27,,T1 T2 N,,,12,,,
L3,KP-2,luminaire,11,,S1 N,damp,,12,,,
L4,KP-2,luminaire,10,,S1 N,damp,,12,,,
J1,"KP-3,5",junction,52,,A B N IG,,,12,,,
J2,"KP-3,5",duplex-ig+duplex,8,J1,A N IG,,,12,,,
J3,"KP-3,5",duplex,14,J1,B N,,,12,,,
J4,"KP-3,5",junction,14,J1,B N,,,12,,,
J5,"KP-3,5",duplex,14,J1,B N,,,12,,,
P1,KP-4,duplex-hg,61,,,patient-care,,12,,,
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


RISK = {
    "risk": (
        *("shape of the ranges", "draws, ea", "P10, USD", "P50, USD", "P90, USD", "chance of a saving, %"),
        *("mean of the draws, USD", "standard deviation, USD", "sampled mean less it, USD"),
        *("ranges together, and the draws, USD", "to settle first, 0/1", "verdict", "headline and chance"),
        "loses as estimated, or on the average, 0/1",
        "chance and estimate point apart, 0/1",
        *("inputs changed since the build, ea", "state"),
    ),
    "risk_basis": ("was changed, 0/1",),
    "swap": (
        "what goes back by the list, all of it bought, USD",
        "whole coils beyond feet, to less from, USD",
    ),
    "rest_state": ("begun or not since", "other plans since", "changed since, ea"),
    "risk_ranges": ("high was changed, 0/1", "cause or correlation was changed, 0/1", "was changed, 0/1"),
}
"""Columns that hold draws of the risk, which a build makes, against what is there now."""

CUTTING = {
    **dict.fromkeys(("order_state", "order_plans", "order_list", "cable_orders", "coils", "cable_priced"), ()),
    "run_changes": ("changed since, 0/1",),
    "package_changes": ("changed since, 0/1",),
    **dict.fromkeys(("cable_bought", "cable_more", "cable_priced", "rest_cable"), ()),
    "error_cells": (),
}
"""The same of cutting plans; a table without columns is one as a whole, its rows being those of the plans."""

WEIGHED = dict.fromkeys(
    (
        "invented_prices",
        "invented_minutes",
        "invented_families",
        "invented_rates",
        "invented_tails",
        "invented_conditions",
        "invented_routes",
    ),
    (),
)
"""Lists of what is still invented: which rows there are, and their order, is of the build."""

STANDING = {**dict.fromkeys(("job_stops", "standing", "master"), ()), "totals": ("state",)}
"""What says that draws and cutting plans are stale after a change, and what follows from it."""

BUILT = {**RISK, **CUTTING, **WEIGHED, **STANDING}

BUILT_WORDS = (NOT_AS_DRAWN, "master.status", "plans that change place by it")
"""Words of formulas beside drawings; what stands there, in draws and in cutting plans is tested with each."""


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
    with held_pages():
        return compute(Options(folder / "schedule.csv", overlay, None, sets, "ac-first,mc-wire-first,mc-armor-first"))


def written(build: Build) -> Path:
    """Write the workbook of a build beside its schedule."""
    path = build.options.schedule.with_name("built.xlsx")
    write_outputs(build, path, None)
    return path


KEYS_IN = 4
"""Columns at the left of a table in one of which the key of a row stands."""


def change_cells(source: Path, target: Path, changes: Sequence[Change]) -> None:
    """Change input cells, found by the table with their heading and their row, in a copy of a workbook."""
    book = openpyxl.load_workbook(source)
    for change in changes:
        input_cell(book[change.sheet], change.row, change.heading).value = change.value
    book.save(target)


def input_cell(sheet: Worksheet, row: str, heading: str) -> Cell:
    """Return the first cell below a heading in the row of a key, of the one table of a sheet that has both."""
    found = []
    for table in sheet.tables.values():
        headings, *lines = sheet[table.ref]
        at = [n for n, cell in enumerate(headings) if cell.value == heading]
        found += [line[n] for n in at for line in lines if row in [c.value for c in line[:KEYS_IN]]][:1]
    (cell,) = found
    return cell


def tables_of(path: Path) -> dict[str, list[tuple[Cell, ...]]]:
    """Return the tables of a workbook by name, headings first."""
    return {
        table.displayName.removeprefix("table_"): list(sheet[table.ref])
        for sheet in openpyxl.load_workbook(path)
        for table in sheet.tables.values()
    }


def place_of(cell: Cell) -> tuple[str, str]:
    """Return sheet and place of a cell."""
    return cell.parent.title, cell.coordinate


_REFERENCE = re.compile(r"(?:'([^']+)'!|([A-Za-z]\w*)!)?(?<![\w.:])\$?([A-Z]{1,3})\$?(\d+)(?![\w(.:!])")


def live(
    path: Path, built: Mapping[str, Sequence[str]] = BUILT, words: Sequence[str] = BUILT_WORDS
) -> dict[tuple[str, str], str]:
    """Return the formulas of a workbook without those on facts of the build, which a change makes stale.

    Left out are the columns of `built`, and formulas on pages that show one of their cells or hold one of the words.
    """
    formulas, stale, of_tables = office.formulas(path), set(), set()
    for name, (headings, *lines) in tables_of(path).items():
        of_tables |= {place_of(cell) for line in lines for cell in line}
        if name in built:
            wanted = built[name] or [cell.value for cell in headings]
            columns = [n for n, cell in enumerate(headings) if cell.value in wanted]
            assert len(columns) == len(wanted), f"{name} has not all of {wanted}"
            stale |= {place_of(line[n]) for line in lines for n in columns}
    for (sheet, cell), formula in formulas.items():
        reads = {(a or b or sheet, f"{letters}{row}") for a, b, letters, row in _REFERENCE.findall(formula)}
        if (sheet, cell) not in of_tables and (reads & stale or any(word in formula for word in words)):
            stale.add((sheet, cell))
    return {place: formula for place, formula in formulas.items() if place not in stale}
