"""What every circuit weighs in the difference of the two lowest plans, and the heaviest of them with the reason."""

from __future__ import annotations

from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.expr import Expr, call, col, ratio, same, when
from takeoff.engine.lookups import At, Match, Total
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.cost.pair import SIGNED
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import only

HEAVIEST = 5
"""Circuits that the Summary shows."""


def circuit_weights_table(frame: Frame) -> Table:
    """What every circuit weighs in the difference of the two lowest plans."""

    def of(plan: str) -> Expr:
        row = col("before") + only("pair", plan)
        return At("verdicts", "installed_usd", row)

    count, circuits = len(frame.compared), list(frame.stretch_names.values())
    small = call("billionth", col("line"))
    share = ratio(call("absolute", col("less_usd")), Total("verdicts", "installed_usd"), 0)
    return Table(
        "circuit_weights",
        "What every circuit weighs in the difference",
        [
            Field("circuit", "circuit", role="key", width=14),
            Field("line", "line", "no."),
            Field("before", "line before its plans", "no."),
            Field("all", "all", "no."),
        ],
        [
            Column("less_usd", "next plan less the lowest", "USD", of("other") - of("one"), format=SIGNED),
            Column(
                "score",
                "smallest first",
                "1/1",
                call("nine", small - share),
                "share of all with its sign turned; a billionth parts equal ones",
                "0.000000000",
            ),
            Column(
                "heavier",
                "circuits that weigh more",
                "ea",
                CountSmaller("circuit_weights", {"all": col("all")}, "score", col("score")),
            ),
        ],
        {
            "circuit": circuits,
            "line": list(range(1, len(circuits) + 1)),
            "before": [n * count for n in range(len(circuits))],
            "all": [1] * len(circuits),
        },
        key="circuit",
    )


def heaviest_table(frame: Frame) -> Table:
    """The circuits that weigh most in the difference, with what they are wired in and what was passed over."""

    def verdict(name: str, plan: str) -> Expr:
        return At("verdicts", name, col("before") + only("pair", plan))

    def wired(plan: str) -> Expr:
        place = At("wiring", "place", col("before") + only("pair", plan))
        return At("in_use", "called", place)

    def weight(name: str) -> Expr:
        return At("circuit_weights", name, col("row"))

    return Table(
        "heaviest",
        "Circuits that weigh most in the difference",
        [Field("heavier", "circuits that weigh more", "no.", role="key")],
        [
            Column("row", "row of the circuit", "no.", Match("circuit_weights", "heavier", col("heavier"))),
            Column("before", "line before its plans", "no.", weight("before")),
            Column("circuit", "circuit", "", weight("circuit"), width=14),
            Column("less_usd", "next plan less the lowest", "USD", weight("less_usd"), format=SIGNED),
            Column("first_as", "in the lowest", "", wired("one"), width=18),
            Column("second_as", "in the next", "", wired("other"), width=18),
            Column("first_said", "passed over in the lowest", "", verdict("said", "one"), width=60),
            Column("second_said", "passed over in the next", "", verdict("said", "other"), width=60),
            Column(
                "reason",
                "why",
                "",
                when(same(col("first_said"), "-"), col("second_said"), col("first_said")),
                "what a plan passed over there, and by which section; -: as preferred in both",
                width=60,
            ),
        ],
        {"heavier": list(range(min(HEAVIEST, len(frame.stretches))))},
        key="heavier",
    )
