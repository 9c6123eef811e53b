"""Constructions in use: their properties as figures, minutes and cost for one of each driver."""

from __future__ import annotations

from takeoff.catalog.rows import Row
from takeoff.engine.aggregates import SumBy
from takeoff.engine.expr import Head, as_expr, begins, call, col, equal, flag, ratio, same, when
from takeoff.engine.lookups import At, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import INVENTED, MEASURED, Frame
from takeoff.model.givens.wages import only

PIGTAIL = "ground_pigtails"
"""The driver whose minutes and parts are those of a pigtail or jumper cut on site, or of one that is bought."""

NEEDED = {"any": (1, 0), "cut": (1, -1), "bought": (0, 1)}
"""When a small part is used: always, and what is added where tails are bought."""


def drivers_of(frame: Frame, where: str = "", ground: bool = False) -> list[str]:
    """Return the driver keys, all or those counted at `box` or along each `run`, in catalog order.

    Of those along a run, only what an operation or a small part hangs on: they are counted line by line. With
    `ground`, only those that a wire-type equipment grounding conductor brings about.
    """
    used = {row["driver"] for name in ("operations", "uses") for row in frame.catalogs[name]}
    rows = (d for d in frame.catalogs["drivers"] if where in ("", d["counted_at"]))
    rows = (d for d in rows if d["counted_at"] == "box" or d["driver"] in used)
    return [str(d["driver"]) for d in rows if d["ground"] or not ground]


def operations_of(frame: Frame) -> list[Row]:
    """Return one row for each operation, in working order."""
    operations: dict[str, Row] = {}
    for row in frame.catalogs["operations"]:
        operations.setdefault(str(row["operation"]), row)
    return sorted(operations.values(), key=lambda o: float(str(o["step"])))


UNTESTED, NOT_FOR_IT = "untested", "does_not_apply"
"""Outcomes of a check without a figure to test, and of one whose rule is not for the construction or the circuit."""


def in_use_table(frame: Frame) -> Table:
    """Properties of the constructions as figures that formulas multiply with."""
    row = col("row")

    def prop(name: str, title: str) -> Column:
        return Column(name, title, "0/1", At("constructions", name, row))

    return Table(
        "in_use",
        "Constructions in use",
        [Field("construction", "construction", role="key"), Field("called", "its title", width=18)],
        [
            Column("row", "row in the catalog", "no.", Match("constructions", "construction", col("construction"))),
            Column(
                "wire_egc",
                "wire-type EGC",
                "0/1",
                when(same(At("constructions", "egc_kind", row), "armor"), 0, 1),
                "1 where the construction brings a wire-type equipment grounding conductor into the box",
            ),
            Column("cable", "cable", "0/1", flag(same(At("constructions", "wiring_kind", row), "cable"))),
            Column("raceway", "raceway", "0/1", flag(same(At("constructions", "wiring_kind", row), "raceway"))),
            prop("armor", "armor to cut"),
            prop("bond_strip", "bond strip"),
            prop("bare_conductor", "bare conductor"),
            prop("anti_short_bushing", "bushing required"),
            Column(
                "near_ft",
                "secured within",
                "ft",
                ratio(At("constructions", "support_near_in", row), 12, 0),
                "320.30, 330.30, 358.30",
                format="0.0",
            ),
            Column(
                "interval_ft",
                "secured every",
                "ft",
                At("constructions", "support_interval_ft", row),
                "320.30, 330.30, 358.30",
                format="0.0",
            ),
            *(
                Column(n, t, u, At("constructions", n, row), "330.30(B)")
                for n, t, u in (
                    ("near_conductors", "conductors secured near boxes", "ea"),
                    ("near_cmil", "size secured near boxes", "cmil"),
                )
            ),
            Column("fitting_family", "fitting family", "", At("constructions", "fitting_family", row)),
            Column("egc_size_rule", "EGC size rule", "", At("constructions", "egc_size_rule", row)),
            *(
                Column(
                    f"without_{name}",
                    f"outcome without a test of the {said}",
                    "",
                    when(same(col("egc_size_rule"), rule), then, otherwise),
                    f"{section}: does it apply to the construction at all",
                )
                for name, said, rule, then, otherwise, section in (
                    ("egc_size", "EGC size", "listed", NOT_FOR_IT, UNTESTED, "250.122(A)"),
                    ("egc_increase", "larger EGC", "copper", UNTESTED, NOT_FOR_IT, "250.122(B)"),
                )
            ),
            Column("egc_kind", "EGC kind", "", At("constructions", "egc_kind", row)),
            Column(
                "armor_egc",
                "armor or raceway is an EGC",
                "0/1",
                when(same(col("egc_kind"), "wire"), 0, 1),
                "1 where the armor or the raceway itself is credited as ground path",
            ),
            Column(
                "insulation_place",
                "ampacity column in thermal insulation",
                "no.",
                Match("temperatures", "key", At("constructions", "insulation_c", row) & " C"),
                "320.80(A)",
            ),
        ],
        {
            "construction": frame.constructions,
            "called": list(frame.called.values()),
        },
    )


def steps_table(frame: Frame) -> Table:
    """Minutes of every operation in every construction: the construction's own row, else the row for all."""
    rows = [(o, m) for o in operations_of(frame) for m in frame.constructions]
    bought = as_expr(1) - only("make_up_now", "share")
    return Table(
        "steps",
        "Minutes in use",
        [
            Field("key", "key", role="key"),
            Field("operation", "operation"),
            Field("construction", "construction"),
            Field("driver", "driver"),
            Field("of_pigtails", "of ground pigtails", "0/1"),
        ],
        [
            Column(
                "own_row",
                "own row",
                "no.",
                Match("operations", "key", col("operation") & "|" & col("construction"), True),
            ),
            Column("all_row", "row for all", "no.", Match("operations", "key", col("operation") & "|all", True)),
            Column("used_row", "row used", "no.", when(equal(col("own_row"), 0), col("all_row"), col("own_row"))),
            Column(
                "minutes_each",
                "minutes each",
                "min",
                At("operations", "minutes", col("used_row"), 0) * (as_expr(1) - col("of_pigtails") * bought),
                "of a pigtail or jumper that is bought, the part that the style leaves",
                format="0.00",
            ),
            Column("source", "source", "", At("operations", "source", col("used_row"), "-"), width=44),
            Column(
                "invented",
                "illustrative minutes",
                "0/1",
                call(
                    "max", flag(begins(col("source"), INVENTED)), col("of_pigtails") * only("make_up_now", "invented")
                ),
                "of a pigtail or jumper also where the part of them that the style leaves is",
            ),
            Column(
                "measured",
                "measured minutes",
                "0/1",
                flag(begins(col("source"), MEASURED)) * (as_expr(1) - col("invented")),
            ),
        ],
        {
            "key": [f"{o['operation']}|{m}" for o, m in rows],
            "operation": [o["operation"] for o, _ in rows],
            "construction": [m for _, m in rows],
            "driver": [o["driver"] for o, _ in rows],
            "of_pigtails": [int(o["driver"] == PIGTAIL) for o, _ in rows],
        },
    )


def rates_table(frame: Frame) -> Table:
    """Minutes that one of each driver takes in each construction."""
    minutes = SumBy("steps", "minutes_each", {"driver": Head(), "construction": col("construction")})
    drivers = drivers_of(frame)
    return Table(
        "rates",
        "Minutes for one",
        [Field("construction", "construction", role="key")],
        [Column(d, _title(frame, d), "min", minutes, format="0.00", head=d) for d in drivers],
        {"construction": frame.constructions},
        {
            **{f"{where}_drivers": drivers_of(frame, where) for where in ("box", "run")},
            "ground_drivers": drivers_of(frame, "box", ground=True),
        },
    )


def driver_costs_table(frame: Frame) -> Table:
    """Small parts that one of each driver needs, in USD."""
    cost = SumBy("part_costs", "usd", {"driver": Head()})
    return Table(
        "driver_costs",
        "Small parts for one",
        [Field("what", "for one of", role="key")],
        [Column(d, _title(frame, d), "USD", cost, format="0.000", head=d) for d in drivers_of(frame)],
        {"what": ["small parts"]},
        {f"{where}_drivers": drivers_of(frame, where) for where in ("box", "run")},
    )


def part_costs_table(frame: Frame) -> Table:
    """What each use of a small part costs for one of its driver."""
    uses = list(frame.catalogs["uses"])
    return Table(
        "part_costs",
        "Small parts in use",
        [
            Field("use", "use", role="key"),
            Field("driver", "driver"),
            Field("item", "item"),
            Field("always", "used", "0/1"),
            Field("with_bought", "more where tails are bought", "0/1"),
        ],
        [
            Column(
                "quantity",
                "items for one of the driver",
                "ea",
                look("uses", "quantity", col("use"))
                * (col("always") + col("with_bought") * only("make_up_now", "tails_bought")),
                format="0.00",
            ),
            Column(
                "usd_each",
                "cost of one item",
                "USD",
                look("unit_costs", "usd_each", col("item"), by="item"),
                format="0.000",
            ),
            Column(
                "usd",
                "cost for one of the driver",
                "USD",
                col("quantity") * col("usd_each"),
                format="0.000",
            ),
        ],
        {
            **{name: [u[name] for u in uses] for name in ("use", "driver", "item")},
            "always": [NEEDED[str(u["tails"])][0] for u in uses],
            "with_bought": [NEEDED[str(u["tails"])][1] for u in uses],
        },
    )


def _title(frame: Frame, driver: str) -> str:
    return str(frame.catalogs["drivers"][driver]["title"])
