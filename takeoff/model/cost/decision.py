"""What to use, and why: how sure the order of the two lowest plans is, and what is said of it."""

from __future__ import annotations

from takeoff.engine.expr import Expr, as_expr, at_most, call, col, equal, flag, given, less, ratio, when
from takeoff.engine.lookups import At, CellAt, Match, Total, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.cost.pair import MONEY, NONE, SIGNED
from takeoff.model.cost.parts import GROUNDS, LABOR, PARTS
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import labor_rate, only

NO_PLAN = "No plan may be used: see the stop list."
STAYS = "Stated ranges, each alone: none of them turns the order."

MOVES = {
    "labor_rate": "labor rate",
    "ground_minutes": "minutes on grounds",
    "other_minutes": "minutes on all else",
    "from_cable": "cable price of the next plan",
    "to_cable": "cable price of the lowest plan",
    "boxes": "price of boxes",
    "fittings": "price of fittings",
}
"""Ranges that move the difference of two plans, as they are called there; others of `ranges.csv` move the swap."""


def sureness_table(frame: Frame) -> Table:
    """Whether the lowest plan stays the lowest at either end of every range, one at a time."""
    rows = [r for r in frame.catalogs["ranges"] if r["range"] in MOVES]

    def moved(end: str) -> Expr:
        spread = At("spreads", end, Match("spreads", "range", col("range")))
        return col("moves_usd") * (spread - 1)

    return Table(
        "sureness",
        "Does the lowest plan stay the lowest, one range at a time",
        [
            Field("title", "what comes out otherwise", role="key", width=44),
            Field("range", "range", role="key"),
            Field("move", "column of what it moves", "no."),
        ],
        [
            Column("moves_usd", "money that it scales", "USD", CellAt("moves", "moves", as_expr(1), col("move"))),
            Column("low_usd", "moves the difference at the low end", "USD", moved("low"), format=SIGNED),
            Column("high_usd", "moves it at the high end", "USD", moved("high"), format=SIGNED),
            Column(
                "least_usd",
                "the difference at its least",
                "USD",
                only("moves", "less_usd") + call("min", col("low_usd"), col("high_usd")),
                "of the next plan less the lowest: not above 0 the order turns",
                SIGNED,
            ),
            Column("turns", "the order turns", "0/1", flag(at_most(col("least_usd"), 0)) * only("pair", "both")),
        ],
        {
            "title": [MOVES[str(r["range"])] for r in rows],
            "range": [r["range"] for r in rows],
            "move": [list(MOVES).index(str(r["range"])) + 1 for r in rows],
        },
        key="range",
    )


def moves_table(_: Frame) -> Table:
    """What every range scales in the difference of the two lowest plans."""

    def part(key: str, name: str = "less_usd") -> Expr:
        return At("pair_parts", name, Match("pair_parts", "part", key))

    scaled: dict[str, tuple[str, Expr]] = {
        "labor_rate": ("labor", Total("pair_parts", "labor_usd")),
        "ground_minutes": ("labor on grounds", part(GROUNDS)),
        "other_minutes": ("other labor", part(LABOR)),
        "from_cable": ("cable of the next plan", part("cable", "second_usd")),
        "to_cable": ("cable of the lowest plan, taken off", as_expr(0) - part("cable", "first_usd")),
        "boxes": ("boxes", part("boxes")),
        "fittings": ("fittings", part("fittings")),
    }
    return Table(
        "moves",
        "What a range scales in the difference",
        [Field("key", "key", role="key")],
        [
            *(Column(name, *_titled(scaled[name])) for name in MOVES),
            Column("less_usd", "next plan less the lowest", "USD", Total("pair_parts", "less_usd"), format=SIGNED),
        ],
        {"key": ["moves"]},
        {"moves": list(MOVES)},
    )


def _titled(scaled: tuple[str, Expr]) -> tuple[str, str, Expr, str, str]:
    title, expr = scaled
    return f"difference by {title}", "USD", expr, "", SIGNED


def decision_table(_: Frame) -> Table:
    """What to use, and why, in figures: whole ones, for sentences."""

    def sums(name: str, plan: str) -> Expr:
        return At("plan_sums", name, only("pair", plan))

    def more(name: str) -> Expr:
        return sums(name, "other") - sums(name, "one")

    def whole(name: str, title: str, unit: str, expr: Expr) -> Column:
        return Column(name, title, unit, call("whole", expr), format=MONEY)

    bid = At("bid", "bid_usd", call("max", 1, only("pair", "lowest_bid")))
    off, crew_hours = Total("pair_parts", "off_usd"), given("crew_size") * given("hours_per_day")
    possible = ratio(off * given("invented_off_pct"), 100, 0)
    cable = only("moves", "to_cable")
    cable_each = ratio(as_expr(0) - cable, col("kft"), 0)
    flips = flag(call("all", at_most(col("lead"), possible), less(0, off)))
    return Table(
        "decision",
        "What to use, and why",
        [Field("key", "key", role="key")],
        [
            Column("lead", "next plan less the lowest", "USD", only("moves", "less_usd"), format=SIGNED),
            whole("installed_usd", "installed, lowest", "USD", sums("installed_cost", "one")),
            whole("bid_usd", "bid, lowest", "USD", bid),
            whole("lead_usd", "lowest under the next", "USD", col("lead")),
            whole("lead_pct", "of the next", "%", ratio(col("lead") * 100, sums("installed_cost", "other"), 0)),
            Column("hours", "hours fewer", "h", more("labor_hours"), format="0.0"),
            Column("crew_days", "crew-days fewer", "day", ratio(col("hours"), crew_hours, 0), format="0.0"),
            Column(
                "wage",
                "labor rate at which both cost the same",
                "USD/h",
                ratio(as_expr(0) - more("material_cost"), col("hours"), 0),
                "0 or less: there is none, the lowest stays so at any rate",
                "0.00",
            ),
            Column("wage_today", "labor rate in force", "USD/h", labor_rate(), format="0.00"),
            Column("kft", "thousands of feet of the lowest", "kft", ratio(sums("feet", "one"), 1000, 0)),
            Column(
                "cable_today",
                "cable of the lowest today",
                "USD/M",
                cable_each,
                "for 1000 ft with all, on average",
                MONEY,
            ),
            Column(
                "cable_even",
                "cable of the lowest at which both cost the same",
                "USD/M",
                col("cable_today") + ratio(col("lead"), col("kft"), 0),
                "for 1000 ft with all",
                MONEY,
            ),
            Column("off_usd", "differs on illustrative figures", "USD", off, format=MONEY),
            Column(
                "turn_pct",
                "invented figures so much off turn the order",
                "%",
                call("up", ratio(col("lead") * 100, col("off_usd"), 0)),
                "each to the side that favors the next lowest; rounded up",
                "0",
            ),
            Column("flips", "invented figures can turn the order", "0/1", flips * only("pair", "both")),
            Column("turned", "ranges that turn the order", "ea", Total("sureness", "turns")),
            Column("turn_row", "row of the first of them", "no.", Match("sureness", "turns", 1, missing_ok=True)),
            Column("turns_at", "the first of them", "", At("sureness", "title", col("turn_row"), NONE), width=44),
            *_sentences(),
        ],
        {"key": ["decision"]},
        exposed=["says", "against", "even_wage", "even_cable", "sure", "apart"],
    )


def _apart() -> Expr:
    """Return what differs on illustrative figures, part by part."""
    said: Expr = as_expr("Next less lowest. Invented, USD apart: ")
    for place, (key, _) in enumerate(PARTS):
        said = said & f"{', ' if place else ''}{key} " & look("pair_parts", "off_whole_usd", key, by="part")
    return said


def _sentences() -> list[Column]:
    """Return what the comparison says in words; a plan is named only where no invented figure can turn the order."""
    first, second = only("pair", "first_title"), only("pair", "second_title")
    lead = col("lead_usd") & " USD (" & col("lead_pct") & " %)"
    lowest = first & " is the lowest installed: " & col("installed_usd") & " USD, " & col("led")
    bid = as_expr(" Lowest bid: ") & only("pair", "bid_title") & ", " & col("bid_usd") & " USD."
    unnamed = as_expr("No plan is named the lowest: the two lowest are ") & lead
    invented = as_expr(" apart, and invented figures ") & col("turn_pct") & " % off can turn the order."
    alone = first & " is the only plan that may be used: there is none to compare it with."
    more, days = (call("fixed", call("absolute", col(name))) for name in ("hours", "crew_days"))
    against = as_expr("The next lowest takes ") & more & " h " & col("more_word") & " (" & days & " crew-days)"
    wage = as_expr("Break-even labor rate: ") & col("wage_shown") & " (today " & call("whole", col("wage_today"))
    cable = (
        as_expr("Break-even cable price of the lowest: ")
        & call("whole", col("cable_even"))
        & " USD for 1000 ft (today "
    )
    both = equal(only("pair", "both"), 1)
    turns = as_expr("Stated ranges, each alone: ") & col("turned") & " can turn the order, first the " & col("turns_at")
    texts = {
        "apart": ("what differs on illustrative figures, by part", _apart()),
        "led": ("by how much", lead & " under " & second & "."),
        "named": ("with a name", lowest & bid),
        "unnamed": ("without a name", unnamed & invented),
        "alone": ("of one plan", when(equal(only("pair", "first"), 0), NO_PLAN, alone)),
        "two": ("of two plans", when(equal(col("flips"), 1), col("unnamed"), col("named"))),
        "says": ("what to use", when(equal(only("pair", "both"), 1), col("two"), col("alone"))),
        "more_word": ("more or fewer hours", when(less(col("hours"), 0), "fewer", "more")),
        "wage_text": ("labor rate in words", call("whole", col("wage")) & " USD/h"),
        "wage_shown": ("labor rate, where there is one", when(at_most(col("wage"), 0), NONE, col("wage_text"))),
        "compared": ("hours", against & "."),
        "wage_even": ("labor rate at which both cost the same, in words", wage & " USD/h)."),
        "cable_said": (
            "cable price at which both cost the same, in words",
            cable & call("whole", col("cable_today")) & ").",
        ),
        "against": ("hours, where there are two", when(both, col("compared"), "")),
        "even_wage": ("labor rate, where there are two", when(both, col("wage_even"), "")),
        "even_cable": ("cable price, where there are two", when(both, col("cable_said"), "")),
        "turns_says": ("ranges that turn it", turns & "."),
        "stays": ("how sure it is", when(equal(col("turned"), 0), STAYS, col("turns_says"))),
        "sure": ("how sure, where there are two", when(equal(only("pair", "both"), 1), col("stays"), "")),
    }
    return [Column(name, title, "", expr, width=60) for name, (title, expr) in texts.items()]
