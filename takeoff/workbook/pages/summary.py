"""The Summary: what to use and why, the plans side by side, what stands against them, on one page to print."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from textwrap import wrap
from typing import Any

from openpyxl.utils import get_column_letter

from takeoff.model.cost.parts import PARTS
from takeoff.text.dates import FORMAT as DATE
from takeoff.workbook.charts import across, bars, small
from takeoff.workbook.layout import Spot
from takeoff.workbook.pages.page import Live, Page, Provenance
from takeoff.workbook.sheets.order import SHEETS
from takeoff.workbook.sheets.plan import KIND_WORDS, SUMMARY, TRACE

FIRST_TABLE_ROW = 10
LAST_COLUMN = 12
WIDTHS = {1: 19.0, **dict.fromkeys(range(2, 12), 12.0), 12: 16.0}
"""Widths of the columns: plan, ten figures, state."""

CHART_ROWS = 10
CHART_INCHES = 5.7, 1.68
SECOND_CHART_COLUMN = 7
GAP = 5.0
"""Points of a row that only parts others."""

LINE = 205
"""Characters of a sentence that fit the width of the page."""


def fill(page: Page, spots: Sequence[Spot], by_table: Mapping[str, Spot], provenance: Provenance) -> None:
    """Write the cells of the summary around the table of the plans, and its two charts."""
    _head(page)
    _what_to_use(page)
    (totals,) = spots
    row = _best_mix(page, totals.last_row + 1)
    row = _rests_on(page, row + 1)
    row = _choices(page, row, by_table["make_up_says"])
    row = _stops(page, row + 1, len(by_table["stop_lines"].table))
    row = _charts(page, row, by_table)
    row = _heaviest(page, row, len(by_table["heaviest"].table))
    row = _cautions(page, row + 1, provenance)
    page.sheet.print_area = f"A1:{get_column_letter(LAST_COLUMN)}{row}"
    _sheets(page, row + 2)


def _show(
    page: Page, row: int, column: int, table: str, name: str, form: str, style: str = "computed", **more: Any
) -> None:
    """Place a figure, and lead from it to the cell that it shows."""
    page.figure(row, column, table, name, form, style, **more)
    target = page.refs.cell(table, name, more.get("line", 0))
    page.rows.links.append((f"{get_column_letter(column)}{row}", target))


def _head(page: Page) -> None:
    page.sentence(1, 1, "What to use: ", page.live("", "project"), style="title")
    page.rows.heights[1] = 22
    boxes, circuits = (page.total(table, "repeat") for table in ("boxes", "circuits"))
    page.sentence(
        2, 1, boxes, " boxes in ", circuits, " circuits, repeats included; code edition ", page.live("", "code_edition")
    )
    page.put(2, 7, "date of the estimate", "note")
    page.put(2, 9, page.book.inputs["estimate_date"], "note", formula="estimate_date", form=DATE)
    page.sentence(2, 10, "base: ", page.live("", "base_plan"), "; a difference under 0 is less")
    page.status(3)


def _what_to_use(page: Page) -> None:
    """Say which plan is the lowest, against which other one, and how sure that is; where it is not, why."""
    page.rows.heights[4] = page.rows.heights[FIRST_TABLE_ROW - 1] = GAP
    for row, name in enumerate(("says", "against", "sure"), start=5):
        _show(page, row, 1, "decision", name, "General", "heading" if name == "says" else "text")
    for column, head, parts in (
        (1, "Invented figures differ between the two by (USD): ", PARTS[:3]),
        (9, "", PARTS[3:]),
    ):
        said: list[str | Live] = [head] if head else []
        for _, title in parts:
            line = next(n for n, (_, other) in enumerate(PARTS) if other == title)
            said += [f"{title} ", page.live("pair_parts", "off_whole_usd", line), "; "]
        page.sentence(8, column, *said, style="text")


def _best_mix(page: Page, row: int) -> int:
    """Put the cheapest permitted construction of each circuit under the plans."""
    page.put(row, 1, "best mix by circuit", "key")
    for column, name, form in ((6, "hours", "#,##0.0"), (7, "material_usd", "#,##0"), (8, "installed_usd", "#,##0")):
        _show(page, row, column, "best_mix", name, form, align="right")
    page.put(row, 9, "the cheapest for each circuit, cost of mixing apart: sheet Circuits", "note")
    return row


def _rests_on(page: Page, row: int) -> int:
    """Say for each plan what its hours, its installed cost and its bid rest on."""
    plans = page.book.values("basis", "plan")
    for line, plan in enumerate(plans):
        page.put(row + line, 1, plan, "key")
        for column, name in ((2, "says_hours"), (6, "says_installed"), (11, "says_bid")):
            _show(page, row + line, column, "basis_whole", name, "General", "note", line=line)
    return row + len(plans)


def _choices(page: Page, row: int, styles: Spot) -> int:
    """Say what the plans come to where the trade would choose otherwise: cable in packages, other grounds."""
    page.put(row, 1, "cable priced", "key")
    for column, name in ((2, "feet"), (5, "packages"), (8, "less_stock"), (11, "verdict")):
        _show(page, row, column, "cable_says", name, "General", "note")
    for line in range(len(styles.table)):
        row += 1
        _show(page, row, 1, "make_up_says", "style", "General", "key", line=line)
        for column, name in ((2, "state"), (3, "fewer"), (8, "saved")):
            _show(page, row, column, "make_up_says", name, "General", "note", line=line)
    return row + 1


def _stops(page: Page, row: int, lines: int) -> int:
    """Show what stands against the totals, the gravest first; what does not fit stands on the sheet Plan workings."""
    page.rows.heights[row - 1] = GAP
    page.put(row, 1, "Stop list", "heading")
    page.put(row, 10, f"what a figure is made of: {TRACE}", "note")
    page.rows.links.append((f"J{row}", f"'{TRACE}'!A1"))
    page.put(row, 2, "how many in each plan, in the order above; the first circuit, the rule, its section", "note")
    for line in range(lines):
        _show(page, row + 1 + line, 1, "stop_lines", "state", "General", "text", line=line)
        _show(page, row + 1 + line, 2, "stop_lines", "says", "General", "text", line=line)
    row += 1 + lines
    _show(page, row, 1, "stop_count", "says", "General", "note")
    _show(page, row, 4, "job_stops", "says", "General", "text")
    return row + 1


def _charts(page: Page, row: int, by_table: Mapping[str, Spot]) -> int:
    """Put both charts side by side; return the next free row."""
    book = page.book
    parts = across(
        book, by_table["pair_bars"], "title", ["less_usd"], "What makes the difference: next less lowest", "USD"
    )
    grounds = bars(
        book,
        by_table["plan_sums"],
        ["grounds_per_box"],
        "Ground terminations in a box, on average",
        "plan",
        "terminations",
        stacked=False,
    )
    grounds.y_axis.numFmt, grounds.legend = "0.0", None
    for chart, column in ((parts, 1), (grounds, SECOND_CHART_COLUMN)):
        chart.width, chart.height = (2.54 * size for size in CHART_INCHES)
        chart.anchor = f"{get_column_letter(column)}{row}"
        page.sheet.add_chart(small(chart))
    return row + CHART_ROWS


def _heaviest(page: Page, row: int, lines: int) -> int:
    """Show the circuits that weigh most in the difference, with the reason where a plan fell back."""
    for column, text in ((1, "Heaviest circuits"), (2, "next less"), (3, "lowest plan"), (4, "next plan"), (5, "why")):
        page.put(row, column, text, "heading" if column == 1 else "note", align="right" if column == 2 else "")
    for line in range(lines):
        _show(page, row + 1 + line, 1, "heaviest", "circuit", "General", "key", line=line)
        _show(page, row + 1 + line, 2, "heaviest", "less_usd", "+#,##0;-#,##0;0", line=line, align="right")
        for column, name in ((3, "first_as"), (4, "second_as"), (5, "reason")):
            _show(page, row + 1 + line, column, "heaviest", name, "General", "text", line=line)
    return row + 1 + lines


def _cautions(page: Page, row: int, provenance: Provenance) -> int:
    page.rows.heights[row - 1] = GAP
    texts = ["Cautions.", *provenance.cautions]
    if provenance.notices:
        texts.append(f"{len(provenance.notices)} notices on what was read stand on the sheet About.")
    lines = wrap(" ".join(texts), LINE)
    for place, line in enumerate(lines, start=row):
        page.put(place, 1, line)
    return row + len(lines) - 1


def _sheets(page: Page, row: int) -> None:
    """Link every sheet, below what is printed; figures above link to the cells they show."""
    page.put(row, 1, "Sheets", "heading")
    page.put(row, 2, "a figure above leads to the cell that it shows", "note")
    for plan in SHEETS:
        if plan.title == SUMMARY:
            continue
        row += 1
        page.put(row, 1, plan.title, "key")
        page.put(row, 2, f"{KIND_WORDS[plan.kind].partition(':')[0]}. {plan.intro}")
        page.rows.links.append((f"A{row}", f"'{plan.title}'!A1"))
