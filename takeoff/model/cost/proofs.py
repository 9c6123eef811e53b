"""The proofs that nothing was lost: what was read equals what is shown, totals equal the sums of their parts."""

from __future__ import annotations

from takeoff.engine.aggregates import CountBy, SumBy, SumProducts
from takeoff.engine.expr import Expr, at_most, call, col, given, when
from takeoff.engine.lookups import At, CellAt, Total
from takeoff.engine.tables import YES_NO, Column, Field, Table
from takeoff.model.frame import Frame


def _proofs(place: Expr, plan: Expr) -> list[tuple[str, str, Expr, Expr]]:
    """Return what is proved: name, sentence, and two expressions that must be equal."""
    mine = {"plan": plan}
    ends = [("runs", place)]

    def figure(name: str) -> Expr:
        return At("plan_sums", name, place)

    return [
        ("rows", "rows of the schedule = boxes counted", Total("reading", "rows"), CountBy("each", mine)),
        (
            "boxes",
            "boxes by schedule = boxes by size + boxes without one",
            Total("boxes", "repeat"),
            SumProducts("box_counts", [("counts", place)], {}) + At("plan_flags", "unsized", place),
        ),
        (
            "feet",
            "feet of the schedule with tails = feet of all run kinds",
            SumProducts("boxes", ["repeat", "with_tails_ft"], {}),
            SumProducts("orders", [("wire_ft", place)], {}),
        ),
        (
            "ends",
            "entries + home runs = ends of all runs",
            figure("entries") + SumBy("home_runs", "count", mine),
            SumProducts("orders", ends, {}) + SumProducts("orders", ends, {}),
        ),
        (
            "circuit",
            "circuit terminations by box = by make-up type",
            figure("circuit_terminations"),
            SumProducts("types", ["count", "circuit_terminations"], {"place": "box"}),
        ),
        (
            "ground",
            "ground terminations by box = by make-up type",
            figure("ground_terminations"),
            SumProducts("makeup", ["boxes", "ground_terminations", ("built.counts", place)], {}),
        ),
        (
            "hours",
            "hours by box = hours by operation",
            figure("labor_hours"),
            SumProducts("labor_lines", [("hours", place)], {}),
        ),
        ("circuit_hours", "hours by box = hours by circuit", figure("labor_hours"), SumBy("verdicts", "hours", mine)),
        (
            "material",
            "material by box = material by item",
            figure("feet_material"),
            SumProducts("material", [("usds", place)], {}),
        ),
        (
            "circuit_material",
            "material by box = material by circuit",
            figure("feet_material"),
            SumBy("verdicts", "material_usd", mine),
        ),
        ("area_hours", "hours by box = hours by area", figure("labor_hours"), SumBy("area_totals", "hours", mine)),
        (
            "area_material",
            "material = material by area + coil remainder",
            figure("material_cost"),
            SumBy("area_totals", "material_usd", mine) + figure("coil_remainder"),
        ),
        (
            "bid_material",
            "material = material in the bid",
            figure("material_cost"),
            At("bid", "material_usd", place),
        ),
    ]


def proof_count(frame: Frame) -> int:
    """Return how many proofs there are, all plans together."""
    return len(_proofs(col("place"), col("plan"))) * len(frame.compared)


def reading_table(frame: Frame) -> Table:
    """What was read from the schedule: counted by the reader, not by a formula."""
    return Table(
        "reading",
        "Read from the schedule",
        [Field("file", "file", role="key"), Field("rows", "rows after the header", "ea")],
        [],
        {"file": [frame.job.schedule.file], "rows": [len(frame.job.schedule.boxes)]},
    )


def figures_table(frame: Frame) -> Table:
    """The two figures of every proof, by plan."""
    proofs = _proofs(col("place"), col("plan"))
    return Table(
        "figures",
        "Figures of the proofs",
        [Field("plan", "plan", role="key"), Field("place", "place of the plan", "no.")],
        [
            *(
                Column(f"{n}_left", f"{t.partition(' = ')[0]}, {n}", "in its unit", left, format="#,##0.00")
                for n, t, left, _ in proofs
            ),
            *(
                Column(f"{n}_right", f"{t.partition(' = ')[2]}, {n}", "in its unit", right, format="#,##0.00")
                for n, t, _, right in proofs
            ),
        ],
        {"plan": list(frame.compared), "place": list(range(1, len(frame.compared) + 1))},
        {"left": [f"{n}_left" for n, *_ in proofs], "right": [f"{n}_right" for n, *_ in proofs]},
    )


def proofs_table(frame: Frame) -> Table:
    """Each proof in each plan compared: the difference must be nothing."""
    proofs = _proofs(col("place"), col("plan"))
    rows = [
        (n, t, place, p)
        for n, (_, t, *_) in enumerate(proofs, start=1)
        for place, p in enumerate(frame.titles.values(), start=1)
    ]
    return Table(
        "proofs",
        "Proofs",
        [
            Field("proof", "what must be equal", role="key", width=52),
            Field("plan", "plan", role="key"),
            Field("number", "number of the proof", "no."),
            Field("place", "place of the plan", "no."),
        ],
        [
            Column(
                "left", "left", "in its unit", CellAt("figures", "left", col("place"), col("number")), format="#,##0.00"
            ),
            Column(
                "right",
                "right",
                "in its unit",
                CellAt("figures", "right", col("place"), col("number")),
                format="#,##0.00",
            ),
            Column("difference", "difference", "in its unit", col("left") - col("right"), format="0.00"),
            Column(
                "open",
                "open",
                "0/1",
                when(at_most(call("absolute", col("difference")), given("proof_tolerance")), 0, 1),
                format=YES_NO,
            ),
        ],
        {
            "proof": [t for _, t, *_ in rows],
            "plan": [p for *_, p in rows],
            "number": [n for n, *_ in rows],
            "place": [place for *_, place, _ in rows],
        },
    )
