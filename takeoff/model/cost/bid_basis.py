"""How much of a bid rests on no illustrative figure: the way from cost to bid once more, without those that do."""

from __future__ import annotations

from takeoff.engine.aggregates import SumProducts
from takeoff.engine.expr import Expr, col, given, ratio
from takeoff.engine.lookups import Total
from takeoff.model.givens.inputs import sound
from takeoff.model.givens.wages import labor_rate, only

SOUND = {
    "sound_direct_usd": "direct cost that is not illustrative",
    "direct_share": "of the direct cost that is not illustrative",
    "sound_contingency_usd": "contingency that is not illustrative",
    "before_share": "of cost before overhead that is not illustrative",
    "hours_share": "of the hours that is not illustrative",
    "sound_overhead_usd": "overhead that is not illustrative",
    "sound_cost_usd": "cost that is not illustrative",
    "cost_share": "of the cost that is not illustrative",
    "sound_bonded_usd": "price before bond that is not illustrative",
    "sound_bid_usd": "bid before rounding that is not illustrative",
}
"""The way from cost to bid once more, without what rests on illustrative figures: column and title."""


def sound_lines() -> dict[str, Expr]:
    """Return what of the bid rests on no illustrative figure.

    What a percentage adds rests on one where the percentage does, and as far as what it is added to does. Lines of the
    user are stated, but for their hours at an illustrative labor rate.
    """
    mine = {"plan": col("plan")}
    before = col("direct_usd") + col("contingency_usd")
    at_rate = Total("line_prices", "direct_hours") * labor_rate() * only("labor_rate", "invented")
    by_percent = before * only("bid_rates", "overhead") * col("before_share") * sound("overhead_pct")
    by_hours = col("hours") * given("overhead_usd_per_h") * col("hours_share") * sound("overhead_usd_per_h")
    own_lines = col("allowances_usd") + col("alternates_usd") + col("late_usd")
    profit = col("profit_usd") * col("cost_share") * sound("profit_pct")
    bond = col("bond_usd") * ratio(col("sound_bonded_usd"), col("bonded_usd"), 1) * sound("bond_pct")
    return {
        "sound_direct_usd": SumProducts("parts", ["sound_usd"], mine) + col("direct_lines_usd") - at_rate,
        "direct_share": ratio(col("sound_direct_usd"), col("direct_usd"), 1),
        "sound_contingency_usd": col("contingency_usd") * col("direct_share") * sound("contingency_pct"),
        "before_share": ratio(col("sound_direct_usd") + col("sound_contingency_usd"), before, 1),
        "hours_share": ratio(col("hours") - SumProducts("parts", ["invented_hours"], mine), col("hours"), 1),
        "sound_overhead_usd": by_percent + by_hours,
        "sound_cost_usd": col("sound_direct_usd") + col("sound_contingency_usd") + col("sound_overhead_usd"),
        "cost_share": ratio(col("sound_cost_usd"), col("cost_usd"), 1),
        "sound_bonded_usd": col("sound_cost_usd") + profit + own_lines,
        "sound_bid_usd": col("sound_bonded_usd") + bond,
        "invented_pct": ratio((col("unrounded_usd") - col("sound_bid_usd")) * 100, col("unrounded_usd"), 0),
    }
