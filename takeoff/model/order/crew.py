"""Crew pages: the steps of one box of each type as a job breakdown, counted in two plans, and what changes."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.catalog.rows import Row
from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.chains import PlaceOf
from takeoff.engine.expr import as_expr, call, col, equal, flag, same, when
from takeoff.engine.lookups import At, CellAt, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import NOTHING, Frame
from takeoff.model.givens.constructions import drivers_of, operations_of
from takeoff.model.givens.words import OTHER_THINGS, SAME, word_for
from takeoff.model.order.crew_boxes import SIDES, THINGS

WHERE = {"wire": (0, 1), "armor": (1, -1)}
"""How often a step is done, by the word where: always, and what a wire-type EGC adds; all others are done always."""

AT_PANEL = "ground_bar_ends"
"""The driver that is counted at panels only: no box has it."""

CAPPED = "capped_ends"
"""The driver of single ends that nothing uses."""

UNTIMED_SIGN = "-"

NO_WORDS = "-"
"""Stands where a step has no key point, reason or word of safety."""

SAID = ("said_same", "said_changed", "said_gone")
"""Texts of a step on a page."""


def steps_of(frame: Frame) -> list[Row]:
    """Return the job steps that a box may have, in working order."""
    rows = [row for row in frame.catalogs["job_steps"] if _may_occur(frame, row)]
    return sorted(rows, key=lambda row: float(str(row["place"])))


def _may_occur(frame: Frame, step: Row) -> bool:
    """Say whether any box of the job may need a step: no input of the workbook brings an end that none has."""
    types = frame.types.by_key.values()
    if step["where"] == "isolated":
        return any(t.isolated_ends for t in types)
    if step["driver"] == CAPPED:
        return any(line.ends_in == 1 and not line.terminals + line.leads for t in types for line in t.roles)
    return step["driver"] != AT_PANEL


def crew_steps_table(frame: Frame, keys: Sequence[str]) -> Table:
    """Every step of one box of each type: count and minutes in the two plans, and in words what changes."""
    rows = [(t, step) for t in keys for step in steps_of(frame)]
    drivers, count = drivers_of(frame, "box"), len(frame.constructions)
    operations = {str(o["operation"]): n for n, o in enumerate(operations_of(frame))}
    places = {str(step["job_step"]): n for n, step in enumerate(frame.catalogs["job_steps"], start=1)}
    before, after = col("count_from"), col("count_to")
    mine = {"type": col("type"), "done": 1}
    number = CountSmaller("crew_steps", mine, "order", col("order")) + 1
    stays, gone = flag(same(col("change"), SAME)), flag(equal(col("count_to"), 0))
    thing = [CellAt("crew_boxes", "things", box_row(side), col("thing_place")) for side in SIDES]
    change = call("sign", after - before) & "|" & call("sign", before * after) & "|" & col("differs")
    return Table(
        "crew_steps",
        "Crew pages, steps of one box",
        [
            Field("type", "type", role="key"),
            Field("job_step", "job step", role="key", width=16),
            Field("step_row", "row of the step", "no."),
            Field("order", "order", "ea"),
            Field("driver_place", "column of the quantities", "no."),
            Field("factor", "times the quantity", "ea"),
            Field("always", "done always", "0/1"),
            Field("with_wire", "added by a wire-type EGC", "0/1"),
            Field("thing_place", "column of what may differ", "no."),
            Field("other", "called"),
            Field("timed", "is timed", "0/1"),
            Field("minutes_first", "row before its minutes", "no."),
        ],
        [
            *(column for side in SIDES for column in _side(side)),
            Column(
                "differs",
                "done with another",
                "",
                when(same(*thing), NOTHING, col("other")),
                "another box, fitting or the like, by what the step differs by",
            ),
            Column("change", "what changes", "", word_for("change", change)),
            Column(
                "said_place",
                "how much is said",
                "no.",
                as_expr(1) - stays + gone + 1,
                "1 for a step that stays, 2 with its reason for one that changes, 3 for one that is not done any more",
                width=6,
            ),
            Column("done", "done at all", "0/1", call("sign", before + after)),
            Column("number", "number on the page", "no.", number * col("done"), "0 where it is not done"),
        ],
        {
            "type": [t for t, _ in rows],
            "job_step": [step["job_step"] for _, step in rows],
            "step_row": [places[str(step["job_step"])] for _, step in rows],
            "order": [n for _ in keys for n, _ in enumerate(steps_of(frame), start=1)],
            "driver_place": [drivers.index(str(step["driver"])) + 1 for _, step in rows],
            "factor": [_factor(frame, t, str(step["where"])) for t, step in rows],
            **{n: [_where(step)[k] for _, step in rows] for k, n in enumerate(("always", "with_wire"))},
            "thing_place": [list(THINGS).index(str(step["differs_by"])) + 1 for _, step in rows],
            "other": [OTHER_THINGS.get(str(step["differs_by"]), NOTHING) for _, step in rows],
            "timed": [int(str(step["operation"]) in operations) for _, step in rows],
            "minutes_first": [operations.get(str(step["operation"]), 0) * count for _, step in rows],
        },
    )


def box_row(side: str) -> Match:
    """Return the row of the type of a step on a side."""
    return Match("crew_boxes", "key", col("type") & f"|{side}")


def _where(step: Row) -> tuple[int, int]:
    return WHERE.get(str(step["where"]), (1, 0))


def _factor(frame: Frame, key: str, where: str) -> int:
    """Return how often a step is done for one of what it is counted by, as far as the type decides it."""
    make_up, devices = frame.types.by_key[key], frame.catalogs["devices"]
    if where == "isolated":
        return make_up.isolated_ends
    if where == "no-yoke":
        return sum(devices[d]["connects"] == "leads" and not devices[d]["yokes"] for d in make_up.devices)
    return 1


def _side(side: str) -> list[Column]:
    row = box_row(side)
    count = CellAt("work", "box_drivers", At("crew_boxes", "makeup_row", row), col("driver_place")) * col("factor")
    place = At("crew_boxes", "construction_place", row)
    count = count * (col("always") + col("with_wire") * At("in_use", "wire_egc", place))
    minutes = At("steps", "minutes_each", col("minutes_first") + place)
    return [
        Column(f"count_{side}", f"count, {side}", "ea", count, "counted quantity of one box"),
        Column(
            f"minutes_{side}",
            f"minutes, {side}",
            "min",
            when(equal(col("timed"), 0), UNTIMED_SIGN, col(f"count_{side}") * minutes),
            "count x minutes for one; - where the step is not timed",
            "0.0",
        ),
    ]


def step_texts_table(frame: Frame) -> Table:
    """What a page says of a step: as it stays, with its reason where it changes, and where it is not done any more."""
    steps = frame.catalogs["job_steps"]

    def part(name: str, lead: str) -> Column:
        text = col(name)
        return Column(
            f"says_{name}", f"{name.replace('_', ' ')}, said", "", when(same(text, NO_WORDS), "", as_expr(lead) & text)
        )

    def read(name: str) -> Column:
        return Column(name, name.replace("_", " "), "", At("job_steps", name, col("step_row")))

    how, safety = col("step") & col("says_key_point"), col("says_safety")
    texts = (how & safety, how & col("says_reason") & safety, col("step") & ": not done any more")
    titles = ("where it stays", "where it changes", "where it is gone")
    return Table(
        "step_texts",
        "Crew pages, words of the steps",
        [Field("job_step", "job step", role="key"), Field("step_row", "row of the step", "no.")],
        [
            *(read(name) for name in ("step", "key_point", "reason", "safety")),
            part("key_point", ": "),
            part("reason", ". WHY: "),
            part("safety", ". SAFETY: "),
            *(
                Column(n, f"said {t}", "", text, "one of three texts of a page", width=20)
                for n, t, text in zip(SAID, titles, texts, strict=True)
            ),
        ],
        {"job_step": [row["job_step"] for row in steps], "step_row": list(range(1, len(steps) + 1))},
        {"said": list(SAID)},
    )


def crew_lines_table(frame: Frame, keys: Sequence[str]) -> Table:
    """The lines of each page: the steps that are done in one of the two plans, in order, without gaps."""
    count = len(steps_of(frame))
    rows = [(place, t, n) for place, t in enumerate(keys) for n in range(1, count + 1)]
    found = PlaceOf(col("line"), "crew_steps", "number", col("first"), col("last"), missing_ok=True)

    def shown(name: str, title: str, unit: str = "", form: str = "") -> Column:
        return Column(name, title, unit, At("crew_steps", name, col("line_row"), ""), format=form)

    said = CellAt("step_texts", "said", col("step_row"), col("said_place"))
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
            Column(
                "said_place",
                "how much is said",
                "no.",
                At("crew_steps", "said_place", col("line_row"), 0),
                "as it stays, changes or is gone",
            ),
            Column("number", "number", "no.", when(equal(col("line_row"), 0), "", col("line"))),
            Column("says", "step, in words", "", when(equal(col("line_row"), 0), "", said), width=90),
            shown("count_from", "count, from", "ea", "0"),
            shown("minutes_from", "minutes, from", "min", "0.0"),
            shown("count_to", "count, to", "ea", "0"),
            shown("minutes_to", "minutes, to", "min", "0.0"),
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
    *("number", "says"),
    *("count_from", "minutes_from", "count_to", "minutes_to", "change"),
)
"""Columns of the lines whose formulas stand on the crew pages themselves."""
