"""Boxes where old meets new: runs that are pulled already beside runs that the plan swapped to wires otherwise.

Each is made up as the model makes up boxes where constructions meet; against it stand the same box with all of its
runs as in the plan swapped from, and with all of them in what it meets.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import reduce
from operator import add

from takeoff.engine.expr import Expr, col, ratio
from takeoff.engine.lookups import At, CellAt
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame, places_of
from takeoff.model.givens.wages import labor_rate, only
from takeoff.model.swap.swap import CENTS
from takeoff.wiring.places import NO_AREA
from takeoff.wiring.tree import WiredBox

BUILT, OLD, NEW = "built", "old", "new"
"""How a box is made up: as it is built, all of it as in the plan swapped from, all of it in what it meets."""


@dataclass(frozen=True)
class Meeting:
    """A box where old meets new: its number, what runs are pulled in, a box fed by a new run, those fed apart."""

    number: int
    box: WiredBox
    pulled_in: str
    new: int
    ends: Sequence[int]


def meetings(frame: Frame) -> list[Meeting]:
    """Return the boxes into which runs come that are pulled and, in another stretch, runs that are not."""
    boxes = frame.job.boxes
    numbers = {id(box): n for n, box in enumerate(boxes, start=1)}
    fed: dict[int, list[WiredBox]] = {}
    for box in boxes:
        if box.upstream is not None:
            fed.setdefault(id(box.upstream), []).append(box)
    found = []
    for place in frame.types.seams:
        box = boxes[place]
        apart = [numbers[id(one)] for one in fed[id(box)] if one.run.stretch != box.run.stretch]
        runs = [box, *fed[id(box)]]
        old = next((one for one in runs if one.source.pulled), None)
        new = [one for one in runs if old and not one.source.pulled and one.run.stretch != old.run.stretch]
        if old and new:
            pulled_in = old.held or old.home or box.circuit.construction
            found.append(Meeting(place + 1, box, pulled_in, numbers[id(new[0])], apart))
    return found


def mixed_tables(frame: Frame) -> list[Table]:
    """Return the boxes where old meets new and what they are worked from; nothing where there is none."""
    found = meetings(frame) if frame.pulled else []
    return [_work_table(frame, found), _boxes_table(found)] if found else []


def _work_table(frame: Frame, found: Sequence[Meeting]) -> Table:
    """Return the workings: where each make-up stands, and what the box takes and costs in it."""
    most = range(1, max(len(m.ends) for m in found) + 1)
    count = len(frame.constructions)
    built, new = only("base", "to_place"), At("each", "place", col("new_line"))
    rows_new = [f"rows_{n}" for n in range(1, count + 1)]

    def line_of(stem: str, plan: Expr) -> Expr:
        return col(f"{stem}_before") + plan * col(f"{stem}_boxes")

    make_ups = {
        BUILT: At("each", "makeup_row", col("built_line")),
        OLD: At("each", "makeup_row", col("old_line")),
        NEW: col("type_first") + new + CellAt("mixed_work", "rows_new", col("line"), new),
    }

    def end_of(n: int) -> dict[str, Expr]:
        """Return the rows of what is done at the end of another run here; 0 where there is none."""
        there = col(f"end_{n}_here")
        lines = {BUILT: line_of(f"end_{n}", built), OLD: line_of(f"end_{n}", only("base", "from_place"))}
        places = {kind: At("each", "place", line * there, 0) for kind, line in lines.items()}
        return {kind: (col(f"end_{n}_first") + place) * there for kind, place in {**places, NEW: new}.items()}

    def summed(table: str, name: str, kind: str) -> Expr:
        return reduce(add, (At(table, name, col(f"end_{n}_{kind}"), 0) for n in most), At(table, name, col(kind)))

    def figures(kind: str, said: str) -> list[Column]:
        minutes, material = summed("work", "job_minutes", kind), summed("costs", "material_usd", kind)
        return [
            Column(f"{kind}_min", f"labor, {said}", "min", minutes * col("labor_factor"), format="0.0"),
            Column(f"{kind}_material", f"material, {said}", "USD", material, "box, connectors, small parts", "0.00"),
            Column(
                f"{kind}_usd",
                f"labor and material, {said}",
                "USD",
                ratio(col(f"{kind}_min") * labor_rate(), 60, 0) + col(f"{kind}_material"),
                format="0.00",
            ),
        ]

    def over(kind: str, said: str) -> Column:
        more = (col("built_usd") - col(f"{kind}_usd")) * col("times")
        return Column(
            f"over_{kind}_usd", f"more than {said}", "USD", more, "all times built, as far as it remains", CENTS
        )

    titles = {BUILT: "as built", OLD: "as in the plan swapped from", NEW: "all in what it meets"}
    data = _work_data(frame, found, most, rows_new)
    fields = [Field("line", "line", "no.", role="key")]
    fields += [Field(name, name.replace("_", " "), "no.") for name in data if name != "line"]
    fields.append(Field("pulled_in", "pulled in", width=14))
    data["pulled_in"] = [m.pulled_in for m in found]
    ends = {n: end_of(n) for n in most}
    return Table(
        "mixed_work",
        "Boxes where old meets new, workings",
        fields,
        [
            Column("built_line", "line, plan swapped to", "no.", line_of("box", built)),
            Column("old_line", "line, plan swapped from", "no.", line_of("box", only("base", "from_place"))),
            Column("new_line", "line of a run that is new", "no.", line_of("new", built)),
            Column("meets", "meets", "", At("each", "wired_as", col("new_line")), width=14),
            *(Column(kind, f"row of the make-up, {titles[kind]}", "no.", row) for kind, row in make_ups.items()),
            *(
                Column(f"end_{n}_{kind}", f"row of the end of run {n}, {titles[kind]}", "no.", row)
                for n in most
                for kind, row in ends[n].items()
            ),
            Column(
                "labor_factor", "conditions together", "1/1", At("boxes", "labor_factor", col("no")), format="0.000"
            ),
            Column(
                "times",
                "times built, as far as it remains",
                "ea",
                At("each", "repeat", col("built_line")) * At("each", "swapped", col("built_line")),
                format="#,##0.0",
            ),
            *(column for kind in make_ups for column in figures(kind, titles[kind])),
            over(OLD, "all old"),
            over(NEW, "all new"),
        ],
        data,
        {"rows_new": rows_new},
        key="line",
    )


def _work_data(
    frame: Frame, found: Sequence[Meeting], most: Sequence[int], rows_new: Sequence[str]
) -> dict[str, list[object]]:
    """Return where the lines, make-ups and ends of each box stand."""
    types, count = places_of(frame.types.by_key), len(frame.constructions)
    stretch = frame.stretch_of_box

    def before(number: int) -> tuple[int, int]:
        """Return the line before those of a box in the plans, and how far they stand from each other."""
        boxes = len(frame.stretches[stretch[id(frame.job.boxes[number - 1])]].boxes)
        return frame.lines_of[frame.compared[0]][number - 1] - boxes, boxes

    def other_end(number: int) -> int:
        return types[frame.types.of_other_end[number - 1]] * count

    data: dict[str, list[object]] = {
        "line": list(range(1, len(found) + 1)),
        "no": [m.number for m in found],
        "type_first": [types[frame.types.of_box[m.number - 1]] * count for m in found],
    }
    for stem, number_of in _numbers(most):
        pairs = [before(number_of(m) or m.number) for m in found]
        data |= {f"{stem}_before": [a for a, _ in pairs], f"{stem}_boxes": [b for _, b in pairs]}
    for n in most:
        data[f"end_{n}_here"] = [int(n <= len(m.ends)) for m in found]
        data[f"end_{n}_first"] = [other_end(m.ends[n - 1]) if n <= len(m.ends) else 0 for m in found]
    for name, construction in zip(rows_new, frame.constructions, strict=True):
        steps = [frame.types.seams[m.number - 1].steps.values() for m in found]
        data[name] = [sum(by[construction] for by in of) * count for of in steps]
    return data


def _numbers(most: Sequence[int]) -> list[tuple[str, Callable[[Meeting], int]]]:
    """Return whose lines are looked up: the box, one fed by a new run, those at the far end of runs apart."""

    def end(n: int) -> Callable[[Meeting], int]:
        return lambda m: m.ends[n - 1] if n <= len(m.ends) else 0

    named: list[tuple[str, Callable[[Meeting], int]]] = [("box", lambda m: m.number), ("new", lambda m: m.new)]
    return [*named, *((f"end_{n}", end(n)) for n in most)]


def _boxes_table(found: Sequence[Meeting]) -> Table:
    """Return the boxes where old meets new, for reading."""

    def work(name: str) -> Expr:
        return At("mixed_work", name, col("line"))

    def made(table: str, name: str, title: str, unit: str = "ea", form: str = "") -> Column:
        return Column(name, title, unit, At(table, name, work(BUILT)), format=form)

    return Table(
        "mixed_boxes",
        "Boxes where old meets new: made up with both",
        [
            Field("where", "box, circuit, area", role="key", width=42),
            Field("line", "line", "no."),
        ],
        [
            Column("pair", "pulled in, meets", "", work("pulled_in") & ", " & work("meets")),
            made("makeup", "ground_terminations", "grounds made up"),
            made("makeup", "ground_splices", "ground splices"),
            made("fits", "fill_in3", "box fill", "in3", "0.00"),
            Column("minutes", "labor of one", "min", work("built_min"), "with the ends of the runs apart", "0.0"),
            Column("over_old_usd", "more than all old", "USD", work("over_old_usd"), "is in the saving", CENTS),
            Column(
                "over_new_usd",
                "more than all new",
                "USD",
                work("over_new_usd"),
                "what starting mid-circuit costs",
                CENTS,
            ),
            made("fits", "chosen_box", "box", ""),
        ],
        {
            "where": [f"{m.box.source.box}, {m.box.circuit.name}, {m.box.source.area or NO_AREA}" for m in found],
            "line": list(range(1, len(found) + 1)),
        },
        key="where",
        totals=["over_old_usd", "over_new_usd"],
        exposed=["over_old_usd", "over_new_usd"],
    )
