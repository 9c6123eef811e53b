"""Labor: hours of every operation, side by side for the constructions compared."""

from __future__ import annotations

from takeoff.engine.aggregates import SumBy
from takeoff.engine.expr import Expr, Head, call, col, given, ratio
from takeoff.engine.lookups import At, CellAt, Match, Total
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.constructions import drivers_of, operations_of

HOURS = "#,##0.00;-#,##0.00;-"


def labor_table(frame: Frame) -> Table:
    """Hours of every operation in each construction compared; the sum above is of the rows shown."""
    operations = operations_of(frame)
    hours = SumBy("labor_lines", "hours", {"operation": col("operation"), "construction": Head()})
    return Table(
        "labor",
        "Labor by operation",
        [
            Field("step", "place in the order", "no.", role="key"),
            Field("operation", "operation", role="key", width=18),
            Field("title", "what is done", role="key", width=52),
            Field("driver", "for each of", width=24),
        ],
        [
            Column(n, p, "h", hours, head=p, format="#,##0.00;-#,##0.00;-", width=12)
            for n, p in frame.per_compared("hours")
        ],
        {n: [o[n] for o in operations] for n in ("step", "operation", "title", "driver")},
        totals=[n for n, _ in frame.per_compared("hours")],
    )


def labor_lines_table(frame: Frame) -> Table:
    """Hours of every operation: counted quantity x minutes for one."""
    rows = [(o, place, p, w) for o in operations_of(frame) for place, (p, w) in enumerate(frame.pairs, start=1)]
    drivers = drivers_of(frame)
    step_row = Match("steps", "key", col("operation") & "|" & col("wired_as"))
    return Table(
        "labor_lines",
        "Labor by operation, construction compared and construction wired",
        [
            Field("operation", "operation", role="key"),
            Field("title", "what is done", role="key", width=52),
            Field("construction", "compared as", role="key"),
            Field("wired_as", "wired as", role="key"),
            Field("driver", "for each of"),
            Field("mix_row", "row of the quantities", "no."),
            Field("driver_place", "column of the quantities", "no."),
        ],
        [
            Column(
                "quantity",
                "quantity",
                "by driver",
                CellAt("mix", "drivers", col("mix_row"), col("driver_place")),
                format="#,##0.0",
            ),
            Column("step_row", "row of the minutes", "no.", step_row),
            Column("minutes_each", "minutes each", "min", At("steps", "minutes_each", col("step_row")), format="0.00"),
            Column(
                "effort",
                "quantity as labor counts it",
                "by driver",
                CellAt("mix", "efforts", col("mix_row"), col("driver_place")),
                "with conditions of the work and learning",
                "#,##0.0",
            ),
            Column("hours", "labor", "h", ratio(col("effort") * col("minutes_each"), 60, 0), format="#,##0.00"),
            Column(
                "invented_hours",
                "on illustrative minutes",
                "h",
                col("hours") * At("steps", "invented", col("step_row")),
                format="#,##0.00",
            ),
            Column(
                "measured_hours",
                "on measured minutes",
                "h",
                col("hours") * At("steps", "measured", col("step_row")),
                format="#,##0.00",
            ),
        ],
        {
            "operation": [o["operation"] for o, *_ in rows],
            "title": [o["title"] for o, *_ in rows],
            "construction": [p for *_, p, _ in rows],
            "wired_as": [w for *_, w in rows],
            "driver": [o["driver"] for o, *_ in rows],
            "mix_row": [place for _, place, _, _ in rows],
            "driver_place": [drivers.index(str(o["driver"])) + 1 for o, *_ in rows],
        },
    )


CLASSES = (("invented", "illustrative"), ("measured", "measured"))
"""Where minutes may come from: column of the labor lines, and the word for it."""


def labor_difference_table(frame: Frame) -> Table:
    """What every operation saves in the swap of the whole job, and on which minutes the difference rests."""
    operations = operations_of(frame)

    def hours(column: str, which: str) -> Expr:
        return SumBy("labor_lines", column, {"operation": col("operation"), "construction": given(f"swap_{which}")})

    def absolute(name: str, title: str) -> Column:
        return Column(f"{name}_size", title, "h", call("absolute", col(name)), format=HOURS)

    other = col("saved") - col("invented") - col("measured")
    return Table(
        "labor_difference",
        "Labor difference by operation",
        [
            Field("step", "place in the order", "no.", role="key"),
            Field("operation", "operation", role="key", width=18),
            Field("title", "what is done", role="key", width=52),
        ],
        [
            *(Column(f"hours_{w}", f"swapped {w}", "h", hours("hours", w), format=HOURS) for w in ("from", "to")),
            Column(
                "saved",
                "saved",
                "h",
                col("hours_from") - col("hours_to"),
                "the whole job, not only what remains",
                HOURS,
            ),
            *(
                Column(f"{name}_{w}", f"swapped {w}, on {word} minutes", "h", hours(f"{name}_hours", w), format=HOURS)
                for name, word in CLASSES
                for w in ("from", "to")
            ),
            *(
                Column(name, f"saved on {word} minutes", "h", col(f"{name}_from") - col(f"{name}_to"), format=HOURS)
                for name, word in CLASSES
            ),
            Column("other", "saved on other minutes", "h", other, format=HOURS),
            absolute("invented", "size of it, illustrative"),
            absolute("measured", "size of it, measured"),
            absolute("other", "size of it, other"),
        ],
        {n: [o[n] for o in operations] for n in ("step", "operation", "title")},
        key="operation",
        totals=["hours_from", "hours_to", "saved", "invented", "measured", "other"],
    )


def labor_basis_table(_: Frame) -> Table:
    """What share of the labor difference rests on illustrative minutes, and what share on measured ones."""
    names = ("invented", "measured", "other")
    titles = dict(zip(names, ("illustrative minutes", "measured minutes", "other minutes"), strict=True))
    sizes = [
        Column(f"{n}_size", f"on {titles[n]}", "h", Total("labor_difference", f"{n}_size"), format=HOURS) for n in names
    ]
    whole = col("invented_size") + col("measured_size") + col("other_size")
    shares = [
        Column(
            f"{n}_pct",
            f"of the labor difference on {titles[n]}",
            "%",
            ratio(col(f"{n}_size") * 100, col("whole"), 0),
            "sizes of the differences by operation, whatever their sign",
        )
        for n in names
    ]
    return Table(
        "labor_basis",
        "What the labor difference rests on",
        [Field("key", "basis", role="key")],
        [*sizes, Column("whole", "together", "h", whole, format=HOURS), *shares],
        {"key": ["labor"]},
        exposed=[f"{n}_pct" for n in names],
    )
