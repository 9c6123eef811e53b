"""The work and the material of one box in each construction: counted quantities, minutes, what is bought."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from takeoff.engine.aggregates import CountSmaller, Pick, SumBy
from takeoff.engine.expr import Expr, Head, as_expr, col, equal, when
from takeoff.engine.lookups import At, Dot, Match, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.boxes.grounds import effort_key, egc_of, ground_classes, ground_key, kinds_of
from takeoff.model.boxes.makeup import by_construction, construction, line, same_row, sums, type_
from takeoff.model.frame import NOTHING, Frame
from takeoff.model.givens.constructions import drivers_of


def work_table(frame: Frame) -> Table:
    """The counted quantities of one box and the minutes they take."""
    entries = At("makeup", "entries", col("line"))
    bonded = At("makeup", "ground_device_ends", col("line"))
    at_screw = At("makeup", "ground_screw_ends", col("line"))
    expressions: dict[str, Expr] = {
        "boxes": At("makeup", "boxes", col("line")),
        "device_yokes": type_("yokes"),
        "entries": entries,
        "armor_ends": entries * construction("armor"),
        "bushing_ends": entries * construction("anti_short_bushing"),
        "bond_strip_ends": entries * construction("bond_strip"),
        "bare_conductor_ends": entries * construction("bare_conductor"),
        "raceway_ends": entries * construction("raceway"),
        **{
            n: type_(n)
            for n in (
                "circuit_conductor_ends",
                "circuit_splice_ends",
                "circuit_device_ends",
                "capped_ends",
                "circuit_pigtails",
            )
        },
        **{n: At("makeup", n, col("line")) for n in ("egc_ends", "ground_splice_ends")},
        "spare_ends": SumBy("spares", "ends", {"makeup_key": col("key")}),
        "ground_screw_ends": at_screw * At("makeup", "boxes", col("line")),
        "ground_bar_ends": when(equal(At("makeup", "boxes", col("line")), 1), 0, at_screw),
        "ground_device_ends": bonded,
        "ground_pigtails": At("makeup", "ground_pigtails", col("line")),
    }
    if frame.control_boxes:
        expressions |= {
            "control_entries": SumBy("spares", "control_cables", {"makeup_key": col("key")}),
            "control_ends": type_("control_terminations"),
        }
    catalog = frame.catalogs["drivers"]
    drivers = drivers_of(frame, "box")
    columns = [
        line(),
        same_row("type_row", "row of the type", "no."),
        same_row("construction_row", "row of the construction", "no."),
        *(
            Column(d, str(catalog[d]["title"]), str(catalog[d]["unit"]), expressions[d], str(catalog[d]["source"]))
            for d in drivers
        ),
        Column(
            "minutes",
            "labor",
            "min",
            Dot("box_drivers", "rates", "box_drivers", col("construction_row")),
            "each counted quantity x minutes for one",
            format="0.00",
        ),
        Column(
            "ground_minutes",
            "of it for grounds",
            "min",
            Dot("ground_drivers", "rates", "ground_drivers", col("construction_row")),
            format="0.00",
        ),
        Column("learned", "part of the minutes", "1/1", At("type_practice", "factor", col("type_row")), format="0.000"),
        Column("job_minutes", "labor in this job", "min", col("minutes") * col("learned"), format="0.00"),
        Column(
            "job_ground_minutes",
            "of it for grounds, in this job",
            "min",
            col("ground_minutes") * col("learned"),
            "operations on EGC ends, ground splices, pigtails, screws and green terminals",
            "0.00",
        ),
        Column(
            "parts_usd",
            "small parts",
            "USD",
            Dot("box_drivers", "driver_costs", "box_drivers", as_expr(1)),
            "each counted quantity x small parts for one",
            format="0.000",
        ),
    ]
    blocks = {"box_drivers": drivers, "ground_drivers": drivers_of(frame, "box", ground=True)}
    return by_construction("work", "Work in one box", frame, columns, blocks)


def costs_table(frame: Frame) -> Table:
    """The material of one box, and how often the row occurs in the job."""
    own = At("runs", "egc_awg", At("makeup", "run_row", col("line")))
    comes = equal(type_("other_egcs") * (as_expr(1) - At("makeup", "wire_egc", col("line"))), 0)
    awg = when(comes, own, type_("other_egc_awg"))
    slot = col("egc_awg") & "|" & col("joints_too_small")
    splices = At("makeup", "ground_splices", col("line"))
    row = At("fits", "box_row", col("line"))

    def usd_of(name: str) -> Expr:
        return look("unit_costs", name, col("joint_item"), by="item")

    columns = [
        line(),
        same_row("type_row", "row of the type", "no."),
        Column("box_item", "box bought", "", At("box_choices", "box", row, NOTHING), width=23),
        Column("cover_item", "cover bought", "", At("box_choices", "cover", row, NOTHING), width=14),
        Column("housing_usd", "box, ring, cover", "USD", At("box_choices", "usd", row, 0), format="0.000"),
        Column("egc_awg", "EGC", "AWG", awg, "of its own runs, else of those in another construction"),
        Column("ground_ends", "ground ends in splices", "ea", At("makeup", "ground_splice_ends", col("line"))),
        Column(
            "joints_too_small",
            "connectors too small",
            "ea",
            CountSmaller("connectors", {"family": col("egc_awg")}, "ends_max", col("ground_ends")),
        ),
        Column("joint_row", "row of the connector", "no.", Match("connectors", "slot", slot, missing_ok=True)),
        Column(
            "joint_item", "ground connector bought", "", At("connectors", "item", col("joint_row") * splices, NOTHING)
        ),
        Column("joint_lacking", "ground connector missing", "ea", when(equal(col("joint_row"), 0), splices, 0)),
        Column("joints_missing", "connectors missing", "ea", col("joint_lacking") + sums("joints_missing")),
        Column("joint_usd", "ground connector", "USD", usd_of("usd_each"), format="0.000"),
        Column("circuit_joint_usd", "circuit connectors", "USD", sums("circuit_joint_usd"), format="0.000"),
        Column("parts_usd", "small parts", "USD", At("work", "parts_usd", col("line")), format="0.000"),
        Column(
            "material_usd",
            "material",
            "USD",
            col("housing_usd") + col("joint_usd") + col("circuit_joint_usd") + col("parts_usd"),
            format="0.00",
        ),
        Column("key_column", "counted as box 1, panel end 2", "no.", sums("key_column")),
        Column("no_joint_price", "ground connector without a price", "0/1", usd_of("missing")),
        Column("missing", "prices missing", "ea", At("box_choices", "missing", row, 0) + col("no_joint_price")),
    ]
    columns.append(Column("lacking", "connectors or prices missing", "ea", col("joints_missing") + col("missing")))
    return by_construction("costs", "Material of one box", frame, columns, {})


def counted_rows(frame: Frame) -> list[int]:
    """Return the row that each make-up is counted by: at a box its own, at a panel end the first of its type."""
    count = len(frame.constructions)
    return [
        n * count + (place if make_up.place == "box" else 0) + 1
        for n, make_up in enumerate(frame.types.by_key.values())
        for place in range(count)
    ]


def built_table(frame: Frame) -> Table:
    """How often each make-up occurs in the job, in each plan compared, and how often labor counts it."""

    def built(column: str) -> Expr:
        return SumBy(
            "each", column, {"place": col("place"), "plan": Head()}, [Pick("rows", sums("key_column"), col("counted"))]
        )

    learned = At("type_practice", "factor", col("type_row"))
    columns = [
        line(),
        same_row("type_row", "row of the type", "no."),
        *(
            Column(n, f"in the job as {p}", "ea", built("repeat"), head=p, format="#,##0")
            for n, p in frame.per_compared("count")
        ),
        *(
            Column(
                n,
                f"labor counts as {p}",
                "ea",
                learned * built("effort"),
                "built in the job x conditions x learning",
                "#,##0.0",
                p,
            )
            for n, p in frame.per_compared("effort")
        ),
    ]
    blocks = {f"{stem}s": [n for n, _ in frame.per_compared(stem)] for stem in ("count", "effort")}
    table = by_construction("built", "Make-ups built in the job", frame, columns, blocks)
    kinds, catalog, classes = kinds_of(frame), frame.catalogs["constructions"], ground_classes(frame)
    pairs = [(make_up, m) for make_up in frame.types.by_key.values() for m in frame.constructions]
    own = [
        Field("counted", "row that it is counted by", "no."),
        Field("place", "place of the construction", "no."),
    ]
    data: dict[str, Sequence[object]] = {
        "counted": counted_rows(frame),
        "place": [n for _ in frame.types.by_key for n, _ in enumerate(frame.constructions, start=1)],
        "ground_key": [ground_key(make_up, egc_of(catalog[m]), frame, kinds) for make_up, m in pairs],
        "ground_class": [effort_key(make_up, m, frame, kinds, classes)[0] for make_up, m in pairs],
    }
    more = [Field("ground_key", "kind and EGC", width=11), Field("ground_class", "kind, as minutes go", width=15)]
    fields = [*table.fields, *own, *more]
    return replace(table, fields=fields, data={**table.data, **data})
