"""What is read of the circuits: each with the plans side by side, and how often every check came out how."""

from __future__ import annotations

from takeoff.engine.aggregates import Pick, SumBy
from takeoff.engine.expr import Expr, as_expr, col
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import YES_NO, Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.constructions import NOT_FOR_IT, UNTESTED
from takeoff.model.givens.job import plan_key
from takeoff.model.rules.circuits import TITLES
from takeoff.model.rules.fault_loop import SCREENING
from takeoff.model.rules.options import checks_of

OUTCOMES = {
    "meets": "meets",
    "fails": "fails",
    "look": "look",
    SCREENING: SCREENING,
    UNTESTED: "not tested",
    NOT_FOR_IT: "does not apply",
}
"""Headings of the counts, by outcome."""


SHOWN = (
    ("wired_as", "wired as", "", "", 18.0),
    ("failed", "checks not met", "ea", "0", 0.0),
    ("to_look", "checks to look at", "ea", "0", 0.0),
    ("times_pickup", "fault, times pickup", "x", "0.0", 0.0),
    ("hours", "labor", "h", "#,##0.00", 0.0),
    ("material_usd", "material", "USD", "#,##0", 0.0),
    ("installed_usd", "installed", "USD", "#,##0", 0.0),
)
"""What is shown of a circuit, side by side for the plans: column, title, unit, format, width."""


def circuit_outcomes_table(frame: Frame) -> Table:
    """Each circuit with the plans side by side: what it is wired in, what was passed over, checks, cost."""
    count = len(frame.compared)
    places = list(enumerate(frame.titles.values(), start=1))
    return Table(
        "circuit_outcomes",
        "Circuits, the plans side by side",
        [
            Field("circuit", "circuit", role="key", width=13),
            Field("panel", "panel"),
            *(Field(f"line_{n}", f"line, {p}", "no.") for n, p in places),
        ],
        [
            Column("repeat", "times built", "ea", At("verdicts", "repeat", col("line_1"))),
            *(
                Column(f"{name}_{n}", f"{title}, {p}", unit, _outcome(name, n), "", form, p, width)
                for name, title, unit, form, width in SHOWN
                for n, p in places
            ),
        ],
        {
            "circuit": list(frame.stretch_names.values()),
            "panel": [stretch.circuit.panel for stretch in frame.stretches.values()],
            **{f"line_{n}": [k * count + n for k in range(len(frame.stretches))] for n, _ in places},
        },
        key="circuit",
    )


def _outcome(name: str, plan: int) -> Expr:
    """Return a figure of a circuit in the plan at a place; its construction by the title."""
    line = col(f"line_{plan}")
    return At("in_use", "called", At("wiring", "place", line)) if name == "wired_as" else At("verdicts", name, line)


def findings_table(frame: Frame) -> Table:
    """How often every check came out how, in each plan compared, circuits counted as often as they are built."""
    rows = [(c, place, p) for place, c in enumerate(checks_of(frame), start=1) for p in frame.compared]

    def count(word: str) -> Column:
        found = SumBy("verdicts", "repeat", {"plan": plan_key()}, [Pick("checks", col("check_place"), as_expr(word))])
        return Column(word, OUTCOMES[word], "ea", found)

    listed = Match("check_list", "check", col("check"))
    return Table(
        "findings",
        "Findings by check",
        [
            Field("title", "rule", role="key", width=24),
            Field("check", "check key"),
            Field("called", "plan", role="key", width=18),
            Field("plan", "plan key"),
            Field("place", "place of the plan", "no."),
            Field("check_place", "place of the check", "no."),
        ],
        [
            Column("row", "row of the check", "no.", listed),
            Column("section", "section in force", "", At("check_list", "section", col("row")), width=24),
            *(count(word) for word in OUTCOMES),
            Column("refuses", "a plan passes over", "0/1", At("check_list", "refuses", col("row")), format=YES_NO),
        ],
        {
            "title": [TITLES[c] for c, *_ in rows],
            "check": [c for c, *_ in rows],
            "called": [frame.titles[p] for *_, p in rows],
            "plan": [p for *_, p in rows],
            "place": [frame.compared.index(p) + 1 for *_, p in rows],
            "check_place": [place for _, place, _ in rows],
        },
    )
