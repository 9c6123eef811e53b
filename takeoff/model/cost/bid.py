"""From cost to bid: direct cost, contingency, overhead, profit, lines of the user, late changes, bond, rounding."""

from __future__ import annotations

from takeoff.engine.aggregates import SumProducts
from takeoff.engine.expr import Expr, Head, as_expr, call, col, equal, given, ratio, same, when
from takeoff.engine.lookups import At, CellAt, Match, Total
from takeoff.engine.tables import Column, Field, Table
from takeoff.job.bid_lines import BLANK, KINDS, BidLine, LateChange
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import labor_rate, only

USD, CENTS, SIGNED = "#,##0;-#,##0;0", "#,##0.00;-#,##0.00;-", "+#,##0;-#,##0;0"
FREE_LINES, FREE_CHANGES = 12, 10
"""Lines at least that the workbook has for lines of the bid and for late changes, free ones included."""


def bid_lines_table(frame: Frame) -> Table:
    """Lines that the user adds to the bid; free ones wait for more."""
    lines = [*frame.bid_lines.lines, *[BidLine()] * (FREE_LINES - len(frame.bid_lines.lines))]
    return Table(
        "bid_lines",
        "Lines of the bid",
        [
            Field("line", "line", "no.", role="key"),
            Field("kind", "kind", role="input", choices=",".join([BLANK, *KINDS]), width=13),
            Field("text", "what it is", role="input", width=60),
            Field("material_usd", "material or expense", "USD", "input", format=CENTS, signed=True),
            Field("tax_pct", "its tax", "%", "input"),
            Field("hours", "its labor", "h", "input", signed=True),
            Field("markup_pct", "its markup", "% of cost", "input"),
            Field("taken", "alternate taken", role="input", choices="yes,no"),
        ],
        [],
        {
            "line": list(range(1, len(lines) + 1)),
            **{
                n: [getattr(x, n) for x in lines]
                for n in ("kind", "text", "material_usd", "tax_pct", "hours", "markup_pct", "taken")
            },
        },
        key="line",
    )


def late_changes_table(frame: Frame) -> Table:
    """Dated, signed changes of the last day, so that nobody types over a formula."""
    late = frame.bid_lines.late
    changes = [*late, *[LateChange()] * (FREE_CHANGES - len(late))]
    return Table(
        "late_changes",
        "Late changes",
        [
            Field("change", "change", "no.", role="key"),
            Field("date", "date", "date", "input"),
            Field("text", "what it is", role="input", width=60),
            Field("usd", "adds (+) or takes off (-)", "signed USD", "input", format=SIGNED, signed=True),
        ],
        [],
        {
            "change": list(range(1, len(changes) + 1)),
            **{n: [getattr(c, n) for c in changes] for n in ("date", "text", "usd")},
        },
        key="change",
    )


def line_prices_table(frame: Frame) -> Table:
    """What every line of the user costs, and what it is priced at."""
    count = max(FREE_LINES, len(frame.bid_lines.lines))

    def line(name: str) -> Expr:
        return At("bid_lines", name, col("line"))

    def of_kind(name: str, title: str, kind: str, amount: str) -> Column:
        return Column(name, title, "USD", when(same(col("kind"), kind), col(amount), 0), format=CENTS)

    with_tax = col("before_tax_usd") + ratio(col("before_tax_usd") * line("tax_pct"), 100, 0)
    return Table(
        "line_prices",
        "Lines of the bid, priced",
        [Field("line", "line", "no.")],
        [
            Column("kind", "kind", "", line("kind"), width=13),
            Column("text", "what it is", "", line("text"), width=60),
            Column("before_tax_usd", "material or expense", "USD", line("material_usd"), format=CENTS),
            Column("material_usd", "with its tax", "USD", with_tax, format=CENTS),
            Column("labor_usd", "labor", "USD", line("hours") * labor_rate(), "at the labor rate in force", CENTS),
            Column("cost_usd", "cost", "USD", col("material_usd") + col("labor_usd"), format=CENTS),
            Column(
                "price_usd",
                "price",
                "USD",
                col("cost_usd") + ratio(col("cost_usd") * line("markup_pct"), 100, 0),
                "cost with its own markup; a direct expense is marked up with the job instead",
                CENTS,
            ),
            of_kind("direct_usd", "in the direct cost", "direct", "cost_usd"),
            Column(
                "direct_hours", "hours in the direct cost", "h", when(same(col("kind"), "direct"), line("hours"), 0)
            ),
            of_kind("allowance_usd", "allowance", "allowance", "price_usd"),
            of_kind("alternate_usd", "alternate, add (+) or deduct (-)", "alternate", "price_usd"),
            Column(
                "taken_usd",
                "of it taken into the bid",
                "USD",
                when(same(line("taken"), "yes"), col("alternate_usd"), 0),
                "in the bid; an alternate not taken is priced beside it",
                CENTS,
            ),
            of_kind("free_usd", "on a line without a kind", BLANK, "cost_usd"),
            of_kind("excluded_usd", "on an exclusion", "exclusion", "cost_usd"),
            Column(
                "uncounted",
                "counts nowhere",
                "0/1",
                call("sign", call("absolute", call("nine", col("free_usd") + col("excluded_usd")))),
            ),
            Column(
                "flag",
                "in the bid",
                "",
                when(equal(col("uncounted"), 1), "NOT COUNTED", "-"),
                "NOT COUNTED: money or hours on a line without a kind, or on an exclusion",
                width=14,
            ),
        ],
        {"line": list(range(1, count + 1))},
        key="line",
    )


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
    ("escalation_usd", "escalation to the middle of the work", "rates of the families: sheet Prices"),
    ("tax_usd", "tax on material", "material_tax_pct, families that are taxed"),
    ("labor_usd", "labor", "hours of the plan x labor rate in force"),
    ("direct_lines_usd", "direct expenses of the job", "lines of the kind direct"),
    ("direct_usd", "DIRECT COST", "sum of the above"),
    (
        "contingency_usd",
        "contingency",
        "contingency_pct of the direct cost without escalation (ETL 1110-2-573)",
    ),
    ("overhead_usd", "overhead", "overhead_pct of cost with contingency + overhead_usd_per_h x hours"),
    ("cost_usd", "COST", "sum of the above"),
    ("profit_usd", "profit", "profit_pct by profit_basis"),
    ("price_usd", "PRICE OF THE WORK", "cost and profit"),
    ("allowances_usd", "allowances", "lines of the kind allowance"),
    ("alternates_usd", "alternates taken", "lines of the kind alternate, taken"),
    ("late_usd", "late changes", "signed lines of the sheet Bid lines"),
    ("bonded_usd", "PRICE BEFORE BOND", "sum of the above"),
    ("bond_usd", "bond", "bond_pct of the sum with the bond in it"),
    ("rounding_usd", "rounding", "to bid_round_usd, here and nowhere before"),
    ("bid_usd", "BID", "what goes on the form"),
    ("unpriced", "not priced, ea", "things without a size or a price: where there are any, the bid is NOT COMPLETE"),
    ("price_flags", "prices to look at, ea", "missing, of an expired quote, or with a probable slip of the unit"),
    ("uncounted", "lines with money that count nowhere, ea", "sheet Breakdown: a line without a kind, an exclusion"),
    ("difference_usd", "bid less that of the base", "negative: bids less"),
    ("markup_pct", "profit as markup on cost, %", "profit / cost"),
    ("margin_pct", "profit as margin on price, %", "profit / price of the work"),
    ("hours", "hours, h", "labor of the plan and of direct expenses"),
    ("usd_per_h", "labor rate in force, USD/h", "sheet Inputs, or labor_rate_usd_per_h where it is stated"),
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
        "escalation_usd": material("escalated_usd") - col("today_usd"),
        "tax_usd": material("usd_each") - material("escalated_usd"),
        "labor_usd": total("labor_cost"),
        "direct_lines_usd": Total("line_prices", "direct_usd"),
        "material_usd": col("today_usd") + col("escalation_usd") + col("tax_usd"),
        "direct_usd": col("material_usd") + col("labor_usd") + col("direct_lines_usd"),
        "usd_per_h": labor_rate(),
        "hours": total("labor_hours") + Total("line_prices", "direct_hours"),
        "contingency_usd": (col("direct_usd") - col("escalation_usd")) * rate("contingency"),
        "overhead_usd": (col("direct_usd") + col("contingency_usd")) * rate("overhead")
        + col("hours") * given("overhead_usd_per_h"),
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
        "unpriced": against("unpriced"),
        "price_flags": against("price_flags"),
        "uncounted": Total("line_prices", "uncounted"),
    }
    titles = {name: (title.lower(), note) for name, title, note in SHOWN}
    titles |= {"material_usd": ("material", "sum of the above"), "unrounded_usd": ("bid before rounding", "")}
    units = {"hours": "h", "usd_per_h": "USD/h", "markup_pct": "%", "margin_pct": "%"}
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
    figure = CellAt("bid", "lines", Match("bid", "plan", Head()), col("place"))
    return Table(
        "bid_sheet",
        "From cost to bid",
        [
            Field("title", "line", role="key", width=40),
            Field("basis", "made of", role="key", width=60),
            Field("place", "place", "no."),
        ],
        [Column(n, p, "USD or as named", figure, head=p, format=CENTS, width=14) for n, p in frame.per_compared("as")],
        {
            "title": [title for _, title, _ in SHOWN],
            "basis": [basis or "-" for *_, basis in SHOWN],
            "place": [lines.index(name) + 1 for name, *_ in SHOWN],
        },
        key="title",
    )
