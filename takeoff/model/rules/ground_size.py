"""The size of the equipment grounding conductor of a run: 250.122(A) and (B).

The columns stand in the table of run tests; sections named in the notes are those of the NEC.
"""

from __future__ import annotations

from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.expr import Expr, at_most, call, col, equal, flag, ratio, same, when
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column
from takeoff.model.frame import NOTHING
from takeoff.model.rules.ampacity import figure, size, slot_above

READING = "reading"
"""Word of a run whose EGC is too small by one of the readings of 250.122(B) of 2017 only."""


def _cmil(row: str) -> Expr:
    return At("sizes", "area_cmil", col(row), 0)


def asked_columns() -> list[Column]:
    """Return the columns that find what the breaker asks for: the table, and the least size of the conductors."""

    def not_under(below: str | Expr) -> Expr:
        smaller = col(below) if isinstance(below, str) else below
        return Match("sizes", "place", smaller + 1, missing_ok=True)

    return [
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
        Column("plain_row", "row of the size, uncorrected", "no.", not_under("plain_below")),
        Column("plain_cmil", "least size, uncorrected", "cmil", _cmil("plain_row"), "for the breaker", "#,##0"),
        Column(
            "least_row",
            "row of the least size",
            "no.",
            not_under(call("max", col("plain_below"), col("corrected_below"))),
        ),
        Column(
            "least_cmil",
            "least size",
            "cmil",
            _cmil("least_row"),
            "for the breaker, with what ambient and adjustment ask for",
            "#,##0",
        ),
    ]


def ground_columns() -> list[Column]:
    """Return the columns that size the equipment grounding conductor: 250.122."""
    aluminum = same(col("size_rule"), "aluminum")

    def absent(check: str) -> Expr:
        return At("in_use", f"without_{check}", col("construction_row"))

    def size_row(name: str, awg: str) -> Column:
        return Column(
            name, f"row of {awg.replace('_awg', '')}", "no.", Match("sizes", "awg", col(awg), missing_ok=True)
        )

    def in_proportion(least: str) -> Expr:
        return at_most(col("increase_asked"), col("fitted_most") * col(least))

    asked = col("table_cmil") * col("circuit_cmil")
    return [
        Column("size_rule", "sized by", "", At("in_use", "egc_size_rule", col("construction_row"))),
        Column("needed_awg", "asked by the table", "AWG", when(aluminum, col("aluminum_awg"), col("copper_awg"))),
        Column(
            "fitted_awg",
            "in the cable",
            "AWG",
            when(aluminum, At("runs", "bare_awg", col("run_row")), At("runs", "egc_awg", col("run_row"))),
        ),
        size_row("needed_row", "needed_awg"),
        size_row("fitted_row", "fitted_awg"),
        Column("table_cmil", "asked by the table", "cmil", _cmil("needed_row"), format="#,##0"),
        Column("circuit_cmil", "circuit conductors", "cmil", size("area_cmil"), format="#,##0"),
        Column(
            "ceiling_cmil",
            "never more than",
            "cmil",
            when(aluminum, size("aluminum_cmil"), col("circuit_cmil")),
            "the circuit conductors, or the aluminum that Table 250.122 has beside them: 250.122(A)",
            "#,##0",
        ),
        Column("needed_cmil", "needed", "cmil", call("min", col("table_cmil"), col("ceiling_cmil")), format="#,##0"),
        Column("fitted_cmil", "fitted", "cmil", _cmil("fitted_row"), format="#,##0"),
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
        Column(
            "egc_size",
            "EGC size",
            "",
            when(equal(col("by_table"), 1), col("size_word"), absent("egc_size")),
            "250.122(A)",
        ),
        Column(
            "increase_asked",
            "table x circuit conductors",
            "cmil2",
            asked,
            "in proportion to circular mils, without division: 250.122(B)",
            "0.00E+00",
        ),
        Column(
            "fitted_most",
            "fitted, with the rounding of the table",
            "cmil",
            col("fitted_cmil") * (ratio(figure("area_rounding_pct"), 100, 0) + 1),
            "a hair within the rounding of Chapter 9 Table 8 is no increase",
            "#,##0",
        ),
        Column(
            "plain_word",
            "from the uncorrected size",
            "",
            when(in_proportion("plain_cmil"), "meets", READING),
            "reading: only from this size the EGC is too small; 2017 has two readings, from 2020 it is spared",
        ),
        Column("increase_word", "in proportion", "", when(in_proportion("least_cmil"), col("plain_word"), "fails")),
        Column(
            "ceiling_word",
            "increased in proportion",
            "",
            when(at_most(col("circuit_cmil"), col("fitted_cmil")), "meets", col("increase_word")),
            "never larger than the circuit conductors, 250.122(A)",
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
            when(equal(col("is_wire"), 1), col("ceiling_word"), absent("egc_increase")),
            "250.122(B)",
        ),
    ]
