"""Hours that hang on route factors: what larger or smaller cable adds to the minutes for routing, or takes off.

Only a job has the table that may be wired in a cable whose factor the catalog invents and is not 1.
"""

from __future__ import annotations

from collections.abc import Iterator

from takeoff.engine.aggregates import SumProducts
from takeoff.engine.expr import Expr, col, ratio
from takeoff.engine.lookups import CellAt
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.cost.parts import LABOR
from takeoff.model.frame import Frame
from takeoff.model.givens.cables import factored_ft, routes_invented
from takeoff.model.givens.constructions import drivers_of


def route_hours_tables(frame: Frame) -> Iterator[Table]:
    """Yield the table of hours on invented route factors, where the job may have any."""
    if routes_invented(frame):
        yield route_hours_table(frame)


def route_hours_table(frame: Frame) -> Table:
    """Hours that an invented route factor adds or takes off, for each kind of run in each plan compared."""
    rows = routes_invented(frame)
    drivers, kinds = drivers_of(frame, "run"), {k: n for n, k in enumerate(frame.run_kinds)}
    count, factors = len(frame.constructions), [float(str(c["route_factor"])) for *_, c in rows]
    note = "as often as built, with conditions of the work"
    minutes = CellAt("rates", "run_drivers", col("place"), col("driver_place"))

    def hours(plan: str) -> Expr:
        mine = {"run_first": col("run_first"), "place": col("place"), "plan": plan}
        return ratio(
            SumProducts("each", ["effort", ("run_drivers", col("driver_place"))], mine) * col("minutes_each"), 60, 0
        )

    return Table(
        "route_hours",
        "Hours on invented route factors",
        [
            Field("title", "cable", role="key", width=18),
            Field("construction", "construction", role="key"),
            Field("kind", "run kind"),
            Field("run_first", "row of the run as the first construction", "no."),
            Field("place", "place of the construction", "no."),
            Field("driver_place", "column of the quantities", "no."),
            Field("part", "part of the cost"),
            Field("factor", "route factor", "1/1", format="0.00"),
            Field("moved", "part of the hours that it adds or takes off", "1/1", format="0.000"),
        ],
        [
            Column("minutes_each", "of a foot x factor", "min", minutes * col("moved"), format="0.0000"),
            *(
                Column(name, f"hours, {title}", "h", hours(plan), note, "0.0")
                for plan, (name, title, _) in zip(frame.compared, frame.per_titled("hours"), strict=True)
            ),
        ],
        {
            "title": [str(frame.catalogs["prices"][str(c["sheath_item"])]["title"]) for *_, c in rows],
            "construction": [m for _, m, _ in rows],
            "kind": [k for k, *_ in rows],
            "run_first": [kinds[k] * count + 1 for k, *_ in rows],
            "place": [frame.constructions.index(m) + 1 for _, m, _ in rows],
            "driver_place": [drivers.index(factored_ft(frame, m)) + 1 for _, m, _ in rows],
            "part": [LABOR] * len(rows),
            "factor": factors,
            "moved": [abs(1 - 1 / factor) for factor in factors],
        },
        {"hours": [name for name, _ in frame.per_compared("hours")]},
    )
