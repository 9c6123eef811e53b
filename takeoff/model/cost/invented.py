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

Row = tuple[str, str, float]
"""A candidate: what formulas look it up by, its title, and its place in the table it is read from."""


def invented_tables(book: Book, frame: Frame) -> list[Table]:
    """Return the tables of figures still invented, those that weigh most on the build first."""
    return [
        _weighed(book, frame, *made)
        for made in (
            ("invented_prices", "Prices still invented", "item", _items(frame), _price),
            ("invented_minutes", "Minutes still invented", "minutes of", _minutes(frame), _minutes_weight),
            ("invented_families", "Waste and escalation still invented", "family", _families(frame), _family),
            ("invented_rates", "Rates still invented", "rate", _rates(), _rate),
        )
    ]


def _weighed(
    book: Book,
    frame: Frame,
    name: str,
    title: str,
    what: str,
    rows: Iterable[Row],
    weight: Callable[[Frame], Expr],
) -> Table:
    """Return the rows that weigh anything, the heaviest first; one that says so where there is none."""

    def table(found: list[Row]) -> Table:
        keys, titles, lines = zip(*found, strict=True)
        return Table(
            name,
            title,
            [
                Field("title", what, role="key", width=52),
                Field("key", "key", role="key", width=24),
                Field("line", "line", "no."),
                Field("is_wage", "is the labor rate", "0/1"),
            ],
            [Column("weight_usd", "weighs", "USD", weight(frame), NOTE, MONEY)],
            {"title": list(titles), "key": list(keys), "line": list(lines), "is_wage": [int(k == WAGE) for k in keys]},
        )

    every = list(rows)
    trial = Book([*(t for t in book.tables.values() if t.name != name), table(every)], book.inputs)
    trial.take(book)
    weights = np.asarray(trial.values(name, "weight_usd"), dtype=float)
    order = [n for n in np.argsort(-weights, kind="stable") if weights[n] > 0 or name not in LONG]
    return table([every[n] for n in order] or every[:1])


def _most(frame: Frame, of_plan: Callable[[int], Expr]) -> Expr:
    """Return the largest of a figure over the plans compared."""
    return call("max", *(of_plan(place) for place, _ in enumerate(frame.compared, start=1)))


def _items(frame: Frame) -> list[Row]:
    items = enumerate(costed_items(frame), start=1)
    return [(str(r["item"]), str(r["title"]), n) for n, r in items if r["item"] != NOTHING]


def _price(frame: Frame) -> Expr:
    return _most(frame, lambda n: At("material", f"usd_{n}", col("line"))) * At("unit_costs", "invented", col("line"))


def _minutes(frame: Frame) -> list[Row]:
    rows = enumerate(frame.catalogs["operations"], start=1)
    return [(str(r["key"]), f"{r['title']} ({r['construction']})", n) for n, r in rows]


def _minutes_weight(frame: Frame) -> Expr:
    hours = _most(frame, lambda n: SumBy("labor_lines", f"hours_{n}", {"figure": col("key")}))
    return hours * labor_rate() * flag(begins(At("operations", "source", col("line")), INVENTED))


def _families(frame: Frame) -> list[Row]:
    return [(str(r["family"]), str(r["title"]), n) for n, r in enumerate(frame.catalogs["families"], start=1)]


def _family(frame: Frame) -> Expr:
    def added(n: int) -> Expr:
        mine = {"family": col("key")}
        with_all = SumProducts("material", [f"net_{n}", "unit_costs.escalated_usd"], mine)
        return with_all - SumProducts("material", [f"net_{n}", "unit_costs.bare_usd"], mine)

    return _most(frame, added) * flag(begins(At("families", "source", col("line")), INVENTED))


def _rates() -> list[Row]:
    places = {name: n for n, (name, *_) in enumerate(SHOWN, start=1)}
    return [(key, title, places[name]) for name, title, key in ADDED]


def _rate(frame: Frame) -> Expr:
    most = _most(frame, lambda n: At("bid_sheet", f"as_{n}", col("line")))
    stated = At("held_inputs", "sound", Match("held_inputs", "key", col("key")))
    of_wage = only("labor_rate", "invented") * col("is_wage")
    return most * (of_wage + (as_expr(1) - stated) * (as_expr(1) - col("is_wage")))
