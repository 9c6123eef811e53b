"""The make-up of each type, line by line: conductors role by role, and what takes room in the box."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.engine.aggregates import CountSmaller, SumBy
from takeoff.engine.expr import Expr, call, col, equal, flag, given, same, when
from takeoff.engine.lookups import At, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.boxes.allowances import size_in3
from takeoff.model.frame import NOTHING, Frame
from takeoff.wiring.makeup import CONTROL, ORDER, MakeUp, RoleLine


def roles_table(frame: Frame) -> Table:
    """One row for each role of each type: how many ends meet, and whether they land or are spliced."""
    passes = when(same(given("make_up"), "through"), col("may_pass"), 0)
    return _roles_table("roles", "Conductors role by role", _lines(frame, control=False), passes)


def control_roles_table(frame: Frame) -> Table:
    """One row for each conductor of the control pairs of each type, which never passes on two terminals."""
    return _roles_table(
        "control_roles", "Control pairs, conductor by conductor", _lines(frame, control=True), col("may_pass")
    )


def _lines(frame: Frame, control: bool) -> list[tuple[str, str, RoleLine]]:
    """Return type, name and line of every role, of control pairs or of circuits."""
    named = ((key, kind, line) for key, m in frame.types.by_key.items() for kind, line in _named_lines(m))
    return [row for row in named if (row[2].kind == CONTROL) == control]


def _roles_table(name: str, title: str, rows: Sequence[tuple[str, str, RoleLine]], passes: Expr) -> Table:
    spliced = equal(col("spliced"), 1)
    lands = call("all", equal(col("ends_in"), 1), equal(col("terminals"), 1), equal(col("leads"), 0))
    slot, used = col("awg") & "|" & col("joints_too_small"), col("joint_row") * col("joints")
    return Table(
        name,
        title,
        [
            Field("type", "type", role="key"),
            Field("role", "conductor", role="key", width=16),
            Field("ends_in", "ends that come in", "ea"),
            Field("terminals", "device terminals", "ea"),
            Field("leads", "device leads", "ea"),
            Field("may_pass", "may pass on two terminals", "0/1"),
            Field("awg", "largest", "AWG"),
        ],
        [
            Column(
                "ends",
                "ends that meet",
                "ea",
                col("ends_in") + col("terminals") + col("leads"),
                "ends that come in, and one for each connection of a device",
            ),
            Column(
                "passes",
                "passes through",
                "0/1",
                passes,
                "make-up = through: two terminals carry it on; never a shared neutral, 300.13(B)",
            ),
            Column("lands", "lands", "0/1", flag(lands), "one conductor on one terminal: no splice"),
            Column("capped", "capped", "0/1", flag(equal(col("ends"), 1)), "an end that nothing uses"),
            Column(
                "spliced",
                "splices",
                "ea",
                flag(equal(col("passes") + col("lands") + col("capped"), 0)),
                "one splice of all its ends, unless it lands, passes or is capped",
            ),
            Column("splice_ends", "ends in splices", "ea", col("spliced") * col("ends")),
            Column("pigtails", "pigtails", "ea", col("spliced") * col("terminals")),
            Column(
                "device_ends",
                "ends under terminals",
                "ea",
                when(spliced, col("terminals"), col("ends_in") - col("capped")),
            ),
            Column(
                "terminations",
                "terminations",
                "ea",
                col("splice_ends") + col("device_ends") + col("capped"),
                "every conductor end made up: in a connector, or under a terminal",
            ),
            Column("joints", "wire connectors", "ea", col("spliced") + col("capped")),
            Column(
                "joints_too_small",
                "connectors too small",
                "ea",
                CountSmaller("connectors", {"family": col("awg")}, "ends_max", col("ends")),
            ),
            Column("joint_row", "row of the connector", "no.", Match("connectors", "slot", slot, missing_ok=True)),
            Column(
                "joint_item",
                "connector bought",
                "",
                At("connectors", "item", used, NOTHING),
            ),
            Column(
                "joint_missing",
                "connector missing",
                "ea",
                when(equal(col("joint_row"), 0), col("joints"), 0),
                "no catalog connector takes so many ends",
            ),
            Column(
                "joint_usd",
                "connector",
                "USD",
                look("unit_costs", "usd_each", col("joint_item"), by="item"),
                format="0.000",
            ),
        ],
        {
            "type": [k for k, _, _ in rows],
            "role": [kind for _, kind, _ in rows],
            **{n: [getattr(line, n) for _, _, line in rows] for n in ("ends_in", "terminals", "leads", "awg")},
            "may_pass": [line.through for _, _, line in rows],
        },
    )


def _named_lines(make_up: MakeUp) -> list[tuple[str, RoleLine]]:
    lines: list[tuple[str, RoleLine]] = []
    for kind in ORDER:
        mine = [line for line in make_up.roles if line.kind == kind]
        lines += [(f"{kind} {n}" if len(mine) > 1 else kind, line) for n, line in enumerate(mine, start=1)]
    return lines


def joints_table(frame: Frame) -> Table:
    """How many wire connectors the roles of each type take in the job."""
    return _joints_table(frame, "joints", "roles", "circuit conductors", _lines(frame, control=False))


def control_joints_table(frame: Frame) -> Table:
    """How many wire connectors the control pairs of each type take in the job."""
    return _joints_table(frame, "control_joints", "control_roles", "control pairs", _lines(frame, control=True))


def joint_sums_table(frame: Frame) -> Table:
    """How many of each wire connector circuits and control pairs take in the job."""
    items = list(dict.fromkeys(str(row["item"]) for row in frame.catalogs["connectors"]))
    mine = {"item": col("item")}
    both = SumBy("joints", "joints", mine) + SumBy("control_joints", "joints", mine)
    return Table(
        "joint_sums",
        "Wire connectors of circuits and control pairs",
        [Field("item", "wire connector", role="key", width=16)],
        [Column("joints", "of both in the job", "ea", both, format="#,##0")],
        {"item": items},
    )


def _joints_table(frame: Frame, name: str, roles: str, of: str, rows: Sequence[tuple[str, str, RoleLine]]) -> Table:
    lines = [n for n, (key, *_) in enumerate(rows, start=1) if not frame.types.by_key[key].variant]
    line = col("line")
    return Table(
        name,
        f"Wire connectors of {of}",
        [
            Field("type", "type", role="key"),
            Field("role", "conductor", role="key", width=16),
            Field("line", "line", "no."),
        ],
        [
            Column("item", f"connector bought, {of}", "", At(roles, "joint_item", line)),
            Column(
                "joints",
                f"in the job, {of}",
                "ea",
                At(roles, "joints", line) * look("types", "count", col("type"), by="type"),
                format="#,##0",
            ),
        ],
        {"type": [rows[n - 1][0] for n in lines], "role": [rows[n - 1][1] for n in lines], "line": lines},
        key="type",
    )


def fill_table(frame: Frame) -> Table:
    """What takes room in each type, without equipment grounding conductors: 314.16(B)."""
    rows = [(key, *line) for key, m in frame.types.by_key.items() for line in m.fill]
    return Table(
        "fill",
        "Box fill, what every construction has",
        [
            Field("type", "type", role="key"),
            Field("part", "what takes room", role="key", width=18),
            Field("awg", "by the size", "AWG"),
            Field("number", "number", "ea"),
        ],
        [
            Column(
                "each",
                "allowances each",
                "ea",
                look("parts_in_force", "each", col("part")),
                "314.16(B)",
                format="0.00",
            ),
            Column(
                "allowance_in3",
                "allowance",
                "in3",
                size_in3(col("awg")),
                "Table 314.16(B)",
                format="0.00",
            ),
            Column("in3", "takes", "in3", col("number") * col("each") * col("allowance_in3"), format="0.00"),
            Column("missing", "no allowance for the size", "0/1", flag(equal(col("allowance_in3"), 0))),
        ],
        {name: [r[n] for r in rows] for n, name in enumerate(("type", "part", "awg", "number"))},
    )
