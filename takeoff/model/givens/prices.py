"""What one of each item costs: the quote or the catalog price in force, with discount, waste, escalation and tax."""

from __future__ import annotations

from takeoff.engine.aggregates import SumBy
from takeoff.engine.expr import Expr, as_expr, begins, call, col, equal, flag, given, less, ratio, when
from takeoff.engine.lookups import At, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import INVENTED, NOTHING, Frame
from takeoff.model.givens.inputs import sound
from takeoff.model.givens.items import costed_items, listed_items
from takeoff.model.givens.metals import METALS, weights_of_items
from takeoff.model.givens.quotes import EACH, ONE
from takeoff.model.givens.words import word_for


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


def held_families_table(frame: Frame) -> Table:
    """Whether waste and escalation of every family rest on illustrative figures."""
    invented = begins(At("families", "source", col("line")), INVENTED)
    count = len(frame.catalogs["families"])
    return Table(
        "held_families",
        "Waste and escalation that totals rest on",
        [Field("family", "family", role="key"), Field("line", "line", "no.")],
        [Column("sound", "not illustrative", "0/1", when(invented, 0, 1), "as its row on the sheet Prices says")],
        {"family": frame.catalogs["families"].texts("family"), "line": list(range(1, count + 1))},
        key="family",
    )


def unit_costs_table(frame: Frame) -> Table:
    """What one of each item costs: the price in force, with waste, escalation and tax."""
    prices, weights = costed_items(frame), weights_of_items(frame.catalogs)
    places = {str(r["item"]): n for n, r in enumerate(listed_items(frame), start=1)}

    def listed(name: str) -> Expr:
        return At("list_costs", name, col("line"))

    def family(name: str) -> Expr:
        return At("families", name, col("family_row"))

    def quoted(name: str) -> Expr:
        return At("quote_lines", name, col("used_row"))

    def moved(name: str) -> Expr:
        row = Match("metal_prices", "item", col("item"), missing_ok=True)
        return (as_expr(1) - call("sign", col("quote_row"))) * At("metal_prices", name, row, 0)

    days = call("all", less(0, col("firm_until")), less(col("firm_until"), given("install_date")))
    yearly = ratio(family("escalation_pct_per_year"), 100, 0)
    missing = flag(equal(col("bare_usd"), 0)) * col("is_item")
    of_family = At("held_families", "sound", col("family_row"))
    sound_family = (col("waste") * col("escalation") - 1) * of_family + 1
    sound_tax = (col("tax") - 1) * sound("material_tax_pct") + 1
    by_quote = call("sign", col("used_row"))
    state = col("missing") & "|" & by_quote & "|" & col("invented") & "|" & col("expired")
    return Table(
        "unit_costs",
        "Cost of one",
        [
            Field("item", "item", role="key", width=24),
            Field("title", "description", width=46),
            Field("family", "family"),
            Field("line", "line", "no."),
            Field("is_item", "is bought", "0/1"),
            *(Field(f"{m}_lb_per_kft", f"{m} in it", "lb/kft", format="0.0") for m in METALS),
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
                when(equal(col("used_row"), 0), listed("usd_each"), quoted("usd_each")) + moved("change_usd"),
                "less discount, with the change of metals, before waste, escalation and tax",
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
            Column(
                "added_usd", "waste and escalation of one", ONE, col("escalated_usd") - col("bare_usd"), format=EACH
            ),
            Column(
                "invented",
                "illustrative price",
                "0/1",
                when(equal(col("used_row"), 0), listed("invented"), quoted("invented")),
            ),
            Column(
                "quoted", "price of a supplier", "0/1", (as_expr(1) - col("invented")) * call("sign", col("used_row"))
            ),
            Column(
                "sound_usd",
                "of it on no illustrative figure",
                ONE,
                (as_expr(1) - col("invented")) * (col("bare_usd") - moved("doubtful_usd")) * sound_family * sound_tax,
                "nothing of an illustrative price; of another one all but illustrative waste, metal, escalation, tax",
                EACH,
            ),
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
            Column("state", "price is", "", word_for("price", state), width=15),
        ],
        {
            **{name: [r[name] for r in prices] for name in ("item", "title", "family")},
            "line": [places[str(r["item"])] for r in prices],
            "is_item": [int(r["item"] != NOTHING) for r in prices],
            **{f"{m}_lb_per_kft": [weights.get(str(r["item"]), {}).get(m, 0.0) for r in prices] for m in METALS},
        },
        key="item",
    )
