"""Each box in each construction compared, the workings: where its figures stand, feet, minutes, cost."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.engine.expr import Expr, as_expr, call, col, flag, given, less, ratio
from takeoff.engine.lookups import At, Dot, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.constructions import drivers_of


def lines(frame: Frame) -> tuple[list[Field], dict[str, Sequence[object]]]:
    """Return the key fields and their data, of a table with one row for each box in each construction compared."""
    fields = [Field("no", "box", "no.", role="key"), Field("construction", "compared as", role="key", width=13)]
    return fields, frame.box_lines


def box(name: str) -> Expr:
    """Return a column of the box of the row."""
    return At("boxes", name, col("no"))


def each_table(frame: Frame) -> Table:
    """The workings of each box in each construction compared: where its figures stand, feet, minutes, cost."""
    fields, data = lines(frame)
    wired = col("wired_as")

    def panel(table: str, name: str) -> Expr:
        return At(table, name, col("panel_row"), 0)

    def run(name: str) -> Expr:
        return At("run_costs", name, col("run_row"))

    def made(table: str, name: str) -> Expr:
        return At(table, name, col("makeup_row"))

    space = given("code_edition") & "|" & wired & "|" & box("space")
    between = call("max", 0, box("run_ft") - run("near_ft") - run("near_ft"))
    cable, raceway = run("cable"), run("raceway")
    intervals = call("up", ratio(col("between_ft"), col("interval_ft"), 0))
    supports = call("max", 0, col("intervals") + run("end_supports"))
    along: dict[str, Expr] = {
        "runs": as_expr(1),
        "cable_ft": box("run_ft") * cable,
        "cable_factored_ft": col("cable_ft") * run("route_factor"),
        "raceway_ft": box("run_ft") * raceway,
        "raceway_factored_ft": col("raceway_ft") * run("route_factor"),
        "pulled_ft": box("with_tails_ft") * run("pulled_per_ft"),
        "cable_supports": supports * cable,
        "raceway_supports": supports * raceway,
    }
    swapped = At("swap_circuits", "swapped", box("circuit_row"))
    drivers = frame.catalogs["drivers"]
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
                At("circuits", "key", box("circuit_row")) & "|" & col("construction"),
                width=18,
            ),
            Column("wired_as", "wired as", "", look("plan", "wired_as", col("plan_key")), width=13),
            Column("makeup_key", "make-up", "", box("type") & "|" & wired, width=17),
            Column("panel_key", "panel end", "", box("panel_type") & "|" & wired, width=18),
            Column("run_key", "run", "", box("kind") & "|" & wired, width=17),
            Column("makeup_row", "row of the make-up", "no.", Match("makeup", "key", col("makeup_key"))),
            Column(
                "panel_row", "row of the panel end", "no.", Match("makeup", "key", col("panel_key"), missing_ok=True)
            ),
            Column("run_row", "row of the run", "no.", Match("runs", "key", col("run_key"))),
            Column("repeat", "times built", "ea", box("repeat")),
            Column("area_key", "area key", "", box("area_key")),
            Column(
                "effort",
                "times built x conditions",
                "ea",
                box("repeat") * box("labor_factor"),
                "labor of the row counts so often",
                "0.00",
            ),
            Column("swaps", "swapped", "ea", box("repeat") * swapped, "nothing where both plans wire it alike"),
            Column("swap_effort", "swapped x conditions", "ea", col("effort") * swapped, format="0.00"),
            Column("space_row", "row of the space rule", "no.", Match("space_rules", "key", space, missing_ok=True)),
            Column("space_outcome", "space", "", At("space_rules", "outcome", col("space_row"), "untested")),
            Column("unsized", "without a size", "0/1", made("fits", "unsized")),
            Column("by_314_28", "to size by 314.28", "0/1", made("fits", "by_314_28")),
            Column("no_cable", "cable not in the catalog", "0/1", At("runs", "no_cable", col("run_row"))),
            Column(
                "unpriced",
                "things without a size or price",
                "ea",
                col("unsized") + made("costs", "joints_missing") + At("runs", "unpriced", col("run_row")),
            ),
            Column("missing", "prices missing", "ea", made("costs", "missing") + run("missing")),
            Column("chosen_in3", "chosen box", "in3", made("fits", "chosen_volume_in3"), format="0.0"),
            Column("base_in3", "box in the base", "in3", box("base_in3"), format="0.0"),
            Column(
                "against_base_in3",
                "chosen box against the base",
                "in3",
                (col("chosen_in3") - col("base_in3")) * call("sign", col("chosen_in3") * col("base_in3")),
                "volume of the chosen box less that of the base; nothing where one of them has no box",
                "+0.0;-0.0;-",
            ),
            Column("larger", "box larger than in the base", "0/1", flag(less(0, col("against_base_in3")))),
            Column("smaller", "box smaller than in the base", "0/1", flag(less(col("against_base_in3"), 0))),
            Column("between_ft", "between the end supports", "ft", between),
            Column("interval_ft", "secured every", "ft", run("interval_ft"), format="0.0"),
            Column("intervals", "intervals between supports", "ea", intervals),
            *(
                Column(d, str(drivers[d]["title"]), str(drivers[d]["unit"]), along[d], str(drivers[d]["source"]))
                for d in drivers_of(frame, "run")
            ),
            Column(
                "sheath_ft",
                "cable or raceway bought",
                "ft",
                box("run_ft") + run("cable") * box("tails_ft"),
                "cable has tails beyond the run, raceway has none",
                "#,##0.0",
            ),
            Column("wire_ft", "run with tails", "ft", box("with_tails_ft"), format="#,##0.0"),
            Column(
                "end_minutes",
                "labor at box and panel",
                "min",
                made("work", "job_minutes") + panel("work", "job_minutes"),
                "with what the crew learns on the type",
                "0.00",
            ),
            Column(
                "ground_minutes",
                "of it for wire-type and box grounds",
                "min",
                made("work", "job_ground_minutes") + panel("work", "job_ground_minutes"),
                "before the conditions of the work",
                "0.00",
            ),
            Column(
                "ground_ends",
                "ground terminations with the panel end",
                "ea",
                made("makeup", "ground_terminations") + panel("makeup", "ground_terminations"),
            ),
            Column(
                "run_minutes",
                "labor along the run",
                "min",
                Dot("run_drivers", "rates", "run_drivers", run("method_row")),
                "each quantity along the run x minutes for one",
                format="0.00",
            ),
            Column(
                "end_usd",
                "material at box and panel",
                "USD",
                made("costs", "material_usd") + panel("costs", "material_usd"),
                format="0.00",
            ),
            Column("box_usd", "of it box, ring, cover", "USD", made("costs", "housing_usd"), format="0.00"),
            Column("sheath_usd", "cable or raceway", "USD", col("sheath_ft") * sheath, format="0.00"),
            Column("wires_usd", "conductors pulled", "USD", col("wire_ft") * wires, format="0.00"),
            Column("connectors_usd", "two connectors", "USD", run("ends_usd"), format="0.00"),
            Column(
                "parts_usd",
                "small parts along the run",
                "USD",
                Dot("run_drivers", "driver_costs", "run_drivers", as_expr(1)),
                "each quantity along the run x small parts for one",
                format="0.00",
            ),
            Column(
                "minutes",
                "labor",
                "min",
                (col("end_minutes") + col("run_minutes")) * box("labor_factor"),
                "with the conditions of the work",
                "0.00",
            ),
            Column(
                "material_usd",
                "material",
                "USD",
                col("end_usd") + col("sheath_usd") + col("wires_usd") + col("connectors_usd") + col("parts_usd"),
                format="0.00",
            ),
        ],
        data,
        {"keys": ["makeup_key", "panel_key"], "run_drivers": drivers_of(frame, "run")},
    )
