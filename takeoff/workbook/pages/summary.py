"""The Summary: what to use and why, the plans side by side, what stands against them, on one page to print."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from textwrap import wrap
from typing import Any

from openpyxl.utils import get_column_letter

from takeoff.model.cost.states import FIRST_CELL
from takeoff.text.dates import FORMAT as DATE
from takeoff.workbook.charts import across, bars, tight
from takeoff.workbook.layout import Spot
from takeoff.workbook.pages.page import Page, Provenance
from takeoff.workbook.printing import LETTER_ROW_POINTS
from takeoff.workbook.sheets.order import sheets_of
from takeoff.workbook.sheets.plan import KIND_WORDS, SUMMARY, TRACE

FIRST_TABLE_ROW = 8
LAST_COLUMN = 12
WIDTHS = dict(enumerate((18.4, 12.2, 10.6, 9.5, 9.5, 9.0, 9.2, 9.75, 9.2, 10.5, 12.2, 11.0), start=1))
"""Widths of the columns: plan, ten figures, state; together they fill a letter page across at full scale."""

CHART_ROWS = 10
CHARTS = ((1, 5.95), (8, 4.05))
"""First column and width in inches of each chart."""

BASIS = (
    ("basis", "hours_invented_pct", "hours: invented", "0"),
    ("basis", "hours_measured_pct", "hours: timed", "0"),
    ("basis", "hours_stated_pct", "hours: stated", "0"),
    ("basis", "invented_pct", "installed: invented", "0"),
    ("basis", "quoted_pct", "installed: quotes", "0"),
    ("basis", "measured_pct", "installed: timed", "0"),
    ("basis", "stated_pct", "installed: stated", "0"),
    ("bid", "invented_pct", "bid: invented", "0"),
    ("cable_priced", "feet_usd", "installed by feet, USD", "#,##0"),
    ("cable_priced", "packages_usd", "in packages, USD", "#,##0"),
    ("cable_priced", "less_stock_usd", "less stock, USD", "#,##0"),
)
"""What each plan rests on, and how its cable may be priced: table, column, heading, number format."""

MOST_PLANS = 5
"""Plans whose savings by style of ground make-up fit the page."""

DATE_COLUMN = 11
"""A column wide enough for a date."""

HEAD = 28.0
"""Points of the headings of the plans: two lines."""

GAP = 4.0
"""Points of a row that only parts others."""

LINE = 174
"""Characters of a sentence that fit the width of the page."""


def fill(page: Page, spots: Sequence[Spot], by_table: Mapping[str, Spot], provenance: Provenance) -> None:
    """Write the cells of the summary around the table of the plans, and its two charts."""
    _head(page)
    _what_to_use(page)
    (totals,) = spots
    row = _best_mix(page, totals.last_row + 1)
    row = _rests_on(page, row + 1)
    row = _make_up(page, row, len(totals.table))
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
    page.rows.heights[1] = 19
    boxes, circuits = (page.total(table, "repeat") for table in ("boxes", "circuits"))
    page.sentence(
        2, 1, boxes, " boxes in ", circuits, " circuits, repeats included; code edition ", page.live("", "code_edition")
    )
    page.put(2, 10, "estimate of", "note")
    day = page.live("", "estimate_date")
    page.put(2, DATE_COLUMN, day.value, "note", formula=day.formula, form=DATE, align="left")
    page.sentence(2, 5, "base: ", page.live("base", "title"), "; under 0 is less, n/c not comparable")
    page.status(3)


def _what_to_use(page: Page) -> None:
    """Say which plan is the lowest, against which other one, and how sure that is; where it is not, why."""
    page.rows.heights |= {4: 14.0, FIRST_TABLE_ROW - 1: GAP, FIRST_TABLE_ROW: HEAD}
    _show(page, 4, 1, "decision", "says", "General", "front")
    for row, column, name in ((5, 1, "against"), (5, 5, "sure"), (6, 1, "even_wage"), (6, 5, "even_cable")):
        _show(page, row, column, "decision", name, "General", "text")


def _best_mix(page: Page, row: int) -> int:
    """Put the cheapest permitted construction of each circuit under the plans."""
    page.put(row, 1, "best mix by circuit", "key")
    for column, name, form in ((6, "hours", "#,##0.0"), (7, "material_usd", "#,##0"), (8, "installed_usd", "#,##0")):
        _show(page, row, column, "best_mix", name, form, align="right")
    page.put(row, 10, "cheapest by circuit, mixing apart: Circuits", "note")
    return row


def _rests_on(page: Page, row: int) -> int:
    """Show what each plan rests on, in percent, and what it is installed with its cable priced in every way."""
    page.rows.heights[row] = 23.0
    page.put(row, 1, "rests on, %", "note")
    for column, (_, _, title, _) in enumerate(BASIS, start=2):
        page.put(row, column, title, "small head")
    for line, plan in enumerate(page.book.values("totals", "title")):
        row += 1
        page.put(row, 1, plan, "key")
        for column, (table, name, _, form) in enumerate(BASIS, start=2):
            _show(page, row, column, table, name, form, line=line, align="right")
    return row + 1


def _make_up(page: Page, row: int, plans: int) -> int:
    """Show what every style of ground make-up saves each plan against the base: no choice decides in silence."""
    shown = min(plans, MOST_PLANS)
    page.put(row, 1, "grounds made up", "note")
    page.put(row, 3, "grounds fewer, by plan", "note")
    page.put(row, 3 + shown, "hours saved, by plan", "note")
    page.sentence(row, 10, "plans that change place by it: ", page.total("cable_priced", "moves"))
    for first in range(0, len(page.book.tables["make_up_range"]), plans):
        row += 1
        _show(page, row, 1, "make_up_range", "style", "General", "key", line=first)
        _show(page, row, 2, "make_up_range", "state", "General", "text", line=first)
        for place in range(shown):
            _show(page, row, 3 + place, "make_up_range", "fewer", "#,##0;-#,##0;0", line=first + place, align="right")
            column = 3 + shown + place
            _show(page, row, column, "make_up_range", "saved_hours", "0.0;-0.0;0.0", line=first + place, align="right")
    return row + 1


def _stops(page: Page, row: int, lines: int) -> int:
    """Show what stands against the totals, the gravest first; what does not fit stands on the sheet Plan workings."""
    page.rows.heights[row - 1], page.rows.heights[row] = GAP, 12.0
    page.put(row, 1, "Stop list", "front")
    page.put(
        row,
        2,
        "how many in each plan, in the order above; circuits, rule, section; a click leads to all of them",
        "note",
    )
    _show(page, row, 8, "stop_count", "says", "General", "note")
    first = page.live("job_stops", FIRST_CELL)
    link = f'HYPERLINK("#"&{first.formula},{page.live("job_stops", "first").formula})'
    page.put(row, 11, page.live("job_stops", "first").value, "text", formula=link)
    for line in range(lines):
        _show(page, row + 1 + line, 1, "stop_lines", "state", "General", "text", line=line)
        says = page.live("stop_lines", "says", line)
        at = page.live("stop_lines", "sheet", line).formula
        page.put(row + 1 + line, 2, says.value, "text", formula=f'HYPERLINK("#\'"&{at}&"\'!A1",{says.formula})')
    _show(page, row + 1 + lines, 1, "stop_count", "asked", "General", "text")
    return row + 2 + lines


def _charts(page: Page, row: int, by_table: Mapping[str, Spot]) -> int:
    """Put both charts side by side, each below its caption; return the next free row."""
    book = page.book
    page.figure(row, 1, "decision", "apart", "General", "note")
    page.sentence(row, CHARTS[1][0], "Counted, none of it invented; grounds: ", page.live("", "ground_make_up"))
    row += 1
    parts = across(book, by_table["pair_bars"], "title", ["less_usd"], "What makes the difference", "USD")
    grounds = bars(
        book,
        by_table["plan_sums"],
        ["grounds_per_box"],
        "Ground terminations in a box",
        "plan",
        "terminations",
        named="title",
        stacked=False,
    )
    grounds.y_axis.numFmt, grounds.legend = "0.0", None
    parts.y_axis.crosses = "max"  # below the bars, of which the first stands on top
    tight(parts, 0.3, 0.2, 0.66, 0.53)
    tight(grounds, 0.14, 0.21, 0.82, 0.46)
    for chart, (column, wide) in zip((parts, grounds), CHARTS, strict=True):
        chart.width, chart.height = 2.54 * wide, 2.54 * CHART_ROWS * LETTER_ROW_POINTS / 72
        chart.anchor = f"{get_column_letter(column)}{row}"
        page.sheet.add_chart(chart)
    return row + CHART_ROWS


def _heaviest(page: Page, row: int, lines: int) -> int:
    """Show the circuits that weigh most in the difference, with the reason where a plan fell back."""
    page.rows.heights[row] = 12.0
    page.put(row, 10, f"what a figure is made of: {TRACE}", "note")
    page.rows.links.append((f"J{row}", f"'{TRACE}'!A1"))
    for column, text in (
        (1, "Heaviest circuits"),
        (2, "next less"),
        (3, "wired as, lowest"),
        (5, "wired as, next"),
        (7, "why"),
    ):
        page.put(row, column, text, "front" if column == 1 else "note", align="right" if column == 2 else "")
    for line in range(lines):
        _show(page, row + 1 + line, 1, "heaviest", "circuit", "General", "key", line=line)
        _show(page, row + 1 + line, 2, "heaviest", "less_usd", "+#,##0;-#,##0;0", line=line, align="right")
        for column, name in ((3, "first_as"), (5, "second_as"), (7, "reason")):
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
    for plan in sheets_of(page.book.tables):
        if plan.title == SUMMARY:
            continue
        row += 1
        page.put(row, 1, plan.title, "key")
        page.put(row, 2, f"{KIND_WORDS[plan.kind].partition(':')[0]}. {plan.intro}")
        page.rows.links.append((f"A{row}", f"'{plan.title}'!A1"))
