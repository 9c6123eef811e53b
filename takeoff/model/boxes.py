"""Boxes one by one: what is the same in every construction, and each box in each construction compared."""

from __future__ import annotations

from takeoff.expr import Expr, call, col, equal, given, less, ratio, when
from takeoff.model.frame import Frame
from takeoff.reach import At, Match, look
from takeoff.tables import Column, Field, Table


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
                format="0.0",
            ),
            Column("run_ft", "run", "ft", At("schedule", "run_ft", col("no")), format="#,##0.0"),
            Column(
                "tails_ft", "tails", "ft", given("box_tail_ft") + tail, "cable beyond the run at both ends", "#,##0.0"
            ),
            Column("with_tails_ft", "run with tails", "ft", col("run_ft") + col("tails_ft"), format="#,##0.0"),
        ],
        {"no": list(range(1, len(frame.job.boxes) + 1))},
    )


def _lines(frame: Frame) -> tuple[list[Field], dict[str, list[object]]]:
    """Return the key fields of a table with one row for each box in each construction compared."""
    count = len(frame.job.boxes)
    fields = [Field("no", "box", "no.", role="key"), Field("construction", "compared as", role="key", width=13)]
    return fields, {
        "no": [n for n in range(1, count + 1) for _ in frame.compared],
        "construction": [p for _ in range(count) for p in frame.compared],
        "line": list(range(1, count * len(frame.compared) + 1)),
    }


def _box(name: str) -> Expr:
    return At("boxes", name, col("no"))


def each_table(frame: Frame) -> Table:
    """The workings of each box in each construction compared: where its figures stand, feet, minutes, cost."""
    fields, data = _lines(frame)
    wired = col("wired_as")

    def panel(table: str, name: str) -> Expr:
        return At(table, name, col("panel_row"), 0)

    def run(name: str) -> Expr:
        return At("run_costs", name, col("run_row"))

    between = call("max", 0, _box("run_ft") - run("near_ft") - run("near_ft"))
    sheath = run("sheath_usd_per_ft") + run("coupling_usd_per_ft")
    wires = run("wire_usd_per_ft") + run("egc_usd_per_ft")
    return Table(
        "each",
        "Boxes by construction, workings",
        fields,
        [
            Column(
                "plan_key",
                "circuit and construction",
                "",
                At("circuits", "key", _box("circuit_row")) & "|" & col("construction"),
                width=18,
            ),
            Column("wired_as", "wired as", "", look("plan", "wired_as", col("plan_key")), width=13),
            Column("makeup_key", "make-up", "", _box("type") & "|" & wired, width=17),
            Column("panel_key", "panel end", "", _box("panel_type") & "|" & wired, width=18),
            Column("run_key", "run", "", _box("kind") & "|" & wired, width=17),
            Column("makeup_row", "row of the make-up", "no.", Match("makeup", "key", col("makeup_key"))),
            Column(
                "panel_row", "row of the panel end", "no.", Match("makeup", "key", col("panel_key"), missing_ok=True)
            ),
            Column("run_row", "row of the run", "no.", Match("runs", "key", col("run_key"))),
            Column("repeat", "times built", "ea", _box("repeat")),
            Column("between_ft", "between the end supports", "ft", between),
            Column("interval_ft", "secured every", "ft", run("interval_ft"), format="0.0"),
            Column(
                "supports",
                "supports",
                "ea",
                call("up", ratio(col("between_ft"), col("interval_ft"), 0)) + 1,
                "one within reach of each end, and between them at the interval: 320.30, 330.30, 358.30",
            ),
            Column(
                "sheath_ft",
                "cable or raceway bought",
                "ft",
                _box("run_ft") + run("cable") * _box("tails_ft"),
                "cable has tails beyond the run, raceway has none",
                "#,##0.0",
            ),
            Column("wire_ft", "run with tails", "ft", _box("with_tails_ft"), format="#,##0.0"),
            Column("routed_ft", "run x size factor", "ft", _box("run_ft") * run("route_factor"), format="#,##0.0"),
            Column("pulled_ft", "conductors pulled", "ft", col("wire_ft") * run("pulled_per_ft"), format="#,##0.0"),
            Column(
                "end_minutes",
                "labor at box and panel",
                "min",
                At("work", "minutes", col("makeup_row")) + panel("work", "minutes"),
                format="0.00",
            ),
            Column(
                "run_minutes",
                "labor along the run",
                "min",
                col("routed_ft") * run("routing_min_per_ft") + col("pulled_ft") * run("pulling_min_per_ft"),
                format="0.00",
            ),
            Column("support_minutes", "labor of supports", "min", col("supports") * run("support_min"), format="0.00"),
            Column(
                "end_usd",
                "material at box and panel",
                "USD",
                At("costs", "material_usd", col("makeup_row")) + panel("costs", "material_usd"),
                format="0.00",
            ),
            Column("sheath_usd", "cable or raceway", "USD", col("sheath_ft") * sheath, format="0.00"),
            Column("wires_usd", "conductors pulled", "USD", col("wire_ft") * wires, format="0.00"),
            Column(
                "fittings_usd",
                "two connectors and supports",
                "USD",
                run("ends_usd") + col("supports") * run("support_usd"),
                format="0.00",
            ),
            Column(
                "minutes",
                "labor",
                "min",
                col("end_minutes") + col("run_minutes") + col("support_minutes"),
                format="0.00",
            ),
            Column(
                "material_usd",
                "material",
                "USD",
                col("end_usd") + col("sheath_usd") + col("wires_usd") + col("fittings_usd"),
                format="0.00",
            ),
        ],
        data,
        {"keys": ["makeup_key", "panel_key"]},
    )


def results_table(frame: Frame) -> Table:
    """One row for each box in each construction compared: counts, box, checks, labor and material."""
    fields, data = _lines(frame)

    def each(name: str) -> Expr:
        return At("each", name, col("line"))

    def made(name: str, title: str, unit: str, table: str, form: str = "", width: float = 0) -> Column:
        return Column(name, title, unit, At(table, name, col("makeup_row")), format=form, width=width)

    space = given("code_edition") & "|" & col("wired_as") & "|" & _box("space")
    return Table(
        "results",
        "Boxes by construction",
        [*fields, Field("line", "line", "no.")],
        [
            Column("box", "box", "", _box("box")),
            Column("circuit", "circuit", "", _box("circuit")),
            Column("wired_as", "wired as", "", each("wired_as"), width=13),
            Column("plan_key", "circuit and construction", "", each("plan_key"), width=18),
            Column("makeup_row", "row of the make-up", "no.", each("makeup_row")),
            Column("repeat", "times built", "ea", each("repeat")),
            Column("entries", "entries", "ea", _box("runs")),
            Column("circuit_terminations", "circuit terminations", "ea", _box("circuit_terminations")),
            made("ground_terminations", "ground terminations", "ea", "makeup"),
            Column("circuit_splices", "circuit splices", "ea", _box("circuit_splices")),
            made("ground_splices", "ground splices", "ea", "makeup"),
            made("fill_in3", "box fill", "in3", "fits", "0.00"),
            made("chosen_box", "chosen box", "", "fits", width=21),
            made("chosen_volume_in3", "its volume", "in3", "fits", "0.0"),
            made("full_pct", "box full", "%", "fits", "0"),
            Column(
                "size_against_base",
                "size against the base",
                "",
                when(less(_box("base_in3"), col("chosen_volume_in3")), "larger", "-"),
                "larger than the box chosen in the base construction",
            ),
            made("unsized", "without a size", "0/1", "fits"),
            Column("no_cable", "cable not in the catalog", "0/1", At("runs", "no_cable", each("run_row"))),
            Column(
                "unpriced",
                "things without a size or price",
                "ea",
                col("unsized")
                + At("costs", "joints_missing", col("makeup_row"))
                + At("runs", "unpriced", each("run_row")),
            ),
            Column("space_row", "row of the space rule", "no.", Match("space_rules", "key", space, missing_ok=True)),
            Column(
                "space_check",
                "space",
                "",
                At("space_rules", "outcome", col("space_row"), "untested"),
                "may this construction be used in this kind of space? the section stands in the space rules",
            ),
            Column("minutes", "labor", "min", each("minutes"), format="0.00"),
            Column("material_usd", "material", "USD", each("material_usd"), format="0.00"),
        ],
        data,
    )
