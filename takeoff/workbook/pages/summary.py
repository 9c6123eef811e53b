"""The summary: one page that says what was compared, what it comes to, and what to look at first."""

from __future__ import annotations

from collections.abc import Sequence

from openpyxl.utils import get_column_letter

from takeoff.text.dates import FORMAT as DATE
from takeoff.workbook.charts import bars
from takeoff.workbook.layout import Spot
from takeoff.workbook.pages.page import Page, Provenance
from takeoff.workbook.sheets.order import SHEETS
from takeoff.workbook.sheets.plan import KIND_WORDS

FIRST_TABLE_ROW = 8
WIDTHS = {1: 25.0, 2: 48.0, **dict.fromkeys(range(3, 22), 11.6), 19: 15.0}
"""Widths of the columns: names, descriptions, figures; the state of a total needs more room."""

CHART_ROWS, CHART_COLUMNS = 17, 5
"""Rows and columns that a chart covers."""


def fill(page: Page, spots: Sequence[Spot], provenance: Provenance) -> None:
    """Write the cells of the summary around its tables, and its two charts."""
    book = page.book
    page.sentence(1, 1, "Plans compared: ", page.live("", "project"), style="title")
    page.rows.heights[1] = 22
    boxes, circuits = (page.total(table, "repeat") for table in ("boxes", "circuits"))
    page.sentence(2, 1, boxes, " boxes in ", circuits, " circuits, repeats included")
    page.sentence(2, 3, "code edition ", page.live("", "code_edition"), "; date of the estimate:")
    page.put(2, 7, book.inputs["estimate_date"], "note", formula="estimate_date", form=DATE)
    page.status(3)
    page.put(4, 1, "Base of the differences", "key")
    page.given(4, 2, "base_plan", "General")
    said = "chosen on the sheet Inputs; a difference is this plan less the base, negative costs less"
    page.put(4, 3, said, "note")
    totals, _, sizes = spots
    last = _charts(page, totals, sizes)
    row = max(sizes.last_row, last) + 2
    page.put(row, 1, "Cautions", "heading")
    for text in provenance.cautions:
        row += 1
        page.put(row, 1, text)
    if provenance.notices:
        row += 1
        page.put(row, 1, f"{len(provenance.notices)} notices on what was read stand on the sheet About.")
    last_column = max(len(totals.shown), len(sizes.shown) + 1 + 2 * CHART_COLUMNS)
    page.sheet.print_area = f"A1:{get_column_letter(last_column)}{row}"
    _sheets(page, row + 2)


def _sheets(page: Page, row: int) -> None:
    """Link every sheet, below what is printed; figures above link to the cells they show."""
    page.put(row, 1, "Sheets", "heading")
    page.put(row, 2, "a figure above leads to the cell that it shows", "note")
    for plan in SHEETS[1:]:
        row += 1
        page.put(row, 1, plan.title, "key")
        page.put(row, 2, f"{KIND_WORDS[plan.kind].partition(':')[0]}. {plan.intro}")
        page.rows.links.append((f"A{row}", f"'{plan.title}'!A1"))


def _charts(page: Page, totals: Spot, sizes: Spot) -> int:
    """Put the charts to the right of the boxes by size; return the last row they cover."""
    top, right = sizes.header_row - 2, len(sizes.shown) + 2
    charts = (
        (("material_cost", "labor_cost"), "Installed cost", "USD"),
        (("circuit_terminations", "ground_terminations"), "Terminations in boxes", "terminations"),
    )
    for place, (columns, title, up) in enumerate(charts):
        chart = bars(page.book, totals, columns, title, "plan", up, stacked=True)
        chart.anchor = f"{get_column_letter(right + CHART_COLUMNS * place)}{top}"
        page.sheet.add_chart(chart)
    return top + CHART_ROWS
