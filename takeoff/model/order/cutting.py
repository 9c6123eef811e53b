"""The cutting plan of every cable as tables, computed once on the build, and whether runs are still as they were."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from takeoff.engine.expr import Expr, call, col, equal, ratio, when
from takeoff.engine.lookups import At
from takeoff.engine.tables import Book, Column, Field, Table
from takeoff.model.order.cables import CableOrder, Piece

FEET, WHOLE = "#,##0.0", "#,##0"
LONGEST_CUTS = 900
"""Characters of the list of cuts of one coil; a longer one ends with a count."""

FRESH, STALE = "as on the build", "STALE: build again"
CUT_TO_LENGTH = "cut to length"
"""Stands where a package would: runs longer than every coil and reel are ordered by the foot."""


def cable_table(book: Book, orders: Sequence[CableOrder], titles: Mapping[str, str]) -> Table:
    """Every cable of every plan: feet with waste beside what the cutting plan buys; `titles` are those of the plans."""
    items = list(book.values("material", "item"))
    known = dict(zip(items, book.values("material", "title"), strict=True))
    rows = [o for o in orders if o.pieces]

    def bought(name: str) -> Expr:
        return At("cable_bought", name, col("row"))

    data: dict[str, list[object]] = {
        "plan": [titles[o.plan] for o in rows],
        "title": [known[o.item] for o in rows],
        "item": [o.item for o in rows],
        "place": [list(titles).index(o.plan) + 1 for o in rows],
        "line": [items.index(o.item) + 1 for o in rows],
        "row": list(range(1, len(rows) + 1)),
        "runs": [len(o.pieces) for o in rows],
        "longest_ft": [max(p.cut_ft for p in o.pieces) for o in rows],
        "built_ft": [o.run_ft for o in rows],
        "coils": [len(o.cutting.coils) for o in rows],
        "too_long": [len(o.cutting.too_long) for o in rows],
        "bought_ft": [o.cutting.bought_ft + o.too_long_ft for o in rows],
        "bound_ft": [o.cutting.bound_ft + o.too_long_ft for o in rows],
        "cut_ft": [sum(p.cut_ft for p in o.pieces) for o in rows],
        "shortest_ft": [min((feet for _, feet in o.packages), default=1) for o in rows],
    }
    if not rows:  # a job without cable still has the table; its row stands for something that is not bought
        standing = {"plan": "-", "title": "-", "item": "-", "line": len(items), "row": 1}
        data = {name: [standing.get(name, 0)] for name in data}
    return Table(
        "cable_orders",
        "Cable: the cutting plan beside feet with waste",
        [
            Field("plan", "plan", role="key", width=18),
            Field("title", "cable", role="key", width=20),
            Field("item", "item key"),
            Field("place", "place of the plan", "no."),
            Field("line", "line", "no."),
            Field("row", "row of what is bought", "no."),
            Field("runs", "runs, each uncut", "ea", format=WHOLE),
            Field("longest_ft", "longest", "ft"),
            Field("built_ft", "runs with tails, on the build", "ft"),
            Field("cut_ft", "with waste at both ends", "ft"),
            Field("coils", "coils and reels", "ea", format=WHOLE),
            Field("too_long", "runs longer than any, cut to order", "ea"),
            Field("bought_ft", "bought by the cutting plan", "ft", format=WHOLE),
            Field("bound_ft", "no plan can buy less than", "ft", format=WHOLE),
            Field("shortest_ft", "shortest package", "ft", format=WHOLE),
        ],
        [
            Column("leftover_ft", "left over", "ft", bought("left_ft"), format=FEET),
            Column("with_waste_ft", "feet with waste", "ft", bought("with_waste_ft"), "what feet are priced by", FEET),
            Column(
                "against_waste_usd",
                "bought beyond feet with waste",
                "USD",
                (col("bought_ft") - col("with_waste_ft")) * At("unit_costs", "bare_usd", col("line")),
                "at the bare price; in the estimate where cable_priced_by is packages",
                "+#,##0;-#,##0;0",
            ),
            Column("state", "cutting plan", "", when(equal(bought("open"), 0), FRESH, STALE), width=20),
            Column("gap_ft", "gap to that bound", "ft", col("bought_ft") - col("bound_ft"), "0: proven least", WHOLE),
            Column(
                "plain_packages",
                "packages by feet alone",
                "ea",
                call("up", ratio(col("with_waste_ft"), col("shortest_ft"), 0)),
                "of the shortest kind: total feet do not see that runs are uncut",
                WHOLE,
            ),
            Column("plain_ft", "bought by feet alone", "ft", col("plain_packages") * col("shortest_ft"), format=WHOLE),
            Column(
                "against_plain_ft",
                "cutting plan less that",
                "ft",
                col("bought_ft") - col("plain_ft"),
                format="+#,##0;-#,##0;0",
            ),
        ],
        data,
        key="item",
    )


def coils_table(orders: Sequence[CableOrder], titles: Mapping[str, str], name: str = "coils", of: str = "") -> Table:
    """Every coil with what is cut from it, and every run that is ordered at its own length; `of` says of what."""
    rows = [
        (order, number, length, used, cuts)
        for order in orders
        for number, (length, used, cuts) in enumerate(_coils(order), start=1)
    ]
    data: dict[str, list[object]] = {
        "plan": [titles[o.plan] for o, *_ in rows],
        "item": [o.item for o, *_ in rows],
        "coil": [number for _, number, *_ in rows],
        "package": [_package(order, length) for order, _, length, *_ in rows],
        "length_ft": [length for _, _, length, *_ in rows],
        "cuts": [len(cuts) for *_, cuts in rows],
        "used_ft": [used for *_, used, _ in rows],
        "boxes": [_said(cuts) for *_, cuts in rows],
    }
    if not rows:
        data = {n: ["-" if n in ("plan", "item", "package", "boxes") else 0] for n in data}
    return Table(
        name,
        f"Cutting plan{of}: what is cut from which coil or reel",
        [
            Field("plan", "plan", role="key", width=18),
            Field("item", "item", role="key", width=20),
            Field("coil", "coil", "no.", role="key"),
            Field("package", "package", width=16),
            Field("length_ft", "length", "ft", format=WHOLE),
            Field("cuts", "runs", "ea"),
            Field("used_ft", "cut from it", "ft"),
            Field("boxes", "to box, cut ft (with tails and end waste)", width=180),
        ],
        [Column("leftover_ft", "left over", "ft", col("length_ft") - col("used_ft"), format=FEET)],
        data,
        key="coil",
    )


def _coils(order: CableOrder) -> list[tuple[float, float, list[Piece]]]:
    """Return length, feet used and the cuts of every coil, and of every run that is ordered at its own length."""
    pieces = order.pieces
    coils = [(c.length_ft, c.used_ft, [pieces[n] for n in c.pieces]) for c in order.cutting.coils]
    return coils + [(pieces[n].cut_ft, pieces[n].cut_ft, [pieces[n]]) for n in order.cutting.too_long]


def _package(order: CableOrder, length_ft: float) -> str:
    """Return the package of a length; a run that no coil holds has none and is cut to length."""
    return next((package for package, feet in order.packages if feet == length_ft), CUT_TO_LENGTH)


def _said(cuts: Sequence[Piece]) -> str:
    said, rest = "", len(cuts)
    for alike in _alike(cuts):
        cut = _cut(alike)
        if len(said) + len(cut) > LONGEST_CUTS:
            return f"{said} and {rest} more"
        said += ("; " if said else "") + cut
        rest -= len(alike)
    return said


def _alike(cuts: Sequence[Piece]) -> list[list[Piece]]:
    """Return cuts that follow each other to the same box built one time after the other, and as long, as one."""
    found: list[list[Piece]] = []
    for cut in cuts:
        before = found[-1][-1] if found else None
        if before and (cut.box, cut.cut_ft, cut.time) == (before.box, before.cut_ft, before.time + 1):
            found[-1].append(cut)
        else:
            found.append([cut])
    return found


def _cut(alike: Sequence[Piece]) -> str:
    first, last = alike[0], alike[-1]
    if first is not last:
        return f"{first.box} ({first.time}-{last.time}) {first.cut_ft:g} each"
    return f"{first.box}{f' ({first.time})' if first.time > 1 else ''} {first.cut_ft:g}"
