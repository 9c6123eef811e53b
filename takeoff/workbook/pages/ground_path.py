"""The chart of the ground path sheet: the longest run in every construction, as a range."""

from __future__ import annotations

from collections.abc import Sequence

from openpyxl.utils import get_column_letter

from takeoff.workbook.charts import bands, small
from takeoff.workbook.layout import Spot
from takeoff.workbook.measure import DIGIT
from takeoff.workbook.pages.page import Page

TITLE = "Longest run: surely opens at once, to may still"

HIGH = 12.0
"""Height of the chart in cm, which shows the name of every bar."""


def add_chart(page: Page, spots: Sequence[Spot]) -> None:
    """Put the chart beside the short tables, on the page that they are printed on: below the wide one, no wider."""
    by_name = {s.table.name: s for s in spots}
    spot = by_name["curves"]
    chart = bands(
        page.book, spot, "label", "least_ft", "span_ft", TITLE, "one run, ft; no order follows from invented figures"
    )
    beside = max(len(by_name[name].shown) for name in ("short_times", "far_ends")) + 2
    widths = [page.sheet.column_dimensions[get_column_letter(n)].width for n in range(beside, len(spot.shown) - 2)]
    chart.width, chart.height = min(chart.width, sum(widths) * DIGIT / 96 * 2.54), HIGH
    chart.anchor = f"{get_column_letter(beside)}{by_name['short_times'].header_row - 2}"
    page.sheet.add_chart(small(chart))
