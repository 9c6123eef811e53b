"""What a swap is told with: where the saving falls, how it is shared, and the words of the proposal."""

from __future__ import annotations

from takeoff.engine.expr import Expr, as_expr, call, col, equal, flag, given, less, ratio, same, when
from takeoff.engine.lookups import At, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.practice import area_keys
from takeoff.model.givens.wages import only
from takeoff.model.swap.swap import CENTS
from takeoff.text.dates import NOT_GIVEN

BLANK = "____________________"
"""Stands for what nobody stated, to be filled in by hand."""

FILLED = (
    *("contract_number", "agency", "addressee", "contract_changes", "spec_wording", "function_effect"),
    *("completion_effect", "earlier_proposals"),
)
FILLED_USD = ("owner_cost_usd", "collateral_usd_per_year", "subcontract_usd", "contract_usd")
"""Inputs of the proposal that are blanks while they are not given, or 0."""


def swap_by_area_table(frame: Frame) -> Table:
    """What is saved in every area, for reading."""
    areas = area_keys(frame)

    def of(name: str, title: str, unit: str, form: str = CENTS) -> Column:
        return Column(name, title, unit, At("swap_areas", name, col("line")), format=form)

    def saved(name: str) -> Expr:
        return At("swap_areas", f"{name}_from", col("line")) - At("swap_areas", f"{name}_to", col("line"))

    shown = [
        of("boxes", "boxes left to swap", "ea", "#,##0.0"),
        of("saved_hours", "labor saved", "h"),
        of("crew_days", "crew-days saved", "day"),
        of("saved_labor_usd", "labor saved", "USD"),
        Column("cable_usd", "cable saved", "USD", saved("cable_usd"), format=CENTS),
        Column("box_usd", "boxes saved", "USD", saved("box_usd"), format=CENTS),
        Column("fitting_usd", "fittings saved", "USD", saved("fitting_usd"), format=CENTS),
        of("saved_usd", "saved in all", "USD"),
    ]
    return Table(
        "swap_by_area",
        "Where it falls: what remains of every area",
        [Field("area", "area", role="key"), Field("line", "line", "no.")],
        shown,
        {"area": list(areas), "line": list(range(1, len(areas) + 1))},
        key="area",
    )


def plan_heads_table(frame: Frame) -> Table:
    """The preferred construction of every plan, and what its ground path is."""
    heads = [plan.members[0] for plan in frame.plans]
    titles = [str(frame.catalogs["constructions"][head]["title"]) for head in heads]
    return Table(
        "plan_heads",
        "Preferred construction of every plan",
        [
            Field("plan", "plan", role="key"),
            Field("preferred", "preferred construction"),
            Field("title", "it is", width=52),
        ],
        [Column("egc_kind", "its EGC", "", look("in_use", "egc_kind", col("preferred"), by="construction"))],
        {"plan": list(frame.compared), "preferred": heads, "title": titles},
        key="plan",
    )


def sharing_table(_: Frame) -> Table:
    """How a saving is shared between owner and contractor, and the words of the proposal."""

    def head(name: str, which: str) -> Expr:
        return look("plan_heads", name, given(f"swap_{which}"), by="plan")

    def says(what: str, which: str) -> Expr:
        return look("proposal", "text", as_expr(f"{what}-") & col(f"egc_{which}"), by="part")

    net = call("max", 0, only("swap", "net_usd"))
    cap = call("max", given("contract_usd"), given("collateral_cap_usd"))
    shared = call("max", 0, only("swap", "net_usd") - given("owner_cost_usd"))
    columns = [
        Column("outcome", "part of the proposal", "", when(less(0, only("swap", "net_usd")), "saves", "saves-nothing")),
        Column("says", "what the estimates say", "", look("proposal", "text", col("outcome"), by="part"), width=60),
        Column(
            "shared_usd",
            "net saving less the owner's cost",
            "USD",
            shared,
            "nothing where nothing is saved",
            CENTS,
        ),
        Column(
            "owner_usd",
            "owner's share",
            "USD",
            ratio(col("shared_usd") * given("owner_share_pct"), 100, 0),
            "FAR 52.248-3(f)",
            CENTS,
        ),
        Column(
            "contractor_usd",
            "contractor's share",
            "USD",
            col("shared_usd") - col("owner_usd"),
            "what remains, as we read the clause",
            CENTS,
        ),
        Column("price_falls_usd", "contract price falls by", "USD", net - col("contractor_usd"), format=CENTS),
        Column(
            "collateral_usd",
            "contractor's share of collateral savings",
            "USD",
            call("min", ratio(given("collateral_usd_per_year") * given("collateral_share_pct"), 100, 0), cap),
            "FAR 52.248-3(g), capped by the contract price or the least cap, whichever is greater",
            CENTS,
        ),
        Column("change_usd", "direct cost of the change", "USD", as_expr(0) - only("swap", "net_usd"), format=CENTS),
        Column("credited", "markup is credited", "0/1", flag(same(given("change_markup_credited"), "yes"))),
        Column(
            "marked_up",
            "markup is on it",
            "0/1",
            when(less(col("change_usd"), 0), col("credited"), 1),
            "a change that costs always takes it",
        ),
        Column(
            "change_overhead_usd",
            "overhead on it",
            "USD",
            ratio(col("change_usd") * given("change_overhead_pct"), 100, 0) * col("marked_up"),
            format=CENTS,
        ),
        Column(
            "change_profit_usd",
            "profit on both",
            "USD",
            ratio((col("change_usd") + col("change_overhead_usd")) * given("change_profit_pct"), 100, 0)
            * col("marked_up"),
            format=CENTS,
        ),
        Column(
            "change_order_usd",
            "change order",
            "USD",
            col("change_usd") + col("change_overhead_usd") + col("change_profit_usd"),
            "negative: a credit",
            CENTS,
        ),
        *(
            Column(f"{n}_filled", f"{n.replace('_', ' ')}, or a blank", "", when(test, BLANK, shown), width=width)
            for n, test, shown, width in (
                *((n, same(given(n), NOT_GIVEN), given(n), 60) for n in FILLED),
                *((n, equal(given(n), 0), given(n), 16) for n in FILLED_USD),
            )
        ),
        *(
            Column(f"egc_{which}", f"EGC of the plan swapped {which}", "", head("egc_kind", which))
            for which in ("from", "to")
        ),
        *(
            Column(f"{what}_{which}", f"{what} of the plan swapped {which}", "", says(what, which), width=60)
            for which in ("from", "to")
            for what in ("pros", "cons")
        ),
        *(
            Column(f"title_{which}", f"plan swapped {which}", "", head("title", which), width=52)
            for which in ("from", "to")
        ),
    ]
    return Table(
        "sharing",
        "Sharing of the saving, and words of the proposal",
        [Field("key", "swap", role="key")],
        columns,
        {"key": ["swap"]},
        exposed=[c.name for c in columns],
    )
