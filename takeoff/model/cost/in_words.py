"""What the Summary says of choices of the trade: every style of ground make-up, and cable priced in every way."""

from __future__ import annotations

from functools import reduce

from takeoff.engine.expr import Expr, as_expr, call, col, equal, when
from takeoff.engine.lookups import At, Total
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.order.cable_priced import NAMES, TITLES, WAYS

KEPT = "the order of the plans stays."
MOVED = "THE ORDER OF THE PLANS CHANGES."


def _listed(head: str, figures: list[Expr]) -> Expr:
    """Return whole figures one after the other behind a head, in the order of the plans."""
    first, *more = [call("whole", figure) + 0 for figure in figures]  # 0 added: no program then writes -0
    return reduce(lambda said, figure: said & ", " & figure, more, as_expr(head) & first)


def make_up_says_table(frame: Frame) -> Table:
    """Each style of ground make-up in a line: what every plan saves against the base in it."""
    styles, count = list(frame.catalogs["make_up_styles"]), len(frame.compared)
    places = [n for n, _ in enumerate(frame.compared, start=1)]

    def of(name: str) -> list[Expr]:
        return [At("make_up_range", name, col(f"row_{n}")) for n in places]

    return Table(
        "make_up_says",
        "Ground make-up by style, in words",
        [
            Field("style", "style", role="key", width=14),
            *(Field(f"row_{n}", f"row of {p}", "no.") for n, p in enumerate(frame.compared, start=1)),
        ],
        [
            Column("state", "is", "", At("make_up_range", "state", col("row_1"))),
            Column(
                "fewer",
                "fewer than in the base",
                "",
                _listed("ground terminations fewer than in the base: ", of("fewer")),
                width=40,
            ),
            Column("saved", "hours saved", "", _listed("hours saved against it: ", of("saved_hours")), width=30),
        ],
        {
            "style": [str(s["style"]) for s in styles],
            **{f"row_{n}": [k * count + n for k, _ in enumerate(styles)] for n in places},
        },
        key="style",
    )


def cable_says_table(frame: Frame) -> Table:
    """Every plan installed with its cable priced in every way, and whether that moves the order of the plans."""
    places = [n for n, _ in enumerate(frame.compared, start=1)]

    def of(way: str) -> list[Expr]:
        return [At("cable_priced", f"{NAMES[way]}_usd", col(f"row_{n}")) for n in places]

    return Table(
        "cable_says",
        "Cable in the price, in words",
        [Field("key", "key", role="key"), *(Field(f"row_{n}", f"row of {n}", "no.") for n in places)],
        [
            *(
                Column(NAMES[way], f"cable {TITLES[way]}", "", _listed(f"{TITLES[way]} ", of(way)), width=40)
                for way in WAYS
            ),
            Column("moves", "plans whose place depends on the way", "ea", Total("cable_priced", "moves")),
            Column("verdict", "what follows", "", when(equal(col("moves"), 0), KEPT, MOVED), width=40),
        ],
        {"key": ["cable"], **{f"row_{n}": [n] for n in places}},
        exposed=[*NAMES.values(), "verdict"],
    )
