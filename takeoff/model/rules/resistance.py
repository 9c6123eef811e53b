"""Resistance of catalog cables and of the runs of the job: conductors and ground paths."""

from __future__ import annotations

from takeoff.catalog.rows import Row
from takeoff.engine.expr import Expr, Head, as_expr, begins, call, col, flag, ratio
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import INVENTED, Frame
from takeoff.model.givens.conditions import condition
from takeoff.model.givens.items import cables_of_sizes
from takeoff.wiring.kinds import parts_of_kind

KFT = 1000
"""Feet in the thousand that resistances are given for; milliohms in an ohm."""


def fittings_ohm(metal_share: Expr) -> Expr:
    """Return what the two fittings of a run add to its ground path.

    They lie in the path of the metal. Beside a wire the path is less by its conductance: the square of the share of
    the metal is a little more than the network has, on the safe side.

    Parameters
    ----------
    metal_share
        Part of the fault current in armor, tubing and bare aluminum, by conductance.
    """
    return condition("fittings_ohm") * metal_share * metal_share


def ohms_table(frame: Frame) -> Table:
    """Resistance of a foot of the catalog cables at hand: the conductor, and the ground path.

    Aluminum counts only together with the armor: alone it would melt in the short-time test of the fitting.
    """

    def cable(name: str, title: str, unit: str = "") -> Column:
        return Column(name, title, unit, At("cables", name, col("row")))

    def construction(name: str) -> Expr:
        return At("in_use", name, col("construction_row"))

    def table_8(metal: str, row: str) -> Expr:
        return At("conductors", f"{metal}_ohm_per_kft", col(row), 0) * condition(f"{metal}_factor")

    def siemens(name: str, title: str, credited: Expr, ohm: str, note: str) -> Column:
        return Column(name, title, "kft/ohm", ratio(credited, col(ohm), 0), note, "0.000")

    rows = _rows(frame)
    metal = col("armor_s") + col("bare_s")
    together = col("wire_s") + metal
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
                "construction_row",
                "row of the construction",
                "no.",
                Match("in_use", "construction", col("construction")),
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
            Column("phase_row", "place of its size", "no.", Match("sizes", "awg", col("awg"))),
            Column(
                "egc_row",
                "place of the wire EGC, or the first",
                "no.",
                call("max", 1, Match("sizes", "awg", col("egc_awg"), missing_ok=True)),
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
            Column(
                "sound",
                "not illustrative",
                "0/1",
                as_expr(1)
                - construction("armor_egc") * flag(begins(At("cables", "armor_source", col("row")), INVENTED)),
                "conductors stand in Chapter 9 Table 8; the armor rests on its own source",
            ),
            siemens(
                "wire_s", "wire EGC carries", construction("wire_egc"), "wire_ohm", "credited where the EGC is a wire"
            ),
            siemens(
                "armor_s", "armor carries", construction("armor_egc"), "armor_ohm", "credited where the armor is an EGC"
            ),
            siemens(
                "bare_s",
                "bare aluminum carries",
                construction("bare_conductor") * call("sign", col("armor_s")),
                "bare_ohm",
                "never without the armor",
            ),
            Column(
                "egc_ohm", "ground path", "ohm/kft", ratio(1, together, 0), "all credited paths side by side", "0.000"
            ),
            Column(
                "loop_ohm", "loop", "ohm/kft", col("phase_ohm") + col("egc_ohm"), "conductor and ground path", "0.000"
            ),
            Column(
                "metal_share",
                "share of the metal",
                "1/1",
                ratio(metal, together, 0),
                "of the fault current, by conductance: armor, tubing and bare aluminum; the wire carries the rest",
                "0.000",
            ),
            Column(
                "metal_heat",
                "armor or tubing, heat of the fault",
                "1/(A2 s)",
                call(
                    "/",
                    col("egc_ohm") * col("egc_ohm") * call("sign", col("metal_share")),
                    At("sizes", "aluminum_a2s", col("phase_row")),
                ),
                "part of what spoils insulation beside it; as straight aluminum of its resistance, the least there "
                "can be; ICEA P-32-382",
                "0.00E+00",
            ),
        ],
        {
            "key": [c["key"] for _, c in rows],
            "family": [f"{c['construction']}|{c['awg']}" for _, c in rows],
            "row": [n for n, _ in rows],
        },
    )


def _rows(frame: Frame) -> list[tuple[int, Row]]:
    """Return the cables that the runs of the job may be, and of other sizes the first, which charts may show."""
    wanted = {str(c["key"]) for c in cables_of_sizes(frame)}
    found, seen = [], set()
    for number, cable in enumerate(frame.catalogs["cables"], start=1):
        first = (cable["construction"], cable["awg"]) not in seen
        if cable["construction"] in frame.constructions and (first or cable["key"] in wanted):
            found.append((number, cable))
            seen.add((cable["construction"], cable["awg"]))
    return found


def run_ohms_table(frame: Frame) -> Table:
    """Resistance of the ground path of each kind of run, side by side for the constructions."""
    run_row = Match("runs", "key", col("kind") & "|" & Head())
    phase = At("conductors", "copper_ohm_per_kft", Match("conductors", "key", col("awg"))) * condition("copper_factor")
    places = list(enumerate(frame.constructions, start=1))
    return Table(
        "run_ohms",
        "Resistance of the runs of the job",
        [Field("kind", "run kind", role="key"), Field("awg", "size", "AWG")],
        [
            Column("phase_ohm", "conductor", "ohm/kft", phase, "Chapter 9 Table 8", "0.000"),
            *(
                Column(f"cable_{n}", f"row of the cable, {m}", "no.", At("runs", "ohm_row", run_row), head=m)
                for n, m in places
            ),
            *(
                Column(
                    f"egc_{n}",
                    f"ground path, {m}",
                    "ohm/kft",
                    At("ohms", "egc_ohm", col(f"cable_{n}"), 0),
                    format="0.000",
                )
                for n, m in places
            ),
            *(
                Column(
                    f"ends_{n}",
                    f"its two fittings, {m}",
                    "ohm",
                    fittings_ohm(At("ohms", "metal_share", col(f"cable_{n}"), 0)),
                    format="0.0000",
                )
                for n, m in places
            ),
        ],
        {"kind": frame.run_kinds, "awg": [parts_of_kind(k)[1] for k in frame.run_kinds]},
        {name: [f"{name[:-1] if name == 'egcs' else name}_{n}" for n, _ in places] for name in ("egcs", "ends")},
        key="kind",
    )
