"""The swap as a whole: both plans on what remains, what waiting and one-time cost take, net saving."""

from __future__ import annotations

from takeoff.engine.aggregates import SumBy, SumProducts
from takeoff.engine.expr import Expr, as_expr, call, col, equal, flag, given, less, ratio, when
from takeoff.engine.lookups import At, Total
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import labor_rate, only
from takeoff.model.swap.swap import CENTS, PARTS, SAVED


def left_when(waited: Expr, days: Expr) -> Expr:
    """Return what part of the remaining work is still to be built after so many of its days; all without dates."""
    return call("max", 0, as_expr(1) - ratio(waited, days, 0))


def swap_table(_: Frame) -> Table:
    """The swap as a whole: both plans on what remains, what waiting and one-time cost take, net saving."""

    def total(name: str) -> Expr:
        return Total("swap_areas", name)

    def saved(name: str) -> Expr:
        return col(f"{name}_from") - col(f"{name}_to")

    def warned(name: str, which: str) -> Expr:
        return At("plan_flags", name, col(f"row_{which}"))

    def lacking(name: str, which: str) -> Expr:
        return At("against_base", name, col(f"row_{which}"))

    def coils(which: str) -> Expr:
        return SumBy("rest_cable", "more_usd", {"title": only("base", f"{which}_title")})

    in_order = less(given("status_date"), given("finish_date"))
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
            "listed_usd",
            "what goes back by the list, all of it bought",
            "USD",
            SumProducts("rest_list", ["back", "unit_costs.bare_usd"], {}),
            "at bare prices; the list stands on Breakdown beside the material",
            CENTS,
        ),
        Column(
            "back_usd",
            "goes back to the supplier",
            "USD",
            given("on_hand_usd") + ratio(col("listed_usd") * given("bought_pct"), 100, 0),
            "as stated, and the bought part of the list",
            CENTS,
        ),
        Column(
            "restock_usd",
            "restocking charge",
            "USD",
            ratio(col("back_usd") * given("restock_pct"), 100, 0),
            format=CENTS,
        ),
        Column(
            "coil_usd",
            "whole coils beyond feet, to less from",
            "USD",
            coils("to") - coils("from"),
            "of what remains, by the cutting plans; 0 where cable is priced by feet",
            CENTS,
        ),
        Column("one_time_usd", "one-time cost", "USD", col("restock_usd") + col("coil_usd") + one_time, format=CENTS),
        Column("dated", "dates are given", "0/1", flag(call("all", less(0, given("status_date")), in_order))),
        Column(
            "days",
            "days from status to the last of the rough-in",
            "day",
            when(equal(col("dated"), 1), given("finish_date") - given("status_date"), 0),
            format="0",
        ),
        Column("wait_days", "days until the cable is on site", "day", given("approval_days") + given("lead_days")),
        Column(
            "left",
            "part still to build by then",
            "1/1",
            left_when(col("wait_days"), col("days")),
            "work taken as even",
            "0.000",
        ),
        Column(
            "waited_usd",
            "saving lost until the cable is on site",
            "USD",
            col("gross_usd") * (as_expr(1) - col("left")),
            "approval and delivery, while the work goes on as it is",
            CENTS,
        ),
        Column(
            "net_usd",
            "net saving, decided today",
            "USD",
            col("gross_usd") - col("waited_usd") - col("one_time_usd"),
            "today: date of the percent installed",
            CENTS,
        ),
        Column(
            "net_pct",
            "net saving of what remains in the plan swapped from",
            "%",
            ratio(col("net_usd") * 100, col("from_usd"), 0),
            format="0.0;-0.0;0.0",
        ),
        Column("crew_days", "crew-days saved", "day", total("crew_days"), format="0.0;-0.0;0.0"),
        Column("circuits", "circuits changed", "ea", Total("swap_circuits", "changes"), format="0"),
        *(
            Column(
                f"row_{w}",
                f"row of the plan swapped {w}",
                "no.",
                only("base", f"{w}_place"),
            )
            for w in ("from", "to")
        ),
        Column(
            "whole_hours",
            "labor saved in the whole job",
            "h",
            At("plan_sums", "labor_hours", col("row_from")) - At("plan_sums", "labor_hours", col("row_to")),
            "nothing built yet, nothing to learn: the difference of the plans",
            CENTS,
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
            Column(
                f"bare_usd_{w}",
                f"cable at its bare price, swapped {w}",
                "USD",
                SumProducts("orders", [f"swapped_ft_{w}", "run_costs.bare_usd"], {}),
                format=CENTS,
            )
            for w in ("from", "to")
        ),
        Column("boxes_said", "boxes left in them", "", call("fixed", total("boxes"))),
        Column(
            "loaded_ft",
            "feet swapped to, times waste, escalation and tax",
            "ft",
            SumProducts("orders", ["swapped_ft_to", "run_costs.loading"], {}),
            "a dollar more for a foot costs so many",
            SAVED,
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
