"""Supplier quotes as tables: each price as cost of one, whether it has expired, which one counts, slips of the unit."""

from __future__ import annotations

from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.expr import Expr, as_expr, at_most, call, col, equal, flag, given, less, ratio, same, when
from takeoff.engine.lookups import look
from takeoff.engine.tables import Column, Field, Table
from takeoff.job.quotes import QUOTED, SAMPLE
from takeoff.model.frame import INVENTED, NOTHING, Frame

EACH = "#,##0.0000"

ONE = "USD/ft or ea"
"""Unit of what one costs: of a foot, or of a piece."""


def quotes_table(frame: Frame) -> Table:
    """Quotes as read, one row for each price; where there is none, a row that stands for nothing."""
    lines = list(frame.quotes)
    titles = {str(r["item"]): str(r["title"]) for r in frame.catalogs["prices"]}
    columns = ("item", "unit", "per", "price_usd", "discount_pct", "date", "valid_until", "kind", "note")
    data: dict[str, list[object]] = {name: [getattr(line, name) for line in lines] for name in columns}
    data |= {
        "key": [f"Q{n:03}" for n, _ in enumerate(lines, start=1)],
        "quote": [line.file for line in lines],
        "row": [line.row for line in lines],
        "title": [titles[line.item] for line in lines],
    }
    if not lines:
        nothing = {"key": "Q000", "item": NOTHING, "quote": "no quote was given", "per": 1, "kind": QUOTED}
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
            Field("kind", "price is", "", "input", f"{QUOTED},{SAMPLE}", width=12),
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
            Column("invented", "illustrative price", "0/1", flag(same(quote("kind"), INVENTED))),
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
