"""The catalogs as tables, and the small tables that read them: figures in force, unit costs, box choices."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from takeoff.catalog.rows import Catalog, Catalogs, Row
from takeoff.engine.aggregates import CountSmaller
from takeoff.engine.expr import Expr, call, col, equal, given, ratio, when
from takeoff.engine.lookups import Total, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame, fields_of, key_of
from takeoff.model.givens.items import box_uses_of
from takeoff.model.givens.metals import METALS, SIGNS, weights_of_items

SHOWN = {
    "editions": "Code editions",
    "units": "Price units",
    "families": "Waste by family of material",
    "prices": "Prices",
    "packages": "How things are sold",
    "work_conditions": "Conditions of the work",
    "crew": "Crew and wages",
    "burden": "Taxes and insurance on wages",
    "ranges": "What may come out otherwise than estimated",
    "proposal": "Words of the proposal",
    "rules": "Figures of the code, by edition",
    "checks": "Checks, by edition",
    "outcomes": "Outcomes of a check",
    "stops": "What stands against a total",
    "facts": "Facts that exceptions need",
    "answers": "What an answer to a fact comes to, by edition",
    "fill_parts": "What takes room in a box, by edition",
    "allowances": "Volume allowance of one conductor, by edition",
    "egc_sizes": "Equipment grounding conductor by breaker, by edition",
    "conductors": "Conductor sizes",
    "breakers": "Standard ratings of breakers, by edition",
    "breaker_bands": "Breakers: how long a fault current flows",
    "ambient": "Ambient correction, by edition",
    "adjustments": "Adjustment for more than three conductors, by edition",
    "systems": "System voltages",
    "connections": "Load connections",
    "metals": "Conductor metals",
    "short_time": "Short-time test currents of fittings",
    "plans": "Plans",
    "constructions": "Constructions",
    "cables": "Cable configurations",
    "control_cables": "Control cables of their own",
    "fittings": "Fittings",
    "egc_rules": "Ground path of each construction, by edition",
    "fitting_rules": "Fittings listed for each construction, by edition",
    "spaces": "Kinds of space",
    "space_rules": "Constructions by kind of space, by edition",
    "devices": "Devices",
    "box_styles": "Box styles",
    "box_sizes": "Boxes: volume, and what is stocked",
    "box_uses": "Which box serves which style and gangs",
    "connectors": "Wire connectors",
    "operations": "Labor minutes by operation",
    "uses": "Small parts by driver",
    "make_up_styles": "Styles of ground make-up",
    "job_steps": "Steps of the crew pages",
    "drivers": "What is counted",
}
"""Catalogs that go into the workbook, with the title of their table."""

FAMILIES = {
    "cables": ("construction awg isolated control_awg", "conductors"),
    "egc_sizes": ("edition", "breaker_a"),
    "connectors": ("awg", "ends_max"),
    "breakers": ("edition", "rating_a"),
    "breaker_bands": ("volts_to", "rating_to_a"),
    "ambient": ("edition", "to_f"),
    "adjustments": ("edition", "ccc_to"),
}
"""Catalogs searched for the smallest entry not under a need: columns of the family, column of the size."""


NARROW = {("prices", "title"): 40.0, ("packages", "title"): 12.0}
"""Widths of columns with which the price list and the weights beside it stand on one page of paper."""


def catalog_tables(frame: Frame) -> list[Table]:
    """Return every catalog shown in the workbook as a table of given columns."""
    return [
        _catalog_table(frame.catalogs[name], title, frame.catalogs)
        for name, title in SHOWN.items()
        if len(frame.catalogs[name])
    ]


def family_of(row: Row, catalog: str) -> str:
    """Return the family in which a row of a catalog is searched for."""
    return "|".join(str(row[c]) for c in FAMILIES[catalog][0].split())


def _catalog_table(catalog: Catalog, title: str, catalogs: Catalogs) -> Table:
    fields = [replace(f, width=NARROW.get((catalog.name, f.name), f.width)) for f in fields_of(catalog)]
    data: dict[str, list[object]] = {f.name: [row[f.name] for row in catalog] for f in fields}
    if catalog.name in FAMILIES:
        size = FAMILIES[catalog.name][1]
        families = [family_of(row, catalog.name) for row in catalog]
        data["family"], data["slot"] = list(families), list(_slots(families, [float(str(s)) for s in data[size]]))
        fields += [Field("family", "family", role="key"), Field("slot", "place in family", role="key")]
    if catalog.name == "prices":
        weights = weights_of_items(catalogs)
        for metal in METALS:
            fields.append(Field(f"{metal}_lb_per_kft", SIGNS[metal], "lb/kft", format="0.0;;-", width=6.8))
            data[f"{metal}_lb_per_kft"] = [weights.get(str(row["item"]), {}).get(metal, 0.0) for row in catalog]
    return Table(catalog.name, title, fields, [], data, key=key_of(catalog))


def code_table(frame: Frame) -> Table:
    """Figures of the code in force: each has a defined name, `code.` and its key."""
    names = frame.catalogs["rules"].texts("rule")
    titles = {str(row["rule"]): row for row in frame.catalogs["rules"]}
    in_force = given("code_edition") & "|" & col("key")
    return Table(
        "code",
        "Figures of the code in force",
        [Field("key", "figure", role="key"), Field("title", "meaning"), Field("unit", "unit")],
        [
            Column("value", "value in force", "in its unit", look("rules", "value", in_force), format="0.00"),
            Column("section", "section", "", look("rules", "section", in_force)),
        ],
        {"key": names, "title": [titles[n]["title"] for n in names], "unit": [titles[n]["unit"] for n in names]},
        named="value",
    )


def box_choices_table(frame: Frame) -> Table:
    """Boxes that serve a style and a number of gangs: which of them may be chosen, each with its place by volume.

    A box that another one of the family beats, not smaller and for less, is not offered. Of those offered the smallest
    that holds a fill is then the cheapest that does, so that a fill is looked up once, whatever the prices are.
    """
    uses = box_uses_of(frame)
    mine = {"family": col("family")}
    beaten = CountSmaller("box_choices", mine, "weight", col("weight"), ("usable_in3", col("usable_in3")))
    smaller = CountSmaller("box_choices", mine, "offered_in3", col("offered_in3"))
    stocked = look("box_sizes", "stocked", col("box"))

    def cost(name: str) -> Expr:
        return look("unit_costs", name, col("box"), "item") + look("unit_costs", name, col("cover"), "item")

    return Table(
        "box_choices",
        "Box choices",
        [Field("family", "style and gangs", role="key"), Field("box", "box"), Field("cover", "ring or cover")],
        [
            Column(
                "volume_in3",
                "volume",
                "in3",
                look("box_sizes", "volume_in3", col("box")),
                "Table 314.16(A) or marked volume; rings add none",
                format="0.00",
            ),
            Column(
                "usable_in3", "volume where stocked", "in3", col("volume_in3") * stocked, "0 where not stocked", "0.00"
            ),
            Column(
                "usd",
                "box with its ring or cover",
                "USD",
                cost("usd_each"),
                "with waste, escalation and tax",
                "#,##0.00",
            ),
            Column("missing", "prices missing", "ea", cost("missing")),
            Column("unpriced", "without a price", "0/1", call("sign", col("missing"))),
            Column(
                "weight",
                "place by price",
                "1/1",
                call("nine", ratio(col("usd"), Total("box_choices", "usd"), 0) + col("unpriced")),
                "part of the price of all; what has no price comes after all that has",
                "0.000000000",
            ),
            Column(
                "beaten",
                "not smaller and cheaper, in the family",
                "ea",
                beaten,
                "where there is one, this box is never the cheapest that holds a fill",
            ),
            Column(
                "offered_in3",
                "volume where offered",
                "in3",
                when(equal(col("beaten"), 0), col("usable_in3"), 0),
                "0 where not stocked or beaten",
                "0.00",
            ),
            Column("smaller", "smaller boxes offered in the family", "ea", smaller),
            Column("slot", "place in family", "", col("family") & "|" & col("smaller")),
        ],
        {
            "family": [f"{u['box_style']}|{u['gangs']}" for u in uses],
            "box": [u["box"] for u in uses],
            "cover": [u["cover"] for u in uses],
        },
    )


def _slots(families: Sequence[str], sizes: Sequence[float]) -> list[str]:
    """Return family and count of smaller rows in it, as `2020|3`: a count under a need finds the first not under it."""
    of: dict[str, list[float]] = {}
    for family, size in zip(families, sizes, strict=True):
        of.setdefault(family, []).append(size)
    return [f"{f}|{sum(other < s for other in of[f])}" for f, s in zip(families, sizes, strict=True)]
