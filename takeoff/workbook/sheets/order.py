"""All sheets in the order a person reads: results, what may be changed, workings, catalogs, about."""

from __future__ import annotations

from collections.abc import Container

from takeoff.workbook.sheets.inputs import CATALOGS, JOB
from takeoff.workbook.sheets.plan import SheetPlan
from takeoff.workbook.sheets.results import CHANGES, END, FRONT
from takeoff.workbook.sheets.workings import WORKINGS

SHEETS = (*FRONT, *JOB, *WORKINGS, *CATALOGS, *END)


def sheets_of(tables: Container[str]) -> tuple[SheetPlan, ...]:
    """Return the sheets of a book with these tables: what changed stands behind the Summary, where it is told."""
    if all(name in tables for name in CHANGES.tables):
        return tuple(plan.of(tables) for plan in (SHEETS[0], CHANGES, *SHEETS[1:]))
    return tuple(plan.of(tables) for plan in SHEETS)
