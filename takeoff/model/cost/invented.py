"""Figures that are still invented, by how much of a total hangs on each: what to replace first.

Which rows there are, and their order, is of the build; how much each weighs is a formula. A figure that no plan used on
the build is in no row; the share of a total on illustrative figures counts it all the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np

from takeoff.engine.aggregates import SumBy, SumProducts
from takeoff.engine.expr import Expr, as_expr, begins, call, col, flag, given, same, when
from takeoff.engine.lookups import At, CellAt, Match, look
from takeoff.engine.tables import Book, Column, Field, Table
from takeoff.model.boxes.tails import TAILS
from takeoff.model.cost.bid import SHOWN
from takeoff.model.cost.counts import boxes_spaced, stocks_invented
from takeoff.model.cost.labor import ALL
from takeoff.model.cost.spacing import spaced_inputs
from takeoff.model.frame import INVENTED, NOTHING, Frame
from takeoff.model.givens.cables import routes_invented
from takeoff.model.givens.constructions import PIGTAIL
from takeoff.model.givens.items import costed_items
from takeoff.model.givens.metals import METALS
from takeoff.model.givens.wages import labor_rate, only

MONEY = "#,##0"
NOTE = "in the plan where it weighs most"
WAGE = "labor_rate_usd_per_h"
HELD = (("cut_waste_ft", "waste at the ends of runs"), ("stock_value_pct", "value of cable left over"))
"""Inputs that a price by packages rests on, as the block `held` of `cable_more` has them."""

ADDED = (
    ("labor_usd", "labor rate", WAGE),
    ("contingency_usd", "contingency", "contingency_pct"),
    ("tax_usd", "tax on material", "material_tax_pct"),
    ("overhead_usd", "overhead", "overhead_pct"),
    ("hourly_usd", "overhead by the hour", "overhead_usd_per_h"),
    ("profit_usd", "profit", "profit_pct"),
    ("bond_usd", "bond", "bond_pct"),
)
"""Rates that add money: line of the bid, title, input; the labor rate may be built up from several."""

USED = ("invented_prices", "invented_minutes")
"""Lists without the rows that weigh nothing; they stand apart, so that their length moves no other table."""

FETCHED = (
    *("invented_prices", "invented_rates", "invented_tails", "invented_conditions"),
    *("invented_styles", "invented_stock", "invented_cable", "invented_metals", "invented_routes"),
)
"""Lists that fetch what they weigh: it has no column of its own."""

CHOSEN = ("invented_cable", "invented_metals", "invented_styles")
"""Lists whose figures act where a live input lets them: they keep the order of their rows, so that it moves none."""

Row = tuple[str, str, float]
"""A candidate: what formulas look it up by, its title, and its place in the table it is read from."""


LABOR, MARKUP = "labor", "markup"
"""Kinds of a rate: the labor rate may be built up from wages, all others are stated."""

List = tuple[str, str, str, list[Row], Expr, Callable[[int], Expr]]
"""Name, title, what a row is, the candidates, whether each is invented, and what hangs on it in a plan."""


def invented_tables(book: Book, frame: Frame) -> list[Table]:
    """Return the tables of figures still invented, those that weigh most on the build first."""
    priced, worked, added = At("unit_costs", "invented", col("line")), _of_source("operations"), _of_source("families")
    hard, lengths = (At(table, "invented", col("line")) for table in ("condition_hours", "tails"))
    made: list[List] = [
        ("invented_prices", "Prices still invented", "item", _items(frame), priced, _bought),
        ("invented_minutes", "Minutes still invented", "minutes of", _minutes(frame), worked, _worked),
        ("invented_families", "Waste and escalation still invented", "family", _families(frame), added, _added),
        ("invented_rates", "Rates still invented", "rate", _rates(), _of_rate(), _line),
        ("invented_tails", "Cable tails still invented", "input", _tails(frame), lengths, _ends),
        (
            "invented_conditions",
            "Conditions of the work still invented",
            "condition",
            _conditions(frame),
            hard,
            _harder,
        ),
        ("invented_cable", "Packages still priced on invented inputs", "input", _held(), _of_way(), _kept),
        ("invented_styles", "Bought ground tails still invented", "figure", _styles(frame), _of_style(), _tailed),
        ("invented_metals", "Metals still invented", "input", _metals(frame), _of_metal(), _weight),
    ]
    if boxes_spaced(frame):
        title = "Feet from box to box still invented"
        made.append(("invented_spacing", title, "input", _spaced(frame), as_expr(1), _run))
    if routes_invented(frame):
        made.append(
            ("invented_routes", "Route factors still invented", "cables of", _routes(frame), as_expr(1), _routed)
        )
    if stocks_invented(frame):
        held = At("stock", "invented", col("line"))
        made.append(("invented_stock", "Boxes in stock still invented", "box", _stock(frame), held, _stocked))
    return [_weighed(book, frame, *found) for found in made]


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
    plans = [(place, (name, title)) for place, (name, title, _) in enumerate(frame.per_titled("usd"), start=1)]
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
                Field("key", "style" if name == "invented_styles" else "key", width=24),
                Field("line", "line", "no."),
                *([Field("kind", "kind of rate")] if WAGE in keys else []),
                *([Field(f"place_{n}", f"place {n}", "no.") for n, _ in plans] if name in CHOSEN else []),
            ],
            [*columns, Column("weight_usd", "weighs", "USD", call("max", *most) * factor, NOTE, MONEY)],
            {
                "title": list(titles),
                "key": list(keys),
                "line": list(lines),
                "kind": [LABOR if k == WAGE else MARKUP for k in keys],
                **{f"place_{n}": [n] * len(keys) for n, _ in plans},
            },
        )

    every = list(rows)
    if name in CHOSEN:
        return table(every)
    trial = Book([*(t for t in book.tables.values() if t.name != name), table(every)], book.inputs)
    trial.take(book)
    weights = np.asarray(trial.values(name, "weight_usd"), dtype=float)
    order = [n for n in np.argsort(-weights, kind="stable") if weights[n] > 0 or name not in USED]
    return table([every[n] for n in order] or every[:1])


def _items(frame: Frame) -> list[Row]:
    items = enumerate(costed_items(frame), start=1)
    return [(str(r["item"]), str(r["title"]), n) for n, r in items if r["item"] != NOTHING]


def _bought(place: int) -> Expr:
    return At("material", f"usd_{place}", col("line"))


def _minutes(frame: Frame) -> list[Row]:
    rows = enumerate(frame.catalogs["operations"], start=1)
    own = ((n, r, "" if r["construction"] == ALL else f" ({r['construction']})") for n, r in rows)
    return [(str(r["key"]), f"{r['title']}{only_in}", n) for n, r, only_in in own]


def _worked(place: int) -> Expr:
    return SumBy("labor_lines", f"hours_{place}", {"figure": col("key")}) * labor_rate()


def _families(frame: Frame) -> list[Row]:
    return [(str(r["family"]), str(r["title"]), n) for n, r in enumerate(frame.catalogs["families"], start=1)]


def _added(place: int) -> Expr:
    """Return what waste and escalation add to the items of a family."""
    return SumProducts(
        "material", [f"net_{place}", "unit_costs.added_usd"], {"family": At("families", "key", col("line"))}
    )


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


def _held() -> list[Row]:
    return [(key, title, n) for n, (key, title) in enumerate(HELD, start=1)]


def _kept(place: int) -> Expr:
    return CellAt("cable_more", "held", col(f"place_{place}"), col("line"))


def _of_way() -> Expr:
    return CellAt("cable_way", "invented", as_expr(1), col("line"))


def _styles(frame: Frame) -> list[Row]:
    rows = enumerate(frame.catalogs["make_up_styles"], start=1)
    return [(str(r["key"]), f"minutes left of a pigtail: {r['style']}", n) for n, r in rows]


def _tailed(place: int) -> Expr:
    """Return the hours on ground pigtails and jumpers."""
    return SumBy("labor", f"hours_{place}", {"driver": PIGTAIL})


def _of_style() -> Expr:
    """Return the labor rate where the style is in force and what it leaves of the minutes is invented."""
    return when(same(given("ground_make_up"), col("key")), 1, 0) * only("make_up_now", "invented") * labor_rate()


def _metals(frame: Frame) -> list[Row]:
    titles = frame.catalogs["inputs"]
    keys = [f"{metal}_usd_per_lb" for metal in METALS]
    return [(key, str(titles[key]["title"]), n) for n, key in enumerate(keys, start=1)]


def _weight(place: int) -> Expr:
    return CellAt("plan_sums", "metals", col(f"place_{place}"), col("line"))


def _of_metal() -> Expr:
    return as_expr(1) - look("held_inputs", "sound", col("key"))


def _spaced(frame: Frame) -> list[Row]:
    titles = frame.catalogs["inputs"]
    return [(key, str(titles[key]["title"]), n) for n, key in enumerate(spaced_inputs(frame), start=1)]


def _run(place: int) -> Expr:
    def mine(unit: str) -> Expr:
        return SumProducts("spacing", [f"sum_{place}", "invented", unit], {"key": col("key")})

    return mine("is_money") + mine("is_labor") * labor_rate()


def _routes(frame: Frame) -> list[Row]:
    """Return the constructions that may be wired in a cable with an invented route factor, with its sizes."""
    sizes: dict[str, dict[str, None]] = {}
    for _, construction, cable in routes_invented(frame):
        sizes.setdefault(construction, {})[str(cable["awg"])] = None
    rows = enumerate(sizes.items(), start=1)
    return [(m, f"{frame.called[m]}, {', '.join(awgs)} AWG", n) for n, (m, awgs) in rows]


def _routed(place: int) -> Expr:
    return SumBy("route_hours", f"hours_{place}", {"construction": col("key")}) * labor_rate()


def _stock(frame: Frame) -> list[Row]:
    rows = enumerate(stocks_invented(frame), start=1)
    return [(str(r["box"]), f"{r['title']}: stocked or not", n) for n, r in rows]


def _stocked(place: int) -> Expr:
    return At("stock", f"usd_{place}", col("line"))


def _of_rate() -> Expr:
    """Return 1 where a rate is invented: the labor rate, stated or built up, or a percentage."""
    stated = At("held_inputs", "sound", Match("held_inputs", "key", col("key")))
    return when(same(col("kind"), LABOR), only("labor_rate", "invented"), as_expr(1) - stated)


def _of_source(table: str) -> Expr:
    return flag(begins(At(table, "source", col("line")), INVENTED))
