"""The swap sheet: one plan against another, what is saved, where the saving ends, how sure it is."""

from __future__ import annotations

from collections.abc import Mapping

from openpyxl.worksheet.pagebreak import Break

from takeoff.model.swap.swap import CENTS
from takeoff.text.dates import FORMAT as DATE
from takeoff.workbook.charts import across, curve, lines, small
from takeoff.workbook.layout import Spot
from takeoff.workbook.pages.page import MONEY, Line, Page

WIDTHS = {1: 44.0, **dict.fromkeys(range(2, 9), 10.4)}
"""A letter page with cells of 9 pt at nearly full scale."""

MIXED = "mixed_boxes"
HOURS, PERCENT = "#,##0.0;-#,##0.0;0.0", "0.0;-0.0;0.0"


def saved(title: str, names: tuple[str, str, str], form: str = MONEY) -> Line:
    """Return a line of the plan swapped from, the plan swapped to, and what is saved."""
    return Line(title, {column: ("swap", name) for column, name in enumerate(names, start=2)}, form)


PARTS_DRAWN = (10, 50, 90)
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
    Line("built the old way until the cable is on site, USD", {4: ("swap", "-waited_usd")}),
    Line("restocking charge, USD", {4: ("swap", "-restock_usd")}),
    Line("material that cannot go back, USD", {4: ("", "-scrap_usd")}),
    Line("resubmittal and review, USD", {4: ("", "-resubmittal_usd")}),
    Line("re-inspection, USD", {4: ("", "-reinspection_usd")}),
    Line("other one-time cost, USD", {4: ("", "-other_one_time_usd")}),
    Line("whole coils beyond feet with waste, USD", {4: ("swap", "-coil_usd")}),
    Line("NET SAVING IF DECIDED TODAY, USD", {4: ("swap", "net_usd")}, loud=True),
    Line("ranges that lean, each alone (table below), USD", {4: ("risk", "leaning_usd")}),
    Line("ranges together, and the draws, USD", {4: ("risk", "joint_usd")}),
    Line("EXPECTED: mean of the draws, USD", {4: ("risk", "mean_usd")}, loud=True),
    Line("net saving in % of what remains in the plan swapped from", {4: ("swap", "net_pct")}, PERCENT),
    Line("crew-days saved on what remains", {4: ("swap", "crew_days")}, HOURS),
    Line("labor saved in the whole job, nothing built yet, h", {4: ("swap", "whole_hours")}, HOURS),
    # the rest of the difference is minutes from elsewhere: sheet Breakdown
    Line("of it on illustrative minutes, %", {4: ("labor_basis", "invented_pct")}, "0"),
    Line("of it on measured minutes, %", {4: ("labor_basis", "measured_pct")}, "0"),
    Line("ground terminations with panel ends", {2: ("swap", "grounds_from"), 3: ("swap", "grounds_to")}, "#,##0"),
    Line("circuits in a fallback (why: listed below)", {4: ("swap", "fallbacks")}, "0"),
)

LIMITS = (
    Line(
        "premium of the new cable, bare, USD for 1000 ft",
        {2: ("break_evens", "premium_today"), 3: ("break_evens", "premium")},
        "#,##0.00;-#,##0.00;0.00",
        "above it the swap no longer pays",
    ),
    Line(
        "labor rate before escalation, USD/h",
        {2: ("labor_rate", "today"), 3: ("break_evens", "wage")},
        "0.00",
        "hours saved: pays above it; lost: below",
    ),
    Line(
        "minutes for a ground termination avoided",
        {2: ("break_evens", "minutes_today"), 3: ("break_evens", "minutes")},
        "0.00",
        "avoided: pays above it; added: below",
    ),
    Line(
        "feet of this work",
        {2: ("swap", "feet_to"), 3: ("break_evens", "feet")},
        "#,##0",
        "so many pay the one-time cost",
    ),
    Line(
        "decide by",
        {2: ("", "status_date"), 3: ("break_evens", "decide_by")},
        DATE,
        "approval and delivery taken off",
    ),
    Line("a day later takes off the saving, USD", {2: ("break_evens", "-usd_per_day")}),
)

RISK = (
    Line(
        "net saving if decided today, USD",
        {2: ("risk", "p10_usd"), 3: ("risk", "p50_usd"), 4: ("risk", "p90_usd")},
        meaning="P10: one chance in ten of so much or less",
    ),
    Line("chance that anything is saved, %", {2: ("risk", "chance_pct")}, "0.0"),
)

SECTIONS = (
    (("What remains, if decided today", "from", "to", "saved"), COMPARED),
    (("Break-even", "today", "there", "", "meaning"), LIMITS),
    (("Risk", "P10", "P50", "P90"), RISK),
)
"""Headings and lines of the page, from above; a blank row stands between them."""

FIRST_SECTION_ROW = 10
RISK_SAID_ROW = FIRST_SECTION_ROW + sum(len(shown) + 2 for _, shown in SECTIONS) - 1
"""Row of the sentences on the draws, right below the last section."""

CHARTS_ROW, CHART_ROWS, CHART_HEIGHT = RISK_SAID_ROW + 4, 20, 8.4
NEXT_PAGE = CHARTS_ROW + CHART_ROWS
FIRST_TABLE_ROW = NEXT_PAGE + CHART_ROWS + 4
"""Row of the headings of the first table, on the page after that of the decision, below its charts."""

LIMITS_ROW = FIRST_SECTION_ROW + len(COMPARED) + 3
"""Row of the first break-even."""


def fill(page: Page, spots: Mapping[str, Spot]) -> None:
    """Write the sheet around its table; `spots` are all tables by name."""
    _top(page)
    row = FIRST_SECTION_ROW
    for heads, shown in SECTIONS:
        for column, head in enumerate(heads, start=1):
            page.put(row, column, head, "header", align="left" if column in (1, 5) else "right")
        for place, line in enumerate(shown, start=row + 1):
            page.line(place, line)
        row += len(shown) + 2
    shape, draws, seed = (page.live("risk", name) for name in ("shape", "draws", "seed"))
    page.sentence(RISK_SAID_ROW, 1, shape, ", ", draws, " draws, seed ", seed)
    page.figure(RISK_SAID_ROW + 1, 1, "risk", "says", "General", "status")
    page.figure(RISK_SAID_ROW + 2, 1, "risk", "apart", "General", "status")
    page.figure(LIMITS_ROW + len(LIMITS) - 1, 5, "break_evens", "decided", "General", "status")
    for above in (CHARTS_ROW - 1, NEXT_PAGE):
        page.figure(above, 1, "demonstration", "says_charts", "General", "note")
    days = lines(
        page.book,
        spots["decision_days"],
        "later",
        ("net_usd", *(f"p{p}_usd" for p in PARTS_DRAWN)),
        "Net saving by the day of the decision",
        "USD",
    )
    days.width, days.height, days.legend.position = 9.6, CHART_HEIGHT, "b"
    days.y_axis.numFmt, days.x_axis.tickLblPos = "#,##0", "low"
    limits = [
        curve(page.book, spots["break_even_points"], name, f"{name}_net_usd", title, percent=False)
        for name, title in (("premium", "Premium: today, break-even"), ("wage", "Labor rate: today, break-even"))
    ]
    for chart, letter, width in ((days, "A", 9.6), (limits[0], "C", 6.1), (limits[1], "F", 6.4)):
        chart.anchor, chart.width, chart.height = f"{letter}{CHARTS_ROW}", width, CHART_HEIGHT
        page.sheet.add_chart(small(chart))
    tornado = across(
        page.book,
        spots["tornado"],
        "title",
        ("low_usd", "high_usd"),
        "Net saving, one range at a time",
        "change of the net saving, USD",
    )
    tornado.anchor, tornado.width, tornado.height = f"A{NEXT_PAGE + 1}", 12.0, CHART_HEIGHT
    risk = curve(page.book, spots["risk_curve"], "net_usd", "chance_pct", "Chance of this or less")
    risk.anchor, risk.width, risk.height = f"D{NEXT_PAGE + 1}", 10.0, CHART_HEIGHT
    page.sheet.add_chart(small(tornado))
    page.sheet.add_chart(small(risk))
    for first in (NEXT_PAGE, spots["swap_by_area"].header_row - 2):
        page.sheet.row_breaks.append(Break(id=first - 1))


def _top(page: Page) -> None:
    page.sentence(1, 1, "Swap ", page.live("", "swap_from"), " for ", page.live("", "swap_to"), style="title")
    page.rows.heights[1] = 22
    note = (
        "Result sheet; plans are chosen on Inputs. A saving is positive, a cost negative. "
        "Counted: what remains of circuits wired otherwise."
    )
    page.put(2, 1, note, "note")
    page.status(3)
    page.figure(5, 1, "risk", "verdict", "General", "heading")
    for row, name, said in ((6, "swap_from", "Swap from"), (7, "swap_to", "Swap to")):
        page.put(row, 1, said, "key")
        page.given(row, 2, name, "General")
        page.figure(row, 3, "sharing", f"title_{name.removeprefix('swap_')}", "General", "text")
    _top_mixed(page)
    page.put(8, 1, "Pricing of both is", "key")
    page.figure(8, 2, "swap", "state", "General")
    from_, to = (page.live("swap", f"open_prices_{which}") for which in ("from", "to"))
    page.sentence(8, 3, "prices to look at: ", from_, " from, ", to, " to")


def _top_mixed(page: Page) -> None:
    """Write what boxes where old meets new cost, where the job has any: they are in the saving."""
    if MIXED not in page.book.tables:
        return
    page.put(9, 1, "Old meets new: boxes, USD over old, over new", "key")
    for column, (name, form) in enumerate((("times", "0.0"), ("over_old_usd", CENTS), ("over_new_usd", CENTS)), 2):
        total = page.total(MIXED, name)
        page.put(9, column, total.value, "computed", formula=total.formula, form=form)
    page.put(9, 5, "in the saving; listed below", "note")
