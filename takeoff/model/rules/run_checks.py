"""Every kind of run in every construction: its ground conductor, and what its conductors carry."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from takeoff.engine.expr import col, equal, flag
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.job.records import UNKNOWN
from takeoff.model.frame import Frame
from takeoff.model.givens.facts import said_columns
from takeoff.model.rules.ampacity import ampacity_columns
from takeoff.model.rules.ground_size import asked_columns, ground_columns
from takeoff.wiring.asked import LOAD_KIND
from takeoff.wiring.circuits import TestedRun, count_receptacles, switches_without_neutral

GENERAL = "general"
"""Kind of load where no article of its own sizes conductors and breaker."""


def alikes_table(frame: Frame) -> Table:
    """The kinds of circuit: what the rules see of a circuit, whatever its length and load."""
    found = frame.alikes
    kinds = Counter(frame.alike_of.values())
    circuits = [stretch.circuit for stretch in found.values()]
    whole = [frame.circuit_of(stretch) for stretch in found.values()]
    asked = {fact: n for n, fact in enumerate(frame.facts_asked, start=1)}
    return Table(
        "alikes",
        "Kinds of circuit",
        [
            Field("alike", "kind of circuit", role="key", width=9),
            Field("circuits", "circuits alike", "ea"),
            Field("first", "such as"),
            Field("breaker_a", "breaker", "A"),
            Field("volts", "voltage", "V"),
            Field("poles", "poles", "ea"),
            Field("receptacles", "receptacles", "ea"),
            Field("bare_switches", "switch boxes without neutral", "ea"),
            Field("spaces", "kinds of space", width=20),
            Field("load_fact", "row of the fact", "no."),
        ],
        [
            Column("load_kind", "kind of load", "", At("facts_asked", "answer", col("load_fact"), GENERAL)),
            *said_columns("load", "breaker above the conductors", "load", col("load_kind")),
        ],
        {
            "alike": list(found),
            "circuits": [kinds[kind] for kind in found],
            "first": [stretch.name for stretch in found.values()],
            **{n: [getattr(c, n) for c in circuits] for n in ("breaker_a", "volts", "poles")},
            "receptacles": [count_receptacles(boxes) for boxes in whole],
            "bare_switches": [switches_without_neutral(stretch.boxes) for stretch in found.values()],
            "load_fact": [asked.get((kind, LOAD_KIND), 0) for kind in found],
            "spaces": [" ".join(frame.spaces_of(kind)) for kind in found],
        },
        key="alike",
    )


def run_tests_table(frame: Frame) -> Table:
    """One row for each kind of run behind a breaker in each construction."""
    rows = [(run, place, m) for run, place in frame.tested_runs.items() for m in frame.constructions]
    first = {ways: m for m, ways in reversed(_ways(frame).items())}
    carrying = {(place, m): n for n, (_, place, m) in enumerate(_carrying(frame), start=1)}
    columns = [
        *_row_columns(),
        Column("run_row", "row of the run", "no.", Match("runs", "key", col("kind") & "|" & col("construction"))),
        Column("no_cable", "not in the catalog", "0/1", At("runs", "no_cable", col("run_row"))),
        Column("in_catalog", "in the catalog", "0/1", flag(equal(col("no_cable"), 0))),
        *(replace(c, expr=At("ampacities", c.name, col("carried"))) for c in _carried_columns()),
        *ground_columns(),
    ]
    carried = [carrying[place, first[_ways(frame)[m]]] for _, place, m in rows]
    title = "Kinds of run in every construction: ground conductor and ampacity"
    return _runs_table("run_tests", title, rows, columns, {"carried": carried})


def ampacities_table(frame: Frame) -> Table:
    """One row for each kind of run in cable or raceway: what its conductors carry, what its breaker asks for."""
    columns = [*_row_columns(), *_carried_columns()]
    return _runs_table("ampacities", "Kinds of run: ampacity", _carrying(frame), columns, {})


def _ways(frame: Frame) -> dict[str, tuple[object, object]]:
    """Return for each construction what its ampacity depends on: kind of wiring, column in thermal insulation."""
    catalog = frame.catalogs["constructions"]
    return {m: (catalog[m]["wiring_kind"], catalog[m]["insulation_c"]) for m in frame.constructions}


def _carrying(frame: Frame) -> list[tuple[TestedRun, int, str]]:
    """Return each kind of run with its place, and the first construction of every way that ampacity knows."""
    first = {ways: m for m, ways in reversed(_ways(frame).items())}
    mine = [m for m in frame.constructions if m in first.values()]
    return [(run, place, m) for run, place in frame.tested_runs.items() for m in mine]


def _row_columns() -> list[Column]:
    return [
        Column(
            "construction_row", "row of the construction", "no.", Match("in_use", "construction", col("construction"))
        ),
        Column("size_row", "row of the size", "no.", Match("sizes", "awg", col("awg"))),
    ]


def _carried_columns() -> list[Column]:
    return [*ampacity_columns(), *asked_columns()]


def _runs_table(
    name: str,
    title: str,
    rows: Sequence[tuple[TestedRun, int, str]],
    columns: Sequence[Column],
    more: Mapping[str, Sequence[object]],
) -> Table:
    """Return a table of kinds of run, each in some constructions."""
    lines = [run.line for run, *_ in rows]
    return Table(
        name,
        title,
        [
            Field("test", "kind of run", "no.", role="key"),
            Field("construction", "construction", role="key", width=13),
            Field("kind", "run kind"),
            Field("awg", "size", "AWG"),
            Field("ungrounded", "ungrounded conductors", "ea"),
            Field("neutrals", "neutrals", "ea"),
            Field("shared", "one neutral for three hots", "0/1"),
            Field("breaker_a", "breaker", "A"),
            Field("several", "several receptacles", "0/1"),
            Field("insulation_said", "schedule says of insulation", "0/1"),
            Field("in_insulation", "in thermal insulation, as said", "0/1"),
            Field("jacketed", "cable with an overall jacket", "0/1"),
            *(Field(n, "row of what it carries", "no.") for n in more),
        ],
        columns,
        {
            "test": [place for _, place, _ in rows],
            "construction": [m for *_, m in rows],
            **{n: [getattr(line, n) for line in lines] for n in ("kind", "awg", "ungrounded", "neutrals")},
            "shared": [int(line.neutrals == 1 and line.hots == 3) for line in lines],
            "breaker_a": [run.breaker_a for run, *_ in rows],
            "several": [int(run.several_receptacles) for run, *_ in rows],
            "insulation_said": [int(run.in_insulation != UNKNOWN) for run, *_ in rows],
            "in_insulation": [int(run.in_insulation == "yes") for run, *_ in rows],
            "jacketed": [int(run.jacketed) for run, *_ in rows],
            **more,
        },
        key="test",
    )


OUTCOMES = (
    ("no_cable", "not in the catalog", "0/1"),
    ("egc_size", "EGC size", ""),
    ("egc_increase", "EGC increased", ""),
    ("overcurrent", "breaker and conductors", ""),
    ("usable_a", "conductors carry", "A"),
)
"""What the checks of a kind of circuit read of its runs: column, title, unit."""


def option_runs_table(frame: Frame) -> Table:
    """The runs of each kind of circuit in each construction, with the outcome of their tests."""
    count = len(frame.constructions)
    rows = [
        (kind, m, (frame.tested_runs[run] - 1) * count + place)
        for kind in frame.alikes
        for place, m in enumerate(frame.constructions, start=1)
        for run in frame.runs_tested(kind)
    ]
    return Table(
        "option_runs",
        "Runs of each kind of circuit",
        [
            Field("option", "kind of circuit and construction", role="key", width=18),
            Field("line", "line of the test", "no."),
        ],
        [Column(n, title, unit, At("run_tests", n, col("line"))) for n, title, unit in OUTCOMES],
        {"option": [f"{kind}|{m}" for kind, m, _ in rows], "line": [line for *_, line in rows]},
        key="option",
    )
