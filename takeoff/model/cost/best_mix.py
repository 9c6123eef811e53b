"""The best mix: for each circuit the cheapest construction that may serve it."""

from __future__ import annotations

from takeoff.engine.aggregates import CountBy, SumBy, SumProducts
from takeoff.engine.chains import Lowest, PlaceOf
from takeoff.engine.expr import Expr, call, col, equal, given, ratio, when
from takeoff.engine.lookups import At, CountAbove, Total
from takeoff.engine.tables import YES_NO, Book, Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.job import plan_key
from takeoff.model.givens.wages import only

MONEY, SIGNED = "#,##0", "+#,##0;-#,##0;0"


def mix_places_table(frame: Frame) -> Table:
    """Every circuit in every plan: what decides which plan wires it for the least."""
    pairs = [(c, p) for c in frame.stretches for p in frame.compared]
    circuits = dict(zip(frame.stretches, frame.stretch_circuits, strict=True))
    mine = {"circuit_row": col("circuit_row"), "plan": col("plan")}

    def of_circuit(name: str) -> Expr:
        """Return a figure of all of a circuit: what a box costs where constructions meet hangs on both."""
        return SumBy("verdicts", name, mine) if frame.changes else At("verdicts", name, col("line"))

    share = ratio(col("installed_usd"), Total("verdicts", "installed_usd"), 0)
    return Table(
        "mix_places",
        "Circuits by cost",
        [
            Field("key", "circuit and plan", role="key", width=18),
            Field("circuit_key", "circuit key", role="key"),
            Field("plan", "plan key"),
            Field("title", "plan", width=18),
            Field("line", "line", "no."),
            Field("circuit_row", "row of the circuit", "no."),
        ],
        [
            Column("installed_usd", "all runs of it", "USD", of_circuit("installed_usd"), format="#,##0.00"),
            Column("lacking", "of them without a size or price", "ea", of_circuit("lacking")),
            Column("share", "part of all", "1/1", share, format="0.000000000"),
            Column(
                "weight",
                "place by cost",
                "1/1",
                call("nine", col("share") + call("sign", col("lacking"))),
                "what has no price or size is no bargain: it comes after all that has",
                "0.000000000",
            ),
        ],
        {
            "key": [f"{c}|{p}" for c, p in pairs],
            "circuit_key": [c for c, _ in pairs],
            "plan": [p for _, p in pairs],
            "title": [frame.titles[p] for _, p in pairs],
            "line": list(range(1, len(pairs) + 1)),
            "circuit_row": [circuits[c] for c, _ in pairs],
        },
    )


def mix_choices_table(frame: Frame) -> Table:
    """For each circuit, whole, the cheapest of what the plans compared wire it in; of equal ones the first plan's."""

    def best(name: str) -> Expr:
        return At("verdicts", name, col("row"))

    called = At("in_use", "called", At("wiring", "place", col("row")))
    base = At("verdicts", "installed_usd", col("first") - 1 + only("base", "place"))
    first, last = col("first"), col("last")
    count = len(frame.compared)
    firsts = [n * count + 1 for n in range(len(frame.stretches))]
    return Table(
        "mix_choices",
        "Cheapest permitted construction of each circuit",
        [
            Field("circuit", "circuit", role="key", width=16),
            Field("key", "circuit key", role="key"),
            Field("first", "first of its plans", "no."),
            Field("last", "last of its plans", "no."),
        ],
        [
            Column("least", "least weight", "1/1", Lowest("mix_places", "weight", first, last), format="0.000000000"),
            Column("row", "row of the plan", "no.", PlaceOf(col("least"), "mix_places", "weight", first, last)),
            Column("wired_as", "cheapest as", "", called, "no refusing check stands against it", width=18),
            Column(
                "plan",
                "as in the plan",
                "",
                At("mix_places", "title", col("row")),
                "one plan for all runs of a circuit: what a box costs where constructions meet hangs on both",
                width=18,
            ),
            Column("repeat", "times built", "ea", best("repeat")),
            Column("hours", "labor", "h", best("hours"), format="#,##0.00"),
            Column("material_usd", "material", "USD", best("material_usd"), format=MONEY),
            Column("installed_usd", "installed", "USD", best("installed_usd"), format=MONEY),
            Column("lacking", "without a size or price", "ea", best("lacking")),
            Column("base_usd", "in the base", "USD", base, format=MONEY),
            Column("saves_usd", "saves against the base", "USD", col("base_usd") - col("installed_usd"), format=MONEY),
        ],
        {
            "circuit": list(frame.stretch_names.values()),
            "key": list(frame.stretches),
            "first": firsts,
            "last": [n + count - 1 for n in firsts],
        },
    )


def mix_of(book: Book) -> list[str]:
    """Return the construction of each circuit in the best mix, in the order of its rows."""
    wired = book.values("verdicts", "wired_as")
    return [str(wired[int(row) - 1]) for row in book.values("mix_choices", "row")]


def mix_counts_table(frame: Frame) -> Table:
    """How many circuits the best mix wires in each construction."""
    return Table(
        "mix_counts",
        "Best mix by construction",
        [Field("wired_as", "wired as", role="key", width=18)],
        [
            Column("circuits", "circuits", "ea", SumBy("mix_choices", "repeat", {"wired_as": col("wired_as")})),
            Column("hours", "labor", "h", SumBy("mix_choices", "hours", {"wired_as": col("wired_as")})),
            Column(
                "installed_usd",
                "installed",
                "USD",
                SumBy("mix_choices", "installed_usd", {"wired_as": col("wired_as")}),
                format=MONEY,
            ),
            Column(
                "used",
                "is used",
                "0/1",
                call("sign", CountBy("mix_choices", {"wired_as": col("wired_as")})),
                format=YES_NO,
            ),
        ],
        {"wired_as": list(frame.called.values())},
        key="wired_as",
    )


def best_mix_table(_: Frame) -> Table:
    """The best mix as a whole: the cheapest for each circuit, and what mixing constructions costs."""
    return Table(
        "best_mix",
        "Best mix",
        [Field("key", "plan", role="key", width=14)],
        [
            Column("hours", "labor", "h", Total("mix_choices", "hours")),
            Column("material_usd", "material", "USD", Total("mix_choices", "material_usd"), format=MONEY),
            Column("installed_usd", "installed", "USD", Total("mix_choices", "installed_usd"), format=MONEY),
            Column("constructions", "constructions on the job", "ea", Total("mix_counts", "used")),
            Column(
                "mixing_usd",
                "cost of mixing",
                "USD",
                (col("constructions") - 1) * given("mixing_usd"),
                "mixing_usd for each construction beyond the first: second stock, second crew sheet, marking",
                MONEY,
            ),
            Column(
                "with_mixing_usd", "installed with that", "USD", col("installed_usd") + col("mixing_usd"), format=MONEY
            ),
            Column("lacking", "things without a size or price", "ea", Total("mix_choices", "lacking")),
            Column("state", "pricing", "", when(equal(col("lacking"), 0), "complete", "NOT COMPLETE"), width=15),
        ],
        {"key": ["best mix"]},
    )


def simplicity_table(frame: Frame) -> Table:
    """What each plan costs or saves against the best mix, the cost of mixing counted on both sides."""
    titled = list(enumerate(frame.called.values(), start=1))

    def circuits(construction: int) -> Expr:
        wired_as = At("in_use", "construction", col(f"place_{construction}"))
        return SumProducts("verdicts", ["repeat"], {"plan": plan_key(), "wired_as": wired_as})

    used = [Column(f"in_{n}", f"circuits in {w}", "ea", circuits(n), head=w) for n, w in titled]
    return Table(
        "simplicity",
        "What one plan costs or saves against the best mix",
        [
            Field("title", "plan", role="key", width=18),
            Field("plan", "plan key"),
            Field("place", "place of the plan", "no."),
            *(Field(f"place_{n}", f"place of {w}", "no.") for n, w in titled),
        ],
        [
            *used,
            Column("constructions", "constructions on the job", "ea", CountAbove("used")),
            Column(
                "installed_usd",
                "installed, cable by the foot",
                "USD",
                At("plan_sums", "labor_cost", col("place")) + At("plan_sums", "feet_material", col("place")),
                "as the best mix is: whole packages are a figure of the plan",
                MONEY,
            ),
            Column(
                "mixing_usd", "cost of mixing", "USD", (col("constructions") - 1) * given("mixing_usd"), format=MONEY
            ),
            Column(
                "simplicity_usd",
                "costs more (+) or less (-) than the best mix",
                "USD",
                col("installed_usd") + col("mixing_usd") - only("best_mix", "with_mixing_usd"),
                "installed with the cost of mixing, less the same of the best mix",
                SIGNED,
            ),
        ],
        {
            "title": list(frame.titles.values()),
            "plan": list(frame.compared),
            "place": list(range(1, len(frame.compared) + 1)),
            **{f"place_{n}": [n] * len(frame.compared) for n, _ in titled},
        },
        {"used": [column.name for column in used]},
        key="plan",
    )
