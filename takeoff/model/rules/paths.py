"""The way of the current: feet, resistance and voltage drop from the panel to every box, and loads where they sit."""

from __future__ import annotations

from takeoff.engine.chains import Chain, Running
from takeoff.engine.expr import Expr, Head, at_most, call, col, equal, flag, given, ratio, when
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.conditions import condition
from takeoff.wiring.circuits import lay_out
from takeoff.wiring.taps import HOTS

KFT = 1000
"""Feet in the thousand that resistances are given for."""


def ohms_table(frame: Frame) -> Table:
    """Resistance of a foot of every catalog cable: its conductor, and its ground path.

    Aluminum counts only together with the armor: alone it would melt in the short-time test of the fitting.
    """

    def cable(name: str, title: str, unit: str = "") -> Column:
        return Column(name, title, unit, At("cables", name, col("row")))

    def method(name: str) -> Expr:
        return At("methods", name, col("method_row"))

    def table_8(metal: str, row: str) -> Expr:
        return At("conductors", f"{metal}_ohm_per_kft", col(row), 0) * condition(f"{metal}_factor")

    def siemens(name: str, title: str, credited: Expr, ohm: str, note: str) -> Column:
        return Column(name, title, "kft/ohm", ratio(credited, col(ohm), 0), note, "0.000")

    rows = [(n, c) for n, c in enumerate(frame.catalogs["cables"], start=1) if c["construction"] in frame.methods]
    together = col("wire_s") + col("armor_s") + col("bare_s")
    return Table(
        "ohms",
        "Resistance of cables and raceways",
        [
            Field("key", "cable", role="key", width=20),
            Field("family", "construction and size", role="key", width=16),
            Field("row", "row in the catalog", "no."),
        ],
        [
            cable("construction", "construction"),
            Column(
                "method_row", "row of the construction", "no.", Match("methods", "construction", col("construction"))
            ),
            cable("awg", "size", "AWG"),
            cable("egc_awg", "wire EGC", "AWG"),
            cable("bare_awg", "bare conductor or strip", "AWG"),
            *(
                Column(f"{n}_row", f"row of {t}", "no.", Match("conductors", "key", col(c), missing_ok=True))
                for n, t, c in (
                    ("size", "its size", "awg"),
                    ("wire", "the wire EGC", "egc_awg"),
                    ("bare", "the bare conductor", "bare_awg"),
                )
            ),
            Column(
                "phase_ohm",
                "conductor",
                "ohm/kft",
                table_8("copper", "size_row"),
                "Chapter 9 Table 8 at the temperature of the inputs",
                "0.000",
            ),
            Column(
                "wire_ohm",
                "wire EGC",
                "ohm/kft",
                table_8("copper", "wire_row"),
                format="0.000",
            ),
            Column(
                "armor_ohm",
                "armor or raceway",
                "ohm/kft",
                At("cables", "armor_ohm_per_kft", col("row")) * condition("aluminum_factor"),
                "the catalog figure, with the strip of Type AC in it",
                "0.000",
            ),
            Column(
                "bare_ohm",
                "bare aluminum",
                "ohm/kft",
                table_8("aluminum", "bare_row"),
                format="0.000",
            ),
            siemens("wire_s", "wire EGC carries", method("wire_egc"), "wire_ohm", "credited where the EGC is a wire"),
            siemens("armor_s", "armor carries", method("armor_egc"), "armor_ohm", "credited where the armor is an EGC"),
            siemens(
                "bare_s",
                "bare aluminum carries",
                method("bare_conductor") * call("sign", col("armor_s")),
                "bare_ohm",
                "never without the armor",
            ),
            Column(
                "egc_ohm", "ground path", "ohm/kft", ratio(1, together, 0), "all credited paths side by side", "0.000"
            ),
        ],
        {
            "key": [c["key"] for _, c in rows],
            "family": [f"{c['construction']}|{c['awg']}" for _, c in rows],
            "row": [n for n, _ in rows],
        },
    )


def run_ohms_table(frame: Frame) -> Table:
    """Resistance of the ground path of each kind of run, side by side for the constructions."""
    run_row = Match("runs", "key", col("kind") & "|" & Head())
    phase = At("conductors", "copper_ohm_per_kft", Match("conductors", "key", col("awg"))) * condition("copper_factor")
    return Table(
        "run_ohms",
        "Resistance of the runs of the job",
        [Field("kind", "run kind", role="key"), Field("awg", "size", "AWG")],
        [
            Column("phase_ohm", "conductor", "ohm/kft", phase, "Chapter 9 Table 8", "0.000"),
            *(
                Column(f"cable_{n}", f"row of the cable, {m}", "no.", At("runs", "ohm_row", run_row), head=m)
                for n, m in enumerate(frame.methods, start=1)
            ),
            *(
                Column(
                    f"egc_{n}",
                    f"ground path, {m}",
                    "ohm/kft",
                    At("ohms", "egc_ohm", col(f"cable_{n}"), 0),
                    format="0.000",
                )
                for n, m in enumerate(frame.methods, start=1)
            ),
        ],
        {"kind": frame.run_kinds, "awg": [k.partition("c")[2] for k in frame.run_kinds]},
        key="kind",
    )


def paths_table(frame: Frame) -> Table:
    """One row for each box, behind the one that feeds it: what lies between it and the panel."""
    places = lay_out(frame.job)
    keys = frame.circuit_keys

    def circuit(name: str) -> Expr:
        return At("circuits", name, col("circuit_row"))

    def run(name: str) -> Expr:
        return At("run_ohms", name, col("kind_row"))

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
                f"ground path from the panel, {m}",
                "ohm",
                Chain(col("upstream"), ratio(col("run_ft") * run(f"egc_{n}"), KFT, 0)),
                format="0.0000",
            )
            for n, m in enumerate(frame.methods, start=1)
        ),
        *(
            Column(
                f"lost_{n}",
                f"runs without a known ground path, {m}",
                "ea",
                Chain(col("upstream"), flag(equal(run(f"egc_{n}"), 0))),
            )
            for n, m in enumerate(frame.methods, start=1)
        ),
        *(
            Column(
                f"loop_{n}",
                f"conductor and ground path, {m}",
                "ohm",
                col("path_ohm") + col(f"egc_{n}"),
                format="0.0000",
            )
            for n, m in enumerate(frame.methods, start=1)
        ),
        Column("load_va", "load here", "VA", At("schedule", "load_va", col("no"))),
        Column("connection_row", "row of the connection", "no.", Match("connections", "connection", col("between"))),
        Column(
            "volts",
            "voltage at the load",
            "V",
            when(equal(col("single"), 1), At("voltages", "neutral_v", col("circuit_row")), circuit("volts")),
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
        Column(
            "drop_check",
            "against the advice",
            "",
            when(at_most(col("drop_pct"), given("drop_limit_pct")), "meets", "look"),
            "210.19, note: advice, never a failed check",
        ),
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
            *(Field(f"on_{x}", f"share on {x.upper()}", "1/1", format="0.00") for x in letters),
        ],
        columns,
        {
            "place": list(range(1, len(places) + 1)),
            "no": [p.number for p in places],
            "circuit_key": [keys[p.box.circuit.name] for p in places],
            "upstream": [p.upstream for p in places],
            "last": [p.last for p in places],
            "between": [str(p.between) for p in places],
            "single": [int(p.between == 1) for p in places],
            **{f"on_{x.lower()}": [p.shares.get(x, 0.0) for p in places] for x in HOTS},
        },
        {f"{b}s": [f"{b}_{n}" for n, _ in enumerate(frame.methods, start=1)] for b in ("egc", "lost", "loop")},
    )
