"""Supplier quotes as tables: each price as cost of one, whether it has expired, which one counts, slips of the unit."""

from __future__ import annotations

from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.expr import Expr, as_expr, at_most, call, col, equal, flag, given, less, ratio, same, when
from takeoff.engine.lookups import At, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.job.quotes import FREE, LARGEST_USD, LONGEST_COIL_FT, LONGEST_NOTE, QUOTED, SAMPLE, QuoteLine
from takeoff.model.frame import NOTHING, Frame
from takeoff.model.givens.words import word_for

EACH = "#,##0.0000"

ONE = "USD/ft or ea"
"""Unit of what one costs: of a foot, or of a piece."""


FREE_QUOTES = 8
"""Rows of the quotes that wait for prices typed into the workbook."""


def _quotes(frame: Frame) -> list[QuoteLine]:
    return [*frame.quotes, *[FREE] * FREE_QUOTES]


def quotes_table(frame: Frame) -> Table:
    """Quotes as read, one row for each price, and rows to type more into."""
    lines = _quotes(frame)
    columns = ("item", "unit", "per", "price_usd", "discount_pct", "date", "valid_until", "kind", "note")
    data: dict[str, list[object]] = {name: [getattr(line, name) for line in lines] for name in columns}
    data |= {
        "key": [f"Q{n:03}" for n, _ in enumerate(lines, start=1)],
        "quote": [line.file for line in lines],
        "row": [line.row for line in lines],
    }
    return Table(
        "quotes",
        "Quotes",
        [
            Field("key", "line", role="key"),
            Field("quote", "quote", width=18),
            Field("row", "row in the file", "no."),
            Field("item", "item", role="input", choices="list_costs.item", width=21, blank=True),
            Field("unit", "price unit as read"),
            Field("per", "one price buys", "ft or ea", "input", maximum=LONGEST_COIL_FT),
            Field("price_usd", "price", "USD", "input", format="#,##0.00", maximum=LARGEST_USD),
            Field("discount_pct", "discount", "%", "input", maximum=100),
            Field("date", "quote date", "date", "input"),
            Field("valid_until", "valid until", "date", "input"),
            Field("kind", "price is", "", "input", f"{QUOTED},{SAMPLE}", width=12, blank=True),
            Field("note", "note", role="input", width=26, maximum=LONGEST_NOTE, blank=True),
        ],
        [],
        data,
    )


def quote_lines_table(frame: Frame) -> Table:
    """Each quoted price as cost of one: whether it has expired, which one counts, and slips of the unit."""

    def quote(name: str) -> Expr:
        return look("quotes", name, col("key"))

    def slip(times: str) -> list[Column]:
        """Say whether a ratio is that of two units of measure: about 10 to 1 or more, either way."""
        words, size = times.replace("_", " "), call("absolute", call("log10", col(times)))
        digits = f"{times}_log10"
        within = at_most(as_expr(1) - given("slip_decades"), col(digits))
        return [
            Column(digits, f"log10, {words}", "1/1", when(equal(col(times), 0), 0, size), format="0.00"),
            Column(f"{times}_slip", f"slip, {words}", "0/1", flag(within), "FAR 14.407-2"),
        ]

    keys = [f"Q{n:03}" for n, _ in enumerate(_quotes(frame), start=1)]
    listed = Match("list_costs", "item", quote("item"), missing_ok=True)
    paid, net = call("sign", col("price_usd")), col("net_usd") * col("counted")
    expired = call("all", less(0, col("valid_until")), less(col("valid_until"), given("estimate_date")))
    score = when(same(given("quote_choice"), "lowest"), col("usd_each"), as_expr(0) - quote("date"))
    lowest = look("quote_lines", "usd_each", col("item") & "|0", by="price_slot")
    return Table(
        "quote_lines",
        "Quotes as cost of one",
        [Field("key", "line", role="key")],
        [
            Column(
                "item",
                "item",
                "",
                At("list_costs", "item", listed, NOTHING),
                "none where no item of the job is named so: the row then counts nowhere",
                width=21,
            ),
            Column("counted", "names an item", "0/1", when(same(col("item"), NOTHING), 0, 1)),
            Column("price_usd", "price", "USD", quote("price_usd")),
            Column("per", "one price buys", "ft or ea", quote("per"), format="#,##0.##"),
            Column(
                "net_usd",
                "price less discount",
                "USD",
                col("price_usd") - ratio(col("price_usd") * quote("discount_pct"), 100, 0),
            ),
            Column("usd_each", "cost of one", ONE, call("nine", ratio(net, col("per"), 0)), format=EACH),
            Column("invented", "illustrative price", "0/1", when(same(quote("kind"), QUOTED), 0, 1)),
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
            Column("score", "smallest counts first", "in its unit", score, format="0.0000"),
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
            Column("uncounted", "counts nowhere", "0/1", paid - paid * col("counted")),
            Column("flag", "quote", "", word_for("quote", col("expired") & "|" & col("uncounted")), width=14),
            Column("doubt", "unit of measure", "", when(equal(col("slip"), 1), "PROBABLE SLIP", "-"), width=16),
        ],
        {"key": keys},
    )
