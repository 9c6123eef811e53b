"""Runs by kind and construction: the catalog cable that serves, what a foot costs and takes, what is ordered."""

from __future__ import annotations

from functools import reduce

from takeoff.engine.aggregates import CountSmaller, SumProducts
from takeoff.engine.expr import Expr, Head, at_most, call, col, equal, flag, given, ratio, when
from takeoff.engine.lookups import At, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.boxes.allowances import size_in3
from takeoff.model.boxes.tails import CONTROL_ITEM, control_item, tail_column
from takeoff.model.frame import NOTHING, Frame
from takeoff.wiring.kinds import parts_of_kind

BOUGHT = ("sheath", "coupling", "wire", "egc", "connector")
"""What is bought for a run, by the stem of its column."""


def _by_kind(
    name: str, title: str, frame: Frame, more: list[Field], columns: list[Column], blocks: dict[str, list[str]]
) -> Table:
    """Return a table with one row for each cable configuration the job needs, in each construction."""
    pairs = [(k, m) for k in frame.run_kinds for m in frame.constructions]
    return Table(
        name,
        title,
        [
            Field("key", "key", role="key", width=17),
            Field("kind", "run kind", role="key"),
            Field("construction", "construction", role="key", width=13),
            *more,
        ],
        columns,
        {
            "key": [f"{k}|{m}" for k, m in pairs],
            "kind": [k for k, _ in pairs],
            "construction": [m for _, m in pairs],
            "conductors": [parts_of_kind(k)[0] for k, _ in pairs],
            "awg": [parts_of_kind(k)[1] for k, _ in pairs],
            "family": [frame.cable_family(m, k) for k, m in pairs],
            "control_apart": [int(frame.pair_apart(m, k)) for k, m in pairs],
            "control_item": [control_item(frame, k, m) for k, m in pairs],
            "run_first": [n - n % len(frame.constructions) + 1 for n, _ in enumerate(pairs)],
            "place": [n % len(frame.constructions) + 1 for n, _ in enumerate(pairs)],
            "sheaths": [1] * len(pairs),
            "connectors": [2] * len(pairs),
        },
        blocks,
    )


def _method(name: str) -> Expr:
    return At("in_use", name, col("construction_row"))


def runs_table(frame: Frame) -> Table:
    """The catalog configuration for each run kind: the smallest with enough conductors of the size."""

    def cable(name: str, title: str, unit: str = "", width: float = 0) -> Column:
        return Column(name, title, unit, At("cables", name, col("cable_row"), NOTHING), width=width)

    more = [
        Field("conductors", "insulated conductors", "ea"),
        Field("awg", "size", "AWG"),
        Field("family", "construction, size, isolated ground, control pair", width=18),
        *([Field("control_apart", "control cable of its own", "0/1")] if frame.control_boxes else []),
    ]
    columns = [
        Column(
            "construction_row", "row of the construction", "no.", Match("in_use", "construction", col("construction"))
        ),
        Column("wire_egc", "wire-type EGC", "0/1", _method("wire_egc")),
        Column(
            "too_few",
            "configurations too small",
            "ea",
            CountSmaller("cables", {"family": col("family")}, "conductors", col("conductors")),
        ),
        Column(
            "cable_row",
            "row of the configuration",
            "no.",
            Match("cables", "slot", col("family") & "|" & col("too_few"), missing_ok=True),
        ),
        Column("no_cable", "not in the catalog", "0/1", flag(equal(col("cable_row"), 0))),
        Column("in_cable", "conductors of it", "ea", At("cables", "conductors", col("cable_row"), 0)),
        Column(
            "spare",
            "spare conductors",
            "ea",
            call("max", 0, col("in_cable") - col("conductors")) * _method("cable"),
            "more in the catalog cable than the run needs; a raceway is filled as needed",
        ),
        Column("egc_found", "wire EGC in it", "AWG", At("cables", "egc_awg", col("cable_row"), NOTHING)),
        Column(
            "egc_awg",
            "wire EGC",
            "AWG",
            when(equal(col("cable_row"), 0), col("awg"), col("egc_found")),
            "of the catalog cable; the circuit size where the catalog has none",
        ),
        cable("bare_awg", "bare conductor or strip", "AWG"),
        Column("egc_in3", "EGC allowance", "in3", size_in3(col("egc_awg")), format="0.00"),
        Column("egc_missing", "no EGC allowance", "0/1", flag(equal(col("egc_in3"), 0)) * col("wire_egc")),
        cable("sheath_item", "cable or raceway", width=18),
        cable("wire_item", "conductor pulled"),
        cable("egc_item", "EGC pulled"),
        cable("fitting_size", "fitting size", "in"),
        Column(
            "fitting_row",
            "row of the fitting",
            "no.",
            Match("fittings", "key", _method("fitting_family") & "|" & col("fitting_size"), missing_ok=True),
        ),
        Column(
            "ohm_row",
            "row of its resistance",
            "no.",
            Match("ohms", "key", At("cables", "key", col("cable_row"), NOTHING), missing_ok=True),
        ),
        Column("unpriced", "cable or fitting not in the catalog", "0/1", flag(equal(col("fitting_row"), 0))),
        Column(
            "connector_item", "connector", "", At("fittings", "connector_item", col("fitting_row"), NOTHING), width=22
        ),
        Column("coupling_item", "coupling", "", At("fittings", "coupling_item", col("fitting_row"), NOTHING), width=17),
    ]
    return _by_kind("runs", "Runs by kind and construction", frame, more, columns, {})


def between_ends(feet: Expr, near_ft: Expr) -> Expr:
    """Return the feet of a run between the supports within reach of its two ends."""
    return call("max", 0, feet - near_ft - near_ft)


def run_costs_table(frame: Frame) -> Table:
    """What a foot of each run kind costs and takes, its ends and its supports."""

    def run(name: str) -> Expr:
        return At("runs", name, col("line"))

    def usd(item: str) -> Expr:
        return look("unit_costs", "usd_each", run(item), by="item")

    def bare(item: str) -> Expr:
        return look("unit_costs", "bare_usd", run(item), by="item")

    def missing(item: str) -> Expr:
        return look("unit_costs", "missing", run(f"{item}_item"), by="item")

    conductors = col("inside") * col("raceway")
    more = [CONTROL_ITEM] if frame.control_boxes else []
    columns = [
        Column("line", "row of the run", "no.", Match("runs", "key", col("key"))),
        Column("construction_row", "row of the construction", "no.", run("construction_row")),
        Column("cable", "cable", "0/1", _method("cable")),
        Column("raceway", "raceway", "0/1", _method("raceway")),
        Column("inside", "conductors with the EGC", "ea", run("conductors") + run("wire_egc")),
        Column("area_cmil", "their size", "cmil", look("sizes", "area_cmil", run("awg"), by="awg")),
        Column(
            "few",
            "few conductors",
            "0/1",
            flag(at_most(col("inside") + _method("bare_conductor"), _method("near_conductors"))),
            "330.30(B): grounding conductors count, insulated or bare",
        ),
        Column(
            "near",
            "secured near boxes",
            "0/1",
            col("few") * flag(at_most(col("area_cmil"), _method("near_cmil"))),
            "330.30(B): Type MC of four conductors or fewer, none of the circuit over 10 AWG; ask the authority",
        ),
        Column(
            "near_ft", "secured within", "ft", _method("near_ft") * col("near"), "320.30, 330.30, 358.30", format="0.0"
        ),
        Column(
            "end_supports",
            "supports beyond the intervals",
            "ea",
            col("near") + col("near") - 1,
            "one at each end where asked for, else none at the last interval",
        ),
        Column("interval_ft", "secured every", "ft", _method("interval_ft"), "320.30, 330.30, 358.30", format="0.0"),
        Column("intervals_per_ft", "intervals", "1/ft", ratio(1, col("interval_ft"), 0), format="0.0000"),
        Column("fitting_row", "row of the fitting", "no.", run("fitting_row")),
        Column(
            "couplings_per_ft",
            "couplings",
            "1/ft",
            At("fittings", "couplings_per_ft", col("fitting_row"), 0),
            format="0.00",
        ),
        Column("sheath_usd_per_ft", "cable or raceway", "USD/ft", usd("sheath_item"), format="0.0000"),
        Column(
            "coupling_usd_per_ft",
            "couplings",
            "USD/ft",
            col("couplings_per_ft") * usd("coupling_item"),
            format="0.0000",
        ),
        Column("wire_usd", "a conductor", "USD/ft", usd("wire_item"), format="0.0000"),
        Column("wire_usd_per_ft", "conductors pulled", "USD/ft", run("conductors") * col("wire_usd"), format="0.0000"),
        Column("egc_usd", "an EGC", "USD/ft", usd("egc_item"), format="0.0000"),
        Column("egc_usd_per_ft", "EGC pulled", "USD/ft", run("wire_egc") * col("egc_usd"), format="0.0000"),
        Column("end_usd", "a connector", "USD", usd("connector_item"), format="0.000"),
        Column("ends_usd", "two connectors", "USD", col("end_usd") + col("end_usd"), "a run has two ends", "0.000"),
        Column("route_factor", "route factor", "1/1", At("cables", "route_factor", run("cable_row"), 1), format="0.00"),
        Column("pulled_per_ft", "conductors pulled", "ft/ft", conductors, "raceway: circuit conductors and EGC"),
        *(Column(f"no_{n}_price", f"{n} without a price", "0/1", missing(n)) for n in BOUGHT),
        Column("missing", "prices missing", "ea", reduce(Expr.__add__, (col(f"no_{n}_price") for n in BOUGHT))),
        Column("lacking", "not in the catalog or without a price", "ea", run("unpriced") + col("missing")),
        Column(
            "sheath_all_usd",
            "cable or raceway with couplings",
            "USD/ft",
            col("sheath_usd_per_ft") + col("coupling_usd_per_ft"),
            format="0.0000",
        ),
        Column(
            "wires_usd",
            "conductors pulled with EGC",
            "USD/ft",
            col("wire_usd_per_ft") + col("egc_usd_per_ft"),
            format="0.0000",
        ),
        tail_column(frame),
        Column(
            "loading",
            "cost over the bare price",
            "1/1",
            ratio(col("sheath_usd_per_ft"), bare("sheath_item"), 1),
            "waste, escalation and tax",
            "0.0000",
        ),
        Column(
            "bare_usd",
            "with conductors, bare",
            "USD/ft",
            bare("sheath_item") + run("conductors") * bare("wire_item") + run("wire_egc") * bare("egc_item"),
            "conductors by the foot of their raceway",
            "0.0000",
        ),
    ]
    return _by_kind("run_costs", "A foot of each run", frame, more, columns, {})


def orders_table(frame: Frame) -> Table:
    """Runs and feet of each kind in the job, for each plan compared."""
    columns = [Column("line", "row of the run", "no.", Match("runs", "key", col("key")))]
    columns += [
        Column(name, title, unit, At(table, name, col("line")))
        for table, name, title, unit in (
            ("runs", "conductors", "circuit conductors", "ea"),
            ("runs", "wire_egc", "wire-type EGC", "0/1"),
            ("runs", "sheath_item", "cable or raceway", ""),
            ("runs", "wire_item", "conductor pulled", ""),
            ("runs", "egc_item", "EGC pulled", ""),
            ("runs", "connector_item", "connector", ""),
            ("runs", "coupling_item", "coupling", ""),
        )
    ]
    couplings = At("run_costs", "couplings_per_ft", col("line"))
    columns.append(Column("couplings", "couplings", "1/ft", couplings, format="0.00"))
    left = ["run_left"] if frame.pulled else []
    blocks = {
        "runs": ["repeat", *(left if frame.of_rest else [])],
        "sheath_ft": ["repeat", "sheath_ft"],
        "wire_ft": ["repeat", "wire_ft"],
        "homes": ["repeat", "home_run", *(left if frame.of_rest else [])],
    }
    mine = {"run_first": col("run_first"), "place": col("place")}
    titles = {"runs": ("runs", "ea"), "sheath_ft": ("cable or raceway", "ft"), "wire_ft": ("run with tails", "ft")}
    titles["homes"] = ("of them from the panel", "ea")
    for block, factors in blocks.items():
        total = SumProducts("each", factors, {**mine, "plan": Head()})
        title, unit = titles[block]
        columns += [
            Column(n, f"{title} as {p}", unit, total, head=p, format="#,##0") for n, p in frame.per_compared(block)
        ]
    for which in ("from", "to"):
        factors = ["repeat", "swapped", *left, "sheath_ft"]
        feet = SumProducts("each", factors, {**mine, "plan": given(f"swap_{which}")})
        columns.append(Column(f"swapped_ft_{which}", f"of it remains, swapped {which}", "ft", feet, format="#,##0"))
    keys = [
        Field("run_first", "row of the run as the first construction", "no."),
        Field("place", "place of the construction", "no."),
    ]
    each = [
        *keys,
        Field("sheaths", "cables or raceways of a run", "ea"),
        Field("connectors", "connectors of a run", "ea"),
    ]
    named = {b: [n for n, _ in frame.per_compared(b)] for b in blocks}
    named["times"] = ["sheaths", "couplings", "conductors", "wire_egc", "connectors"]
    return _by_kind("orders", "Runs in the job", frame, each, columns, named)
