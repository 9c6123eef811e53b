"""What a scope has of everything: make-ups, drivers of labor, what is bought along runs, connectors, small parts."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.engine.aggregates import Pick, SumBy, SumProducts
from takeoff.engine.expr import Expr, as_expr, col
from takeoff.engine.lookups import At, CellAt, look
from takeoff.engine.tables import Book, Column, Field, Table
from takeoff.model.boxes.work import counted_rows
from takeoff.model.cost.material import SOURCES
from takeoff.model.frame import NOTHING, Frame
from takeoff.model.givens.constructions import drivers_of
from takeoff.model.trace.choice import in_scope

ALL = "all"
"""Stands for every construction, as in the catalog of operations."""

MEASURES = ("runs", "sheath_ft", "wire_ft")
"""What is counted along a run, as the lines of boxes have it."""


def trace_built_table(frame: Frame) -> Table:
    """How often each make-up occurs in the scope, and how often labor counts it."""
    titles = frame.called.values()
    pairs = [(t, m) for t in frame.types.by_key for m in titles]
    kinds = {t: 1 if make_up.place == "box" else 2 for t, make_up in frame.types.by_key.items()}

    def built(column: str) -> Expr:
        return SumBy("each", column, {"place": col("place")}, [Pick("rows", col("kind"), col("counted")), in_scope()])

    learned = look("type_practice", "factor", col("type"), by="type")
    return Table(
        "trace_built",
        "Make-ups in the scope",
        [
            Field("type", "type", role="key"),
            Field("construction", "construction", role="key", width=18),
            Field("counted", "row that it is counted by", "no."),
            Field("place", "place of the construction", "no."),
            Field("kind", "counted as box 1, panel end 2", "no."),
        ],
        [
            Column("count", "built", "ea", built("repeat"), format="#,##0"),
            Column(
                "effort",
                "labor counts",
                "ea",
                learned * built("effort"),
                "built x conditions of the work x learning",
                "#,##0.0",
            ),
        ],
        {
            "type": [t for t, _ in pairs],
            "construction": [m for _, m in pairs],
            "counted": counted_rows(frame),
            "place": [n for _ in frame.types.by_key for n, _ in enumerate(frame.constructions, start=1)],
            "kind": [kinds[t] for t, _ in pairs],
        },
        key="type",
    )


def trace_mix_table(frame: Frame, wired: Sequence[str], sets: Sequence[frozenset[str]]) -> Table:
    """How much of each driver labor counts in the scope: of all constructions together, or of each.

    `sets` are the constructions that take the same minutes of an operation.
    """
    apart = ALL not in wired
    ends: dict[str, Expr] = {"construction": At("in_use", "construction", col("place"))} if apart else {}
    along: dict[str, Expr] = {"place": col("place")} if apart else {}
    drivers, titles = frame.catalogs["drivers"], frame.called

    def effort(driver: str) -> Column:
        at_box = drivers[driver]["counted_at"] == "box"
        of_ends = SumProducts("work", [driver, "trace_built.effort"], ends)
        of_runs = SumProducts("each", [driver, "effort"], along, [in_scope()])
        title, unit = str(drivers[driver]["title"]), str(drivers[driver]["unit"])
        return Column(driver, title, unit, of_ends if at_box else of_runs, format="#,##0.0")

    places = [frame.constructions.index(w) + 1 if apart else 0 for w in wired]
    return Table(
        "trace_mix",
        "Quantities of the scope as labor counts them",
        [
            Field("wired_as", "wired as", role="key", width=18),
            Field("place", "place of the construction", "no."),
            *(Field(f"set_{n}", f"in set {n}", "0/1") for n, _ in enumerate(sets, start=1)),
        ],
        [effort(d) for d in drivers_of(frame)],
        {
            "wired_as": [titles.get(w, w) for w in wired],
            "place": places,
            **{f"set_{n}": [int(not apart or w in s) for w in wired] for n, s in enumerate(sets, start=1)},
        },
        {"drivers": drivers_of(frame), "sets": [f"set_{n}" for n, _ in enumerate(sets, start=1)]},
        key="wired_as",
    )


def trace_runs_table(book: Book, frame: Frame) -> Table:
    """What is bought along the runs of the scope: each kind of run with each of its items."""
    runs = list(zip(book.values("orders", "key"), range(1, len(book.tables["orders"]) + 1), strict=True))
    rows = [
        (str(key), line, n, book.values("orders", item)[line - 1])
        for n, (_, _, _, table, _, item) in enumerate(SOURCES, start=1)
        if table == "orders"
        for key, line in runs
    ]
    rows = [row for row in rows if row[-1] != NOTHING]
    titles = frame.called
    measures = [MEASURES.index(factors[0]) + 1 for *_, factors, _ in SOURCES if factors[0] in MEASURES]
    along = {"run_first": col("run_first"), "place": col("place")}
    counted = SumProducts("each", ["repeat", ("measures", col("measure"))], along, [in_scope()])
    return Table(
        "trace_runs",
        "Bought along the runs of the scope",
        [
            Field("item", "item", role="key", width=22),
            Field("run", "run", role="key", width=28),
            Field("run_row", "row of the run", "no."),
            Field("run_first", "row of the run as the first construction", "no."),
            Field("place", "place of the construction", "no."),
            Field("source", "place of what is bought", "no."),
            Field("measure", "place of what is counted", "no."),
        ],
        [
            Column(
                "times",
                "for one",
                "in its unit",
                CellAt("orders", "times", col("run_row"), col("source")),
                format="0.##",
            ),
            Column("counted", "ends or feet", "ft or ea", counted, "of runs", "#,##0.0"),
            Column("quantity", "quantity", "ft or ea", col("times") * col("counted"), "without waste", "#,##0.0"),
        ],
        {
            "item": [item for *_, item in rows],
            "run": [f"{kind}, {titles[construction]}" for kind, construction in (key.split("|") for key, *_ in rows)],
            "run_row": [line for _, line, *_ in rows],
            **{n: [int(book.values("orders", n)[line - 1]) for _, line, *_ in rows] for n in ("run_first", "place")},
            "source": [n for *_, n, _ in rows],
            "measure": [measures[n - 1] for *_, n, _ in rows],
        },
        key="item",
    )


def trace_joints_table(book: Book) -> Table:
    """Wire connectors of circuit conductors in the scope: those of one box, as often as its type is built."""
    return _joints_table(book, "trace_joints", "roles", "circuits")


def trace_control_table(book: Book) -> Table:
    """Wire connectors of control pairs in the scope."""
    return _joints_table(book, "trace_control", "control_roles", "control pairs")


def _joints_table(book: Book, name: str, roles: str, of: str) -> Table:
    types = [str(t) for t in book.values(roles, "type")]
    built = SumBy("trace_built", "count", {"type": col("type")})
    return Table(
        name,
        f"Wire connectors of {of} in the scope",
        [
            Field("type", "type", role="key"),
            Field("role", "conductor", role="key", width=16),
            Field("line", "line", "no."),
            Field("item", f"connector, {of}", width=14),
        ],
        [Column("joints", f"wire connectors, {of}", "ea", At(roles, "joints", col("line")) * built, format="#,##0")],
        {
            "type": types,
            "role": [str(r) for r in book.values(roles, "role")],
            "line": list(range(1, len(types) + 1)),
            "item": [str(item) for item in book.values(roles, "joint_item")],
        },
        key="type",
    )


def trace_cables_table(frame: Frame) -> Table:
    """Control cables of their own in the scope, with tails."""
    bought = {frame.job.boxes[n - 1].run.control_awg for n in frame.control_boxes}
    items = [str(row["sheath_item"]) for row in frame.catalogs["control_cables"] if row["awg"] in bought]
    feet = SumBy("control_lines", "all_ft", {"item": col("item")}, [in_scope()])
    return Table(
        "trace_cables",
        "Control cables of their own in the scope",
        [Field("item", "item", role="key", width=22)],
        [Column("quantity", "quantity", "ft", feet, "without waste", "#,##0.0")],
        {"item": items},
        key="item",
    )


def trace_counted_table(frame: Frame) -> Table:
    """How much of each driver the scope has that calls for small parts."""
    rows = frame.catalogs["drivers"]

    def counted(driver: str) -> Column:
        at_box = rows[driver]["counted_at"] == "box"
        ends = SumProducts("work", [driver, "trace_built.count"], {})
        runs = SumProducts("each", [driver, "repeat"], {}, [in_scope()])
        return Column(
            driver, str(rows[driver]["title"]), str(rows[driver]["unit"]), ends if at_box else runs, format="#,##0"
        )

    drivers = _of_parts(frame)
    return Table(
        "trace_counted",
        "Quantities of the scope that call for small parts",
        [Field("key", "quantities", role="key", width=14)],
        [counted(d) for d in drivers],
        {"key": ["of the scope"]},
        {"drivers": drivers},
    )


def _of_parts(frame: Frame) -> list[str]:
    """Return the drivers that small parts are counted by."""
    wanted = {str(use["driver"]) for use in frame.catalogs["uses"]}
    return [d for d in drivers_of(frame) if d in wanted]


def trace_parts_table(frame: Frame) -> Table:
    """Small parts of the scope: counted quantity x items for one."""
    uses, drivers = list(frame.catalogs["uses"]), _of_parts(frame)
    counted = CellAt("trace_counted", "drivers", as_expr(1), col("driver_place"))
    return Table(
        "trace_parts",
        "Small parts of the scope",
        [
            Field("use", "use", role="key", width=16),
            Field("item", "item", role="key", width=18),
            Field("driver_place", "column of the quantity", "no."),
        ],
        [
            Column(
                "quantity",
                "items",
                "ea",
                counted * look("part_costs", "quantity", col("use"), by="use"),
                format="#,##0",
            )
        ],
        {
            **{n: [u[n] for u in uses] for n in ("use", "item")},
            "driver_place": [drivers.index(str(u["driver"])) + 1 for u in uses],
        },
        key="use",
    )
