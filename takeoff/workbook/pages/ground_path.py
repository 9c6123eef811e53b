"""The chart of the ground path sheet: the longest run in every construction, as a range."""

from __future__ import annotations

from collections.abc import Sequence

from openpyxl.utils import get_column_letter

from takeoff.workbook.charts import bands
from takeoff.workbook.layout import Spot
from takeoff.workbook.pages.page import Page

TITLE = "Longest run: surely opens at once, to may still"


def add_chart(page: Page, spots: Sequence[Spot]) -> None:
    """Put the chart beside the tables that stand above the long ones."""
    by_name = {s.table.name: s for s in spots}
    spot = by_name["curves"]
    chart = bands(
        page.book, spot, "label", "least_ft", "span_ft", TITLE, "one run, ft; no order follows from invented figures"
    )
    widest = max(len(by_name[name].shown) for name in ("curves", "short_times"))
    chart.anchor = f"{get_column_letter(widest + 2)}{spot.header_row - 2}"
    page.sheet.add_chart(chart)
