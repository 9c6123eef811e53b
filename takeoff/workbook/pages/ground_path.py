"""The chart of the ground path sheet: fault current over length, one line for each construction."""

from __future__ import annotations

from collections.abc import Sequence

from openpyxl.utils import get_column_letter

from takeoff.workbook.charts import lines
from takeoff.workbook.layout import Spot
from takeoff.workbook.pages.page import Page


def add_chart(page: Page, spots: Sequence[Spot]) -> None:
    """Put the chart beside the tables under that of the lengths: they are narrower."""
    by_name = {s.table.name: s for s in spots}
    spot = by_name["lengths"]
    columns = [c.name for c in spot.table.columns if c.name.startswith("times_")]
    chart = lines(page.book, spot, "length_ft", columns, "Ground fault over length", "fault current, times the pickup")
    chart.width, chart.height = 19.0, 12.0
    widest = max(len(by_name[name].shown) for name in ("curves", "short_times", "melting"))
    chart.anchor = f"{get_column_letter(widest + 2)}{by_name['curves'].header_row - 2}"
    page.sheet.add_chart(chart)
