"""Every kind of run of every circuit in every construction: its ground conductor, and what its conductors carry.

Sections named in the notes are those of the NEC.
"""

from __future__ import annotations

from takeoff.circuit_facts import run_lines
from takeoff.expr import Expr, at_most, call, col, equal, flag, given, ratio, same, when
from takeoff.model.conditions import condition
from takeoff.model.frame import NOTHING, Frame
from takeoff.reach import At, CellAt, Match, Named
from takeoff.sums import CountSmaller
from takeoff.tables import Column, Field, Table


def _circuit(name: str) -> Expr:
    return At("circuits", name, col("circuit_row"))


def _size(name: str) -> Expr:
    return At("sizes", name, col("size_row"))


def _figure(name: str) -> Expr:
    return Named("code", "value", name)


def _slot_above(name: str, title: str, table: str, size: str, limit: Expr) -> tuple[Column, Column]:
    """Return the columns that find the first entry of the edition not under a limit."""
    below = CountSmaller(table, "family", given("code_edition"), size, limit)
    slot = given("code_edition") & "|" & col(f"{name}_below")
    return (
        Column(f"{name}_below", f"{title} below", "ea", below),
        Column(f"{name}_row", f"row of the {title}", "no.", Match(table, "slot", slot, missing_ok=True)),
    )


def _ground_columns() -> list[Column]:
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
        Column("size_rule", "sized by", "", At("methods", "egc_size_rule", col("method_row"))),
        *_slot_above("table", "rating", "egc_sizes", "breaker_a", col("breaker_a")),
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
        Column("circuit_cmil", "circuit conductors", "cmil", _size("area_cmil"), format="#,##0"),
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
            CountSmaller("sizes", "family", "copper", "plain_a", col("breaker_a")),
            "sizes that carry less than the breaker",
        ),
        Column(
            "corrected_below",
            "sizes too small, corrected",
            "ea",
            CountSmaller("sizes", "family", "copper", "copper_90c_a", col("asked_a")),
            "sizes that carry less than the breaker under the ambient and the adjustment",
        ),
        Column(
            "spared_below",
            "of them spared",
            "ea",
            col("corrected_below") * _figure("increase_spares_correction"),
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


def _ampacity_columns() -> list[Column]:
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
        Column("is_cable", "cable", "0/1", At("methods", "cable", col("method_row"))),
        Column(
            "together",
            "cables together",
            "ea",
            when(equal(col("is_cable"), 1), given("bundled_cables"), 1),
            "each raceway holds one circuit",
        ),
        Column("ccc_together", "current-carrying together", "ea", col("ccc") * col("together")),
        *_slot_above("adjustment", "adjustment", "adjustments", "ccc_to", col("ccc_together")),
        Column(
            "table_pct", "adjustment by table", "%", At("adjustments", "percent", col("adjustment_row"), 0), format="0"
        ),
        Column(
            "few",
            "cable of few conductors",
            "0/1",
            col("is_cable") * flag(at_most(col("ccc"), _figure("bundle_each"))),
        ),
        Column(
            "spared",
            "spared cable",
            "0/1",
            col("few") * flag(equal(_size("area_cmil"), _figure("bundle_area"))),
            "Type AC and MC of 12 AWG without an overall jacket",
        ),
        Column(
            "spared_pct",
            "adjustment of a spared cable",
            "%",
            when(at_most(col("ccc_together"), _figure("bundle_total")), 100, _figure("bundle_pct")),
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
        Column("corrected_a", "corrected", "A", _size("copper_90c_a") * col("left"), "from the 90 C column", "0.0"),
        Column(
            "insulation_a",
            "in thermal insulation",
            "A",
            CellAt("sizes", "ampacities", col("size_row"), At("methods", "insulation_place", col("method_row"))),
            "320.80(A)",
        ),
        Column(
            "insulated_a",
            "limit by insulation",
            "A",
            when(equal(condition("insulated"), 1), col("insulation_a"), col("corrected_a")),
            format="0.0",
        ),
        Column(
            "usable_a",
            "conductors carry",
            "A",
            call("min", col("corrected_a"), _size("terminal_a"), col("insulated_a")),
            "110.14(C), 310.15",
            "0.0",
        ),
        *_slot_above("next", "standard rating", "breakers", "rating_a", col("usable_a")),
        Column("next_a", "next standard rating", "A", At("breakers", "rating_a", col("next_row"), 0), "240.6(A)"),
        Column(
            "may_round",
            "next rating allowed",
            "0/1",
            flag(at_most(_circuit("receptacles"), 1)),
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
            when(equal(_size("has_limit"), 1), call("min", col("rounded_a"), _size("limit_a")), col("rounded_a")),
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


def run_tests_table(frame: Frame) -> Table:
    """One row for each kind of run of each circuit in each construction."""
    rows = [
        (key, line, method)
        for key, boxes in frame.boxes_of_circuit.items()
        for line in run_lines(boxes)
        for method in frame.methods
    ]
    columns = [
        Column("circuit_row", "row of the circuit", "no.", Match("circuits", "key", col("circuit_key"))),
        Column("circuit", "circuit", "", _circuit("circuit")),
        Column("method_row", "row of the construction", "no.", Match("methods", "construction", col("construction"))),
        Column("run_row", "row of the run", "no.", Match("runs", "key", col("kind") & "|" & col("construction"))),
        Column("size_row", "row of the size", "no.", Match("sizes", "awg", col("awg"))),
        Column("breaker_a", "breaker", "A", _circuit("breaker_a")),
        Column("no_cable", "not in the catalog", "0/1", At("runs", "no_cable", col("run_row"))),
        Column("in_catalog", "in the catalog", "0/1", flag(equal(col("no_cable"), 0))),
        *_ampacity_columns(),
        *_ground_columns(),
    ]
    return Table(
        "run_tests",
        "Runs of each circuit: ground conductor and ampacity",
        [
            Field("option", "circuit and construction", role="key", width=18),
            Field("circuit_key", "circuit key", role="key"),
            Field("construction", "construction", role="key", width=13),
            Field("kind", "run kind"),
            Field("awg", "size", "AWG"),
            Field("ungrounded", "ungrounded conductors", "ea"),
            Field("neutrals", "neutrals", "ea"),
            Field("shared", "one neutral for three hots", "0/1"),
        ],
        columns,
        {
            "option": [f"{key}|{m}" for key, _, m in rows],
            "circuit_key": [key for key, *_ in rows],
            "construction": [m for *_, m in rows],
            "kind": [line.kind for _, line, _ in rows],
            "awg": [line.awg for _, line, _ in rows],
            "ungrounded": [line.ungrounded for _, line, _ in rows],
            "neutrals": [line.neutrals for _, line, _ in rows],
            "shared": [int(line.neutrals == 1 and line.hots == 3) for _, line, _ in rows],
        },
    )
