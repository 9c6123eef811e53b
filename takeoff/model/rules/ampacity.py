"""What the conductors of a run carry, and the breaker they allow: 310.15, 310.16, 240.4.

The columns stand in the table of run tests; sections named in the notes are those of the NEC.
"""

from __future__ import annotations

from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.expr import Expr, at_most, call, col, equal, flag, given, less, ratio, when
from takeoff.engine.lookups import At, CellAt, Match, Named
from takeoff.engine.tables import Column
from takeoff.model.givens.conditions import condition


def size(name: str) -> Expr:
    """Return a column of the conductor size of the row."""
    return At("sizes", name, col("size_row"))


def figure(name: str) -> Expr:
    """Return a figure of the code in force."""
    return Named("code", "value", name)


def slot_above(name: str, title: str, table: str, column: str, limit: Expr) -> tuple[Column, Column]:
    """Return the columns that find the first entry of the edition not under a limit."""
    below = CountSmaller(table, {"family": given("code_edition")}, column, limit)
    slot = given("code_edition") & "|" & col(f"{name}_below")
    return (
        Column(f"{name}_below", f"{title} below", "ea", below),
        Column(f"{name}_row", f"row of the {title}", "no.", Match(table, "slot", slot, missing_ok=True)),
    )


def ampacity_columns() -> list[Column]:
    """Return the columns that find what the conductors carry: 310.15, 310.16."""
    return [
        Column(
            "neutrals_counted",
            "neutrals that count",
            "ea",
            when(equal(col("shared"), 1), condition("nonlinear"), col("neutrals")),
            "the neutral of a four-wire circuit counts where the load is mostly nonlinear; 310.15(E)",
        ),
        Column("ccc", "current-carrying", "ea", col("ungrounded") + col("neutrals_counted")),
        Column("is_cable", "cable", "0/1", At("in_use", "cable", col("construction_row"))),
        Column(
            "together",
            "cables together",
            "ea",
            when(equal(col("is_cable"), 1), given("bundled_cables"), 1),
            "each raceway holds one circuit",
        ),
        Column("ccc_together", "current-carrying together", "ea", col("ccc") * col("together")),
        *slot_above("adjustment", "adjustment", "adjustments", "ccc_to", col("ccc_together")),
        Column(
            "table_pct", "adjustment by table", "%", At("adjustments", "percent", col("adjustment_row"), 0), format="0"
        ),
        Column(
            "insulated",
            "in thermal insulation",
            "0/1",
            when(equal(col("insulation_said"), 1), col("in_insulation"), condition("insulated")),
            "as the schedule says of the circuit, else as the input says of the job",
        ),
        Column(
            "packed",
            "cables without spacing in insulation",
            "0/1",
            col("insulated") * flag(less(figure("insulated_cables"), col("together"))),
            "330.80, 320.80(A): more than two take the table",
        ),
        Column(
            "spared",
            "spared cable",
            "0/1",
            col("is_cable")
            * flag(equal(size("area_cmil"), figure("bundle_area")))
            * flag(at_most(call("max", col("ccc") - figure("bundle_each"), col("packed") + col("jacketed")), 0)),
            "Type AC and MC of 12 AWG of few conductors, without an overall jacket, not packed in insulation",
        ),
        Column(
            "spared_pct",
            "adjustment of a spared cable",
            "%",
            when(at_most(col("ccc_together"), figure("bundle_total")), 100, figure("bundle_pct")),
            format="0",
        ),
        Column(
            "adjust_pct",
            "adjustment",
            "%",
            when(equal(col("spared"), 1), col("spared_pct"), col("table_pct")),
            format="0",
        ),
        Column(
            "left",
            "left of the table",
            "1/1",
            ratio(condition("ambient_factor") * col("adjust_pct"), 100, 0),
            "ambient factor x adjustment",
            "0.000",
        ),
        Column("asked_a", "asked of the table", "A", ratio(col("breaker_a"), col("left"), 0), format="0.0"),
        Column("corrected_a", "corrected", "A", size("copper_90c_a") * col("left"), "from the 90 C column", "0.0"),
        Column(
            "insulation_a",
            "carries in thermal insulation",
            "A",
            CellAt("sizes", "ampacities", col("size_row"), At("in_use", "insulation_place", col("construction_row"))),
            "320.80(A)",
        ),
        Column(
            "insulated_a",
            "limit by insulation",
            "A",
            when(equal(col("insulated"), 1), col("insulation_a"), col("corrected_a")),
            format="0.0",
        ),
        Column(
            "usable_a",
            "conductors carry",
            "A",
            call("min", col("corrected_a"), size("terminal_a"), col("insulated_a")),
            "110.14(C), 310.15",
            "0.0",
        ),
        *slot_above("next", "standard rating", "breakers", "rating_a", col("usable_a")),
        Column("next_a", "next standard rating", "A", At("breakers", "rating_a", col("next_row"), 0), "240.6(A)"),
        Column(
            "may_round",
            "next rating allowed",
            "0/1",
            flag(equal(col("several"), 0)),
            "240.4(B): not for circuits of several receptacles",
        ),
        Column(
            "rounded_a",
            "by 240.4(B)",
            "A",
            when(equal(col("may_round"), 1), call("max", col("next_a"), col("usable_a")), col("usable_a")),
            format="0.0",
        ),
        Column(
            "allowed_a",
            "breaker at most",
            "A",
            when(equal(size("has_limit"), 1), call("min", col("rounded_a"), size("limit_a")), col("rounded_a")),
            "240.4(D)",
            "0.0",
        ),
        Column(
            "overcurrent",
            "breaker and conductors",
            "",
            when(at_most(col("breaker_a"), col("allowed_a")), "meets", "fails"),
            "310.15, 240.4",
        ),
    ]
