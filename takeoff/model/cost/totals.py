"""Totals of each plan compared, what to look at before they are used, and boxes by size."""

from __future__ import annotations

from functools import reduce
from operator import add

from takeoff.engine.aggregates import SumBy, SumProducts, SumWhere
from takeoff.engine.expr import Expr, as_expr, call, col, equal, flag, given, ratio, when
from takeoff.engine.lookups import At, Total
from takeoff.engine.tables import YES_NO, Column, Field, Table
from takeoff.model.boxes.types import CONTROL_COUNTS
from takeoff.model.cost.stops import PLAN_STOPS
from takeoff.model.frame import Frame
from takeoff.model.givens.job import plan_key
from takeoff.model.givens.metals import METALS
from takeoff.model.givens.wages import labor_rate, only
from takeoff.model.rules.open_facts import not_settled

MONEY, SIGNED, PERCENT = "#,##0", "+#,##0;-#,##0;0", "+0.0;-0.0;0.0"
NOT_COMPARABLE = "n/c"
"""Stands for a difference where one of the two totals is not complete."""
COUNTS = ("circuit_terminations", "ground_terminations", "circuit_splices", "ground_splices", "entries")
"""Counts at boxes that are added up for every plan."""

ALIKE = {"circuit_terminations": "circuit_terminations", "circuit_splices": "circuit_splices", "entries": "runs"} | {
    name: name for name in CONTROL_COUNTS
}
"""Counts that are the same in every plan, by their column among the boxes."""


def counts_of(frame: Frame) -> tuple[str, ...]:
    """Return the counts that are added up, those of control pairs where the job has any."""
    return (*COUNTS, *(CONTROL_COUNTS if frame.control_boxes else ()))


def plan_sums_table(frame: Frame) -> Table:
    """One row for each plan compared: boxes, labor and material added up."""
    mine = {"plan": plan_key()}

    def count(name: str) -> Expr:
        if name in ALIKE:
            return SumProducts("box_outcomes", ["repeat", ALIKE[name]], {})
        return SumProducts("box_outcomes", ["repeat", (name, col("place"))], {})

    def total(name: str) -> Expr:
        return SumProducts("each", ["repeat", name], mine)

    def moved(metal: str) -> Expr:
        """Return what the change of a metal moves in cables and conductors that no quote prices."""
        pounds = SumProducts(
            "unit_costs", [f"{metal}_lb_per_kft", ("material.nets", col("place"))], {"quote_row": as_expr(0)}
        )
        change = ratio(call("absolute", given(f"{metal}_change_pct")), 100, 0)
        return ratio(pounds, 1000, 0) * given(f"{metal}_usd_per_lb") * change

    hours = ("hours", col("place"))
    return Table(
        "plan_sums",
        "Sums by plan",
        [
            Field("title", "plan", role="key", width=18),
            Field("plan", "plan key"),
            Field("place", "place of the plan", "no."),
        ],
        [
            *(Column(n, n.replace("_", " "), "ea", count(n), format="#,##0") for n in counts_of(frame)),
            Column("labor_hours", "labor", "h", ratio(total("minutes"), 60, 0), format="#,##0.0"),
            Column("labor_cost", "labor", "USD", col("labor_hours") * labor_rate(), format=MONEY),
            Column("feet_material", "material, cable by the foot", "USD", total("material_usd"), format=MONEY),
            Column(
                "coil_remainder",
                "coil remainder",
                "USD",
                At("cable_more", "usd", col("place")),
                "cable in whole packages beyond feet with waste, by cable_priced_by; in no box, circuit or area",
                SIGNED,
            ),
            Column("material_cost", "material", "USD", col("feet_material") + col("coil_remainder"), format=MONEY),
            Column("feet", "cable or raceway with tails", "ft", total("sheath_ft"), format="#,##0"),
            Column("installed_cost", "installed", "USD", col("labor_cost") + col("material_cost"), format=MONEY),
            Column(
                "on_conditions",
                "of the hours on illustrative conditions of the work",
                "1/1",
                call("min", 1, ratio(SumProducts("condition_hours", [hours, "invented"], {}), col("labor_hours"), 0)),
                "what the factor of each adds or takes off",
                "0.000",
            ),
            *(
                Column(f"{m}_usd", f"moved by the change of {m}", "USD", moved(m), "up or down, without waste", MONEY)
                for m in METALS
            ),
            Column(
                "grounds_per_box",
                "ground terminations in a box",
                "ea",
                ratio(col("ground_terminations"), Total("boxes", "repeat"), 0),
                "on average",
                "0.00",
            ),
        ],
        {
            "plan": list(frame.compared),
            "title": list(frame.titles.values()),
            "place": list(range(1, len(frame.compared) + 1)),
        },
        {"metals": [f"{m}_usd" for m in METALS]},
        key="plan",
    )


def totals_table(frame: Frame) -> Table:
    """One row for each plan compared: the heart of the summary."""

    def shown(table: str, name: str, title: str, unit: str, form: str, note: str = "", width: float = 0) -> Column:
        return Column(name, title, unit, At(table, name, col("place")), note, form, width=width)

    def sums(*names: str) -> Expr:
        return reduce(add, (At("plan_sums", n, col("place")) for n in names))

    def less_base(name: str, table: str) -> Expr:
        return At(table, name, col("place")) - At(table, name, only("base", "place"))

    less = "this plan less the base: negative is less; n/c where one of the two is not to be used"
    both = At("standing", "unusable", col("place")) + At("standing", "unusable", only("base", "place"))
    made, joined = (["circuit_" + n, "ground_" + n] for n in ("terminations", "splices"))
    if frame.control_boxes:
        made, joined = [*made, CONTROL_COUNTS[0]], [*joined, CONTROL_COUNTS[1]]
    return Table(
        "totals",
        "The plans side by side",
        [Field("title", "plan", role="key", width=18), Field("place", "place of the plan", "no.")],
        [
            Column("terminations", "terminations", "ea", sums(*made), "in boxes: circuit, ground and control", "#,##0"),
            shown("plan_sums", "ground_terminations", "of them ground", "ea", "#,##0"),
            Column("splices", "splices", "ea", sums(*joined), "in boxes", "#,##0"),
            shown("plan_flags", "larger", "larger boxes", "ea", "#,##0", "larger than in the base"),
            shown("plan_sums", "labor_hours", "labor", "h", "#,##0.0"),
            shown("plan_sums", "material_cost", "material", "USD", MONEY),
            shown("plan_sums", "installed_cost", "installed", "USD", MONEY, "material and labor"),
            shown("bid", "bid_usd", "bid", "USD", MONEY, "with overhead, profit, lines of the bid, bond: sheet Bid"),
            Column(
                "difference",
                "bid less base",
                "USD",
                when(equal(both, 0), At("bid", "difference_usd", col("place")), NOT_COMPARABLE),
                less,
                SIGNED,
            ),
            Column(
                "fewer_grounds",
                "grounds less base",
                "ea",
                less_base("ground_terminations", "plan_sums"),
                "negative: fewer to make up by hand",
                SIGNED,
            ),
            shown("standing", "state", "state", "", "", "by the stop list below", 15),
        ],
        {"title": list(frame.titles.values()), "place": list(range(1, len(frame.compared) + 1))},
        key="title",
    )


def against_base_table(frame: Frame) -> Table:
    """Each plan compared against the base: a difference of totals that are both complete."""

    def warned(name: str) -> Expr:
        return At("plan_flags", name, col("place"))

    installed, of_base = (At("plan_sums", "installed_cost", col(row)) for row in ("place", "base_row"))
    less = installed - of_base
    both = col("unpriced") + At("against_base", "unpriced", col("base_row"))
    return Table(
        "against_base",
        "Against the base",
        [Field("title", "plan", role="key"), Field("plan", "plan key"), Field("place", "place of the plan", "no.")],
        [
            Column("base_row", "row of the base", "no.", only("base", "place")),
            Column(
                "unpriced",
                "things not priced or served",
                "ea",
                warned("unpriced") + warned("unserved") + warned("prices_missing"),
            ),
            Column(
                "price_flags",
                "prices to look at",
                "ea",
                warned("prices_missing") + warned("prices_expired") + warned("price_slips"),
                "missing, of an expired quote, or with a probable slip of the unit",
            ),
            Column("comparable", "both complete", "0/1", flag(equal(both, 0)), format=YES_NO),
            Column("less_pct", "less the base", "%", ratio(less * 100, of_base, 0), format=PERCENT),
            *(
                Column(
                    name,
                    "installed, less the base",
                    unit,
                    when(equal(col("comparable"), 1), amount, NOT_COMPARABLE),
                    format=form,
                )
                for name, unit, amount, form in (
                    ("difference", "USD", less, SIGNED),
                    ("difference_pct", "%", col("less_pct"), PERCENT),
                )
            ),
        ],
        {
            "plan": list(frame.compared),
            "title": list(frame.titles.values()),
            "place": list(range(1, len(frame.compared) + 1)),
        },
    )


def plan_flags_table(frame: Frame) -> Table:
    """What stands against a total, in each plan compared; what the stop list counts comes first."""
    mine = {"plan": plan_key()}

    def found(outcome: str) -> Expr:
        return SumBy("each", "repeat", {"box_outcome": outcome, **mine})

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
            Field("title", "plan", role="key", width=18),
            Field("plan", "plan key"),
            Field("place", "place of the plan", "no."),
        ],
        [
            Column("pull_boxes", "boxes to size by 314.28", "ea", found("look")),
            circuits("circuits_failing", "circuits with a check not met", "has_failed"),
            circuits("refused", "circuits that do not meet a rule tested", "has_stopped"),
            circuits("unserved", "circuits that no construction may serve", "wiring.unserved"),
            Column("unsized", "boxes without a size", "ea", col("pull_boxes") + found("fails")),
            Column("no_cable", "runs without a catalog cable", "ea", runs("no_cable")),
            Column(
                "other_unpriced",
                "runs and splices without a fitting or connector",
                "ea",
                runs("unpriced") - col("no_cable") + SumProducts("costs", ["joints_missing", boxes_built], {}),
            ),
            prices("prices_missing", "prices missing", "missing"),
            prices("price_slips", "prices with a probable slip of the unit", "slipped"),
            prices("prices_expired", "prices of expired quotes", "expired"),
            Column("advised", "circuits beyond an advised limit", "ea", col("circuits_failing") - col("refused")),
            Column("not_settled", "circuits with a fact missing", "ea", not_settled(plan_key())),
            circuits("circuits_to_look", "circuits to look at", "has_to_look"),
            Column("unpriced", "things not priced", "ea", col("unsized") + col("no_cable") + col("other_unpriced")),
            Column("larger", "boxes larger than in the base", "ea", boxes(">")),
            Column("smaller", "boxes smaller than in the base", "ea", boxes("<")),
            circuits("circuits_fallen_back", "circuits in a fallback", "wiring.falls"),
            Column(
                "fallen_back_pct",
                "circuits in a fallback",
                "%",
                ratio(col("circuits_fallen_back") * 100, Total("circuit_outcomes", "repeat"), 0),
                "of all lines of circuits, as often as they are built",
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
            "title": list(frame.titles.values()),
            "place": list(range(1, len(frame.compared) + 1)),
        },
        {"stops": list(PLAN_STOPS)},
        key="plan",
    )
