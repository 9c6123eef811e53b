"""The way of the current: feet, resistance and voltage drop from the panel to every box, and loads where they sit."""

from __future__ import annotations

from takeoff.engine.chains import Chain, Running
from takeoff.engine.expr import Expr, call, col, equal, flag, ratio, when
from takeoff.engine.lookups import At, CellAt, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.rules.resistance import KFT
from takeoff.wiring.circuits import lay_out
from takeoff.wiring.taps import HOTS


def paths_table(frame: Frame) -> Table:
    """One row for each box, behind the one that feeds it: what lies between it and the panel."""
    places = lay_out(frame.job)
    keys = frame.circuit_keys

    def circuit(name: str) -> Expr:
        return At("circuits", name, col("circuit_row"))

    def run(name: str) -> Expr:
        return At("run_ohms", name, col("kind_row"))

    def wired(plan: int, block: str = "egcs") -> Expr:
        """Return the ground path of the run, in what the plan wires it in, or that of its two fittings."""
        place = At("wiring", "place", col(f"wiring_{plan}"))
        return CellAt("run_ohms", block, col("kind_row"), place)

    plans = list(enumerate(frame.compared, start=1))
    stretches = {key: n for n, key in enumerate(frame.stretches)}
    first = [stretches[frame.stretch_of_box[id(place.box)]] * len(frame.compared) for place in places]
    phase_v = col("volts") * At("connections", "phase_factor", col("connection_row"))
    letters = [h.lower() for h in HOTS]
    worst = call("max", *(col(f"path_{x}_v") * call("sign", col(f"on_{x}")) for x in letters))
    columns = [
        Column("box", "box", "", At("schedule", "box", col("no"))),
        Column("circuit_row", "row of the circuit", "no.", Match("circuits", "key", col("circuit_key"))),
        Column("circuit", "circuit", "", circuit("circuit")),
        Column("kind_row", "row of the run", "no.", Match("run_ohms", "kind", At("schedule", "kind", col("no")))),
        Column("run_ft", "run with tails", "ft", At("boxes", "with_tails_ft", col("no"))),
        Column("path_ft", "from the panel", "ft", Chain(col("upstream"), col("run_ft"))),
        Column(
            "phase_ohm", "conductor of the run", "ohm", ratio(col("run_ft") * run("phase_ohm"), KFT, 0), format="0.0000"
        ),
        Column(
            "path_ohm", "conductor from the panel", "ohm", Chain(col("upstream"), col("phase_ohm")), format="0.0000"
        ),
        *(
            Column(
                f"egc_{n}",
                f"ground path from the panel, {p}",
                "ohm",
                Chain(col("upstream"), ratio(col("run_ft") * wired(n), KFT, 0) + wired(n, "ends")),
                format="0.0000",
            )
            for n, p in plans
        ),
        *(
            Column(
                f"lost_{n}",
                f"runs without a known ground path, {p}",
                "ea",
                Chain(col("upstream"), flag(equal(wired(n), 0))),
            )
            for n, p in plans
        ),
        *(
            Column(
                f"loop_{n}",
                f"conductor and ground path, {p}",
                "ohm",
                col("path_ohm") + col(f"egc_{n}"),
                format="0.0000",
            )
            for n, p in plans
        ),
        Column("load_va", "load here", "VA", At("schedule", "load_va", col("no"))),
        Column("connection_row", "row of the connection", "no.", Match("connections", "connection", col("between"))),
        Column(
            "volts",
            "voltage at the load",
            "V",
            when(equal(col("single"), 1), At("voltages", "neutral_v", circuit("alike_row")), circuit("volts")),
        ),
        Column("phase_v", "volts that carry the load", "V", phase_v, "three hots: 1.732 x volts", "0.0"),
        Column("amps", "current here", "A", ratio(col("load_va"), col("phase_v"), 0), format="0.00"),
        *(
            Column(f"alone_{x}_a", f"current here on {x.upper()}", "A", col("amps") * col(f"on_{x}"), format="0.00")
            for x in letters
        ),
        *(
            Column(
                f"sum_{x}_a", f"current on {x.upper()}, running sum", "A", Running(col(f"alone_{x}_a")), format="0.00"
            )
            for x in letters
        ),
        *(
            Column(
                f"run_{x}_a",
                f"current on {x.upper()} in the run",
                "A",
                At("paths", f"sum_{x}_a", col("last")) - col(f"sum_{x}_a") + col(f"alone_{x}_a"),
                "its own load and all loads that hang on it",
                "0.00",
            )
            for x in letters
        ),
        *(
            Column(
                f"path_{x}_v",
                f"{x.upper()} from the panel, one conductor",
                "V",
                Chain(col("upstream"), col("phase_ohm") * col(f"run_{x}_a")),
                "ohms x current of every run on the way",
                "0.000",
            )
            for x in letters
        ),
        Column("worst_v", "one conductor, its own hots", "V", worst, format="0.000"),
        Column(
            "drop_v",
            "voltage drop",
            "V",
            col("worst_v") * At("connections", "drop_factor", col("connection_row")),
            "there and back, or 1.732 for three hots; resistance only",
            "0.00",
        ),
        Column("drop_pct", "voltage drop", "%", ratio(col("drop_v") * 100, col("volts"), 0), format="0.00"),
    ]
    return Table(
        "paths",
        "From the panel to every box",
        [
            Field("place", "place", "no.", role="key"),
            Field("no", "box", "no."),
            Field("circuit_key", "circuit key"),
            Field("upstream", "place of the box upstream", "no."),
            Field("last", "last place hanging on it", "no."),
            Field("between", "hots of the load"),
            Field("single", "hot to neutral", "0/1"),
            *(Field(f"wiring_{n}", f"row of the wiring, {p}", "no.") for n, p in plans),
            *(Field(f"on_{x}", f"share on {x.upper()}", "1/1", format="0.00") for x in letters),
        ],
        columns,
        {
            "place": list(range(1, len(places) + 1)),
            "no": [p.number for p in places],
            "circuit_key": [keys[p.box.circuit.name] for p in places],
            **{f"wiring_{n}": [before + n for before in first] for n, _ in plans},
            "upstream": [p.upstream for p in places],
            "last": [p.last for p in places],
            "between": [str(p.between) for p in places],
            "single": [int(p.between == 1) for p in places],
            **{f"on_{x.lower()}": [p.shares.get(x, 0.0) for p in places] for x in HOTS},
        },
        {f"{b}s": [f"{b}_{n}" for n, _ in plans] for b in ("egc", "lost", "loop")},
    )
