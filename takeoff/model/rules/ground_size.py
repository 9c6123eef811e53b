"""The size of the equipment grounding conductor of a run: 250.122(A) and (B).

The columns stand in the table of run tests; sections named in the notes are those of the NEC.
"""

from __future__ import annotations

from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.expr import Expr, at_most, call, col, equal, flag, same, when
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column
from takeoff.model.frame import NOTHING
from takeoff.model.rules.ampacity import figure, size, slot_above


def ground_columns() -> list[Column]:
    """Return the columns that size the equipment grounding conductor: 250.122."""
    aluminum = same(col("size_rule"), "aluminum")

    def size_row(name: str, awg: str) -> Column:
        return Column(
            name, f"row of {awg.replace('_awg', '')}", "no.", Match("sizes", "awg", col(awg), missing_ok=True)
        )

    def cmil(row: str) -> Expr:
        return At("sizes", "area_cmil", col(row), 0)

    asked = col("table_cmil") * col("circuit_cmil")
    return [
        Column("size_rule", "sized by", "", At("in_use", "egc_size_rule", col("construction_row"))),
        *slot_above("table", "rating", "egc_sizes", "breaker_a", col("breaker_a")),
        *(
            Column(
                f"{m}_awg",
                f"table, {m}",
                "AWG",
                At("egc_sizes", f"{m}_awg", col("table_row"), NOTHING),
                "Table 250.122",
            )
            for m in ("copper", "aluminum")
        ),
        Column("needed_awg", "asked by the table", "AWG", when(aluminum, col("aluminum_awg"), col("copper_awg"))),
        Column(
            "fitted_awg",
            "in the cable",
            "AWG",
            when(aluminum, At("runs", "bare_awg", col("run_row")), At("runs", "egc_awg", col("run_row"))),
        ),
        size_row("needed_row", "needed_awg"),
        size_row("fitted_row", "fitted_awg"),
        Column("table_cmil", "asked by the table", "cmil", cmil("needed_row"), format="#,##0"),
        Column("circuit_cmil", "circuit conductors", "cmil", size("area_cmil"), format="#,##0"),
        Column(
            "ceiling_cmil",
            "never more than",
            "cmil",
            when(aluminum, col("table_cmil"), col("circuit_cmil")),
            "copper: the circuit conductors, 250.122(A)",
            format="#,##0",
        ),
        Column("needed_cmil", "needed", "cmil", call("min", col("table_cmil"), col("ceiling_cmil")), format="#,##0"),
        Column("fitted_cmil", "fitted", "cmil", cmil("fitted_row"), format="#,##0"),
        Column(
            "size_word",
            "size against the table",
            "",
            when(at_most(col("needed_cmil"), col("fitted_cmil")), "meets", "fails"),
        ),
        Column(
            "by_table",
            "sized by the table",
            "0/1",
            when(same(col("size_rule"), "listed"), 0, call("sign", col("table_row")) * col("in_catalog")),
            "0 where the armor is the EGC by its listing, the breaker is beyond the table, or no cable is at hand",
        ),
        Column("egc_size", "EGC size", "", when(equal(col("by_table"), 1), col("size_word"), "untested"), "250.122(A)"),
        Column(
            "plain_below",
            "sizes too small",
            "ea",
            CountSmaller("sizes", {"family": "copper"}, "plain_a", col("breaker_a")),
            "sizes that carry less than the breaker",
        ),
        Column(
            "corrected_below",
            "sizes too small, corrected",
            "ea",
            CountSmaller("sizes", {"family": "copper"}, "copper_90c_a", col("asked_a")),
            "sizes that carry less than the breaker under the ambient and the adjustment",
        ),
        Column(
            "spared_below",
            "of them spared",
            "ea",
            col("corrected_below") * figure("increase_spares_correction"),
            "from 2020 an increase for ambient or adjustment asks for no larger EGC",
        ),
        Column(
            "least_row",
            "row of the least size",
            "no.",
            Match("sizes", "place", call("max", col("plain_below"), col("spared_below")) + 1, missing_ok=True),
        ),
        Column("least_cmil", "least size", "cmil", cmil("least_row"), "smallest size for the breaker", "#,##0"),
        Column(
            "increase_asked",
            "table x circuit conductors",
            "cmil2",
            asked,
            "in proportion to circular mils, without division: 250.122(B)",
            "0.00E+00",
        ),
        Column(
            "increase_fitted", "fitted x least size", "cmil2", col("fitted_cmil") * col("least_cmil"), format="0.00E+00"
        ),
        Column(
            "at_ceiling",
            "EGC as large as the circuit",
            "",
            when(at_most(col("circuit_cmil"), col("fitted_cmil")), "meets", "fails"),
            "never larger than the circuit conductors, 250.122(A)",
        ),
        Column(
            "increase_word",
            "increased in proportion",
            "",
            when(at_most(col("increase_asked"), col("increase_fitted")), "meets", col("at_ceiling")),
        ),
        Column(
            "is_wire",
            "wire-type by the table",
            "0/1",
            col("by_table") * call("sign", col("least_row")) * flag(same(col("size_rule"), "copper")),
            "250.122(B) is for wire-type EGCs",
        ),
        Column(
            "egc_increase",
            "EGC increased",
            "",
            when(equal(col("is_wire"), 1), col("increase_word"), "untested"),
            "250.122(B)",
        ),
    ]
