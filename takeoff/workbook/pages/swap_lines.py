"""The lines of the first page of the swap, which the proposal shares: what each shows, by its place in the book."""

from __future__ import annotations

from takeoff.text.dates import FORMAT as DATE
from takeoff.workbook.pages.page import MONEY, Line

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
    Line("built the old way until the cable is on site, USD", {4: ("swap", "-waited_usd")}),
    Line("restocking charge, USD", {4: ("swap", "-restock_usd")}),
    Line("material that cannot go back, USD", {4: ("", "-scrap_usd")}),
    Line("resubmittal and review, USD", {4: ("", "-resubmittal_usd")}),
    Line("re-inspection, USD", {4: ("", "-reinspection_usd")}),
    Line("other one-time cost, USD", {4: ("", "-other_one_time_usd")}),
    Line("whole coils beyond feet with waste, USD", {4: ("swap", "-coil_usd")}),
    Line("NET SAVING IF DECIDED TODAY, USD", {4: ("swap", "net_usd")}, loud=True),
    Line("ranges with unequal ends, each alone (table below), USD", {4: ("risk", "leaning_usd")}),
    Line("ranges together, and the draws, USD", {4: ("risk", "joint_usd")}),
    Line("EXPECTED: mean of the draws, USD", {4: ("risk", "mean_usd")}, loud=True),
    Line("net saving, % of what remains, swapped from", {4: ("swap", "net_pct")}, PERCENT),
    Line("crew-days saved on what remains", {4: ("swap", "crew_days")}, HOURS),
    Line("labor saved in the whole job, nothing built yet, h", {4: ("swap", "whole_hours")}, HOURS),
    # the rest of the difference is minutes from elsewhere: sheet Breakdown
    Line("of it on illustrative minutes, %", {4: ("labor_basis", "invented_pct")}, "0"),
    Line("of it on measured minutes, %", {4: ("labor_basis", "measured_pct")}, "0"),
    Line("ground terminations with panel ends", {2: ("swap", "grounds_from"), 3: ("swap", "grounds_to")}, "#,##0"),
    Line("circuits in a fallback", {4: ("swap", "fallbacks")}, "0"),
)

LIMITS = (
    (
        Line(
            "premium, USD for 1000 ft",
            {4: ("break_evens", "premium_today"), 5: ("break_evens", "premium")},
            "#,##0.00;-#,##0.00;0.00",
        ),
        "bare price of new cable over old; pays under it",
    ),
    (
        Line("labor rate, USD/h", {4: ("labor_rate", "today"), 5: ("break_evens", "wage")}, "0.00"),
        "unescalated; hours saved: pays above, lost: under it",
    ),
    (
        Line("minutes of a ground", {4: ("break_evens", "minutes_today"), 5: ("break_evens", "minutes")}, "0.00"),
        "terminations avoided: pays above, added: under it",
    ),
    (
        Line("feet of this work", {4: ("swap", "feet_to"), 5: ("break_evens", "feet")}, "#,##0"),
        "so many pay the one-time cost",
    ),
    (
        Line("decide by", {4: ("", "status_date"), 5: ("break_evens", "decide_by")}, DATE),
        "approval and delivery taken off",
    ),
    (Line("a day later takes off, USD", {4: ("break_evens", "-usd_per_day")}), ""),
)
"""Break-evens, each with what it means on the row below it; of the day also what is said of it."""

RISK = (
    Line("net saving, USD", {3: ("risk", "p10_usd"), 4: ("risk", "p50_usd"), 5: ("risk", "p90_usd")}),
    Line("chance of a saving, %", {5: ("risk", "chance_pct")}, "0.0"),
)
