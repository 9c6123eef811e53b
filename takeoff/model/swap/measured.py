"""Ranges of the minutes as far as a time study measured them: its intervals, weighed by the hours they hold.

Minutes that were not timed keep the range of the catalog. All are taken as moving together, to the low end or to the
high one: the range is no narrower than it is.
"""

from __future__ import annotations

from takeoff.engine.aggregates import SumBy, SumProducts
from takeoff.engine.expr import Expr, as_expr, call, col, ratio
from takeoff.engine.lookups import At, CellAt, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.cost.labor import figure_of, lines_of
from takeoff.model.cost.parts import GROUNDS, LABOR
from takeoff.model.frame import Frame
from takeoff.model.givens.constructions import drivers_of
from takeoff.model.givens.wages import only

RANGES = {"ground_minutes": GROUNDS, "other_minutes": LABOR}
"""Ranges of minutes, by the part of the labor that they move."""

ENDS = ("low", "high")


def timed(frame: Frame) -> dict[int, tuple[float, float]]:
    """Return the lines of labor whose minutes were measured, counted from 1: low and high end, in times of them."""
    found, minutes = frame.catalogs["minute_ranges"], frame.catalogs["operations"]
    lines = {}
    for place, (operation, construction) in enumerate(lines_of(frame), start=1):
        key = figure_of(frame, operation, construction)
        if key in found and float(str(minutes[key]["minutes"])):
            each = float(str(minutes[key]["minutes"]))
            low, high = (float(str(found[key][f"{end}_minutes"])) / each for end in ENDS)
            lines[place] = low, high
    return lines


def measured_tables(frame: Frame) -> list[Table]:
    """Return the lines that were measured and the ranges that follow; nothing where none was."""
    lines = timed(frame)
    return [_lines_table(frame, lines), _ranges_table()] if lines else []


def _range_of(frame: Frame, line: int) -> str:
    """Return the range that holds for the minutes of a line of labor."""
    ground, other = RANGES
    operation, _ = lines_of(frame)[line - 1]
    return ground if operation["driver"] in drivers_of(frame, ground=True) else other


def _stated(end: str) -> Expr:
    """Return an end of the range of the row as the catalog has it, in times of the estimate."""
    return ratio(look("ranges", f"{end}_pct", col("range"), by="range"), 100, 0)


def _lines_table(frame: Frame, lines: dict[int, tuple[float, float]]) -> Table:
    def hours(which: str) -> Expr:
        return CellAt("labor_lines", "hours", col("line"), only("base", f"{which}_place"))

    def less(end: str) -> Column:
        moved = col("hours") * (col(f"{end}_measured") - _stated(end))
        return Column(f"{end}_moves", f"moves the {end} end by", "h", moved, "against the range of the catalog", "0.00")

    return Table(
        "measured_lines",
        "Minutes that were measured",
        [
            Field("line", "line", "no.", role="key"),
            Field("range", "range", width=18),
            *(Field(f"{end}_measured", f"{end} end as measured", "1/1", format="0.000") for end in ENDS),
        ],
        [
            Column("hours", "labor in both plans", "h", hours("from") + hours("to"), "the whole job", "0.00"),
            *(less(end) for end in ENDS),
        ],
        {
            "line": list(lines),
            "range": [_range_of(frame, line) for line in lines],
            **{f"{end}_measured": [ends[n] for ends in lines.values()] for n, end in enumerate(ENDS)},
        },
        key="line",
    )


def _ranges_table() -> Table:
    def hours(which: str) -> Expr:
        return SumProducts("labor_lines", [("hours", only("base", f"{which}_place"))], {"part": col("part")})

    def timed_sum(name: str) -> Expr:
        return SumBy("measured_lines", name, {"range": col("range")})

    return Table(
        "measured_ranges",
        "Ranges of minutes with what was measured",
        [Field("range", "range", role="key", width=18), Field("part", "part of the cost")],
        [
            Column("hours", "labor in both plans", "h", hours("from") + hours("to"), "the whole job", "0.00"),
            *(
                Column(
                    end,
                    f"{end}, with what was measured",
                    "1/1",
                    _stated(end) + ratio(timed_sum(f"{end}_moves"), col("hours"), 0),
                    "by hours; what was not timed by the range of the catalog",
                    "0.000",
                )
                for end in ENDS
            ),
            Column(
                "measured_pct",
                "of its hours measured",
                "%",
                ratio(timed_sum("hours") * 100, col("hours"), 0),
                format="0",
            ),
        ],
        {"range": list(RANGES), "part": list(RANGES.values())},
        key="range",
    )


def end_of(frame: Frame, end: str, stated: Expr) -> Expr:
    """Return the end of a range in the table of spreads: as stated, or with what was measured."""
    if not timed(frame):
        return stated
    row = col("measured_row")
    return stated * (as_expr(1) - call("sign", row)) + At("measured_ranges", end, row, 0)
