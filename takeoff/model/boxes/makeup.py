"""Make-up by construction: the ground path of one box by its kind, its fill and the box chosen for it.

The counting rules stand in DEVELOPERS.md; the sections named in the notes are those of the NEC.
"""

from __future__ import annotations

from takeoff.engine.aggregates import CountSmaller, SumBy
from takeoff.engine.expr import Expr, call, col, equal, flag, when
from takeoff.engine.lookups import At, Match, Named
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.words import word_for


def by_construction(name: str, title: str, frame: Frame, columns: list[Column], blocks: dict[str, list[str]]) -> Table:
    """Return a table with one row for each make-up type in each construction."""
    pairs = [(t, m) for t in frame.types.by_key for m in frame.constructions]
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


def type_(column: str) -> Expr:
    """Return a column of the make-up type of the row."""
    return At("types", column, col("type_row"))


def sums(column: str) -> Expr:
    """Return a sum over the make-up type of the row."""
    return At("type_sums", column, col("type_row"))


def construction(column: str) -> Expr:
    """Return a property of the construction of the row."""
    return At("in_use", column, col("construction_row"))


def makeup_table(frame: Frame) -> Table:
    """The ground path of one box: what is spliced, what lands where, and how many ends that is."""
    largest = type_("largest_run") & "|" & col("construction")

    def ground(name: str, title: str, note: str = "") -> Column:
        return Column(name, title, "ea", At("grounds_now", name, col("ground_row")), note)

    columns = [
        Column("type_row", "row of the type", "no.", Match("types", "type", col("type"))),
        Column(
            "construction_row", "row of the construction", "no.", Match("in_use", "construction", col("construction"))
        ),
        Column("run_row", "row of the largest run", "no.", Match("runs", "key", largest)),
        Column("boxes", "boxes", "ea", sums("is_box")),
        Column("entries", "run ends", "ea", type_("own_runs"), "in this construction"),
        Column("circuit_terminations", "circuit terminations", "ea", type_("circuit_terminations")),
        Column("circuit_splices", "circuit splices", "ea", type_("circuit_splices")),
        Column("wire_egc", "wire-type EGC", "0/1", construction("wire_egc")),
        Column("egc_ends", "EGC ends that come in", "ea", col("entries") * col("wire_egc")),
        Column(
            "grounds",
            "grounds made up as",
            "",
            when(equal(col("wire_egc"), 1), type_("grounds_wire"), type_("grounds_armor")),
        ),
        Column(
            "ground_row",
            "row of its grounds",
            "no.",
            Match("grounds_now", "key", col("grounds")),
        ),
        ground("ground_splices", "ground splices", "wire-type: one splice of all grounds, 250.148; armor-type: none"),
        ground("ground_splice_ends", "ground ends in splices"),
        ground("ground_screw_ends", "ground ends on box screw or bar"),
        ground("ground_device_ends", "ground ends on green terminals"),
        ground("ground_pigtails", "ground pigtails and jumpers"),
        ground(
            "ground_terminations",
            "ground terminations",
            "grounding conductor ends made up: in the splice, on the box screw, on green terminals",
        ),
    ]
    return by_construction("makeup", "Make-up by construction", frame, columns, {})


def same_row(name: str, title: str, unit: str, form: str = "") -> Column:
    """Return a column that shows one of the make-up as it is."""
    return Column(name, title, unit, At("makeup", name, col("line")), format=form)


def line() -> Column:
    """Return the column that finds the make-up of the row."""
    return Column("line", "row of the make-up", "no.", Match("makeup", "key", col("key")))


def fits_table(frame: Frame) -> Table:
    """Box fill with the equipment grounding conductors of the construction, and the box that holds it."""
    extra = Named("code", "value", "egc_extra_allowance")
    beyond = call("max", 0, col("egc_count") - Named("code", "value", "egc_first_count"))
    in_box = (sums("fixed_in3") + col("egc_in3") + sums("isolated_set_in3") + col("spare_in3")) * col("boxes")
    run_row = At("makeup", "run_row", col("line"))
    slot = type_("family") & "|" & col("boxes_too_small")
    held = col("boxes") & "|" & col("by_fill")
    no_box = word_for("box", held)
    columns = [
        line(),
        same_row("type_row", "row of the type", "no."),
        same_row("boxes", "boxes", "ea"),
        Column("fixed_in3", "takes without EGCs", "in3", sums("fixed_in3"), "314.16(B)(1) to (4)", format="0.00"),
        Column(
            "egc_count",
            "EGCs in fill",
            "ea",
            At("makeup", "egc_ends", col("line")) + sums("other_egcs"),
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
            At("makeup", "wire_egc", col("line")) * At("runs", "egc_in3", run_row),
            format="0.00",
        ),
        Column("egc_largest_in3", "largest EGC", "in3", call("max", col("wire_in3"), sums("other_in3")), format="0.00"),
        Column("egc_in3", "EGCs take", "in3", col("egc_allowances") * col("egc_largest_in3"), format="0.00"),
        Column(
            "spare_in3",
            "spare conductors take",
            "in3",
            SumBy("spares", "in3", {"makeup_key": col("key")}),
            "spare conductors of the catalog cable enter the box too: 314.16(B)(1)",
            format="0.00",
        ),
        Column("sum_in3", "sum of fill", "in3", in_box, format="0.00"),
        Column("egc_missing", "no EGC allowance", "0/1", At("runs", "egc_missing", run_row)),
        Column("by_fill", "sized by fill", "0/1", flag(equal(sums("sizes_missing") + col("egc_missing"), 0))),
        Column(
            "fill_in3",
            "box fill",
            "in3",
            when(equal(col("by_fill"), 1), col("sum_in3"), "n/a"),
            "314.16(B); n/a where conductors of 4 AWG and larger call for 314.28",
            format="0.00",
        ),
        Column(
            "boxes_too_small",
            "boxes too small",
            "ea",
            CountSmaller("box_choices", {"family": type_("family")}, "offered_in3", col("sum_in3")),
        ),
        Column("box_found", "row of the box", "no.", Match("box_choices", "slot", slot, missing_ok=True)),
        Column("box_row", "row of the box used", "no.", col("box_found") * col("boxes") * col("by_fill")),
        Column(
            "chosen_box",
            "chosen box",
            "",
            when(equal(col("box_row"), 0), no_box, At("box_choices", "box", col("box_row"))),
            "cheapest stocked box of its style and gangs, with its ring or cover, whose volume is not under the fill",
            width=23,
        ),
        Column(
            "chosen_volume_in3", "its volume", "in3", At("box_choices", "volume_in3", col("box_row"), 0), format="0.0"
        ),
        Column(
            "box_outcome",
            "box, found by its fill",
            "",
            when(equal(col("box_row"), 0), word_for("fill", held), "meets"),
            "look where conductors of 4 AWG and larger call for 314.28",
        ),
    ]
    return by_construction("fits", "Box fill by construction", frame, columns, {})
