"""Make-up by construction: the ground path of one box, its fill and chosen box, its work and material.

The counting rules stand in DEVELOPERS.md; the sections named in the notes are those of the NEC.
"""

from __future__ import annotations

from takeoff.expr import Expr, Head, as_expr, call, col, equal, ratio, when
from takeoff.model.frame import NOTHING, Frame
from takeoff.model.methods import drivers_of
from takeoff.reach import At, Dot, Match, Named, look
from takeoff.sums import CountSmaller, SumByEither
from takeoff.tables import Column, Field, Table


def _by_construction(name: str, title: str, frame: Frame, columns: list[Column], blocks: dict[str, list[str]]) -> Table:
    """Return a table with one row for each make-up type in each construction."""
    pairs = [(t, m) for t in frame.types.by_key for m in frame.methods]
    return Table(
        name,
        title,
        [
            Field("key", "key", role="key", width=17),
            Field("type", "type", role="key"),
            Field("construction", "construction", role="key", width=13),
        ],
        columns,
        {
            "key": [f"{t}|{m}" for t, m in pairs],
            "type": [t for t, _ in pairs],
            "construction": [m for _, m in pairs],
        },
        blocks,
    )


def _type(column: str) -> Expr:
    return At("types", column, col("type_row"))


def _sums(column: str) -> Expr:
    return At("type_sums", column, col("type_row"))


def _method(column: str) -> Expr:
    return At("methods", column, col("method_row"))


def makeup_table(frame: Frame) -> Table:
    """The ground path of one box: what is spliced, what lands where, and how many ends that is."""
    wire = col("wire_egc")
    largest = _type("largest_run") & "|" & col("construction")
    ends = col("ground_splice_ends") + col("ground_screw_ends") + col("ground_device_ends")
    columns = [
        Column("type_row", "row of the type", "no.", Match("types", "type", col("type"))),
        Column("method_row", "row of the construction", "no.", Match("methods", "construction", col("construction"))),
        Column("run_row", "row of the largest run", "no.", Match("runs", "key", largest)),
        Column("boxes", "boxes", "ea", _sums("is_box")),
        Column("entries", "run ends", "ea", _type("runs")),
        Column("circuit_terminations", "circuit terminations", "ea", _type("circuit_terminations")),
        Column("circuit_splices", "circuit splices", "ea", _type("circuit_splices")),
        Column("wire_egc", "wire-type EGC", "0/1", _method("wire_egc")),
        Column("egc_ends", "EGC ends that come in", "ea", col("entries") * wire),
        Column(
            "ground_splices",
            "ground splices",
            "ea",
            wire - wire * _sums("lone_ground"),
            "wire-type: one splice of all grounds, 250.148; armor-type: none",
        ),
        Column("ground_splice_ends", "ground ends in splices", "ea", col("ground_splices") * _sums("ground_ends")),
        Column("lone_egcs", "EGC landed alone", "ea", wire - col("ground_splices")),
        Column(
            "jumper_bonds",
            "bonds by jumper or lead",
            "ea",
            _sums("bonds") - wire * _sums("bonds"),
            "armor-type: box to device, 250.146; a green lead lands on the box screw",
        ),
        Column("box_pigtails", "box pigtails", "ea", col("ground_splices") * _sums("metal")),
        Column(
            "ground_screw_ends",
            "ground ends on box screw or bar",
            "ea",
            col("box_pigtails") + col("lone_egcs") + col("jumper_bonds"),
        ),
        Column("ground_device_ends", "ground ends on green terminals", "ea", _sums("bonded_terminals")),
        Column(
            "ground_terminations",
            "ground terminations",
            "ea",
            ends,
            "grounding conductor ends made up: in the splice, on the box screw, on green terminals",
        ),
    ]
    return _by_construction("makeup", "Make-up by construction", frame, columns, {})


def _same_row(name: str, title: str, unit: str, form: str = "") -> Column:
    return Column(name, title, unit, At("makeup", name, col("line")), format=form)


def _line() -> Column:
    return Column("line", "row of the make-up", "no.", Match("makeup", "key", col("key")))


def fits_table(frame: Frame) -> Table:
    """Box fill with the equipment grounding conductors of the construction, and the box that holds it."""
    extra = Named("code", "value", "egc_extra_allowance")
    beyond = call("max", 0, col("egc_count") - Named("code", "value", "egc_first_count"))
    other = call("sign", _sums("other_egcs")) * _sums("isolated_in3")
    in_box = (_sums("fixed_in3") + col("egc_in3") + _sums("isolated_set_in3")) * col("boxes")
    slot = _type("family") & "|" & col("boxes_too_small")
    columns = [
        _line(),
        _same_row("type_row", "row of the type", "no."),
        _same_row("boxes", "boxes", "ea"),
        Column("fixed_in3", "takes without EGCs", "in3", _sums("fixed_in3"), "314.16(B)(1) to (4)", format="0.00"),
        Column(
            "egc_count",
            "EGCs in fill",
            "ea",
            At("makeup", "egc_ends", col("line")) + _sums("other_egcs"),
            "314.16(B)(5)",
        ),
        Column(
            "egc_allowances",
            "EGC allowances",
            "ea",
            when(equal(col("egc_count"), 0), 0, beyond * extra + 1),
            "one for up to four, a quarter for each further one from 2020; 2017 one for all",
            format="0.00",
        ),
        Column(
            "wire_in3",
            "wire EGC allowance",
            "in3",
            At("makeup", "wire_egc", col("line")) * At("runs", "egc_in3", At("makeup", "run_row", col("line"))),
            format="0.00",
        ),
        Column("egc_largest_in3", "largest EGC", "in3", call("max", col("wire_in3"), other), format="0.00"),
        Column("egc_in3", "EGCs take", "in3", col("egc_allowances") * col("egc_largest_in3"), format="0.00"),
        Column("sum_in3", "sum of fill", "in3", in_box, format="0.00"),
        Column(
            "fill_in3",
            "box fill",
            "in3",
            when(equal(_sums("by_fill"), 1), col("sum_in3"), "n/a"),
            "314.16(B); n/a where conductors of 4 AWG and larger call for 314.28",
            format="0.00",
        ),
        Column(
            "boxes_too_small",
            "boxes too small",
            "ea",
            CountSmaller("box_choices", "family", _type("family"), "volume_in3", col("sum_in3")),
        ),
        Column("box_found", "row of the box", "no.", Match("box_choices", "slot", slot, missing_ok=True)),
        Column("box_row", "row of the box used", "no.", col("box_found") * col("boxes") * _sums("by_fill")),
        Column(
            "chosen_box",
            "chosen box",
            "",
            when(equal(col("box_row"), 0), _sums("no_box"), At("box_choices", "box", col("box_row"))),
            "smallest box of its style and gangs whose volume is not under the fill",
            width=21,
        ),
        Column(
            "chosen_volume_in3", "its volume", "in3", At("box_choices", "volume_in3", col("box_row"), 0), format="0.0"
        ),
        Column(
            "full_pct",
            "box full",
            "%",
            ratio(col("sum_in3") * 100, col("chosen_volume_in3"), 0),
            "fill of the chosen box; 0 where there is none",
            format="0",
        ),
        Column("unsized", "boxes without a size", "ea", when(equal(col("box_row"), 0), col("boxes"), 0)),
    ]
    return _by_construction("fits", "Box fill by construction", frame, columns, {})


def work_table(frame: Frame) -> Table:
    """The counted quantities of one box and the minutes they take."""
    entries = At("makeup", "entries", col("line"))
    bonded = At("makeup", "ground_device_ends", col("line"))
    expressions: dict[str, Expr] = {
        "boxes": At("makeup", "boxes", col("line")),
        "device_yokes": _type("yokes"),
        "entries": entries,
        "armor_ends": entries * _method("armor"),
        "bushing_ends": entries * _method("anti_short_bushing"),
        "bond_strip_ends": entries * _method("bond_strip"),
        "bare_conductor_ends": entries * _method("bare_conductor"),
        "raceway_ends": entries * _method("raceway"),
        **{
            n: _type(n)
            for n in (
                "circuit_conductor_ends",
                "circuit_splice_ends",
                "circuit_device_ends",
                "capped_ends",
                "circuit_pigtails",
            )
        },
        **{n: At("makeup", n, col("line")) for n in ("egc_ends", "ground_splice_ends", "ground_screw_ends")},
        "ground_device_ends": bonded,
        "ground_pigtails": At("makeup", "box_pigtails", col("line")) + bonded,
    }
    catalog = frame.catalogs["drivers"]
    drivers = drivers_of(frame, "box")
    columns = [
        _line(),
        _same_row("type_row", "row of the type", "no."),
        _same_row("method_row", "row of the construction", "no."),
        *(
            Column(d, str(catalog[d]["title"]), str(catalog[d]["unit"]), expressions[d], str(catalog[d]["source"]))
            for d in drivers
        ),
        Column(
            "minutes",
            "labor",
            "min",
            Dot("box_drivers", "rates", "box_drivers", col("method_row")),
            "each counted quantity x minutes for one",
            format="0.00",
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
    return _by_construction("work", "Work in one box", frame, columns, {"box_drivers": drivers})


def costs_table(frame: Frame) -> Table:
    """The material of one box, and how often the row occurs in the job."""
    awg = At("runs", "egc_awg", At("makeup", "run_row", col("line")))
    slot = col("egc_awg") & "|" & col("joints_too_small")
    splices = At("makeup", "ground_splices", col("line"))
    row = At("fits", "box_row", col("line"))

    def usd(item: str) -> Expr:
        return look("unit_costs", "usd_each", col(item), by="item")

    count = SumByEither("each", "repeat", "keys", col("key_column"), col("key"), {"construction": Head()})
    columns = [
        _line(),
        _same_row("type_row", "row of the type", "no."),
        Column("box_item", "box bought", "", At("box_choices", "box", row, NOTHING), width=21),
        Column("cover_item", "cover bought", "", At("box_choices", "cover", row, NOTHING), width=14),
        Column("box_usd", "box", "USD", usd("box_item"), format="0.000"),
        Column("cover_usd", "ring or cover", "USD", usd("cover_item"), format="0.000"),
        Column("egc_awg", "EGC", "AWG", awg),
        Column("ground_ends", "ground ends in splices", "ea", At("makeup", "ground_splice_ends", col("line"))),
        Column(
            "joints_too_small",
            "connectors too small",
            "ea",
            CountSmaller("connectors", "family", col("egc_awg"), "ends_max", col("ground_ends")),
        ),
        Column("joint_row", "row of the connector", "no.", Match("connectors", "slot", slot, missing_ok=True)),
        Column("joint_found", "ground connector", "", At("connectors", "item", col("joint_row"), NOTHING)),
        Column("joint_item", "ground connector bought", "", when(equal(splices, 0), NOTHING, col("joint_found"))),
        Column("joint_lacking", "ground connector missing", "ea", when(equal(col("joint_row"), 0), splices, 0)),
        Column("joints_missing", "connectors missing", "ea", col("joint_lacking") + _sums("joints_missing")),
        Column("joint_usd", "ground connector", "USD", usd("joint_item"), format="0.000"),
        Column("circuit_joint_usd", "circuit connectors", "USD", _sums("circuit_joint_usd"), format="0.000"),
        Column("parts_usd", "small parts", "USD", At("work", "parts_usd", col("line")), format="0.000"),
        Column(
            "material_usd",
            "material",
            "USD",
            col("box_usd") + col("cover_usd") + col("joint_usd") + col("circuit_joint_usd") + col("parts_usd"),
            format="0.00",
        ),
        Column("key_column", "counted as box 1, panel end 2", "no.", _sums("key_column")),
        *(Column(n, f"in the job as {p}", "ea", count, head=p, format="#,##0") for n, p in frame.per_compared("count")),
    ]
    return _by_construction(
        "costs", "Material of one box", frame, columns, {"counts": [n for n, _ in frame.per_compared("count")]}
    )
