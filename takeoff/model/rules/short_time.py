"""What conductors and fittings withstand for a short time, and the ground fault of a circuit over its length."""

from __future__ import annotations

from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.expr import Expr, Head, at_most, call, col, equal, given, ratio, when
from takeoff.engine.lookups import At, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import NOTHING, Frame
from takeoff.model.rules.paths import KFT

POINTS = 12
"""Points of the length chart."""


def melting_table(frame: Frame) -> Table:
    """What a circular mil of each metal withstands: until it melts, and until its insulation is spoiled."""

    def metal(name: str) -> Expr:
        return At("metals", name, col("row"))

    def log(hot: str, cold: str) -> Expr:
        return call("log10", ratio(col(hot), col(cold), 1))

    zero = metal("zero_c")
    return Table(
        "melting",
        "Metals under a short current",
        [Field("metal", "metal", role="key")],
        [
            Column("row", "row in the catalog", "no.", Match("metals", "metal", col("metal"))),
            Column("cold_c", "cold, above no resistance", "C", given("fusing_ambient_c") + zero),
            Column("melts_c", "melting, above no resistance", "C", metal("melts_c") + zero),
            Column("fusing_log", "cold to melting", "log10", log("melts_c", "cold_c"), format="0.0000"),
            Column(
                "fusing",
                "melts at",
                "A2 s/cmil2",
                ratio(col("fusing_log"), metal("fusing_constant"), 0),
                "fusing equation",
                "0.000E+00",
            ),
            Column("warm_c", "warm, above no resistance", "C", given("conductor_temp_c") + zero),
            Column("limit_c", "limit of insulation, above no resistance", "C", metal("insulation_limit_c") + zero),
            Column("withstand_log", "warm to limit", "log10", log("limit_c", "warm_c"), format="0.0000"),
            Column(
                "withstand",
                "insulation whole up to",
                "A2 s/cmil2",
                metal("withstand_constant") * col("withstand_log"),
                "ICEA P-32-382, adiabatic",
                "0.000E+00",
            ),
        ],
        {"metal": frame.catalogs["metals"].keys},
        key="metal",
    )


def short_times_table(frame: Frame) -> Table:
    """What a conductor and the fitting of its size withstand for a short time."""
    tested = {str(r["awg"]) for r in frame.catalogs["short_time"]}

    def melts(metal: str, area: str) -> Expr:
        return col(area) * call("root", ratio(look("melting", "fusing", metal, by="metal"), col("test_s"), 0))

    withstand = look("melting", "withstand", "copper", by="metal")
    return Table(
        "short_times",
        "Short-time currents by size",
        [Field("awg", "size", "AWG", role="key")],
        [
            Column("size_row", "row of the size", "no.", Match("sizes", "awg", col("awg"))),
            Column("area_cmil", "area", "cmil", At("sizes", "area_cmil", col("size_row"))),
            Column("test_row", "row of the test", "no.", Match("short_time", "awg", col("awg"))),
            Column(
                "test_a",
                "fitting tested at",
                "A",
                At("short_time", "test_a", col("test_row")),
                "UL 467, UL 514B",
                "#,##0",
            ),
            Column("test_s", "for", "s", At("short_time", "test_s", col("test_row"))),
            Column(
                "copper_a", "copper melts at", "A", melts("copper", "area_cmil"), "fusing equation, same time", "#,##0"
            ),
            Column("copper_pct", "test, of melting", "%", ratio(col("test_a") * 100, col("copper_a"), 0), format="0.0"),
            Column(
                "table_row",
                "row of the EGC table",
                "no.",
                Match("egc_sizes", "copper_awg", col("awg"), missing_ok=True),
            ),
            Column(
                "aluminum_awg",
                "aluminum in its place",
                "AWG",
                At("egc_sizes", "aluminum_awg", col("table_row"), NOTHING),
                "Table 250.122: as a 20 A circuit, 12 AWG copper or 10 AWG aluminum",
            ),
            Column(
                "aluminum_row", "row of its size", "no.", Match("sizes", "awg", col("aluminum_awg"), missing_ok=True)
            ),
            Column("aluminum_cmil", "its area", "cmil", At("sizes", "area_cmil", col("aluminum_row"), 0)),
            Column(
                "aluminum_a",
                "aluminum alone melts at",
                "A",
                melts("aluminum", "aluminum_cmil"),
                "same time",
                "#,##0",
                width=9.5,
            ),
            Column(
                "alone_word",
                "against the test",
                "",
                when(at_most(col("test_a"), col("aluminum_a")), "outlasts the test", "melts in the test"),
            ),
            Column(
                "alone",
                "aluminum alone",
                "",
                when(equal(col("aluminum_row"), 0), "-", col("alone_word")),
                "why it is never credited without the armor",
                width=18,
            ),
            Column(
                "insulated_a2s",
                "insulation whole up to",
                "A2 s",
                withstand * col("area_cmil") * col("area_cmil"),
                "ICEA P-32-382, adiabatic",
                "0.00E+00",
            ),
            Column(
                "test_a2s", "fitting test", "A2 s", col("test_a") * col("test_a") * col("test_s"), format="0.00E+00"
            ),
        ],
        {"awg": [a for a in frame.sizes if a in tested]},
        key="awg",
    )


def curves_table(frame: Frame) -> Table:
    """The loop of a circuit of the smallest size for a breaker, in every construction: what the chart compares."""
    below = CountSmaller("sizes", {"family": "copper"}, "plain_a", given("chart_breaker_a"))
    ohms = At("ohms", "phase_ohm", col("ohm_row"), 0) + At("ohms", "egc_ohm", col("ohm_row"), 0)
    wanted = given("chart_breaker_a") * given("pickup_times_rating") * given("wanted_ratio")

    return Table(
        "curves",
        "Loop over length, by construction",
        [Field("construction", "construction", role="key", width=14)],
        [
            Column("below", "sizes too small", "ea", below),
            Column("size_row", "row of the size", "no.", Match("sizes", "place", col("below") + 1, missing_ok=True)),
            Column("awg", "size", "AWG", At("sizes", "awg", col("size_row"), NOTHING)),
            Column(
                "ohm_row",
                "row of the cable",
                "no.",
                Match("ohms", "family", col("construction") & "|" & col("awg"), missing_ok=True),
            ),
            Column("known", "cable in the catalog", "0/1", call("sign", col("ohm_row"))),
            Column("ohm_per_kft", "loop", "ohm/kft", ohms, "conductor and ground path", "0.000"),
            Column("wanted_a", "fault wanted", "A", wanted, format="#,##0"),
            Column("allowed_ohm", "loop at most", "ohm", ratio(given("chart_v"), col("wanted_a"), 0), format="0.0000"),
            Column(
                "longest_ft",
                "longest run",
                "ft",
                call(
                    "max",
                    0,
                    ratio(col("allowed_ohm") * KFT - given("source_mohm"), col("ohm_per_kft"), 0),
                ),
                "at which the fault still has the ratio wanted",
                "#,##0",
            ),
        ],
        {"construction": frame.constructions},
        key="construction",
    )


def lengths_table(frame: Frame) -> Table:
    """Fault current over length, times the pickup of the breaker, in every construction: the points of the chart."""
    loop = ratio(col("length_ft") * look("curves", "ohm_per_kft", Head()) + given("source_mohm"), KFT, 0)
    return Table(
        "lengths",
        "Ground fault over length",
        [Field("point", "point", "no.", role="key")],
        [
            Column("length_ft", "length", "ft", col("point") * given("chart_step_ft"), format="0"),
            Column("pickup_a", "pickup", "A", given("chart_breaker_a") * given("pickup_times_rating"), format="0"),
            *(
                Column(f"loop_{n}", f"loop, {m}", "ohm", loop, head=m, format="0.0000")
                for n, m in enumerate(frame.constructions, start=1)
            ),
            *(
                Column(
                    f"times_{n}",
                    m,
                    "x pickup",
                    ratio(given("chart_v") * look("curves", "known", Head()), col(f"loop_{n}") * col("pickup_a"), 0),
                    head=m,
                    format="0.00",
                )
                for n, m in enumerate(frame.constructions, start=1)
            ),
        ],
        {"point": list(range(1, POINTS + 1))},
    )
