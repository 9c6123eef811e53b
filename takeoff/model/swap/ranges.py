"""What the net saving becomes when an estimate comes out otherwise: one range at a time, and all at once."""

from __future__ import annotations

from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.expr import Expr, Head, as_expr, call, col, equal, given, ratio, same, when
from takeoff.engine.lookups import At, CellAt, Match, Total, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import only
from takeoff.model.swap.measured import RANGES, end_of, timed
from takeoff.model.swap.whole import left_when

CENTS = "#,##0.00;-#,##0.00;0.00"
SIGNED = "+#,##0;-#,##0;0"
LOW, HIGH, MEAN = 1, 2, 3
"""Cases of a range, by their place in the block of its ends."""

PLACE = At("swings", "nth", col("line"))
"""Row of the range that has the place of the row by its swing."""

ALL = "all"
"""Stands for every range at once."""


def range_keys(frame: Frame) -> list[str]:
    """Return the keys of the ranges, in the order of their catalog."""
    return frame.catalogs["ranges"].texts("range")


def swap_of(name: str) -> Expr:
    """Return a figure of the swap."""
    return only("swap", name)


def saving_columns(later: Expr | None = None) -> list[Column]:
    """Return the columns that turn factors of one row, named as the ranges, into a net saving.

    The cases of the workbook and the draws of the risk are computed by these same columns.

    Parameters
    ----------
    later
        Days by which it is decided later than today.
    """
    waited = swap_of("wait_days") * col("wait")

    def hours(which: str) -> Expr:
        ground = swap_of(f"ground_hours_{which}") * col("ground_minutes")
        return ground + swap_of(f"other_hours_{which}") * col("other_minutes")

    cable = swap_of("cable_usd_from") * col("from_cable") - swap_of("cable_usd_to") * col("to_cable")
    return [
        Column("hours_from", "labor, swapped from", "h", hours("from"), format=CENTS),
        Column("hours_to", "labor, swapped to", "h", hours("to"), format=CENTS),
        Column(
            "labor_usd",
            "labor saved",
            "USD",
            (col("hours_from") - col("hours_to") * col("new_labor")) * swap_of("rate") * col("labor_rate"),
            format=CENTS,
        ),
        Column("cable_usd", "cable saved", "USD", cable, format=CENTS),
        Column("box_usd", "boxes saved", "USD", swap_of("box_usd") * col("boxes"), format=CENTS),
        Column("fitting_usd", "fittings saved", "USD", swap_of("fitting_usd") * col("fittings"), format=CENTS),
        Column(
            "gross_usd",
            "saved on what remains",
            "USD",
            (col("labor_usd") + col("cable_usd") + col("box_usd") + col("fitting_usd")) * col("remaining"),
            format=CENTS,
        ),
        Column(
            "left",
            "part still to build",
            "1/1",
            left_when(waited + later if later else waited, swap_of("days")),
            format="0.000",
        ),
        Column(
            "net_usd",
            "net saving",
            "USD",
            col("gross_usd") * col("left") - swap_of("one_time_usd") * col("one_time"),
            "the swap with these factors",
            CENTS,
        ),
    ]


def _sum(*parts: Expr) -> Expr:
    total = parts[0]
    for part in parts[1:]:
        total = total + part
    return total


def spreads_table(frame: Frame) -> Table:
    """The ends and the mean of every range, as factors of what was estimated."""

    def part(name: str) -> Expr:
        return ratio(At("ranges", f"{name}_pct", col("line")), 100, 0)

    # numbers other than 0 and 1 stand in no formula: a third and a sixth come from adding
    one, likely = as_expr(1), col("likely")
    triangular = ratio(_sum(col("both"), likely), _sum(one, one, one), 1)
    pert = ratio(_sum(col("both"), likely, likely, likely, likely), _sum(one, one, one, one, one, one), 1)
    return Table(
        "spreads",
        "Ranges as factors",
        [
            Field("range", "range", role="key", width=18),
            Field("line", "line", "no."),
            *([Field("measured_row", "row of what was measured", "no.")] if timed(frame) else []),
        ],
        [
            Column("likely", "most likely", "1/1", part("likely"), format="0.000"),
            Column("low_end", "low end", "1/1", end_of(frame, "low", part("low")), format="0.000"),
            Column("high_end", "high end", "1/1", end_of(frame, "high", part("high")), format="0.000"),
            Column(
                "both",
                "both ends",
                "1/1",
                call("min", col("low_end"), likely) + call("max", col("high_end"), likely),
                "neither on the wrong side of the likely",
                "0.000",
            ),
            Column("triangular", "mean, triangular", "1/1", triangular, "(low + likely + high) / 3", "0.000"),
            Column("pert", "mean, pert", "1/1", pert, "(low + 4 likely + high) / 6", "0.000"),
            Column("low", "low", "1/1", call("min", col("low_end"), likely), format="0.000"),
            Column("high", "high", "1/1", call("max", col("high_end"), likely), format="0.000"),
            Column(
                "mean",
                "mean",
                "1/1",
                when(same(given("risk_shape"), "pert"), col("pert"), col("triangular")),
                "by risk_shape",
                "0.000",
            ),
        ],
        {
            "range": range_keys(frame),
            "line": list(range(1, len(range_keys(frame)) + 1)),
            "measured_row": [list(RANGES).index(r) + 1 if r in RANGES else 0 for r in range_keys(frame)],
        },
        {"ends": ["low", "high", "mean"]},
        key="range",
    )


def cases_table(frame: Frame) -> Table:
    """Every range at its low and at its high end, the others as estimated; and all of them at their means."""
    keys = range_keys(frame)
    rows = [(key, case) for key in keys for case in (LOW, HIGH)] + [(ALL, MEAN)]
    applies = call("any", same(col("range"), Head()), equal(col("all"), 1))
    end = CellAt("spreads", "ends", Match("spreads", "range", Head()), col("case"))
    return Table(
        "cases",
        "One range at a time",
        [
            Field("key", "key", role="key", width=20),
            Field("range", "range", width=18),
            Field("case", "1 low, 2 high, 3 mean", "no."),
            Field("all", "all ranges", "0/1"),
        ],
        [
            *(
                Column(k, f"factor, {k.replace('_', ' ')}", "1/1", when(applies, end, 1), format="0.000", head=k)
                for k in keys
            ),
            *saving_columns(),
        ],
        {
            "key": [f"{key}|{case}" for key, case in rows],
            "range": [key for key, _ in rows],
            "case": [case for _, case in rows],
            "all": [int(key == ALL) for key, _ in rows],
        },
    )


def swings_table(frame: Frame) -> Table:
    """How far the net saving swings with every range, and its place among them."""

    def net(case: int) -> Expr:
        key = col("range") & f"|{case}"
        return At("cases", "net_usd", Match("cases", "key", key)) - only("swap", "net_usd")

    def spread(name: str) -> Expr:
        return At("spreads", name, col("line"))

    keys = range_keys(frame)
    billionth = call("billionth", col("line"))
    # as a share: a criterion of COUNTIFS carries 15 digits, and dollars with nine decimals may have more
    share = ratio(col("swing_usd"), Total("swings", "swing_usd"), 0)
    # to a millionth: finer, a share and a place could add up to those of another range
    millionths = call("millionths", share)
    return Table(
        "swings",
        "Swing of the net saving",
        [Field("range", "range", role="key", width=18), Field("line", "line", "no."), Field("all", "all", "no.")],
        [
            Column(
                "title", "what comes out otherwise", "", look("ranges", "title", col("range"), by="range"), width=52
            ),
            Column("low_usd", "net saving moves at the low end", "USD", net(LOW), format=SIGNED),
            Column("high_usd", "net saving moves at the high end", "USD", net(HIGH), format=SIGNED),
            Column("swing_usd", "swing", "USD", call("absolute", col("high_usd") - col("low_usd")), format="#,##0"),
            Column(
                "mean_usd",
                "moves at its mean",
                "USD",
                call(
                    "nine",
                    col("low_usd")
                    + (spread("mean") - spread("low"))
                    * ratio(col("high_usd") - col("low_usd"), spread("high") - spread("low"), 0),
                ),
                "between the ends, straight; 0 where its ends are equal",
                SIGNED,
            ),
            Column(
                "score",
                "smallest first",
                "1/1",
                call("nine", billionth - millionths),
                "share of all swings with its sign turned; to a millionth; a billionth parts equal ones",
                "0.000000000",
            ),
            Column(
                "larger",
                "ranges that swing more",
                "ea",
                CountSmaller("swings", {"all": col("all")}, "score", col("score")),
            ),
            Column(
                "skew",
                "both ends less twice the likely",
                "1/1",
                spread("low_end") + spread("high_end") - spread("likely") - spread("likely"),
                format="0.000",
            ),
            Column("nth", "row of the range in this place", "no.", Match("swings", "larger", col("line") - 1)),
        ],
        {"range": keys, "line": list(range(1, len(keys) + 1)), "all": [1] * len(keys)},
        key="range",
    )


def _measured_share() -> Column:
    """Return what part of the hours of a range a time study measured."""
    row = At("spreads", "measured_row", PLACE)
    share = At("measured_ranges", "measured_pct", row, 0)
    return Column("measured_pct", "hours timed", "%", share, "the rest by its stated range", "0;-0;-")


def tornado_table(frame: Frame) -> Table:
    """The ranges by their swing, the largest first: the bars of the sensitivity chart."""

    def of(name: str) -> Expr:
        return At("swings", name, PLACE)

    def end(name: str) -> Expr:
        if timed(frame):
            return At("spreads", f"{name.removesuffix('_pct')}_end", PLACE) * 100
        return At("ranges", name, Match("ranges", "range", At("swings", "range", PLACE)))

    skew: Expr = At("swings", "skew", PLACE)
    if timed(frame):  # minutes of a study are rounded: to a whole percent, as shown
        skew = call("whole", skew * 100)
    return Table(
        "tornado",
        "Sensitivity of the net saving, one range at a time",
        [Field("line", "rank", "no.", role="key")],
        [
            Column("title", "what comes out otherwise", "", of("title"), width=52),
            Column("low_pct", "low", "% of estimate", end("low_pct"), format="0"),
            Column("high_pct", "high", "% of estimate", end("high_pct"), format="0"),
            Column("low_usd", "at the low end", "USD", of("low_usd"), "change of the net saving", SIGNED),
            Column("high_usd", "at the high end", "USD", of("high_usd"), "change of the net saving", SIGNED),
            Column(
                "lean",
                "unequal ends",
                "",
                when(equal(skew, 0), "no", "YES"),
                "its ends are not as far from the likely as each other",
            ),
            Column("mean_usd", "at its mean", "USD", of("mean_usd"), "its part of what is expected", SIGNED),
            *([_measured_share()] if timed(frame) else []),
        ],
        {"line": list(range(1, len(range_keys(frame)) + 1))},
        key="line",
        front="title",
    )
