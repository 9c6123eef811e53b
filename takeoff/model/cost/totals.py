"""Totals of each plan compared, what to look at before they are used, and boxes by size."""

from __future__ import annotations

from takeoff.engine.aggregates import SumBy, SumProducts, SumWhere
from takeoff.engine.expr import Expr, col, equal, flag, ratio, when
from takeoff.engine.lookups import At, Match, Total
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import labor_rate, only

MONEY, SIGNED = "#,##0", "+#,##0;-#,##0;0"
NOT_COMPARABLE = "n/c"
"""Stands for a difference where one of the two totals is not complete."""
COUNTS = ("circuit_terminations", "ground_terminations", "circuit_splices", "ground_splices", "entries")
"""Counts at boxes that are added up for every plan."""

ALIKE = {"circuit_terminations": "circuit_terminations", "circuit_splices": "circuit_splices", "entries": "runs"}
"""Counts that are the same in every plan, by their column among the boxes."""


def plan_sums_table(frame: Frame) -> Table:
    """One row for each plan compared: boxes, labor and material added up."""
    mine = {"plan": col("plan")}

    def count(name: str) -> Expr:
        if name in ALIKE:
            return SumProducts("box_outcomes", ["repeat", ALIKE[name]], {})
        return SumProducts("box_outcomes", ["repeat", (name, col("place"))], {})

    def total(name: str) -> Expr:
        return SumProducts("each", ["repeat", name], mine)

    def on(title: str, unit: str, name: str, table: str, block: str, kind: str, form: str) -> Column:
        """Return the part of a sum that rests on figures of a kind."""
        return Column(name, title, unit, SumProducts(table, [(block, col("place")), kind], {}), format=form)

    hours = ("labor_lines", "hours")
    return Table(
        "plan_sums",
        "Sums by plan",
        [
            Field("plan", "plan", role="key", width=15),
            Field("title", "it is", width=46),
            Field("place", "place of the plan", "no."),
        ],
        [
            *(Column(n, n.replace("_", " "), "ea", count(n), format="#,##0") for n in COUNTS),
            Column("labor_hours", "labor", "h", ratio(total("minutes"), 60, 0), format="#,##0.0"),
            on("of it on illustrative minutes", "h", "invented_hours", *hours, "steps.invented", "#,##0.0"),
            on("of it on measured minutes", "h", "measured_hours", *hours, "steps.measured", "#,##0.0"),
            Column("labor_cost", "labor", "USD", col("labor_hours") * labor_rate(), format=MONEY),
            Column("material_cost", "material", "USD", total("material_usd"), format=MONEY),
            on("of it on illustrative prices", "USD", "invented_usd", "material", "usds", "unit_costs.invented", MONEY),
            Column("feet", "cable or raceway with tails", "ft", total("sheath_ft"), format="#,##0"),
            Column("installed_cost", "installed", "USD", col("labor_cost") + col("material_cost"), format=MONEY),
        ],
        {
            "plan": list(frame.compared),
            "title": [plan.title for plan in frame.plans],
            "place": list(range(1, len(frame.compared) + 1)),
        },
        key="plan",
    )


def totals_table(frame: Frame) -> Table:
    """One row for each plan compared: the heart of the summary."""

    def shown(table: str, name: str, title: str, unit: str, form: str, note: str = "", width: float = 0) -> Column:
        return Column(name, title, unit, At(table, name, col("place")), note, form, width=width)

    less = "this plan less the base: negative costs less; n/c where one of them is not complete"
    lacking = "not complete: something of the job has no size or no price in the catalogs"
    return Table(
        "totals",
        "Totals by plan",
        [
            Field("plan", "plan", role="key"),
            Field("title", "it is", role="key", width=36),
            Field("place", "place of the plan", "no."),
        ],
        [
            *(shown("plan_sums", n, n.replace("_", " "), "ea", "#,##0") for n in COUNTS),
            shown("plan_sums", "labor_hours", "labor", "h", "#,##0.0"),
            shown("plan_sums", "invented_hours", "of it on illustrative minutes", "h", "#,##0.0"),
            shown("plan_sums", "measured_hours", "of it on measured minutes", "h", "#,##0.0"),
            shown("plan_sums", "labor_cost", "labor", "USD", MONEY),
            shown("plan_sums", "material_cost", "material", "USD", MONEY),
            shown("plan_sums", "invented_usd", "of it on illustrative prices", "USD", MONEY),
            shown("plan_sums", "feet", "cable or raceway with tails", "ft", "#,##0"),
            shown("plan_sums", "installed_cost", "installed", "USD", MONEY),
            shown("bid", "bid_usd", "bid", "USD", MONEY, "with overhead, profit, lines of the bid, bond: sheet Bid"),
            shown("against_base", "difference", "difference to base", "USD", SIGNED, less),
            shown("against_base", "difference_pct", "difference to base", "%", "+0.0;-0.0;0.0"),
            shown("against_base", "state", "pricing is", "", "", lacking, 14),
        ],
        {
            "plan": list(frame.compared),
            "title": [plan.title for plan in frame.plans],
            "place": list(range(1, len(frame.compared) + 1)),
        },
        key="plan",
    )


def against_base_table(frame: Frame) -> Table:
    """Each plan compared against the base: a difference of totals that are both complete."""

    def warned(name: str) -> Expr:
        return At("plan_flags", name, col("row"))

    both = col("unpriced") + At("against_base", "unpriced", col("base_row"))
    return Table(
        "against_base",
        "Against the base",
        [Field("plan", "plan", role="key"), Field("title", "it is", width=46)],
        [
            Column("row", "row of the total", "no.", Match("plan_sums", "plan", col("plan"))),
            Column("base_row", "row of the base", "no.", only("base", "place")),
            Column("no_price", "prices missing", "ea", warned("prices_missing")),
            Column(
                "unpriced",
                "things not priced or served",
                "ea",
                warned("unpriced") + warned("circuits_unserved") + col("no_price"),
            ),
            Column(
                "price_flags",
                "prices to look at",
                "ea",
                col("no_price") + warned("prices_expired") + warned("price_slips"),
                "missing, of an expired quote, or with a probable slip of the unit",
            ),
            Column("state", "pricing is", "", when(equal(col("unpriced"), 0), "complete", "NOT COMPLETE"), width=14),
            Column("comparable", "both complete", "0/1", flag(equal(both, 0))),
            Column("installed_usd", "installed", "USD", At("plan_sums", "installed_cost", col("row")), format=MONEY),
            Column(
                "base_usd", "base installed", "USD", At("plan_sums", "installed_cost", col("base_row")), format=MONEY
            ),
            Column("less_usd", "less the base", "USD", col("installed_usd") - col("base_usd"), format=SIGNED),
            Column(
                "less_pct",
                "less the base",
                "%",
                ratio(col("less_usd") * 100, col("base_usd"), 0),
                format="+0.0;-0.0;0.0",
            ),
            *(
                Column(
                    name, "difference to base", unit, when(equal(col("comparable"), 1), col(given_as), NOT_COMPARABLE)
                )
                for name, unit, given_as in (("difference", "USD", "less_usd"), ("difference_pct", "%", "less_pct"))
            ),
        ],
        {"plan": list(frame.compared), "title": [plan.title for plan in frame.plans]},
    )


def plan_flags_table(frame: Frame) -> Table:
    """What to look at before a total is used, in each plan compared."""
    mine = {"plan": col("plan")}

    def total(name: str) -> Expr:
        return SumProducts("each", ["repeat", name], mine)

    boxes_built = "built.counts", col("place")

    def runs(name: str) -> Expr:
        return SumProducts("runs", [name, ("orders.runs", col("place"))], {})

    def boxes(sign: str) -> Expr:
        return SumWhere("box_outcomes", "repeat", "against_base_in3", col("place"), sign)

    def circuits(name: str, title: str, flagged: str) -> Column:
        return Column(name, title, "ea", SumProducts("verdicts", ["repeat", flagged], mine))

    def prices(name: str, title: str, flagged: str) -> Column:
        return Column(name, title, "ea", SumWhere("material", f"unit_costs.{flagged}", "nets", col("place"), ">"))

    return Table(
        "plan_flags",
        "What stands against a total, by plan",
        [
            Field("plan", "plan", role="key", width=15),
            Field("title", "it is", width=46),
            Field("place", "place of the plan", "no."),
        ],
        [
            Column("unsized", "boxes without a size", "ea", total("unsized")),
            Column("no_cable", "runs without a catalog cable", "ea", runs("no_cable")),
            Column(
                "unpriced",
                "things not priced",
                "ea",
                col("unsized") + runs("unpriced") + SumProducts("costs", ["joints_missing", boxes_built], {}),
            ),
            prices("prices_missing", "prices missing", "missing"),
            prices("prices_expired", "prices of expired quotes", "expired"),
            prices("price_slips", "prices with a probable slip of the unit", "slipped"),
            Column("larger", "boxes larger than in the base", "ea", boxes(">")),
            Column("smaller", "boxes smaller than in the base", "ea", boxes("<")),
            circuits("circuits_failing", "circuits with a check not met", "has_failed"),
            circuits("circuits_to_look", "circuits to look at", "has_to_look"),
            circuits("circuits_unserved", "circuits that no construction may serve", "unserved"),
            circuits("circuits_fallen_back", "circuits in a fallback", "falls"),
            Column(
                "fallen_back_pct",
                "circuits in a fallback",
                "%",
                ratio(col("circuits_fallen_back") * 100, Total("circuits", "repeat"), 0),
                "of all circuits, as often as they are built",
                "0.0",
            ),
            Column(
                "panel_circuit_terminations",
                "circuit terminations at panels",
                "ea",
                SumBy("home_runs", "circuit_ends", mine),
            ),
            Column(
                "panel_ground_terminations",
                "ground terminations at panels",
                "ea",
                SumBy("home_runs", "ground_ends", mine),
            ),
            Column("home_runs", "home runs", "ea", SumBy("home_runs", "count", mine)),
        ],
        {
            "plan": list(frame.compared),
            "title": [plan.title for plan in frame.plans],
            "place": list(range(1, len(frame.compared) + 1)),
        },
        key="plan",
    )


FLAGS = (
    ("unsized", "boxes without a size"),
    ("no_cable", "runs without a catalog cable"),
    ("unpriced", "things not priced"),
    ("prices_missing", "prices missing"),
    ("prices_expired", "prices of expired quotes"),
    ("price_slips", "prices with a probable slip of the unit"),
    ("larger", "boxes larger than in the base"),
    ("smaller", "boxes smaller than in the base"),
    ("circuits_failing", "circuits with a check not met"),
    ("circuits_to_look", "circuits to look at"),
    ("circuits_unserved", "circuits that no construction may serve"),
    ("circuits_fallen_back", "circuits in a fallback"),
    ("home_runs", "home runs"),
    ("panel_circuit_terminations", "circuit terminations at panels"),
    ("panel_ground_terminations", "ground terminations at panels"),
)
"""What the summary shows of it: column and title."""


def warnings_table(frame: Frame) -> Table:
    """What to look at before a total is used, in each plan compared."""
    return Table(
        "warnings",
        "What to look at before a total is used",
        [
            Field("plan", "plan", role="key", width=15),
            Field("title", "it is", role="key", width=36),
            Field("place", "place of the plan", "no."),
        ],
        [Column(name, title, "ea", At("plan_flags", name, col("place"))) for name, title in FLAGS],
        {
            "plan": list(frame.compared),
            "title": [plan.title for plan in frame.plans],
            "place": list(range(1, len(frame.compared) + 1)),
        },
        key="plan",
    )
