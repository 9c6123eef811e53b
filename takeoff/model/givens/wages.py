"""The labor rate: base wage, fringes, taxes and insurance of every class of worker, mixed as the crew is."""

from __future__ import annotations

from takeoff.engine.aggregates import SumBy, SumProducts
from takeoff.engine.expr import Expr, as_expr, begins, call, col, equal, flag, given, less, ratio, when
from takeoff.engine.lookups import At, Match, Total
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import INVENTED, Frame
from takeoff.model.givens.inputs import sound

RATE = "#,##0.00"


def only(table: str, column: str) -> Expr:
    """Return a figure of a table that has one row."""
    return At(table, column, as_expr(1))


def labor_rate() -> Expr:
    """Return the labor rate in force, USD/h: the one stated in the inputs, or the one built up here."""
    return only("labor_rate", "usd_per_h")


def burden_lines_table(frame: Frame) -> Table:
    """What every tax and insurance costs for an hour of every class."""
    pairs = [(c, b) for c in frame.catalogs["crew"].texts("class") for b in frame.catalogs["burden"].texts("component")]

    def of(name: str) -> Expr:
        return At("burden", name, col("component_row"))

    capped = when(equal(of("annual_base_usd"), 0), col("year_usd"), of("annual_base_usd"))
    share = ratio(col("taxed_usd") * of("rate_pct"), 100, 0)
    wage = At("crew", "wage_usd_per_h", Match("crew", "class", col("class")))
    return Table(
        "burden_lines",
        "Taxes and insurance for an hour",
        [Field("class", "class", role="key"), Field("component", "component", role="key", width=24)],
        [
            Column("component_row", "row of the component", "no.", Match("burden", "component", col("component"))),
            Column("year_usd", "wage of a year", "USD", wage * given("hours_per_year"), format="#,##0"),
            Column("base_usd", "paid on at most", "USD", capped, format="#,##0"),
            Column("taxed_usd", "paid on", "USD", call("min", col("year_usd"), col("base_usd")), format="#,##0"),
            Column("of_year_usd", "cost of a year", "USD", share, format="#,##0"),
            Column(
                "usd_per_h",
                "cost of an hour",
                "USD/h",
                ratio(col("of_year_usd"), given("hours_per_year"), 0) + of("usd_per_h"),
                "rate x the wage of a year up to its base, spread over the paid hours",
                "0.000",
            ),
            Column(
                "invented_usd",
                "of it on illustrative rates",
                "USD/h",
                when(begins(of("source"), INVENTED), col("usd_per_h"), 0),
                format="0.000",
            ),
        ],
        {"class": [c for c, _ in pairs], "component": [b for _, b in pairs]},
        key="class",
    )


def crew_rates_table(frame: Frame) -> Table:
    """What an hour of every class costs."""

    def of(name: str) -> Expr:
        return At("crew", name, col("row"))

    return Table(
        "crew_rates",
        "An hour of every class",
        [Field("class", "class", role="key")],
        [
            Column("row", "row of the class", "no.", Match("crew", "class", col("class"))),
            Column("share_pct", "share of the hours", "%", of("share_pct"), format="0.0"),
            Column("invented", "illustrative wage", "0/1", flag(begins(of("source"), INVENTED))),
            Column("wage", "base wage", "USD/h", of("wage_usd_per_h"), format=RATE),
            Column("fringes", "fringes", "USD/h", of("fringes_usd_per_h"), format=RATE),
            Column(
                "burden",
                "taxes and insurance",
                "USD/h",
                SumBy("burden_lines", "usd_per_h", {"class": col("class")}),
                format=RATE,
            ),
            Column("usd_per_h", "with burden", "USD/h", col("wage") + col("fringes") + col("burden"), format=RATE),
            Column(
                "times_wage",
                "with burden, times the wage",
                "x",
                ratio(col("usd_per_h"), col("wage"), 0),
                "about 1.43 in construction, ECEC June 2022: far from it deserves a second look",
                "0.000",
            ),
            Column("weighted_wage", "share x wage", "%USD/h", col("share_pct") * col("wage"), format=RATE),
            Column("weighted", "share x with burden", "%USD/h", col("share_pct") * col("usd_per_h"), format=RATE),
        ],
        {"class": frame.catalogs["crew"].texts("class")},
        key="class",
    )


def labor_rate_table(_: Frame) -> Table:
    """The rate of the crew, and the rate in force."""
    shares = Total("crew_rates", "share_pct")
    stated = given("labor_rate_usd_per_h")
    in_order = less(given("estimate_date"), given("install_date"))
    between = given("install_date") - given("estimate_date")
    stated_invented = as_expr(1) - sound("labor_rate_usd_per_h")
    return Table(
        "labor_rate",
        "Labor rate of the crew",
        [Field("key", "rate", role="key")],
        [
            Column("shares_pct", "shares together", "%", shares, "of any sum: shares are taken in proportion", "0.0"),
            Column(
                "wage",
                "base wage",
                "USD/h",
                ratio(Total("crew_rates", "weighted_wage"), col("shares_pct"), 0),
                format=RATE,
            ),
            Column(
                "built_up",
                "built up",
                "USD/h",
                ratio(Total("crew_rates", "weighted"), col("shares_pct"), 0),
                format=RATE,
            ),
            Column("stated", "stated in the inputs", "USD/h", stated, format=RATE),
            Column(
                "days",
                "days it escalates",
                "day",
                when(call("all", less(0, given("estimate_date")), in_order), between, 0),
                format="0",
            ),
            Column(
                "today",
                "before escalation",
                "USD/h",
                when(equal(col("stated"), 0), col("built_up"), col("stated")),
                "the stated rate, or where it is 0 the built-up one; no overhead, no profit",
                RATE,
            ),
            Column(
                "escalation",
                "escalation factor",
                "1/1",
                ratio(ratio(given("wage_escalation_pct"), 100, 0) * col("days"), 365, 0) + 1,
                "from the date of the estimate to the middle of the work, not compounded, as of material",
                "0.0000",
            ),
            Column("usd_per_h", "in force", "USD/h", col("today") * col("escalation"), "with escalation", RATE),
            Column(
                "built_on_invented",
                "illustrative wages, taxes and insurance",
                "in its unit",
                SumProducts("crew_rates", ["share_pct", "invented"], {}) + Total("burden_lines", "invented_usd"),
                "0: none",
                "0.00",
            ),
            Column("built_invented", "built up on them", "0/1", call("sign", col("built_on_invented"))),
            Column(
                "invented",
                "illustrative rate",
                "0/1",
                when(equal(col("stated"), 0), col("built_invented"), stated_invented),
                "the stated rate, or wages, taxes and insurance that it is built up from",
            ),
        ],
        {"key": ["crew"]},
    )
