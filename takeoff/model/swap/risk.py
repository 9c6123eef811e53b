"""The risk of the swap as tables: computed once on the build, and marked as stale when inputs were changed since."""

from __future__ import annotations

import numpy as np

from takeoff.engine.expr import Expr, as_expr, at_most, call, col, equal, flag, given, less, ratio, same, when
from takeoff.engine.lookups import At, CellAt, Match, Total
from takeoff.engine.tables import Book, Column, Field, Table
from takeoff.job.inputs import Inputs
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import only
from takeoff.model.givens.words import word_for
from takeoff.model.swap.days import TENTHS, days_table
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
    "wait_days",
    "days",
)
"""Figures of the swap that the draws rest on."""


def risk_tables(book: Book, frame: Frame, inputs: Inputs) -> list[Table]:
    """Return the tables of the risk, computed from the swap of the book."""
    keys = range_keys(frame)
    shape = str(inputs["risk_shape"])
    count, seed = int(inputs["risk_draws"]), int(inputs["risk_seed"])
    outcomes = _outcomes(book, keys, shape, count, seed)
    outcome = outcomes[0]
    return [
        _curve_table(outcome),
        days_table(outcomes),
        _basis_table(book),
        _ranges_table(book, keys),
        _risk_table(outcome, shape, count, seed),
    ]


def _outcomes(book: Book, keys: list[str], shape: str, count: int, seed: int) -> list[Outcome]:
    """Return what is saved, decided after each of the parts of the days that remain; the same draws for all."""
    columns = {n: book.values("spreads", n) for n in ("low", "likely", "high")}
    causes, together = (book.values("ranges", n) for n in ("cause", "correlation_pct"))
    ranges = {
        key: Range(
            low=float(columns["low"][row]),
            likely=float(columns["likely"][row]),
            high=float(columns["high"][row]),
            cause=str(causes[row]),
            together=float(together[row]) / 100,
        )
        for row, key in enumerate(keys)
    }
    factors = draw(ranges, shape, count, seed)
    figures = Table("swap", "", [Field(n, n) for n in BASIS], [], {n: list(book.values("swap", n)) for n in BASIS})
    days = float(book.values("swap", "days")[0])
    fields = [Field(k, k) for k in (*keys, "later_days")]
    found = []
    for tenth in TENTHS if days else TENTHS[:1]:
        data = {**factors, "later_days": np.full(count, days * tenth)}
        draws = Table("draws", "", fields, saving_columns(col("later_days")), data)
        found.append(outcome_of(Book([figures, draws], {}).values("draws", "net_usd")))
    return found


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

    def at(name: str) -> Expr:
        return At("ranges", name, col("line"))

    alike = equal(at("correlation_pct"), col("together_built"))
    return Table(
        "risk_ranges",
        "Ranges that the draws rest on",
        [
            Field("range", "range", role="key", width=18),
            Field("line", "line", "no."),
            *(Field(f"{n}_built", f"{n} on the build", "1/1", format="0.000") for n in names),
            Field("cause_built", "cause on the build"),
            Field("together_built", "drawn together on the build", "%"),
        ],
        [
            *(now(n) for n in names),
            Column(
                "tied_changed",
                "cause or correlation was changed",
                "0/1",
                when(call("all", same(at("cause"), col("cause_built")), alike), 0, 1),
            ),
            Column("changed", "was changed", "0/1", call("max", *(col(f"{n}_changed") for n in (*names, "tied")))),
        ],
        {
            "range": keys,
            "line": list(range(1, len(keys) + 1)),
            **{f"{n}_built": [float(v) for v in book.values("spreads", n)] for n in names},
            "cause_built": list(book.values("ranges", "cause")),
            "together_built": [float(v) for v in book.values("ranges", "correlation_pct")],
        },
        key="range",
    )


def _risk_table(outcome: Outcome, shape: str, count: int, seed: int) -> Table:
    likely = ratio(col("chance_pct") + col("chance_pct"), 100, 0) - 1
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
                "some standard errors, and what ranges that move together add or take",
                CENTS,
            ),
            Column("leaning_usd", "ranges with unequal ends", "USD", Total("swings", "mean_usd"), "each alone", CENTS),
            Column(
                "joint_usd",
                "ranges together, and the draws",
                "USD",
                col("mean_usd") - only("swap", "net_usd") - col("leaning_usd"),
                "products of ranges, what moves together, sampling",
                CENTS,
            ),
            Column(
                "against",
                "chance and estimate point apart",
                "0/1",
                flag(less(likely * call("sign", only("swap", "net_usd")), 0)),
                "a saving estimated that is less likely than not, or the other way round",
            ),
            Column("apart", "headline and chance", "", word_for("apart", col("against")), width=60),
            Column(
                "loses",
                "loses as estimated, or on the average",
                "0/1",
                flag(call("any", at_most(only("swap", "net_usd"), 0), at_most(col("mean_usd"), 0))),
            ),
            Column(
                "unsure",
                "chance is under the one asked for",
                "0/1",
                flag(less(col("chance_pct"), given("go_chance_pct"))),
            ),
            Column("reshaped", "shape was changed", "0/1", when(same(given("risk_shape"), col("shape")), 0, 1)),
            Column(
                "changed",
                "inputs changed since the build",
                "ea",
                Total("risk_basis", "changed") + Total("risk_ranges", "changed") + col("reshaped"),
            ),
            Column("says", "state", "", when(equal(col("changed"), 0), FRESH, STALE), width=60),
            Column(
                "unsettled",
                "to settle first",
                "0/1",
                call(
                    "sign",
                    only("swap", "not_priced")
                    + only("swap", "open_prices_from")
                    + only("swap", "open_prices_to")
                    + only("demonstration", "on")
                    + col("changed")
                    + only("rest_state", "open"),
                ),
                "prices missing, expired or slipped, figures invented, draws that are stale",
            ),
            Column(
                "verdict",
                "verdict",
                "",
                word_for("verdict", col("loses") & "|" & col("unsure") & "|" & col("unsettled")),
            ),
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
        exposed=[
            *("p10_usd", "p50_usd", "p90_usd", "chance_pct", "mean_usd", "draws", "seed", "shape", "says"),
            *("leaning_usd", "joint_usd", "apart", "verdict"),
        ],
    )


def _differs(now: Expr, built: Expr) -> Expr:
    """Return 1 where a figure is not what it was: a billionth of it is the noise of adding up in another order."""
    return when(equal(call("/", now - built, call("absolute", built) + 1), 0), 0, 1)
