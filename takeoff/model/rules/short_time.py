"""What conductors and fittings withstand for a short time, and the ground fault of a circuit over its length."""

from __future__ import annotations

from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.expr import Expr, as_expr, at_most, call, col, equal, given, ratio, when
from takeoff.engine.lookups import At, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import NOTHING, Frame
from takeoff.model.givens.inputs import sound
from takeoff.model.rules.breaker import band_columns
from takeoff.model.rules.resistance import KFT, fittings_ohm


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
        ],
        {"awg": [a for a in frame.sizes if a in tested]},
        key="awg",
    )


def curves_table(frame: Frame) -> Table:
    """The longest run of a circuit of the smallest size for a breaker, in every construction: what the chart shows.

    A range: at its least the fault still has the multiple wanted, at its most it only reaches the low edge of the
    pickup. Invented armor is taken as far off as the inputs say, to either side.
    """
    below = CountSmaller("sizes", {"family": "copper"}, "plain_a", given("chart_breaker_a"))

    cable = Match("ohms", "family", col("construction") & "|" & col("awg"), missing_ok=True)

    def ohm(name: str) -> Expr:
        return At("ohms", name, col("ohm_row"))

    weak, strong = ratio(ohm("armor_s"), col("armor_off"), 0), ohm("armor_s") * col("armor_off")

    def run(name: str, title: str, current: str, note: str) -> Column:
        left = call("/", given("chart_v"), col(current)) - col("beside_ohm")
        feet = call("max", 0, call("/", left * KFT, col(f"{name}_ohm"))) * col("known")
        return Column(f"{name}_ft", title, "ft", feet, note, "#,##0")

    figures = sound("source_mohm") * sound("pickup_times_rating")
    return Table(
        "curves",
        "Longest run in every construction",
        [Field("construction", "construction", role="key", width=14)],
        [
            Column("below", "sizes too small", "ea", below),
            Column("size_row", "row of the size", "no.", Match("sizes", "place", col("below") + 1, missing_ok=True)),
            Column("awg", "size", "AWG", At("sizes", "awg", col("size_row"), NOTHING)),
            Column("found", "row of the cable, 0 where there is none", "no.", cable),
            Column("ohm_row", "row of the cable", "no.", call("max", 1, col("found"))),
            Column("known", "ground path known", "0/1", call("sign", col("found") * ohm("egc_ohm"))),
            *band_columns(given("chart_breaker_a"), given("chart_v")),
            Column(
                "armor_off",
                "armor may be off by",
                "x",
                ratio(given("invented_off_pct"), 100, 0) * (as_expr(1) - ohm("sound")) + 1,
                "a stated or measured figure is taken as it is",
                "0.00",
            ),
            Column("other_s", "wire and bare aluminum carry", "kft/ohm", ohm("wire_s") + ohm("bare_s"), format="0.000"),
            Column("weak_s", "least that all carry", "kft/ohm", col("other_s") + weak, format="0.000"),
            Column("strong_s", "most that all carry", "kft/ohm", col("other_s") + strong, format="0.000"),
            Column(
                "least_ohm", "loop at most", "ohm/kft", ohm("phase_ohm") + ratio(1, col("weak_s"), 0), format="0.000"
            ),
            Column(
                "most_ohm", "loop at least", "ohm/kft", ohm("phase_ohm") + ratio(1, col("strong_s"), 0), format="0.000"
            ),
            Column(
                "beside_ohm",
                "source and two fittings",
                "ohm",
                ratio(given("source_mohm"), KFT, 0) + fittings_ohm(ohm("metal_share")),
                format="0.0000",
            ),
            run("least", "longest run, from", "wanted_a", "at which the fault surely has the multiple wanted"),
            run("most", "longest run, to", "low_a", "at which the fault only reaches the low edge of the pickup"),
            Column("span_ft", "between them", "ft", col("most_ft") - col("least_ft"), format="#,##0"),
            Column(
                "label",
                "construction, and what is invented",
                "",
                col("construction")
                & when(equal(col("armor_off"), 1), "", ", armor invented")
                & when(equal(figures, 1), "", ", source or pickup invented"),
                "no order of the constructions follows from invented figures",
                width=54,
            ),
        ],
        {"construction": frame.constructions},
        key="construction",
    )
