"""The swap of one plan for another on the work that remains: saving by part and by area, one-time cost, break-evens.

Saving is positive: what the plan swapped from costs less what the other one costs.
"""

from __future__ import annotations

from takeoff.expr import Expr, as_expr, call, col, equal, flag, given, less, ratio, when
from takeoff.model.crew import labor_rate, only
from takeoff.model.frame import DATE, Frame
from takeoff.model.practice import area_keys
from takeoff.reach import At, Match, Total
from takeoff.sums import SumBy
from takeoff.tables import Column, Field, Table

SAVED = "#,##0;-#,##0;0"
CENTS = "#,##0.00;-#,##0.00;0.00"
NONE = "none"
"""Stands where a break-even does not exist: what would have to change does not move the saving."""

PARTS = (
    ("ground_hours", "labor on grounds", "h"),
    ("hours", "labor", "h"),
    ("cable_usd", "cable and conductors", "USD"),
    ("box_usd", "boxes, rings, covers", "USD"),
    ("fitting_usd", "fittings and small parts", "USD"),
    ("feet", "cable or raceway with tails", "ft"),
    ("grounds", "ground terminations", "ea"),
)
"""What is swapped, by area: column of the area totals, title, unit."""


def swap_areas_table(frame: Frame) -> Table:
    """Both plans on what remains of every area, and what is saved there."""
    areas = area_keys(frame)

    def of(name: str, which: str) -> Expr:
        return At("area_totals", name, col(f"{which}_row")) * col("remaining")

    def row(plan: str) -> Expr:
        return Match("area_totals", "key", col("area_key") & "|" & given(plan))

    def saved(name: str) -> Expr:
        return col(f"{name}_from") - col(f"{name}_to")

    installed = ratio(At("areas", "installed_pct", col("line")), 100, 0)
    material = saved("cable_usd") + saved("box_usd") + saved("fitting_usd")
    return Table(
        "swap_areas",
        "Swap by area",
        [
            Field("area_key", "area key", role="key"),
            Field("area", "area", role="key", width=30),
            Field("line", "line", "no."),
        ],
        [
            Column("from_row", "row of the plan swapped from", "no.", row("swap_from")),
            Column("to_row", "row of the plan swapped to", "no.", row("swap_to")),
            Column("installed", "already installed", "1/1", installed, format="0.00"),
            Column("remaining", "remains", "1/1", call("max", 0, as_expr(1) - col("installed")), format="0.00"),
            *(
                Column(f"{n}_{which}", f"{title}, swapped {which}", unit, of(n, which), format=SAVED)
                for n, title, unit in PARTS
                for which in ("from", "to")
            ),
            Column("saved_hours", "labor saved", "h", saved("hours"), format="#,##0.0;-#,##0.0;0.0"),
            Column("saved_labor_usd", "labor saved", "USD", col("saved_hours") * labor_rate(), format=SAVED),
            Column("saved_material_usd", "material saved", "USD", material, format=SAVED),
            Column(
                "saved_usd",
                "saved",
                "USD",
                col("saved_labor_usd") + col("saved_material_usd"),
                "before one-time cost",
                SAVED,
            ),
            Column(
                "crew_days",
                "crew-days saved",
                "day",
                ratio(col("saved_hours"), given("crew_size") * given("hours_per_day"), 0),
                format="0.0;-0.0;0.0",
            ),
        ],
        {"area_key": list(areas.values()), "area": list(areas), "line": list(range(1, len(areas) + 1))},
        key="area_key",
    )


def swap_table(_: Frame) -> Table:
    """The swap as a whole: both plans on what remains, one-time cost, net saving."""

    def total(name: str) -> Expr:
        return Total("swap_areas", name)

    def saved(name: str) -> Expr:
        return col(f"{name}_from") - col(f"{name}_to")

    def cable(name: str, plan: str) -> Expr:
        return SumBy("material_lines", name, {"construction": given(plan)})

    one_time = given("scrap_usd") + given("resubmittal_usd") + given("reinspection_usd") + given("other_one_time_usd")
    figures = [
        Column(f"{n}_{w}", f"{t}, swapped {w}", u, total(f"{n}_{w}"), format=CENTS)
        for n, t, u in PARTS
        for w in ("from", "to")
    ]
    columns = [
        *(
            Column(
                f"other_hours_{w}",
                f"other labor, swapped {w}",
                "h",
                col(f"hours_{w}") - col(f"ground_hours_{w}"),
                format=CENTS,
            )
            for w in ("from", "to")
        ),
        Column("rate", "labor rate", "USD/h", labor_rate(), format="0.00"),
        *(
            Column(
                f"{w}_usd",
                f"what remains, swapped {w}",
                "USD",
                col(f"hours_{w}") * col("rate") + col(f"cable_usd_{w}") + col(f"box_usd_{w}") + col(f"fitting_usd_{w}"),
                format=CENTS,
            )
            for w in ("from", "to")
        ),
        Column("saved_hours", "labor saved", "h", saved("hours"), format=CENTS),
        Column("labor_usd", "labor saved", "USD", col("saved_hours") * col("rate"), format=CENTS),
        Column("cable_usd", "cable and conductors saved", "USD", saved("cable_usd"), format=CENTS),
        Column("box_usd", "boxes, rings, covers saved", "USD", saved("box_usd"), format=CENTS),
        Column("fitting_usd", "fittings and small parts saved", "USD", saved("fitting_usd"), format=CENTS),
        Column(
            "material_usd",
            "material saved",
            "USD",
            col("cable_usd") + col("box_usd") + col("fitting_usd"),
            format=CENTS,
        ),
        Column("gross_usd", "saved before one-time cost", "USD", col("labor_usd") + col("material_usd"), format=CENTS),
        Column(
            "restock_usd",
            "restocking charge",
            "USD",
            ratio(given("on_hand_usd") * given("restock_pct"), 100, 0),
            format=CENTS,
        ),
        Column("one_time_usd", "one-time cost", "USD", col("restock_usd") + one_time, format=CENTS),
        Column("net_usd", "net saving", "USD", col("gross_usd") - col("one_time_usd"), "what the swap is worth", CENTS),
        Column(
            "net_pct",
            "net saving of what remains in the plan swapped from",
            "%",
            ratio(col("net_usd") * 100, col("from_usd"), 0),
            format="0.0;-0.0;0.0",
        ),
        Column("crew_days", "crew-days saved", "day", total("crew_days"), format="0.0;-0.0;0.0"),
        *(
            Column(
                f"loading_{w}",
                f"cost of cable over its bare price, swapped {w}",
                "1/1",
                ratio(cable("cable_usd", f"swap_{w}"), cable("bare_cable_usd", f"swap_{w}"), 1),
                "waste, escalation and tax",
                "0.0000",
            )
            for w in ("from", "to")
        ),
    ]
    return Table(
        "swap",
        "The swap as a whole",
        [Field("key", "swap", role="key")],
        [*figures, *columns],
        {"key": ["swap"]},
        {"figures": [c.name for c in figures + columns]},
    )


def break_evens_table(_: Frame) -> Table:
    """Where the net saving becomes nothing, each in closed form, with tax and one-time cost in it."""

    def swap(name: str) -> Expr:
        return only("swap", name)

    def limit(
        name: str, title: str, unit: str, divisor: str, value: Expr, note: str, form: str = CENTS
    ) -> list[Column]:
        """Return the figure at break-even, and what is shown: none where it does not exist."""
        return [
            Column(f"{name}_at", f"{title}, worked", unit, value, note, form),
            Column(name, title, unit, when(equal(col(divisor), 0), NONE, col(f"{name}_at")), note, form, width=13),
        ]

    in_order = less(given("status_date"), given("finish_date"))
    bare = ratio(swap("cable_usd_to"), swap("loading_to"), 0)
    bare_from = ratio(swap("cable_usd_from"), swap("loading_from"), 0)
    return Table(
        "break_evens",
        "Break-evens",
        [Field("key", "swap", role="key")],
        [
            Column("bare_to", "cable swapped to at its bare price", "USD", bare, format=CENTS),
            Column("bare_from", "cable swapped from at its bare price", "USD", bare_from, format=CENTS),
            Column("kft", "thousands of feet swapped to", "kft", ratio(swap("feet_to"), 1000, 0), format="0.000"),
            Column(
                "premium_today",
                "premium of today",
                "USD/M",
                ratio(col("bare_to") - col("bare_from"), col("kft"), 0),
                "bare price of the cable swapped to less that of the other, for 1000 ft",
                CENTS,
            ),
            Column(
                "loaded_kft",
                "kft with waste, escalation and tax",
                "kft",
                col("kft") * swap("loading_to"),
                format="0.000",
            ),
            *limit(
                "premium",
                "premium at break-even",
                "USD/M",
                "loaded_kft",
                col("premium_today") + ratio(swap("net_usd"), col("loaded_kft"), 0),
                "premium for 1000 ft above which the swap no longer pays",
            ),
            Column("hours", "hours saved", "h", swap("saved_hours"), format=CENTS),
            *limit(
                "wage",
                "labor rate at break-even",
                "USD/h",
                "hours",
                ratio(swap("one_time_usd") - swap("material_usd"), col("hours"), 0),
                "with hours saved, the swap pays above this rate; with hours lost, below it",
            ),
            Column(
                "grounds", "ground terminations avoided", "ea", swap("grounds_from") - swap("grounds_to"), format=SAVED
            ),
            Column(
                "ground_hours",
                "hours saved on grounds",
                "h",
                swap("ground_hours_from") - swap("ground_hours_to"),
                format=CENTS,
            ),
            Column(
                "minutes_today",
                "minutes for a ground termination avoided",
                "min",
                ratio(col("ground_hours") * 60, col("grounds"), 0),
                "all operations on grounds, spread over the terminations avoided",
                "0.00",
            ),
            Column(
                "spare_hours",
                "hours the saving can spare",
                "h",
                ratio(swap("net_usd"), swap("rate"), 0),
                format=CENTS,
            ),
            *limit(
                "minutes",
                "minutes for it at break-even",
                "min",
                "grounds",
                ratio((col("ground_hours") - col("spare_hours")) * 60, col("grounds"), 0),
                "under it the swap no longer pays",
                "0.00",
            ),
            Column("gains", "saved, where anything is", "USD", call("max", 0, swap("gross_usd")), format=CENTS),
            *limit(
                "feet",
                "feet at break-even",
                "ft",
                "gains",
                swap("feet_to") * ratio(swap("one_time_usd"), col("gains"), 0),
                "feet of this work that pay the one-time cost",
                SAVED,
            ),
            Column("dated", "dates are given", "0/1", flag(call("all", less(0, given("status_date")), in_order))),
            Column(
                "days",
                "days from status to the last of the rough-in",
                "day",
                when(equal(col("dated"), 1), given("finish_date") - given("status_date"), 0),
                format="0",
            ),
            Column(
                "spent",
                "part of the saving that one-time cost takes",
                "1/1",
                call("min", 1, call("max", 0, ratio(swap("one_time_usd"), col("gains"), 1))),
                format="0.000",
            ),
            Column(
                "last_day",
                "day on which the saving ends",
                "",
                (given("finish_date") - col("days") * col("spent")) * col("dated"),
                "what remains is taken to be built evenly",
                DATE,
                width=12,
            ),
            Column(
                "decide_by",
                "decide by",
                "",
                (col("last_day") - given("approval_days") - given("lead_days")) * col("dated"),
                "the day above less approval and delivery",
                DATE,
                width=12,
            ),
        ],
        {"key": ["swap"]},
    )
