"""Counted quantities of each plan, and totals by area: counts, feet, labor, installed cost."""

from __future__ import annotations

from takeoff.engine.aggregates import SumProducts
from takeoff.engine.expr import Expr, col, ratio
from takeoff.engine.lookups import At, Match
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.constructions import drivers_of
from takeoff.model.givens.practice import area_keys
from takeoff.model.givens.wages import labor_rate

WHOLE = "#,##0"

AREA_SUMS = (
    ("boxes", "boxes", "ea", ("repeat",)),
    ("grounds", "ground terminations", "ea", ("repeat", "ground_terminations")),
    ("feet", "cable or raceway with tails", "ft", ("repeat", "sheath_ft")),
    ("minutes", "labor", "min", ("repeat", "minutes")),
    ("ground_minutes", "of it for grounds", "min", ("effort", "ground_minutes")),
    ("material_usd", "material", "USD", ("repeat", "material_usd")),
    ("box_usd", "of it boxes, rings, covers", "USD", ("repeat", "box_usd")),
    ("cable_usd", "of it cable and conductors", "USD", ("repeat", "cable_usd")),
)
"""What is added up by area: column, title, unit, and the factors; labor counts each box by its conditions."""


def mix_table(frame: Frame) -> Table:
    """How much of each driver the job has, by plan and construction."""
    return Table(
        "mix",
        "Counted quantities by plan and construction",
        [
            Field("plan", "plan", role="key"),
            Field("wired_as", "wired as", role="key"),
            Field("place", "place of the plan", "no."),
            Field("wired_place", "place of the construction", "no."),
        ],
        [
            *(_driver(frame, d, _at_boxes(d, "counts")) for d in drivers_of(frame, "box")),
            *(_driver(frame, d, _along(d, "repeat")) for d in drivers_of(frame, "run")),
        ],
        {
            "plan": [p for p, _ in frame.pairs],
            "wired_as": [w for _, w in frame.pairs],
            "place": [list(frame.compared).index(p) + 1 for p, _ in frame.pairs],
            "wired_place": [frame.constructions.index(w) + 1 for _, w in frame.pairs],
        },
        {"drivers": drivers_of(frame)},
    )


def efforts_table(frame: Frame) -> Table:
    """How much of each driver labor counts: with the conditions of the work, and with what a crew learns."""
    table = mix_table(frame)
    columns = [
        *(_effort(frame, d, _at_boxes(d, "efforts")) for d in drivers_of(frame, "box")),
        *(_effort(frame, d, _along(d, "effort")) for d in drivers_of(frame, "run")),
    ]
    blocks = {"drivers": [c.name for c in columns]}
    return Table(
        "efforts", "Counted quantities as labor counts them", table.fields, columns, table.data, blocks, "plan"
    )


def _driver(frame: Frame, name: str, expr: Expr) -> Column:
    row = frame.catalogs["drivers"][name]
    return Column(name, str(row["title"]), str(row["unit"]), expr, str(row["source"]), WHOLE)


def _effort(frame: Frame, name: str, expr: Expr) -> Column:
    row = frame.catalogs["drivers"][name]
    title, note = f"{row['title']}, as labor counts it", "with conditions of the work and learning"
    return Column(f"{name}_effort", title, str(row["unit"]), expr, note, WHOLE)


def _at_boxes(driver: str, block: str) -> Expr:
    return SumProducts("work", [driver, (f"built.{block}", col("place"))], {"construction": col("wired_as")})


def _along(column: str, times: str) -> Expr:
    return SumProducts("each", [times, column], {"plan": col("plan"), "place": col("wired_place")})


def quantities_table(frame: Frame) -> Table:
    """How much of each driver the job has, in each plan compared."""
    drivers = drivers_of(frame)
    catalog = frame.catalogs["drivers"]
    return Table(
        "quantities",
        "Counted quantities",
        [
            Field("driver", "driver", role="key"),
            Field("title", "what is counted", role="key"),
            Field("unit", "unit"),
            Field("place", "place among the drivers", "no."),
        ],
        [
            Column(
                n,
                title,
                "in its unit",
                SumProducts("mix", [("drivers", col("place"))], {"plan": p}),
                head=title,
                format="#,##0",
            )
            for n, title, p in frame.per_titled("as")
        ],
        {
            "driver": drivers,
            "title": [catalog[d]["title"] for d in drivers],
            "unit": [catalog[d]["unit"] for d in drivers],
            "place": list(range(1, len(drivers) + 1)),
        },
        {"counts": [n for n, _ in frame.per_compared("as")]},
    )


def area_totals_table(frame: Frame) -> Table:
    """Totals of every area in every plan compared."""
    keys = area_keys(frame)
    pairs = [(a, p) for a in keys.values() for p in frame.compared]
    mine = {"area_key": col("area_key"), "plan": col("plan")}
    names = {key: area for area, key in keys.items()}
    return Table(
        "area_totals",
        "Totals by area",
        [
            Field("key", "area key and plan", role="key", width=17),
            Field("area_key", "area key", role="key"),
            Field("area", "area", width=30),
            Field("plan", "plan", width=14),
        ],
        [
            *(
                Column(
                    n,
                    title,
                    unit,
                    SumProducts("each", factors, mine),
                    format="#,##0.0" if unit == "min" else WHOLE,
                )
                for n, title, unit, factors in AREA_SUMS
            ),
            Column("hours", "labor", "h", ratio(col("minutes"), 60, 0), format="#,##0.0"),
            Column("ground_hours", "of it for grounds", "h", ratio(col("ground_minutes"), 60, 0), format="#,##0.0"),
            Column("labor_usd", "labor", "USD", col("hours") * labor_rate(), format=WHOLE),
            Column(
                "fitting_usd",
                "of it fittings and small parts",
                "USD",
                col("material_usd") - col("box_usd") - col("cable_usd"),
                format=WHOLE,
            ),
            Column("installed_usd", "installed", "USD", col("labor_usd") + col("material_usd"), format=WHOLE),
        ],
        {
            "key": [f"{a}|{p}" for a, p in pairs],
            "area_key": [a for a, _ in pairs],
            "area": [names[a] for a, _ in pairs],
            "plan": [p for _, p in pairs],
        },
    )


def by_area_table(frame: Frame) -> Table:
    """Labor and installed cost of every area, side by side for the plans compared."""
    keys = area_keys(frame)

    def figure(name: str, plan: str) -> Expr:
        return At("area_totals", name, Match("area_totals", "key", col("area_key") & f"|{plan}"))

    return Table(
        "by_area",
        "By area",
        [
            Field("area", "area", role="key", width=24),
            Field("area_key", "area key", role="key"),
        ],
        [
            *(Column(n, f"labor as {t}", "h", figure("hours", p), head=t) for n, t, p in frame.per_titled("hours")),
            *(
                Column(n, f"installed as {t}", "USD", figure("installed_usd", p), head=t, format=WHOLE)
                for n, t, p in frame.per_titled("usd")
            ),
        ],
        {"area_key": list(keys.values()), "area": list(keys)},
        key="area_key",
        totals=[n for stem in ("hours", "usd") for n, _ in frame.per_compared(stem)],
    )
