"""The risk of the swap as tables: computed once on the build, and marked as stale when inputs were changed since."""

from __future__ import annotations

from takeoff.engine.expr import Expr, as_expr, call, col, equal, given, same, when
from takeoff.engine.lookups import At, CellAt, Match, Total
from takeoff.engine.tables import Book, Column, Field, Table
from takeoff.job.inputs import Inputs
from takeoff.model.frame import Frame
from takeoff.model.swap.draws import PERCENTS, Outcome, Range, draw, outcome_of
from takeoff.model.swap.ranges import ALL, MEAN, range_keys, saving_columns

CENTS = "#,##0.00;-#,##0.00;0.00"
FRESH = "computed on the build; inputs as then"
STALE = "STALE: inputs changed, build again"
BASIS = (
    "ground_hours_from",
    "ground_hours_to",
    "other_hours_from",
    "other_hours_to",
    "rate",
    "cable_usd_from",
    "cable_usd_to",
    "box_usd",
    "fitting_usd",
    "one_time_usd",
)
"""Figures of the swap that the draws rest on."""


def risk_tables(book: Book, frame: Frame, inputs: Inputs) -> list[Table]:
    """Return the tables of the risk, computed from the swap of the book."""
    keys = range_keys(frame)
    shape = str(inputs["risk_shape"])
    count, seed = int(inputs["risk_draws"]), int(inputs["risk_seed"])
    outcome = _outcome(book, keys, shape, count, seed)
    return [
        _curve_table(outcome),
        _basis_table(book),
        _ranges_table(book, keys),
        _risk_table(outcome, shape, count, seed),
    ]


def _outcome(book: Book, keys: list[str], shape: str, count: int, seed: int) -> Outcome:
    columns = {n: book.values("spreads", n) for n in ("low", "likely", "high")}
    ranges = {key: Range(*(float(columns[n][row]) for n in ("low", "likely", "high"))) for row, key in enumerate(keys)}
    factors = draw(ranges, shape, count, seed)
    figures = Table("swap", "", [Field(n, n) for n in BASIS], [], {n: list(book.values("swap", n)) for n in BASIS})
    draws = Table(
        "draws",
        "",
        [Field(k, k) for k in keys],
        saving_columns(),
        factors,
    )
    return outcome_of(Book([figures, draws], {}).values("draws", "net_usd"))


def _curve_table(outcome: Outcome) -> Table:
    return Table(
        "risk_curve",
        "Chance that the net saving comes to this or less",
        [Field("chance_pct", "chance", "%", role="key"), Field("net_usd", "net saving at most", "USD", format="#,##0")],
        [],
        {"chance_pct": list(PERCENTS), "net_usd": list(outcome.curve_usd)},
        key="chance_pct",
    )


def _basis_table(book: Book) -> Table:
    columns = [c.name for c in book.tables["swap"].columns]
    now = CellAt("swap", "figures", as_expr(1), col("place"))
    return Table(
        "risk_basis",
        "Figures that the draws rest on",
        [
            Field("figure", "figure of the swap", role="key", width=24),
            Field("place", "place", "no."),
            Field("built", "on the build", "in its unit", format=CENTS),
        ],
        [
            Column("now", "now", "in its unit", now, format=CENTS),
            Column("changed", "was changed", "0/1", _differs(col("now"), col("built"))),
        ],
        {
            "figure": list(BASIS),
            "place": [columns.index(n) + 1 for n in BASIS],
            "built": [float(book.values("swap", n)[0]) for n in BASIS],
        },
        key="figure",
    )


def _ranges_table(book: Book, keys: list[str]) -> Table:
    names = ("low", "likely", "high")

    def now(name: str) -> Column:
        return Column(
            f"{name}_changed",
            f"{name} was changed",
            "0/1",
            _differs(At("spreads", name, col("line")), col(f"{name}_built")),
        )

    return Table(
        "risk_ranges",
        "Ranges that the draws rest on",
        [
            Field("range", "range", role="key", width=18),
            Field("line", "line", "no."),
            *(Field(f"{n}_built", f"{n} on the build", "1/1", format="0.000") for n in names),
        ],
        [
            *(now(n) for n in names),
            Column("changed", "was changed", "0/1", call("max", *(col(f"{n}_changed") for n in names))),
        ],
        {
            "range": keys,
            "line": list(range(1, len(keys) + 1)),
            **{f"{n}_built": [float(v) for v in book.values("spreads", n)] for n in names},
        },
        key="range",
    )


def _risk_table(outcome: Outcome, shape: str, count: int, seed: int) -> Table:
    by_formula = At("cases", "net_usd", Match("cases", "key", as_expr(f"{ALL}|{MEAN}")))
    return Table(
        "risk",
        "Risk of the net saving",
        [
            Field("key", "risk", role="key"),
            Field("shape", "shape of the ranges"),
            Field("draws", "draws", "ea", format="#,##0"),
            Field("seed", "seed", "no."),
            *(Field(f"p{p}_usd", f"P{p}", "USD", format="#,##0") for p in (10, 50, 90)),
            Field("mean_usd", "mean of the draws", "USD", format=CENTS),
            Field("sd_usd", "standard deviation", "USD", format=CENTS),
            Field("chance_pct", "chance of a saving", "%", format="0.0"),
        ],
        [
            Column("mean_by_formula_usd", "mean by formula", "USD", by_formula, "every range at its mean", CENTS),
            Column(
                "gap_usd",
                "sampled mean less it",
                "USD",
                col("mean_usd") - col("mean_by_formula_usd"),
                "some standard errors at most: the saving is linear in every single factor",
                CENTS,
            ),
            Column("reshaped", "shape was changed", "0/1", when(same(given("risk_shape"), col("shape")), 0, 1)),
            Column(
                "changed",
                "inputs changed since the build",
                "ea",
                Total("risk_basis", "changed") + Total("risk_ranges", "changed") + col("reshaped"),
            ),
            Column("says", "state", "", when(equal(col("changed"), 0), FRESH, STALE), width=60),
        ],
        {
            "key": ["net saving"],
            "shape": [shape],
            "draws": [count],
            "seed": [seed],
            **{f"p{p}_usd": [outcome.at(p)] for p in (10, 50, 90)},
            "mean_usd": [outcome.mean_usd],
            "sd_usd": [outcome.sd_usd],
            "chance_pct": [outcome.chance_pct],
        },
        exposed=["p10_usd", "p50_usd", "p90_usd", "chance_pct", "mean_usd", "draws", "seed", "shape", "says"],
    )


def _differs(now: Expr, built: Expr) -> Expr:
    """Return 1 where a figure is not what it was: a billionth of it is the noise of adding up in another order."""
    return when(equal(call("/", now - built, call("absolute", built) + 1), 0), 0, 1)
