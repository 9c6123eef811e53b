"""Boxes one by one: what is the same in every construction, and each box with the plans side by side."""

from __future__ import annotations

from takeoff.engine.expr import Expr, call, col, equal, given, ratio, when
from takeoff.engine.lookups import At, CellAt, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.boxes.types import CONTROL_COUNTS
from takeoff.model.cost.each import box
from takeoff.model.frame import Frame, places_of
from takeoff.model.givens.practice import box_factor_columns, condition_columns
from takeoff.model.givens.wages import labor_rate, only


def boxes_table(frame: Frame) -> Table:
    """One row for each box: its type and what is the same in every construction."""

    def read(name: str, title: str, unit: str = "", width: float = 0) -> Column:
        return Column(name, title, unit, At("schedule", name, col("no")), width=width)

    tail = when(equal(col("home_run"), 1), given("panel_tail_ft"), given("box_tail_ft"))
    return Table(
        "boxes",
        "Boxes",
        [Field("no", "box", "no.", role="key")],
        [
            read("box", "box"),
            read("circuit", "circuit"),
            read("area", "area", width=16),
            read("device", "device", width=18),
            read("space", "space"),
            Column(
                "circuit_row",
                "row of the circuit",
                "no.",
                Match("circuits", "key", At("schedule", "circuit_key", col("no"))),
            ),
            Column("repeat", "times built", "ea", At("circuits", "repeat", col("circuit_row"))),
            read("kind", "run kind"),
            read("type", "type"),
            read("panel_type", "other end"),
            read("home_run", "home run", "0/1"),
            Column("run_ft", "run", "ft", At("schedule", "run_ft", col("no")), format="#,##0.0"),
            Column(
                "tails_ft", "tails", "ft", given("box_tail_ft") + tail, "cable beyond the run at both ends", "#,##0.0"
            ),
            read("area_key", "area key"),
            *box_factor_columns(frame),
            Column("with_tails_ft", "run with tails", "ft", col("run_ft") + col("tails_ft"), format="#,##0.0"),
        ],
        {"no": list(range(1, len(frame.job.boxes) + 1))},
        {"conditions": condition_columns(frame)},
    )


PER_PLAN = (
    ("ground_terminations", "ground terminations", "ea", "", 11.8),
    ("ground_splices", "ground splices", "ea", "", 0.0),
    ("fill_in3", "box fill", "in3", "0.00", 0.0),
    ("chosen_box", "chosen box", "", "", 18.0),
    ("minutes", "labor", "min", "0.00", 0.0),
    ("material_usd", "material", "USD", "0.00", 0.0),
    ("installed_usd", "installed", "USD", "0.00", 0.0),
    ("wired_as", "wired as", "", "", 18.0),
    ("chosen_in3", "its volume", "in3", "0.0", 0.0),
    ("against_base_in3", "box against the base", "in3", "+0.0;-0.0;-", 0.0),
)
"""What is shown of a box, side by side for the plans: column, title, unit, format, width."""

NOTES = {
    "installed_usd": "labor at the rate in force, and material",
    "against_base_in3": "volume of the chosen box less that of the base; - where equal, or where one has no box",
}


def box_outcomes_table(frame: Frame) -> Table:
    """Each box with the plans side by side: counts, box, labor and material of one box."""
    places = list(enumerate(frame.titles.values(), start=1))
    plans = list(enumerate(frame.compared, start=1))
    boxes, types = frame.job.boxes, places_of(frame.types.by_key)

    def plan_columns(name: str, title: str, unit: str, form: str, width: float) -> list[Column]:
        return [
            Column(f"{name}_{n}", f"{title}, {p}", unit, _outcome(name, n), NOTES.get(name, ""), form, p, width)
            for n, p in places
        ]

    def of_type(name: str, title: str) -> Column:
        return Column(name, title, "ea", At("types", name, col("type_row")))

    blocks = {name: [f"{name}_{n}" for n, _ in places] for name, *_ in PER_PLAN}
    return Table(
        "box_outcomes",
        "Boxes, the plans side by side",
        [
            Field("box", "box", role="key"),
            Field("circuit", "circuit", width=14),
            Field("area", "area", width=17),
            Field("device", "device", width=16),
            Field("no", "number", "no."),
            Field("type_row", "row of the type", "no."),
            *(Field(f"line_{n}", f"line, {p}", "no.") for n, p in places),
        ],
        [
            Column("repeat", "times built", "ea", box("repeat")),
            of_type("runs", "entries"),
            of_type("circuit_terminations", "circuit terminations"),
            of_type("circuit_splices", "circuit splices"),
            *([of_type(n, n.replace("_", " ")) for n in CONTROL_COUNTS] if frame.control_boxes else []),
            *(c for shown in PER_PLAN[:-1] for c in plan_columns(*shown)),
            Column(
                "base_in3",
                "box in the base",
                "in3",
                CellAt("box_outcomes", "chosen_in3", col("no"), only("base", "place")),
                format="0.0",
            ),
            *plan_columns(*PER_PLAN[-1]),
        ],
        {
            "box": [b.source.box for b in boxes],
            "circuit": [frame.stretch_names[frame.stretch_of_box[id(b)]] for b in boxes],
            "area": [b.source.area for b in boxes],
            "device": [" + ".join(b.source.devices) for b in boxes],
            "no": list(range(1, len(boxes) + 1)),
            "type_row": [types[t] + 1 for t in frame.types.of_box],
            **{f"line_{n}": list(frame.lines_of[p]) for n, p in plans},
        },
        blocks,
        key="box",
    )


def _outcome(name: str, plan: int) -> Expr:
    """Return a figure of a box in the plan at a place."""
    line = col(f"line_{plan}")
    makeup = At("each", "makeup_row", line)
    if name == "wired_as":
        return At("in_use", "called", At("each", "place", line))
    if name in ("minutes", "material_usd"):
        return At("each", name, line)
    if name in ("ground_terminations", "ground_splices"):
        return At("makeup", name, makeup)
    if name == "installed_usd":
        return ratio(col(f"minutes_{plan}") * labor_rate(), 60, 0) + col(f"material_usd_{plan}")
    if name == "against_base_in3":
        mine = col(f"chosen_in3_{plan}")
        return (mine - col("base_in3")) * call("sign", mine * col("base_in3"))
    return At("fits", {"chosen_in3": "chosen_volume_in3"}.get(name, name), makeup)
