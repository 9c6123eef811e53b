"""Make-up types: what each is, its circuit side, and what it brings to the ground path and to box fill.

Everything here is the same whatever the construction; what the ground path adds stands in grounds.py and makeup.py.
"""

from __future__ import annotations

from itertools import chain

from takeoff.engine.aggregates import SumBy
from takeoff.engine.expr import Expr, call, col
from takeoff.engine.lookups import Named, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.boxes.allowances import size_in3
from takeoff.model.boxes.grounds import ARMOR, WIRE, ground_key, kinds_of
from takeoff.model.frame import Frame

CONTROL_COUNTS = ("control_terminations", "control_splices")
"""Counts of control pairs, a class of their own beside circuit and ground, in a job that has any."""


def type_counts_table(frame: Frame) -> Table:
    """How often each make-up type is built in the job."""
    as_box, as_panel_end = (SumBy("boxes", "repeat", {which: col("counted_as")}) for which in ("type", "panel_type"))
    types = frame.types
    return Table(
        "type_counts",
        "Make-up types in the job",
        [Field("type", "type", role="key"), Field("counted_as", "counted as")],
        [Column("count", "built in the job", "ea", as_box + as_panel_end)],
        {"type": list(types.by_key), "counted_as": ["-" if m.variant else key for key, m in types.by_key.items()]},
        key="type",
    )


def types_table(frame: Frame) -> Table:
    """One row for each make-up type: what it is, how often it is built, and its circuit side."""
    types, kinds = frame.types.by_key, kinds_of(frame)
    control = _control_columns() if frame.control_boxes else []
    facts = list(types.values())

    def of_roles(name: str, source: str, title: str) -> Column:
        return Column(name, title, "ea", SumBy("roles", source, {"type": col("type")}))

    return Table(
        "types",
        "Make-up types",
        [
            Field("type", "type", role="key"),
            Field("description", "make-up", role="key", width=54),
            Field("conductors", "ends that come in + connected", width=40),
            Field("place", "place"),
            Field("family", "style and gangs", width=12),
            Field("runs", "runs that enter", "ea"),
            Field("own_runs", "of them in its construction", "ea"),
            Field("other_runs", "runs in another construction"),
            Field("yokes", "device yokes", "ea"),
            Field("terminal_bonds", "devices with green terminal", "ea"),
            Field("lead_bonds", "devices with green lead", "ea"),
            Field("grounds_wire", "grounds with a wire-type EGC"),
            Field("grounds_armor", "grounds without"),
            Field("other_egcs", "EGCs of other runs", "ea"),
            Field("other_egc_awg", "the largest of them", "AWG"),
            Field("largest_run", "largest run"),
            Field("largest_awg", "largest conductor", "AWG"),
        ],
        [
            Column("count", "built in the job", "ea", look("type_counts", "count", col("type"), by="type")),
            of_roles("circuit_terminations", "terminations", "circuit terminations"),
            of_roles("circuit_splices", "spliced", "circuit splices"),
            of_roles("circuit_conductor_ends", "ends_in", "circuit ends that come in"),
            of_roles("circuit_splice_ends", "splice_ends", "circuit ends in splices"),
            of_roles("circuit_device_ends", "device_ends", "circuit ends under terminals"),
            of_roles("capped_ends", "capped", "capped ends"),
            of_roles("circuit_pigtails", "pigtails", "circuit pigtails"),
            *control,
        ],
        {
            "type": list(types),
            "description": [m.describe() for m in facts],
            "conductors": [m.conductors() for m in facts],
            "family": [f"{m.box_style}|{m.gangs}" for m in facts],
            "runs": [m.entries for m in facts],
            "own_runs": [len(m.runs) for m in facts],
            "other_runs": [" ".join(chain.from_iterable(m.others)) or "none" for m in facts],
            "terminal_bonds": [m.bonded_terminals for m in facts],
            "lead_bonds": [m.bonded_leads for m in facts],
            "grounds_wire": [ground_key(m, WIRE, frame, kinds) for m in facts],
            "grounds_armor": [ground_key(m, ARMOR, frame, kinds) for m in facts],
            **{
                n: [getattr(m, n) for m in facts]
                for n in ("place", "yokes", "other_egcs", "other_egc_awg", "largest_run", "largest_awg")
            },
        },
    )


def _control_columns() -> list[Column]:
    """Return what is made up of control pairs."""
    return [
        Column(name, name.replace("_", " "), "ea", SumBy("control_roles", source, {"type": col("type")}))
        for name, source in zip(CONTROL_COUNTS, ("terminations", "spliced"), strict=True)
    ]


def type_sums_table(frame: Frame) -> Table:
    """What each type brings to the ground path and to box fill, whatever the construction."""
    types = frame.types.by_key
    facts = list(types.values())

    def of_joints(name: str) -> Expr:
        circuit = SumBy("roles", name, {"type": col("type")})
        return circuit + SumBy("control_roles", name, {"type": col("type")}) if frame.control_boxes else circuit

    isolated_set = Named("code", "value", "isolated_set_allowance")
    return Table(
        "type_sums",
        "Make-up types, bonds and fill",
        [
            Field("type", "type", role="key"),
            Field("green_leads", "green leads from outside", "ea"),
            Field("green_awg", "green leads", "AWG"),
            Field("isolated_ends", "isolated ground ends", "ea"),
            Field("isolated_awg", "isolated ground", "AWG"),
            Field("is_box", "a box", "0/1"),
            Field("key_column", "counted as box 1, panel end 2", "no."),
        ],
        [
            Column(
                "isolated_egcs",
                "isolated grounds among the EGCs",
                "ea",
                col("isolated_ends") - col("isolated_ends") * isolated_set,
                "where the edition counts them with the others",
            ),
            Column(
                "other_egcs",
                "other EGCs in fill",
                "ea",
                col("green_leads") + col("isolated_egcs"),
                "green leads from outside and, where the edition counts them here, isolated grounds",
            ),
            Column(
                "isolated_in3",
                "isolated ground allowance",
                "in3",
                size_in3(col("isolated_awg")),
                format="0.00",
            ),
            Column(
                "isolated_set_in3",
                "isolated set takes",
                "in3",
                call("sign", col("isolated_ends")) * col("isolated_in3") * isolated_set,
                "2017 edition: one allowance for the additional set",
                format="0.00",
            ),
            Column(
                "isolated_egc_in3",
                "isolated ground among the EGCs",
                "in3",
                call("sign", col("isolated_egcs")) * col("isolated_in3"),
                format="0.00",
            ),
            Column(
                "green_in3",
                "green lead allowance",
                "in3",
                call("sign", col("green_leads")) * size_in3(col("green_awg")),
                format="0.00",
            ),
            Column(
                "other_in3",
                "largest of the other EGCs",
                "in3",
                call("max", col("isolated_egc_in3"), col("green_in3")),
                format="0.00",
            ),
            Column(
                "fixed_in3",
                "takes without EGCs",
                "in3",
                SumBy("fill", "in3", {"type": col("type")}),
                "314.16(B)(1) to (4)",
                format="0.00",
            ),
            Column(
                "sizes_missing",
                "sizes without an allowance",
                "ea",
                SumBy("fill", "missing", {"type": col("type")}),
                "the table of allowances ends at 6 AWG: 314.28 sizes boxes with larger conductors",
            ),
            Column(
                "circuit_joint_usd",
                "circuit connectors",
                "USD",
                of_joints("joint_usd"),
                format="0.000",
            ),
            Column("joints_missing", "connectors missing", "ea", of_joints("joint_missing")),
        ],
        {
            "type": list(types),
            "green_leads": [m.ground_leads for m in facts],
            "green_awg": [m.green_lead_awg for m in facts],
            "is_box": [int(m.place == "box") for m in facts],
            "key_column": [1 if m.place == "box" else 2 for m in facts],
            "isolated_ends": [m.isolated_ends for m in facts],
            "isolated_awg": [m.isolated_awg for m in facts],
        },
    )
