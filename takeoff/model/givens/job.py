"""The job as read: the schedule and the circuits, with what was filled in where they were blank."""

from __future__ import annotations

from takeoff.catalog.load import areas_cmil
from takeoff.engine.expr import Expr, col, equal, given, when
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.job.overrides import MOST
from takeoff.job.records import NOT_STARTED, PULLED
from takeoff.job.rows import LONGEST_RUN_FT
from takeoff.model.frame import FREE, PLANNED, Frame, places_of
from takeoff.model.givens.practice import area_keys, circuit_fields
from takeoff.text.dates import day_number
from takeoff.wiring.circuits import (
    count_receptacles,
    hots_of_circuit,
    isolated_grounds,
    small_receptacles,
    switches_without_neutral,
)
from takeoff.wiring.kinds import parts_of_kind
from takeoff.wiring.makeup import SWITCH
from takeoff.wiring.places import NO_AREA


def schedule_table(frame: Frame) -> Table:
    """The schedule as read, with what was filled in where it was blank: one row for each box."""
    boxes, types = frame.job.boxes, frame.types
    keys, areas = frame.circuit_keys, area_keys(frame)
    extra = frame.job.schedule.extra_columns
    data: dict[str, list[object]] = {
        "no": list(range(1, len(boxes) + 1)),
        "row": [b.source.row for b in boxes],
        "box": [b.source.box for b in boxes],
        "circuit": [b.circuit.name for b in boxes],
        "circuit_key": [keys[b.circuit.name] for b in boxes],
        "device": ["+".join(b.source.devices) for b in boxes],
        "fed_from": [b.upstream.source.box if b.upstream else "panel" for b in boxes],
        "run_ft": [b.run_ft for b in boxes],
        "wires": [" ".join(b.run.every) for b in boxes],
        "awg": [b.run.awg for b in boxes],
        "sized_by": [b.sized_by for b in boxes],
        "taps": [" ".join(role for roles in b.taps for role in roles) for b in boxes],
        "load_va": [b.load_va for b in boxes],
        "space": [b.source.space for b in boxes],
        "area": [b.source.area for b in boxes],
        "box_style": [b.box_style for b in boxes],
        "gangs": [b.gangs for b in boxes],
        "note": [b.source.note for b in boxes],
        "kind": [b.run.kind for b in boxes],
        "type": list(types.of_box),
        "panel_type": list(types.of_other_end),
        "home_run": [int(b.from_panel) for b in boxes],
        "area_key": [areas[b.source.area or NO_AREA] for b in boxes],
    }
    fields = [
        Field("no", "box", "no.", role="key"),
        Field("box", "box"),
        Field("circuit", "circuit"),
        Field("device", "device", width=17),
        Field("fed_from", "fed from"),
        Field("run_ft", "run", "ft", "input", maximum=LONGEST_RUN_FT),
        Field("wires", "wires in the feeding run", width=10),
        Field("awg", "size", "AWG"),
        Field("sized_by", "size is", width=34),
        Field("taps", "taps used", width=13),
        Field("load_va", "load", "VA"),
        Field("space", "space", width=12),
        Field("area", "area", width=20),
        Field("box_style", "box style"),
        Field("gangs", "gangs", "ea"),
        Field("note", "note", width=18),
    ]
    for place, name in enumerate(extra):
        data[f"extra_{place}"] = [b.source.extra[place] for b in boxes]
        fields.append(Field(f"extra_{place}", f"{name} (carried)", width=14))
    if any(b.drop_ft for b in boxes):
        data["drop_ft"] = [b.drop_ft for b in boxes]
        fields.append(Field("drop_ft", "of the run drops", "ft"))
    if any(b.held for b in boxes):
        data["held"] = [b.held or PLANNED for b in boxes]
        fields.append(Field("held", "run held to", width=13))
    if any(b.source.pulled for b in boxes):
        data["run_state"] = [PULLED if b.source.pulled else NOT_STARTED for b in boxes]
        fields.append(Field("run_state", "run is", width=11))
    fields += [
        Field("row", "row in the file", "no."),
        Field("circuit_key", "circuit key"),
        Field("kind", "run kind"),
        Field("type", "type"),
        Field("panel_type", "other end"),
        Field("home_run", "home run", "0/1"),
        Field("area_key", "area key"),
    ]
    return Table("schedule", "Schedule as read", fields, [], data)


def circuits_table(frame: Frame) -> Table:
    """The circuits as read; breaker, repeat and what a circuit is wired in are inputs."""
    circuits = frame.job.circuits
    boxes = list(frame.boxes_of_circuit.values())
    rank = areas_cmil(frame.catalogs)
    by_name: dict[str, list[tuple[float, int, str]]] = {c.name: [] for c in circuits}
    for b in frame.job.boxes:
        by_name[b.circuit.name].append((rank[b.run.awg], len(b.run.roles), b.run.kind))
    smallest = [min(by_name[c.name])[2] for c in circuits]
    condition_fields, conditions = circuit_fields(frame)
    kinds = places_of(frame.alikes)
    alike = [frame.alike_of[key] for key in frame.circuit_keys.values()]
    ruled = {str(row["space"]) for row in frame.catalogs["spaces"] if row["isolated_rules"]}
    return Table(
        "circuits",
        "Circuits as read",
        [
            Field("key", "circuit key", role="key"),
            Field("circuit", "circuit"),
            Field("panel", "panel"),
            Field("breaker_a", "breaker", "A"),
            Field("poles", "poles", "ea"),
            Field("volts", "voltage", "V"),
            Field("neutral", "neutral"),
            Field("continuous", "continuous"),
            Field("is_continuous", "continuous load", "0/1"),
            Field("repeat", "times built", "ea", "input", minimum=1, maximum=MOST, whole=True),
            Field("held_to", "wired in", role="input", choices="wirings.wiring", width=14),
            *condition_fields,
            Field("loop_ohm", "loop as read", "ohm", "input", format="0.000;;-"),
            Field("loop_date", "read on", "date", "input"),
            Field("loop_class_pct", "class of the instrument", "%", "input", format="0.0"),
            Field("alike", "kind of circuit", width=9),
            Field("alike_row", "row of the kind", "no."),
            Field("smallest_run", "smallest run"),
            Field("smallest_awg", "its size", "AWG"),
            Field("receptacles", "receptacles", "ea"),
            Field("bare_switches", "switch boxes without neutral", "ea"),
            Field("switches", "switch boxes", "ea"),
            Field("small_receptacles", "boxes with a receptacle under the breaker", "ea"),
            Field("hots", "hots", "ea"),
            Field("multiwire", "shares a neutral", "0/1"),
            Field("isolated", "boxes with isolated ground", "ea"),
            Field("isolated_care", "of them where they have rules of their own", "ea"),
        ],
        [],
        {
            "key": [frame.circuit_keys[c.name] for c in circuits],
            "circuit": [c.name for c in circuits],
            "alike": alike,
            "alike_row": [kinds[kind] + 1 for kind in alike],
            **{n: [getattr(c, n) for c in circuits] for n in ("panel", "breaker_a", "poles", "volts", "repeat")},
            "neutral": ["yes" if c.neutral else "no" for c in circuits],
            "is_continuous": [int(c.continuous) for c in circuits],
            "continuous": ["yes" if c.continuous else "no" for c in circuits],
            "held_to": [PLANNED if c.construction == FREE else c.construction for c in circuits],
            "receptacles": [count_receptacles(b) for b in boxes],
            "bare_switches": [switches_without_neutral(b) for b in boxes],
            "switches": [sum(any(d["device_kind"] == SWITCH for d in b.devices) for b in of) for of in boxes],
            "small_receptacles": [small_receptacles(b) for b in boxes],
            "hots": [hots_of_circuit(b) for b in boxes],
            "multiwire": [int(b[0].multiwire) for b in boxes],
            "isolated": [len(isolated_grounds(b)) for b in boxes],
            "isolated_care": [sum(bool(ruled & set(b.source.spaces)) for b in isolated_grounds(of)) for of in boxes],
            **conditions,
            **{n: [getattr(c, n) for c in circuits] for n in ("loop_ohm", "loop_class_pct")},
            "loop_date": [day_number(c.loop_date) or 0 for c in circuits],
            "smallest_run": smallest,
            "smallest_awg": [parts_of_kind(k)[1] for k in smallest],
        },
    )


def voltages_table(frame: Frame) -> Table:
    """The voltage of every kind of circuit to ground and to the neutral, in the order of the kinds."""
    return Table(
        "voltages",
        "Voltages of each kind of circuit",
        [
            Field("alike", "kind of circuit", role="key", width=9),
            Field("volts", "voltage", "V"),
            Field("poles", "poles", "ea"),
        ],
        [
            Column(
                "system_row",
                "row of the system",
                "no.",
                Match("systems", "key", col("volts") & "|" & col("poles"), missing_ok=True),
            ),
            Column(
                "to_ground_found", "to ground by the table", "V", At("systems", "to_ground_v", col("system_row"), 0)
            ),
            Column(
                "to_ground_v",
                "to ground",
                "V",
                when(equal(col("to_ground_found"), 0), col("volts"), col("to_ground_found")),
                "the full voltage where the system is not in the table",
            ),
            Column("neutral_found", "to neutral by the table", "V", At("systems", "neutral_v", col("system_row"), 0)),
            Column(
                "neutral_v", "to neutral", "V", when(equal(col("neutral_found"), 0), col("volts"), col("neutral_found"))
            ),
        ],
        {
            "alike": list(frame.alikes),
            **{n: [getattr(s.circuit, n) for s in frame.alikes.values()] for n in ("volts", "poles")},
        },
        key="alike",
    )


def wirings_table(frame: Frame) -> Table:
    """What a circuit may be wired in: left to the plan, or one of the constructions in use."""
    return Table(
        "wirings",
        "What a circuit may be wired in",
        [Field("wiring", "wired in", role="key")],
        [],
        {"wiring": [PLANNED, *frame.constructions]},
        key="wiring",
    )


def compared_table(frame: Frame) -> Table:
    """The plans compared, in their order."""
    return Table(
        "compared",
        "Plans compared",
        [
            Field("plan", "plan", role="key", width=15),
            Field("title", "it is", width=56),
            Field("members", "constructions in order", width=60),
        ],
        [],
        {
            "plan": list(frame.compared),
            "title": list(frame.titles.values()),
            "members": [", ".join(plan.members) for plan in frame.plans],
        },
        key="plan",
    )


def plan_key() -> Expr:
    """Return the key of the plan at the place that a row says: it stands with the plans compared, nowhere else."""
    return At("compared", "plan", col("place"))


CHOSEN = (
    ("place", "title", "the base", "base_plan"),
    ("from_place", "from_title", "the plan swapped from", "swap_from"),
    ("to_place", "to_title", "the plan swapped to", "swap_to"),
    ("inspected_place", "inspected_title", "the plan inspected", "inspected_plan"),
)
"""Columns of a plan that an input chooses, with what it is and the input."""


def base_table(_: Frame) -> Table:
    """The plans that inputs choose, by their places: the base of the differences, and the two of the swap."""
    return Table(
        "base",
        "Plans chosen",
        [Field("key", "chosen", role="key")],
        [
            *(
                Column(place, f"place of {what}", "no.", Match("compared", "plan", given(chosen)))
                for place, _, what, chosen in CHOSEN
            ),
            *(
                Column(title, f"{what}, its title", "", At("compared", "title", col(place)), width=20)
                for place, title, what, _ in CHOSEN
            ),
        ],
        {"key": ["chosen"]},
        exposed=[title for _, title, *_ in CHOSEN],
    )
