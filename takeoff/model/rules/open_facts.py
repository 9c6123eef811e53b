"""What is not settled: how many circuits of the plan that is inspected, and what is asked of the first one."""

from __future__ import annotations

from takeoff.engine.aggregates import SumProducts
from takeoff.engine.expr import Expr, as_expr, call, col, given, same, when
from takeoff.engine.lookups import At, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame

NONE_OPEN = "-"


def not_settled(plan: Expr) -> Expr:
    """Return how many circuits of a plan wait for the answer to a fact, as often as they are built."""
    return SumProducts("verdicts", ["repeat", "unsettled"], {"plan": plan})


def open_facts_table(frame: Frame) -> Table:
    """The first circuit with a fact missing, its question and section, and the count of the plan inspected."""
    row = call("max", 1, col("alike_row"))
    of_space = At("space_tests", "asked", col("space_row"), 0)
    of_pair = At("options", "control_asked", col("option_row"), 0)
    apart: list[Column] = []
    if frame.control_cases:
        apart = [
            Column("space_asked", "row of the answers on its space", "no.", of_space),
            Column("pair_asked", "row of the answers on its control pair", "no.", of_pair),
        ]
    asked = when(same(col("space"), "look"), col("space_asked"), col("pair_asked")) if apart else of_space

    def outcome(check: str) -> Column:
        found = At("verdicts", f"{check}_check", col("verdict_row"), NONE_OPEN)
        return Column(check, f"outcome: {check.replace('_', ' ')}", "", found)

    def told(name: str, title: str, of_egc: Expr, of_space: Expr) -> list[Column]:
        by_load = when(same(col("overcurrent"), "look"), At("alikes", f"load_{name}", row), of_space)
        return [
            Column(f"other_{name}", f"{title}, load or space", "", by_load, width=60),
            Column(name, title, "", when(same(col("egc_increase"), "look"), of_egc, col(f"other_{name}")), width=60),
        ]

    return Table(
        "open_facts",
        "Circuits not settled",
        [Field("key", "key", role="key")],
        [
            Column(
                "inspected", "circuits not settled in the plan inspected", "ea", not_settled(given("inspected_plan"))
            ),
            Column("verdict_row", "row of the first circuit", "no.", Match("verdicts", "unsettled", as_expr(1), True)),
            Column("option_row", "row of its option", "no.", At("verdicts", "option_row", col("verdict_row"), 0)),
            Column("space_row", "row of its space", "no.", At("options", "space_row", col("option_row"), 0)),
            Column("circuit_row", "row of the circuit", "no.", At("verdicts", "circuit_row", col("verdict_row"), 0)),
            Column("alike_row", "row of its kind", "no.", At("options", "alike_row", col("option_row"), 0)),
            *([outcome("space"), *apart] if apart else []),
            Column(
                "asked_row",
                "row of the answers",
                "no.",
                asked,
                "of its space, or of its control pair",
            ),
            Column(
                "space_question",
                "question of the space",
                "",
                At("space_answers", "question", col("asked_row"), NONE_OPEN),
                "where the kind of space asks",
                width=60,
            ),
            Column(
                "space_section",
                "section of the space",
                "",
                At("space_answers", "section", col("asked_row"), NONE_OPEN),
                "where the kind of space asks",
                width=24,
            ),
            *(outcome(check) for check in ("egc_increase", "overcurrent")),
            *told(
                "question",
                "question",
                At("conditions", "egc_question", as_expr(1)),
                col("space_question"),
            ),
            *told(
                "section",
                "section",
                look("check_list", "section", "egc_increase", by="check"),
                col("space_section"),
            ),
        ],
        {"key": ["open"]},
    )
