"""The swap sheet: one plan against another, what is saved, where the saving ends, how sure it is."""

from __future__ import annotations

from collections.abc import Mapping

from openpyxl.worksheet.pagebreak import Break

from takeoff.text.dates import FORMAT as DATE
from takeoff.workbook.charts import curve, swings
from takeoff.workbook.layout import Spot
from takeoff.workbook.pages.page import Page

FIRST_TABLE_ROW = 68
"""Row of the headings of the table by area, below what this module writes."""

WIDTHS = {1: 42.0, **dict.fromkeys(range(2, 11), 11.5)}
MONEY, HOURS = "#,##0;-#,##0;0", "#,##0.0;-#,##0.0;0.0"

PARTS = (
    ("labor, h", "hours_from", "hours_to", "saved_hours", HOURS),
    ("labor, USD", "labor_usd_from", "labor_usd_to", "labor_usd", MONEY),
    ("cable and conductors, USD", "cable_usd_from", "cable_usd_to", "cable_usd", MONEY),
    ("boxes, rings, covers, USD", "box_usd_from", "box_usd_to", "box_usd", MONEY),
    ("fittings and small parts, USD", "fitting_usd_from", "fitting_usd_to", "fitting_usd", MONEY),
)
LINES = (*PARTS, ("what remains, installed, USD", "from_usd", "to_usd", "gross_usd", MONEY))
"""Lines of the comparison: title, what is swapped from, to, and what is saved."""

ONE_TIME = (
    ("restocking charge, USD", "swap", "restock_usd"),
    ("material that cannot go back, USD", "", "scrap_usd"),
    ("resubmittal and review, USD", "", "resubmittal_usd"),
    ("re-inspection, USD", "", "reinspection_usd"),
    ("other one-time cost, USD", "", "other_one_time_usd"),
    ("one-time cost together, USD", "swap", "one_time_usd"),
)
BASIS = (
    ("labor difference on illustrative minutes, %", "invented_pct"),
    ("labor difference on measured minutes, %", "measured_pct"),
)
"""What the labor difference rests on; the rest is minutes from elsewhere: sheet Breakdown."""

LIMITS = (
    (
        "premium of the new cable, USD for 1000 ft",
        "premium_today",
        "premium",
        "#,##0.00;-#,##0.00;0.00",
        "above it the swap no longer pays; bare price, with waste, escalation and tax in the reckoning",
    ),
    ("labor rate, USD/h", "rate", "wage", "0.00", "with hours saved the swap pays above it, with hours lost below it"),
    (
        "minutes for a ground termination avoided",
        "minutes_today",
        "minutes",
        "0.00",
        "with terminations avoided the swap pays above it, else below it: time your own crew",
    ),
    ("feet of this work", "feet_to", "feet", "#,##0", "so many feet pay the one-time cost"),
)
"""Break-evens: title, figure of today, figure at break-even, format, meaning."""


def fill(page: Page, spots: Mapping[str, Spot]) -> None:
    """Write the sheet around its table; `spots` are all tables by name."""
    _top(page)
    row = _saving(page, 9)
    row = _limits(page, row + 1)
    row = _risk(page, row + 1)
    page.sheet.row_breaks.append(Break(id=FIRST_TABLE_ROW - 3))
    tornado = swings(
        page.book,
        spots["tornado"],
        "title",
        ("low_usd", "high_usd"),
        "Net saving, one range at a time",
        "change of the net saving, USD",
    )
    tornado.anchor = f"A{row + 1}"
    risk = curve(page.book, spots["risk_curve"], "net_usd", "chance_pct", "Chance of this or less")
    risk.anchor = f"E{row + 1}"
    page.sheet.add_chart(tornado)
    page.sheet.add_chart(risk)


def _top(page: Page) -> None:
    inputs = page.book.inputs
    title = f"Swap {inputs['swap_from']} for {inputs['swap_to']}"
    page.put(1, 1, title, "title", formula='"Swap "&swap_from&" for "&swap_to')
    page.rows.heights[1] = 22
    note = (
        "Result sheet; the two plans are chosen on Inputs. Saving is positive. "
        "Counted: what remains of circuits that the plans wire otherwise."
    )
    page.put(2, 1, note, "note")
    page.status(3)
    for row, name, said in ((5, "swap_from", "Swap from"), (6, "swap_to", "Swap to")):
        page.put(row, 1, said, "key")
        page.given(row, 2, name, "General")
        page.figure(row, 3, "sharing", f"title_{name.removeprefix('swap_')}", "General", "text")
    page.put(7, 1, "Pricing of both is", "key")
    page.figure(7, 2, "swap", "state", "General")
    counts = [page.book.values("swap", f"open_prices_{w}")[0] for w in ("from", "to")]
    cells = [page.refs.cell("swap", f"open_prices_{w}", 0, page.sheet.title) for w in ("from", "to")]
    live = f'"prices to look at: "&{cells[0]}&" from, "&{cells[1]}&" to"'
    page.put(7, 3, f"prices to look at: {counts[0]:.0f} from, {counts[1]:.0f} to", "note", formula=live)


def _heads(page: Page, row: int, heads: tuple[str, ...]) -> None:
    for column, head in enumerate(heads, start=1):
        page.put(row, column, head, "header", align="left" if column in (1, 5) else "right")


def _saving(page: Page, row: int) -> int:
    _heads(page, row, ("What changes and remains", "from", "to", "saved"))
    for title, *names, form in LINES:
        row += 1
        page.put(row, 1, title, "key")
        for column, name in enumerate(names, start=2):
            if name:
                page.figure(row, column, "swap", name, form, align="right")
    for title, table, name in ONE_TIME:
        row += 1
        page.put(row, 1, title, "key")
        if table:
            page.figure(row, 4, table, name, MONEY, align="right")
        else:
            page.given(row, 4, name, MONEY, align="right")
    row += 1
    page.put(row, 1, "NET SAVING, USD", "heading")
    page.figure(row, 4, "swap", "net_usd", MONEY, "status", "right")
    row += 1
    page.put(row, 1, "in % of what remains in the plan swapped from", "key")
    page.figure(row, 4, "swap", "net_pct", "0.0;-0.0;0.0", align="right")
    row += 1
    page.put(row, 1, "crew-days saved", "key")
    page.figure(row, 4, "swap", "crew_days", HOURS, align="right")
    row += 1
    for title, name in BASIS:
        page.put(row, 1, title, "key")
        page.figure(row, 4, "labor_basis", name, "0", align="right")
        row += 1
    page.put(row, 1, "ground terminations with panel ends", "key")
    page.figure(row, 2, "swap", "grounds_from", "#,##0", align="right")
    page.figure(row, 3, "swap", "grounds_to", "#,##0", align="right")
    row += 1
    page.put(row, 1, "circuits in a fallback (why: Circuit checks)", "key")
    page.figure(row, 4, "swap", "fallbacks", "0", align="right")
    return row + 1


def _limits(page: Page, row: int) -> int:
    _heads(page, row, ("Break-even", "today", "at break-even", "", "meaning"))
    for title, today, limit, form, meaning in LIMITS:
        row += 1
        page.put(row, 1, title, "key")
        page.figure(row, 2, "swap" if today in ("rate", "feet_to") else "break_evens", today, form, align="right")
        page.figure(row, 3, "break_evens", limit, form, align="right")
        page.put(row, 5, meaning, "note")
    row += 1
    page.put(row, 1, "decide by", "key")
    page.given(row, 2, "status_date", DATE, align="right")
    page.figure(row, 3, "break_evens", "decide_by", DATE, align="right")
    page.put(
        row,
        5,
        "today: date of the percent installed; work taken as even; less approval and delivery",
        "note",
    )
    row += 1
    page.put(row, 1, "a day later takes off the saving, USD", "key")
    page.figure(row, 2, "break_evens", "usd_per_day", MONEY, align="right")
    return row + 1


def _risk(page: Page, row: int) -> int:
    _heads(page, row, ("Risk of the net saving", "P10", "P50", "P90"))
    row += 1
    page.put(row, 1, "USD; P10: one chance in ten of so much or less", "key")
    for column, name in enumerate(("p10_usd", "p50_usd", "p90_usd"), start=2):
        page.figure(row, column, "risk", name, MONEY, align="right")
    row += 1
    page.put(row, 1, "chance that anything is saved, %", "key")
    page.figure(row, 2, "risk", "chance_pct", "0.0", align="right")
    row += 1
    shape, draws, seed = (page.book.values("risk", n)[0] for n in ("shape", "draws", "seed"))
    cells = [page.refs.cell("risk", n, 0, page.sheet.title) for n in ("shape", "draws", "seed")]
    drawn = f'{cells[0]}&", "&{cells[1]}&" draws, seed "&{cells[2]}'
    page.put(row, 1, f"{shape}, {draws:.0f} draws, seed {seed:.0f}", "note", formula=drawn)
    row += 1
    page.figure(row, 1, "risk", "says", "General", "status")
    return row + 1
