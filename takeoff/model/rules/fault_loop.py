"""The ground path under a fault: loop, current, pickup, heat, and what a fitting and its conductor withstand.

Advice, not a check of the code beyond 250.4(A)(5): a fault study with the impedances of the site decides.
"""

from __future__ import annotations

from takeoff.engine.chains import Highest, Lowest, PlaceOf
from takeoff.engine.expr import Expr, as_expr, at_most, call, col, equal, flag, given, ratio, when
from takeoff.engine.lookups import At, CellAt, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.inputs import sound
from takeoff.model.rules.breaker import band_columns, opens_after, time_columns
from takeoff.model.rules.resistance import KFT, fittings_ohm

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
            *band_columns(col("breaker_a"), At("circuits", "volts", col("circuit_row"))),
            *time_columns(col("breaker_a")),
            Column(
                "fittings_ft",
                "two fittings, by the run to the nearest box",
                "ohm/kft",
                ratio(given("fitting_mohm") + given("fitting_mohm"), Lowest("paths", "path_ft", first, last), 0),
                format="0.000",
            ),
            Column("source_ohm", "source", "ohm", ratio(given("source_mohm"), KFT, 0), format="0.0000"),
            Column(
                "left_ohm",
                "left for the run",
                "ohm",
                ratio(col("to_ground_v"), col("wanted_a"), 0) - col("source_ohm"),
                "beside the source, for the fault wanted",
                "0.0000",
            ),
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

    def ohm(name: str) -> Expr:
        return At("ohms", name, col("ohm_row"))

    left = far("left_ohm") - fittings_ohm(ohm("metal_share"))

    def of_size(name: str, which: str) -> Expr:
        return At("sizes", name, ohm(which))

    def insulated(which: str) -> Expr:
        return call("/", col("let_a2s") * 100, of_size("insulated_a2s", which))

    def opens(name: str, title: str, current: str, edge: str) -> Column:
        energy, clear = far(f"long_{edge}_a2s"), far("clear_s")
        return opens_after(name, current, edge, far(f"{edge}_a"), energy, clear, title)

    def copper(name: str) -> Expr:
        return look("melting", name, "copper", by="metal")

    figures = sound("source_mohm") * sound("pickup_times_rating") * At("ohms", "sound", col("ohm_row"))
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
        Column(
            "ohm_row", "row of its cable, or the first", "no.", call("max", 1, At("runs", "ohm_row", col("run_row")))
        ),
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
            when(at_most(far("wanted_a"), col("fault_a")), col("met_word"), "look"),
            "and not under the high edge of the pickup",
        ),
        Column(
            "outcome",
            "fault path",
            "",
            when(equal(col("known"), 1), col("fault_word"), "untested"),
            "250.4(A)(5), advice: look where the breaker may not open at once",
        ),
        Column(
            "longest_ft",
            "longest run",
            "ft",
            call("max", 0, call("/", left * KFT, ohm("loop_ohm"))) * col("known"),
            "one run of the smallest size, at which the fault still has the multiple wanted",
            "#,##0",
        ),
        opens("soonest_s", "far fault, opens not before", "fault_a", "low"),
        opens("trip_s", "far fault, opens within", "fault_a", "high"),
        Column(
            "near_ohm",
            "loop at the nearest box",
            "ohm",
            far("source_ohm") + Lowest("paths", "loops", first, last, col("plan_place")),
            format="0.0000",
        ),
        Column(
            "near_a",
            "ground fault at the nearest box",
            "A",
            ratio(far("to_ground_v"), col("near_ohm"), 0),
            format="#,##0",
        ),
        opens("near_s", "near fault, opens within", "near_a", "high"),
        Column(
            "let_a2s",
            "let through at most",
            "A2 s",
            col("known")
            * call(
                "max",
                col("near_a") * col("near_a") * col("near_s"),
                col("fault_a") * col("fault_a") * col("trip_s"),
            ),
            "current squared by time: what heat takes off the current it adds to the time",
            "0.00E+00",
        ),
        Column(
            "phase_pct",
            "conductor, of what it withstands",
            "%",
            insulated("phase_row"),
            "all of the current",
            "0",
        ),
        Column(
            "wire_share",
            "share of the wire EGC",
            "1/1",
            as_expr(1) - call("/", ohm("metal_share"), ohm("metal_share") * ohm("wire_s") * far("fittings_ft") + 1),
            "of the fault current in the run to the nearest box, where fittings keep most of it in the wire",
            "0.000",
        ),
        Column(
            "egc_pct",
            "ground path, of what it withstands",
            "%",
            call(
                "max",
                insulated("egc_row") * col("wire_share") * col("wire_share"),
                col("let_a2s") * 100 * ohm("metal_heat"),
            ),
            "wire, armor or tubing, each by its share, up to the limit of the insulation beside it",
            "0",
        ),
        Column(
            "fitting_pct",
            "fittings, of their test",
            "%",
            col("let_a2s") * 100 * of_size("per_test", "phase_row") * ohm("metal_share") * ohm("metal_share"),
            "by the share of the metal",
            "0",
        ),
        Column(
            "hottest_c",
            "hottest conductor when it opens",
            "C",
            call(
                "power",
                ratio(copper("limit_c"), copper("warm_c"), 1),
                ratio(call("max", col("phase_pct"), col("egc_pct")), 100, 0),
            )
            * copper("warm_c")
            - look("metals", "zero_c", "copper", by="metal"),
            "adiabatic, as copper: over seconds an upper bound",
            "0",
        ),
        Column(
            "touch_v",
            "box to ground until it opens",
            "V",
            col("fault_a") * col("egc_ohm") * col("known"),
            "fault current by the resistance of the ground path; advice",
            "0.0",
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
