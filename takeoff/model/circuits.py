"""Circuits: what each is wired in, and the grounding checks of each in each construction compared.

A check tests the one rule it names. Its outcome is a key of the outcomes catalog: meets, fails, look
(a person must look) or untested.
"""

from __future__ import annotations

from takeoff.expr import Expr, at_most, call, col, equal, flag, given, ratio, same, when
from takeoff.model.frame import NOTHING, Frame
from takeoff.reach import At, CountAcross, Match
from takeoff.sums import CountBy, CountSmaller, SumBy
from takeoff.tables import Column, Field, Table

CHECKS = ("egc_kind", "egc_size", "fitting", "space", "box_fill", "cable")


def _pairs(frame: Frame) -> tuple[list[Field], dict[str, list[object]]]:
    pairs = [(c, p) for c in frame.circuit_keys.values() for p in frame.compared]
    fields = [
        Field("key", "key", role="key", width=18),
        Field("circuit_key", "circuit key", role="key"),
        Field("construction", "compared as", role="key", width=13),
    ]
    return fields, {
        "key": [f"{c}|{p}" for c, p in pairs],
        "circuit_key": [c for c, _ in pairs],
        "construction": [p for _, p in pairs],
    }


def plan_table(frame: Frame) -> Table:
    """What each circuit is wired in when a construction is compared: that one, unless the circuit is held."""
    fields, data = _pairs(frame)
    return Table(
        "plan",
        "What each circuit is wired in",
        fields,
        [
            Column("circuit_row", "row of the circuit", "no.", Match("circuits", "key", col("circuit_key"))),
            Column("circuit", "circuit", "", At("circuits", "circuit", col("circuit_row"))),
            Column("held_to", "held to", "", At("circuits", "held_to", col("circuit_row"))),
            Column(
                "wired_as",
                "wired as",
                "",
                when(same(col("held_to"), "free"), col("construction"), col("held_to")),
                width=13,
            ),
        ],
        data,
    )


def egc_table(frame: Frame) -> Table:
    """Size of the equipment grounding conductor of each circuit, needed and fitted: Table 250.122."""
    fields, data = _pairs(frame)
    aluminum = same(col("size_rule"), "aluminum")
    slot = given("code_edition") & "|" & col("ratings_below")

    def circuit(name: str) -> Expr:
        return At("circuits", name, At("plan", "circuit_row", col("line")))

    def size_row(name: str, awg: str) -> Column:
        return Column(
            name, f"row of {awg.replace('_awg', '')} size", "no.", Match("conductors", "key", col(awg), missing_ok=True)
        )

    def cmil(row: str) -> Expr:
        return At("conductors", "area_cmil", col(row), 0)

    columns = [
        Column("line", "row of the plan", "no.", Match("plan", "key", col("key"))),
        Column("circuit", "circuit", "", At("plan", "circuit", col("line"))),
        Column("wired_as", "wired as", "", At("plan", "wired_as", col("line")), width=13),
        Column("method_row", "row of the construction", "no.", Match("methods", "construction", col("wired_as"))),
        Column(
            "run_row",
            "row of the smallest run",
            "no.",
            Match("runs", "key", circuit("smallest_run") & "|" & col("wired_as")),
        ),
        Column("in_catalog", "cable in the catalog", "0/1", flag(equal(At("runs", "no_cable", col("run_row")), 0))),
        Column("size_rule", "sized by", "", At("methods", "egc_size_rule", col("method_row"))),
        Column("breaker_a", "breaker", "A", circuit("breaker_a")),
        Column(
            "ratings_below",
            "ratings below it",
            "ea",
            CountSmaller("egc_sizes", "family", given("code_edition"), "breaker_a", col("breaker_a")),
        ),
        Column("table_row", "row of the table", "no.", Match("egc_sizes", "slot", slot, missing_ok=True)),
        Column(
            "copper_awg",
            "table, copper",
            "AWG",
            At("egc_sizes", "copper_awg", col("table_row"), NOTHING),
            "Table 250.122",
        ),
        Column(
            "aluminum_awg",
            "table, aluminum",
            "AWG",
            At("egc_sizes", "aluminum_awg", col("table_row"), NOTHING),
            "Table 250.122",
        ),
        Column("needed_awg", "asked by the table", "AWG", when(aluminum, col("aluminum_awg"), col("copper_awg"))),
        Column(
            "fitted_awg",
            "in the cable",
            "AWG",
            when(aluminum, At("runs", "bare_awg", col("run_row")), At("runs", "egc_awg", col("run_row"))),
        ),
        Column("circuit_awg", "circuit conductors", "AWG", circuit("smallest_awg")),
        size_row("needed_row", "needed_awg"),
        size_row("fitted_row", "fitted_awg"),
        size_row("circuit_size_row", "circuit_awg"),
        Column("table_cmil", "asked by the table", "cmil", cmil("needed_row"), format="#,##0"),
        Column("circuit_cmil", "circuit conductors", "cmil", cmil("circuit_size_row"), format="#,##0"),
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
        Column(
            "egc_size_check", "EGC size", "", when(equal(col("by_table"), 1), col("size_word"), "untested"), "250.122"
        ),
    ]
    return Table("egc", "EGC size of each circuit", fields, columns, data)


def verdicts_table(frame: Frame) -> Table:
    """One row for each circuit in each construction compared: checks, labor and material."""
    fields, data = _pairs(frame)
    in_force = given("code_edition") & "|" & col("wired_as")

    def egc(name: str) -> Expr:
        return At("egc", name, col("line"))

    def spaces(word: str) -> Expr:
        return CountBy("each", {"plan_key": col("key"), "space_outcome": word})

    columns = [
        Column("line", "row of the EGC size", "no.", Match("egc", "key", col("key"))),
        Column("circuit", "circuit", "", egc("circuit")),
        Column("wired_as", "wired as", "", egc("wired_as"), width=13),
        Column("repeat", "times built", "ea", At("circuits", "repeat", At("plan", "circuit_row", egc("line")))),
        Column("kind_row", "row of the ground path rule", "no.", Match("egc_rules", "key", in_force, missing_ok=True)),
        Column("kind_section", "ground path by", "", At("egc_rules", "section", col("kind_row"), "-"), width=18),
        Column("fitting_family", "fitting family", "", At("methods", "fitting_family", egc("method_row"))),
        Column(
            "fitting_row",
            "row of the fitting rule",
            "no.",
            Match("fitting_rules", "key", in_force & "|" & col("fitting_family"), missing_ok=True),
        ),
        Column("spaces_refused", "boxes in spaces refused", "ea", spaces("fails")),
        Column("spaces_to_look", "boxes in spaces to look at", "ea", spaces("look")),
        Column("look_word", "spaces, none refused", "", when(equal(col("spaces_to_look"), 0), "meets", "look")),
        Column("unsized", "boxes without a size", "ea", SumBy("each", "unsized", {"plan_key": col("key")})),
        Column("by_314_28", "boxes to size by 314.28", "ea", SumBy("each", "by_314_28", {"plan_key": col("key")})),
        Column("fill_word", "boxes, all found", "", when(equal(col("by_314_28"), 0), "meets", "look")),
        Column("no_cable", "runs without a cable", "ea", SumBy("each", "no_cable", {"plan_key": col("key")})),
        Column(
            "egc_kind_check",
            "ground path recognized",
            "",
            At("egc_rules", "outcome", col("kind_row"), "untested"),
            "250.118",
        ),
        Column("egc_size_check", "EGC size", "", egc("egc_size_check"), "250.122"),
        Column(
            "fitting_check",
            "fitting listed",
            "",
            At("fitting_rules", "outcome", col("fitting_row"), "untested"),
            "300.15",
        ),
        Column(
            "space_check", "spaces", "", when(equal(col("spaces_refused"), 0), col("look_word"), "fails"), "by space"
        ),
        Column(
            "box_fill_check",
            "box fill",
            "",
            when(equal(col("unsized") - col("by_314_28"), 0), col("fill_word"), "fails"),
            "314.16; look where conductors of 4 AWG and larger call for 314.28",
        ),
        Column("cable_check", "cable in the catalog", "", when(equal(col("no_cable"), 0), "meets", "fails"), "catalog"),
        Column("failed", "checks not met", "ea", CountAcross("checks", "fails")),
        Column("to_look", "checks to look at", "ea", CountAcross("checks", "look")),
        Column("has_failed", "has a check not met", "0/1", call("sign", col("failed"))),
        Column("has_to_look", "has a check to look at", "0/1", call("sign", col("to_look"))),
        Column(
            "hours",
            "labor, all times built",
            "h",
            ratio(SumBy("each", "minutes", {"plan_key": col("key")}), 60, 0) * col("repeat"),
            format="#,##0.00",
        ),
        Column("labor_usd", "labor", "USD", col("hours") * given("labor_rate_usd_per_h"), format="#,##0"),
        Column(
            "material_usd",
            "material",
            "USD",
            SumBy("each", "material_usd", {"plan_key": col("key")}) * col("repeat"),
            format="#,##0",
        ),
        Column("installed_usd", "installed", "USD", col("labor_usd") + col("material_usd"), format="#,##0"),
    ]
    return Table(
        "verdicts", "Circuits by construction", fields, columns, data, {"checks": [f"{c}_check" for c in CHECKS]}
    )
