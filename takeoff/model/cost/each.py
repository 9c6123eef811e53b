"""Each box in each plan compared, the workings: where its figures stand, feet, minutes, cost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from takeoff.engine.chains import Nth
from takeoff.engine.expr import Array, Expr, as_expr, call, col, same, when
from takeoff.engine.lookups import At, Dot
from takeoff.engine.tables import Column, Field, Table, array_of
from takeoff.model.boxes.runs import between_ends
from takeoff.model.cost.remaining import is_swapped, left_columns, stretches_met
from takeoff.model.cost.seams import seam_rows
from takeoff.model.frame import Frame, places_of
from takeoff.model.givens.constructions import drivers_of
from takeoff.model.givens.practice import area_keys, remaining
from takeoff.model.givens.scopes import LEVELS, scope_codes
from takeoff.wiring.places import NO_AREA


def box(name: str) -> Expr:
    """Return a column of the box of the row."""
    return At("boxes", name, col("no"))


def each_table(frame: Frame) -> Table:
    """The workings of each box in each plan compared: where its figures stand, feet, minutes, cost."""

    def panel(table: str, name: str) -> Expr:
        return Nth(table, name, col("end_first"), col("end_last"), col("place")) * col("at_panel")

    def run(name: str) -> Expr:
        return Nth("run_costs", name, col("run_first"), col("run_last"), col("place"))

    def made(table: str, name: str) -> Expr:
        return At(table, name, col("makeup_row"))

    between = between_ends(box("run_ft"), run("near_ft"))
    cable, raceway = run("cable"), run("raceway")
    intervals = call("up", col("between_ft") * run("intervals_per_ft"))
    supports = call("max", 0, col("intervals") + run("end_supports"))
    along: dict[str, Expr] = {
        "runs": as_expr(1),
        "cable_ft": box("run_ft") * cable,
        "cable_factored_ft": box("run_ft") * cable * run("route_factor"),
        "raceway_ft": box("run_ft") * raceway,
        "raceway_factored_ft": box("run_ft") * raceway * run("route_factor"),
        "pulled_ft": box("with_tails_ft") * run("pulled_per_ft"),
        "cable_supports": supports * cable,
        "raceway_supports": supports * raceway,
    }
    left: Expr = col("run_left") if frame.pulled else as_expr(1)
    rest = frame.pulled and frame.of_rest
    makeup_row = col("type_first") + col("place")
    if frame.changes:
        makeup_row += At("seams", "rows", col("seam_row"), 0)

    def control(name: str) -> Expr:
        """Return a figure of the control cable of the line, 0 where the run has none of its own."""
        return At("control_lines", name, col("control_row"), 0)

    more: dict[str, Expr] = {}
    if frame.control_boxes:
        along["cable_ft"] = along["cable_ft"] + control("ft")
        along["cable_factored_ft"] = along["cable_factored_ft"] + control("ft")
        along["cable_supports"] = along["cable_supports"] + control("supports")
        more = {name: control(name) for name in ("usd", "lacking")}
    if rest:
        along = {name: quantity * left for name, quantity in along.items()}
    met = stretches_met(frame) if frame.changes else []
    swapped = is_swapped(len(met)) * remaining(box)
    drivers = frame.catalogs["drivers"]
    return Table(
        "each",
        "Boxes by plan, workings",
        [
            Field("box", "box", role="key"),
            Field("plan", "plan", role="key", width=15),
            Field("no", "number of the box", "no."),
            Field("stretch_row", "row of the stretch", "no."),
            Field("plan_key", "plan key"),
            Field("area_key", "area key"),
            Field("wiring_row", "row of the wiring", "no."),
            Field("type_first", "row before its make-ups", "no."),
            Field("panel_first", "row of its panel end as the first construction, 0 without", "no."),
            Field("end_first", "first row read for the panel end", "no."),
            Field("end_last", "last row read for it", "no."),
            Field("run_first", "row of its run as the first construction", "no."),
            Field("run_last", "row of its run as the last one", "no."),
            *([Field("seam_row", "row of what its other runs bring", "no.")] if frame.changes else []),
            Field("at_panel", "has an end elsewhere", "no."),
            *(Field(f"met_{n}", f"row of stretch {n} of its other runs", "no.") for n, _ in enumerate(met, start=1)),
            *([Field("run_left", "feeding run is still to pull", "0/1")] if frame.pulled else []),
            Field("home_run", "comes from the panel", "0/1"),
            *([Field("control_row", "row of the control cable", "no.")] if frame.control_boxes else []),
            *(Field(f"{level}_code", f"code of {level} and plan", "no.") for level in LEVELS),
        ],
        [
            Column("wired_as", "wired as", "", At("wiring", "wired_as", col("wiring_row")), width=13),
            Column("place", "place of the construction", "no.", At("wiring", "place", col("wiring_row"))),
            Column("makeup_row", "row of the make-up", "no.", makeup_row),
            Column("repeat", "times built", "ea", box("repeat")),
            Column(
                "effort",
                "times built x conditions",
                "ea",
                box("repeat") * box("labor_factor"),
                "labor of the row counts so often",
                "0.00",
            ),
            Column("swapped", "part that is swapped", "1/1", swapped, "0 where wired alike, or begun"),
            Column("box_outcome", "box, found by its fill", "", made("fits", "box_outcome")),
            Column(
                "lacking",
                "things without a size or price",
                "ea",
                _and(
                    when(same(col("box_outcome"), "meets"), 0, 1) + made("costs", "lacking") + run("lacking"),
                    more,
                    "lacking",
                ),
                "boxes without a size, things not in the catalog, prices missing",
            ),
            Column("between_ft", "between the end supports", "ft", between),
            Column("intervals", "intervals between supports", "ea", intervals),
            *(
                Column(d, str(drivers[d]["title"]), str(drivers[d]["unit"]), along[d], str(drivers[d]["source"]))
                for d in drivers_of(frame, "run")
            ),
            Column(
                "sheath_ft",
                "cable or raceway bought",
                "ft",
                _rest(box("run_ft") + run("cable") * box("tails_ft"), left, rest),
                "cable has tails beyond the run, raceway has none",
                "#,##0.0",
            ),
            Column("wire_ft", "run with tails", "ft", _rest(box("with_tails_ft"), left, rest), format="#,##0.0"),
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
            Column("ground_terminations", "ground terminations", "ea", made("makeup", "ground_terminations")),
            Column(
                "ground_ends",
                "ground terminations with the panel end",
                "ea",
                col("ground_terminations") + panel("makeup", "ground_terminations"),
            ),
            Column(
                "run_minutes",
                "labor along the run",
                "min",
                Dot("run_drivers", "rates", "run_drivers", col("place")),
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
            Column(
                "cable_usd",
                "cable, raceway, conductors",
                "USD",
                _and(col("sheath_ft") * run("sheath_all_usd") + col("wire_ft") * run("wires_usd"), more, "usd"),
                format="0.00",
            ),
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
                col("end_usd") + col("cable_usd") + col("connectors_usd") + col("parts_usd"),
                format="0.00",
            ),
            *(left_columns(box("labor_factor")) if frame.pulled else []),
        ],
        {name: array_of(values) for name, values in _rows(frame, met).items()},
        {
            "rows": ["makeup_row", "panel_first"],
            "run_drivers": drivers_of(frame, "run"),
            "measures": ["runs", "sheath_ft", "wire_ft"],
            "codes": [f"{level}_code" for level in LEVELS],
        },
    )


def _rows(frame: Frame, met: Sequence[Sequence[int]]) -> dict[str, Sequence[object] | Array]:
    """Return where the figures of each line stand: a row of every table that it reads."""
    data = frame.box_lines
    boxes, count = frame.job.boxes, len(frame.constructions)
    types, kinds = places_of(frame.types.by_key), places_of(frame.run_kinds)
    areas = area_keys(frame)
    stretches = places_of(frame.stretches)
    pairs = list(zip(map(str, data["stretch_key"]), map(str, data["plan"]), strict=True))
    wirings = wiring_rows(frame)
    keys = {pair: "|".join(pair) for pair in wirings}
    numbers = [int(str(no)) - 1 for no in data["no"]]

    def first(row: int) -> int:
        """Return the row before those of the constructions."""
        return row * count

    def panel_first(number: int) -> int:
        end = frame.types.of_other_end[number]
        return first(types[end]) + 1 if end in types else 0

    def end_first(number: int) -> int:
        """Return the row that is read for the end elsewhere: the box's own, nought times, where there is none."""
        return panel_first(number) or first(types[frame.types.of_box[number]]) + 1

    boxes_with_pair = {n: k for k, n in enumerate(frame.control_boxes)}
    return {
        "box": [boxes[n].source.box for n in numbers],
        **{name: data[name] for name in ("no", "plan")},
        "stretch_row": [stretches[key] + 1 for key, _ in pairs],
        "plan_key": [keys[pair] for pair in pairs],
        "area_key": [areas[boxes[n].source.area or NO_AREA] for n in numbers],
        "wiring_row": [wirings[pair] for pair in pairs],
        "type_first": [first(types[frame.types.of_box[n]]) for n in numbers],
        "panel_first": [panel_first(n) for n in numbers],
        "end_first": [end_first(n) for n in numbers],
        "end_last": [end_first(n) + count - 1 for n in numbers],
        "run_first": [first(kinds[boxes[n].run.kind]) + 1 for n in numbers],
        "run_last": [first(kinds[boxes[n].run.kind]) + count for n in numbers],
        "control_row": [
            boxes_with_pair[n + 1] * len(frame.compared) + frame.compared.index(str(p)) + 1
            if n + 1 in boxes_with_pair
            else 0
            for n, p in zip(numbers, data["plan"], strict=True)
        ],
        "home_run": [int(boxes[n].from_panel) for n in numbers],
        "at_panel": [int(frame.types.of_other_end[n] in types) for n in numbers],
        **({"seam_row": seam_rows(frame)} if frame.changes else {}),
        **{f"met_{n}": [rows[k] for k in numbers] for n, rows in enumerate(met, start=1)},
        "run_left": [int(not boxes[n].source.pulled) for n in numbers],
        **scope_codes(frame),
    }


def _rest(feet: Expr, left: Expr, rest: bool) -> Expr:
    """Return the feet of a run, in what remains those that are still to pull."""
    return feet * left if rest else feet


def wiring_rows(frame: Frame) -> dict[tuple[str, str], int]:
    """Return the row of each stretch in each plan compared."""
    pairs = ((key, p) for key in frame.stretches for p in frame.compared)
    return {pair: n for n, pair in enumerate(pairs, start=1)}


def _and(expr: Expr, more: Mapping[str, Expr], name: str) -> Expr:
    return expr + more[name] if name in more else expr
