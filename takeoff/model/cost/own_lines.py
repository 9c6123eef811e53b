"""Lines that the user adds to a bid, priced, and late changes."""

from __future__ import annotations

from typing import Any

from takeoff.engine.expr import Expr, call, col, equal, ratio, same, when
from takeoff.engine.lookups import At
from takeoff.engine.tables import YES_NO, Column, Field, Table
from takeoff.job.bid_lines import BLANK, KINDS, LIMITS, LONGEST_TEXT, BidLine, LateChange
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import labor_rate

CENTS, SIGNED = "#,##0.00;-#,##0.00;-", "+#,##0;-#,##0;0"
COUNTED = ("direct", "allowance", "alternate")
FREE_LINES, FREE_CHANGES = 12, 10
"""Lines at least that the workbook has for lines of the bid and for late changes, free ones included."""


def _typed(name: str, title: str, unit: str = "", **more: Any) -> Field:
    """Return an input of a line, with the limits that its reader has; a number is never blank, which would be lost."""
    if name in LIMITS:
        more["minimum"], more["maximum"] = LIMITS[name]
    return Field(name, title, unit, "input", blank=not unit, **more)


def bid_lines_table(frame: Frame) -> Table:
    """Lines that the user adds to the bid; free ones wait for more."""
    lines = [*frame.bid_lines.lines, *[BidLine()] * (FREE_LINES - len(frame.bid_lines.lines))]
    return Table(
        "bid_lines",
        "Lines of the bid",
        [
            Field("line", "line", "no.", role="key"),
            _typed("kind", "kind", choices=",".join([BLANK, *KINDS]), width=13),
            _typed("text", "what it is", maximum=LONGEST_TEXT, width=60),
            _typed("material_usd", "material or expense", "USD", format=CENTS),
            _typed("tax_pct", "its tax", "%"),
            _typed("hours", "its labor", "h"),
            _typed("markup_pct", "its markup", "% of cost"),
            _typed("taken", "alternate taken", choices="yes,no"),
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
            _typed("date", "date", "date"),
            _typed("text", "what it is", maximum=LONGEST_TEXT, width=60),
            _typed("usd", "adds (+) or takes off (-)", "signed USD", format=SIGNED),
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

    said = call("any", *(same(line("taken"), word) for word in ("yes", "no")))
    counts = call("any", *(same(col("kind"), kind) for kind in COUNTED))
    alternate = col("alternate_usd")
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
                "alternate that is taken",
                "USD",
                when(same(line("taken"), "yes"), col("alternate_usd"), 0),
                "in the bid; an alternate not taken is priced beside it",
                CENTS,
            ),
            Column(
                "unsaid_usd",
                "on an alternate that does not say whether it is taken",
                "USD",
                when(said, 0, alternate),
                format=CENTS,
            ),
            Column(
                "free_usd", "on a line whose kind does not count", "USD", when(counts, 0, col("cost_usd")), format=CENTS
            ),
            Column(
                "uncounted",
                "counts nowhere",
                "0/1",
                call("sign", call("absolute", call("nine", col("free_usd"))) + call("absolute", col("unsaid_usd"))),
                format=YES_NO,
            ),
            Column(
                "flag",
                "in the bid",
                "",
                when(equal(col("uncounted"), 1), "NOT COUNTED", "-"),
                "NOT COUNTED: money on a line without a kind, on an exclusion, on an alternate neither taken nor not",
                width=14,
            ),
        ],
        {"line": list(range(1, count + 1))},
        key="line",
    )
