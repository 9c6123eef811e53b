"""The swap sheet: one plan against another, what is saved, where the saving ends, how sure it is."""

from __future__ import annotations

from collections.abc import Mapping

from openpyxl.worksheet.pagebreak import Break

from takeoff.text.dates import FORMAT as DATE
from takeoff.workbook.charts import across, curve
from takeoff.workbook.layout import Spot
from takeoff.workbook.pages.page import MONEY, Line, Page

WIDTHS = {1: 42.0, **dict.fromkeys(range(2, 11), 11.5)}
HOURS, PERCENT = "#,##0.0;-#,##0.0;0.0", "0.0;-0.0;0.0"


def saved(title: str, names: tuple[str, str, str], form: str = MONEY) -> Line:
    """Return a line of the plan swapped from, the plan swapped to, and what is saved."""
    return Line(title, {column: ("swap", name) for column, name in enumerate(names, start=2)}, form)


PARTS = (
    saved("labor, h", ("hours_from", "hours_to", "saved_hours"), HOURS),
    saved("labor, USD", ("labor_usd_from", "labor_usd_to", "labor_usd")),
    saved("cable and conductors, USD", ("cable_usd_from", "cable_usd_to", "cable_usd")),
    saved("boxes, rings, covers, USD", ("box_usd_from", "box_usd_to", "box_usd")),
    saved("fittings and small parts, USD", ("fitting_usd_from", "fitting_usd_to", "fitting_usd")),
)
"""What a saving is made of; the proposal has the same parts."""

COMPARED = (
    *PARTS,
    saved("what remains, installed, USD", ("from_usd", "to_usd", "gross_usd")),
    Line("restocking charge, USD", {4: ("swap", "restock_usd")}),
    Line("material that cannot go back, USD", {4: ("", "scrap_usd")}),
    Line("resubmittal and review, USD", {4: ("", "resubmittal_usd")}),
    Line("re-inspection, USD", {4: ("", "reinspection_usd")}),
    Line("other one-time cost, USD", {4: ("", "other_one_time_usd")}),
    Line("one-time cost together, USD", {4: ("swap", "one_time_usd")}),
    Line("NET SAVING, USD", {4: ("swap", "net_usd")}, loud=True),
    Line("in % of what remains in the plan swapped from", {4: ("swap", "net_pct")}, PERCENT),
    Line("crew-days saved", {4: ("swap", "crew_days")}, HOURS),
    # the rest of the difference is minutes from elsewhere: sheet Breakdown
    Line("labor difference on illustrative minutes, %", {4: ("labor_basis", "invented_pct")}, "0"),
    Line("labor difference on measured minutes, %", {4: ("labor_basis", "measured_pct")}, "0"),
    Line("ground terminations with panel ends", {2: ("swap", "grounds_from"), 3: ("swap", "grounds_to")}, "#,##0"),
    Line("circuits in a fallback (why: Wiring)", {4: ("swap", "fallbacks")}, "0"),
)

LIMITS = (
    Line(
        "premium of the new cable, USD for 1000 ft",
        {2: ("break_evens", "premium_today"), 3: ("break_evens", "premium")},
        "#,##0.00;-#,##0.00;0.00",
        "above it the swap no longer pays; bare price, with waste, escalation and tax in the reckoning",
    ),
    Line(
        "labor rate, USD/h",
        {2: ("swap", "rate"), 3: ("break_evens", "wage")},
        "0.00",
        "with hours saved the swap pays above it, with hours lost below it",
    ),
    Line(
        "minutes for a ground termination avoided",
        {2: ("break_evens", "minutes_today"), 3: ("break_evens", "minutes")},
        "0.00",
        "with terminations avoided the swap pays above it, else below it: time your own crew",
    ),
    Line(
        "feet of this work",
        {2: ("swap", "feet_to"), 3: ("break_evens", "feet")},
        "#,##0",
        "so many feet pay the one-time cost",
    ),
    Line(
        "decide by",
        {2: ("", "status_date"), 3: ("break_evens", "decide_by")},
        DATE,
        "today: date of the percent installed; work taken as even; less approval and delivery",
    ),
    Line("a day later takes off the saving, USD", {2: ("break_evens", "usd_per_day")}),
)

RISK = (
    Line(
        "USD; P10: one chance in ten of so much or less",
        {2: ("risk", "p10_usd"), 3: ("risk", "p50_usd"), 4: ("risk", "p90_usd")},
    ),
    Line("chance that anything is saved, %", {2: ("risk", "chance_pct")}, "0.0"),
)

SECTIONS = (
    (("What changes and remains", "from", "to", "saved"), COMPARED),
    (("Break-even", "today", "at break-even", "", "meaning"), LIMITS),
    (("Risk of the net saving", "P10", "P50", "P90"), RISK),
)
"""Headings and lines of the page, from above; a blank row stands between them."""

FIRST_SECTION_ROW = 9
RISK_SAID_ROW = FIRST_SECTION_ROW + sum(len(lines) + 2 for _, lines in SECTIONS) - 1
"""Row of the two sentences on the draws, right below the last section."""

CHARTS_ROW, CHART_ROWS = RISK_SAID_ROW + 3, 21
FIRST_TABLE_ROW = CHARTS_ROW + CHART_ROWS + 3
"""Row of the headings of the table by area, which stands on the next page with its title."""


def fill(page: Page, spots: Mapping[str, Spot]) -> None:
    """Write the sheet around its table; `spots` are all tables by name."""
    _top(page)
    row = FIRST_SECTION_ROW
    for heads, lines in SECTIONS:
        for column, head in enumerate(heads, start=1):
            page.put(row, column, head, "header", align="left" if column in (1, 5) else "right")
        for place, line in enumerate(lines, start=row + 1):
            page.line(place, line)
        row += len(lines) + 2
    shape, draws, seed = (page.live("risk", name) for name in ("shape", "draws", "seed"))
    page.sentence(RISK_SAID_ROW, 1, shape, ", ", draws, " draws, seed ", seed)
    page.figure(RISK_SAID_ROW + 1, 1, "risk", "says", "General", "status")
    tornado = across(
        page.book,
        spots["tornado"],
        "title",
        ("low_usd", "high_usd"),
        "Net saving, one range at a time",
        "change of the net saving, USD",
    )
    tornado.anchor = f"A{CHARTS_ROW}"
    risk = curve(page.book, spots["risk_curve"], "net_usd", "chance_pct", "Chance of this or less")
    risk.anchor = f"E{CHARTS_ROW}"
    page.sheet.add_chart(tornado)
    page.sheet.add_chart(risk)
    page.sheet.row_breaks.append(Break(id=FIRST_TABLE_ROW - 3))


def _top(page: Page) -> None:
    page.sentence(1, 1, "Swap ", page.live("", "swap_from"), " for ", page.live("", "swap_to"), style="title")
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
    from_, to = (page.live("swap", f"open_prices_{which}") for which in ("from", "to"))
    page.sentence(7, 3, "prices to look at: ", from_, " from, ", to, " to")
