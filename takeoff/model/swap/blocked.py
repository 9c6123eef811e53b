"""Circuits in which a rule stands against the plan swapped to: why, and what they contribute all the same."""

from __future__ import annotations

from takeoff.engine.aggregates import SumBy, SumProducts
from takeoff.engine.expr import Expr, col
from takeoff.engine.lookups import At
from takeoff.engine.tables import Book, Column, Field, Table
from takeoff.model.frame import Frame
from takeoff.model.givens.wages import only
from takeoff.model.swap.swap import CENTS

NAMED = 8
"""Circuits of a reason that are named, at most."""

LONGEST = 60
"""Letters of their names, which stand in one line."""


def blocked_tables(book: Book, frame: Frame) -> list[Table]:
    """Return the circuits that the plan swapped to wires in a fallback, by reason; nothing where there is none.

    Parameters
    ----------
    book
        Its plans say which kinds of circuit these are; reason and money follow what is changed later.
    frame
        The job and the plans compared.
    """
    count, to = len(frame.compared), frame.compared.index(str(book.inputs["swap_to"]))
    places, said = (book.values("plan", name)[to::count] for name in ("chosen_place", "said_1"))
    rows = [n for n, place in enumerate(places) if place > 1]
    reasons = list(dict.fromkeys(str(said[n]) for n in rows))
    numbers = [reasons.index(str(said[n])) + 1 for n in rows]
    if not rows:
        return []
    kinds = list(frame.alikes)
    of = {number: [kinds[n] for n, mine in zip(rows, numbers, strict=True) if mine == number] for number in numbers}
    return [
        _reasons_table({number: _named(frame, mine) for number, mine in of.items()}, rows, numbers, count),
        _kinds_table(rows, numbers, count),
    ]


def _reasons_table(circuits: dict[int, str], rows: list[int], numbers: list[int], count: int) -> Table:
    def summed(which: str) -> Expr:
        return SumBy("blocked_kinds", f"{which}_usd", {"number": col("number")})

    first = [rows[numbers.index(number)] * count for number in circuits]
    return Table(
        "blocked",
        "Circuits in a fallback, as on the build",
        [
            Field("circuits", "circuits", role="key", run_on=True),
            Field("number", "reason", "no."),
            Field("before", "row before the plans of the first", "no."),
        ],
        [
            Column(
                "why",
                "passed over, and why",
                "",
                At("plan", "said_1", col("before") + only("base", "to_place")),
                width=42,
            ),
            Column(
                "saved_usd",
                "saved in them",
                "USD",
                summed("from") - summed("to"),
                "the whole job, nothing built yet; 0 where both plans wire them alike",
                CENTS,
            ),
        ],
        {"circuits": list(circuits.values()), "number": list(circuits), "before": first},
        key="circuits",
        front="why",
        last="circuits",
    )


def _kinds_table(rows: list[int], numbers: list[int], count: int) -> Table:
    def installed(which: str) -> Expr:
        row = col("before") + only("base", f"{which}_place")
        return SumProducts("wiring", ["verdicts.repeat", "verdicts.installed_usd"], {"plan_row": row})

    return Table(
        "blocked_kinds",
        "Kinds of circuit in a fallback, as on the build",
        [Field("before", "row before its plans", "no.", role="key"), Field("number", "reason", "no.")],
        [Column(f"{w}_usd", f"installed, swapped {w}", "USD", installed(w), format=CENTS) for w in ("from", "to")],
        {"before": [n * count for n in rows], "number": numbers},
        key="before",
    )


def _named(frame: Frame, kinds: list[str]) -> str:
    names = [frame.stretch_names[key] for key, found in frame.alike_of.items() if found in kinds]
    shown = next(n for n in range(NAMED, 0, -1) if n == 1 or len(", ".join(names[:n])) <= LONGEST)
    more = f" and {len(names) - shown} more" if len(names) > shown else ""
    return ", ".join(names[:shown]) + more
