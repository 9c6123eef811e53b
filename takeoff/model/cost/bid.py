"""From cost to bid: direct cost, contingency, overhead, profit, lines of the user, late changes, bond, rounding."""

from __future__ import annotations

from takeoff.engine.aggregates import SumProducts
from takeoff.engine.expr import Expr, as_expr, call, col, given, ratio, same, when
from takeoff.engine.lookups import At, CellAt, Match, Total
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.cost.bid_basis import SOUND, sound_lines
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import labor_rate, only

CENTS = "#,##0.00;-#,##0.00;-"


def bid_rates_table(_: Frame) -> Table:
    """The rates from cost to bid as fractions."""
    of_100 = as_expr(100) - given("profit_pct")
    bond = as_expr(100) - given("bond_pct")
    return Table(
        "bid_rates",
        "Rates from cost to bid",
        [Field("key", "rates", role="key")],
        [
            Column("contingency", "contingency", "1/1", ratio(given("contingency_pct"), 100, 0), format="0.0000"),
            Column("overhead", "overhead", "1/1", ratio(given("overhead_pct"), 100, 0), format="0.0000"),
            Column("as_markup", "profit said as markup", "1/1", ratio(given("profit_pct"), 100, 0), format="0.0000"),
            Column(
                "as_margin",
                "markup that a margin comes to",
                "1/1",
                ratio(given("profit_pct"), of_100, 0),
                "margin / (1 - margin)",
                "0.0000",
            ),
            Column(
                "profit",
                "profit on cost",
                "1/1",
                when(same(given("profit_basis"), "margin"), col("as_margin"), col("as_markup")),
                format="0.0000",
            ),
            Column(
                "bond",
                "bond on what is bonded",
                "1/1",
                ratio(given("bond_pct"), bond, 0),
                "gross-up: the premium is charged on the sum with the premium in it",
                "0.000000",
            ),
        ],
        {"key": ["rates"]},
    )


SHOWN = (
    ("today_usd", "material with waste, at prices of today", "quotes and price list, discount taken off"),
    ("coil_usd", "coil remainder, at prices of today", "packages beyond feet with waste, where cable is priced so"),
    ("escalation_usd", "escalation to the middle of the work", "rates of the families: sheet Prices"),
    ("tax_usd", "tax on material", "at the rate for families that are taxed: sheets Inputs, Prices"),
    ("labor_usd", "labor", "hours of the plan x labor rate in force"),
    ("direct_lines_usd", "direct expenses of the job", "lines of the kind direct"),
    ("direct_usd", "DIRECT COST", "sum of the above"),
    ("contingency_usd", "contingency", "percent of the direct cost without escalation (ETL 1110-2-573)"),
    ("overhead_usd", "overhead", "percent of cost with contingency, and by the hour"),
    ("hourly_usd", "of it by the hour", "overhead for an hour x hours"),
    ("cost_usd", "COST", "sum of the above"),
    ("profit_usd", "profit", "percent, as markup on cost or margin on price: sheet Inputs"),
    ("price_usd", "PRICE OF THE WORK", "cost and profit"),
    ("allowances_usd", "allowances", "lines of the kind allowance"),
    ("alternates_usd", "alternates taken", "lines of the kind alternate, taken"),
    ("late_usd", "late changes", "signed lines of the sheet Bid lines"),
    ("bonded_usd", "PRICE BEFORE BOND", "sum of the above"),
    ("bond_usd", "bond", "percent of the sum with the bond in it"),
    ("rounding_usd", "rounding", "to whole steps: sheet Inputs; here and nowhere before"),
    (
        "bid_usd",
        "BID",
        "of this work alone: no devices, luminaires, plates, panels or breakers but in lines of your own",
    ),
    ("unpriced", "not priced, ea", "things without a size or a price: where there are any, the bid is NOT COMPLETE"),
    ("price_flags", "prices to look at, ea", "missing, of an expired quote, or with a probable slip of the unit"),
    (
        "uncounted",
        "lines with money that count nowhere, ea",
        "a line without a kind, an exclusion; a quote of no item",
    ),
    ("difference_usd", "bid less that of the base", "negative: bids less"),
    ("markup_pct", "profit as markup on cost, %", "profit / cost"),
    ("margin_pct", "profit as margin on price, %", "profit / price of the work"),
    ("hours", "hours, h", "labor of the plan and of direct expenses"),
    (
        "invented_pct",
        "resting on illustrative figures, %",
        "illustrative prices, minutes, rates, and what is added on them",
    ),
    ("usd_per_h", "labor rate in force, USD/h", "built up on the sheet Rates, or stated on Inputs"),
)
"""Lines of the bid in their order: column, title, what it is made of."""


def bid_table(frame: Frame) -> Table:
    """The way from cost to bid, one row for each plan compared; the sheet Bid shows it upright."""

    def material(name: str) -> Expr:
        """Return the material of the plan at a cost of one."""
        return SumProducts("material", [("nets", col("place")), f"unit_costs.{name}"], {})

    def total(name: str) -> Expr:
        return At("plan_sums", name, Match("plan_sums", "plan", col("plan")))

    def against(name: str) -> Expr:
        return At("against_base", name, Match("against_base", "plan", col("plan")))

    def rate(name: str) -> Expr:
        return only("bid_rates", name)

    rounded = call("whole", ratio(col("unrounded_usd"), given("bid_round_usd"), 0)) * given("bid_round_usd")
    base = At("bid", "bid_usd", Match("bid", "plan", given("base_plan")))
    before_bond = col("price_usd") + col("allowances_usd") + col("alternates_usd") + col("late_usd")
    expressions: dict[str, Expr] = {
        "today_usd": material("today_usd"),
        "coil_usd": At("cable_more", "today_usd", col("place")),
        "escalation_usd": material("escalated_usd")
        - col("today_usd")
        + At("cable_more", "escalation_usd", col("place")),
        "tax_usd": material("usd_each") - material("escalated_usd") + At("cable_more", "tax_usd", col("place")),
        "labor_usd": total("labor_cost"),
        "direct_lines_usd": Total("line_prices", "direct_usd"),
        "material_usd": col("today_usd") + col("coil_usd") + col("escalation_usd") + col("tax_usd"),
        "direct_usd": col("material_usd") + col("labor_usd") + col("direct_lines_usd"),
        "usd_per_h": labor_rate(),
        "hours": total("labor_hours") + Total("line_prices", "direct_hours"),
        "contingency_usd": (col("direct_usd") - col("escalation_usd")) * rate("contingency"),
        "hourly_usd": col("hours") * given("overhead_usd_per_h"),
        "overhead_usd": (col("direct_usd") + col("contingency_usd")) * rate("overhead") + col("hourly_usd"),
        "cost_usd": col("direct_usd") + col("contingency_usd") + col("overhead_usd"),
        "profit_usd": col("cost_usd") * rate("profit"),
        "price_usd": col("cost_usd") + col("profit_usd"),
        "markup_pct": ratio(col("profit_usd") * 100, col("cost_usd"), 0),
        "margin_pct": ratio(col("profit_usd") * 100, col("price_usd"), 0),
        "allowances_usd": Total("line_prices", "allowance_usd"),
        "alternates_usd": Total("line_prices", "taken_usd"),
        "late_usd": Total("late_changes", "usd"),
        "bonded_usd": before_bond,
        "bond_usd": col("bonded_usd") * rate("bond"),
        "unrounded_usd": col("bonded_usd") + col("bond_usd"),
        "bid_usd": rounded,
        "rounding_usd": col("bid_usd") - col("unrounded_usd"),
        "difference_usd": col("bid_usd") - base,
        **sound_lines(),
        "unpriced": against("unpriced"),
        "price_flags": against("price_flags"),
        "uncounted": Total("line_prices", "uncounted") + Total("quote_lines", "uncounted"),
    }
    titles = {name: (title.lower(), note) for name, title, note in SHOWN}
    titles |= {"material_usd": ("material", "sum of the above"), "unrounded_usd": ("bid before rounding", "")}
    titles |= {name: (title, "") for name, title in SOUND.items()}
    units = {"hours": "h", "usd_per_h": "USD/h", "markup_pct": "%", "margin_pct": "%", "invented_pct": "%"}
    units |= dict.fromkeys(("direct_share", "before_share", "cost_share", "hours_share"), "1/1")
    units |= dict.fromkeys(("unpriced", "price_flags", "uncounted"), "ea")
    return Table(
        "bid",
        "From cost to bid, by plan",
        [Field("plan", "plan", role="key", width=15), Field("place", "place of the plan", "no.")],
        [
            Column(n, titles[n][0].partition(", ")[0], units.get(n, "USD"), e, titles[n][1], CENTS)
            for n, e in expressions.items()
        ],
        {"plan": list(frame.compared), "place": list(range(1, len(frame.compared) + 1))},
        {"lines": list(expressions)},
        key="plan",
    )


def bid_sheet_table(frame: Frame) -> Table:
    """The bid of every plan, upright, as it is read."""
    lines = list(bid_table(frame).blocks["lines"])

    def figure(plan: str) -> Expr:
        return CellAt("bid", "lines", Match("bid", "plan", as_expr(plan)), col("place"))

    return Table(
        "bid_sheet",
        "From cost to bid",
        [
            Field("title", "line", role="key", width=40),
            Field("basis", "made of", role="key", width=60),
            Field("place", "place", "no."),
        ],
        [
            Column(n, title, "USD or as named", figure(p), head=title, format=CENTS, width=14)
            for n, title, p in frame.per_titled("as")
        ],
        {
            "title": [title for _, title, _ in SHOWN],
            "basis": [basis or "-" for *_, basis in SHOWN],
            "place": [lines.index(name) + 1 for name, *_ in SHOWN],
        },
        key="title",
    )
