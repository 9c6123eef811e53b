"""The swap of one plan for another on the work that remains: saving by part and by area, one-time cost, net saving.

Saving is positive: what the plan swapped from costs less what the other one costs. Circuits that both plans wire
alike are no part of it: they would hide what the new cable costs by the foot.
"""

from __future__ import annotations

from takeoff.engine.aggregates import SumBy, SumProducts
from takeoff.engine.expr import Expr, as_expr, call, col, equal, given, ratio, same, when
from takeoff.engine.lookups import At, Match, Total, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.practice import area_keys
from takeoff.model.givens.wages import labor_rate, only

SAVED = "#,##0;-#,##0;0"
CENTS = "#,##0.00;-#,##0.00;0.00"
PARTS = (
    ("ground_hours", "labor on grounds", "h"),
    ("hours", "labor", "h"),
    ("cable_usd", "cable and conductors", "USD"),
    ("box_usd", "boxes, rings, covers", "USD"),
    ("fitting_usd", "fittings and small parts", "USD"),
    ("feet", "cable or raceway with tails", "ft"),
    ("grounds", "ground terminations with panel ends", "ea"),
)
"""What is swapped, by area: column, title, unit."""

SUMS = (
    ("ground_minutes", "labor on grounds", "min", ("effort", "swapped", "ground_minutes")),
    ("minutes", "labor", "min", ("repeat", "swapped", "minutes")),
    ("cable_all_usd", "cable and conductors", "USD", ("repeat", "swapped", "cable_usd")),
    ("box_all_usd", "boxes, rings, covers", "USD", ("repeat", "swapped", "box_usd")),
    ("material_usd", "material", "USD", ("repeat", "swapped", "material_usd")),
    ("feet_all", "cable or raceway with tails", "ft", ("repeat", "swapped", "sheath_ft")),
    ("grounds_all", "ground terminations with panel ends", "ea", ("repeat", "swapped", "ground_ends")),
)
"""What is added up of the boxes of an area whose circuits are swapped: column, title, unit, factors."""


def swap_circuits_table(frame: Frame) -> Table:
    """Every circuit: what the two plans wire it in, and whether that differs."""
    plans = [
        Column(f"wired_{w}", f"wired as, swapped {w}", "", look("wiring", "wired_as", key), width=14)
        for w, key in ((w, col("key") & "|" & given(f"swap_{w}")) for w in ("from", "to"))
    ]
    alike = same(col("wired_from"), col("wired_to"))
    of_circuit = SumBy("swap_circuits", "differs", {"circuit_key": col("circuit_key")})
    return Table(
        "swap_circuits",
        "Circuits of the swap",
        [
            Field("key", "key", role="key"),
            Field("circuit", "circuit", role="key", width=16),
            Field("circuit_key", "circuit key"),
        ],
        [
            *plans,
            Column("differs", "differs", "0/1", when(alike, 0, 1)),
            Column("swapped", "is swapped", "0/1", call("sign", of_circuit), "0: wired alike in both plans, all of it"),
        ],
        {
            "key": list(frame.stretches),
            "circuit": list(frame.stretch_names.values()),
            "circuit_key": [frame.circuit_keys[s.circuit.name] for s in frame.stretches.values()],
        },
    )


def swap_areas_table(frame: Frame) -> Table:
    """Both plans on what remains of every area, and what is saved there."""
    areas = area_keys(frame)

    def summed(which: str) -> list[Column]:
        where = {"area_key": col("area_key"), "plan": given(f"swap_{which}")}
        return [
            Column(
                f"{n}_{which}",
                f"{title}, all of it, swapped {which}",
                unit,
                SumProducts("each", factors, where),
                format=SAVED,
            )
            for n, title, unit, factors in SUMS
        ]

    def whole(name: str, which: str) -> Expr:
        """Return a part as if nothing were installed."""

        def of(summed: str) -> Expr:
            return col(f"{summed}_{which}")

        cable = of("cable_all_usd")
        return {
            "ground_hours": ratio(of("ground_minutes"), 60, 0),
            "hours": ratio(of("minutes"), 60, 0),
            "cable_usd": cable,
            "box_usd": of("box_all_usd"),
            "fitting_usd": of("material_usd") - of("box_all_usd") - cable,
            "feet": of("feet_all"),
            "grounds": of("grounds_all"),
        }[name]

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
            *summed("from"),
            *summed("to"),
            Column("installed", "already installed", "1/1", installed, format="0.00"),
            Column("remaining", "remains", "1/1", call("max", 0, as_expr(1) - col("installed")), format="0.00"),
            *(
                Column(
                    f"{n}_{which}", f"{title}, swapped {which}", unit, whole(n, which) * col("remaining"), format=SAVED
                )
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

    def cable(name: str, title: str, which: str) -> Column:
        of_one = {"cable_usd": "usd_each", "bare_cable_usd": "bare_usd"}[name]
        amount = SumProducts("material", [("lengths", only("base", f"{which}_place")), f"unit_costs.{of_one}"], {})
        return Column(f"{name}_all_{which}", f"{title}, swapped {which}", "USD", amount, "the whole job", CENTS)

    def warned(name: str, which: str) -> Expr:
        return At("plan_flags", name, col(f"row_{which}"))

    def lacking(name: str, which: str) -> Expr:
        return At("against_base", name, col(f"row_{which}"))

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
            Column(f"labor_usd_{w}", f"labor, swapped {w}", "USD", col(f"hours_{w}") * col("rate"), format=CENTS)
            for w in ("from", "to")
        ),
        *(
            Column(
                f"{w}_usd",
                f"what remains, swapped {w}",
                "USD",
                col(f"labor_usd_{w}") + col(f"cable_usd_{w}") + col(f"box_usd_{w}") + col(f"fitting_usd_{w}"),
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
                f"row_{w}",
                f"row of the plan swapped {w}",
                "no.",
                Match("plan_sums", "plan", given(f"swap_{w}")),
            )
            for w in ("from", "to")
        ),
        *(
            Column(
                f"open_prices_{w}",
                f"prices missing, expired or a probable slip, swapped {w}",
                "ea",
                lacking("price_flags", w),
            )
            for w in ("from", "to")
        ),
        Column("fallbacks", "circuits in a fallback, swapped to", "ea", warned("circuits_fallen_back", "to")),
        Column(
            "not_priced",
            "things without a price or a size",
            "ea",
            lacking("unpriced", "from") + lacking("unpriced", "to"),
        ),
        Column(
            "state", "pricing of both is", "", when(equal(col("not_priced"), 0), "complete", "NOT COMPLETE"), width=15
        ),
        *(
            cable(name, title, w)
            for w in ("from", "to")
            for name, title in (("cable_usd", "cable with all"), ("bare_cable_usd", "cable at its bare price"))
        ),
        *(
            Column(
                f"loading_{w}",
                f"cost of cable over its bare price, swapped {w}",
                "1/1",
                ratio(col(f"cable_usd_all_{w}"), col(f"bare_cable_usd_all_{w}"), 1),
                "waste, escalation and tax",
                "0.0000",
            )
            for w in ("from", "to")
        ),
    ]
    names = [c.name for c in figures + columns]
    return Table(
        "swap",
        "The swap as a whole",
        [Field("key", "swap", role="key")],
        [*figures, *columns],
        {"key": ["swap"]},
        {"figures": names[: names.index("state")]},
        exposed=names,
    )
