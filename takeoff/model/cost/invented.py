"""Figures that are still invented, by how much of a total hangs on each: what to replace first.

Which rows there are, and their order, is of the build; how much each weighs is a formula. A figure that no plan used on
the build is in no row; the share of a total on illustrative figures counts it all the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np

from takeoff.engine.aggregates import SumBy, SumProducts
from takeoff.engine.expr import Expr, as_expr, begins, call, col, flag
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Book, Column, Field, Table
from takeoff.model.boxes.tails import TAILS
from takeoff.model.cost.bid import SHOWN
from takeoff.model.frame import INVENTED, NOTHING, Frame
from takeoff.model.givens.items import costed_items
from takeoff.model.givens.wages import labor_rate, only

MONEY = "#,##0"
NOTE = "in the plan where it weighs most"
WAGE = "labor_rate_usd_per_h"
ADDED = (
    ("labor_usd", "labor rate", WAGE),
    ("contingency_usd", "contingency", "contingency_pct"),
    ("overhead_usd", "overhead", "overhead_pct"),
    ("profit_usd", "profit", "profit_pct"),
    ("bond_usd", "bond", "bond_pct"),
)
"""Rates that add money: line of the bid, title, input; the labor rate may be built up from several."""

LONG = ("invented_prices", "invented_minutes")
"""Lists without the rows that weigh nothing; they stand apart, so that their length moves no other table."""

FETCHED = ("invented_prices", "invented_rates", "invented_tails", "invented_conditions")
"""Lists that fetch what they weigh: it has no column of its own."""

Row = tuple[str, str, float]
"""A candidate: what formulas look it up by, its title, and its place in the table it is read from."""


def invented_tables(book: Book, frame: Frame) -> list[Table]:
    """Return the tables of figures still invented, those that weigh most on the build first."""
    return [
        _weighed(book, frame, *made)
        for made in (
            (
                "invented_prices",
                "Prices still invented",
                "item",
                _items(frame),
                At("unit_costs", "invented", col("line")),
                _bought,
            ),
            (
                "invented_minutes",
                "Minutes still invented",
                "minutes of",
                _minutes(frame),
                _of_source("operations"),
                _worked,
            ),
            (
                "invented_families",
                "Waste and escalation still invented",
                "family",
                _families(frame),
                _of_source("families"),
                _added,
            ),
            ("invented_rates", "Rates still invented", "rate", _rates(), _of_rate(), _line),
            (
                "invented_tails",
                "Cable tails still invented",
                "input",
                _tails(frame),
                At("tails", "invented", col("line")),
                _ends,
            ),
            (
                "invented_conditions",
                "Conditions of the work still invented",
                "condition",
                _conditions(frame),
                At("condition_hours", "invented", col("line")),
                _harder,
            ),
        )
    ]


def _weighed(
    book: Book,
    frame: Frame,
    name: str,
    title: str,
    what: str,
    rows: Iterable[Row],
    factor: Expr,
    of_plan: Callable[[int], Expr],
) -> Table:
    """Return the rows with what hangs on each in every plan, and while it is invented, the heaviest first."""
    plans = list(enumerate(frame.per_compared("usd"), start=1))
    columns = [Column(n, f"as {p}", "USD", of_plan(place), "", MONEY, p) for place, (n, p) in plans]
    most = [col(column.name) for column in columns]
    if name in FETCHED:
        columns, most = [], [of_plan(place) for place, _ in plans]

    def table(found: list[Row]) -> Table:
        keys, titles, lines = zip(*found, strict=True)
        return Table(
            name,
            title,
            [
                Field("title", what, role="key", width=66),
                Field("key", "key", width=24),
                Field("line", "line", "no."),
                *([Field("is_wage", "is the labor rate", "0/1")] if WAGE in keys else []),
            ],
            [*columns, Column("weight_usd", "weighs", "USD", call("max", *most) * factor, NOTE, MONEY)],
            {"title": list(titles), "key": list(keys), "line": list(lines), "is_wage": [int(k == WAGE) for k in keys]},
        )

    every = list(rows)
    trial = Book([*(t for t in book.tables.values() if t.name != name), table(every)], book.inputs)
    trial.take(book)
    weights = np.asarray(trial.values(name, "weight_usd"), dtype=float)
    order = [n for n in np.argsort(-weights, kind="stable") if weights[n] > 0 or name not in LONG]
    return table([every[n] for n in order] or every[:1])


def _items(frame: Frame) -> list[Row]:
    items = enumerate(costed_items(frame), start=1)
    return [(str(r["item"]), str(r["title"]), n) for n, r in items if r["item"] != NOTHING]


def _bought(place: int) -> Expr:
    return At("material", f"usd_{place}", col("line"))


def _minutes(frame: Frame) -> list[Row]:
    rows = enumerate(frame.catalogs["operations"], start=1)
    return [(str(r["key"]), f"{r['title']} ({r['construction']})", n) for n, r in rows]


def _worked(place: int) -> Expr:
    return SumBy("labor_lines", f"hours_{place}", {"figure": col("key")}) * labor_rate()


def _families(frame: Frame) -> list[Row]:
    return [(str(r["family"]), str(r["title"]), n) for n, r in enumerate(frame.catalogs["families"], start=1)]


def _added(place: int) -> Expr:
    """Return what waste and escalation add to the items of a family."""
    return SumProducts("material", [f"net_{place}", "unit_costs.added_usd"], {"family": col("key")})


def _rates() -> list[Row]:
    places = {name: n for n, (name, *_) in enumerate(SHOWN, start=1)}
    return [(key, title, places[name]) for name, title, key in ADDED]


def _line(place: int) -> Expr:
    return At("bid_sheet", f"as_{place}", col("line"))


def _tails(frame: Frame) -> list[Row]:
    titles = frame.catalogs["inputs"]
    return [(key, str(titles[key]["title"]), n) for n, (key, *_) in enumerate(TAILS, start=1)]


def _ends(place: int) -> Expr:
    return At("tails", f"usd_{place}", col("line"))


def _conditions(frame: Frame) -> list[Row]:
    rows = enumerate(frame.catalogs["work_conditions"], start=1)
    return [(str(r["condition"]), str(r["title"]), n) for n, r in rows]


def _harder(place: int) -> Expr:
    """Return what a condition of the work adds or takes off."""
    return At("condition_hours", f"hours_{place}", col("line")) * labor_rate()


def _of_rate() -> Expr:
    """Return 1 where a rate is invented: the labor rate, stated or built up, or a percentage."""
    stated = At("held_inputs", "sound", Match("held_inputs", "key", col("key")))
    of_wage = only("labor_rate", "invented") * col("is_wage")
    return of_wage + (as_expr(1) - stated) * (as_expr(1) - col("is_wage"))


def _of_source(table: str) -> Expr:
    return flag(begins(At(table, "source", col("line")), INVENTED))
