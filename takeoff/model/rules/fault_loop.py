"""The ground path under a fault: loop, current, pickup, heat, and what a fitting and its conductor withstand.

Advice, not a check of the code beyond 250.4(A)(5): a fault study with the impedances of the site decides.
"""

from __future__ import annotations

from takeoff.engine.chains import Highest, PlaceOf
from takeoff.engine.expr import Expr, at_most, call, col, equal, flag, given, ratio, when
from takeoff.engine.lookups import At, CellAt, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.inputs import sound
from takeoff.model.rules.paths import KFT

SCREENING = "screening"
"""Outcome of a fault path that is long enough, but on illustrative figures."""


def far_ends_table(frame: Frame) -> Table:
    """What a ground fault in a circuit starts from, whatever its construction, and where its boxes stand."""
    sizes = [len(boxes) for boxes in frame.boxes_of_circuit.values()]
    firsts = [sum(sizes[:n]) + 1 for n in range(len(sizes))]
    first, last = col("first"), col("last")

    return Table(
        "far_ends",
        "Circuits under a fault",
        [
            Field("key", "circuit key", role="key"),
            Field("first", "first place", "no."),
            Field("last", "last place", "no."),
        ],
        [
            Column("circuit_row", "row of the circuit", "no.", Match("circuits", "key", col("key"))),
            Column("circuit", "circuit", "", At("circuits", "circuit", col("circuit_row"))),
            Column("drop_pct", "most voltage drop", "%", Highest("paths", "drop_pct", first, last), format="0.00"),
            Column(
                "to_ground_v",
                "to ground",
                "V",
                At("voltages", "to_ground_v", At("circuits", "alike_row", col("circuit_row"))),
            ),
            Column("breaker_a", "breaker", "A", At("circuits", "breaker_a", col("circuit_row"))),
            Column("pickup_a", "pickup", "A", col("breaker_a") * given("pickup_times_rating"), "at once", "#,##0"),
            Column("wanted_a", "fault wanted", "A", col("pickup_a") * given("wanted_ratio"), format="#,##0"),
            Column(
                "allowed_ohm", "loop at most", "ohm", ratio(col("to_ground_v"), col("wanted_a"), 0), format="0.0000"
            ),
            Column("source_ohm", "source", "ohm", ratio(given("source_mohm"), KFT, 0), format="0.0000"),
        ],
        {
            "key": list(frame.boxes_of_circuit),
            "first": firsts,
            "last": [f + s - 1 for f, s in zip(firsts, sizes, strict=True)],
        },
    )


def faults_table(frame: Frame) -> Table:
    """A ground fault at the farthest box of every circuit, in what each plan wires it in."""
    pairs = [(c, p) for c in frame.circuit_keys.values() for p in frame.compared]
    plans = list(frame.compared)
    lines = {pair: n for n, pair in enumerate(((key, p) for key in frame.stretches for p in plans), start=1)}

    def far(name: str) -> Expr:
        return At("far_ends", name, col("far_end_row"))

    def run(name: str) -> Expr:
        return At("runs", name, col("run_row"))

    figures = sound("source_mohm") * sound("pickup_times_rating") * At("ohms", "sound", call("max", 1, col("ohm_row")))
    first, last = col("first"), col("last")
    smallest = At("circuits", "smallest_run", far("circuit_row"))
    columns = [
        Column("far_end_row", "row of the far end", "no.", Match("far_ends", "key", col("circuit_key"))),
        Column("circuit", "circuit", "", far("circuit")),
        Column("first", "first place", "no.", far("first")),
        Column("last", "last place", "no.", far("last")),
        Column("wired_as", "wired as", "", At("wiring", "wired_as", col("wiring_line")), width=13),
        Column("construction_row", "row of the construction", "no.", At("wiring", "place", col("wiring_line"))),
        Column("run_row", "row of its smallest run", "no.", Match("runs", "key", smallest & "|" & col("wired_as"))),
        Column("ohm_row", "row of its cable", "no.", run("ohm_row")),
        Column(
            "lost", "runs without a known ground path", "ea", Highest("paths", "losts", first, last, col("plan_place"))
        ),
        Column("known", "ground path known", "0/1", flag(equal(col("lost"), 0))),
        Column(
            "longest_ohm",
            "most resistance to a box and back",
            "ohm",
            Highest("paths", "loops", first, last, col("plan_place")),
            format="0.0000",
        ),
        Column(
            "far_row",
            "place of that box",
            "no.",
            PlaceOf(col("longest_ohm"), "paths", "loops", first, last, col("plan_place")),
        ),
        Column("box", "farthest box", "", At("paths", "box", col("far_row"))),
        Column("path_ft", "to the farthest box", "ft", At("paths", "path_ft", col("far_row"))),
        Column("phase_ohm", "conductor", "ohm", At("paths", "path_ohm", col("far_row")), format="0.0000"),
        Column(
            "egc_ohm", "ground path", "ohm", CellAt("paths", "egcs", col("far_row"), col("plan_place")), format="0.0000"
        ),
        Column(
            "loop_ohm",
            "loop",
            "ohm",
            far("source_ohm") + col("phase_ohm") + col("egc_ohm"),
            "source + conductor + ground path",
            "0.0000",
        ),
        Column("fault_a", "ground fault", "A", ratio(far("to_ground_v"), col("loop_ohm"), 0), format="#,##0"),
        Column("pickup_a", "pickup of the breaker", "A", far("pickup_a"), format="#,##0"),
        Column("times_pickup", "fault, times pickup", "x", ratio(col("fault_a"), col("pickup_a"), 0), format="0.00"),
        Column(
            "met_word",
            "where it is not under it",
            "",
            when(equal(figures, 1), "meets", SCREENING),
            "meets only where source, pickup and armor are not illustrative",
        ),
        Column(
            "fault_word",
            "against the ratio wanted",
            "",
            when(at_most(given("wanted_ratio"), col("times_pickup")), col("met_word"), "look"),
        ),
        Column(
            "outcome",
            "fault path",
            "",
            when(equal(col("known"), 1), col("fault_word"), "untested"),
            "250.4(A)(5), advice: look where the breaker may not open at once",
        ),
        Column(
            "ohm_per_kft",
            "loop of its smallest run",
            "ohm/kft",
            At("ohms", "phase_ohm", col("ohm_row"), 0) + At("ohms", "egc_ohm", col("ohm_row"), 0),
            format="0.000",
        ),
        Column("left_ohm", "left for the run", "ohm", far("allowed_ohm") - far("source_ohm"), format="0.0000"),
        Column(
            "longest_ft",
            "longest run",
            "ft",
            call("max", 0, ratio(col("left_ohm") * KFT, col("ohm_per_kft"), 0)) * col("known"),
            "of the smallest run, at which the fault still has the ratio wanted",
            "#,##0",
        ),
        Column(
            "heat_a2s",
            "heat let through",
            "A2 s",
            col("fault_a") * col("fault_a") * given("clearing_s"),
            format="0.00E+00",
        ),
        Column("egc_awg", "wire EGC", "AWG", run("egc_awg")),
        Column("by_wire", "wire-type EGC", "0/1", At("in_use", "wire_egc", col("construction_row"))),
        Column(
            "held_awg",
            "size it is held against",
            "AWG",
            when(equal(col("by_wire"), 1), col("egc_awg"), run("awg")),
            "wire-type: its own size; armor: the circuit size, by which its fittings are tested",
        ),
        Column("held_row", "row of the size", "no.", Match("short_times", "awg", col("held_awg"), missing_ok=True)),
        Column(
            "wire_a2s",
            "wire withstands",
            "A2 s",
            At("short_times", "insulated_a2s", col("held_row"), 0),
            format="0.00E+00",
        ),
        Column(
            "fitting_a2s",
            "fitting tested for",
            "A2 s",
            At("short_times", "test_a2s", col("held_row"), 0),
            format="0.00E+00",
        ),
        Column(
            "withstand_a2s",
            "withstands",
            "A2 s",
            when(equal(col("by_wire"), 1), col("wire_a2s"), col("fitting_a2s")),
            "wire: insulation kept whole, adiabatic; armor: the short-time test of its fittings",
            "0.00E+00",
        ),
        Column(
            "heat_share",
            "heat, of what it withstands",
            "%",
            ratio(col("heat_a2s") * 100, col("withstand_a2s"), 0),
            format="0",
        ),
    ]
    return Table(
        "faults",
        "Ground fault at the farthest box",
        [
            Field("key", "key", role="key", width=18),
            Field("circuit_key", "circuit key", role="key"),
            Field("plan", "plan", role="key", width=13),
            Field("wiring_line", "line of the wiring", "no."),
            Field("plan_place", "place of the plan", "no."),
        ],
        columns,
        {
            "key": [f"{c}|{p}" for c, p in pairs],
            "circuit_key": [c for c, _ in pairs],
            "plan": [p for _, p in pairs],
            "wiring_line": [lines[pair] for pair in pairs],
            "plan_place": [plans.index(p) + 1 for _, p in pairs],
        },
    )
