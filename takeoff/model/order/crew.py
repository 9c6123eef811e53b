"""Crew pages: the most frequent make-up types in two plans side by side, and the steps of one box as a job breakdown.

The construction of a page is the preferred one of the plan where it wires any box of the type in it, else
the one that it wires most of them in: nobody is taught a construction that a rule refuses where the box stands.
"""

from __future__ import annotations

from takeoff.catalog.job_steps import FROM, TO
from takeoff.catalog.rows import Row
from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.chains import PlaceOf
from takeoff.engine.expr import Head, as_expr, begins, call, col, equal, given, ratio, same, when
from takeoff.engine.lookups import At, CellAt, Match, PlaceAcross, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.job.inputs import Inputs
from takeoff.model.boxes.types import CONTROL_COUNTS
from takeoff.model.frame import Frame
from takeoff.model.givens.constructions import drivers_of, operations_of
from takeoff.model.givens.words import word_for

SIDES = ("from", "to")
"""The two plans side by side: what the crew knows, and what it learns."""

AT_PANEL = "ground_bar_ends"
"""The driver that is counted at panels only: no box has it."""

UNTIMED_SIGN = "-"
BOXES = " boxes of this type, box "
MARK = "; connectors marked "
ALIKE, MARKED = "NOTHING CHANGES HERE", "what changes stands below"


def crew_keys(frame: Frame, inputs: Inputs) -> list[str]:
    """Return the make-up types that get a page: the most frequent boxes."""
    boxes = [key for key, make_up in frame.types.by_key.items() if make_up.place == "box" and not make_up.others]
    return boxes[: int(inputs["crew_types"])]


def steps_of(frame: Frame) -> list[Row]:
    """Return the job steps that a box may have, in working order."""
    rows = [row for row in frame.catalogs["job_steps"] if row["driver"] != AT_PANEL]
    return sorted(rows, key=lambda row: float(str(row["place"])))


def crew_boxes_table(frame: Frame, inputs: Inputs) -> Table:
    """One row for each type of a page in each of the two plans: what it is wired in, its counts, fill and box."""
    rows = [(t, side) for t in crew_keys(frame, inputs) for side in SIDES]
    constructions = list(enumerate(frame.constructions, start=1))
    rank = [f"rank_{n}" for n, _ in constructions]
    preferred = begins(col("members"), Head() & " ")
    count = CellAt("built", "counts", Match("makeup", "key", col("type") & "|" & Head()), col("plan_place"))
    construction = At("in_use", "row", Match("in_use", "construction", col("wired_as")))

    fitting = Match("fittings", "fitting_family", At("in_use", "fitting_family", col("construction_place")))

    def made(table: str, name: str, title: str, unit: str = "ea", form: str = "") -> Column:
        return Column(name, title, unit, At(table, name, col("makeup_row")), format=form)

    def of_type(name: str, title: str) -> Column:
        return Column(name, title, "ea", look("types", name, col("type"), by="type"))

    def near(name: str, title: str) -> Column:
        return Column(name, title, "ft", look("in_use", name, col("wired_as"), by="construction"), format="0.0")

    ends = col("circuit_terminations") & "|" & col("ground_terminations") & "|" & col("ground_pigtails")
    other = col("type") & "|" & when(same(col("side"), SIDES[0]), SIDES[1], SIDES[0])
    room = call("up", col("sum_in3") * 1000) & "|" & col("chosen_box")
    return Table(
        "crew_boxes",
        "Crew pages, figures of one box",
        [
            Field("key", "key", role="key", width=12),
            Field("type", "type", role="key"),
            Field("side", "side", role="key"),
        ],
        [
            Column("plan", "plan", "", when(same(col("side"), SIDES[0]), given(FROM), given(TO)), width=14),
            Column("plan_place", "place of the plan", "no.", Match("plan_sums", "plan", col("plan"))),
            Column("members", "constructions of the plan", "", look("plans", "members", col("plan")) & " ", width=30),
            Column("built", "built in the job", "ea", look("types", "count", col("type"), by="type"), format="#,##0"),
            *(Column(f"wired_{n}", f"wired in {m}", "ea", count, format="#,##0", head=m) for n, m in constructions),
            *(
                Column(
                    f"rank_{n}",
                    f"rank of {m}",
                    "no.",
                    when(preferred, col(f"wired_{n}") * col("built"), col(f"wired_{n}")),
                    "boxes wired so; the preferred construction of the plan goes before all others",
                    head=m,
                )
                for n, m in constructions
            ),
            Column("highest", "highest rank", "no.", call("max", *(col(n) for n in rank))),
            Column("construction_place", "place of the construction", "no.", PlaceAcross("rank", col("highest"))),
            Column(
                "wired_as",
                "wired as",
                "",
                At("in_use", "construction", col("construction_place")),
                "the preferred construction of the plan where any box of the type has it, else that of most of them",
                width=14,
            ),
            Column("title", "construction", "", At("constructions", "title", construction), width=40),
            Column("marking", "marking on the carton", "", At("fittings", "marking", fitting), width=30),
            Column(
                "makeup_row", "row of the make-up", "no.", Match("makeup", "key", col("type") & "|" & col("wired_as"))
            ),
            Column(
                "so", "wired so", "ea", CellAt("built", "counts", col("makeup_row"), col("plan_place")), format="#,##0"
            ),
            of_type("circuit_terminations", "circuit terminations"),
            made("makeup", "ground_terminations", "ground terminations"),
            of_type("circuit_splices", "circuit splices"),
            *(of_type(n, n.replace("_", " ")) for n in CONTROL_COUNTS if frame.control_boxes),
            made("makeup", "ground_splices", "ground splices"),
            made("work", "ground_pigtails", "ground pigtails and jumpers"),
            made("makeup", "egc_ends", "EGC ends that come in"),
            made("fits", "sum_in3", "sum of fill", "in3", "0.00"),
            made("fits", "fill_in3", "box fill", "in3", "0.00"),
            made("fits", "chosen_box", "chosen box", ""),
            made("fits", "chosen_volume_in3", "its volume", "in3", "0.0"),
            Column(
                "full_pct",
                "box full",
                "%",
                ratio(col("sum_in3") * 100, col("chosen_volume_in3"), 0),
                "fill of the chosen box; 0 where there is none",
                format="0",
            ),
            near("near_ft", "secured within"),
            near("interval_ft", "secured every"),
            made("work", "minutes", "labor in the box", "min", "0.0"),
            Column("ends", "ends in the drawing", "", col("wired_as") & "|" & ends, width=24),
            Column(
                "drawn",
                "what the drawing shows",
                "",
                col("ends") & "|" & room,
                "construction, terminations, ground pigtails, fill in thousandths, box: a drawing holds while it is so",
                width=44,
            ),
            Column(
                "says_plan",
                "plan, in words",
                "",
                as_expr("plan ") & col("plan") & ": wired as " & col("wired_as") & MARK & col("marking"),
                width=40,
            ),
            Column("says_boxes", "boxes, in words", "", col("so") & " of " & col("built") & BOXES, width=40),
            Column(
                "says_wired",
                "construction, in words",
                "",
                col("title") & "; " & col("says_boxes") & col("chosen_box"),
                width=60,
            ),
            Column("other_row", "row of the other side", "no.", Match("crew_boxes", "key", other)),
            Column(
                "says_change",
                "what changes, in words",
                "",
                when(same(col("drawn"), At("crew_boxes", "drawn", col("other_row"))), ALIKE, MARKED),
                width=60,
            ),
        ],
        {"key": [f"{t}|{s}" for t, s in rows], "type": [t for t, _ in rows], "side": [s for _, s in rows]},
        {"rank": rank},
    )


def crew_steps_table(frame: Frame, inputs: Inputs) -> Table:
    """Every step of one box of each type: count and minutes in the two plans, and in words what changes."""
    rows = [(t, step) for t in crew_keys(frame, inputs) for step in steps_of(frame)]
    drivers, count = drivers_of(frame, "box"), len(frame.constructions)
    operations = {str(o["operation"]): n for n, o in enumerate(operations_of(frame))}
    places = {str(step["job_step"]): n for n, step in enumerate(frame.catalogs["job_steps"], start=1)}
    before, after = col("count_from"), col("count_to")
    mine = {"type": col("type"), "done": 1}
    number = CountSmaller("crew_steps", mine, "order", col("order")) + 1
    change = call("sign", after - before) & "|" & call("sign", before * after)
    return Table(
        "crew_steps",
        "Crew pages, steps of one box",
        [
            Field("type", "type", role="key"),
            Field("job_step", "job step", role="key", width=18),
            Field("step_row", "row of the step", "no."),
            Field("order", "order", "ea"),
            Field("driver_place", "column of the quantities", "no."),
            Field("timed", "is timed", "0/1"),
            Field("minutes_first", "row before its minutes", "no."),
        ],
        [
            *(column for side in SIDES for column in _side(side)),
            Column("change", "what changes", "", word_for("change", change)),
            Column("done", "done at all", "0/1", call("sign", before + after)),
            Column("number", "number on the page", "no.", number * col("done"), "0 where it is not done"),
        ],
        {
            "type": [t for t, _ in rows],
            "job_step": [step["job_step"] for _, step in rows],
            "step_row": [places[str(step["job_step"])] for _, step in rows],
            "order": [n for _ in crew_keys(frame, inputs) for n, _ in enumerate(steps_of(frame), start=1)],
            "driver_place": [drivers.index(str(step["driver"])) + 1 for _, step in rows],
            "timed": [int(str(step["operation"]) in operations) for _, step in rows],
            "minutes_first": [operations.get(str(step["operation"]), 0) * count for _, step in rows],
        },
    )


def _side(side: str) -> list[Column]:
    row = Match("crew_boxes", "key", col("type") & f"|{side}")
    count = CellAt("work", "box_drivers", At("crew_boxes", "makeup_row", row), col("driver_place"))
    minutes = At("steps", "minutes_each", col("minutes_first") + At("crew_boxes", "construction_place", row))
    return [
        Column(f"count_{side}", f"count, {side}", "ea", count, "counted quantity of one box"),
        Column(f"minutes_{side}", f"minutes, {side}", "min", col(f"count_{side}") * minutes * col("timed"), "", "0.0"),
        Column(
            f"shown_{side}",
            f"minutes shown, {side}",
            "min",
            when(equal(col("timed"), 0), UNTIMED_SIGN, col(f"minutes_{side}")),
            "count x minutes for one; - where the step is not timed",
            "0.0",
        ),
    ]


def crew_lines_table(frame: Frame, inputs: Inputs) -> Table:
    """The lines of each page: the steps that are done in one of the two plans, in order, without gaps."""
    count = len(steps_of(frame))
    types = crew_keys(frame, inputs)
    rows = [(place, t, n) for place, t in enumerate(types) for n in range(1, count + 1)]
    found = PlaceOf(col("line"), "crew_steps", "number", col("first"), col("last"), missing_ok=True)

    def shown(name: str, title: str, unit: str = "", form: str = "") -> Column:
        return Column(name, title, unit, At("crew_steps", name, col("line_row"), ""), format=form)

    def words(name: str, title: str) -> Column:
        return Column(name, title, "", At("job_steps", name, col("step_row"), ""), width=44)

    return Table(
        "crew_lines",
        "Crew pages, line by line",
        [
            Field("type", "type", role="key"),
            Field("line", "line", "ea", role="key"),
            Field("first", "first of its steps", "no."),
            Field("last", "last of its steps", "no."),
        ],
        [
            Column("line_row", "row of the line", "no.", found),
            Column("step_row", "row of the step", "no.", At("crew_steps", "step_row", col("line_row"), 0)),
            Column("number", "number", "no.", when(equal(col("line_row"), 0), "", col("line"))),
            words("step", "step"),
            words("key_point", "key point"),
            words("reason", "reason"),
            words("safety", "safety"),
            shown("count_from", "count, from", "ea", "0"),
            shown("shown_from", "minutes, from", "min", "0.0"),
            shown("count_to", "count, to", "ea", "0"),
            shown("shown_to", "minutes, to", "min", "0.0"),
            shown("change", "what changes"),
        ],
        {
            "type": [t for _, t, _ in rows],
            "line": [n for *_, n in rows],
            "first": [place * count + 1 for place, *_ in rows],
            "last": [(place + 1) * count for place, *_ in rows],
        },
    )


ON_THE_PAGE = (
    *("number", "step", "key_point", "reason", "safety"),
    *("count_from", "shown_from", "count_to", "shown_to", "change"),
)
"""Columns of the lines whose formulas stand on the crew pages themselves."""
