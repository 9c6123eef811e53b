"""What the inputs say of temperatures, and conductor sizes as the rules of overcurrent protection read them."""

from __future__ import annotations

from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.expr import Expr, as_expr, call, col, equal, flag, given, ratio, same, when
from takeoff.engine.lookups import At, CellAt, Match, Named, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.facts import said_columns

TEMPERATURES = (60, 75, 90)
"""Columns of the ampacity table, C."""


def condition(name: str) -> Expr:
    """Return a figure of the one row of conditions."""
    return At("conditions", name, as_expr(1))


def conditions_table(_: Frame) -> Table:
    """One row: what the inputs for temperature and bundling come to."""
    below = CountSmaller("ambient", {"family": given("code_edition")}, "to_f", given("ambient_f"))
    warmer = given("conductor_temp_c") - Named("code", "value", "table_8_c")

    def factor(metal: str, degrees: Expr = warmer) -> Expr:
        return degrees * look("metals", "alpha_75c", metal, by="metal") + 1

    return Table(
        "conditions",
        "Conditions in force",
        [Field("key", "key", role="key")],
        [
            Column(
                "terminal_place", "ampacity column", "no.", Match("temperatures", "key", given("terminal_c") & " C")
            ),
            Column("bands_below", "ambient bands below", "ea", below),
            Column(
                "ambient_row",
                "row of the band",
                "no.",
                Match("ambient", "slot", given("code_edition") & "|" & col("bands_below"), missing_ok=True),
            ),
            Column(
                "ambient_factor",
                "ambient factor",
                "1/1",
                At("ambient", "factor_90c", col("ambient_row"), 0),
                "correction of the 90 C column; 0 where the table ends",
                "0.00",
            ),
            Column("ambient_section", "ambient by", "", At("ambient", "section", col("ambient_row"), "-"), width=22),
            Column("nonlinear", "neutral of four wires counts", "0/1", flag(same(given("nonlinear_loads"), "yes"))),
            Column("insulated", "in thermal insulation", "0/1", flag(same(given("thermal_insulation"), "yes"))),
            Column(
                "copper_factor", "copper against Table 8", "1/1", factor("copper"), "1 + coefficient x degrees", "0.000"
            ),
            Column(
                "fittings_ohm",
                "two fittings",
                "ohm",
                ratio(given("fitting_mohm") + given("fitting_mohm"), 1000, 0),
                "of every run, in the path of armor or tubing",
                "0.0000",
            ),
            Column(
                "reading_factor",
                "loop when it is read",
                "1/1",
                ratio(
                    factor("copper", given("reading_c") - Named("code", "value", "table_8_c")), col("copper_factor"), 1
                ),
                "against that of the fault loop",
                "0.000",
            ),
            Column(
                "aluminum_factor",
                "aluminum against Table 8",
                "1/1",
                factor("aluminum"),
                "1 + coefficient x degrees; armor too",
                "0.000",
            ),
            *said_columns("increase", "increase of the EGC", "increase", given("qualified_egc")),
            *said_columns("reading", "reading of 2017", "reading", given("increase_reading")),
            Column(
                "egc_question",
                "asked of an increase",
                "",
                when(same(col("increase_outcome"), "look"), col("increase_question"), col("reading_question")),
                "2017 asks for the reading, from 2020 for a qualified person",
            ),
        ],
        {"key": ["job"]},
    )


def temperatures_table(_: Frame) -> Table:
    """The columns of the ampacity table by name."""
    return Table(
        "temperatures",
        "Columns of the ampacity table",
        [Field("key", "rating", role="key"), Field("place", "place", "no.")],
        [],
        {"key": [f"{t} C" for t in TEMPERATURES], "place": list(range(1, len(TEMPERATURES) + 1))},
    )


def sizes_table(frame: Frame) -> Table:
    """Conductor sizes, the smallest first, with what overcurrent protection reads of them."""

    def of(name: str, title: str, unit: str) -> Column:
        return Column(name, title, unit, At("conductors", name, col("row")))

    def of_row(name: str) -> Expr:
        return At("conductors", name, col("row"))

    at_work = col("ohm_cmil") * condition("aluminum_factor")
    return Table(
        "sizes",
        "Conductor sizes at work",
        [
            Field("awg", "size", "AWG", role="key"),
            Field("place", "place", "no."),
            Field("family", "family"),
        ],
        [
            Column("row", "row in the catalog", "no.", Match("conductors", "key", col("awg"))),
            of("area_cmil", "area", "cmil"),
            *(of(f"copper_{t}c_a", f"copper, {t} C", "A") for t in TEMPERATURES),
            Column(
                "terminal_a",
                "at the terminals",
                "A",
                CellAt("sizes", "ampacities", col("place"), condition("terminal_place")),
                "110.14(C)",
            ),
            of("aluminum_cmil", "aluminum beside it", "cmil"),
            of("small_conductor_a", "small conductor", "A"),
            Column("has_limit", "is a small conductor", "0/1", call("sign", col("small_conductor_a")), "240.4(D)"),
            Column(
                "limit_a",
                "breaker at most",
                "A",
                when(equal(col("has_limit"), 1), col("small_conductor_a"), col("terminal_a")),
                "240.4(D), else the ampacity at the terminals",
            ),
            Column("plain_a", "uncorrected", "A", call("min", col("terminal_a"), col("limit_a"))),
            Column(
                "insulated_a2s",
                "insulation whole up to",
                "A2 s",
                look("melting", "withstand", "copper", by="metal") * col("area_cmil") * col("area_cmil"),
                "ICEA P-32-382, adiabatic",
                "0.00E+00",
            ),
            Column(
                "test_row", "row of the fitting test", "no.", Match("short_time", "awg", col("awg"), missing_ok=True)
            ),
            Column(
                "test_a2s",
                "fitting test",
                "A2 s",
                At("short_time", "test_a", col("test_row"), 0)
                * At("short_time", "test_a", col("test_row"), 0)
                * At("short_time", "test_s", col("test_row"), 0),
                "UL 467, UL 514B; 0 where there is none of the size",
                "0.00E+00",
            ),
            Column(
                "per_test", "a fitting's part of its test", "1/(A2 s)", ratio(1, col("test_a2s"), 0), format="0.00E+00"
            ),
            Column(
                "ohm_cmil", "aluminum by Table 8", "ohm cmil/kft", of_row("aluminum_ohm_per_kft") * of_row("area_cmil")
            ),
            Column(
                "aluminum_a2s",
                "aluminum of 1 ohm/kft whole up to",
                "A2 s ohm2/kft2",
                look("melting", "withstand", "aluminum", by="metal") * at_work * at_work,
                "insulation beside it; a path of less resistance withstands more by the square",
                "0.00E+00",
            ),
        ],
        {
            "awg": frame.sizes,
            "place": list(range(1, len(frame.sizes) + 1)),
            "family": ["copper"] * len(frame.sizes),
        },
        {"ampacities": [f"copper_{t}c_a" for t in TEMPERATURES]},
        key="awg",
    )
