"""Where the net saving of a swap becomes nothing, each value in closed form, with tax and one-time cost in it."""

from __future__ import annotations

from takeoff.engine.expr import Expr, as_expr, at_most, call, col, equal, flag, given, less, ratio, same, when
from takeoff.engine.lookups import At
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import only
from takeoff.model.givens.words import word_for
from takeoff.model.swap.swap import CENTS, SAVED

NONE = "none"
"""Stands where a break-even does not exist: what would have to change does not move the saving."""

NEVER_NEGATIVE = ("wage", "minutes")
"""Figures that cannot be under nothing: a break-even there does not exist, the swap pays, or does not, at any."""


def break_evens_table(_: Frame) -> Table:
    """Where the net saving becomes nothing, each in closed form, with tax and one-time cost in it."""

    def swap(name: str) -> Expr:
        return only("swap", name)

    lost = swap("one_time_usd") - swap("material_usd") * swap("left")
    decided = swap("dated") & "|" & col("late") & "|" & col("past")

    def limit(
        name: str, title: str, unit: str, divisor: str, value: Expr, note: str, form: str = CENTS
    ) -> list[Column]:
        """Return the figure at break-even, and what is shown: none where it does not exist."""
        missing = equal(col(divisor), 0)
        if name in NEVER_NEGATIVE:
            missing = call("any", missing, less(col(f"{name}_at"), 0))
        return [
            Column(f"{name}_at", f"{title}, worked", unit, value, note, form),
            Column(name, title, unit, when(missing, NONE, col(f"{name}_at")), note, form, width=13),
        ]

    return Table(
        "break_evens",
        "Break-evens",
        [Field("key", "swap", role="key")],
        [
            Column("kft", "thousands of feet swapped to", "kft", ratio(swap("feet_to"), 1000, 0), format="0.000"),
            Column(
                "premium_today",
                "premium of today",
                "USD/M",
                ratio(swap("bare_usd_to") - swap("bare_usd_from"), col("kft"), 0),
                "bare price of the cable swapped to less that of the other, for 1000 ft",
                CENTS,
            ),
            Column(
                "loaded_kft",
                "kft with waste, escalation and tax",
                "kft",
                ratio(swap("loaded_ft") * swap("left"), 1000, 0),
                "of what is left when the cable is on site",
                "0.000",
            ),
            *limit(
                "premium",
                "premium at break-even",
                "USD/M",
                "loaded_kft",
                col("premium_today") + ratio(swap("net_usd"), col("loaded_kft"), 0),
                "premium for 1000 ft above which the swap no longer pays",
            ),
            Column("hours", "hours saved", "h", swap("saved_hours") * swap("left"), format=CENTS),
            Column(
                "wage_gap",
                "what an hour has to make up",
                "USD/h",
                ratio(lost, col("hours"), 0),
                "with the escalation of the labor rate",
                CENTS,
            ),
            *limit(
                "wage",
                "labor rate at break-even",
                "USD/h",
                "hours",
                ratio(col("wage_gap"), only("labor_rate", "escalation"), 0),
                "before escalation; with hours saved, the swap pays above this rate; with hours lost, below it",
            ),
            Column(
                "grounds",
                "ground terminations avoided",
                "ea",
                (swap("grounds_from") - swap("grounds_to")) * swap("left"),
                format=SAVED,
            ),
            Column(
                "ground_hours",
                "hours saved on grounds",
                "h",
                (swap("ground_hours_from") - swap("ground_hours_to")) * swap("left"),
                format=CENTS,
            ),
            Column(
                "minutes_today",
                "minutes for a ground termination avoided",
                "min",
                ratio(col("ground_hours") * 60, col("grounds"), 0),
                "all operations on grounds, spread over the terminations avoided",
                "0.00",
            ),
            Column(
                "spare_hours",
                "hours the saving can spare",
                "h",
                ratio(swap("net_usd"), swap("rate"), 0),
                format=CENTS,
            ),
            *limit(
                "minutes",
                "minutes for it at break-even",
                "min",
                "grounds",
                ratio((col("ground_hours") - col("spare_hours")) * 60, col("grounds"), 0),
                "with terminations avoided the swap pays above it, with terminations added below it",
                "0.00",
            ),
            Column("gains", "saved, where anything is", "USD", call("max", 0, swap("gross_usd")), format=CENTS),
            *limit(
                "feet",
                "feet at break-even",
                "ft",
                "gains",
                swap("feet_to") * ratio(swap("one_time_usd"), col("gains"), 0),
                "feet of this work that pay the one-time cost",
                SAVED,
            ),
            Column(
                "spent",
                "part of the saving that one-time cost takes",
                "1/1",
                call("min", 1, call("max", 0, ratio(swap("one_time_usd"), col("gains"), 1))),
                format="0.000",
            ),
            Column(
                "last_day",
                "day on which the saving ends",
                "date",
                (given("finish_date") - swap("days") * col("spent")) * swap("dated"),
                "what remains is taken to be built evenly",
            ),
            Column(
                "usd_per_day",
                "a day later takes off the saving",
                "USD/day",
                ratio(col("gains"), swap("days"), 0),
                "what remains is taken to be built evenly",
                CENTS,
            ),
            Column(
                "full_by",
                "accept by, for all of the saving",
                "date",
                (given("status_date") - given("lead_days")) * swap("dated"),
                "the cable is on site on the date of the percent installed",
            ),
            Column(
                "some_by",
                "day on which the saving ends, less delivery",
                "date",
                (col("last_day") - given("lead_days")) * swap("dated"),
            ),
            Column(
                "in_time",
                "day above less approval and delivery",
                "date",
                (col("last_day") - swap("wait_days")) * swap("dated"),
            ),
            Column(
                "late",
                "nothing is saved on any day",
                "0/1",
                flag(at_most(swap("gross_usd"), swap("one_time_usd"))) * swap("dated"),
            ),
            Column("past", "day is past", "0/1", flag(less(col("in_time"), given("status_date"))) * swap("dated")),
            Column("decided", "what is said of it", "", word_for("decide", decided), width=44),
            Column(
                "decide_by",
                "decide by",
                "date",
                when(equal(col("late"), 1), NONE, col("in_time")),
                "approval and delivery taken off; none where nothing is saved on any day",
            ),
            Column(
                "accept_by",
                "accepted later nothing is saved",
                "date",
                when(equal(col("late"), 1), NONE, col("some_by")),
                "as above, without the days of approval",
            ),
        ],
        {"key": ["swap"]},
        exposed=[
            "premium_today",
            "premium",
            "wage",
            "minutes_today",
            "minutes",
            "feet",
            "decide_by",
            "decided",
            "usd_per_day",
            "full_by",
            "accept_by",
        ],
    )


def break_even_points_table(_: Frame) -> Table:
    """The net saving as estimated and at break-even, over the premium and over the labor rate, for the charts."""

    def at(title: str, unit: str, name: str, today: Expr) -> list[Column]:
        there = At("break_evens", f"{name}_at", as_expr(1))
        missing = call("all", equal(col("today"), 0), same(At("break_evens", name, as_expr(1)), NONE))
        return [
            Column(name, title, unit, when(equal(col("today"), 1), today, there), format="#,##0.00"),
            Column(
                f"{name}_net_usd", f"net saving by {title}", "USD", only("swap", "net_usd") * col("today"), format=SAVED
            ),
            Column(
                f"{name}_said",
                f"{title} as marked",
                "",
                col("point") & when(missing, f": {NONE}", as_expr(" ") & call("fixed", col(name))),
                width=20,
            ),
        ]

    return Table(
        "break_even_points",
        "Break-evens of the charts",
        [Field("point", "point", role="key"), Field("today", "today", "0/1")],
        [
            *at("premium", "USD/M", "premium", only("break_evens", "premium_today")),
            *at("labor rate", "USD/h", "wage", only("labor_rate", "today")),
        ],
        {"point": ["today", "break-even"], "today": [1, 0]},
        key="point",
    )
