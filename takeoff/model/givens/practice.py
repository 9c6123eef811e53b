"""Practice: factors for the conditions of the work, and the learning curve of repeated make-up types."""

from __future__ import annotations

from collections.abc import Callable
from functools import reduce
from operator import mul

from takeoff.engine.aggregates import Pick, SumProducts
from takeoff.engine.chains import Running
from takeoff.engine.expr import Expr, as_expr, begins, call, col, equal, flag, given, ratio, same
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import YES_NO, Column, Field, Table
from takeoff.job.records import NOT_STARTED, PARTLY, WORK_STATES
from takeoff.model.frame import INVENTED, Frame
from takeoff.model.givens.wages import only
from takeoff.wiring.places import NO_AREA, areas_of, kinds_of

AS_AREA = "as the area"
"""Stands where a circuit has no condition of its own."""

MOST_UNITS = 100
"""Boxes of a type over which a learning curve is drawn; the limits of the inputs name the same."""


def area_keys(frame: Frame) -> dict[str, str]:
    """Return the key of every area, made here so that no name of the user is looked up by a formula."""
    return {area: f"A{n:03}" for n, area in enumerate(areas_of(frame.job), start=1)}


def _kinds(frame: Frame) -> list[tuple[str, str, list[str]]]:
    """Return for every kind of condition the name of its column, its title and what it accepts."""
    return [(f"kind_{n}", kind, words) for n, (kind, words) in enumerate(kinds_of(frame.catalogs).items(), start=1)]


def areas_table(frame: Frame) -> Table:
    """The areas: conditions of the work there, and what is already installed."""
    areas, places = area_keys(frame), frame.places
    boxes = [b.source.area or NO_AREA for b in frame.job.boxes]
    return Table(
        "areas",
        "Areas",
        [
            Field("key", "area key", role="key"),
            Field("area", "area", width=30),
            Field("boxes", "rows of the schedule", "ea"),
            *(Field(n, kind, role="input", choices=",".join(words), width=20) for n, kind, words in _kinds(frame)),
            Field("installed_pct", "already installed", "%", "input", maximum=100),
        ],
        [],
        {
            "key": list(areas.values()),
            "area": list(areas),
            "boxes": [boxes.count(area) for area in areas],
            **{
                n: [places.area_conditions.get(area, {}).get(kind, words[0]) for area in areas]
                for n, kind, words in _kinds(frame)
            },
            "installed_pct": [places.installed_pct.get(area, 0) for area in areas],
        },
    )


def area_work_table(frame: Frame) -> Table:
    """The row of every condition of an area, and what remains there."""
    installed = ratio(At("areas", "installed_pct", col("line")), 100, 0)
    return Table(
        "area_work",
        "Conditions of the areas",
        [Field("key", "area key", role="key"), Field("line", "line", "no.")],
        [
            Column(n, f"row of {kind}", "no.", Match("work_conditions", "condition", At("areas", n, col("line"))))
            for n, kind, _ in _kinds(frame)
        ]
        + [Column("left", "remains", "1/1", call("max", 0, as_expr(1) - installed), format="0.00")],
        {"key": list(area_keys(frame).values()), "line": list(range(1, len(area_keys(frame)) + 1))},
    )


def own_work_table(frame: Frame) -> Table:
    """The row of every condition said of a circuit; 0 where the area decides."""
    keys = list(frame.circuit_keys.values())

    unbegun = flag(same(At("circuits", "work_state", col("line")), NOT_STARTED))
    if frame.pulled:
        unbegun = unbegun + flag(same(At("circuits", "work_state", col("line")), PARTLY))

    def row(kind: str) -> Expr:
        return Match("work_conditions", "condition", At("circuits", kind, col("line")), missing_ok=True)

    return Table(
        "own_work",
        "Conditions of the circuits",
        [Field("key", "circuit key", role="key"), Field("line", "line", "no.")],
        [
            *(Column(n, f"row of {kind}", "no.", row(n), f'0: "{AS_AREA}"') for n, kind, _ in _kinds(frame)),
            *(
                Column(f"{n}_open", f"{kind} as the area", "0/1", flag(equal(col(n), 0)))
                for n, kind, _ in _kinds(frame)
            ),
            Column(
                "left", "not started", "0/1", unbegun, "or only some of its runs are pulled" if frame.pulled else ""
            ),
            Column(
                "left_open", "state as the area", "0/1", flag(same(At("circuits", "work_state", col("line")), AS_AREA))
            ),
        ],
        {"key": keys, "line": list(range(1, len(keys) + 1))},
    )


def circuit_fields(frame: Frame) -> tuple[list[Field], dict[str, list[object]]]:
    """Return the fields of the circuit data that say a condition of a circuit, and what they hold."""
    said = frame.places.circuit_conditions
    fields = [
        Field(n, kind, role="input", choices=",".join([AS_AREA, *words]), width=18) for n, kind, words in _kinds(frame)
    ]
    data: dict[str, list[object]] = {
        n: [said.get(c.name, {}).get(kind, AS_AREA) for c in frame.job.circuits] for n, kind, _ in _kinds(frame)
    }
    data["work_state"] = [c.work_state or AS_AREA for c in frame.job.circuits]
    choices = ",".join([AS_AREA, *WORK_STATES, *([PARTLY] if frame.pulled else [])])
    fields.append(Field("work_state", "state of the work", role="input", choices=choices, width=14))
    return fields, data


def remaining(box: Callable[[str], Expr]) -> Expr:
    """Return what part of a box is still to be built: by the state of its circuit, else by the percent of its area."""

    def own(name: str) -> Expr:
        return At("own_work", name, box("circuit_row"))

    return own("left") + At("area_work", "left", box("area_row")) * own("left_open")


def condition_columns(frame: Frame) -> list[str]:
    """Return the columns with the row of the condition of every kind."""
    return [n for n, _, _ in _kinds(frame)]


def box_factor_columns(frame: Frame) -> list[Column]:
    """Return the columns of a box that give its factor: each kind as the circuit says, else as the area."""
    kinds = _kinds(frame)
    factor = reduce(mul, (At("work_conditions", "factor", col(n)) for n, _, _ in kinds))
    return [
        Column("area_row", "row of the area", "no.", Match("area_work", "key", col("area_key"))),
        *(
            Column(
                n,
                f"row of {kind}",
                "no.",
                _own(n) + At("area_work", n, col("area_row")) * _own(f"{n}_open"),
                "as said of the circuit, else as the area",
            )
            for n, kind, _ in kinds
        ),
        Column("labor_factor", "conditions together", "1/1", factor, "product of the factors", "0.000"),
    ]


def _own(name: str) -> Expr:
    return At("own_work", name, col("circuit_row"))


def condition_hours_table(frame: Frame) -> Table:
    """Hours that hang on every condition of the work, in each plan compared: what its factor adds or takes off."""
    rows = list(frame.catalogs["work_conditions"])
    places = {kind: n for n, (_, kind, _) in enumerate(_kinds(frame), start=1)}
    moved = call("absolute", as_expr(1) - ratio(1, col("factor"), 1))
    source = At("work_conditions", "source", col("line"))

    def hours(place: int) -> Expr:
        found = Pick("conditions", col("kind_place"), col("line"))
        minutes = SumProducts("boxes", ["repeat", f"box_outcomes.minutes_{place}"], {}, [found])
        return ratio(minutes * moved, 60, 0)

    return Table(
        "condition_hours",
        "Hours on conditions of the work",
        [
            Field("title", "condition", role="key", width=18),
            Field("condition", "condition key"),
            Field("kind_place", "place of its kind", "no."),
            Field("line", "line", "no."),
            Field("part", "part of the cost"),
        ],
        [
            Column("factor", "factor", "1/1", At("work_conditions", "factor", col("line")), format="0.00"),
            Column("invented", "illustrative", "0/1", flag(begins(source, INVENTED)), format=YES_NO),
            *(
                Column(name, f"hours, {plan}", "h", hours(n), "hours x (1 - 1 / factor)", "0.0")
                for n, (name, plan, _) in enumerate(frame.per_titled("hours"), start=1)
            ),
        ],
        {
            **{name: [r[name] for r in rows] for name in ("title", "condition")},
            "kind_place": [places[str(r["kind"])] for r in rows],
            "line": list(range(1, len(rows) + 1)),
            "part": ["labor"] * len(rows),
        },
        {"hours": [name for name, _ in frame.per_compared("hours")]},
        key="condition",
    )


def learning_table(_: Frame) -> Table:
    """The learning curve: what part of the time of the first unit each one takes, and all up to it."""
    return Table(
        "learning",
        "Learning curve",
        [Field("unit", "box of the type", "no.", role="key")],
        [
            Column(
                "part",
                "part of the first one's time",
                "1/1",
                call("power", col("unit"), only("learning_slope", "exponent")),
                "unit theory: time of unit x = time of the first x x^b",
                "0.0000",
            ),
            Column("together", "all up to it", "1/1", Running(col("part")), format="0.0000"),
        ],
        {"unit": list(range(1, MOST_UNITS + 1))},
        key="unit",
    )


def learning_slope_table(_: Frame) -> Table:
    """The exponent of the learning curve, and the part of the first one's time for which the minutes hold."""
    return Table(
        "learning_slope",
        "Slope of the learning curve",
        [Field("key", "curve", role="key")],
        [
            Column("rate", "learning rate", "1/1", ratio(given("learning_rate_pct"), 100, 1), format="0.000"),
            Column(
                "exponent",
                "exponent b",
                "1/1",
                ratio(call("log10", col("rate")), call("log10", as_expr(1) + 1), 0),
                "log of the rate / log of 2",
                "0.0000",
            ),
        ],
        {"key": ["unit theory"]},
    )


def type_practice_table(frame: Frame) -> Table:
    """What part of the minutes the boxes of a type take on average, with what the crew learns on them."""

    def at(unit: Expr, column: str) -> Expr:
        return At("learning", column, unit)

    keys = list(frame.types.by_key)
    learned = at(col("learned_on"), "together") + col("beyond") * at(col("learned_on"), "part")
    return Table(
        "type_practice",
        "Learning on each type",
        [Field("type", "type", role="key"), Field("line", "line", "no.")],
        [
            Column("count", "built in the job", "ea", At("types", "count", col("line"))),
            Column(
                "learned_on",
                "boxes on which is learned",
                "ea",
                call("max", 1, call("min", col("count"), given("learning_until_unit"))),
            ),
            Column("beyond", "boxes after them", "ea", call("max", 0, col("count") - col("learned_on"))),
            Column("first_ones", "time of all, in times of the first", "ea", learned, format="0.00"),
            Column(
                "average",
                "on average",
                "1/1",
                ratio(col("first_ones"), call("max", 1, col("count")), 1),
                format="0.000",
            ),
            Column(
                "held_at",
                "part for which the minutes hold",
                "1/1",
                at(given("learning_at_unit"), "part"),
                format="0.000",
            ),
            Column(
                "factor",
                "part of the minutes, on average",
                "1/1",
                ratio(col("average"), col("held_at"), 1),
                "1 where nothing is learned, which is so unless the learning rate says otherwise",
                "0.000",
            ),
        ],
        {"type": keys, "line": [keys.index(frame.types.first_of(key)) + 1 for key in keys]},
        key="type",
    )
