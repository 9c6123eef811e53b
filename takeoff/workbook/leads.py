"""Links from a figure to what it is made of."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.engine.tables import Column
from takeoff.workbook.layout import Spot
from takeoff.workbook.pages.page import Page
from takeoff.workbook.sheets.plan import SheetPlan

LEADS = (
    ("labor", "operation", "operations", "operation"),
    ("material", "item", "prices", "item"),
    ("trace_material", "item", "prices", "item"),
)
"""Where a row of a breakdown leads: table and key, table of the inputs and its key."""


def explain(page: Page, spots: Sequence[Spot]) -> None:
    """Link each figure of the summary to the cell that it shows."""
    for spot in spots:
        name = spot.table.name
        for column in spot.shown:
            if isinstance(column, Column) and page.refs.source(name, column.name):
                for line in range(len(spot.table)):
                    target = page.refs.explained(name, column.name, line)
                    page.rows.links.append((f"{spot.letter(column.name)}{spot.first_row + line}", target))


def to_inputs(page: Page, plan: SheetPlan) -> None:
    """Link every operation to its minutes and every item to its price: what a total is made of, down to the input."""
    for table, key, inputs, by in (lead for lead in LEADS if lead[0] in plan.tables):
        spot, there = page.refs.spots[table], page.refs.spots[inputs]
        rows = {str(k): n for n, k in reversed(list(enumerate(there.table.data[by], start=there.first_row)))}
        for line, wanted in enumerate(spot.table.data[key], start=spot.first_row):
            if str(wanted) in rows:
                cell = f"{there.letter(by)}{rows[str(wanted)]}"
                page.rows.links.append((f"{spot.letter(key)}{line}", f"'{there.sheet}'!{cell}"))
