"""Totals of each construction compared, what to look at before they are used, and boxes by size."""

from __future__ import annotations

from takeoff.engine.aggregates import SumBy, SumProducts
from takeoff.engine.expr import Expr, Head, col, equal, flag, given, ratio, when
from takeoff.engine.lookups import At, CellAt, Match, Total, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import labor_rate

MONEY, SIGNED = "#,##0", "+#,##0;-#,##0;0"
NOT_COMPARABLE = "n/c"
"""Stands for a difference where one of the two totals is not complete."""
COUNTS = ("circuit_terminations", "ground_terminations", "circuit_splices", "ground_splices", "entries")


def totals_table(frame: Frame) -> Table:
    """One row for each construction compared: the heart of the summary."""
    mine = {"construction": col("construction")}

    def total(name: str) -> Expr:
        return SumProducts("results", ["repeat", name], mine)

    def total_of(name: str) -> Expr:
        return SumProducts("each", ["repeat", name], mine)

    def against(name: str) -> Expr:
        return look("against_base", name, col("construction"), by="construction")

    return Table(
        "totals",
        "Totals by construction",
        [Field("construction", "compared", role="key"), Field("title", "plan", role="key", width=36)],
        [
            *(Column(n, n.replace("_", " "), "ea", total(n), format="#,##0") for n in COUNTS),
            Column("labor_hours", "labor", "h", ratio(total("minutes"), 60, 0), format="#,##0.0"),
            Column(
                "invented_hours",
                "of it on illustrative minutes",
                "h",
                SumBy("labor_lines", "invented_hours", mine),
                format="#,##0.0",
            ),
            Column(
                "measured_hours",
                "of it on measured minutes",
                "h",
                SumBy("labor_lines", "measured_hours", mine),
                format="#,##0.0",
            ),
            Column("labor_cost", "labor", "USD", col("labor_hours") * labor_rate(), format=MONEY),
            Column("material_cost", "material", "USD", total("material_usd"), format=MONEY),
            Column(
                "invented_usd",
                "of it on illustrative prices",
                "USD",
                SumBy("material_lines", "invented_usd", mine),
                format=MONEY,
            ),
            Column("feet", "cable or raceway with tails", "ft", total_of("sheath_ft"), format="#,##0"),
            Column("installed_cost", "installed", "USD", col("labor_cost") + col("material_cost"), format=MONEY),
            Column(
                "bid_usd",
                "bid",
                "USD",
                At("bid", "bid_usd", Match("bid", "construction", col("construction"))),
                "with overhead, profit, lines of the bid, bond: sheet Bid",
                MONEY,
            ),
            Column(
                "difference",
                "difference to base",
                "USD",
                against("difference"),
                "this construction less the base: negative costs less; n/c where one of them is not complete",
                SIGNED,
            ),
            Column("difference_pct", "difference to base", "%", against("difference_pct"), format="+0.0;-0.0;0.0"),
            Column(
                "state",
                "pricing is",
                "",
                against("state"),
                "not complete: something of the job has no size or no price in the catalogs",
                width=14,
            ),
        ],
        {
            "construction": list(frame.compared),
            "title": [plan.title for plan in frame.plans],
        },
    )


def against_base_table(frame: Frame) -> Table:
    """Each construction compared against the base: a difference of totals that are both complete."""
    row, base = (Match("totals", "construction", key) for key in (col("construction"), given("base_construction")))

    def warned(name: str) -> Expr:
        return At("warnings", name, col("row"))

    both = col("unpriced") + At("against_base", "unpriced", col("base_row"))
    return Table(
        "against_base",
        "Against the base",
        [Field("construction", "compared", role="key")],
        [
            Column("row", "row of the total", "no.", row),
            Column("base_row", "row of the base", "no.", base),
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
            Column("installed_usd", "installed", "USD", At("totals", "installed_cost", col("row")), format=MONEY),
            Column("base_usd", "base installed", "USD", At("totals", "installed_cost", col("base_row")), format=MONEY),
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
        {"construction": list(frame.compared)},
    )


def warnings_table(frame: Frame) -> Table:
    """What to look at before a total is used, in each construction compared."""
    mine = {"construction": col("construction")}

    def total(name: str) -> Expr:
        return SumProducts("each", ["repeat", name], mine)

    def circuits(name: str, title: str, flagged: str) -> Column:
        return Column(name, title, "ea", SumProducts("verdicts", ["repeat", flagged], mine))

    def prices(name: str, title: str, flagged: str) -> Column:
        return Column(name, title, "ea", SumBy("material_lines", flagged, mine))

    return Table(
        "warnings",
        "What to look at before a total is used",
        [Field("construction", "compared", role="key", width=14), Field("title", "plan", role="key", width=36)],
        [
            Column("unsized", "boxes without a size", "ea", total("unsized")),
            Column("no_cable", "runs without a catalog cable", "ea", total("no_cable")),
            Column("unpriced", "things not priced", "ea", total("unpriced")),
            prices("prices_missing", "prices missing", "missing"),
            prices("prices_expired", "prices of expired quotes", "expired"),
            prices("price_slips", "prices with a probable slip of the unit", "slipped"),
            Column("larger", "boxes larger than in the base", "ea", total("larger")),
            Column("smaller", "boxes smaller than in the base", "ea", total("smaller")),
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
            "construction": list(frame.compared),
            "title": [plan.title for plan in frame.plans],
        },
    )


def home_runs_table(frame: Frame) -> Table:
    """Terminations at panels, kept apart from the boxes: one row for each home-run type and construction."""
    panel_types = [t for t, m in frame.types.by_key.items() if m.place == "panel"]
    rows = [(t, p, w, place) for t in panel_types for place, (p, w) in enumerate(frame.pairs)]
    places = {p: n for n, p in enumerate(frame.compared, start=1)}
    ends = CellAt("costs", "counts", col("makeup_row"), col("place"))
    return Table(
        "home_runs",
        "Panel ends of home runs",
        [
            Field("type", "type", role="key"),
            Field("construction", "compared as", role="key"),
            Field("wired_as", "wired as", role="key"),
            Field("place", "place among the compared", "no."),
        ],
        [
            Column(
                "makeup_row", "row of the make-up", "no.", Match("makeup", "key", col("type") & "|" & col("wired_as"))
            ),
            Column("count", "home runs", "ea", ends, format=MONEY),
            Column(
                "circuit_ends",
                "circuit terminations",
                "ea",
                col("count") * At("makeup", "circuit_terminations", col("makeup_row")),
                format=MONEY,
            ),
            Column(
                "ground_ends",
                "ground terminations",
                "ea",
                col("count") * At("makeup", "ground_terminations", col("makeup_row")),
                format=MONEY,
            ),
        ],
        {
            "type": [t for t, *_ in rows],
            "construction": [p for _, p, _, _ in rows],
            "wired_as": [w for _, _, w, _ in rows],
            "place": [places[p] for _, p, _, _ in rows],
        },
    )


def box_counts_table(frame: Frame) -> Table:
    """Boxes by size in each construction compared; the sizes are those that serve the job's styles and gangs."""
    families = {f"{m.box_style}|{m.gangs}" for m in frame.types.by_key.values()}
    uses = [u for u in frame.catalogs["box_uses"] if f"{u['box_style']}|{u['gangs']}" in families]
    boxes = list(dict.fromkeys(str(u["box"]) for u in uses or frame.catalogs["box_uses"]))
    count = SumBy("results", "repeat", {"chosen_box": col("box"), "construction": Head()})
    return Table(
        "box_counts",
        "Boxes by size",
        [Field("box", "box", role="key"), Field("title", "description", role="key", width=36)],
        [
            Column(
                "volume_in3",
                "volume",
                "in3",
                At("box_sizes", "volume_in3", Match("box_sizes", "box", col("box"))),
                format="0.0",
            ),
            *(Column(n, p, "ea", count, head=p, format=MONEY) for n, p in frame.per_compared("as")),
        ],
        {"box": boxes, "title": [frame.catalogs["box_sizes"][b]["title"] for b in boxes]},
        {"counts": [n for n, _ in frame.per_compared("as")]},
    )
