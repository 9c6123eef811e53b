"""Boxes one by one: what is the same in every construction, and each box in each construction compared."""

from __future__ import annotations

from takeoff.engine.expr import Expr, col, equal, given, when
from takeoff.engine.lookups import At, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.cost.each import box, lines
from takeoff.model.frame import Frame
from takeoff.model.givens.practice import box_factor_columns


def boxes_table(frame: Frame) -> Table:
    """One row for each box: its type and what is the same in every construction."""

    def read(name: str, title: str, unit: str = "", width: float = 0) -> Column:
        return Column(name, title, unit, At("schedule", name, col("no")), width=width)

    def of_type(name: str, title: str, unit: str) -> Column:
        return Column(name, title, unit, At("types", name, col("type_row")))

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
            read("panel_type", "panel end"),
            read("home_run", "home run", "0/1"),
            Column("type_row", "row of the type", "no.", Match("types", "type", col("type"))),
            of_type("runs", "entries", "ea"),
            of_type("circuit_terminations", "circuit terminations", "ea"),
            of_type("circuit_splices", "circuit splices", "ea"),
            Column(
                "base_key",
                "circuit and base",
                "",
                At("circuits", "key", col("circuit_row")) & "|" & given("base_construction"),
                width=18,
            ),
            Column(
                "base_makeup",
                "make-up in the base",
                "",
                col("type") & "|" & look("plan", "wired_as", col("base_key")),
                width=17,
            ),
            Column(
                "base_in3",
                "box in the base",
                "in3",
                look("fits", "chosen_volume_in3", col("base_makeup")),
                "0 where it has none",
                format="0.0",
            ),
            Column("run_ft", "run", "ft", At("schedule", "run_ft", col("no")), format="#,##0.0"),
            Column(
                "tails_ft", "tails", "ft", given("box_tail_ft") + tail, "cable beyond the run at both ends", "#,##0.0"
            ),
            read("area_key", "area key"),
            *box_factor_columns(frame),
            Column("with_tails_ft", "run with tails", "ft", col("run_ft") + col("tails_ft"), format="#,##0.0"),
        ],
        {"no": list(range(1, len(frame.job.boxes) + 1))},
    )


def results_table(frame: Frame) -> Table:
    """One row for each box in each construction compared: counts, box, checks, labor and material."""
    fields, data = lines(frame)

    def each(name: str) -> Expr:
        return At("each", name, col("line"))

    def made(table: str, name: str, title: str, unit: str = "ea", form: str = "", width: float = 0) -> Column:
        return Column(name, title, unit, At(table, name, each("makeup_row")), format=form, width=width)

    def same_in_all(name: str, title: str, unit: str = "ea", width: float = 0) -> Column:
        return Column(name, title, unit, box(name), width=width)

    return Table(
        "results",
        "Boxes by construction",
        [*fields, Field("line", "line", "no.")],
        [
            same_in_all("box", "box", ""),
            same_in_all("circuit", "circuit", ""),
            same_in_all("area", "area", "", 18),
            same_in_all("device", "device", "", 18),
            Column("wired_as", "wired as", "", each("wired_as"), width=13),
            Column("repeat", "times built", "ea", each("repeat")),
            Column("entries", "entries", "ea", box("runs")),
            same_in_all("circuit_terminations", "circuit terminations"),
            made("makeup", "ground_terminations", "ground terminations"),
            same_in_all("circuit_splices", "circuit splices"),
            made("makeup", "ground_splices", "ground splices"),
            made("fits", "fill_in3", "box fill", "in3", "0.00"),
            made("fits", "chosen_box", "chosen box", "", width=21),
            made("fits", "chosen_volume_in3", "its volume", "in3", "0.0"),
            made("fits", "full_pct", "box full", "%", "0"),
            Column(
                "against_base_in3",
                "against the base",
                "in3",
                each("against_base_in3"),
                "volume of the chosen box less that of the base; - where equal, or where one has no box",
                "+0.0;-0.0;-",
            ),
            Column(
                "space_check",
                "space",
                "",
                each("space_outcome"),
                "may this construction be used in this kind of space? the section stands in the space rules",
            ),
            Column("minutes", "labor", "min", each("minutes"), format="0.00"),
            Column("material_usd", "material", "USD", each("material_usd"), format="0.00"),
        ],
        data,
    )
