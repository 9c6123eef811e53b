"""The chart of the ground path sheet: fault current over length, one line for each construction."""

from __future__ import annotations

from collections.abc import Sequence

from openpyxl.worksheet.pagebreak import Break

from takeoff.workbook.charts import lines
from takeoff.workbook.layout import Spot
from takeoff.workbook.pages.page import Page


def add_chart(page: Page, spots: Sequence[Spot]) -> None:
    """Put the chart below the tables of the sheet."""
    spot = next(s for s in spots if s.table.name == "lengths")
    columns = [c.name for c in spot.table.columns if c.name.startswith("times_")]
    chart = lines(page.book, spot, "length_ft", columns, "Ground fault over length", "fault current, times the pickup")
    row = max(s.last_row for s in spots) + 2
    page.sheet.row_breaks.append(Break(id=row - 1))  # the chart stands whole on a page of its own
    chart.anchor = f"A{row}"
    page.sheet.add_chart(chart)
