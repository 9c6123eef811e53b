"""What remains of the job, for both plans of the swap: cable by the cutting plan, every item, what goes back.

Computed on the build from circuits that are not begun, with a mark where states, runs or plans were changed since.
An area begun by percent says nothing of its circuits: they count whole until they have a state of their own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from takeoff.engine.aggregates import SumProducts
from takeoff.engine.expr import col, given, ratio, same, when
from takeoff.engine.lookups import At, Total
from takeoff.engine.tables import YES_NO, Book, Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import only
from takeoff.model.order.cables import CableOrder
from takeoff.model.order.changes import changed
from takeoff.model.order.cutting import coils_table

SIDES = ("from", "to")
WHOLE = "#,##0;-#,##0;-"


@dataclass(frozen=True)
class Rest:
    """What remains: cable orders of every plan, quantities with waste by item for both sides of the swap.

    It is all of the job unless circuits are `begun`.
    """

    orders: Sequence[CableOrder]
    quantities: Mapping[str, Sequence[float]]
    begun: bool = False


def circuits_left(book: Book) -> set[str]:
    """Return the names of the circuits that are not begun, as far as it is known."""
    names = book.values("circuits", "circuit")
    own, open_ = (book.values("own_work", n) for n in ("left", "left_open"))
    circuits, areas = book.values("boxes", "circuit_row"), book.values("boxes", "area_row")
    left = book.values("area_work", "left")
    return {
        str(names[int(c) - 1])
        for c, a in zip(circuits, areas, strict=True)
        if own[int(c) - 1] or (open_[int(c) - 1] and left[int(a) - 1] > 0)
    }


def rest_of(book: Book, frame: Frame, orders: Sequence[CableOrder]) -> Rest:
    """Return what a book says of the plans of the swap, where its job is what remains.

    Parameters
    ----------
    book, orders
        Of a job without the circuits that are begun.
    frame
        Its givens.
    """
    plans = [str(book.inputs[f"swap_{side}"]) for side in SIDES]
    places = [frame.compared.index(plan) + 1 for plan in plans]
    return Rest(
        [o for o in orders if o.pieces],
        {s: book.values("material", f"quantity_{n}").tolist() for s, n in zip(SIDES, places, strict=True)},
    )


def rest_tables(book: Book, frame: Frame, rest: Rest) -> list[Table]:
    """Return the tables of what remains: its cable, every item, and whether they are as on the build."""
    tables = [_cable_table(book, frame, rest), _list_table(book, rest), _state_table(book)]
    orders = swapped(book, rest.orders)
    return [*tables, *([coils_table(orders, frame.titles, "rest_coils", " of what remains")] if rest.begun else [])]


def swapped(book: Book, orders: Sequence[CableOrder]) -> list[CableOrder]:
    """Return the orders of the two plans of the swap, the one swapped from first."""
    return [o for side in SIDES for o in orders if o.plan == book.inputs[f"swap_{side}"]]


def _cable_table(book: Book, frame: Frame, rest: Rest) -> Table:
    items = list(book.values("material", "item"))

    def packages(order: CableOrder) -> str:
        bought = [f"{order.count(key)} x {key}" for key, _ in order.packages if order.count(key)]
        more = [f"{order.too_long_ft:,.0f} ft cut to length"] if order.cutting.too_long else []
        return ", ".join([*bought, *more])

    rows = rest.orders
    data: dict[str, list[object]] = {
        "title": [frame.titles[o.plan] for o in rows],
        "item": [o.item for o in rows],
        "line": [items.index(o.item) + 1 for o in rows],
        "runs": [len(o.pieces) for o in rows],
        "run_ft": [o.run_ft for o in rows],
        "packages": [packages(o) for o in rows],
        "bought_ft": [o.cutting.bought_ft + o.too_long_ft for o in rows],
        "left_ft": [o.cutting.bought_ft + o.too_long_ft - sum(p.cut_ft for p in o.pieces) for o in rows],
    }
    if not rows:
        standing = {"title": "-", "item": "-", "packages": "-", "line": len(items)}
        data = {name: [standing.get(name, 0)] for name in data}

    def price(name: str) -> At:
        return At("unit_costs", name, col("line"))

    whole = (col("bought_ft") - col("run_ft") * price("waste")) * only("cable_way", "packages")
    return Table(
        "rest_cable",
        "Cable of what remains, by the cutting plan",
        [
            Field("title", "plan", role="key", width=18),
            Field("item", "cable", role="key", width=20),
            Field("line", "line", "no."),
            Field("runs", "runs, each uncut", "ea", format=WHOLE),
            Field("run_ft", "runs with tails", "ft", format=WHOLE),
            Field("packages", "bought", width=30),
            Field("bought_ft", "bought by the cutting plan", "ft", format=WHOLE),
            Field("left_ft", "left over", "ft", format=WHOLE),
        ],
        [
            Column(
                "more_usd",
                "in the price beyond feet with waste",
                "USD",
                (whole - col("left_ft") * only("cable_way", "credit"))
                * price("bare_usd")
                * price("escalation")
                * price("tax"),
                "by cable_priced_by",
                "#,##0.00;-#,##0.00;0.00",
            )
        ],
        data,
        key="item",
    )


def _list_table(book: Book, rest: Rest) -> Table:
    old, new = (rest.quantities[side] for side in SIDES)
    return Table(
        "rest_list",
        "What remains, by item, and what goes back",
        [
            Field("rest_item", "item, of what remains", width=24),
            Field("from_quantity", "needed, swapped from", "ft or ea", format=WHOLE),
            Field("to_quantity", "needed, swapped to", "ft or ea", format=WHOLE),
            Field("back", "goes back, where bought", "ft or ea", format=WHOLE),
            Field("line", "line", "no."),
        ],
        [_restocking()] if float(str(book.inputs["bought_pct"])) else [],
        {
            "rest_item": list(book.values("material", "item")),
            "from_quantity": list(old),
            "to_quantity": list(new),
            "back": [max(0.0, a - b) for a, b in zip(old, new, strict=True)],
            "line": list(range(1, len(old) + 1)),
        },
    )


def _restocking() -> Column:
    """Return what each item that goes back costs in restocking, where any is said to be bought."""
    listed = col("back") * At("unit_costs", "bare_usd", col("line")) * given("bought_pct") * given("restock_pct")
    note = "of the part that is bought, at bare prices; what is on hand as stated comes to it"
    return Column(
        "restock_usd", "restocking of it", "USD", ratio(ratio(listed, 100, 0), 100, 0), note, "#,##0.00;-#,##0.00;-"
    )


def rest_now_table(_: Frame) -> Table:
    """What is begun now, as a figure that no other states come to by chance."""

    def of_circuits(*factors: str) -> SumProducts:
        return SumProducts("own_work", list(factors), {})

    begun = of_circuits("left", "line") + of_circuits("left", "line", "line")
    areas = SumProducts("area_work", ["left", "line"], {})
    return Table(
        "rest_now",
        "What is begun now",
        [Field("key", "rest", role="key")],
        [
            Column("begun", "states x number of the circuit", "in its unit", begun, "and x its square"),
            Column(
                "now",
                "with circuits left to their area, and percent x number of the area",
                "in its unit",
                col("begun") + of_circuits("left_open", "line") + areas,
            ),
            Column("plans", "plans of the swap", "", only("base", "from_title") & " for " & only("base", "to_title")),
        ],
        {"key": ["rest"]},
    )


def _state_table(book: Book) -> Table:
    now, plans = only("rest_now", "now"), only("rest_now", "plans")
    moved = changed(now, col("built"))
    return Table(
        "rest_state",
        "Whether what remains is as on the build",
        [
            Field("key", "rest", role="key"),
            Field("built", "what was begun, on the build", "in its unit"),
            Field("built_plans", "plans, on the build", width=30),
        ],
        [
            Column("moved", "begun or not since", "0/1", moved, format=YES_NO),
            Column("other", "other plans since", "0/1", when(same(plans, col("built_plans")), 0, 1), format=YES_NO),
            Column(
                "open",
                "changed since",
                "ea",
                col("moved") + col("other") + Total("run_changes", "open"),
                "0: as on the build; else build again",
            ),
        ],
        {
            "key": ["rest"],
            "built": [float(book.values("rest_now", "now")[0])],
            "built_plans": [str(book.values("rest_now", "plans")[0])],
        },
        exposed=["open"],
    )
