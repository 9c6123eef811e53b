"""The swap of one plan for another on the work that remains: circuits, areas, and what the crew learns anew.

Saving is positive: what the plan swapped from costs less what the other one costs. Circuits that both plans wire
alike are no part of it: they would hide what the new cable costs by the foot.
"""

from __future__ import annotations

from takeoff.engine.aggregates import SumBy, SumProducts
from takeoff.engine.expr import Expr, as_expr, call, col, equal, given, ratio, same, when
from takeoff.engine.lookups import At, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.practice import area_keys
from takeoff.model.givens.wages import labor_rate, only

SAVED = "#,##0;-#,##0;0"
CENTS = "#,##0.00;-#,##0.00;0.00"
PARTS = (
    ("ground_hours", "labor on grounds", "h"),
    ("hours", "labor", "h"),
    ("cable_usd", "cable and conductors", "USD"),
    ("box_usd", "boxes, rings, covers", "USD"),
    ("fitting_usd", "fittings and small parts", "USD"),
    ("feet", "cable or raceway with tails", "ft"),
    ("grounds", "ground terminations with panel ends", "ea"),
)
"""What is swapped, by area: column, title, unit."""

NOT_PULLED = {
    "minutes": ("repeat", "swapped", "left_minutes"),
    "cable_usd": ("repeat", "swapped", "run_left", "cable_usd"),
    "material_usd": ("repeat", "swapped", "left_usd"),
    "feet": ("repeat", "swapped", "run_left", "sheath_ft"),
}
"""Factors of the sums that a run has a part in, where runs are pulled already."""

SUMS = (
    ("ground_minutes", "labor on grounds", "min", ("effort", "swapped", "ground_minutes")),
    ("minutes", "labor", "min", ("repeat", "swapped", "minutes")),
    ("cable_usd", "cable and conductors", "USD", ("repeat", "swapped", "cable_usd")),
    ("box_usd", "boxes, rings, covers", "USD", ("repeat", "swapped", "box_usd")),
    ("material_usd", "material", "USD", ("repeat", "swapped", "material_usd")),
    ("feet", "cable or raceway with tails", "ft", ("repeat", "swapped", "sheath_ft")),
    ("grounds", "ground terminations with panel ends", "ea", ("repeat", "swapped", "ground_ends")),
)
"""What is added up of the boxes of an area that are swapped, as far as they remain: column, title, unit, factors."""


def swap_circuits_table(frame: Frame) -> Table:
    """Every circuit: what the two plans wire it in, and whether that differs."""
    plans = [
        Column(f"wired_{w}", f"wired as, swapped {w}", "", look("wiring", "wired_as", key), width=14)
        for w, key in ((w, col("key") & "|" & given(f"swap_{w}")) for w in ("from", "to"))
    ]
    alike = same(col("wired_from"), col("wired_to"))
    of_circuit = SumBy("swap_circuits", "differs", {"circuit_key": col("circuit_key")})
    line = Match("own_work", "key", col("circuit_key"))
    started = At("own_work", "left", line) + At("own_work", "left_open", line)
    # where a circuit has stretches, its first one stands for it
    changes = col("swapped") * started * col("first") if frame.changes else col("swapped") * started
    return Table(
        "swap_circuits",
        "Circuits of the swap",
        [
            Field("key", "key", role="key"),
            Field("circuit", "circuit", role="key", width=16),
            Field("circuit_key", "circuit key"),
            *([Field("first", "stands for its circuit", "0/1")] if frame.changes else []),
        ],
        [
            *plans,
            Column("differs", "differs", "0/1", when(alike, 0, 1)),
            Column("swapped", "is swapped", "0/1", call("sign", of_circuit), "0: wired alike in both plans, all of it"),
            Column("changes", "changes", "0/1", changes, "1: is swapped, and not begun by its own state"),
            Column("said", "named on the proposal", "", when(equal(col("changes"), 0), "", col("circuit") & "  ")),
        ],
        {
            "key": list(frame.stretches),
            "circuit": list(frame.stretch_names.values()),
            "circuit_key": [frame.circuit_keys[s.circuit.name] for s in frame.stretches.values()],
            "first": [int(not s.place) for s in frame.stretches.values()],
        },
    )


def swap_areas_table(frame: Frame) -> Table:
    """Both plans on what remains of every area, and what is saved there."""
    areas = area_keys(frame)

    def summed(which: str) -> list[Column]:
        where = {"area_key": col("area_key"), "plan": given(f"swap_{which}")}
        return [
            Column(
                f"{n}_{which}",
                f"{title}, swapped {which}",
                unit,
                SumProducts("each", NOT_PULLED.get(n, factors) if frame.pulled else factors, where),
                format=SAVED,
            )
            for n, title, unit, factors in SUMS
        ]

    def made_of(which: str) -> dict[str, Expr]:
        """Return the parts that are no mere sums; what is new to the crew takes what it learns on it."""

        def of(summed: str) -> Expr:
            return col(f"{summed}_{which}")

        def hours(name: str) -> Expr:
            minutes = of(name) * only("relearning", "factor") if which == "to" else of(name)
            return ratio(minutes, 60, 0)

        return {
            "ground_hours": hours("ground_minutes"),
            "hours": hours("minutes"),
            "fitting_usd": of("material_usd") - of("box_usd") - of("cable_usd"),
        }

    def saved(name: str) -> Expr:
        return col(f"{name}_from") - col(f"{name}_to")

    titles = {name: (title, unit) for name, title, unit in PARTS}
    built = SumProducts("each", ("repeat", "swapped"), {"area_key": col("area_key"), "plan": given("swap_to")})
    material = saved("cable_usd") + saved("box_usd") + saved("fitting_usd")
    return Table(
        "swap_areas",
        "Swap by area",
        [
            Field("area_key", "area key", role="key"),
            Field("area", "area", role="key", width=30),
            Field("line", "line", "no."),
        ],
        [
            *summed("from"),
            *summed("to"),
            Column("boxes", "boxes left to swap", "ea", built, "a part of an area counts as that part", "#,##0.0"),
            *(
                Column(f"{n}_{which}", f"{titles[n][0]}, swapped {which}", titles[n][1], made, format=SAVED)
                for which in ("from", "to")
                for n, made in made_of(which).items()
            ),
            Column("saved_hours", "labor saved", "h", saved("hours"), format="#,##0.0;-#,##0.0;0.0"),
            Column("saved_labor_usd", "labor saved", "USD", col("saved_hours") * labor_rate(), format=SAVED),
            Column("saved_material_usd", "material saved", "USD", material, format=SAVED),
            Column(
                "saved_usd",
                "saved",
                "USD",
                col("saved_labor_usd") + col("saved_material_usd"),
                "before one-time cost",
                SAVED,
            ),
            Column(
                "crew_days",
                "crew-days saved",
                "day",
                ratio(col("saved_hours"), given("crew_size") * given("hours_per_day"), 0),
                format="0.0;-0.0;0.0",
            ),
        ],
        {"area_key": list(areas.values()), "area": list(areas), "line": list(range(1, len(areas) + 1))},
        key="area_key",
    )


def relearning_table(_: Frame) -> Table:
    """What the crew learns on the new construction: its time there, in times of the minutes of the book."""
    one, until = as_expr(1), given("relearn_until_box")
    built = SumProducts("each", ("repeat", "swapped"), {"plan": given("swap_to")})
    half, grown = col("half"), col("exponent") + 1

    def first(boxes: Expr) -> Expr:
        return ratio(call("power", boxes + half, grown) - call("power", half, grown), grown, 0)

    flat = (col("boxes") - col("learned_on")) * col("held_at")
    return Table(
        "relearning",
        "Learning on the new construction",
        [Field("key", "swap", role="key")],
        [
            Column("boxes", "boxes left to swap", "ea", built, format="#,##0.0"),
            Column("half", "half a box", "ea", ratio(one, one + one, 0), "boxes are summed as an integral", "0.0"),
            Column("rate", "learning rate", "1/1", ratio(given("relearn_rate_pct"), 100, 1), format="0.000"),
            Column(
                "exponent",
                "exponent b",
                "1/1",
                ratio(call("log10", col("rate")), call("log10", one + 1), 0),
                "log of the rate / log of 2",
                "0.0000",
            ),
            Column("learned_on", "boxes on which is learned", "ea", call("min", col("boxes"), until), format="0.0"),
            Column("held_at", "part for which the minutes hold", "1/1", call("power", until, col("exponent"))),
            Column("first", "time of them, in times of the first", "ea", first(col("learned_on")), format="0.00"),
            Column(
                "factor",
                "labor, in times of the minutes",
                "1/1",
                ratio(col("first") + flat, col("boxes") * col("held_at"), 1),
                "unit theory, its sum by ((n + 1/2)^(b + 1) - (1/2)^(b + 1)) / (b + 1); 1 where nothing is learned",
                "0.0000",
            ),
        ],
        {"key": ["swap"]},
    )
