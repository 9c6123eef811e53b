"""What one of each item costs: the quote or the catalog price in force, with discount, waste, escalation and tax."""

from __future__ import annotations

from takeoff.engine.aggregates import CountSmaller, SumBy
from takeoff.engine.expr import Expr, as_expr, at_most, begins, call, col, equal, flag, given, less, ratio, same, when
from takeoff.engine.lookups import At, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import INVENTED, NOTHING, Frame
from takeoff.model.givens.items import costed_items, listed_items

EACH = "#,##0.0000"

ONE = "USD/ft or ea"
"""Unit of what one costs: of a foot, or of a piece."""


def quotes_table(frame: Frame) -> Table:
    """Quotes as read, one row for each price; where there is none, a row that stands for nothing."""
    lines = list(frame.quotes)
    titles = {str(r["item"]): str(r["title"]) for r in frame.catalogs["prices"]}
    columns = ("item", "unit", "per", "price_usd", "discount_pct", "date", "valid_until", "note")
    data: dict[str, list[object]] = {name: [getattr(line, name) for line in lines] for name in columns}
    data |= {
        "key": [f"Q{n:03}" for n, _ in enumerate(lines, start=1)],
        "quote": [line.file for line in lines],
        "row": [line.row for line in lines],
        "title": [titles[line.item] for line in lines],
    }
    if not lines:
        nothing = {"key": "Q000", "item": NOTHING, "quote": "no quote was given", "per": 1}
        texts = ("title", "unit", "note")
        data = {name: [nothing.get(name, "-" if name in texts else 0)] for name in data}
    return Table(
        "quotes",
        "Quotes",
        [
            Field("key", "line", role="key"),
            Field("quote", "quote", width=24),
            Field("row", "row in the file", "no."),
            Field("item", "item", width=21),
            Field("title", "description", width=46),
            Field("unit", "price unit"),
            Field("per", "one price buys", "ft or ea", "input"),
            Field("price_usd", "price", "USD", "input", format="#,##0.00"),
            Field("discount_pct", "discount", "%", "input"),
            Field("date", "quote date", "date", "input"),
            Field("valid_until", "valid until", "date", "input"),
            Field("note", "note", width=40),
        ],
        [],
        data,
    )


def quote_lines_table(frame: Frame) -> Table:
    """Each quoted price as cost of one: whether it has expired, which one counts, and slips of the unit."""

    def quote(name: str) -> Expr:
        return look("quotes", name, col("key"))

    def slip(times: str) -> list[Column]:
        """Say whether a ratio is about 10, 100 or 1000 to 1."""
        words, size = times.replace("_", " "), call("absolute", call("log10", col(times)))
        digits, nearest, far = f"{times}_log10", f"{times}_decades", f"{times}_off"
        within = call("all", at_most(1, col(nearest)), at_most(col(far), given("slip_decades")))
        return [
            Column(digits, f"log10, {words}", "1/1", when(equal(col(times), 0), 0, size), format="0.00"),
            Column(nearest, f"whole decades, {words}", "decades", call("whole", col(digits))),
            Column(
                far,
                f"off them, {words}",
                "decades",
                call("absolute", col(digits) - col(nearest)),
                format="0.00",
            ),
            Column(f"{times}_slip", f"slip, {words}", "0/1", flag(within), "FAR 14.407-2"),
        ]

    keys = [f"Q{n:03}" for n, _ in enumerate(frame.quotes, start=1)] or ["Q000"]
    expired = call("all", less(0, col("valid_until")), less(col("valid_until"), given("estimate_date")))
    score = when(same(given("quote_choice"), "lowest"), col("usd_each"), as_expr(0) - quote("date"))
    lowest = look("quote_lines", "usd_each", col("item") & "|0", by="price_slot")
    return Table(
        "quote_lines",
        "Quotes as cost of one",
        [Field("key", "line", role="key")],
        [
            Column("item", "item", "", quote("item"), width=21),
            Column("price_usd", "price", "USD", quote("price_usd")),
            Column("per", "one price buys", "ft or ea", quote("per"), format="#,##0.##"),
            Column(
                "net_usd",
                "price less discount",
                "USD",
                col("price_usd") - ratio(col("price_usd") * quote("discount_pct"), 100, 0),
            ),
            Column("usd_each", "cost of one", ONE, call("nine", ratio(col("net_usd"), col("per"), 0)), format=EACH),
            Column("valid_until", "valid until", "date", quote("valid_until")),
            Column(
                "expired", "expired", "0/1", flag(expired), "valid until a day before the date of the estimate", width=9
            ),
            Column(
                "firm_until",
                "firm until",
                "date",
                when(equal(col("valid_until"), 0), quote("date"), col("valid_until")),
                "the price escalates from here to the middle of the work",
            ),
            Column("score", "smallest counts first", "by input", score, format="0.0000"),
            Column("family", "item and expired", "", col("item") & "|" & col("expired"), width=27),
            Column(
                "place",
                "quotes that count before",
                "ea",
                CountSmaller("quote_lines", {"family": col("family")}, "score", col("score")),
            ),
            Column("slot", "item, expired, place", "", col("family") & "|" & col("place"), width=29),
            Column(
                "cheaper",
                "lower quotes of the item",
                "ea",
                CountSmaller("quote_lines", {"item": col("item")}, "usd_each", col("usd_each")),
            ),
            Column("price_slot", "item and lower ones", "", col("item") & "|" & col("cheaper"), width=27),
            Column("lowest_usd", "lowest quote", ONE, lowest, format=EACH),
            Column("above_lowest", "times the lowest quote", "x", ratio(col("usd_each"), col("lowest_usd"), 1)),
            *slip("above_lowest"),
            Column("catalog_usd", "catalog price of one", ONE, look("list_costs", "usd_each", col("item"), "item")),
            Column("above_catalog", "times the catalog price", "x", ratio(col("usd_each"), col("catalog_usd"), 1)),
            *slip("above_catalog"),
            Column(
                "slip",
                "probable slip of the unit",
                "0/1",
                call("max", col("above_lowest_slip"), col("above_catalog_slip")),
            ),
            Column("flag", "quote", "", when(equal(col("expired"), 1), "EXPIRED", "-"), width=10),
            Column("doubt", "unit of measure", "", when(equal(col("slip"), 1), "PROBABLE SLIP", "-"), width=16),
        ],
        {"key": keys},
    )


def list_costs_table(frame: Frame) -> Table:
    """What one of each item costs by the price list, less the discount of its family."""
    prices = listed_items(frame)
    row, less_discount = col("price_row"), ratio(look("families", "discount_pct", col("family")), 100, 0)
    return Table(
        "list_costs",
        "Cost of one by the price list",
        [Field("item", "item", role="key", width=24), Field("family", "family")],
        [
            Column("price_row", "row of the price", "no.", Match("prices", "item", col("item"))),
            Column("price_usd", "price", "USD", At("prices", "price_usd", row)),
            Column("per", "for", "ea", look("units", "count", At("prices", "unit", row))),
            Column("net", "of it after discount", "1/1", as_expr(1) - less_discount, format="0.000"),
            Column("usd_each", "cost of one", ONE, ratio(col("price_usd"), col("per"), 0) * col("net"), format=EACH),
            Column("date", "price date", "date", At("prices", "date", row)),
            Column("invented", "illustrative price", "0/1", flag(begins(At("prices", "source", row), INVENTED))),
        ],
        {name: [r[name] for r in prices] for name in ("item", "family")},
        key="item",
    )


def unit_costs_table(frame: Frame) -> Table:
    """What one of each item costs: the price in force, with waste, escalation and tax."""
    prices = costed_items(frame)
    places = {str(r["item"]): n for n, r in enumerate(listed_items(frame), start=1)}

    def listed(name: str) -> Expr:
        return At("list_costs", name, col("line"))

    def family(name: str) -> Expr:
        return At("families", name, col("family_row"))

    def quoted(name: str) -> Expr:
        return At("quote_lines", name, col("used_row"))

    days = call("all", less(0, col("firm_until")), less(col("firm_until"), given("install_date")))
    yearly = ratio(family("escalation_pct_per_year"), 100, 0)
    missing = flag(equal(col("bare_usd"), 0)) * col("is_item")
    return Table(
        "unit_costs",
        "Cost of one",
        [
            Field("item", "item", role="key", width=24),
            Field("title", "description", width=46),
            Field("family", "family"),
            Field("line", "line", "no."),
            Field("is_item", "is bought", "0/1"),
        ],
        [
            Column("family_row", "row of the family", "no.", Match("families", "family", col("family"))),
            Column(
                "quote_row",
                "row of the quote that counts",
                "no.",
                Match("quote_lines", "slot", col("item") & "|0|0", missing_ok=True),
            ),
            Column(
                "expired_row",
                "row of an expired quote",
                "no.",
                Match("quote_lines", "slot", col("item") & "|1|0", missing_ok=True),
            ),
            Column(
                "used_row",
                "row of the quote used",
                "no.",
                when(equal(col("quote_row"), 0), col("expired_row"), col("quote_row")),
                "an expired quote is used where there is no other, and flagged",
            ),
            Column(
                "bare_usd",
                "price of one",
                ONE,
                when(equal(col("used_row"), 0), listed("usd_each"), quoted("usd_each")),
                "less discount, before waste, escalation and tax",
                EACH,
            ),
            Column(
                "firm_until",
                "firm until",
                "date",
                when(equal(col("used_row"), 0), listed("date"), quoted("firm_until")),
                "the end of a quote's validity, or the date of a catalog price",
            ),
            Column(
                "days",
                "days it escalates",
                "day",
                when(days, given("install_date") - col("firm_until"), 0),
                "to the middle of the work",
                "#,##0",
            ),
            Column("waste", "waste factor", "1/1", ratio(family("waste_pct"), 100, 0) + 1, format="0.000"),
            Column(
                "escalation",
                "escalation factor",
                "1/1",
                ratio(yearly * col("days"), 365, 0) + 1,
                "not compounded: rate of the family x days",
                "0.0000",
            ),
            Column(
                "tax",
                "tax factor",
                "1/1",
                ratio(family("taxable") * given("material_tax_pct"), 100, 0) + 1,
                format="0.0000",
            ),
            Column("today_usd", "with waste", ONE, col("bare_usd") * col("waste"), format=EACH),
            Column(
                "escalated_usd", "with waste and escalation", ONE, col("today_usd") * col("escalation"), format=EACH
            ),
            Column(
                "usd_each",
                "cost of one with all",
                ONE,
                col("escalated_usd") * col("tax"),
                "with waste, escalation and tax: what every material cost of the book is made of",
                EACH,
            ),
            Column("invented", "illustrative price", "0/1", when(equal(col("used_row"), 0), listed("invented"), 0)),
            Column(
                "expired",
                "quote has expired",
                "0/1",
                when(equal(col("quote_row"), 0), call("sign", col("expired_row")), 0),
                width=10,
            ),
            Column("missing", "price is missing", "0/1", missing),
            Column("slips", "probable slips of the unit", "ea", SumBy("quote_lines", "slip", {"item": col("item")})),
            Column("slipped", "has a probable slip", "0/1", call("sign", col("slips"))),
            Column("of_list", "by the price list", "", when(equal(col("invented"), 1), INVENTED, "price list")),
            Column("of_quote", "by a quote", "", when(equal(col("expired"), 1), "EXPIRED QUOTE", "quote"), width=15),
            Column("basis", "price from", "", when(equal(col("used_row"), 0), col("of_list"), col("of_quote"))),
            Column("state", "price is", "", when(equal(col("missing"), 1), "MISSING", col("basis")), width=15),
        ],
        {
            **{name: [r[name] for r in prices] for name in ("item", "title", "family")},
            "line": [places[str(r["item"])] for r in prices],
            "is_item": [int(r["item"] != NOTHING) for r in prices],
        },
        key="item",
    )
