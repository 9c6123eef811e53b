"""Labor: hours of every operation, side by side for the plans compared."""

from __future__ import annotations

from takeoff.catalog.rows import Row
from takeoff.engine.aggregates import SumBy, SumProducts
from takeoff.engine.expr import Expr, call, col, ratio
from takeoff.engine.lookups import At, CellAt, Total
from takeoff.engine.tables import YES_NO, Column, Field, Table
from takeoff.model.cost.parts import GROUNDS, LABOR
from takeoff.model.frame import Frame
from takeoff.model.givens.constructions import drivers_of, operations_of
from takeoff.model.givens.wages import only

ALL = "all"
"""Construction of an operation whose minutes are the same in every one."""

OWN, SHARED = "|own", "|shared"
"""Ends of the part of a line: minutes of its construction alone, or one figure for all."""

HOURS = "#,##0.00;-#,##0.00;-"


def labor_table(frame: Frame) -> Table:
    """Hours of every operation in each plan compared; the sum above is of the rows shown."""
    operations, grounds = operations_of(frame), drivers_of(frame, ground=True)
    shared, count = _shared(frame), len(frame.constructions)

    def hours(plan: int) -> Expr:
        return SumBy("labor_lines", f"hours_{plan}", {"operation": col("operation")})

    return Table(
        "labor",
        "Labor by operation",
        [
            Field("operation", "operation", role="key", width=24),
            Field("title", "what is done", role="key", width=46),
            Field("step", "place in the order", "no."),
            Field("driver", "driver key"),
            Field("part", "part of the cost"),
            Field("shared", "one figure for all", "0/1", format=YES_NO),
            Field("first_step", "first of its minutes", "no."),
        ],
        [
            *(
                Column(n, p, "h", hours(place), head=p, format=HOURS, width=12)
                for place, (n, p, _) in enumerate(frame.per_titled("hours"), start=1)
            ),
            Column(
                "invented",
                "one illustrative figure for all",
                "0/1",
                At("steps", "invented", col("first_step")) * col("shared"),
                format=YES_NO,
            ),
        ],
        {
            **{n: [o[n] for o in operations] for n in ("step", "operation", "title", "driver")},
            "part": [GROUNDS if o["driver"] in grounds else LABOR for o in operations],
            "shared": [int(o["operation"] in shared) for o in operations],
            "first_step": [n * count + 1 for n in range(len(operations))],
        },
        {"hours": [n for n, _ in frame.per_compared("hours")]},
        key="operation",
        totals=[n for n, _ in frame.per_compared("hours")],
    )


def _shared(frame: Frame) -> set[str]:
    """Return the operations whose minutes are one figure in every construction that may be used."""
    own = {str(r["operation"]) for r in frame.catalogs["operations"] if r["construction"] in frame.constructions}
    return {str(o["operation"]) for o in operations_of(frame)} - own


def lines_of(frame: Frame) -> list[tuple[Row, str]]:
    """Return operation and construction of every line of labor."""
    return [(o, m) for o in operations_of(frame) for m in frame.constructions]


def figure_of(frame: Frame, operation: Row, construction: str) -> str:
    """Return the key of the minutes of an operation in a construction: of its own, or one figure for all."""
    own = f"{operation['operation']}|{construction}"
    return own if own in frame.catalogs["operations"] else f"{operation['operation']}|{ALL}"


def labor_lines_table(frame: Frame) -> Table:
    """Hours of every operation in every construction: counted quantity x minutes for one, the plans side by side."""
    rows = lines_of(frame)
    drivers, grounds = drivers_of(frame), drivers_of(frame, ground=True)
    count, shared = len(frame.constructions), _shared(frame)
    places = list(enumerate(frame.compared, start=1))

    def part(operation: Row) -> str:
        return GROUNDS if operation["driver"] in grounds else LABOR

    def hours(place: int) -> Expr:
        effort = CellAt("efforts", "drivers", col(f"mix_row_{place}"), col("driver_place"))
        return ratio(effort * At("steps", "minutes_each", col("line")), 60, 0)

    note = "quantity with conditions of the work and learning x minutes for one"
    return Table(
        "labor_lines",
        "Labor by operation and construction, the plans side by side",
        [
            Field("operation", "operation", role="key"),
            Field("construction", "construction", role="key", width=14),
            Field("part", "part of the cost"),
            Field("own_part", "part, and figures by construction or shared"),
            Field("figure", "minutes by", width=26),
            Field("line", "line", "no."),
            Field("driver_place", "column of the quantities", "no."),
            *(Field(f"mix_row_{n}", f"row of the quantities, {p}", "no.") for n, p in places),
        ],
        [
            *(Column(f"hours_{n}", f"labor, {p}", "h", hours(n), note, "#,##0.00", p) for n, p in places),
        ],
        {
            "operation": [o["operation"] for o, _ in rows],
            "construction": [m for _, m in rows],
            "part": [part(o) for o, _ in rows],
            "figure": [figure_of(frame, o, m) for o, m in rows],
            "own_part": [part(o) + (SHARED if o["operation"] in shared else OWN) for o, _ in rows],
            "line": list(range(1, len(rows) + 1)),
            "driver_place": [drivers.index(str(o["driver"])) + 1 for o, _ in rows],
            **{
                f"mix_row_{n}": [(n - 1) * count + frame.constructions.index(m) + 1 for _, m in rows] for n, _ in places
            },
        },
        {"hours": [f"hours_{n}" for n, _ in places]},
        key="operation",
    )


CLASSES = (("invented", "illustrative"), ("measured", "measured"))
"""Where minutes may come from: column of the labor lines, and the word for it."""


def labor_difference_table(frame: Frame) -> Table:
    """What every operation saves in the swap of the whole job, and on which minutes the difference rests."""
    operations = operations_of(frame)

    def hours(column: str, which: str) -> Expr:
        more = [f"steps.{column.removesuffix('_hours')}"] if column != "hours" else []
        factors: list[str | tuple[str, Expr]] = [("hours", only("base", f"{which}_place")), *more]
        return SumProducts("labor_lines", factors, {"operation": col("operation")})

    def absolute(name: str, title: str) -> Column:
        return Column(f"{name}_size", title, "h", call("absolute", col(name)), format=HOURS)

    other = col("saved") - col("invented") - col("measured")
    return Table(
        "labor_difference",
        "Labor difference by operation",
        [
            Field("operation", "operation", role="key", width=24),
            Field("title", "what is done", role="key", width=46),
            Field("step", "place in the order", "no."),
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
            absolute("invented", "on illustrative minutes, either way"),
            absolute("measured", "on measured minutes, either way"),
            absolute("other", "on other minutes, either way"),
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
